"""The summary against numbers worked out by hand or by a few independent lines."""

from __future__ import annotations

import math
import statistics
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.entries import (
    ChannelSet,
    CookClosed,
    Entry,
    FuelAdded,
    FuelLevel,
    ItemAdded,
    Lid,
    NextTime,
    Note,
    Payload,
    PrepStep,
    ProbeMoved,
    ReadingsStruck,
    StageConfirmed,
    StagePutBack,
    StageSkipped,
    Strike,
    Tasted,
    WeatherObserved,
    Weighed,
)
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.log.schedule import ForTime, Stage, UntilSaid, UntilTemperature
from smokejournal.cook.summary.summary import Summary, summarize
from smokejournal.cook.summary.yields import yields
from tests.support.logs import T0, cook_log, ramp

HOUR = 3600.0
Readings = list[tuple[float, str, float]]

COOK = Stage("s1", "Cook", (UntilTemperature(74.0, prove_s=60.0),), pit_target_c=107.0)
HOLD = Stage("s2", "Hold", (ForTime(1800.0, at_least_c=74.0),), pit_target_c=95.0)
REST = Stage("s3", "Rest", (ForTime(1200.0),))


def curve(
    channel: str, until_s: float, value: Callable[[float], float], every: float = 10.0
) -> Readings:
    return [(n * every, channel, value(n * every)) for n in range(int(until_s / every) + 1)]


def warming(tau_s: float, pit_c: float = 82.0, from_c: float = 4.0) -> Callable[[float], float]:
    """First-order warming of meat in a pit: enough to have a shape that is known exactly."""
    return lambda t: pit_c - (pit_c - from_c) * math.exp(-t / tau_s)


def whole_cook() -> CookLog:
    readings = ramp("meat", 0, 10800, 5.0, 95.0) + ramp("other", 0, 10800, 3.0, 93.0)
    readings += ramp("pit", 0, 10800, 107.0, 107.0)
    readings += ramp("meat", 10810, 18000, 95.0, 80.0)
    said: list[tuple[float, Payload]] = [
        (-3600, ItemAdded("pork shoulder", "red_meat", mass_kg=3.2)),
        (-3000, PrepStep("rub", "salt and pepper")),
        (-500, FuelLevel(0.0, 0.0)),
        (-400, FuelAdded("beech", 5.0, 0.05, price_per_kg=2.0, currency="EUR")),
        (0, WeatherObserved(sky="clear", air_c=-2.0, humidity_pct=80.0, wind_m_s=5.0)),
        (3000, Lid(True)),
        (3060, Lid(False)),
        (6000, Lid(True)),
        (6200, Lid(False)),
        (7000, Note("smells right")),
        (11000, FuelLevel(3.0, 0.1)),
        (16000, Weighed("cooked", 2.0)),
        (17000, Tasted("good", {"overall": 4})),
        (17000, Tasted("dry", {"overall": 3, "moisture": 2})),
        (17100, NextTime("wrap earlier")),
        (18000, CookClosed()),
    ]
    return cook_log([COOK, HOLD, REST], said, readings)


class TestFactOfTheTrade:
    def test_probe_that_reads_low_is_late_and_both_times_are_told(self) -> None:
        """Common practice, no source: at a pit of 82 °C a probe 2.2 °C low is some twenty minutes late

        at 65.6 °C. Meat that warms with a time constant of two hours shows that order of size.
        """
        true = warming(7200.0)
        readings = curve("meat", 6 * HOUR, true) + curve("other", 6 * HOUR, lambda t: true(t) - 2.2)
        stage = Stage("s1", "Smoke", (UntilTemperature(65.6),), pit_target_c=82.0)
        summary = summarize(cook_log([stage], (), readings), T0 + 6 * HOUR)
        first = next(r for r in summary.reaches if r.channel == "meat")
        late = next(r for r in summary.reaches if r.channel == "other")
        # By hand: t = tau ln(78 / (82 - T)), and the readings come every 10 s.
        assert first.minute == pytest.approx(120 * math.log(78 / 16.4), abs=1 / 6)
        assert late.minute == pytest.approx(120 * math.log(78 / (16.4 - 2.2)), abs=1 / 6)
        (gap,) = summary.apart
        assert (gap.first, gap.second, gap.target_c) == ("meat", "other", 65.6)
        assert gap.later_s == pytest.approx(late.first_at_s - first.first_at_s)  # type: ignore[operator]
        assert 10 * 60 < gap.later_s < 35 * 60
        (difference,) = summary.differences
        assert difference.mean_k == pytest.approx(-2.2)
        assert difference.sd_k == pytest.approx(0.0, abs=1e-9)
        # Together from the start to the end of the stage, which is over once the lead has proved it.
        assert late.first_at_s is not None
        ended_s = summary.stages[0].ended_s
        assert ended_s is not None
        assert difference.n == int((ended_s - T0) / 10) + 1


