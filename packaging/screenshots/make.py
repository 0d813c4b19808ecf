"""Makes the pictures of the README from the demo journal: python packaging/screenshots/make.py

Run it inside the program's environment. It draws the real window without a screen.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
sys.path.insert(0, str(Path(__file__).parents[2]))

from PySide6.QtCore import QCoreApplication, QEvent
from PySide6.QtWidgets import QApplication, QPushButton

from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.theme import apply_ground
from smokejournal.desk.forecast.learner import ForecastLearner
from smokejournal.desk.plan.head import TIMES
from smokejournal.desk.plan.page import PlanPage
from smokejournal.desk.shell.window import PAGES, Window
from smokejournal.journal import Journal
from smokejournal.services.demo.build import make_demo
from smokejournal.services.feeds.control import FeedControl
from smokejournal.services.forecast.forecasts import Forecasts
from smokejournal.services.program.clock import SystemClock
from smokejournal.services.program.program import Program

SIZE = (1280, 760)
HERE = Path(__file__).parent


def settle(app: QApplication, for_s: float = 1.5) -> None:
    """Let everything that was asked for come to rest."""
    until = time.monotonic() + for_s
    while time.monotonic() < until:
        app.processEvents()
        time.sleep(0.01)


def main() -> None:
    """Write one PNG a page; `python make.py GROUND` takes another ground than each page's usual one."""
    app = QApplication(sys.argv[:1])
    with tempfile.TemporaryDirectory() as folder:
        make_demo(Path(folder), time.time())
        journal = Journal.open(Path(folder))
        program = Program(journal, SystemClock())
        feeds = FeedControl(program)
        forecasts = Forecasts(program)
        context = DeskContext(program, forecasts, feeds)
        context.learner = ForecastLearner(context, context)
        apply_ground(app, "day")  # as the program does, before anything is made
        window = Window(context)
        window.resize(*SIZE)
        lines = program.cooks()
        under_way = program.under_way()
        finished = next(line.id for line in lines if line.title.startswith("Trout"))
        feeds.resume()
        window.show()
        for name in PAGES:
            ground = sys.argv[1] if len(sys.argv) > 1 else "night" if name == "tend" else "day"
            apply_ground(app, ground)
            context.set_ground(ground)
            context.choose(finished if name == "taste" else under_way)
            window.show_page(name)
            window.centralWidget().setFocus()
            context.ticked.emit(context.now_s())
            if name == "bench":
                # Something arrives, so that there is something to look at.
                listen = window.page(name).findChild(QPushButton, "inputListen")
                assert isinstance(listen, QPushButton)
                listen.click()
                settle(app, 30.0)
            settle(app)
            window.grab().save(str(HERE / f"{name}.png"))
            print(f"{name}.png", flush=True)
        plan = window.page("plan")
        assert isinstance(plan, PlanPage)
        context.choose(next(line.id for line in lines if line.state == "planned"))
        window.show_page("plan")
        plan.head.turn_to(TIMES)
        settle(app, 6.0)
        window.grab().save(str(HERE / "times.png"))
        print("times.png", flush=True)
        window.close_unasked()
        feeds.close()
        context.close()
        forecasts.close()
        program.close()
        journal.close()
        window.deleteLater()
        QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)


if __name__ == "__main__":
    main()
