"""Slow looks at the world, one at a time, on a thread that never holds up the program or its end."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable

_log = logging.getLogger(__name__)

#: So long the end of the program waits for a look that is under way [s].
PATIENCE_S = 1.0


class SideThread:
    """Runs what it is asked for, unless it is still at work. What hangs dies with the program."""

    def __init__(self, name: str) -> None:
        self._name = name
        self._lock = threading.Lock()
        self._thread: threading.Thread | None = None
        self.closed = False

    def ask(self, work: Callable[[], None]) -> bool:
        """Begin `work` on the side; False where it is still at work, or closed."""
        with self._lock:
            if self.closed or (self._thread is not None and self._thread.is_alive()):
                return False
            self._thread = threading.Thread(
                target=self._guarded, args=(work,), name=self._name, daemon=True
            )
            self._thread.start()
            return True

    def settle(self, patience_s: float = 10.0) -> None:
        """Wait until what was asked for is done."""
        with self._lock:
            thread = self._thread
        if thread is not None:
            thread.join(patience_s)

    def close(self) -> None:
        """Begin nothing more, and wait a moment for what is under way."""
        with self._lock:
            self.closed = True
        self.settle(PATIENCE_S)

    def _guarded(self, work: Callable[[], None]) -> None:
        try:
            work()
        except Exception:  # noqa: BLE001 - logged: what is on the side must not disturb the cook
            _log.exception("%s failed", self._name)
