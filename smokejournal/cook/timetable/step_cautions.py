"""What is usually held to while one step of a plan is done."""

from __future__ import annotations

from collections.abc import Sequence

from smokejournal.cook.log.entries import ItemAdded
from smokejournal.cook.plan.prep_progress import LivedStep
from smokejournal.cook.safety.cautions import Caution, cautions_for, keep_cold
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.timetable.timetable import TimetableStep

#: Raw food that waits this long is kept cold [s]: USDA FSIS, Danger Zone (2 h out of the cold at most).
COLD_FROM_S = 7200.0


def step_cautions(
    step: TimetableStep, lived: LivedStep | None, items: Sequence[ItemAdded], units: Units
) -> tuple[Caution, ...]:
    """The cautions for this step alone. `lived` is what the log says of one before the fire."""
    found: list[Caution] = []
    if lived is not None:
        long = step.lasts is not None and step.lasts.high >= COLD_FROM_S
        if long or lived.step.brine is not None:
            found.append(keep_cold(units))
        plan = cautions_for((), "plan", units, preps=[lived.step])
        found += [caution for caution in plan if caution.key == "cure"]
    elif step.kind in ("dish", "stage") and step.pit_c is not None:
        mine = [item for item in items if item.name == step.item]
        if mine:
            plan = cautions_for(mine, "plan", units)
            found += [caution for caution in plan if caution.key in ("minimum", "no_minimum")]
    return tuple(found)
