"""Calls before the fire: for steps whose time has come or is over, and for the fire."""

from __future__ import annotations

from smokejournal.cook.log.entries import (
    CookClosed,
    Payload,
    PrepStep,
    ScheduleStarted,
    StepBegun,
    StepEnded,
    StepExtended,
    TimesKept,
)
from smokejournal.cook.log.schedule import ForTime, Stage
from smokejournal.cook.plan.prep_reminders import GIVEN_UP_S, reminders
from smokejournal.cook.progress.progress import fold
from tests.support.logs import T0, cook_log

HOUR = 3600.0
SALT = PrepStep("dry brine", duration_s=10 * HOUR, key="k", longest_s=20 * HOUR)
STAGES = (Stage("s1", "Smoke", (ForTime(HOUR),), pit_target_c=110.0),)


def calls(now_h: float, *said: tuple[float, Payload], start: float | None = None) -> list[str]:
    log = cook_log(STAGES, [(-1.0, SALT), *((h * HOUR, what) for h, what in said)], [], start=start)
    now_s = T0 + now_h * HOUR
    standing = fold(log, now_s)
    entries = [e for e in log.holding() if e.at_s <= now_s]
    return [f"{a.level}: {a.text}" for a in reminders(standing, entries)]


def test_a_step_that_has_had_its_time_calls_until_it_is_ended_or_gets_more() -> None:
    begun = (0.0, StepBegun("k"))
    assert calls(9.9, begun) == []
    (call,) = calls(10.1, begun)
    assert call.startswith("chime: Time is up: dry brine.")
    assert calls(10.1, begun, (9.5, StepExtended("k", HOUR))) == []
    assert calls(11.0, begun, (10.5, StepEnded("k"))) == []


def test_longer_than_it_may_last_is_pressing() -> None:
    (call,) = calls(20.5, (0.0, StepBegun("k")))
    assert call.startswith("insistent: dry brine has gone past its limit.")


def test_only_kept_times_call_to_begin() -> None:
    kept = TimesKept({"prep:k": T0 + 5 * HOUR, "stage:s1": T0 + 16 * HOUR}, T0 + 20 * HOUR)
    assert calls(6.0) == []
    assert calls(4.9, (0.0, kept)) == []
    (call,) = calls(5.1, (0.0, kept))
    assert call == "chime: It is time to begin: dry brine. Say so on Plan."
    assert calls(5.2, (0.0, kept), (5.1, StepBegun("k"))) == []
    # Given up long ago.
    assert calls(5.1 + GIVEN_UP_S / HOUR, (0.0, kept), (16.0, StepEnded("k"))) == [
        "chime: It is time to light the fire. Start the cook on Plan or Tend."
    ]


def test_a_fire_that_is_lit_and_a_cook_that_is_over_call_nobody() -> None:
    kept = TimesKept({"stage:s1": T0 + HOUR}, T0 + 9 * HOUR)
    assert calls(1.5, (0.0, kept))
    assert calls(1.5, (0.0, kept), (1.2, ScheduleStarted())) == []
    assert calls(11.0, (0.0, StepBegun("k")), (10.5, CookClosed())) == []
