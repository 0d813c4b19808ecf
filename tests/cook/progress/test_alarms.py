"""What the cook is called for, and how often."""

from __future__ import annotations

import pytest

from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.entries import (
    AlarmAcknowledged,
    AlarmRaised,
    Entry,
    FuelAdded,
    FuelForeseen,
    FuelLevel,
    Payload,
)
from smokejournal.cook.log.schedule import ForTime, Stage, UntilSaid, UntilTemperature
from smokejournal.cook.progress.alarms import AlarmBook, due
from smokejournal.cook.progress.progress import fold
from tests.support.logs import T0, cook_log, ramp

SMOKE = Stage("s1", "Smoke", (UntilTemperature(74.0, prove_s=0.0),), alert="insistent")
REST = Stage("s2", "Rest", (ForTime(1200.0),), instruction="Wrap it in towels.")


def keys(log: CookLog, at: float) -> list[str]:
    return [alarm.key.split(":")[0] for alarm in due(fold(log, T0 + at))]


def test_a_quiet_cook_calls_for_nothing() -> None:
    assert keys(cook_log([SMOKE], readings=ramp("meat", 0, 600, 60, 61)), 600) == []


def test_a_stage_that_ended_calls_once_and_tells_what_is_next() -> None:
    log = cook_log([SMOKE, REST], readings=ramp("meat", 0, 600, 64, 84))
    (alarm,) = due(fold(log, T0 + 400))
    assert alarm.level == "insistent"
    assert alarm.text == "Smoke is over. Now: Rest. Wrap it in towels."
    assert due(fold(log, T0 + 500))[0].key == alarm.key


def test_a_stage_with_no_alert_ends_in_silence() -> None:
    silent = Stage("s1", "Smoke", (ForTime(60.0),), alert="none")
    assert keys(cook_log([silent, REST]), 100) == []


def test_a_lead_probe_that_goes_silent_absurd_or_jumps_is_called_out_and_the_check_offered() -> (
    None
):
    meat, other = ramp("meat", 0, 300, 60, 61), ramp("other", 0, 900, 60, 61)
    silent = cook_log([SMOKE], readings=meat + other)
    assert keys(silent, 420) == []
    assert keys(silent, 421) == ["silent"]
    assert due(fold(silent, T0 + 500))[0].text.endswith("Shoulder, far end can lead instead.")
    absurd = cook_log([SMOKE], readings=meat + ramp("meat", 310, 600, 999, 999) + other)
    assert keys(absurd, 400) == ["absurd"]
    jumped = cook_log([SMOKE], readings=meat + ramp("meat", 310, 600, 90, 90) + other)
    assert keys(jumped, 400) == ["jumped"]


def test_one_cause_keeps_one_key_while_it_lasts() -> None:
    meat = ramp("meat", 0, 300, 60, 61) + ramp("meat", 310, 900, 999, 999)
    log = cook_log([SMOKE], readings=meat)
    assert due(fold(log, T0 + 400))[0].key == due(fold(log, T0 + 800))[0].key


def test_a_probe_that_no_rule_follows_calls_nobody() -> None:
    said = cook_log([Stage("s1", "Smoke", (UntilSaid(),))], readings=ramp("meat", 0, 60, 60, 60))
    assert keys(said, 4000) == []


def test_a_probe_that_never_came_is_called_silent() -> None:
    assert keys(cook_log([SMOKE]), 60) == []
    assert keys(cook_log([SMOKE]), 300) == ["silent"]


def test_past_its_longest_time_a_stage_calls() -> None:
    stage = Stage("s1", "Smoke", (UntilSaid(),), guard_s=600.0)
    assert keys(cook_log([stage]), 599) == []
    assert keys(cook_log([stage]), 600) == ["guard"]


def test_raised_once_answered_once_and_again_after_a_snooze() -> None:
    log = cook_log([SMOKE, REST], readings=ramp("meat", 0, 600, 64, 84))
    book = AlarmBook()
    standing = fold(log, T0 + 400)
    (alarm,) = book.fresh(standing, log.holding())
    book.written(alarm)
    assert book.fresh(standing, log.holding()) == ()
    raised = Entry(90, T0 + 400, T0 + 400, AlarmRaised(alarm.key, alarm.text))
    book.landed(alarm.key)
    entries = (*log.holding(), raised)
    assert book.fresh(standing, entries) == ()
    assert book.sounding(standing, entries, T0 + 400) == (alarm,)
    snoozed = (*entries, Entry(91, T0 + 410, T0 + 410, AlarmAcknowledged(alarm.key, 300.0)))
    assert book.sounding(standing, snoozed, T0 + 500) == ()
    assert book.fresh(fold(log, T0 + 500), snoozed) == ()
    assert book.sounding(standing, snoozed, T0 + 710) == (alarm,)
    assert book.fresh(fold(log, T0 + 710), snoozed) == (alarm,)
    answered = (*entries, Entry(91, T0 + 410, T0 + 410, AlarmAcknowledged(alarm.key)))
    assert book.sounding(standing, answered, T0 + 900) == ()
    assert book.fresh(fold(log, T0 + 900), answered) == ()


