"""Another ground, with all six pages of the demo journal visited and Tend, the largest, in sight."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import closing
from itertools import cycle
from pathlib import Path

from tests.bench.cooks import FROM_S
from tests.bench.measure import Result, in_turn, milliseconds


def measure(quick: bool) -> list[Result]:
    from PySide6.QtWidgets import QApplication

    from smokejournal.desk.base.theme import GROUNDS, apply_ground, style_sheet
    from smokejournal.desk.shell.window import PAGES, Window
    from smokejournal.journal import Journal
    from smokejournal.services.demo.build import make_demo
    from smokejournal.services.program.program import Program
    from tests.support.contexts import desk_context
    from tests.support.fakes import FixedClock

    app = QApplication.instance() or QApplication([])
    assert isinstance(app, QApplication)
    before = app.palette(), app.font(), app.style().name()
    apply_ground(app, "day")

    def grounds() -> Iterator[str]:
        return cycle(("sun", "night", "day"))

    with tempfile.TemporaryDirectory() as folder:
        make_demo(Path(folder), FROM_S)
        with (
            closing(Journal.open(Path(folder))) as journal,
            closing(Program(journal, FixedClock(FROM_S))) as program,
            desk_context(program) as context,
        ):
            window = Window(context)
            window.show()
            under_way = program.under_way()
            context.choose(journal.cooks(limit=1)[0].id if under_way is None else under_way)
            for name in (*PAGES, "tend"):
                window.show_page(name)
                app.processEvents()
            ours_next, theirs_next = grounds(), grounds()

            def change() -> None:
                name = next(ours_next)
                apply_ground(app, name)
                context.set_ground(name)
                app.processEvents()

            def everything() -> None:
                app.setStyleSheet(style_sheet(GROUNDS[next(theirs_next)]))
                app.processEvents()

            def theirs() -> float:
                app.setStyleSheet("/* from now on for all */")
                try:
                    return milliseconds(everything)
                finally:
                    app.setStyleSheet("")

            ours_ms, theirs_ms = in_turn(3 if quick else 9, lambda: milliseconds(change), theirs)
            window.close_unasked()
            window.deleteLater()
    palette, font, style = before
    app.setStyle(style)
    app.setPalette(palette)
    app.setFont(font)
    than = "ms, one sheet of the application's"
    return [Result("another ground", "ms", ours_ms, theirs_ms, than, "under 100 ms")]
