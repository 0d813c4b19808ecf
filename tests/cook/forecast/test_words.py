"""A forecast in words: no time without an interval, none before now, none told too finely."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.forecast.basis_words import assumed_words, noticed_words
from smokejournal.cook.forecast.change_words import effect_words, shift_words
from smokejournal.cook.forecast.cook_so_far import ForecastInput, NoForecast, record_of
from smokejournal.cook.forecast.intervals import (
    TimeInterval,
    chance_by,
    leg_span,
    reach_span,
    rounded,
    shift_of,
    span_of,
    step_s,
)
from smokejournal.cook.forecast.legs import Assumed
from smokejournal.cook.forecast.words import (
    forecast_words,
    pit_title,
    probe_title,
    why_words,
    wrap_title,
)
from smokejournal.cook.log.entries import ItemAdded, StageConfirmed
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.log.schedule import ForTime, Stage, UntilTemperature
from smokejournal.cook.progress.progress import fold
from smokejournal.cook.text.quantities import METRIC, US
from smokejournal.science.forecast.recalibration import GENERIC_SCALE
from smokejournal.science.forecast.values import SHARES, Forecast, PitPrior, Recalibration, Standing
from tests.support.logs import T0, cook_log, ramp

H = 3600.0
#: 14:00 UTC.
NOW = math.floor(T0 / 86400.0) * 86400.0 + 14 * H
STAGES = (
    Stage("s", "Smoke", (UntilTemperature(95.0),), pit_target_c=110.0),
    Stage("h", "Hold", (ForTime(1800.0),), pit_target_c=95.0),
    Stage("r", "Rest", (ForTime(H),)),
)


def record(stages=STAGES, said=()) -> ForecastInput:
    log = cook_log(stages, said, [*ramp("pit", 0, H, 100, 110, 60), *ramp("meat", 0, H, 5, 40, 60)])
    answer = record_of(log, fold(log, T0 + 2 * H), T0 + 2 * H)
    assert isinstance(answer, ForecastInput)
    return answer


def forecast(
    hours: list[float], standing: Standing = "forecast", legs: bool = True, **more: object
) -> Forecast:
    """Members that reach it after so many hours from 14:00; inf: never."""
    reach_s = NOW + H * np.array(hours)
    remaining = np.quantile(reach_s - NOW, SHARES, method="inverted_cdf")
    ends = np.stack([reach_s, reach_s + 1800.0, reach_s + 5400.0]) if legs else None
    return Forecast(standing, NOW, remaining, reach_s, ends, **more)  # type: ignore[arg-type]


#: 10, 50 and 90 % at 17:50, 18:40 and 20:10.
LIKELY = [*[3 + 50 / 60] * 20, *[4 + 40 / 60] * 60, *[6 + 10 / 60] * 20]


def line(hours: list[float], standing: Standing = "forecast", **more: object) -> str:
    return forecast_words(forecast(hours, standing, **more), record(), METRIC, "UTC").line


def test_the_line() -> None:
    assert line(LIKELY) == "Reaches 95 °C at about 18:40 (17:50 – 20:10)."
    said = forecast_words(forecast(LIKELY), record(), US, "America/Chicago")
    assert said.line == "Reaches 203 °F at about 1:40 pm (12:50 pm – 3:10 pm)."


def test_what_comes_after() -> None:
    said = forecast_words(forecast(LIKELY), record(), METRIC, "UTC")
    assert said.headline == "Ready about 20:10 (19:20 – 21:40)"
    assert said.after == ("Hold is over at about 19:10 (18:20 – 20:40).",)
    said = forecast_words(forecast(LIKELY), record(), METRIC, "UTC", NOW + 6.5 * H)
    assert said.after == ("Hold is over at about 19:10 (18:20 – 20:40).",)
    assert said.wanted == "Wanted at 20:30: likely in time (chance about 8 in 10)."
    assert said.headline == "Ready about 20:10 (19:20 – 21:40)"
    assert said.to_do == ()
    assert said.line in said.text
    early = forecast_words(forecast(LIKELY), record(), METRIC, "UTC", NOW + H)
    assert early.wanted.endswith("likely late (chance more than 9 in 10).")
    assert early.wanted in early.text


def test_beyond_the_horizon() -> None:
    late = [4.0] * 20 + [6.0] * 60 + [math.inf] * 20
    assert line(late) == "Reaches 95 °C at about 20:00 (18:00 – later than 21:30)."
    most = [4.0] * 20 + [math.inf] * 80
    assert line(most) == "Reaches 95 °C later than 19:30, hardly before 18:00."
    assert line([math.inf] * 10) == "Reaches 95 °C later than the forecast looks."


def test_may_not_reach() -> None:
    assert line([math.inf] * 10, "may_not_reach") == (
        "May not reach 95 °C at this pit temperature."
    )
    some = line([4.0] * 20 + [math.inf] * 80, "may_not_reach")
    assert some.endswith("If it does, later than 19:30, hardly before 18:00.")
    half = line([4.0] * 60 + [math.inf] * 40, "may_not_reach")
    assert half.endswith("If it does, at about 18:00 (18:00 – later than 19:30).")


@pytest.mark.parametrize(
    ("standing", "says"),
    [
        ("too_early", "Too early to tell"),
        ("no_readings", "No recent readings"),
        ("in_air", "seems to be in the air"),
        ("reached", "The probe is at 95 °C."),
    ],
)
def test_without_numbers(standing: Standing, says: str) -> None:
    said = forecast_words(Forecast(standing, NOW), record(), METRIC, "UTC")
    assert says in said.line
    assert not re.search(r"\d:\d", said.line)
    assert said.after == ()
    assert said.peak == said.wanted == ""


def test_reached_still_tells_the_rest() -> None:
    held = Forecast("reached", NOW, legs_end_s=NOW + np.array([[0.0], [1800.0], [5400.0]]))
    said = forecast_words(held, record(), METRIC, "UTC")
    assert said.after[0] == "Hold is over at about 14:30 (14:30 – 14:30)."


def test_the_peak() -> None:
    peaks = np.array([95.5] * 20 + [97.0] * 60 + [99.0] * 20)
    said = forecast_words(forecast(LIKELY, peak_c=peaks), record(), METRIC, "UTC")
    assert said.peak == "Taken off then, it goes on to about 97 °C (96 °C – 99 °C)."


def test_far_ahead_comes_with_its_day() -> None:
    assert (
        line([24.0] * 10) == "Reaches 95 °C at about 29 May, 14:00 (29 May, 14:00 – 29 May, 14:00)."
    )


def test_what_it_rests_on() -> None:
    item = ItemAdded("pork shoulder", "red_meat", mass_kg=3.0, thickness_m=0.12)
    said = forecast_words(forecast(LIKELY), record(said=[(-60.0, item)]), METRIC, "UTC")
    assert said.rests_on.startswith(
        "Based on: readings of Shoulder since 20:26, treated as a shoulder, 3 kg, 12 cm thick, "
        "nothing learned from earlier cooks."
    )
    plain = record()
    taught = replace(
        plain, cook=replace(plain.cook, prior=PitPrior(cooks=3, of_the_cut=1)), first_s=None
    )
    said = forecast_words(forecast(LIKELY), taught, METRIC, "UTC")
    assert "no readings of Shoulder" in said.rests_on
    assert "any piece of meat, its size not known, 3 earlier cooks on this pit, " in said.rests_on
    assert "one earlier cook with this kind of meat." in said.rests_on


def test_a_second_probe_that_is_used_is_named() -> None:
    plain = record()
    two = replace(plain, check=Channel("other", "Far end"))
    said = forecast_words(forecast(LIKELY, check_used=True), two, METRIC, "UTC").rests_on
    assert said.endswith("8 times in 10. Far end is in the same piece and is used as well.")
    unused = forecast(LIKELY, noticed=("check_unused",))
    told = forecast_words(unused, two, METRIC, "UTC")
    assert "as well" not in told.rests_on
    assert told.noticed == (
        "The second probe isn't used: it seems to be in the air or in another piece. Check where it is.",
    )


def test_earlier_cooks_that_went_on_from_here_are_counted() -> None:
    for courses_s, words in (
        ((14_000.0,), "Going by one earlier cook, it takes 3 h 55 min from here; that counts too."),
        (
            (14_000.0, 15_000.0, 15_720.0),
            "Going by 3 earlier cooks, it takes 3 h 55 min to 4 h 20 min from here",
        ),
        (
            (14_000.0, 14_050.0),
            "Going by 2 earlier cooks, it takes 3 h 55 min from here; that counts too.",
        ),
        ((40.0,), "Going by one earlier cook, it takes 5 min from here; that counts too."),
    ):
        told = forecast(LIKELY, courses_s=courses_s)
        assert words in forecast_words(told, record(), METRIC, "UTC").rests_on


def test_what_its_range_was_corrected_by() -> None:
    corrected = forecast(LIKELY, recalibration=Recalibration(-0.1, 0.6 * GENERIC_SCALE, 8))
    said = forecast_words(corrected, record(), METRIC, "UTC").rests_on
    assert said.endswith(
        "The range in brackets should hold 8 times in 10. It was compared with how forecasts of 8 "
        "earlier cooks came out. The range is 40 % narrower for it."
    )
    fresh = forecast(LIKELY, recalibration=Recalibration(0.0, GENERIC_SCALE, 0))
    assert forecast_words(fresh, record(), METRIC, "UTC").rests_on.endswith("8 times in 10.")


def test_what_is_assumed_and_noticed() -> None:
    said = assumed_words(
        [Assumed("word_at_once", "Smoke"), Assumed("word_at_once", "Hold"), Assumed("one_item")]
    )
    assert said[0] == "Assumed confirmed as soon as it is due: “Smoke”, “Hold”."
    assert len(said) == 2
    assert noticed_words("moved").startswith("The probe seems to have been moved.")
    assert noticed_words("some_new_thing") == "Noticed in the readings: some new thing."
    open_end = record((STAGES[0], Stage("c", "Set aside")))
    told = forecast_words(forecast(LIKELY), open_end, METRIC, "UTC")
    assert any("Set aside" in one for one in told.assumed)


def test_every_reason_has_words() -> None:
    log = cook_log(STAGES, [(60.0, StageConfirmed("s"))])
    past = record_of(log, fold(log, T0 + 120), T0 + 120)
    assert isinstance(past, NoForecast)
    assert past.why == "past"
    for why in ("not_begun", "warming_up", "over", "past", "no_lead", "no_pit", "no_target"):
        assert why_words(why).startswith("No forecast")


class TestShift:
    def test_sooner(self) -> None:
        before = forecast(LIKELY)
        after = forecast(
            [
                h - d
                for h, d in zip(
                    LIKELY, [40 / 60] * 20 + [70 / 60] * 60 + [110 / 60] * 20, strict=True
                )
            ]
        )
        assert shift_words(wrap_title("foil"), before, after) == (
            "Wrapped in foil now: about 1 h 10 min sooner (40 min – 1 h 50 min)."
        )

    def test_members_are_paired(self) -> None:
        """The spread of each is hours; that of their difference is none."""
        before = forecast([2.0, 4.0, 6.0, 8.0])
        shift = shift_of(before, forecast([1.5, 3.5, 5.5, 7.5]))
        assert shift is not None
        assert shift.span == TimeInterval(-1800.0, -1800.0, -1800.0)
        assert shift_words("x", before, forecast([2.5, 4.5, 6.5, 8.5])) == (
            "x: about 30 min later (30 min – 30 min)."
        )

    def test_both_ways_and_none(self) -> None:
        assert effect_words(TimeInterval(-2400.0, -1200.0, 600.0)) == (
            "about 20 min sooner (10 min later – 40 min sooner)"
        )
        assert effect_words(TimeInterval(-600.0, 0.0, 300.0)) == (
            "about the same time (10 min sooner – 5 min later)"
        )

    def test_open_ends(self) -> None:
        assert effect_words(TimeInterval(-math.inf, -3600.0, -1800.0)) == (
            "about 1 h sooner (30 min – more than 1 h)"
        )

    def test_only_with_or_only_without(self) -> None:
        never, there = forecast([math.inf] * 4), forecast([2.0, 3.0, 4.0, 5.0])
        assert "might not otherwise" in shift_words("x", never, there)
        assert "may not be reached" in shift_words("x", there, never)
        assert "may not be reached" in shift_words(
            "x", never, forecast([math.inf] * 4, "may_not_reach")
        )
        assert "can't be estimated" in shift_words("x", there, Forecast("in_air", NOW))
        assert "can't be estimated" in shift_words("x", there, forecast([1.0, 2.0]))

    def test_titles(self) -> None:
        assert pit_title(121.0, US) == "Pit at 250 °F from now on"
        assert probe_title("Flat end") == "Going by Flat end"
        assert wrap_title("paper") == "Wrapped in paper now"


class TestNumbers:
    def test_nan_is_beyond(self) -> None:
        assert span_of(np.array([np.nan, 1.0])) == TimeInterval(1.0, 1.0, math.inf)
        assert not span_of(np.empty(0)).known

    def test_nothing_is_told_without_numbers(self) -> None:
        assert reach_span(Forecast("too_early", NOW)) is None
        assert leg_span(forecast([1.0]), 9) is None
        assert leg_span(forecast([1.0], legs=False), 0) is None

    def test_chance(self) -> None:
        assert chance_by(np.array([1.0, 2.0, math.inf]), 2.0) == pytest.approx(2 / 3)
        assert chance_by(np.empty(0), 2.0) == 0.0

    def test_an_interval_beyond_half_an_hour_is_never_told_to_the_minute(self) -> None:
        assert step_s(1800.0) == 60.0
        assert step_s(1801.0) == 300.0
        assert rounded(TimeInterval(61.0, 1000.0, 3000.0)) == TimeInterval(0.0, 900.0, 3000.0)

    @given(
        st.lists(
            st.floats(-5.0, 60.0) | st.just(math.inf) | st.just(math.nan), min_size=1, max_size=60
        ),
        st.sampled_from(["forecast", "may_not_reach", "reached"]),
    )
    def test_whatever_comes_it_is_no_time_before_now(
        self, hours: list[float], standing: Standing
    ) -> None:
        known = [math.inf if math.isnan(h) else h for h in hours]
        found = forecast(known, standing)
        said = forecast_words(found, record(), METRIC, "UTC", NOW + H)
        assert "inf" not in said.text.replace("information", "")
        assert "nan" not in said.text
        assert "−" not in said.text
        span = reach_span(found)
        assert span is not None
        assert NOW <= span.low <= span.mid <= span.high
        told = rounded(span, NOW)
        assert NOW <= told.low <= told.mid <= told.high
        if "at about" in said.line:
            assert "(" in said.line
