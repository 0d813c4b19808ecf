"""What made a cook last, read off logs: the plan as it stood, earlier cooks, and the words."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from smokejournal.cook.learning.lasted import Lived, lived, planned, usual, what_made_it_last
from smokejournal.cook.learning.lasted_words import (
    part_lines,
    time_words,
    whole_words,
    why_not_words,
)
from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.entries import (
    CookClosed,
    Entry,
    ItemAdded,
    Lid,
    Payload,
    ScheduleSet,
    Strike,
    TimeExplained,
    TimePartFound,
    TimesKept,
    Weighed,
    Wrap,
)
from smokejournal.cook.log.schedule import ForTime, Schedule, Stage, UntilTemperature
from smokejournal.cook.text.quantities import METRIC, US
from smokejournal.science.forecast.explanation import PitChange, WrapChange
from tests.support.logs import T0, cook_log

H = 3600.0
SMOKE = Stage("s", "Smoke", (UntilTemperature(66.0, prove_s=60.0),), pit_target_c=110.0)
WRAPPED = Stage("w", "Wrapped in foil", (UntilTemperature(80.0, prove_s=60.0),), pit_target_c=120.0)
HOLD = Stage("h", "Hold", (ForTime(1800.0),), pit_target_c=80.0, purpose="hold")
REST = Stage("r", "Rest", (ForTime(900.0),), purpose="rest")
STAGES = (SMOKE, WRAPPED, HOLD, REST)
THIGHS = ItemAdded("chicken thighs", "poultry", mass_kg=1.2, pieces=6)


def readings(pit_c: float = 110.0, slow_s: float = 4500.0) -> list[tuple[float, str, float]]:
    """A piece that comes near its pit's temperature, over 4 h."""
    found = []
    for minute in range(240):
        at_s = 60.0 * minute
        found.append((at_s, "pit", pit_c + 1.5 * math.sin(minute / 3.0)))
        found.append((at_s, "meat", 95.0 - 90.0 * math.exp(-at_s / slow_s)))
    return found


def as_written(log: CookLog) -> CookLog:
    """The entries written in the order of their moments: what was said before the start is the plan."""
    entries = sorted(log.entries, key=lambda e: (e.at_s, e.id))
    numbered = tuple(replace(entry, id=n) for n, entry in enumerate(entries, start=1))
    return CookLog(log.cook_id, numbered, log.traces)


def log_of(
    *said: tuple[float, Payload], stages: tuple[Stage, ...] = STAGES, pit_c: float = 110.0
) -> CookLog:
    told = [(-300.0, THIGHS), *said, (4 * H, CookClosed())]
    return as_written(cook_log(list(stages), told, readings(pit_c), start=0.0))


def one(log: CookLog) -> Lived:
    found = lived(log)
    assert isinstance(found, Lived)
    return found


def explained(log: CookLog) -> TimeExplained:
    cook = one(log)
    meant = planned(log, cook)
    assert meant is not None
    found = what_made_it_last(cook, meant)
    assert isinstance(found, TimeExplained)
    return found


def part(found: TimeExplained, name: str) -> TimePartFound:
    return next(each for each in found.parts if each.name == name)


