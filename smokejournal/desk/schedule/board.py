"""What the parts of the schedule editor share: the draft, the stage chosen, what speaks against it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from smokejournal.cook.log.schedule import Stage
from smokejournal.cook.plan.food_cautions import all_warnings
from smokejournal.cook.plan.plan import Plan
from smokejournal.cook.plan.schedule_check import Warning_
from smokejournal.cook.plan.schedule_draft import ScheduleDraft
from smokejournal.cook.text.quantities import METRIC, Units


@dataclass
class ScheduleBoard:
    """Whoever alters it tells the editor, which weighs it anew and shows it everywhere."""

    now_s: Callable[[], float]
    draft: ScheduleDraft = field(default_factory=ScheduleDraft)
    key: str = ""
    plan: Plan = field(default_factory=Plan)
    units: Units = METRIC
    warnings: tuple[Warning_, ...] = ()

    @property
    def stage(self) -> Stage | None:
        """The stage chosen; None while there is none."""
        return self.draft.schedule.stage(self.key)

    def choose_first(self) -> None:
        """Choose the stage under way, else the first that is still to come."""
        free = [s.key for s in self.draft.schedule.stages if s.key not in self.draft.placed]
        self.key = next(iter([*self.draft.pinned, *free]), "")

    def weigh(self) -> None:
        """Look again what speaks against the draft; the last stage is chosen where the chosen went."""
        stages = self.draft.schedule.stages
        if self.stage is None:
            self.key = stages[-1].key if stages else ""
        self.warnings = all_warnings(
            self.draft.schedule, self.plan, self.units, self.now_s(), tuple(self.draft.locked)
        )