@pytest.fixture(scope="module")
def summary() -> Summary:
    return summarize(whole_cook(), T0 + 20000)


class TestWholeCook:
    def test_head(self, summary: Summary) -> None:
        assert (summary.title, summary.phase, summary.simulated) == ("Test cook", "closed", False)
        assert summary.started_s == T0
        assert [item.name for item in summary.items] == ["pork shoulder"]

    def test_stages(self, summary: Summary) -> None:
        cook, hold, rest = summary.stages
        # 74 °C is passed at (74 - 5) / 90 of 10800 s = 8280 s and proven 60 s later.
        assert cook.began_s == T0
        assert cook.length_s == pytest.approx(8340)
        assert cook.how == "rule"
        assert cook.planned_s is None
        assert cook.pit is not None
        assert (cook.pit.mean_c, cook.pit.sd_c, cook.pit.n) == (107.0, 0.0, 835)
        assert hold.credited_s == pytest.approx(1800)
        assert hold.needed_s == 1800
        assert hold.planned_s == 1800
        assert rest.planned_s == 1200
        assert rest.length_s == pytest.approx(1200)
        assert rest.ended_s == pytest.approx(T0 + 8340 + 1800 + 1200)

    def test_reaching_and_apart(self, summary: Summary) -> None:
        meat, other = summary.reaches
        assert meat.first_at_s == T0 + 8280
        assert meat.proven_at_s == T0 + 8340
        assert meat.minute == 138.0
        assert other.first_at_s == T0 + 8520
        (gap,) = summary.apart
        assert gap.later_s == 240.0

    def test_difference(self, summary: Summary) -> None:
        (difference,) = summary.differences
        assert difference.mean_k == pytest.approx(-2.0)
        assert difference.n == 1081

    def test_extremes(self, summary: Summary) -> None:
        by_channel = {fact.channel: fact for fact in summary.extremes}
        assert by_channel["meat"].highest_c == 95.0
        assert by_channel["meat"].highest_at_s == T0 + 10800
        assert by_channel["meat"].lowest_c == 5.0

    def test_lid_weather_fuel(self, summary: Summary) -> None:
        assert (summary.lid.count, summary.lid.open_s, summary.lid.longest_s) == (2, 260.0, 200.0)
        (weather,) = summary.weather
        assert weather.feels.by == "wind_chill"
        assert weather.dew_point_c is not None
        # 5.0 kg in an empty hopper, 3.0 left just after the last stage that asks for heat.
        assert summary.fuel.used_kg.value == pytest.approx(2.0)
        assert summary.fuel.used_kg.sd == pytest.approx(math.hypot(0.05, 0.1))
        assert summary.fuel.costs[0][1].value == pytest.approx(4.0)

    def test_yield_and_taste(self, summary: Summary) -> None:
        raw, _, cooked, served = summary.yields.whole.steps
        assert raw.mass_kg == 3.2
        assert cooked.share_pct == pytest.approx(62.5)
        assert served.mass_kg is None
        assert summary.marks() == {"overall": (3.5, 2), "moisture": (2.0, 1)}
        assert [text for _, text in summary.next_time] == ["wrap earlier"]

    def test_cautions_name_what_was_cooked(self, summary: Summary) -> None:
        said = " ".join(caution.in_full for caution in summary.cautions())
        assert "62.8 °C (145 °F)" in said
        assert "Local codes" in said

    def test_years_later_it_says_the_same(self, summary: Summary) -> None:
        later = summarize(whole_cook(), T0 + 1e8)
        assert (later.stages, later.reaches, later.fuel) == (
            summary.stages,
            summary.reaches,
            summary.fuel,
        )


