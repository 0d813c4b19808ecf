"""The machine is kept awake as long as that is wanted and this program lives, no longer."""

from __future__ import annotations

import os
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QObject, Slot

from smokejournal.host import awake
from smokejournal.host.awake import (
    REFUSED,
    BoundGrip,
    LinuxAwake,
    MacAwake,
    Wakefulness,
    WindowsAwake,
    wakeful,
)
from tests.support.fake_programs import INHIBIT, Launches, OnPath

CLONE = Path(__file__).resolve().parents[2]
linux_only = pytest.mark.skipif(sys.platform != "linux", reason="it looks into /proc")


def wait_for(holds: Callable[[], bool]) -> None:
    end_s = time.monotonic() + 20.0
    while not holds():
        assert time.monotonic() < end_s
        time.sleep(0.01)


@pytest.fixture
def programs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> OnPath:
    return OnPath(tmp_path, monkeypatch)


def on_linux() -> LinuxAwake:
    """This machine with what is on PATH, but for the screen, which is looked at further down."""
    return LinuxAwake(
        BoundGrip(awake._inhibitions(shutil.which("systemd-inhibit"), shutil.which("cat"))),
        BoundGrip(()),
    )


@linux_only
def test_sleep_idle_and_lid_are_held_until_let_go(programs: OnPath) -> None:
    programs.put("systemd-inhibit", INHIBIT)
    machine = on_linux()
    machine.hold()
    wait_for(lambda: machine.look().sleep == "held")
    assert machine.look() == Wakefulness("held", "held", "refused")
    (call,) = programs.calls()
    assert call.startswith("systemd-inhibit --what=sleep:idle:handle-lid-switch --who=smokejournal")
    assert "--mode=block" in call
    assert len(programs.running()) == 1
    machine.let_go()
    wait_for(lambda: not programs.running())
    assert machine.look() == REFUSED


@linux_only
def test_it_is_not_said_to_be_held_before_the_lock_is(programs: OnPath, tmp_path: Path) -> None:
    go = tmp_path / "go"
    programs.put("systemd-inhibit", f'while [ ! -e "{go}" ]; do sleep 0.02; done\n{INHIBIT}')
    machine = on_linux()
    machine.hold()
    wait_for(lambda: bool(programs.calls()))
    assert machine.look().sleep == "asked"
    go.touch()
    wait_for(lambda: machine.look().sleep == "held")
    machine.let_go()
    wait_for(lambda: not programs.running())


@linux_only
def test_a_machine_that_gives_nobody_the_lid_is_asked_without_it(programs: OnPath) -> None:
    programs.put("systemd-inhibit", f'case "$*" in *handle-lid-switch*) exit 1;; esac\n{INHIBIT}')
    machine = on_linux()
    machine.hold()
    wait_for(lambda: machine.look().sleep == "held")
    assert machine.look().lid == "refused"
    assert [call.split()[1] for call in programs.calls()] == [
        "--what=sleep:idle:handle-lid-switch",
        "--what=sleep:idle",
    ]
    machine.let_go()
    wait_for(lambda: not programs.running())


@linux_only
def test_a_machine_that_refuses_or_has_no_such_program_says_so(programs: OnPath) -> None:
    programs.put("systemd-inhibit", "exit 1\n")
    machine = on_linux()
    machine.hold()
    wait_for(lambda: machine.look() == REFUSED)
    assert len(programs.calls()) == 2
    assert awake._inhibitions(None, "cat") == []
    gone = BoundGrip([(str(programs.folder / "gone"),)])
    gone.hold()
    assert gone.look() == "refused"


@linux_only
def test_what_ends_by_itself_is_started_again_but_not_for_ever(programs: OnPath) -> None:
    programs.put("systemd-inhibit", INHIBIT)
    machine = on_linux()
    machine.hold()
    killed: list[int] = []
    while machine.look() != REFUSED:
        wait_for(lambda: machine.look().sleep in ("held", "refused"))
        killed += (now := programs.running())
        for pid in now:
            os.kill(pid, signal.SIGKILL)
        wait_for(lambda before=killed: not set(programs.running()) & set(before))
        assert len(killed) < 10
    assert len(killed) > 2
    assert not programs.running()


@linux_only
def test_it_dies_with_a_program_that_is_killed(programs: OnPath) -> None:
    programs.put("systemd-inhibit", INHIBIT)
    code = (
        "import time\n"
        "from smokejournal.host.awake import wakeful\n"
        "machine = wakeful()\n"
        "machine.hold()\n"
        "while machine.look().sleep != 'held': time.sleep(0.01)\n"
        "print('held', flush=True)\n"
        "time.sleep(60)\n"
    )
    with subprocess.Popen(
        [sys.executable, "-c", code], cwd=CLONE, stdout=subprocess.PIPE, text=True
    ) as program:
        assert program.stdout is not None
        assert program.stdout.readline() == "held\n"
        assert len(programs.running()) == 1
        program.kill()
    wait_for(lambda: not programs.running())