class TestThePlan:
    def test_is_read_as_it_stood_when_it_was_started(self) -> None:
        """The set point was raised, the piece was heavier: the plan knows nothing of either."""
        hotter = replace(SMOKE, pit_target_c=125.0)
        first = log_of((600.0, ScheduleSet(Schedule("", (hotter, *STAGES[1:])))))
        item = next(e for e in first.entries if isinstance(e.what, ItemAdded))
        number = len(first.entries)
        corrected = (
            Entry(number + 1, T0 + 700.0, T0 + 700.0, Strike(item.id, "weighed again")),
            Entry(number + 2, T0 + 700.0, T0 + 700.0, replace(THIGHS, mass_kg=2.4)),
        )
        before = CookLog(first.cook_id, (*first.entries, *corrected), first.traces)
        cook = one(before)
        meant = planned(before, cook)
        assert meant is not None
        assert meant.conditions.sets == (PitChange(110.0, 0.0), PitChange(120.0, None, 66.0))
        assert meant.conditions.wraps == (WrapChange("foil", None, 66.0),)
        assert meant.conditions.pit_k == 0.0
        assert meant.conditions.lid_k == 0.0
        assert meant.conditions.start_c is None
        assert meant.held_s == 1860.0
        # Twice the mass of the same shape: the cube root of two.
        assert meant.conditions.radius_m is not None
        assert cook.conditions.radius_m is not None
        ratio = cook.conditions.radius_m / meant.conditions.radius_m
        assert ratio == pytest.approx(2.0 ** (1 / 3))
        assert cook.conditions.sets is not None
        assert [each.pit_c for each in cook.conditions.sets] == [110.0, 125.0, 120.0]

    def test_changes_that_came_with_a_stage_follow_the_probe(self) -> None:
        sets = one(log_of()).conditions.sets
        assert sets == (PitChange(110.0, 0.0), PitChange(120.0, None, 66.0))

    def test_kept_times_say_how_long_it_was_to_take(self) -> None:
        kept = TimesKept({"stage:s": T0, "stage:h": T0 + 2 * H}, T0 + 3 * H)
        early, late = log_of((-200.0, kept)), log_of((600.0, kept))
        meant, too_late = planned(early, one(early)), planned(late, one(late))
        assert meant is not None
        assert too_late is not None
        assert (meant.expected_s, too_late.expected_s) == (2 * H, None)
        found = explained(early)
        assert found.told
        assert part(found, "baseline").mean_s != 0.0

    def test_a_piece_that_was_weighed_raw_is_as_heavy_as_that(self) -> None:
        cook = one(log_of((600.0, Weighed("raw", 1.8, "chicken thighs"))))
        assert cook.cook.mass_kg == pytest.approx(0.3)


class TestTheParts:
    def test_add_up_to_the_whole_and_come_by_size(self) -> None:
        found = explained(log_of((900.0, Lid(True)), (1080.0, Lid(False)), pit_c=104.0))
        whole_s = found.took_s - found.expected_s
        assert sum(each.mean_s for each in found.parts) == pytest.approx(whole_s, abs=1.0)
        sizes = [abs(each.mean_s) for each in found.parts]
        assert sizes == sorted(sizes, reverse=True)
        assert {"pit", "held", "unexplained"} <= {each.name for each in found.parts}

    def test_a_pit_below_its_set_point_made_it_last(self) -> None:
        pit = part(explained(log_of(pit_c=104.0)), "pit")
        assert pit.was == pytest.approx(-8.0, abs=3.0)
        assert pit.meant == 0.0
        assert pit.low_s > 0.0

    def test_the_hold_is_counted_exactly(self) -> None:
        held = part(explained(log_of()), "held")
        # The pit stage after the target took as long as planned, to a reading's minute.
        assert held.mean_s == held.low_s == held.high_s
        assert held.mean_s == pytest.approx(0.0, abs=120.0)

    def test_a_wrap_that_was_not_planned_is_a_cause(self) -> None:
        bare = (replace(SMOKE, rules=(UntilTemperature(80.0),)), HOLD, REST)
        wrap = part(explained(log_of((2 * 1800.0, Wrap("paper")), stages=bare)), "wrap")
        assert (wrap.was_in, wrap.meant_in) == ("paper", "none")
        assert wrap.was is not None
        assert wrap.meant is None


class TestTheUsual:
    def test_is_the_median_of_the_like(self) -> None:
        cook = one(log_of())
        earlier = [
            replace(
                cook,
                took_s=took_s,
                held_s=600.0,
                conditions=replace(cook.conditions, pit_k=pit_k, wraps=()),
            )
            for took_s, pit_k in ((6000.0, -1.0), (7000.0, 0.0), (9000.0, 4.0))
        ]
        meant = usual(cook, earlier)
        assert meant is not None
        assert (meant.expected_s, meant.held_s, meant.cooks) == (7000.0, 600.0, 3)
        assert meant.conditions.pit_k == 0.0
        assert meant.conditions.wraps == ()
        assert meant.conditions.sets == cook.conditions.sets
        found = what_made_it_last(cook, meant)
        assert isinstance(found, TimeExplained)
        assert sum(each.mean_s for each in found.parts) == pytest.approx(
            found.took_s - found.expected_s, abs=1.0
        )

    def test_needs_two_of_the_same_cut_to_the_same_target(self) -> None:
        cook = one(log_of())
        other_cut = replace(cook, cook=replace(cook.cook, cut="brisket"))
        other_target = replace(cook, cook=replace(cook.cook, target_c=90.0))
        assert usual(cook, [cook, other_cut, other_target]) is None
        assert usual(cook, [cook, cook]) is not None

    def test_a_wrap_is_usual_where_most_had_it(self) -> None:
        cook = one(log_of())
        bare = replace(cook, conditions=replace(cook.conditions, wraps=()))
        foil = replace(
            cook, conditions=replace(cook.conditions, wraps=(WrapChange("foil", 4000.0, 68.0),))
        )
        half = usual(cook, [bare, foil])
        most = usual(cook, [foil, bare, foil])
        assert half is not None
        assert most is not None
        assert half.conditions.wraps is None
        assert most.conditions.wraps == (WrapChange("foil", None, 68.0),)


