"""A log's fuel against what is expected: finished cooks, plans, cooks under way; and its words."""

from __future__ import annotations

import pytest

from smokejournal.cook.fuel.cooker import CookerFacts, facts_from_json, facts_to_json
from smokejournal.cook.fuel.course import (
    FuelEvidence,
    FuelNow,
    fire_of,
    fuel_now,
    outdoors_at,
    plan_fuel,
    told_by,
)
from smokejournal.cook.fuel.rate import Belief, Outdoors, expected_kg_h, prior_sd
from smokejournal.cook.fuel.words import (
    assumed_line,
    now_lines,
    plan_line,
    rests_on,
    total_line,
)
from smokejournal.cook.log.entries import (
    CookClosed,
    FuelAdded,
    FuelLevel,
    Payload,
    StageConfirmed,
    WeatherObserved,
)
from smokejournal.cook.log.schedule import ForTime, Schedule, Stage, UntilTemperature
from smokejournal.cook.progress.hopper import hopper
from smokejournal.cook.progress.progress import fold
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.quantities import METRIC, US
from smokejournal.science.heat.heat_loss import steady_burn
from tests.reference.tables import rows
from tests.support.logs import T0, cook_log

H = 3600.0
COOKER = CookerFacts().cooker()
BELIEF = Belief(prior_sd(CookerFacts()))
SMOKE = Stage("s1", "Smoke", (ForTime(6 * H),), pit_target_c=107.0)
REST = Stage("s2", "Rest", (ForTime(1 * H),))
OPEN = Stage("s3", "Till done", (UntilTemperature(92.0),), pit_target_c=121.0)
COLD = WeatherObserved(air_c=5.0, wind_m_s=3.0)


def told(said: list[tuple[float, Payload]], at_s: float = 8 * H) -> FuelEvidence:
    log = cook_log([SMOKE, REST], said)
    standing = fold(log, T0 + at_s)
    held = log.holding()
    story = hopper(held, T0 + at_s, fire_of(standing))
    return told_by(COOKER, 1, standing, held, story)


def now(
    said: list[tuple[float, Payload]], at_s: float = 4 * H, start: float | None = 0.0
) -> FuelNow:
    log = cook_log([SMOKE, REST], said, start=start)
    at = T0 + at_s
    held = tuple(e for e in log.holding() if e.at_s <= at)
    return fuel_now(COOKER, BELIEF, fold(log, at), held, at)


class TestFinished:
    def test_tells_what_it_burned_against_what_was_expected(self) -> None:
        got = told(
            [
                (-60.0, COLD),
                (-60.0, FuelLevel(6.0, 0.1)),
                (6 * H, FuelLevel(3.0, 0.1)),
                (7 * H + 60, StageConfirmed("s2")),
                (7.5 * H, CookClosed()),
            ]
        ).burned
        assert got is not None
        assert got.burned_kg == pytest.approx(3.0)
        hourly = expected_kg_h(COOKER, 107.0, Outdoors(5.0, 3.0))
        assert got.expected_kg == pytest.approx(6 * hourly, rel=1e-6)
        assert got.given_sd == 0.0

    def test_rest_without_fire_burns_nothing(self) -> None:
        said: list[tuple[float, Payload]] = [(-60.0, FuelLevel(6.0, 0.1))]
        early = told([*said, (6 * H, FuelLevel(3.0, 0.1)), (7.5 * H, CookClosed())]).burned
        late = told([*said, (7 * H, FuelLevel(3.0, 0.1)), (7.5 * H, CookClosed())]).burned
        assert early is not None
        assert late is not None
        assert early.expected_kg == pytest.approx(late.expected_kg)
        assert early.given_sd > 0.0

    @pytest.mark.parametrize(
        ("said", "why"),
        [
            ([], "nothing_logged"),
            ([(-60.0, FuelAdded("oak", 6.0, 0.1))], "never_read"),
            ([(-60.0, FuelLevel(6.0, 0.1))], "not_read_after"),
        ],
    )
    def test_says_why_it_tells_nothing(self, said: list[tuple[float, Payload]], why: str) -> None:
        got = told([*said, (7.5 * H, CookClosed())])
        assert got.burned is None
        assert got.why_fuel == why

    def test_too_little_tells_nothing(self) -> None:
        got = told([(-60.0, FuelLevel(6.0, 0.5)), (6 * H, FuelLevel(5.9, 0.5))])
        assert got.why_not == "too_little"


def test_weather_as_last_read() -> None:
    log = cook_log([SMOKE], [(H, COLD), (3 * H, WeatherObserved(air_c=-2.0))])
    held = log.holding()
    assert outdoors_at(held, T0) == Outdoors(5.0, 3.0)
    assert outdoors_at(held, T0 + 2 * H) == Outdoors(5.0, 3.0)
    assert outdoors_at(held, T0 + 4 * H) == Outdoors(-2.0, 3.0)
    assert outdoors_at((), T0) == Outdoors()


