"""The forecast of a cook under way: at most once a minute, kept, written down, and what-ifs."""

from __future__ import annotations

import numpy as np
import pytest

from smokejournal.cook.forecast.cook_so_far import NoForecast
from smokejournal.cook.forecast.probe_difference import PairShift
from smokejournal.cook.log.entries import (
    ChannelSet,
    ForecastMade,
    ItemAdded,
    LeadSet,
    Note,
    ScheduleSet,
    ScheduleStarted,
    Wrap,
)
from smokejournal.cook.log.log_lines import log_lines
from smokejournal.cook.log.readings import Channel, Reading
from smokejournal.cook.log.schedule import ForTime, Schedule, Stage, UntilTemperature
from smokejournal.cook.progress.progress import fold
from smokejournal.cook.text.quantities import METRIC
from smokejournal.science.forecast.values import (
    SHARES,
    CookSoFar,
    FloatArray,
    Forecast,
    PitPrior,
    Standing,
    Wrapped,
)
from smokejournal.services.forecast import finish as module
from smokejournal.services.forecast.finish import FinishForecasts, OtherProbe, PitAt, WrapNow
from smokejournal.services.program.live import LiveCook
from smokejournal.services.program.program import Program
from tests.support.fakes import FixedClock

START_S = 1_780_000_000.0
STAGES = (
    Stage("s1", "Smoke", (UntilTemperature(95.0),), pit_target_c=110.0),
    Stage("s2", "Rest", (ForTime(1200.0),)),
)


class FakeForecast:
    """Says two to five hours from now, an hour less where it is wrapped or hotter."""

    def __init__(self) -> None:
        self.asked: list[CookSoFar] = []
        self.standing: Standing = "forecast"

    def __call__(self, cook: CookSoFar) -> Forecast:
        self.asked.append(cook)
        if self.standing not in ("forecast", "may_not_reach"):
            return Forecast(self.standing, cook.now_s)
        hours = np.linspace(2.0, 5.0, 101)
        if cook.legs[0].wrap or (cook.legs[0].pit_c or 0.0) > 115.0:
            hours = hours - 1.0
        reach_s = cook.now_s + 3600.0 * hours
        if self.standing == "may_not_reach":
            reach_s[20:] = np.inf
        remaining_s = np.quantile(reach_s - cook.now_s, SHARES, method="inverted_cdf")
        ends_s = np.stack([reach_s] * max(1, len(cook.legs)))
        return Forecast(self.standing, cook.now_s, remaining_s, reach_s, ends_s)


@pytest.fixture
def clock() -> FixedClock:
    return FixedClock(START_S)


@pytest.fixture(autouse=True)
def at_full_share(monkeypatch: pytest.MonkeyPatch) -> None:
    """A fake takes no time, but the machine that runs the test may."""
    monkeypatch.setattr(module, "LARGEST_SHARE", 1.0)


@pytest.fixture
def live(program: Program, clock: FixedClock) -> LiveCook:
    live = program.live(program.new_cook("Sunday shoulder", "UTC"))
    channels = [
        Channel("pit", "Pit", role="pit"),
        Channel("meat", "Shoulder"),
        Channel("far", "Far end"),
    ]
    live.record_many(
        [
            (START_S, ItemAdded("pork shoulder", "red_meat", mass_kg=2.4)),
            *((START_S, ChannelSet(channel)) for channel in channels),
            (START_S, LeadSet("meat", "far")),
            (START_S, ScheduleSet(Schedule("", STAGES))),
            (START_S, ScheduleStarted()),
        ]
    ).result()
    read(live, clock, 3600.0)
    return live


def read(live: LiveCook, clock: FixedClock, for_s: float) -> None:
    """Let time pass with readings once a minute."""
    readings = []
    for _ in range(round(for_s / 60.0)):
        clock.forward(60.0)
        past_s = clock.at_s - START_S
        readings += [
            Reading(clock.at_s, "pit", 110.0),
            Reading(clock.at_s, "meat", 5.0 + past_s / 120.0),
            Reading(clock.at_s, "far", 4.0 + past_s / 130.0),
        ]
    live.record_readings(readings).result()


def kept(live: LiveCook) -> list[ForecastMade]:
    return [made for _, made in live.log().of(ForecastMade)]


def test_at_most_once_a_minute(program: Program, live: LiveCook, clock: FixedClock) -> None:
    forecast = FakeForecast()
    desk = FinishForecasts(program, forecast)
    assert desk.last(live.cook_id) is None
    assert desk.due(live.cook_id)
    first = desk.look(live.cook_id)
    assert first.now_s == clock.at_s
    assert first.record is not None
    assert first.record.cook.cut == "shoulder"
    clock.forward(59.0)
    assert not desk.due(live.cook_id)
    assert desk.look(live.cook_id) is first
    clock.forward(1.0)
    assert desk.look(live.cook_id) is not first
    assert len(forecast.asked) == 2


