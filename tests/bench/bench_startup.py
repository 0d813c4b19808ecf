"""From starting the process to the first painting of the window."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from tests.bench.measure import Result, in_turn

CLONE = Path(__file__).resolve().parents[2]

BARE = """
import sys, time
from PySide6.QtCore import QCoreApplication, QEvent, QObject, QTimer
from PySide6.QtWidgets import QApplication, QMainWindow
import pyqtgraph

class FirstPaint(QObject):
    def eventFilter(self, watched, event):
        if event.type() == QEvent.Type.Paint:
            watched.removeEventFilter(self)
            print(f"first paint {time.time():.6f}", flush=True)
            QTimer.singleShot(0, QCoreApplication.quit)
        return False

app = QApplication([])
window = QMainWindow()
plot = pyqtgraph.PlotWidget(axisItems={"bottom": pyqtgraph.DateAxisItem()})
plot.plot([0, 1, 2], [1, 3, 2])
window.setCentralWidget(plot)
probe = FirstPaint()
plot.viewport().installEventFilter(probe)
window.resize(1100, 700)
window.show()
app.exec()
"""


def measure(quick: bool) -> list[Result]:
    from smokejournal.journal import Journal

    with tempfile.TemporaryDirectory() as home:
        folder = Path(home) / "journal"
        Journal.open(folder).close()

        def ours() -> float:
            return first_paint_ms(home, "-m", "smokejournal", "--journal", str(folder))

        def bare() -> float:
            return first_paint_ms(home, "-c", BARE)

        # The first start of each writes the bytecode, as an installer does.
        ours()
        bare()
        ours_ms, bare_ms = in_turn(3 if quick else 7, ours, bare)
    than = "ms, a bare window with a plot"
    return [Result("start to first painting", "ms", ours_ms, bare_ms, than, "under 1.5")]


def first_paint_ms(home: str, *arguments: str) -> float:
    variables = {
        "QT_QPA_PLATFORM": "offscreen",
        "SMOKEJOURNAL_STARTUP_PROBE": "1",
        "PYTHONPATH": str(CLONE),
        "HOME": home,
        # Whoever has the program starts it compiled, so compiling is not measured, whatever
        # PYTHONDONTWRITEBYTECODE says here.
        "PYTHONPYCACHEPREFIX": str(Path(home) / "bytecode"),
        "PYTHONDONTWRITEBYTECODE": "",
    }
    started_s = time.time()
    done = subprocess.run(
        [sys.executable, *arguments],
        cwd=home,
        env=os.environ | variables,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    for line in done.stdout.splitlines():
        if line.startswith("first paint "):
            return (float(line.removeprefix("first paint ")) - started_s) * 1000
    raise RuntimeError(f"no first painting was told: {done.stdout}{done.stderr[-300:]}")
