"""Where each step of the prep stands: to come, under way, over, passed over; read off the log."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from smokejournal.cook.log.entries import (
    Entry,
    PrepStep,
    StepBegun,
    StepEnded,
    StepExtended,
    StepSkipped,
    step_key,
)

StepState = Literal["to_come", "under_way", "over", "skipped"]


@dataclass(frozen=True, slots=True)
class LivedStep:
    """One step and what came of it (UTC seconds). `extended_s`: what it was given on top.

    `began_s` is None too where a step was only ever said to be done; how long it took isn't known then.
    """

    key: str
    entry_id: int
    step: PrepStep
    state: StepState = "to_come"
    began_s: float | None = None
    ended_s: float | None = None
    extended_s: float = 0.0

    @property
    def intended_s(self) -> float | None:
        """How long it is to last [s], with what it was given on top; None where nobody said."""
        return None if self.step.duration_s is None else self.step.duration_s + self.extended_s

    @property
    def took_s(self) -> float | None:
        """How long it lasted [s]; None unless both its ends were written down."""
        if self.began_s is None or self.ended_s is None:
            return None
        return max(0.0, self.ended_s - self.began_s)

    @property
    def due_end_s(self) -> float | None:
        """When a step that is under way is to end; None where that isn't known."""
        intended_s = self.intended_s
        if self.state != "under_way" or self.began_s is None or intended_s is None:
            return None
        return self.began_s + intended_s


def prep_progress(entries: Sequence[Entry]) -> tuple[LivedStep, ...]:
    """Every step of the plan in its order. `entries` hold and are in order of time.

    A step that was edited keeps what was lived of it, as long as its key is the same. What was said of
    a step that isn't there (any more) is passed over.
    """
    steps: dict[str, tuple[int, PrepStep]] = {}
    for entry in entries:
        if isinstance(entry.what, PrepStep):
            steps[step_key(entry.id, entry.what)] = (entry.id, entry.what)
    began: dict[str, float] = {}
    ended: dict[str, float] = {}
    extended: dict[str, float] = {}
    skipped: set[str] = set()
    for entry in entries:
        match entry.what:
            case StepBegun(step=key):
                # Begun again: what was said of its end before is void.
                began[key] = entry.at_s
                ended.pop(key, None)
                skipped.discard(key)
            case StepEnded(step=key):
                ended[key] = entry.at_s
                skipped.discard(key)
            case StepExtended(step=key, by_s=by_s):
                extended[key] = extended.get(key, 0.0) + by_s
            case StepSkipped(step=key):
                skipped.add(key)
            case _:
                pass
    found = []
    for key, (entry_id, step) in steps.items():
        state: StepState = (
            "skipped"
            if key in skipped
            else "over"
            if key in ended
            else "under_way"
            if key in began
            else "to_come"
        )
        found.append(
            LivedStep(
                key,
                entry_id,
                step,
                state,
                began.get(key),
                ended.get(key),
                extended.get(key, 0.0),
            )
        )
    return tuple(found)
