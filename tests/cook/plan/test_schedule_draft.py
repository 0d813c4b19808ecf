"""A schedule on the drawing board: any clumsy cook can take everything back."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from smokejournal.cook.log.schedule import ForTime, Schedule, Stage
from smokejournal.cook.plan.schedule_draft import DraftProblem, ScheduleDraft


def _schedule(*keys: str) -> Schedule:
    return Schedule("Plan", tuple(Stage(key, key.title()) for key in keys))


def _keys(draft: ScheduleDraft) -> list[str]:
    return [stage.key for stage in draft.schedule.stages]


def test_add_goes_behind_and_gets_a_key_of_its_own() -> None:
    draft = ScheduleDraft(_schedule("s1", "s2"))
    key = draft.add(Stage("", "Wrap"), after="s1")
    assert _keys(draft) == ["s1", key, "s2"]
    assert draft.schedule.stage(key) == Stage(key, "Wrap")


def test_a_key_is_never_given_twice() -> None:
    draft = ScheduleDraft(_schedule("s1"), taken=("s3",))
    first = draft.add(Stage("", "Wrap"))
    draft.remove(first)
    second = draft.add(Stage("", "Rest"))
    assert len({"s1", "s3", first, second}) == 4
    draft.undo()
    assert draft.add(Stage("", "Serve")) not in {"s1", "s3", first, second}


def test_a_copy_stands_behind_what_it_copies() -> None:
    draft = ScheduleDraft(_schedule("s1", "s2"))
    key = draft.duplicate("s1")
    assert _keys(draft) == ["s1", key, "s2"]
    assert replace(draft.schedule.stages[1], key="s1") == draft.schedule.stages[0]


def test_move_stops_at_the_ends() -> None:
    draft = ScheduleDraft(_schedule("a", "b", "c"))
    draft.move("a", 1)
    assert _keys(draft) == ["b", "a", "c"]
    draft.move("a", 99)
    assert _keys(draft) == ["b", "c", "a"]
    draft.move("a", 99)
    draft.undo()
    assert _keys(draft) == ["b", "a", "c"]


def test_typing_in_one_field_is_one_step() -> None:
    draft = ScheduleDraft(_schedule("s1"))
    for name in ("W", "Wr", "Wrap"):
        draft.put(replace(draft.schedule.stages[0], name=name), "name")
    draft.put(replace(draft.schedule.stages[0], guard_s=60.0), "guard")
    draft.undo()
    assert draft.schedule.stages[0].name == "Wrap"
    draft.undo()
    assert draft.schedule.stages[0].name == "S1"
    draft.redo()
    draft.redo()
    assert draft.schedule.stages[0].guard_s == 60.0
    assert not draft.redo()


def test_locked_stages_stay_as_and_where_they_are() -> None:
    draft = ScheduleDraft(_schedule("a", "b", "c"), locked=("a", "b"))
    for change in (
        lambda: draft.remove("a"),
        lambda: draft.move("b", 2),
        lambda: draft.put(Stage("a", "Other")),
    ):
        with pytest.raises(DraftProblem):
            change()
    draft.move("c", 0)
    assert _keys(draft) == ["a", "b", "c"]
    key = draft.add(Stage("", "Wrap"), after="a")
    assert _keys(draft) == ["a", "b", key, "c"]
    draft.take_over(_schedule("a", "z"))
    assert _keys(draft)[:2] == ["a", "b"]
    assert [s.name for s in draft.schedule.stages] == ["A", "B", "A", "Z"]


def test_a_stage_under_way_may_change_but_not_go_elsewhere() -> None:
    draft = ScheduleDraft(_schedule("a", "b", "c"), locked=("a",), pinned=("b",))
    draft.put(replace(draft.schedule.stages[1], guard_s=60.0), "guard")
    assert draft.schedule.stages[1].guard_s == 60.0
    with pytest.raises(DraftProblem):
        draft.move("b", 2)
    with pytest.raises(DraftProblem):
        draft.remove("b")
    draft.move("c", 0)
    assert _keys(draft) == ["a", "b", "c"]
    assert draft.undo()
    assert draft.schedule.stages[1].guard_s is None


def test_undo_does_not_reach_into_a_stage_that_was_locked_since() -> None:
    draft = ScheduleDraft(_schedule("a", "b"))
    draft.put(replace(draft.schedule.stages[0], guard_s=60.0), "guard")
    draft.put(replace(draft.schedule.stages[1], guard_s=60.0), "guard")
    draft.lock(("a",))
    assert draft.undo()
    assert not draft.undo()
    assert draft.schedule.stages[0].guard_s == 60.0


def test_changed_is_held_against_what_was_kept() -> None:
    draft = ScheduleDraft(_schedule("a"))
    assert not draft.changed
    draft.rename("Other")
    assert draft.changed
    draft.keep()
    assert not draft.changed
    draft.undo()
    assert draft.changed


class ClumsyCook(RuleBasedStateMachine):
    """Does anything in any order; undo and redo always lead back to what was there."""

    def __init__(self) -> None:
        super().__init__()
        self.draft = ScheduleDraft(_schedule("a", "b", "c", "d"), locked=("a",))
        self.seen = [self.draft.schedule]
        self.undone: list[Schedule] = []

    def _did(self) -> None:
        if self.draft.schedule != self.seen[-1]:
            self.seen.append(self.draft.schedule)
            self.undone.clear()

    def _key(self, number: int) -> str:
        return _keys(self.draft)[number % len(self.draft.schedule.stages)]

    @rule(number=st.integers(0, 9))
    def add(self, number: int) -> None:
        self.draft.add(Stage("", "New"), self._key(number))
        self._did()

    @rule(number=st.integers(0, 9))
    def duplicate(self, number: int) -> None:
        self.draft.duplicate(self._key(number))
        self._did()

    @rule(
        number=st.integers(0, 9),
        to=st.integers(-2, 9),
        what=st.sampled_from(["move", "remove", "put"]),
    )
    def change(self, number: int, to: int, what: str) -> None:
        key = self._key(number)
        act: dict[str, Any] = {
            "move": lambda: self.draft.move(key, to),
            "remove": lambda: self.draft.remove(key),
            "put": lambda: self.draft.put(Stage(key, "Other", rules=(ForTime(60.0 + to),))),
        }
        if key == "a":
            with pytest.raises(DraftProblem):
                act[what]()
        else:
            act[what]()
            self._did()

    @precondition(lambda self: len(self.seen) > 1)
    @rule()
    def undo(self) -> None:
        assert self.draft.undo()
        self.undone.append(self.seen.pop())

    @precondition(lambda self: self.undone)
    @rule()
    def redo(self) -> None:
        assert self.draft.redo()
        self.seen.append(self.undone.pop())

    @invariant()
    def stands_where_it_should(self) -> None:
        assert self.draft.schedule == self.seen[-1]
        keys = _keys(self.draft)
        assert keys[0] == "a"
        assert len(set(keys)) == len(keys)
        assert bool(self.draft.can_undo) == (len(self.seen) > 1)


TestClumsyCook = ClumsyCook.TestCase
