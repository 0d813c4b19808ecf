"""When the journal is copied: by the program's clock, on a thread of its own."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor, wait

from smokejournal.cook.log.entries import CookClosed
from smokejournal.journal import Change, CopyStopped, JournalProblem
from smokejournal.services.program.program import Program

#: While something is written, a copy is made this often [s].
EVERY_S = 4 * 3600.0
#: At the start a copy is made if the newest is older than this [s].
OLD_S = 86_400.0
#: So long the end of the program waits for a copy that is being made [s].
PATIENCE_S = 3.0

_log = logging.getLogger(__name__)

#: Told what went wrong, and when the newest copy there is was made. Called on the copying thread.
Failed = Callable[[JournalProblem, float | None], None]


class BackupKeeper:
    """Copies the journal when a cook is closed, every few hours while something is written, and at
    the start where that was long ago. What fails is told once, until a copy succeeds again."""

    def __init__(self, program: Program, failed: Failed) -> None:
        self._program = program
        self._failed = failed
        self._pool = ThreadPoolExecutor(1, thread_name_prefix="journal backups")
        self._stop = threading.Event()
        self._door = threading.Lock()
        self._asked: Future[None] | None = None
        self._changed = False
        self._told = self._told_photos = False
        self._tried_s = program.clock.now_s()
        self._unsubscribe = program.subscribe(self._written)

    def start(self) -> None:
        """Make a copy soon, if the newest is a day old and something was written since."""
        self._ask(self._copy_if_old)

    def look(self, now_s: float) -> None:
        """Make a copy soon, if it is time for one. Quick: for the tick of the program."""
        if now_s < self._tried_s:
            self._tried_s = now_s  # the clock was set back
        if self._changed and now_s - self._tried_s >= EVERY_S:
            self._tried_s = now_s
            self._ask(self._copy)

    def settle(self) -> None:
        """Wait until what was asked for is done."""
        with self._door:
            asked = self._asked
        if asked is not None:
            asked.result()

    def close(self) -> None:
        """Let a copy that is nearly made be finished, give up any other."""
        self._unsubscribe()
        with self._door:
            asked = self._asked
        if asked is not None:
            wait([asked], PATIENCE_S)
        with self._door:
            self._stop.set()
        self._pool.shutdown(cancel_futures=True)

    def _written(self, change: Change) -> None:
        self._changed = True
        if any(isinstance(entry.what, CookClosed) for entry in change.entries):
            self._ask(self._copy)

    def _ask(self, work: Callable[[], None]) -> None:
        with self._door:
            if self._stop.is_set():
                return
            # Nothing waits behind one that waits already: it will hold everything.
            if self._asked is None or self._asked.running() or self._asked.done():
                self._asked = self._pool.submit(self._guarded, work)

    def _guarded(self, work: Callable[[], None]) -> None:
        try:
            work()
        except CopyStopped:
            return
        except JournalProblem as problem:
            self._tell(problem)
        except Exception:  # noqa: BLE001 - logged: a copy that fails must not disturb the cook
            _log.exception("A copy of the journal failed")

    def _copy_if_old(self) -> None:
        journal = self._program.journal
        newest = next(iter(journal.copies(journal.folder)), None)
        if newest is None:
            old = journal.count_cooks() > 0
        else:
            age_s = self._program.clock.now_s() - newest.at_s
            old = age_s > OLD_S and not journal.is_in(newest)
        if old:
            self._copy()

    def _copy(self) -> None:
        self._tried_s = self._program.clock.now_s()
        self._changed = False
        try:
            path = self._program.journal.back_up(self._tried_s, self._stop, self._lacks)
        except BaseException:
            self._changed = True
            raise
        self._told = False
        _log.info("The journal was copied to %s", path)

    def _lacks(self, photos: JournalProblem | None) -> None:
        """Of photos too it is told once, until a copy has them all again."""
        if photos is None:
            self._told_photos = False
        elif not self._told_photos:
            self._told_photos = True
            self._say(photos)

    def _tell(self, problem: JournalProblem) -> None:
        _log.warning("%s", problem)
        if self._told:
            return
        self._told = True
        self._say(problem)

    def _say(self, problem: JournalProblem) -> None:
        journal = self._program.journal
        try:
            copies = journal.copies(journal.folder)
        except JournalProblem:
            copies = []
        self._failed(problem, copies[0].at_s if copies else None)