class TestPlace:
    """Thin air takes up less heat. Pressures: ICAO Doc 7488, and the QNH relation built on it."""

    @pytest.mark.parametrize(
        "row", rows("boiling_point_altitude"), ids=lambda r: r["geopotential_altitude_m"]
    )
    def test_the_standard_atmosphere_where_nothing_was_read(self, row: dict[str, str]) -> None:
        out = outdoors_at((), T0, float(row["geopotential_altitude_m"]))
        assert out.pressure_hpa == pytest.approx(float(row["icao_pressure_hPa"]), abs=0.00501)

    def test_the_pressure_that_was_read_there_counts_first(self) -> None:
        sea = WeatherObserved(sea_level_hpa=980.0)
        here = WeatherObserved(pressure_hpa=850.0)
        held = cook_log([SMOKE], [(H, sea), (3 * H, here)]).holding()
        (row,) = [
            r
            for r in rows("station_pressure_from_qnh")
            if (r["qnh_hPa"], r["station_elevation_m"]) == ("980", "1500")
        ]
        taken_up = outdoors_at(held, T0 + 2 * H, 1500.0).pressure_hpa
        assert taken_up == pytest.approx(float(row["station_pressure_exact_icao_hPa"]), abs=0.00501)
        assert outdoors_at(held, T0 + 4 * H, 1500.0).pressure_hpa == 850.0
        # A pressure of the sea is not the place's own.
        assert outdoors_at(held[:-1], T0 + 2 * H).pressure_hpa is None

    def test_it_reaches_the_loss_of_heat(self) -> None:
        high = Outdoors(10.0, 0.0, 795.0)
        burn = steady_burn(COOKER, 107.0, 10.0, 0.0, pressure_pa=79_500.0)
        assert expected_kg_h(COOKER, 107.0, high) == burn.rate_kg_h
        assert expected_kg_h(COOKER, 107.0, high) < expected_kg_h(
            COOKER, 107.0, Outdoors(10.0, 0.0)
        )

    def test_it_reaches_finished_and_running_cooks(self) -> None:
        said: list[tuple[float, Payload]] = [
            (-60.0, COLD),
            (-60.0, FuelLevel(6.0, 0.1)),
            (6 * H, FuelLevel(3.0, 0.1)),
        ]
        log = cook_log([SMOKE, REST], said)
        at = T0 + 5 * H
        held = tuple(e for e in log.holding() if e.at_s <= at)
        thin = Outdoors(5.0, 3.0, outdoors_at((), T0, 3000.0).pressure_hpa)
        low, high = (fuel_now(COOKER, BELIEF, fold(log, at), held, at, m) for m in (None, 3000.0))
        assert low.rate_kg_h is not None
        assert high.rate_kg_h is not None
        by = expected_kg_h(COOKER, 107.0, thin) / expected_kg_h(COOKER, 107.0, Outdoors(5.0, 3.0))
        assert by < 0.99
        assert high.rate_kg_h.mid == pytest.approx(low.rate_kg_h.mid * by)
        end = T0 + 8 * H
        story = hopper(log.holding(), end, fire_of(fold(log, end)))
        burned = told_by(COOKER, 1, fold(log, end), log.holding(), story, 3000.0).burned
        assert burned is not None
        assert burned.expected_kg == pytest.approx(6 * expected_kg_h(COOKER, 107.0, thin), rel=1e-6)

    def test_it_says_that_sea_level_was_assumed(self) -> None:
        schedule = Schedule("", (SMOKE,))
        unsaid = plan_fuel(schedule, COOKER, BELIEF, Outdoors(5.0, 3.0))
        assert "as dense as at sea level" in assumed_line(unsaid, METRIC)
        said = plan_fuel(schedule, COOKER, BELIEF, Outdoors(5.0, 3.0, 850.0))
        assert assumed_line(said, METRIC) == ""


class TestPlan:
    def test_known_lengths_have_a_total(self) -> None:
        plan = plan_fuel(Schedule("", (SMOKE, REST)), COOKER, BELIEF, Outdoors(10.0, 2.0, 1000.0))
        assert plan.total_kg is not None
        hourly = expected_kg_h(COOKER, 107.0, Outdoors(10.0, 2.0, 1000.0))
        assert plan.total_kg.mid == pytest.approx(6 * hourly, rel=0.01)
        assert plan.total_kg.low < plan.total_kg.mid < plan.total_kg.high
        assert plan_line(plan, METRIC).startswith("Pellets: about 2.3 kg (1.1 – ")
        assert "lb" in plan_line(plan, US)
        assert assumed_line(plan, METRIC) == ""

    def test_an_open_length_is_unknown_until_it_is_said(self) -> None:
        schedule = Schedule("", (SMOKE, OPEN, REST))
        plan = plan_fuel(schedule, COOKER, BELIEF, Outdoors())
        assert plan.total_kg is None
        assert plan.known_kg is not None
        assert plan.open_stages == ("Till done",)
        assert "how long “Till done” takes can't be known beforehand" in total_line(plan, METRIC)
        assert "air of 15 °C, wind of 2 m/s" in assumed_line(plan, METRIC)
        said = plan_fuel(schedule, COOKER, BELIEF, Outdoors(), fire_h=10.0)
        assert said.total_kg is not None
        assert said.stages[1].hours == pytest.approx(4.0)

    def test_without_fire_there_is_nothing_to_expect(self) -> None:
        plan = plan_fuel(Schedule("", (REST,)), COOKER, BELIEF, Outdoors())
        assert plan_line(plan, METRIC) == "Pellets: unknown: no stage sets a pit temperature"

    def test_a_pit_beyond_reckoning_is_unknown(self) -> None:
        hot = Stage("s1", "Sear", (ForTime(H),), pit_target_c=450.0)
        plan = plan_fuel(Schedule("", (hot,)), COOKER, BELIEF, Outdoors())
        assert plan.total_kg is None
        assert "beyond what can be estimated" in plan_line(plan, METRIC)