class TestWhyNot:
    def test_a_cook_that_never_came_to_its_target(self) -> None:
        far = (replace(SMOKE, rules=(UntilTemperature(96.0),)), REST)
        assert lived(log_of(stages=far)) == "not_reached"

    def test_a_cook_that_is_not_over(self) -> None:
        assert lived(cook_log(list(STAGES), (), readings())) == "not_begun"

    def test_each_reason_says_what_to_do(self) -> None:
        for why in ("not_begun", "no_lead", "no_pit", "no_target", "no_reference", "too_short"):
            assert len(why_not_words(why)) > 40
        assert "two earlier cooks" in why_not_words("no_reference")
        assert "schedule" in why_not_words("no_reference")


FOUND = TimeExplained(
    "usual",
    9 * H,
    8 * H,
    (
        TimePartFound("pit", 2280.0, 1500.0, 3000.0, -6.2, -1.1),
        TimePartFound("wrap", 1200.0, 60.0, 2400.0, 74.0, 66.0, "foil", "paper"),
        TimePartFound("unexplained", -420.0, -900.0, 120.0),
        TimePartFound("lids", 300.0, -60.0, 600.0, -1.0, -0.5),
        TimePartFound("start", 30.0, 10.0, 50.0, 3.0, 4.0),
    ),
    4,
    True,
)


class TestWords:
    def test_the_whole(self) -> None:
        assert whole_words(FOUND) == (
            "9 h to the target; usually 8 h, the middle of 4 earlier cooks: 1 h longer."
        )
        planned = replace(FOUND, against="plan", told=False, took_s=8 * H - 600.0)
        assert whole_words(planned) == (
            "7 h 50 min to the target; as planned, the model gives this piece 8 h: 10 min shorter."
        )

    def test_each_part_by_size_and_what_was_not_seen_last(self) -> None:
        assert part_lines(FOUND, METRIC) == (
            "Pit 6 °C below its set point (usually 1.1 °C below): +38 min (25 to 50)",
            "Wrapped in foil at 74 °C instead of in paper at 66 °C: +20 min (1 to 40)",
            "Not explained: \N{MINUS SIGN}7 min (\N{MINUS SIGN}15 to 2)",
            "Less than 2 minutes: Meat colder at the start, 3.0 °C instead of 4.0 °C.",
            "No effect seen: Lid openings, against the usual ones.",
        )

    def test_in_the_units_of_the_person(self) -> None:
        assert part_lines(FOUND, US)[0].startswith("Pit 11 °F below its set point")

    def test_long_parts_are_told_in_hours(self) -> None:
        long = TimePartFound("set_point", 9000.0, 5400.0, 12_600.0)
        assert time_words(long) == "+2 h 30 min (+90 min to +3 h 30 min)"
        assert time_words(replace(long, low_s=9000.0, high_s=9000.0)) == "+2 h 30 min"

    def test_the_plan_itself_may_be_what_was_short(self) -> None:
        short = TimeExplained(
            "plan", 9 * H, 8 * H, (TimePartFound("baseline", H, 1800.0, 5400.0),), told=True
        )
        assert part_lines(short, METRIC) == (
            "The planned times, against the model: +60 min (30 to 90)",
        )


def test_numbers_are_finite() -> None:
    found = explained(log_of())
    assert np.isfinite([x for p in found.parts for x in (p.mean_s, p.low_s, p.high_s)]).all()