class TestProbes:
    def test_correction_counts_and_is_the_one_in_force(self) -> None:
        readings = curve("meat", 2000, lambda t: 70.0 + t / 500)
        stage = Stage("s1", "Cook", (UntilTemperature(73.0),))
        said: list[tuple[float, Payload]] = [
            (1000, ChannelSet(Channel("meat", "Shoulder", offset_c=1.0)))
        ]
        summary = summarize(cook_log([stage], said, readings), T0 + 3000)
        # 70 + t/500 + 1 passes 73 at 1000 s, with the correction that holds from then on.
        assert summary.reaches[0].first_at_s == T0 + 1000
        assert summary.extremes[0].highest_c == pytest.approx(75.0)
        assert summary.extremes[0].lowest_c == pytest.approx(70.0)

    def test_a_probe_that_was_pulled_out_reaches_nothing(self) -> None:
        readings = curve("meat", 1000, lambda t: 40.0)
        readings += [(1010 + n * 10.0, "meat", 98.0) for n in range(12)]
        readings += [(1130 + n * 10.0, "meat", 40.2) for n in range(12)]
        summary = summarize(cook_log([COOK], (), readings), T0 + 1300)
        assert summary.reaches[0].first_at_s is None
        (fact,) = summary.extremes
        assert fact.highest_c == pytest.approx(40.2)
        assert fact.jumped == 12

    def test_probe_that_was_moved_is_believed_again(self) -> None:
        readings = curve("meat", 1000, lambda t: 40.0)
        readings += [(1010 + n * 10.0, "meat", 75.0) for n in range(12)]
        said: list[tuple[float, Payload]] = [(1005, ProbeMoved("meat"))]
        summary = summarize(cook_log([COOK], said, readings), T0 + 1200)
        assert summary.reaches[0].first_at_s == T0 + 1010

    def test_struck_and_absurd_readings_do_not_count(self) -> None:
        readings = curve("meat", 1000, lambda t: 40.0)
        readings += [(1010.0, "meat", 327.67), (1020.0, "meat", 40.0), (1030.0, "meat", 44.0)]
        said: list[tuple[float, Payload]] = [(1100, ReadingsStruck("meat", T0 + 1030, T0 + 1030))]
        summary = summarize(cook_log([COOK], said, readings), T0 + 1200)
        assert summary.extremes[0].highest_c == 40.0
        assert summary.extremes[0].absurd == 1

    def test_gaps_are_counted_and_never_proved_across(self) -> None:
        readings = curve("meat", 300, lambda t: 74.5)
        readings = [r for r in readings if r[0] <= 50]
        readings += [(400.0, "meat", 74.5), (410.0, "meat", 74.5), (900.0, "meat", 74.5)]
        summary = summarize(cook_log([COOK], (), readings), T0 + 950)
        (gap,) = summary.gaps
        assert (gap.channel, gap.count, gap.longest_s, gap.total_s) == ("meat", 2, 490.0, 840.0)
        assert summary.reaches[0].first_at_s == T0
        assert summary.reaches[0].proven_at_s is None

    def test_falling_target_is_looked_for_from_its_stage_on(self) -> None:
        cool = Stage("s2", "Cool", (UntilTemperature(60.0, "falling"),))
        readings = ramp("meat", 0, 1000, 20.0, 80.0) + ramp("meat", 1010, 2010, 80.0, 50.0)
        summary = summarize(cook_log([COOK, cool], (), readings), T0 + 2100)
        falling = next(r for r in summary.reaches if r.direction == "falling")
        assert falling.first_at_s is not None
        assert falling.first_at_s > T0 + 1500

    @given(
        st.lists(st.floats(50, 90), min_size=2, max_size=40),
        st.floats(-3, 3),
    )
    def test_difference_is_what_the_standard_library_says(
        self, values: list[float], shift: float
    ) -> None:
        hand = (Channel("a", "A", by_hand=True), Channel("b", "B", by_hand=True))
        readings: Readings = []
        for n, value in enumerate(values):
            readings += [(n * 10.0, "a", value), (n * 10.0, "b", value * 1.01 + shift)]
        log = cook_log([COOK], (), readings, channels=hand)
        (found,) = summarize(log, T0 + 1000).differences
        steps = [value * 1.01 + shift - value for value in values]
        assert found.mean_k == pytest.approx(statistics.fmean(steps), abs=1e-9)
        assert found.sd_k == pytest.approx(statistics.stdev(steps), abs=1e-6)
        assert found.n == len(values)


