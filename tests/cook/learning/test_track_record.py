"""How good forecasts were: one cook by hand, many together, and the words for it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.learning import track_record_words as words
from smokejournal.cook.learning.track_record import (
    MOMENTS,
    CookMarks,
    JudgedForecast,
    Way,
    WhyNot,
    gather,
    marks_of,
    needed,
    straight_line_s,
)
from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.entries import CookClosed, ForecastMade, LeadSet, Payload
from smokejournal.cook.log.schedule import PIT as PIT_KEY
from smokejournal.cook.log.schedule import Stage, UntilTemperature
from smokejournal.cook.progress.believed import BelievedTrace
from tests.support.logs import MEAT, OTHER, PIT, T0, cook_log, ramp

H = 3600.0
COOK = Stage("s1", "Cook", (UntilTemperature(74.0),), pit_target_c=107.0)
WARM = Stage("s0", "Warm up", (UntilTemperature(107.0, channel=PIT_KEY),), pit_target_c=107.0)
#: 17 °C an hour: a line through it is at 74 °C after 14400 s. The median of a minute of readings ten
#: seconds apart is that of 25 s earlier, so that it is there with the reading at 14430 s.
READINGS = ramp("meat", 0, 5 * H, 6.0, 91.0)
CAME = 14430.0


def made(
    low_s: float | None, mid_s: float | None, high_s: float | None, target_c: float = 74.0
) -> ForecastMade:
    moments = [None if s is None else T0 + s for s in (low_s, mid_s, high_s)]
    return ForecastMade("meat", target_c, "forecast", *moments)


#: Near a quarter (3607.5 s), half (7215 s), three quarters (10822.5 s) and nine tenths (12987 s).
SAID: list[tuple[float, Payload]] = [
    (3600.0, made(12000, 14000, 17000)),
    (7200.0, made(12000, 13000, 14000)),
    (10800.0, made(13000, 15000, None)),
    (13200.0, made(14000, None, None)),
]


def log(
    said: Sequence[tuple[float, Payload]] = SAID,
    readings: Sequence[tuple[float, str, float]] = READINGS,
    stages: Sequence[Stage] = (COOK,),
) -> CookLog:
    return cook_log(stages, [*said, (6 * H, CookClosed())], readings)


class TestOneCook:
    def test_by_hand(self) -> None:
        found = marks_of(log())
        assert found.why is None
        assert found.way == Way("meat", 74.0, T0, T0 + CAME)
        line = pytest.approx(-30.0, abs=1e-3)
        # 1.2816 ln(10830 / 10400) / ln(13400 / 10400) = 0.2048 and so on, by a table of the normal.
        quarter, half, three = (pytest.approx(p, abs=1e-4) for p in (0.5812, 0.9621, 0.3863))
        assert found.marks == (
            JudgedForecast(0.25, T0 + 3600, 10830.0, True, -430.0, line, quarter),
            JudgedForecast(0.5, T0 + 7200, 7230.0, False, -1430.0, line, half),
            JudgedForecast(0.75, T0 + 10800, 3630.0, True, 570.0, line, three),
            JudgedForecast(0.9, T0 + 13200, 1230.0, True, None, line),
        )

    def test_the_nearest_counts_and_none_too_far_off(self) -> None:
        said = [
            (3607.5 - 361.0, made(1, 2, 3)),
            (7215.0 - 200.0, made(1, 2, 3)),
            (7215.0 + 100.0, made(12000, 14000, 17000)),
            (10822.5 + 360.0, made(12000, 14000, 17000)),
            (14435.0, made(12000, 14000, 17000)),
        ]
        quarter, half, three, nine = marks_of(log(said)).marks
        assert quarter is None
        assert half is not None
        assert half.made_s == T0 + 7315.0
        assert three is not None
        assert nine is None

    def test_on_a_short_way_no_forecast_stands_for_two(self) -> None:
        """A way of 2000 s: three quarters and nine tenths lie 300 s apart, and 150 s is near."""
        readings = ramp("meat", 0, 3000, 4.0, 94.0 + 10.0)
        said = [(1650.0, made(1, 2, 3))]
        marks = marks_of(log(said, readings)).marks
        assert sum(mark is not None for mark in marks) <= 1

    def test_reached_ones_and_those_of_another_target_do_not_count(self) -> None:
        said: list[tuple[float, Payload]] = [
            (3600.0, made(1, 2, 3, target_c=60.0)),
            (7200.0, made(12000, 14000, 17000)),
            (10800.0, ForecastMade("meat", 74.0, "reached")),
        ]
        found = marks_of(log(said))
        assert [mark is not None for mark in found.marks] == [False, True, False, False]

    def test_a_last_target_that_did_not_come_gives_way_to_the_one_before(self) -> None:
        found = marks_of(log([*SAID, (16000.0, made(20000, 21000, 22000, target_c=99.0))]))
        assert found.way is not None
        assert found.way.target_c == 74.0

    @pytest.mark.parametrize(
        ("said", "readings", "why"),
        [
            ([], READINGS, "no_forecast"),
            ([(3600.0, ForecastMade("meat", 74.0, "reached"))], READINGS, "no_forecast"),
            (SAID, ramp("meat", 0, 4 * H, 6.0, 70.0), "never_came"),
            (SAID, [], "not_heard"),
            (SAID, ramp("other", 0, 5 * H, 6.0, 91.0), "not_heard"),
        ],
    )
    def test_why_not(
        self,
        said: Sequence[tuple[float, Payload]],
        readings: Sequence[tuple[float, str, float]],
        why: WhyNot,
    ) -> None:
        found = marks_of(log(said, readings))
        assert (found.way, found.why) == (None, why)
        assert found.marks == (None,) * 4

    def test_the_way_begins_when_the_pit_was_warm(self) -> None:
        pit = ramp("pit", 0, 1800, 20.0, 110.0) + ramp("pit", 1810, 5 * H, 110.0, 110.0)
        found = marks_of(log(readings=[*READINGS, *pit], stages=(WARM, COOK)))
        assert found.way is not None
        # 107 °C is there after 1740 s and is proven a while later.
        assert 1740.0 <= found.way.began_s - T0 <= 1900.0
        assert marks_of(log(stages=(WARM, COOK))).way == Way("meat", 74.0, T0, T0 + CAME)

    def test_only_what_is_needed_is_asked_for(self) -> None:
        assert needed(log().holding()) == ("meat",)
        assert needed(log(stages=(WARM, COOK)).holding()) == ("meat", "pit")
        assert needed(log([]).holding()) == ()

    def test_a_simulated_probe_makes_it_a_simulated_cook(self) -> None:
        assert not marks_of(log()).simulated
        simulated = cook_log(
            [COOK], SAID, READINGS, channels=(PIT, replace(MEAT, simulated=True), OTHER)
        )
        assert marks_of(simulated).simulated
        other = cook_log(
            [COOK], SAID, READINGS, channels=(PIT, MEAT, replace(OTHER, simulated=True))
        )
        assert not marks_of(other).simulated

    def test_the_lead_may_change(self) -> None:
        said = [*SAID, (14000.0, LeadSet("other", "meat"))]
        assert marks_of(log(said)).way == marks_of(log()).way


def sound(at_s: Sequence[float], value_c: Sequence[float]) -> BelievedTrace:
    at = np.array(at_s, dtype=np.float64)
    return BelievedTrace(
        MEAT, at, np.array(value_c, dtype=np.float64), np.ones(at.size, dtype=np.bool_), at
    )


class TestStraightLine:
    def test_it_is_straight(self) -> None:
        rising = sound([0, 300, 600, 900, 1200], [10, 20, 30, 40, 50])
        assert straight_line_s(rising, 1200.0, 70.0) == pytest.approx(1800.0)
        assert straight_line_s(rising, 1200.0, 50.0) == pytest.approx(1200.0)
        assert straight_line_s(rising, 1200.0, 30.0) == 1200.0

    def test_least_squares(self) -> None:
        """Through (-900, 1), (-600, 3), (-300, 2), (0, 4): 0.8 in 300 s, at 3.7 now."""
        found = straight_line_s(sound([0, 300, 600, 900], [1, 3, 2, 4]), 900.0, 11.7)
        assert found == pytest.approx(900.0 + 3000.0)

    @pytest.mark.parametrize(
        ("at_s", "value_c"),
        [
            ([0, 300, 600, 900], [70, 70, 70, 70]),
            ([0, 300, 600, 900], [73, 72, 71, 70]),
            ([0, 300, 600, 900], [70, 70, 70, 70.01]),
            ([0, 450, 900], [10, 20, 30]),
            ([700, 800, 850, 900], [10, 20, 30, 40]),
            ([], []),
        ],
        ids=["level", "falling", "beyond a day", "three readings", "three minutes", "none"],
    )
    def test_no_time_told(self, at_s: list[float], value_c: list[float]) -> None:
        assert straight_line_s(sound(at_s, value_c), 900.0, 74.0) is None

    @given(st.lists(st.floats(0, 120), min_size=1, max_size=20))
    def test_what_came_later_makes_no_difference(self, later: list[float]) -> None:
        at_s = [60.0 * n for n in range(30)]
        value_c = [10.0 + n for n in range(30)]
        before = straight_line_s(sound(at_s, value_c), 1740.0, 74.0)
        at_s += [1741.0 + n for n in range(len(later))]
        assert straight_line_s(sound(at_s, [*value_c, *later]), 1740.0, 74.0) == before


WAY = Way("meat", 74.0, 0.0, 14400.0)


def cook(n: int, marks: Sequence[tuple[bool, float | None, float | None] | None]) -> CookMarks:
    """Marks by (held, off [s], the line's), with an hour left each."""
    return CookMarks(
        n,
        False,
        WAY,
        None,
        tuple(
            None if m is None else JudgedForecast(share, 0.0, H, m[0], m[1], m[2])
            for share, m in zip(MOMENTS, marks, strict=True)
        ),
    )


THREE = [
    cook(1, [(True, -360.0, 720.0), (True, 180.0, None), None, (False, None, None)]),
    cook(2, [(True, 720.0, -1440.0), (False, 1800.0, 360.0), None, (False, None, 90.0)]),
    cook(3, [(False, -1080.0, 3600.0), None, None, (True, 36.0, None)]),
]
OUT = [CookMarks(4, False, why="no_forecast"), CookMarks(5, False, why="never_came")]


class TestMany:
    def test_by_hand(self) -> None:
        record = gather([*THREE, *OUT])
        assert (record.finished, record.cooks) == (5, 3)
        assert (record.no_forecast, record.never_came, record.not_heard) == (1, 1, 0)
        quarter, half, three, nine = record.moments
        assert (quarter.judged, quarter.held, quarter.none_made) == (3, 2, 0)
        # Wilson's interval of 2 of 3 by hand: 1.96² / 3 = 1.2805; (0.6667 + 0.6403 ± 0.8333) / 2.2805.
        assert quarter.low == pytest.approx(0.2077, abs=5e-5)
        assert quarter.high == pytest.approx(0.9385, abs=5e-5)
        assert quarter.off is not None
        assert (quarter.off.share, quarter.off.seconds) == (0.2, 720.0)
        assert quarter.lean is not None
        assert (quarter.lean.share, quarter.lean.seconds) == (-0.1, -360.0)
        assert quarter.line is not None
        assert (quarter.line.share, quarter.line.told_none) == (0.4, 0)
        assert (half.judged, half.held, half.none_made) == (2, 1, 1)
        assert half.off is not None
        assert half.off.share == pytest.approx(0.275)
        assert half.line is not None
        assert (half.line.share, half.line.told_none) == (math.inf, 1)
        assert (three.judged, three.none_made, three.off, three.low) == (0, 3, None, None)
        # Two of three told no time: the middle one is without bound, the leaning is that of one.
        assert nine.off is not None
        assert (nine.off.share, nine.off.told_none) == (math.inf, 2)
        assert nine.lean is not None
        assert nine.lean.seconds == 36.0

    def test_nothing(self) -> None:
        record = gather([])
        assert (record.finished, record.cooks) == (0, 0)
        assert [moment.judged for moment in record.moments] == [0] * 4

    seconds = st.none() | st.floats(-1e5, 1e5)
    mark = st.none() | st.tuples(st.booleans(), seconds, seconds)
    cooks = st.lists(
        st.lists(mark, min_size=4, max_size=4).map(lambda marks: cook(0, marks))
        | st.sampled_from(OUT),
        max_size=12,
    )

    @given(cooks.flatmap(lambda found: st.tuples(st.just(found), st.permutations(found))))
    def test_their_order_makes_no_difference(
        self, both: tuple[list[CookMarks], list[CookMarks]]
    ) -> None:
        assert gather(both[0]) == gather(both[1])

    @given(cooks)
    def test_counts_add_up(self, found: list[CookMarks]) -> None:
        record = gather(found)
        assert record.finished == len(found)
        for moment in record.moments:
            assert 0 <= moment.held <= moment.judged
            assert moment.judged + moment.none_made == record.cooks
            if moment.judged:
                assert moment.low is not None
                assert moment.high is not None
                assert moment.low <= moment.held / moment.judged <= moment.high
                assert moment.off is not None
                assert (moment.lean is None) == (moment.off.told_none == moment.judged)
        assert all(words.row(moment) for moment in record.moments)
        assert words.above(record)


class TestWords:
    def test_row(self) -> None:
        quarter, half, three, nine = (words.row(m) for m in gather(THREE).moments)
        assert quarter == (
            "a quarter",
            "3 of 3",
            "2 of 3\n21 – 94 %",
            "20 %\n12 min",
            "10 % too early\n6 min",
            "40 %\n24 min",
        )
        assert half[3:] == (
            "28 %\n16 min",
            "28 % too late\n16 min",
            "no time in 1 of 2",
        )
        assert three == ("three quarters", "0 of 3", "–", "–", "–", "–")
        assert nine[3] == "no time in 2 of 3"
        assert nine[4] == "1 % too late\n1 min"
        assert len(words.heads()) == len(quarter)

    def test_leaning_to_both_sides(self) -> None:
        """-10 % and +20 % are 5 % too late in the middle; -36 and +7.2 min are 14.4 min too early."""
        long = JudgedForecast(0.25, 0.0, 6 * H, True, -2160.0, 0.0)
        short = JudgedForecast(0.25, 0.0, 2160.0, True, 432.0, 0.0)
        both = [replace(THREE[0], marks=(mark, None, None, None)) for mark in (long, short)]
        assert words.row(gather(both).moments[0])[4] == "5 % too late\n14 min too early"

    def test_above(self) -> None:
        assert words.above(gather([])).startswith("Nothing to judge yet. Forecasts are compared")
        assert "none of the finished cooks has" in words.above(gather(OUT))
        assert words.above(gather(THREE)) == (
            "3 finished cooks can be judged. A quarter of the way along, the range held in 2 of 3; it should in 8 of 10. Half were off by 20 % of what remained, or less; of straight lines, by 40 %. 3 cooks say little: the next one may change every figure."
        )
        one = words.above(gather([cook(1, [None, (True, 36.0, None), None, None])]))
        assert "Half way, the range held in 1 of 1" in one
        assert "It was off by 1 % of what remained; a straight line gave no time." in one
        assert one.endswith("One cook says next to nothing.")
        line = words.above(gather([cook(1, [None, (True, 36.0, 360.0), None, None])]))
        assert "It was off by 1 % of what remained; a straight line, by 10 %." in line
        two = words.above(gather(THREE[:2] + [cook(9, [(True, 1.0, None)] * 4)] * 3))
        assert "half or more of the straight lines gave no time." in two
        silent = words.above(gather([cook(1, [None, (False, None, None), None, None])]))
        assert "off by" not in silent
        many = gather([cook(n, [(True, 1.0, 1.0)] * 4) for n in range(10)])
        assert "little" not in words.above(many)

    def test_what_is_not_counted(self) -> None:
        assert words.not_counted(gather(THREE)) == ""
        assert words.not_counted(gather([*THREE, *OUT])) == (
            "Finished cooks that are not counted: no forecast gave a time: 1; the target was not reached: 1."
        )

    def test_how_it_is_read(self) -> None:
        text = " ".join(words.meaning())
        assert "within 6 min and 7.5 % of the way" in text
        assert "20 min" in text

    def test_errors_without_end(self) -> None:
        wild = gather([cook(1, [(False, 1e5, 1.0)] * 4)])
        assert words.row(wild.moments[0])[3].startswith("over 1000 %\n")
        assert words.row(wild.moments[0])[5] == "under 1 %\nunder 1 min"