class TestUnderWay:
    def test_never_read(self) -> None:
        got = now([(-60.0, FuelAdded("oak", 6.0, 0.1))])
        assert got.lasts_h is None
        assert got.rate_kg_h is not None
        assert now_lines(got, METRIC)[1] == (
            "Pellets left: unknown: the level of the hopper was never read. Read the hopper’s level."
        )

    def test_rate_so_far_and_what_is_left(self) -> None:
        got = now([(-60.0, COLD), (-60.0, FuelLevel(6.0, 0.1)), (3 * H, FuelLevel(4.5, 0.1))])
        assert got.so_far_kg_h.value == pytest.approx(0.5)
        assert got.lasts_h is not None
        assert got.left_kg is not None
        assert got.left_kg.mid == pytest.approx(4.0, abs=0.15)
        assert got.lasts_h.mid == pytest.approx(8.0, rel=0.15)
        lines = now_lines(got, METRIC)
        assert lines[0].startswith("Burned 0.50 kg/h (")
        assert "level read 1 h ago" in lines[1]

    def test_time_only_takes(self) -> None:
        said: list[tuple[float, Payload]] = [(-60.0, FuelLevel(6.0, 0.1)), (H, FuelLevel(5.5, 0.1))]
        hours = [now(said, at * H).lasts_h for at in (1.5, 3.0, 5.0)]
        mids = [h.mid for h in hours if h is not None]
        assert len(mids) == 3
        assert mids == sorted(mids, reverse=True)

    def test_may_be_empty(self) -> None:
        got = now([(-60.0, FuelLevel(0.5, 0.05))], 5.9 * H)
        assert "may be empty" in now_lines(got, METRIC)[1]

    def test_what_was_added_counts(self) -> None:
        said: list[tuple[float, Payload]] = [(-60.0, FuelLevel(2.0, 0.1))]
        less, more = (
            now([*said, *extra]).lasts_h for extra in ([], [(H, FuelAdded("oak", 3.0, 0.1))])
        )
        assert less is not None
        assert more is not None
        assert more.mid > less.mid + 2.0

    def test_not_under_way(self) -> None:
        got = now([], start=None)
        assert now_lines(got, METRIC) == ("Fuel: unknown: the cook is not under way",)
        resting = now([], 6.5 * H)
        assert resting.why_not == "no_pit_target"


def test_what_it_rests_on() -> None:
    assert "physics alone" in rests_on(0, True, True, True)
    assert "too few to be sure" in rests_on(2, True, True, True)
    assert rests_on(9, False, True, True) == "Based on physics and 9 of your finished cooks."
    assert "set not to count" in rests_on(0, True, True, False)
    assert "size is assumed" in rests_on(0, True, False, True)
    assert "3 more don’t say" in rests_on(5, False, True, True, 3)


class TestCooker:
    def test_there_and_back(self) -> None:
        facts = CookerFacts("barrel", 1.2, None, 0.6, "double", 350.0, False, 1e9)
        assert facts_from_json(facts_to_json(facts)) == facts
        assert facts_to_json(CookerFacts()) == {}
        assert facts.size_said

    @pytest.mark.parametrize(
        ("data", "where"),
        [
            ({"length_m": 90.0}, "length_m"),
            ({"height_m": "tall"}, "height_m"),
            ({"depth_m": float("nan")}, "depth_m"),
            ({"shape": "sphere"}, "shape"),
            ({"wall": "paper"}, "wall"),
            ({"altitude_m": 9000}, "altitude_m"),
            ({"color": "black"}, "color"),
            ([], ""),
        ],
    )
    def test_refuses(self, data: object, where: str) -> None:
        with pytest.raises(SchemaProblem) as refused:
            facts_from_json(data)
        assert refused.value.where == where

    def test_a_better_wall_burns_less(self) -> None:
        rates = [
            expected_kg_h(CookerFacts(wall=wall).cooker(), 107.0, Outdoors(5.0, 2.0))
            for wall in ("sheet", "ceramic", "double", "insulated")
        ]
        assert rates == sorted(rates, reverse=True)