class TestStages:
    def test_skipped_put_back_and_not_reached(self) -> None:
        said: list[tuple[float, Payload]] = [
            (10, StageSkipped("s2")),
            (100, StageConfirmed("s1")),
            (200, StagePutBack("s1")),
            (300, CookClosed()),
        ]
        summary = summarize(cook_log([COOK, HOLD, REST], said), T0 + 400)
        told = [(line.stage.key, line.state, line.how) for line in summary.stages]
        assert told == [
            ("s1", "over", "confirmed"),
            ("s3", "over", "put_back"),
            ("s1", "over", "closed"),
            ("s2", "not_reached", None),
        ]

    def test_skipped_before_its_turn(self) -> None:
        said: list[tuple[float, Payload]] = [(10, StageSkipped("s2")), (100, StageConfirmed("s1"))]
        summary = summarize(cook_log([COOK, HOLD, REST], said), T0 + 400)
        assert [line.state for line in summary.stages] == ["over", "skipped", "under_way"]

    def test_nothing_but_a_title(self) -> None:
        summary = summarize(cook_log([], start=None), T0)
        assert summary.phase == "planned"
        assert summary.stages == ()
        assert summary.reaches == ()
        assert summary.length_s is None
        assert not summary.fuel.logged
        assert not summary.yields.known

    def test_empty_log(self) -> None:
        assert summarize(CookLog(1), T0).title == ""

    def test_under_way(self) -> None:
        readings = ramp("meat", 0, 1000, 5.0, 30.0)
        summary = summarize(cook_log([COOK, HOLD, REST], (), readings), T0 + 1000)
        assert [line.state for line in summary.stages] == ["under_way", "to_come", "to_come"]
        assert summary.stages[0].ended_s is None
        assert summary.stages[1].planned_s == 1800
        assert summary.fuel.used_kg.value is None

    def test_plan_by_the_clock_chains(self) -> None:
        stages = [
            Stage("a", "A", (ForTime(600.0),)),
            Stage("b", "B"),
            Stage("c", "C", (ForTime(60.0),)),
        ]
        summary = summarize(cook_log(stages, [(900, StageConfirmed("b"))]), T0 + 1000)
        a, b, c = summary.stages
        assert (a.planned_begin_s, a.planned_s) == (T0, 600.0)
        assert (b.planned_begin_s, b.planned_s) == (T0 + 600, None)
        assert (c.planned_begin_s, c.planned_s) == (None, 60.0)
        assert c.began_s == T0 + 900


class TestYield:
    def entries(self, *what: Payload) -> list[Entry]:
        return [Entry(n, float(n), float(n), w) for n, w in enumerate(what, start=1)]

    def test_not_every_item_weighed_is_unknown_as_a_whole(self) -> None:
        found = yields(
            self.entries(
                ItemAdded("trout", mass_kg=1.0), ItemAdded("char", mass_kg=2.0),
                Weighed("cooked", 0.8, "trout"),
            )
        )  # fmt: skip
        cooked = found.whole.steps[2]
        assert cooked.mass_kg is None
        assert cooked.why == "not_every_item"
        assert found.items[0].steps[2].share_pct == pytest.approx(80.0)

    def test_sum_of_items(self) -> None:
        found = yields(
            self.entries(
                ItemAdded("trout", mass_kg=1.0), ItemAdded("char", mass_kg=2.0),
                Weighed("cooked", 0.8, "trout"), Weighed("cooked", 1.6, "char"),
            )
        )  # fmt: skip
        assert found.whole.steps[2].share_pct == pytest.approx(80.0)

    def test_later_weighing_replaces_and_is_counted(self) -> None:
        found = yields(
            self.entries(
                ItemAdded("trout"),
                Weighed("raw", 1.0),
                Weighed("raw", 1.1),
                Weighed("cooked", 0.88),
            )
        )
        assert found.weighed_again == 1
        assert found.whole.steps[2].share_pct == pytest.approx(80.0)


def test_struck_entries_are_gone_and_counted() -> None:
    log = whole_cook()
    note = next(e for e in log.entries if isinstance(e.what, Note))
    struck = CookLog(
        1, (*log.entries, Entry(99, T0 + 18000, T0 + 18000, Strike(note.id))), log.traces
    )
    summary = summarize(struck, T0 + 20000)
    assert not any(isinstance(e.what, Note) for e in summary.told)
    assert summary.struck == 1


def test_stage_that_waits_for_a_word_has_no_planned_length() -> None:
    stage = Stage("s", "Wait", (UntilSaid(),))
    assert summarize(cook_log([stage]), T0 + 1).stages[0].planned_s is None