def test_anything_said_is_a_reason_but_its_own_note_is_none(
    program: Program, live: LiveCook, clock: FixedClock
) -> None:
    desk = FinishForecasts(program, FakeForecast())
    desk.look(live.cook_id)
    program.journal.flush()
    assert kept(live)
    assert not desk.due(live.cook_id)
    live.record(Wrap("paper")).result()
    assert desk.due(live.cook_id)
    told = desk.look(live.cook_id)
    assert told.record is not None
    assert told.record.cook.wraps == (Wrapped(clock.at_s, "paper"),)


def test_a_slow_forecast_is_not_made_all_the_time(
    program: Program, live: LiveCook, clock: FixedClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, "LARGEST_SHARE", 1e-9)
    desk = FinishForecasts(program, FakeForecast())
    desk.look(live.cook_id)
    clock.forward(3600.0)
    assert not desk.due(live.cook_id)


def test_no_forecast_and_why(program: Program, clock: FixedClock) -> None:
    cook_id = program.new_cook("Later", "UTC")
    told = FinishForecasts(program, FakeForecast()).look(cook_id)
    assert told.why == NoForecast("not_begun")
    assert told.forecast is None


class FakeCrossings:
    """Members that rise evenly, at 6 to 12 K/h."""

    def __init__(self) -> None:
        self.asked: list[tuple[CookSoFar, list[float]]] = []

    def __call__(self, cook: CookSoFar, offsets_k: FloatArray) -> FloatArray:
        self.asked.append((cook, offsets_k.tolist()))
        return cook.now_s + 9000.0 + 3600.0 * offsets_k[:, None] / np.linspace(6.0, 12.0, 11)


def test_the_other_probe_in_minutes(program: Program, live: LiveCook, clock: FixedClock) -> None:
    """The far end, corrected, reads about 1 K low: in one spot that could still be the probes."""
    live.record(ChannelSet(Channel("far", "Far end", offset_c=2.0)), START_S + 1.0).result()
    forecast, crossings = FakeForecast(), FakeCrossings()
    desk = FinishForecasts(program, forecast, crossings=crossings)
    told = desk.look(live.cook_id, (OtherProbe("far"),))
    found = dict(told.what_ifs)[OtherProbe("far")]
    assert isinstance(found, PairShift)
    assert found.course is None
    # No second forecast is made: one question has one answer.
    assert len(forecast.asked) == 1
    cook, offsets = crossings.asked[0]
    assert cook is forecast.asked[0]
    assert {0.0, found.pair.higher_k} <= set(offsets)
    assert found.pair.higher_k > 0.5
    assert found.shift.span_s is not None
    assert found.shift.span_s[1] == pytest.approx(3600.0 * found.pair.higher_k / 9.0, rel=1e-6)
    assert desk.look(live.cook_id, (OtherProbe("far"),)) is told
    assert len(crossings.asked) == 1


def test_too_far_apart_its_own_course_is_told_as_well(
    program: Program, live: LiveCook, clock: FixedClock
) -> None:
    forecast = FakeForecast()
    desk = FinishForecasts(program, forecast, crossings=FakeCrossings())
    found = dict(desk.look(live.cook_id, (OtherProbe("far"),)).what_ifs)[OtherProbe("far")]
    assert isinstance(found, PairShift)
    assert found.pair.apart
    assert found.course is not None
    assert np.nanmax(forecast.asked[1].probe_c) < np.nanmax(forecast.asked[0].probe_c)


def test_what_ifs_share_its_readings(program: Program, live: LiveCook, clock: FixedClock) -> None:
    forecast = FakeForecast()
    # Nothing to set the probes against each other by: then the other's own readings answer.
    desk = FinishForecasts(program, forecast, crossings=lambda cook, offsets_k: None)
    questions = (WrapNow("foil"), PitAt(121.0), OtherProbe("far"), OtherProbe("none"))
    told = desk.look(live.cook_id, questions)
    answers = dict(told.what_ifs)
    assert list(answers) == list(questions[:3])
    assert {cook.now_s for cook in forecast.asked} == {told.now_s}
    assert forecast.asked[1].legs[0].wrap == "foil"
    assert forecast.asked[2].legs[0].pit_c == 121.0
    assert np.nanmax(forecast.asked[3].probe_c) < np.nanmax(forecast.asked[0].probe_c)
    count = len(forecast.asked)
    assert desk.look(live.cook_id, questions[:3]) is told
    assert len(forecast.asked) == count