HOUR = 3600.0
HOT = Stage("s1", "Smoke", (UntilSaid(),), pit_target_c=110.0)
LEVEL = (-60.0, FuelLevel(4.0, 0.2))


def foreseen(
    hours: tuple[float, float, float] = (4.0, 6.0, 9.0), runs_out: float | None = None
) -> FuelForeseen:
    return FuelForeseen(*(T0 + h * HOUR for h in hours), runs_out, T0 + 7 * HOUR)


def fuel_keys(said: list[tuple[float, Payload]], at_h: float, stage: Stage = HOT) -> list[str]:
    log = cook_log([stage], said)
    at_s = T0 + at_h * HOUR
    held = [entry for entry in log.holding() if entry.at_s <= at_s]
    return [alarm.key.split(":")[0] for alarm in due(fold(log, at_s), held)]


class TestFuel:
    def test_it_may_run_out_before_the_food_is_off(self) -> None:
        log = cook_log([HOT], [LEVEL, (HOUR, foreseen(runs_out=0.61))])
        (alarm,) = due(fold(log, T0 + 2 * HOUR), log.holding())
        assert alarm.level == "chime"
        assert alarm.text == (
            "The fuel may run out before the food is off the pit (chance about 6 in 10). "
            "Add pellets and write it down."
        )

    @pytest.mark.parametrize(
        ("runs_out", "at_h", "keys"),
        [
            (0.61, 2.0, ["fuel_short"]),
            (0.29, 2.0, []),
            (None, 2.0, []),
            # Half an hour before one hopper in ten is empty.
            (0.61, 3.5, ["fuel_low"]),
            (0.29, 3.5, ["fuel_low"]),
            (None, 3.49, []),
            (None, 3.5, ["fuel_low"]),
            (None, 5.49, ["fuel_low"]),
            # And half an hour before every other one is.
            (None, 5.5, ["fuel_empty"]),
            (0.61, 20.0, ["fuel_empty"]),
            # The food is off by then.
            (0.09, 3.5, []),
            # What was foreseen of the food is old.
            (0.61, 4.0, ["fuel_low"]),
            (0.09, 4.1, ["fuel_low"]),
        ],
    )
    def test_when(self, runs_out: float | None, at_h: float, keys: list[str]) -> None:
        assert fuel_keys([LEVEL, (HOUR, foreseen(runs_out=runs_out))], at_h) == keys

    def test_how_pressing(self) -> None:
        log = cook_log([HOT], [LEVEL, (HOUR, foreseen())])
        (low,), (empty,) = (due(fold(log, T0 + h * HOUR), log.holding()) for h in (4.0, 6.0))
        assert (low.level, empty.level) == ("chime", "insistent")
        assert low.text.startswith("The hopper may soon be empty.")
        assert empty.text.startswith("The hopper is probably almost empty.")

    def test_without_a_forecast_or_a_known_hopper_nothing(self) -> None:
        assert fuel_keys([LEVEL], 20.0) == []
        assert fuel_keys([(HOUR, foreseen(runs_out=0.9))], 2.0) == []

    @pytest.mark.parametrize("what", [FuelAdded("oak", 2.0, 0.1), FuelLevel(5.0, 0.1)])
    def test_what_is_added_or_read_makes_it_void_until_it_is_foreseen_anew(
        self, what: Payload
    ) -> None:
        said = [LEVEL, (HOUR, foreseen(runs_out=0.9)), (2 * HOUR, what)]
        assert fuel_keys(said, 1.9) == ["fuel_short"]
        assert fuel_keys(said, 3.6) == []
        again = [*said, (2.1 * HOUR, foreseen(runs_out=0.5))]
        assert fuel_keys(again, 2.5) == ["fuel_short"]

    def test_one_level_one_call_of_each_kind(self) -> None:
        said = [LEVEL, (HOUR, foreseen(runs_out=0.9)), (1.2 * HOUR, foreseen(runs_out=0.4))]
        log = cook_log([HOT], said)
        first, later = (
            due(fold(log, T0 + h * HOUR), [e for e in log.holding() if e.at_s <= T0 + h * HOUR])
            for h in (1.1, 1.3)
        )
        assert [a.key for a in first] == [a.key for a in later]
        assert first[0].text != later[0].text

    def test_off_the_pit_no_fuel_is_called_for(self) -> None:
        rest = Stage("s1", "Rest", (UntilSaid(),))
        assert fuel_keys([LEVEL, (HOUR, foreseen(runs_out=0.9))], 4.0, rest) == []