def test_on_a_mac_it_is_bound_to_our_process() -> None:
    start = Launches()
    machine = MacAwake("caffeinate", start)
    machine.hold()
    assert start.children[0].command == ("caffeinate", "-dims", "-w", str(os.getpid()))
    assert machine.look() == Wakefulness("held", "refused", "held")
    machine.let_go()
    assert start.children[0].terminated
    assert machine.look() == REFUSED
    machine.hold()
    start.children[1].code = 1
    assert machine.look() == REFUSED
    for without in (MacAwake(None), MacAwake("gone", Launches(missing=("gone",)))):
        without.hold()
        assert without.look() == REFUSED


def test_on_windows_the_systems_call_is_asked_and_taken_back(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    asked: list[int] = []
    machine = WindowsAwake()
    monkeypatch.setattr(machine, "_set", lambda flags: not asked.append(flags))
    machine.hold()
    assert machine.look() == Wakefulness("held", "refused", "held")
    machine.let_go()
    machine.let_go()
    # The values of ES_CONTINUOUS, ES_SYSTEM_REQUIRED and ES_DISPLAY_REQUIRED in winbase.h (from memory).
    assert asked == [0x80000003, 0x80000000]
    assert machine.look() == REFUSED


@pytest.mark.skipif(sys.platform == "win32", reason="the call is there")
def test_where_the_systems_call_is_missing_nothing_is_held() -> None:
    machine = WindowsAwake()
    machine.hold()
    assert machine.look() == REFUSED


@pytest.mark.parametrize(
    ("system", "kind"), [("linux", LinuxAwake), ("darwin", MacAwake), ("win32", WindowsAwake)]
)
def test_each_system_has_its_way(system: str, kind: type, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(awake.sys, "platform", system)
    machine = wakeful(lambda _: None)
    assert isinstance(machine, kind)
    machine.let_go()
    assert machine.look() == REFUSED


class Desktop(QObject):
    """Answers as a desktop's screen saver does."""

    def __init__(self) -> None:
        super().__init__()
        self.asked: list[tuple[str, str]] = []

    @Slot(str, str, result="uint")
    def Inhibit(self, who: str, why: str) -> int:
        self.asked.append((who, why))
        return 7


@pytest.fixture
def session_bus(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[str]:
    daemon = shutil.which("dbus-daemon")
    if daemon is None:
        pytest.skip("there is no session bus to be had")
    address = f"unix:path={tmp_path / 'bus'}"
    with subprocess.Popen(
        [daemon, "--session", "--nofork", f"--address={address}", "--print-address=1"],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    ) as process:
        assert process.stdout is not None
        assert process.stdout.readline()
        monkeypatch.setenv("DBUS_SESSION_BUS_ADDRESS", address)
        yield address
        process.terminate()


def screen() -> BoundGrip:
    return BoundGrip(awake._screen_ways())


def test_the_screen_is_held_while_the_connection_lasts(qtbot, session_bus: str) -> None:
    bus = pytest.importorskip("PySide6.QtDBus")
    mine = bus.QDBusConnection.connectToBus(session_bus, "desktop")
    if not mine.isConnected():
        pytest.skip(mine.lastError().message())
    desktop = Desktop()
    assert mine.registerService("org.freedesktop.ScreenSaver")
    options = bus.QDBusConnection.RegisterOption.ExportAllSlots
    interface = "org.freedesktop.ScreenSaver"
    assert mine.registerObject("/ScreenSaver", interface, desktop, options)

    def connected() -> int:
        return len(mine.interface().registeredServiceNames().value())

    grip = screen()
    try:
        alone = connected()
        grip.hold()
        qtbot.waitUntil(lambda: grip.look() == "held", timeout=20_000)
        assert desktop.asked == [("smokejournal", "A cook is under way")]
        assert connected() == alone + 1
        grip.let_go()
        qtbot.waitUntil(lambda: connected() == alone)
        assert grip.look() == "refused"
    finally:
        grip.let_go()
        bus.QDBusConnection.disconnectFromBus("desktop")


def test_without_a_session_bus_the_screen_is_not_held(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("DBUS_SESSION_BUS_ADDRESS", f"unix:path={tmp_path / 'none'}")
    grip = screen()
    grip.hold()
    wait_for(lambda: grip.look() == "refused")


@linux_only
def test_a_bus_that_hangs_holds_nothing_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Asked in this process it would: Qt keeps Python's lock while it waits for the bus."""
    path = tmp_path / "bus"
    with socket.socket(socket.AF_UNIX) as bus:
        bus.bind(str(path))
        bus.listen()
        monkeypatch.setenv("DBUS_SESSION_BUS_ADDRESS", f"unix:path={path}")
        grip = screen()
        grip.hold()
        with bus.accept()[0]:
            assert grip.look() == "asked"
            grip.let_go()
            assert grip.look() == "refused"
