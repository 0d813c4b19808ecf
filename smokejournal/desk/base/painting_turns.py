"""What the painting thread needs of the interpreter while the window is open.

Its own garbage collection. The collector runs on whichever thread happens to allocate. When that is a
reader or the journal's writer, it takes apart Qt objects (items of a scene, their paint caches) while
the painting thread draws them, and the process dies in the middle of a paint. So the automatic
collection is off, and a timer of the painting thread does the same work by the same thresholds.

Its turn at once. Each call into Qt gives up the interpreter, and Python lets a forecast in another
thread keep it for 5 ms each time it is wanted back. A picture of a hundred strokes took half a second
then, and takes 40 ms with turns of 0.1 ms.
"""

from __future__ import annotations

import gc
import sys

from PySide6.QtCore import QObject, QTimer, Slot

from smokejournal.host.free_memory import give_back

TURN_S = 1e-4
SWEEP_MS = 500
#: Freed memory goes back to the system after so many sweeps: every half minute.
SWEEPS = 60


class PaintingTurns(QObject):
    """Collects garbage on the thread in which it was made, and keeps turns short, from `start` to
    `stop`."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._thresholds = gc.get_threshold()
        self._usual_turn_s = sys.getswitchinterval()
        self._timer = QTimer(self)
        self._timer.setInterval(SWEEP_MS)
        self._sweeps = 0
        self._timer.timeout.connect(self._sweep)

    def start(self) -> None:
        """Take over from the automatic collection."""
        gc.disable()
        sys.setswitchinterval(TURN_S)
        self._timer.start()

    def stop(self) -> None:
        """Give back to the automatic collection."""
        self._timer.stop()
        sys.setswitchinterval(self._usual_turn_s)
        gc.enable()

    @Slot()
    def _sweep(self) -> None:
        self._sweeps += 1
        if self._sweeps % SWEEPS == 0:
            give_back()
        counts = gc.get_count()
        for generation in (2, 1, 0):
            # Generation 1 and 2 count sweeps of the one below, as the collector itself does.
            if counts[generation] > self._thresholds[generation] > 0:
                gc.collect(generation)
                return
