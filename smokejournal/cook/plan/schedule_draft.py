"""A schedule on the drawing board: every change is a new schedule, and every step can be taken back.

Nothing here is in the log yet. A stage's key names it in the log for ever, so a key that was once
given out in this draft is never given to another stage.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace

from smokejournal.cook.log.schedule import Schedule, Stage

#: Steps that can be taken back. Far more than a person remembers.
MOST_STEPS = 500


class DraftProblem(ValueError):
    """A change that can't be made: the stage is locked, or not there."""


@dataclass(frozen=True, slots=True)
class Step:
    """A state of the draft, and what was done to come to it ("move", "remove", …)."""

    schedule: Schedule
    did: str = ""
    merge: str = ""


class ScheduleDraft:
    """A schedule being edited.

    `locked` stages are over: they stay as and where they are. `pinned` ones are under way: they may be
    changed, but stay where they are. `taken` are stage keys that the log already speaks of.
    """

    def __init__(
        self,
        schedule: Schedule | None = None,
        locked: Collection[str] = (),
        pinned: Collection[str] = (),
        taken: Collection[str] = (),
    ) -> None:
        start = schedule if schedule is not None else Schedule()
        self._past: list[Step] = [Step(start)]
        self._future: list[Step] = []
        self._locked = frozenset(locked)
        self._pinned = frozenset(pinned)
        self._taken = set(taken) | {stage.key for stage in start.stages}
        self._kept = start

    @property
    def schedule(self) -> Schedule:
        """The schedule as it stands now."""
        return self._past[-1].schedule

    @property
    def locked(self) -> frozenset[str]:
        """Keys of the stages that may not change."""
        return self._locked

    @property
    def pinned(self) -> frozenset[str]:
        """Keys of the stages that are under way."""
        return self._pinned

    @property
    def placed(self) -> frozenset[str]:
        """Keys of the stages that stay where they are."""
        return self._locked | self._pinned

    @property
    def changed(self) -> bool:
        """True while the draft differs from what was last kept."""
        return self.schedule != self._kept

    @property
    def can_undo(self) -> str:
        """What `undo` would take back, or "" where there is nothing."""
        return self._past[-1].did if len(self._past) > 1 else ""

    @property
    def can_redo(self) -> str:
        """What `redo` would do again, or "" where there is nothing."""
        return self._future[-1].did if self._future else ""

    def keep(self) -> None:
        """The schedule as it stands is in the log now."""
        self._kept = self.schedule

    def lock(self, locked: Collection[str], pinned: Collection[str] = ()) -> None:
        """From now on these stages are over, and these under way. Steps that would alter them can no
        longer be taken back."""
        self._locked = frozenset(locked)
        self._pinned = frozenset(pinned)

    def undo(self) -> bool:
        """Take the last step back. False where there is none, or where it would touch a locked stage."""
        if len(self._past) < 2 or not self._spares_locked(self._past[-2].schedule):
            return False
        self._future.append(self._past.pop())
        return True

    def redo(self) -> bool:
        """Do again what was taken back. False where there is nothing to do again."""
        if not self._future or not self._spares_locked(self._future[-1].schedule):
            return False
        self._past.append(self._future.pop())
        return True

    def add(self, stage: Stage, after: str | None = None) -> str:
        """Put a new stage (its key is given here) behind the stage `after`, or at the end."""
        key = self._new_key()
        stages = list(self.schedule.stages)
        index = len(stages) if after is None else self._index(after) + 1
        index = max(index, self._first_free())
        stages.insert(index, replace(stage, key=key))
        self._step(tuple(stages), "add")
        return key

    def duplicate(self, key: str) -> str:
        """A copy of a stage, right behind it (behind the locked ones); its key."""
        self._index(key)
        stage = self.schedule.stage(key)
        assert stage is not None
        copy = self._new_key()
        stages = list(self.schedule.stages)
        stages.insert(max(self._index(key) + 1, self._first_free()), replace(stage, key=copy))
        self._step(tuple(stages), "duplicate")
        return copy

    def remove(self, key: str) -> None:
        """Take a stage out."""
        self._refuse(key, self.placed)
        self._index(key)
        self._step(tuple(s for s in self.schedule.stages if s.key != key), "remove")

    def move(self, key: str, to: int) -> None:
        """Put a stage at place `to` (0 is the first), never before one that is over or under way."""
        self._refuse(key, self.placed)
        stages = list(self.schedule.stages)
        stage = stages.pop(self._index(key))
        first = self._first_free()
        stages.insert(max(first, min(to, len(stages))), stage)
        if tuple(stages) != self.schedule.stages:
            self._step(tuple(stages), "move")

    def put(self, stage: Stage, field: str = "") -> None:
        """Give the stage of this key other values.

        Steps in a row on one `field` of one stage are one step, so that undo takes back a word and
        not a letter.
        """
        self._refuse(stage.key, self._locked)
        index = self._index(stage.key)
        if self.schedule.stages[index] == stage:
            return
        stages = list(self.schedule.stages)
        stages[index] = stage
        self._step(tuple(stages), "change", f"{stage.key}.{field}" if field else "")

    def rename(self, name: str) -> None:
        """The name under which it is saved."""
        if name != self.schedule.name:
            self._step_to(replace(self.schedule, name=name), "rename", "name")

    def take_over(self, pattern: Schedule) -> None:
        """Put the stages of a saved schedule in place of those that are still to come."""
        kept = [s for s in self.schedule.stages if s.key in self.placed]
        stages = list(kept)
        for stage in pattern.stages:
            stages.append(replace(stage, key=self._new_key()))
        name = pattern.name
        self._step_to(Schedule(name=name, stages=tuple(stages)), "take over")

    def end_merge(self) -> None:
        """The next change is a step of its own even on the same field."""
        last = self._past[-1]
        self._past[-1] = replace(last, merge="")

    def _new_key(self) -> str:
        number = len(self.schedule.stages) + 1
        while f"s{number}" in self._taken:
            number += 1
        key = f"s{number}"
        self._taken.add(key)
        return key

    def _first_free(self) -> int:
        """The first place that is behind every stage that is over or under way."""
        places = [n for n, s in enumerate(self.schedule.stages) if s.key in self.placed]
        return max(places, default=-1) + 1

    def _index(self, key: str) -> int:
        index = self.schedule.index(key)
        if index is None:
            raise DraftProblem(f"there is no stage {key!r}")
        return index

    def _refuse(self, key: str, keys: frozenset[str]) -> None:
        if key in keys:
            raise DraftProblem(f"stage {key!r} is over or under way")

    def _spares_locked(self, schedule: Schedule) -> bool:
        first = self._first_free()
        now, then = self.schedule.stages[:first], schedule.stages[:first]
        return [s.key for s in now] == [s.key for s in then] and all(
            a == b for a, b in zip(now, then, strict=True) if a.key in self._locked
        )

    def _step(self, stages: tuple[Stage, ...], did: str, merge: str = "") -> None:
        self._step_to(self.schedule.with_stages(stages), did, merge)

    def _step_to(self, schedule: Schedule, did: str, merge: str = "") -> None:
        self._future.clear()
        last = self._past[-1]
        if merge and last.merge == merge and len(self._past) > 1:
            self._past[-1] = Step(schedule, did, merge)
            return
        self._past.append(Step(schedule, did, merge))
        del self._past[: max(0, len(self._past) - MOST_STEPS)]
