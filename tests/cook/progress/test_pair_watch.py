"""Lead and check probe, and when they are too far apart."""

from __future__ import annotations

import pytest

from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.entries import LeadSet, Payload, ProbeMoved
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.log.schedule import Stage, UntilSaid, UntilTemperature
from smokejournal.cook.progress.alarms import AlarmTuning, Called, due
from smokejournal.cook.progress.pair_watch import apart_k, known_k
from smokejournal.cook.progress.progress import fold
from tests.support.logs import T0, cook_log, ramp

SMOKE = Stage("s1", "Smoke", (UntilTemperature(93.0),))
MEAT, OTHER = Channel("meat", "Shoulder"), Channel("other", "Far end")


def log_of(
    apart_c: float, said: list[tuple[float, Payload]] | None = None, stage: Stage = SMOKE
) -> CookLog:
    """Together for half an hour, within ten minutes so far apart, and so until an hour and a half."""
    readings = ramp("meat", 0, 5400, 50, 60) + ramp("other", 0, 1800, 50, 53)
    readings += ramp("other", 1810, 2400, 53, 54.4 + apart_c)
    readings += ramp("other", 2410, 5400, 54.4 + apart_c, 60 + apart_c)
    return cook_log([stage], said or [], readings)


def calls(log: CookLog, at_min: float, **tuned: bool | float) -> list[str]:
    called = Called(AlarmTuning(**tuned))  # type: ignore[arg-type]
    found = (a.key.split(":")[0] for a in due(fold(log, T0 + at_min * 60), (), called))
    return [key for key in found if key == "apart"]


def test_a_difference_is_known_as_two_independent_probes_are() -> None:
    """The root of the sum of squares: JCGM 100:2008, 5.1.2, equation (10)."""
    one = Channel("a", "A", uncertainty_c=3.0)
    other = Channel("b", "B", uncertainty_c=4.0)
    assert known_k(one, other) == pytest.approx(5.0)
    assert apart_k(one, other) == pytest.approx(5.0)
    assert (
        apart_k(Channel("a", "A", uncertainty_c=0.1), Channel("b", "B", uncertainty_c=0.1)) == 2.0
    )


def test_too_far_apart_for_ten_minutes_is_called() -> None:
    log = log_of(-13.0)
    assert calls(log, 45) == []
    found = [a for a in due(fold(log, T0 + 50 * 60)) if a.key.startswith("apart")]
    assert found[0].level == "chime"
    assert found[0].text == (
        "Shoulder and Shoulder, far end have been more than 12 °C apart since 21:06. Two good probes in one "
        "piece rarely are. See that both are in the food and where they should be. If one was moved, log it."
    )
    later = [a for a in due(fold(log, T0 + 80 * 60)) if a.key.startswith("apart")]
    assert [a.key for a in later] == [found[0].key]


def test_less_than_two_spots_may_differ_or_switched_off_is_not() -> None:
    assert calls(log_of(-11.0), 80) == []
    assert calls(log_of(-11.0), 80, spots_k=5.0) == ["apart"]
    assert calls(log_of(-13.0), 80, apart=False) == []
    assert calls(log_of(-13.0), 80, apart_s=3 * 3600.0) == []


def test_what_was_seen_before_a_probe_was_moved_does_not_count() -> None:
    log = log_of(-13.0, [(3060, ProbeMoved("other"))])
    assert calls(log, 50.5) == ["apart"]
    assert calls(log, 55) == []
    assert calls(log, 63) == ["apart"]
    other_lead = log_of(-13.0, [(3060, LeadSet("other", "meat"))])
    assert calls(other_lead, 55) == []


def test_a_stage_that_does_not_follow_the_lead_calls_nobody() -> None:
    assert calls(log_of(-30.0, stage=Stage("s1", "Light", (UntilSaid(),))), 80) == []
