"""A battery that runs low and a disk that fills up: when they call, and that they call once.

The figures are the program's own judgment (no source); what is tested is what is done with them.
"""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.progress.alarms import Alarm, AlarmTuning, Called
from smokejournal.cook.progress.machine_watch import (
    OLD_S,
    SAME_S,
    Battery,
    MachineRead,
    MachineSeen,
    machine_alarms,
)

#: 25 Nov 2026, 18:00 UTC.
T0 = 1_795_629_600.0
AT_S = 20.0
CALLED = Called()


def on_battery(pct: float | None, left_s: float | None = None) -> MachineRead:
    return MachineRead(Battery(pct, True, left_s))


def plugged(pct: float | None) -> MachineRead:
    return MachineRead(Battery(pct, False))


def seen_of(*reads: MachineRead, every_s: float = AT_S) -> MachineSeen:
    seen = MachineSeen()
    for number, read in enumerate(reads):
        seen = seen.after(read, T0 + number * every_s)
    return seen


def alarms(*reads: MachineRead, every_s: float = AT_S, called: Called = CALLED) -> list[Alarm]:
    return list(machine_alarms(seen_of(*reads, every_s=every_s), called))


def keys(*reads: MachineRead, every_s: float = AT_S) -> list[str]:
    return [alarm.key.partition(":")[0] for alarm in alarms(*reads, every_s=every_s)]


class TestBattery:
    def test_it_calls_once_it_falls_to_a_fifth_and_pressingly_at_a_tenth(self) -> None:
        assert keys(on_battery(21)) == []
        assert keys(on_battery(21), on_battery(20)) == ["battery_low"]
        assert keys(on_battery(20), on_battery(10)) == ["battery_empty"]

    def test_it_says_what_was_seen_since_when_and_what_to_do(self) -> None:
        (low,) = alarms(on_battery(60), on_battery(19), on_battery(18, 2280.0), every_s=3600.0)
        assert low.level == "chime"
        assert "18 %" in low.text
        assert "38 min" in low.text
        assert "since 19:00" in low.text
        assert "Plug this machine in." in low.text

    def test_without_a_figure_of_the_machine_no_minutes_are_told(self) -> None:
        (low,) = alarms(on_battery(18))
        assert "min" not in low.text
        assert "figure" not in low.text

    def test_little_time_presses_only_with_a_low_battery(self) -> None:
        assert keys(on_battery(18, 600.0)) == ["battery_empty"]
        assert keys(on_battery(80, 600.0)) == []

    def test_plugged_in_it_is_quiet_at_once(self) -> None:
        assert keys(on_battery(8), plugged(8)) == []

    def test_plugged_in_and_still_running_down_it_calls(self) -> None:
        (low,) = alarms(on_battery(18))
        assert "look at the charger" in low.text

    def test_a_loose_plug_is_one_call(self) -> None:
        flapping = [on_battery(18) if n % 2 == 0 else plugged(18) for n in range(9)]
        (first,), (last,) = alarms(on_battery(18)), alarms(*flapping)
        assert last.key == first.key

    def test_unplugged_again_much_later_it_is_another_call(self) -> None:
        (first,) = alarms(on_battery(18))
        waits = [plugged(19)] * (int(SAME_S / AT_S) + 1)
        (later,) = alarms(on_battery(18), *waits, on_battery(18))
        assert later.key != first.key

    def test_a_figure_that_wavers_around_the_limit_is_one_call(self) -> None:
        (first,) = alarms(on_battery(20))
        (last,) = alarms(*(on_battery(20 + n % 3) for n in range(40)), on_battery(22))
        assert last.key == first.key
        assert keys(on_battery(20), on_battery(24)) == []

    def test_no_battery_and_nothing_known_call_nobody(self) -> None:
        assert keys(MachineRead(), MachineRead()) == []
        assert keys(MachineRead(Battery())) == []
        assert keys(MachineRead(Battery(5.0, None))) == []
        assert keys(MachineRead(Battery(None, True, 60.0))) == []

    def test_what_was_known_holds_for_a_while_and_then_no_longer(self) -> None:
        unread = [MachineRead()] * int(OLD_S / AT_S)
        assert keys(on_battery(8), *unread[:-1]) == ["battery_empty"]
        assert keys(on_battery(8), *unread, MachineRead()) == []


class TestDisk:
    def test_it_calls_below_a_gigabyte_and_pressingly_below_a_fifth_of_it(self) -> None:
        assert keys(MachineRead(None, 1_000_000_000)) == []
        assert keys(MachineRead(None, 999_999_999)) == ["disk_low"]
        assert keys(MachineRead(None, 199_999_999)) == ["disk_full"]

    def test_it_says_how_much_is_free_since_when_and_what_to_do(self) -> None:
        low = MachineRead(None, 640_900_000)
        (scarce,) = alarms(low, low)
        assert scarce.level == "chime"
        assert "640 MB are free, low since 18:00" in scarce.text
        assert "Free space on it" in scarce.text
        (full,) = alarms(MachineRead(None, 50_000_000))
        assert full.level == "insistent"
        assert "--emergency FILE" in full.text

    def test_a_figure_that_wavers_around_the_limit_is_one_call(self) -> None:
        (first,) = alarms(MachineRead(None, 999_000_000))
        wavering = [MachineRead(None, 999_000_000 + 1_100_000 * (n % 3)) for n in range(30)]
        (last,) = alarms(*wavering)
        assert last.key == first.key

    def test_made_room_it_is_quiet(self) -> None:
        assert keys(MachineRead(None, 100_000_000), MachineRead(None, 5_000_000_000)) == []
        assert keys(MachineRead(None, 100_000_000), MachineRead(None, 600_000_000)) == ["disk_low"]


def test_the_pressing_one_comes_first() -> None:
    read = MachineRead(Battery(18.0, True), 100_000_000)
    assert keys(read) == ["disk_full", "battery_low"]


def test_switched_off_neither_calls() -> None:
    read = MachineRead(Battery(5.0, True), 0)
    assert len(alarms(read)) == 2
    assert alarms(read, called=Called(AlarmTuning(battery=False, disk=False))) == []
    (left,) = alarms(read, called=Called(AlarmTuning(battery=False)))
    assert left.key.startswith("disk_full")


reads = st.lists(
    st.builds(
        MachineRead,
        st.none()
        | st.builds(
            Battery,
            st.none() | st.floats(0, 100),
            st.none() | st.booleans(),
            st.none() | st.floats(0, 1e6),
        ),
        st.none() | st.integers(0, 10**13),
    ),
    max_size=30,
)


@given(reads)
def test_whatever_is_read_each_cause_calls_once_and_only_when_it_holds(
    given_reads: list[MachineRead],
) -> None:
    found = alarms(*given_reads)
    assert len([a for a in found if a.key.startswith("battery")]) <= 1
    assert len([a for a in found if a.key.startswith("disk")]) <= 1
    known = [r.battery for r in given_reads if r.battery is not None]
    known = [b for b in known if b.charge_pct is not None and b.draining is not None]
    if not known or not known[-1].draining:
        assert not any(a.key.startswith("battery") for a in found)


@given(reads)
def test_charged_and_with_room_all_is_quiet(given_reads: list[MachineRead]) -> None:
    well = MachineRead(Battery(90.0, True), 10**12)
    assert alarms(*given_reads, well) == []
    assert replace(seen_of(*given_reads, well), battery=None).free_bytes == 10**12
