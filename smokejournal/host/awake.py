"""Keeps the machine awake and its screen lit for a while. Never waits, never raises.

Whatever holds is bound to our life: the machine takes it back by itself when this program ends, by a
crash too.
"""

from __future__ import annotations

import importlib
import logging
import os
import shutil
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal, Protocol

from smokejournal.host import screen_holder
from smokejournal.host.launch import (
    BoundChild,
    BoundLaunch,
    Child,
    Launch,
    launch,
    launch_bound,
)

log = logging.getLogger(__name__)

#: Whether something is held off: asked for, sure, or the machine won't.
Grip = Literal["asked", "held", "refused"]

_NAME = "smokejournal"
_WHY = "A cook is under way"
#: A helper that held and then ended is started again so many times.
_TRIES = 3


@dataclass(frozen=True, slots=True)
class Wakefulness:
    """What is held off: falling asleep, falling asleep by a closed lid, a dark screen."""

    sleep: Grip
    lid: Grip
    screen: Grip


REFUSED = Wakefulness("refused", "refused", "refused")


class Wakeful(Protocol):
    """Something that keeps the machine awake."""

    def hold(self) -> None:
        """Begin; again after it was refused, try anew."""
        ...

    def look(self) -> Wakefulness:
        """How that stands. To be asked now and then, on the thread that began."""
        ...

    def let_go(self) -> None:
        """Give sleep and screen back."""
        ...


def wakeful(find: Callable[[str], str | None] = shutil.which) -> Wakeful:
    """What keeps this machine awake."""
    if sys.platform == "win32":
        return WindowsAwake()
    if sys.platform == "darwin":
        return MacAwake(find("caffeinate"))
    return LinuxAwake(
        BoundGrip(_inhibitions(find("systemd-inhibit"), find("cat"))), BoundGrip(_screen_ways())
    )


def _inhibitions(inhibit: str | None, cat: str | None) -> list[tuple[str, ...]]:
    """With the lid, and without it: some machines leave the lid to nobody and refuse the whole request."""
    if inhibit is None or cat is None:
        return []
    return [
        # `cat` is started once the lock is held, says back what it is told, and ends with us.
        (inhibit, f"--what={what}", f"--who={_NAME}", f"--why={_WHY}", "--mode=block", cat)
        for what in ("sleep:idle:handle-lid-switch", "sleep:idle")
    ]


def _screen_ways() -> list[tuple[str, ...]]:
    if not sys.executable:
        return []
    return [(sys.executable, "-P", str(Path(screen_holder.__file__)))]


class BoundGrip:
    """Holds something by a child that speaks once it holds; tries several ways, the best first."""

    def __init__(self, ways: Sequence[tuple[str, ...]], start: BoundLaunch = launch_bound) -> None:
        self._ways = tuple(ways)
        self._start = start
        self._child: BoundChild | None = None
        #: Let go, and not yet buried.
        self._ending: list[BoundChild] = []
        self._sure = False
        self._lost = 0
        self.way = 0
        """Which of the ways holds, or is tried."""

    def hold(self) -> None:
        """Begin."""
        self.way = self._lost = 0
        self._begin()

    def look(self) -> Grip:
        """How that stands."""
        self._bury()
        if self._child is not None:
            if (code := self._child.poll()) is not None:
                self._ended(code)
            elif not self._sure:
                self._sure = self._child.answered()
        if self._child is None:
            return "refused"
        return "held" if self._sure else "asked"

    def let_go(self) -> None:
        """End it."""
        if self._child is not None:
            self._child.let_go()
            self._ending.append(self._child)
            self._child = None
        self._sure = False
        self._bury()

    def _bury(self) -> None:
        self._ending = [child for child in self._ending if child.poll() is None]

    def _begin(self) -> None:
        self.let_go()
        while self._child is None and self.way < len(self._ways):
            try:
                self._child = self._start(self._ways[self.way])
            except OSError as error:
                log.warning("%s can't be started: %s", self._ways[self.way][0], error)
                self.way += 1

    def _ended(self, code: int) -> None:
        log.warning("%s ended with exit code %s", self._ways[self.way][0], code)
        if self._sure and self._lost < _TRIES:
            self._lost += 1
        else:
            self.way += 1
        self._begin()


class LinuxAwake:
    """Sleep and lid by a lock of the login manager, the screen over the session bus."""

    def __init__(self, sleep: BoundGrip, screen: BoundGrip) -> None:
        self._sleep = sleep
        self._screen = screen

    def hold(self) -> None:
        """Begin."""
        self._sleep.hold()
        self._screen.hold()

    def look(self) -> Wakefulness:
        """How that stands."""
        sleep = self._sleep.look()
        return Wakefulness(sleep, sleep if self._sleep.way == 0 else "refused", self._screen.look())

    def let_go(self) -> None:
        """Give sleep and screen back."""
        self._sleep.let_go()
        self._screen.let_go()


class MacAwake:
    """A child that the system brings along; it ends when we do."""

    def __init__(self, path: str | None, start: Launch = launch) -> None:
        self._path = path
        self._start = start
        self._child: Child | None = None

    def hold(self) -> None:
        """Begin."""
        self.let_go()
        if self._path is None:
            return
        try:
            self._child = self._start((self._path, "-dims", "-w", str(os.getpid())))
        except OSError as error:
            log.warning("the machine could not be kept awake: %s", error)

    def look(self) -> Wakefulness:
        """How that stands. A closed lid is stronger than this program."""
        if self._child is None or self._child.poll() is not None:
            self._child = None
            return REFUSED
        return Wakefulness("held", "refused", "held")

    def let_go(self) -> None:
        """Give sleep and screen back."""
        if self._child is not None and self._child.poll() is None:
            self._child.terminate()
        self._child = None


class WindowsAwake:
    """The system's own call, which returns at once. It holds for the thread that asked."""

    _CONTINUOUS, _SYSTEM, _DISPLAY = 0x80000000, 0x00000001, 0x00000002

    def __init__(self) -> None:
        self._held = False

    def hold(self) -> None:
        """Begin."""
        self._held = self._set(self._CONTINUOUS | self._SYSTEM | self._DISPLAY)

    def look(self) -> Wakefulness:
        """How that stands. A closed lid is stronger than this program."""
        return Wakefulness("held", "refused", "held") if self._held else REFUSED

    def let_go(self) -> None:
        """Give sleep and screen back."""
        if self._held:
            self._set(self._CONTINUOUS)
        self._held = False

    @staticmethod
    def _set(flags: int) -> bool:
        try:
            kernel = importlib.import_module("ctypes").windll.kernel32
            return bool(kernel.SetThreadExecutionState(flags))
        except (AttributeError, OSError) as error:
            log.warning("the machine could not be kept awake: %s", error)
            return False
