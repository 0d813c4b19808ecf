"""Patterns in the journal and in files."""

from pathlib import Path

import pytest

from smokejournal.cook.codec.patterns import LARGEST_BYTES, PatternProblem
from smokejournal.cook.plan.pattern import pattern_of
from smokejournal.cook.plan.plan import plan_of
from smokejournal.services.program.program import Program
from smokejournal.services.stores.patterns import Patterns, pattern_from_file, pattern_to_file
from tests.cook.plan.test_pattern import LOAF


def test_a_plan_begun_from_a_pattern_is_the_same_plan(program: Program) -> None:
    patterns = Patterns(program)
    patterns.keep(LOAF).result(5)
    assert patterns.names() == ("Meat loaf",)
    kept = patterns.get("Meat loaf")
    assert kept == LOAF
    cook_id = patterns.begin(LOAF, "Europe/Paris", "yard", 8.0)
    plan = plan_of(program.live(cook_id).log())
    assert pattern_of(plan) == LOAF
    assert (plan.title, plan.place, plan.ready_at_s) == ("Meat loaf", "yard", None)


def test_a_pattern_is_forgotten_and_another_one_stays(program: Program) -> None:
    patterns = Patterns(program)
    patterns.keep(LOAF).result(5)
    other = pattern_of(plan_of(program.live(program.new_cook("Ribs", "UTC")).log()))
    patterns.keep(other).result(5)
    patterns.forget("Meat loaf").result(5)
    assert patterns.names() == ("Ribs",)
    assert patterns.get("Meat loaf") is None


def test_a_file_that_was_there_is_replaced_whole_or_not_at_all(tmp_path: Path) -> None:
    path = tmp_path / "loaf.pattern.json"
    path.write_text("old")
    pattern_to_file(LOAF, path)
    assert pattern_from_file(path) == LOAF
    assert [p.name for p in tmp_path.iterdir()] == ["loaf.pattern.json"]
    with pytest.raises(OSError):
        pattern_to_file(LOAF, tmp_path / "none" / "x.json")
    (tmp_path / "folder").mkdir()
    with pytest.raises(OSError, match="in its place"):
        pattern_to_file(LOAF, tmp_path / "folder")


def test_a_file_too_large_is_not_read_to_its_end(tmp_path: Path) -> None:
    path = tmp_path / "large.json"
    path.write_bytes(b" " * (LARGEST_BYTES + 5))
    with pytest.raises(PatternProblem, match="larger"):
        pattern_from_file(path)