def test_what_earlier_cooks_taught_is_used_until_it_is_forgotten(
    program: Program, live: LiveCook
) -> None:
    forecast = FakeForecast()
    prior = [PitPrior(cooks=3)]
    desk = FinishForecasts(program, forecast, lambda cook_id, record: prior[0])
    desk.look(live.cook_id)
    assert forecast.asked[-1].prior == PitPrior(cooks=3)
    prior[0] = PitPrior(cooks=4)
    desk.look(live.cook_id)
    assert len(forecast.asked) == 1
    desk.forget()
    desk.look(live.cook_id)
    assert forecast.asked[-1].prior == PitPrior(cooks=4)


class TestKept:
    def test_every_ten_minutes(self, program: Program, live: LiveCook, clock: FixedClock) -> None:
        desk = FinishForecasts(program, FakeForecast())
        began_s = clock.at_s
        for _ in range(25):
            desk.look(live.cook_id)
            clock.forward(60.0)
        program.journal.flush()
        made = live.log().of(ForecastMade)
        assert [entry.at_s - began_s for entry, _ in made] == [0.0, 600.0, 1200.0]
        first = made[0][1]
        assert (first.channel, first.target_c, first.standing) == ("meat", 95.0, "forecast")
        assert first.low_s == pytest.approx(began_s + 2.3 * 3600.0, abs=120.0)
        assert first.mid_s == pytest.approx(began_s + 3.5 * 3600.0, abs=120.0)
        assert first.high_s == pytest.approx(began_s + 4.7 * 3600.0, abs=120.0)

    def test_beyond_the_horizon_is_none(self, program: Program, live: LiveCook) -> None:
        forecast = FakeForecast()
        forecast.standing = "may_not_reach"
        FinishForecasts(program, forecast).look(live.cook_id)
        program.journal.flush()
        (made,) = kept(live)
        assert made.standing == "may_not_reach"
        assert made.low_s is not None
        assert (made.mid_s, made.high_s) == (None, None)

    @pytest.mark.parametrize("standing", ["too_early", "in_air", "no_readings"])
    def test_without_a_time_nothing_is_written(
        self, program: Program, live: LiveCook, standing: Standing
    ) -> None:
        forecast = FakeForecast()
        forecast.standing = standing
        FinishForecasts(program, forecast).look(live.cook_id)
        program.journal.flush()
        assert kept(live) == []

    def test_reached_is_written_once(
        self, program: Program, live: LiveCook, clock: FixedClock
    ) -> None:
        forecast = FakeForecast()
        forecast.standing = "reached"
        desk = FinishForecasts(program, forecast)
        for _ in range(3):
            desk.look(live.cook_id)
            clock.forward(900.0)
        program.journal.flush()
        assert [made.standing for made in kept(live)] == ["reached"]

    def test_undo_and_redo_do_not_see_it(
        self, program: Program, live: LiveCook, clock: FixedClock
    ) -> None:
        note = live.record(Note("smells good")).result()
        undone = live.undo()
        assert undone is not None
        undone.result()
        FinishForecasts(program, FakeForecast()).look(live.cook_id)
        program.journal.flush()
        assert kept(live)
        again = live.can_redo()
        assert again is not None
        assert again.id == note.id
        redone = live.redo()
        assert redone is not None
        redone.result()
        last = live.can_undo()
        assert last is not None
        assert last.id == note.id

    def test_it_is_no_line_of_the_log_unless_asked_for(
        self, program: Program, live: LiveCook
    ) -> None:
        FinishForecasts(program, FakeForecast()).look(live.cook_id)
        program.journal.flush()
        texts = [line.text for line in log_lines(live.log(), METRIC)]
        assert not any("Forecast" in text for text in texts)
        texts = [line.text for line in log_lines(live.log(), METRIC, forecasts=True)]
        assert any(text.startswith("Forecast: 95 °C at about") for text in texts)

    def test_a_late_one_changes_nothing_of_where_the_cook_stands(
        self, program: Program, live: LiveCook, clock: FixedClock
    ) -> None:
        made_s = clock.at_s
        read(live, clock, 300.0)
        before = live.standing()
        live.keep_forecast(ForecastMade("meat", 95.0), made_s).result()
        # The very same answer: nothing was read again.
        assert live.standing() is before
        assert live.standing() == fold(live.log(), clock.at_s)

    def test_one_is_kept_over_a_restart(
        self, program: Program, live: LiveCook, clock: FixedClock
    ) -> None:
        FinishForecasts(program, FakeForecast()).look(live.cook_id)
        program.journal.flush()
        clock.forward(300.0)
        FinishForecasts(program, FakeForecast()).look(live.cook_id)
        program.journal.flush()
        assert len(kept(live)) == 1
