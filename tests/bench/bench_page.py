"""The printed page of a day at one reading a second, against one of a thousand readings."""

from __future__ import annotations

import tempfile
from functools import partial
from pathlib import Path

from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.progress.progress import fold
from smokejournal.cook.score.from_log import score_of
from smokejournal.cook.summary.summary import summarize
from smokejournal.cook.text.quantities import METRIC
from tests.bench.cooks import CHANNELS, DAY_S, FROM_S, day_log
from tests.bench.measure import Result, in_turn, milliseconds

MANY, FEW = 86_400, 1_000
NOW_S = FROM_S + DAY_S


def measure(quick: bool) -> list[Result]:
    from PySide6.QtWidgets import QApplication

    from smokejournal.paper.summary_pdf import summary_pdf

    app = QApplication.instance() or QApplication([])
    times = 3 if quick else 7
    logs = {count: day_log(count) for count in (MANY, FEW)}
    drawn = {}
    for count, log in logs.items():
        standing = fold(log, NOW_S)
        drawn[count] = (summarize(log, NOW_S, standing), score_of(log, standing, NOW_S))
    with tempfile.TemporaryDirectory() as folder:

        def page(count: int) -> float:
            summary, score = drawn[count]
            path = Path(folder) / f"{count}.pdf"
            return milliseconds(lambda: summary_pdf(summary, score, METRIC, path))

        page_ms = in_turn(times, partial(page, MANY), partial(page, FEW))
    sums_ms = in_turn(times, partial(sums, logs[MANY]), partial(sums, logs[FEW]))
    del app
    what, than = f"of {CHANNELS} x {MANY:,} readings", f"ms, of {CHANNELS} x {FEW:,}"
    return [
        Result(f"PDF {what}", "ms", page_ms[0], page_ms[1], than, "under 1.5"),
        Result(f"standing, summary and score {what}", "ms", sums_ms[0], sums_ms[1], than),
    ]


def sums(log: CookLog) -> float:
    def all_of_them() -> None:
        standing = fold(log, NOW_S)
        summarize(log, NOW_S, standing)
        score_of(log, standing, NOW_S)

    return milliseconds(all_of_them)
