"""What the machine says of its battery: written down as each system gives it, whole and damaged.

The forms are from memory (no source at hand): sysfs of Linux, `pmset` of macOS, SYSTEM_POWER_STATUS.
"""

from __future__ import annotations

import os
import random
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest

from smokejournal.cook.progress.machine_watch import Battery
from smokejournal.host.battery import (
    linux_battery,
    mac_battery,
    read_battery,
    windows_battery,
)


def supply(root: Path, name: str, **files: object) -> None:
    folder = root / name
    folder.mkdir(parents=True)
    for file, content in files.items():
        (folder / file).write_text(f"{content}\n")


def battery(root: Path, name: str = "BAT0", **files: object) -> None:
    supply(root, name, type="Battery", **files)


class TestLinux:
    def test_unplugged_with_energies(self, tmp_path: Path) -> None:
        battery(
            tmp_path,
            capacity=48,
            status="Discharging",
            energy_now=24_000_000,
            energy_full=50_000_000,
            power_now=12_000_000,
        )
        supply(tmp_path, "AC", type="Mains", online=0)
        assert linux_battery(tmp_path) == Battery(48.0, True, 7200.0)

    def test_charges_and_a_current_that_flows_out(self, tmp_path: Path) -> None:
        battery(
            tmp_path,
            capacity=10,
            status="Discharging",
            charge_now=400_000,
            charge_full=4_000_000,
            current_now=-800_000,
        )
        assert linux_battery(tmp_path) == Battery(10.0, True, 1800.0)

    def test_plugged_in(self, tmp_path: Path) -> None:
        for n, status in enumerate(("Charging", "Full", "Not charging")):
            battery(tmp_path / str(n), capacity=90, status=status, power_now=1, energy_now=5)
            assert linux_battery(tmp_path / str(n)) == Battery(90.0, False)

    def test_plugged_in_and_running_down_all_the_same(self, tmp_path: Path) -> None:
        battery(tmp_path, capacity=15, status="Discharging")
        supply(tmp_path, "AC", type="Mains", online=1)
        assert linux_battery(tmp_path) == Battery(15.0, True)

    def test_where_the_status_is_unknown_the_plug_tells(self, tmp_path: Path) -> None:
        battery(tmp_path, capacity=15, status="Unknown")
        assert linux_battery(tmp_path) == Battery(15.0, None)
        supply(tmp_path, "AC", type="Mains", online=0)
        assert linux_battery(tmp_path) == Battery(15.0, True)
        (tmp_path / "AC" / "online").write_text("1")
        assert linux_battery(tmp_path) == Battery(15.0, False)

    def test_two_batteries_are_one_by_their_energies(self, tmp_path: Path) -> None:
        battery(
            tmp_path, "BAT0", capacity=0, status="Unknown", energy_now=0, energy_full=20_000_000
        )
        battery(
            tmp_path,
            "BAT1",
            capacity=50,
            status="Discharging",
            energy_now=30_000_000,
            energy_full=60_000_000,
            power_now=10_000_000,
        )
        assert linux_battery(tmp_path) == Battery(37.5, True, 10_800.0)

    def test_two_batteries_without_energies_are_unknown(self, tmp_path: Path) -> None:
        battery(tmp_path, "BAT0", capacity=5, status="Discharging")
        battery(tmp_path, "BAT1", capacity=95, status="Unknown")
        assert linux_battery(tmp_path) == Battery(None, True)

    def test_a_mouse_or_an_empty_bay_is_no_battery(self, tmp_path: Path) -> None:
        battery(tmp_path, "hid", scope="Device", capacity=3, status="Discharging")
        battery(tmp_path, "BAT1", present=0, capacity=0, status="Unknown")
        supply(tmp_path, "AC", type="Mains", online=1)
        assert linux_battery(tmp_path) is None

    def test_a_machine_without_any(self, tmp_path: Path) -> None:
        assert linux_battery(tmp_path) is None
        assert linux_battery(tmp_path / "missing") is None


