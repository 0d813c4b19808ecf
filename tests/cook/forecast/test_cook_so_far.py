"""What a forecast is made from: read off a log, and changed for what-ifs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from smokejournal.cook.forecast.cook_so_far import (
    Answer,
    ForecastInput,
    NoForecast,
    if_followed,
    if_pit,
    if_wrapped,
    record_of,
)
from smokejournal.cook.log.entries import (
    ChannelSet,
    CookClosed,
    ItemAdded,
    Payload,
    ReadingsStruck,
    ScheduleSet,
    StageConfirmed,
    StageSkipped,
    Wrap,
)
from smokejournal.cook.log.schedule import (
    PIT,
    ForTime,
    Schedule,
    Stage,
    UntilClock,
    UntilSaid,
    UntilTemperature,
)
from smokejournal.cook.log.stage_meaning import speaks_of_wrap, wraps_at
from smokejournal.cook.plan.starter_schedules import starters
from smokejournal.cook.progress.progress import fold
from smokejournal.cook.text.quantities import METRIC, US
from smokejournal.science.forecast.values import Leg, SetPoint, Wrapped
from smokejournal.services.demo.kinds import SHOULDER_SCHEDULE
from tests.support.logs import MEAT, OTHER, T0, cook_log, ramp
from tests.support.logs import PIT as PIT_CHANNEL

H = 3600.0
WARM = Stage("w", "Warm up", (UntilTemperature(100.0, channel=PIT),), pit_target_c=110.0)
SMOKE = Stage("s", "Smoke", (UntilTemperature(70.0),), pit_target_c=110.0)
FINISH = Stage("f", "Finish", (UntilTemperature(95.0),), pit_target_c=120.0)
REST = Stage("r", "Rest", (ForTime(H),))
SHOULDER = ItemAdded("pork shoulder", "red_meat", mass_kg=3.0, thickness_m=0.12)


def asked(
    stages: Sequence[Stage],
    said: Sequence[tuple[float, Payload]] = (),
    readings: Sequence[tuple[float, str, float]] = (),
    now: float = 2 * H,
    lead: str | None = None,
    **more: object,
) -> Answer:
    log = cook_log(stages, said, readings, **more)  # type: ignore[arg-type]
    return record_of(log, fold(log, T0 + now), T0 + now, lead=lead)


def found(*args: object, **more: object) -> ForecastInput:
    answer = asked(*args, **more)  # type: ignore[arg-type]
    assert isinstance(answer, ForecastInput), answer
    return answer


def codes(record: ForecastInput) -> set[str]:
    return {assumed.code for assumed in record.assumed}


class TestReadings:
    READINGS = (*ramp("pit", 0, H, 100.0, 110.0, 60.0), *ramp("meat", 30, H + 30, 5.0, 40.0, 60.0))

    def test_both_on_one_scale_with_gaps_where_one_is_missing(self) -> None:
        cook = found([SMOKE], (), self.READINGS).cook
        assert cook.time_s.size == cook.pit_c.size == cook.probe_c.size == 122
        assert np.all(np.diff(cook.time_s) > 0)
        assert np.isnan(cook.probe_c[0])
        assert cook.pit_c[0] == 100.0
        assert np.count_nonzero(np.isfinite(cook.probe_c)) == 61

    def test_nothing_after_now(self) -> None:
        said = [(2.0 * H, Wrap("foil")), (2.0 * H, ItemAdded("brisket", "red_meat"))]
        record = found([SMOKE], said, self.READINGS, now=0.5 * H)
        assert record.cook.time_s.max() <= T0 + 0.5 * H
        assert record.cook.wraps == ()
        assert record.item is None

    def test_corrected_with_what_was_in_force(self) -> None:
        said = [(0.5 * H, ChannelSet(replace(MEAT, offset_c=2.0)))]
        cook = found([SMOKE], said, self.READINGS).cook
        before = found([SMOKE], (), self.READINGS).cook
        late = (cook.time_s >= T0 + 0.5 * H) & np.isfinite(cook.probe_c)
        early = (cook.time_s < T0 + 0.5 * H) & np.isfinite(cook.probe_c)
        assert np.allclose(cook.probe_c[late] - before.probe_c[late], 2.0)
        assert np.allclose(cook.probe_c[early], before.probe_c[early])

    def test_struck_and_absurd_ones_are_missing(self) -> None:
        readings = [*self.READINGS, (700.0, "meat", 999.0)]
        said = [(H, ReadingsStruck("meat", T0, T0 + 600.0))]
        record = found([SMOKE], said, readings)
        kept = record.cook.time_s[np.isfinite(record.cook.probe_c)]
        assert kept.min() > T0 + 600.0
        assert np.nanmax(record.cook.probe_c) < 100.0
        assert record.readings == kept.size
        assert record.first_s == kept.min()

    def test_none_at_all(self) -> None:
        record = found([SMOKE])
        assert record.cook.time_s.size == 0
        assert (record.readings, record.first_s) == (0, None)


class TestNone:
    def test_not_begun_and_over(self) -> None:
        assert asked([SMOKE], start=None) == NoForecast("not_begun")
        assert asked([SMOKE], [(60.0, CookClosed())]) == NoForecast("over")
        assert asked([SMOKE], [(60.0, StageConfirmed("s"))]) == NoForecast("over")

    def test_the_pit_is_coming_up(self) -> None:
        assert asked([WARM, SMOKE]) == NoForecast("warming_up")

    def test_probes(self) -> None:
        assert asked([SMOKE], channels=(MEAT,), check=None) == NoForecast("no_pit")
        assert asked([SMOKE], channels=(PIT_CHANNEL,), check=None) == NoForecast("no_lead")

    def test_no_target(self) -> None:
        assert asked([REST], now=0.5 * H) == NoForecast("no_target")
        assert asked([]) == NoForecast("no_target")
        falling = Stage("s", "Cool", (UntilTemperature(60.0, "falling"),))
        assert asked([falling]) == NoForecast("no_target")

    def test_the_target_is_behind(self) -> None:
        assert asked([SMOKE, REST], [(60.0, StageConfirmed("s"))], now=0.5 * H) == NoForecast(
            "past"
        )


class TestTarget:
    def test_the_last_one_to_come(self) -> None:
        record = found([SMOKE, FINISH, REST])
        assert record.cook.target_c == 95.0
        assert [leg.kind for leg in record.legs] == ["reach", "reach", "rest"]
        assert record.target == 1
        assert record.cook.legs == (
            Leg(110.0, 70.0),
            Leg(120.0, 95.0),
            Leg(for_s=H, resting=True),
        )

    def test_of_the_stage_under_way(self) -> None:
        record = found([SMOKE, FINISH], [(60.0, StageConfirmed("s"))])
        assert (record.cook.target_c, record.target) == (95.0, 0)

    def test_one_that_waits_for_the_word_is_still_the_target(self) -> None:
        waits = replace(SMOKE, ending="waits")
        readings = ramp("meat", 0, H, 60.0, 75.0)
        record = found([waits, REST], (), readings)
        assert (record.cook.target_c, record.target) == (70.0, 0)
        assert "word_at_once" in codes(record)

    def test_any_takes_the_lower_and_all_the_higher(self) -> None:
        two = (UntilTemperature(70.0), UntilTemperature(80.0))
        assert found([replace(SMOKE, rules=two)]).cook.target_c == 70.0
        assert found([replace(SMOKE, rules=two, combine="all")]).cook.target_c == 80.0

    def test_a_hold_at_a_temperature_follows_it(self) -> None:
        hold = Stage("h", "Hold", (ForTime(1800.0, at_least_c=63.0),), pit_target_c=82.0)
        record = found([replace(SMOKE, rules=(UntilTemperature(65.0),)), hold, REST])
        assert record.cook.target_c == 65.0
        assert [(leg.kind, leg.leg.until_probe_c, leg.leg.for_s) for leg in record.legs] == [
            ("reach", 65.0, None),
            ("reach", 63.0, None),
            ("hold", None, 1800.0),
            ("rest", None, H),
        ]
        assert found([hold]).cook.target_c == 63.0

    def test_what_is_left_of_a_time_under_way(self) -> None:
        timed = Stage("t", "Smoke", (ForTime(H),), pit_target_c=110.0)
        record = found([timed, FINISH], now=0.25 * H)
        assert record.cook.legs[0].for_s == pytest.approx(0.75 * H)

    def test_any_of_a_time_and_a_temperature_is_one_leg(self) -> None:
        both = replace(SMOKE, rules=(UntilTemperature(70.0), ForTime(5 * H)))
        assert found([both], now=H).cook.legs == (Leg(110.0, 70.0, 4 * H),)

    def test_rules_that_cannot_be_followed_are_named(self) -> None:
        both = replace(SMOKE, rules=(UntilTemperature(70.0), ForTime(5 * H)), combine="all")
        assert "rule_left_out" in codes(found([both]))
        clock = Stage("c", "Wait", (UntilClock(T0 + 9 * H),))
        assert "rule_left_out" in codes(found([SMOKE, clock, FINISH]))
        assert found([clock, SMOKE], now=H).cook.legs[0].for_s == pytest.approx(8 * H)

    def test_an_end_that_nobody_knows_ends_the_plan(self) -> None:
        cool = Stage("c", "Set aside", (UntilSaid(),))
        record = found([SMOKE, cool, REST])
        assert len(record.legs) == 1
        assert {"open_end", "rest_by_name"} <= codes(record)


class TestSetPoints:
    def test_of_the_stages_that_ran(self) -> None:
        record = found([SMOKE, FINISH], [(H, StageConfirmed("s"))])
        assert record.cook.set_points == (SetPoint(T0, 110.0), SetPoint(T0 + H, 120.0))

    def test_an_edit_under_way(self) -> None:
        hotter = Schedule("", (replace(SMOKE, pit_target_c=125.0),))
        record = found([SMOKE], [(H, ScheduleSet(hotter))])
        assert record.cook.set_points == (SetPoint(T0, 110.0), SetPoint(T0 + H, 125.0))
        assert record.cook.legs[0].pit_c == 125.0

    def test_the_meat_goes_in_when_the_pit_is_up(self) -> None:
        said = [(1200.0, StageConfirmed("w"))]
        assert found([WARM, SMOKE], said).cook.start_s == T0 + 1200.0
        assert found([SMOKE]).cook.start_s is None


class TestWraps:
    def test_told(self) -> None:
        said = [(H, Wrap("paper")), (1.5 * H, Wrap("none"))]
        record = found([SMOKE], said)
        assert record.cook.wraps == (Wrapped(T0 + H, "paper"), Wrapped(T0 + 1.5 * H, None))
        assert not record.assumed

    def test_leaves_and_pans_are_named_as_assumed(self) -> None:
        record = found([SMOKE], [(H, Wrap("leaves"))])
        assert record.cook.wraps == (Wrapped(T0 + H, "paper"),)
        assert codes(record) == {"wrap_like"}

    def test_planned_by_a_stages_name(self) -> None:
        wrapped = replace(FINISH, name="Finish in the paper wrap")
        record = found([SMOKE, wrapped])
        assert [leg.wrap for leg in record.cook.legs] == [None, "paper"]
        assert "wrap_planned" in codes(record)
        # Once it is wrapped there is none to come.
        told = found([SMOKE, wrapped], [(H, Wrap("foil"))])
        assert [leg.wrap for leg in told.cook.legs] == [None, None]

    def test_planned_for_a_stages_end(self) -> None:
        smoke = replace(SMOKE, ending="waits", instruction="When the bark is set, wrap it in foil.")
        record = found([smoke, FINISH])
        assert [leg.wrap for leg in record.cook.legs] == [None, "foil"]

    def test_a_stage_that_ran_tells_of_a_wrap_that_nobody_wrote_down(self) -> None:
        wrapped = replace(FINISH, name="Wrapped")
        record = found([SMOKE, wrapped], [(H, StageConfirmed("s"))])
        assert record.cook.wraps == (Wrapped(T0 + H, "foil"),)
        assert {"wrap_done", "wrap_material"} <= codes(record)
        wrap = Stage("x", "Wrap", (UntilSaid(),))
        skipped = found([wrap, FINISH], [(H, StageSkipped("x"))])
        assert skipped.cook.wraps == ()

    @pytest.mark.parametrize("units", [METRIC, US])
    def test_the_schedules_to_begin_with(self, units: object) -> None:
        low_and_slow = starters(units)[0]  # type: ignore[arg-type]
        record = found(low_and_slow.stages, [(600.0, StageConfirmed("s1"))])
        assert [leg.leg.wrap for leg in record.legs] == [None, "foil", None, None]
        assert [leg.leg.resting for leg in record.legs] == [False, False, False, True]
        assert record.legs[-1].leg.boxed
        assert record.cook.target_c == pytest.approx(95.0, abs=0.1)
        assert record.legs[record.target].stage == "Finish in the wrap"

    def test_the_demo_schedule(self) -> None:
        said = [(600.0, StageConfirmed("light"))]
        record = found(SHOULDER_SCHEDULE.stages, said)
        assert [leg.leg.wrap for leg in record.legs] == [None, "foil", None]
        assert record.cook.target_c == 93.0

    def test_not_wrapped_is_no_wrap_and_leaves_later_stages_their_word(self) -> None:
        wrap = Stage("w", "Wrap in paper", (UntilTemperature(95.0),), pit_target_c=110.0)
        no = (0.5 * H, Wrap("none"))
        record = found([SMOKE], [no])
        assert record.cook.wraps == (Wrapped(T0 + 0.5 * H, None),)
        assert codes(record) == set()
        # A stage that speaks of a wrap began after that.
        said = [no, (H, StageConfirmed("s"))]
        later = found([SMOKE, wrap], said)
        assert later.cook.wraps == (Wrapped(T0 + 0.5 * H, None), Wrapped(T0 + H, "paper"))
        assert "wrap_done" in codes(later)
        # Said after it had begun, it is not wrapped.
        after = found([SMOKE, wrap], [(H, StageConfirmed("s")), (1.5 * H, Wrap("none"))])
        assert after.cook.wraps == (Wrapped(T0 + 1.5 * H, None),)

    @pytest.mark.parametrize(
        ("text", "is_so"),
        [
            ("Wrap", True),
            ("Wrapped", True),
            ("rewrap it", True),
            ("Unwrapped", False),
            ("Don't wrap", False),
            ("without wrapping", False),
            ("Not wrapped", False),
            ("Before the wrap", False),
            ("Smoke", False),
            ("", False),
            ("wrapper", False),
        ],
    )
    def test_words(self, text: str, is_so: bool) -> None:
        assert speaks_of_wrap(text) is is_so

    def test_a_rest_that_stays_wrapped_is_no_wrap(self) -> None:
        rest = Stage(
            "r", "Rest", (ForTime(H),), instruction="Leave it wrapped in a dry cooler box."
        )
        assert wraps_at(rest) is None
        assert wraps_at(replace(SMOKE, instruction="Wrap tightly.")) == "begin"


class TestItem:
    def test_one(self) -> None:
        cook = found([SMOKE], [(-60.0, SHOULDER)]).cook
        assert (cook.cut, cook.mass_kg, cook.thickness_m) == ("shoulder", 3.0, 0.12)

    def test_several_go_by_the_probes_name(self) -> None:
        chicken = ItemAdded("chicken", "poultry", mass_kg=1.5)
        named = replace(MEAT, name="Chicken, thigh")
        record = found(
            [SMOKE], [(-60.0, SHOULDER), (-60.0, chicken)], channels=(PIT_CHANNEL, named)
        )
        assert record.item == chicken
        assert "one_item" not in codes(record)

    def test_several_and_nothing_tells(self) -> None:
        ribs = ItemAdded("ribs", "red_meat", mass_kg=4.0, pieces=3)
        nameless = replace(MEAT, name="Probe 1")
        record = found(
            [SMOKE], [(-60.0, ribs), (-60.0, SHOULDER)], channels=(PIT_CHANNEL, nameless)
        )
        assert record.item == SHOULDER
        assert "one_item" in codes(record)


class TestWhatIf:
    def record(self) -> ForecastInput:
        wrapped = replace(FINISH, name="Wrapped")
        return found([SMOKE, wrapped, REST], (), TestReadings.READINGS)

    def test_wrapped_now_is_not_wrapped_again(self) -> None:
        cook = self.record().cook
        changed = if_wrapped(cook, "paper")
        assert [leg.wrap for leg in changed.legs] == ["paper", None, None]
        assert changed.wraps == cook.wraps
        assert [leg.until_probe_c for leg in changed.legs] == [70.0, 95.0, None]

    def test_the_pit_raised(self) -> None:
        cook = self.record().cook
        changed = if_pit(cook, 115.0)
        assert [leg.pit_c for leg in changed.legs] == [115.0, 120.0, None]
        assert changed.set_points == cook.set_points
        assert [leg.pit_c for leg in if_pit(cook, 130.0).legs] == [130.0, 130.0, None]

    def test_without_a_plan_it_is_the_way_to_the_target(self) -> None:
        cook = replace(self.record().cook, legs=(), set_points=(SetPoint(T0 + 99 * H, 140.0),))
        assert if_pit(cook, 130.0).legs == (Leg(130.0, 95.0),)
        assert if_pit(cook, 130.0).set_points == ()
        assert if_wrapped(cook, "foil").legs == (Leg(until_probe_c=95.0, wrap="foil"),)

    def test_the_pit_lowered(self) -> None:
        assert [leg.pit_c for leg in if_pit(self.record().cook, 100.0).legs] == [100.0, 120.0, None]

    def test_the_other_probe(self) -> None:
        readings = [*TestReadings.READINGS, *ramp("other", 30, H + 30, 4.0, 37.0, 60.0)]
        log = cook_log([SMOKE], (), readings)
        standing = fold(log, T0 + 2 * H)
        first = record_of(log, standing, T0 + 2 * H)
        other = record_of(log, standing, T0 + 2 * H, lead="other")
        assert isinstance(first, ForecastInput)
        assert isinstance(other, ForecastInput)
        assert other.lead.key == "other"
        changed = if_followed(first, other)
        assert np.nanmax(changed.probe_c) == pytest.approx(37.0)
        assert changed.target_c == first.cook.target_c
        assert changed.check_c is None


class TestCheck:
    """A second probe counts only where the log says that it is in the same single piece."""

    READINGS = (*TestReadings.READINGS, *ramp("other", 45, H + 45, 4.0, 37.0, 60.0))

    def record(self, *said: ItemAdded, **more: object) -> ForecastInput:
        readings = more.pop("readings", self.READINGS)
        return found([SMOKE], [(0.0, item) for item in said], readings, **more)

    def test_in_the_only_piece(self) -> None:
        record = self.record(SHOULDER)
        cook = record.cook
        assert record.check is not None
        assert record.check.key == "other"
        assert cook.check_c is not None
        assert cook.time_s.size == cook.probe_c.size == cook.check_c.size == 183
        assert np.count_nonzero(np.isfinite(cook.check_c)) == 61
        assert np.nanmax(cook.check_c) == 37.0
        assert record.readings == 61

    def test_led_by_the_other_they_change_places(self) -> None:
        first, other = self.record(SHOULDER), self.record(SHOULDER, lead="other")
        assert other.check is not None
        assert other.check.key == "meat"
        changed = if_followed(first, other)
        assert changed.check_c is not None
        assert np.nanmax(changed.probe_c) == 37.0
        assert np.nanmax(changed.check_c) == 40.0

    def test_any_other_probe_in_the_piece(self) -> None:
        record = self.record(SHOULDER, check=None)
        assert record.check is not None
        assert record.check.key == "other"

    def test_corrected_with_what_was_in_force(self) -> None:
        channels = (PIT_CHANNEL, MEAT, replace(OTHER, offset_c=1.5))
        cook = self.record(SHOULDER, channels=channels).cook
        assert cook.check_c is not None
        assert np.nanmax(cook.check_c) == 38.5

    @pytest.mark.parametrize(
        "items",
        [
            (),
            (replace(SHOULDER, pieces=2),),
            (SHOULDER, ItemAdded("brisket", "red_meat")),
            (replace(SHOULDER, channel="meat"), ItemAdded("turkey", channel="other")),
            (replace(SHOULDER, channel="meat"), ItemAdded("turkey")),
        ],
        ids=["no item", "two pieces", "not said", "two items", "only one said"],
    )
    def test_not_where_it_may_be_another(self, items: tuple[ItemAdded, ...]) -> None:
        record = self.record(*items)
        assert record.check is None
        assert record.cook.check_c is None
        assert record.cook.time_s.size == 122

    def test_two_items_of_which_one_holds_both(self) -> None:
        named = replace(OTHER, name="Shoulder, far end", place="pork shoulder")
        channels = (PIT_CHANNEL, replace(MEAT, place="pork shoulder"), named)
        record = self.record(SHOULDER, ItemAdded("turkey"), channels=channels)
        assert record.check is not None

    def test_not_one_that_was_never_heard(self) -> None:
        record = self.record(SHOULDER, readings=TestReadings.READINGS)
        assert record.check is None
        assert record.cook.check_c is None

    def test_not_a_probe_for_the_pit(self) -> None:
        record = self.record(SHOULDER, channels=(PIT_CHANNEL, MEAT, replace(OTHER, role="pit")))
        assert record.check is None
