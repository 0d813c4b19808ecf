"""A finished cook counted again. The answers are arithmetic on straight lines, worked by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.hindsight.hindsight import Hindsight, hindsight
from smokejournal.cook.hindsight.otherwise import Otherwise
from smokejournal.cook.hindsight.words import hindsight_words
from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.entries import CookClosed, ItemAdded, StageConfirmed
from smokejournal.cook.log.schedule import ForTime, Stage, UntilSaid, UntilTemperature
from smokejournal.cook.text.quantities import METRIC, US
from tests.support.logs import MEAT, OTHER, T0, cook_log, ramp

HOUR = 3600.0
SMOKE = Stage(
    "smoke", "Smoke", (UntilTemperature(70.0, prove_s=0.0),), pit_target_c=110.0, purpose="cook"
)
REST = Stage("rest", "Rest", (ForTime(1800.0),), purpose="rest")


def rising(slope_c_h: float = 10.0, behind_c: float = 2.0, hours: float = 8.0) -> CookLog:
    """Two probes on straight lines from 10 °C, the other one behind; off at 70 °C of the first."""
    to_s = hours * HOUR
    readings = ramp("meat", 0.0, to_s, 10.0, 10.0 + slope_c_h * hours, 60.0)
    readings += ramp("other", 0.0, to_s, 10.0 - behind_c, 10.0 - behind_c + slope_c_h * hours, 60.0)
    return cook_log((SMOKE, REST), [(to_s, CookClosed())], readings)


def counted(log: CookLog, otherwise: Otherwise) -> Hindsight:
    found = hindsight(log, otherwise)
    assert found is not None
    return found


@given(slope=st.floats(6.0, 40.0), behind_c=st.floats(0.0, 8.0))
def test_as_it_was_nothing_changes(slope: float, behind_c: float) -> None:
    hours = 70.0 / slope
    found = counted(rising(slope, behind_c, hours), Otherwise())
    assert found.would_s == found.was_s
    assert found.later_s == 0.0
    assert all(probe.was_c == probe.would_c for probe in found.probes)
    assert all(stage.was_s == stage.would_s for stage in found.stages)


def test_the_probe_that_is_ahead_would_have_ended_it_sooner() -> None:
    """2 K ahead at 10 K/h is 12 minutes."""
    found = counted(rising(behind_c=-2.0), Otherwise(lead="other"))
    assert found.was_s == pytest.approx(T0 + 6 * HOUR, abs=60)
    assert found.later_s == pytest.approx(-720.0, abs=60)
    meat, other = found.probes
    assert meat.was_c == pytest.approx(70.0, abs=0.2)
    assert meat.would_c == pytest.approx(68.0, abs=0.2)
    assert other.would_c == pytest.approx(70.0, abs=0.2)
    assert "12 min sooner" in hindsight_words(found, {}, METRIC, "UTC")[0]


@given(slope=st.floats(6.0, 40.0), behind_c=st.floats(1.0, 8.0))
def test_the_probe_behind_was_short_by_what_it_lacked_and_needs_its_pace(
    slope: float, behind_c: float
) -> None:
    found = counted(rising(slope, behind_c, 70.0 / slope), Otherwise(lead="other"))
    assert found.would_s is None
    assert found.short_c is not None
    assert found.short_c == pytest.approx(behind_c, abs=slope / 60 + 1e-6)
    assert found.more_s is not None
    low, high = found.more_s
    assert low == pytest.approx(found.short_c / slope * HOUR, rel=1e-2)
    assert high == pytest.approx(low, rel=1e-3)


def test_a_probe_that_stands_still_promises_nothing() -> None:
    readings = ramp("meat", 0.0, 6 * HOUR, 10.0, 70.0, 60.0)
    readings += ramp("other", 0.0, 3 * HOUR, 10.0, 60.0, 60.0)
    readings += ramp("other", 3 * HOUR + 60, 6 * HOUR, 60.0, 60.1, 60.0)
    log = cook_log((SMOKE, REST), [(6 * HOUR, CookClosed())], readings)
    found = counted(log, Otherwise(lead="other"))
    assert found.would_s is None
    assert found.more_s is None
    assert "too slowly" in hindsight_words(found, {}, METRIC, "UTC")[0]


def test_another_target_and_the_degree_minutes_over_it() -> None:
    """From 65 to 70 °C at 10 K/h is 30 minutes; the triangle over 65 °C is 5 K x 30 min / 2."""
    found = counted(rising(), Otherwise(targets_c={"smoke": 65.0}))
    assert found.later_s == pytest.approx(-1800.0, abs=60)
    assert found.over_c_min == pytest.approx(75.0, abs=3)
    said = " ".join(hindsight_words(found, {"meat": "Shoulder"}, US, "UTC"))
    assert "135 °F min past 149 °F" in said  # 75 °C min


def test_a_probe_as_calibrated_since() -> None:
    """It read 2 K low: corrected, it leads as if it were level with the other one."""
    since = replace(OTHER, offset_c=2.0, calibrated_at_s=T0 + 9 * HOUR)
    found = counted(rising(), Otherwise(lead="other", channels={"other": since}))
    assert found.later_s == pytest.approx(0.0, abs=1)
    _, other = found.probes
    assert other.would_c == pytest.approx(70.0, abs=0.2)


def test_the_cook_confirms_as_late_as_then_and_wraps_as_long() -> None:
    smoke = replace(SMOKE, ending="waits")
    wrap = Stage("wrap", "Wrap", (UntilSaid(),), purpose="wrap")
    finish = Stage(
        "f", "Finish", (UntilTemperature(80.0, prove_s=0.0),), pit_target_c=120.0, purpose="cook"
    )
    readings = ramp("meat", 0.0, 8 * HOUR, 10.0, 90.0, 60.0)
    readings += ramp("other", 0.0, 8 * HOUR, 12.0, 92.0, 60.0)
    said = [
        (6 * HOUR + 300, StageConfirmed("smoke")),
        (6 * HOUR + 600, StageConfirmed("wrap")),
        (8 * HOUR, CookClosed()),
    ]
    found = counted(cook_log((smoke, wrap, finish, REST), said, readings), Otherwise(lead="other"))
    by_key = {stage.key: stage for stage in found.stages}
    assert by_key["smoke"].would_s == pytest.approx(T0 + 5.8 * HOUR + 300, abs=60)
    assert by_key["wrap"].would_s == pytest.approx(T0 + 5.8 * HOUR + 600, abs=60)
    assert found.would_s == pytest.approx(T0 + 6.8 * HOUR, abs=60)
    words = hindsight_words(found, {}, METRIC, "UTC")
    assert any("“Smoke” would have ended" in text and "12 min sooner" in text for text in words)


def test_a_hold_that_begins_later_lasts_longer() -> None:
    hold = Stage(
        "hold", "Hold", (ForTime(1800.0, at_least_c=60.0),), pit_target_c=90.0, purpose="hold"
    )
    readings = ramp("meat", 0.0, 8 * HOUR, 10.0, 90.0, 60.0)
    readings += ramp("other", 0.0, 8 * HOUR, 8.0, 88.0, 60.0)
    log = cook_log((SMOKE, hold, REST), [(8 * HOUR, CookClosed())], readings)
    found = counted(log, Otherwise(lead="other"))
    assert found.would_s is None
    assert found.left_s == pytest.approx(720.0, abs=61)
    assert "at least 1" in hindsight_words(found, {}, METRIC, "UTC")[0]


def test_the_safe_time_count_is_told_and_promises_nothing() -> None:
    log = rising()
    log = replace(
        log,
        entries=(
            *log.entries,
            replace(log.entries[0], id=99, what=ItemAdded("roast", "red_meat", mass_kg=2.0)),
        ),
    )
    found = counted(log, Otherwise(targets_c={"smoke": 54.0}))
    (kill,) = found.kills
    assert kill.was_log is not None
    if kill.would_log is not None:
        assert kill.would_log <= kill.was_log
    assert "None of this says that food is safe." in hindsight_words(found, {}, METRIC, "UTC")[-1]


def test_nothing_can_be_counted_of_a_cook_that_goes_on_or_has_no_lead() -> None:
    going_on = cook_log((SMOKE, REST), [], ramp("meat", 0.0, HOUR, 10.0, 20.0))
    assert hindsight(going_on, Otherwise(lead="other")) is None
    assert hindsight(CookLog(1), Otherwise()) is None


def test_readings_after_the_food_came_off_are_not_looked_at() -> None:
    """It went on rising off the pit: that is no reason to say that the other probe got there."""
    readings = ramp("meat", 0.0, 6 * HOUR, 10.0, 70.0, 60.0)
    readings += ramp("other", 0.0, 7 * HOUR, 8.0, 78.0, 60.0)
    log = cook_log((SMOKE, REST), [(7 * HOUR, CookClosed())], readings)
    assert counted(log, Otherwise(lead="other")).would_s is None
    assert MEAT.key == "meat"
