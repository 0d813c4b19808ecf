"""Looks at the machine's battery and disk while a cook is under way, and calls for them."""

from __future__ import annotations

import logging
import math
import shutil
import time
from collections.abc import Callable
from pathlib import Path

from smokejournal.cook.progress.alarms import Alarm, Called
from smokejournal.cook.progress.machine_watch import (
    OLD_S,
    Battery,
    MachineRead,
    MachineSeen,
    machine_alarms,
)
from smokejournal.host.battery import read_battery
from smokejournal.journal import JournalProblem
from smokejournal.services.program.clock_watch import cooks_under_way
from smokejournal.services.program.program import Program
from smokejournal.services.program.side_thread import SideThread

_log = logging.getLogger(__name__)

#: The machine is looked at this often [s] of the person's time.
EVERY_S = 20.0


def read_free_bytes(folder: Path) -> int | None:
    """How much this folder's disk has room for; None where it can't be said."""
    try:
        return shutil.disk_usage(folder).free
    except OSError as problem:
        _log.warning("The room on the disk can't be read: %s", problem)
        return None


class MachineWatch:
    """`look` is asked each second; the machine is read on a thread of its own.

    Of several cooks under way the newest is called for it, so that one cause calls once.
    """

    def __init__(
        self,
        program: Program,
        battery: Callable[[], Battery | None] = read_battery,
        free_bytes: Callable[[Path], int | None] = read_free_bytes,
        passed_s: Callable[[], float] = time.monotonic,
    ) -> None:
        self._program = program
        self._battery = battery
        self._free_bytes = free_bytes
        self._passed_s = passed_s
        self._looked_s: float | None = None
        self._read_s = -math.inf
        self._side = SideThread("machine watch")
        #: Which cook is called, and what was seen: set as one, by the side thread alone.
        self._seen: tuple[int | None, MachineSeen] = (None, MachineSeen())
        program.beside = self.alarms

    def look(self) -> None:
        """Read the machine soon, if it is time to. Quick."""
        now_s = self._passed_s()
        due = self._looked_s is None or now_s - self._looked_s >= EVERY_S
        if due and self._side.ask(self._read):
            self._looked_s = now_s

    def alarms(self, cook_id: int, called: Called) -> tuple[Alarm, ...]:
        """What calls this cook, by what was seen last. Quick, from any thread."""
        newest, seen = self._seen
        # A disk of the network may hang, and a look with it: then nothing is known any more.
        if cook_id != newest or self._passed_s() - self._read_s > OLD_S:
            return ()
        return machine_alarms(seen, called)

    def settle(self) -> None:
        """Wait until a look that is under way is done."""
        self._side.settle()

    def close(self) -> None:
        """Look no more."""
        self._side.close()

    def _read(self) -> None:
        newest, seen = self._seen
        try:
            newest = next(iter(cooks_under_way(self._program.journal)), None)
        except JournalProblem as problem:  # a full disk may be why; the cook stays the one it was
            _log.warning("Which cook is under way can't be read: %s", problem)
        if newest is None:
            self._seen = (None, MachineSeen())
            return
        read = MachineRead(self._battery(), self._free_bytes(self._program.journal.folder))
        self._seen = (newest, seen.after(read, self._program.clock.now_s()))
        self._read_s = self._passed_s()