class TestMac:
    @pytest.mark.parametrize(
        ("said", "wanted"),
        [
            ("55%; discharging; 3:21 remaining present: true", Battery(55.0, True, 12_060.0)),
            ("9%; discharging; (no estimate) present: true", Battery(9.0, True)),
            ("9%; discharging; 0:00 remaining present: true", Battery(9.0, True)),
            ("80%; charging; 0:40 remaining present: true", Battery(80.0, False)),
            ("100%; charged; 0:00 remaining present: true", Battery(100.0, False)),
            ("80%; AC attached; not charging present: true", Battery(80.0, False)),
            ("999%; discharging; present: true", Battery(None, True)),
            ("discharging present: true", Battery(None, None)),
        ],
    )
    def test_lines(self, said: str, wanted: Battery) -> None:
        text = f"Now drawing from 'Battery Power'\n -InternalBattery-0 (id=1234567)\t{said}\n"
        assert mac_battery(lambda _: text) == wanted

    def test_a_machine_without_one(self) -> None:
        asked: list[Sequence[str]] = []

        def run(command: Sequence[str]) -> str:
            asked.append(command)
            return "Now drawing from 'AC Power'\n"

        assert mac_battery(run) is None
        assert asked == [("/usr/bin/pmset", "-g", "batt")]
        assert mac_battery(lambda _: "") is None


@pytest.mark.parametrize(
    ("given", "wanted"),
    [
        ((0, 0, 55, 7200), Battery(55.0, True, 7200.0)),
        ((0, 4, 4, 0xFFFFFFFF), Battery(4.0, True)),
        ((1, 8, 55, 0xFFFFFFFF), Battery(55.0, False)),
        ((1, 0, 100, 0xFFFFFFFF), Battery(100.0, False)),
        ((1, 128, 255, 0xFFFFFFFF), None),
        ((255, 255, 255, 0xFFFFFFFF), Battery(None, None)),
    ],
)
def test_windows(given: tuple[int, int, int, int], wanted: Battery | None) -> None:
    assert windows_battery(*given) == wanted


def test_this_machine_is_read_without_trouble() -> None:
    found = read_battery()
    assert found is None or found.charge_pct is None or 0.0 <= found.charge_pct <= 100.0


class TestGarbage:
    """What a kernel never writes, or a broken driver does."""

    @pytest.mark.parametrize(
        "word", ["", "nan", "inf", "-5", "101", "1e9", "0x20", "½", "9" * 400, "12 %", "\x00\x00"]
    )
    def test_a_capacity_that_is_none_is_unknown(self, tmp_path: Path, word: str) -> None:
        battery(tmp_path, status="Discharging")
        (tmp_path / "BAT0" / "capacity").write_bytes(word.encode())
        assert linux_battery(tmp_path) == Battery(None, True)

    def test_random_bytes_are_never_taken_for_a_figure_out_of_range(self, tmp_path: Path) -> None:
        names = ("capacity", "status", "energy_now", "energy_full", "power_now", "present", "scope")
        chance = random.Random(7)
        battery(tmp_path)
        for _ in range(300):
            for name in names:
                content = chance.choice(
                    (chance.randbytes(chance.randrange(40)), b"-1\n", b"0\n", b"99999999999999\n")
                )
                (tmp_path / "BAT0" / name).write_bytes(content)
            found = linux_battery(tmp_path)
            if found is not None:
                assert found.charge_pct is None or 0.0 <= found.charge_pct <= 100.0
                assert found.left_s is None or 0.0 <= found.left_s <= 7 * 86_400

    def test_files_where_folders_should_be_and_the_other_way(self, tmp_path: Path) -> None:
        (tmp_path / "BAT0").write_text("Battery")
        (tmp_path / "BAT1" / "type").mkdir(parents=True)
        assert linux_battery(tmp_path) is None
        (tmp_path / "file").write_text("x")
        assert linux_battery(tmp_path / "file") is None

    @pytest.mark.skipif(sys.platform == "win32", reason="links need a right there")
    def test_a_link_that_goes_round(self, tmp_path: Path) -> None:
        os.symlink(tmp_path / "BAT0", tmp_path / "BAT0")
        assert linux_battery(tmp_path) is None

    @pytest.mark.skipif(
        sys.platform == "win32" or not hasattr(os, "geteuid") or os.geteuid() == 0,
        reason="nothing is hidden from this user",
    )
    def test_what_may_not_be_read_is_unknown(self, tmp_path: Path) -> None:
        battery(tmp_path, status="Discharging", capacity=50)
        (tmp_path / "BAT0" / "capacity").chmod(0)
        assert linux_battery(tmp_path) == Battery(None, True)
