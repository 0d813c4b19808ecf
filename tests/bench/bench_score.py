"""A live update of the score: eight channels of a day at one reading a second, and one more each."""

from __future__ import annotations

import statistics
import time
from functools import partial

from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.readings import Trace
from smokejournal.cook.progress.progress import fold
from smokejournal.cook.score.from_log import score_of
from smokejournal.cook.score.score import Score
from tests.bench.cooks import CHANNELS, FROM_S, day_log
from tests.bench.measure import Result, milliseconds

READINGS = 86_400


def measure(quick: bool) -> list[Result]:
    from PySide6.QtWidgets import QApplication

    from smokejournal.desk.score.view import ScoreView

    app = QApplication.instance() or QApplication([])
    updates = 10 if quick else 40
    whole = day_log(READINGS)
    scores: list[Score] = []
    reading_off_ms: list[float] = []
    for left_out in range(updates, 0, -1):
        log = without_last(whole, left_out)
        now_s = FROM_S + READINGS - left_out
        standing = fold(log, now_s)
        started_s = time.perf_counter()
        scores.append(score_of(log, standing, now_s))
        reading_off_ms.append((time.perf_counter() - started_s) * 1000)
    view = ScoreView()
    view.resize(1100, 700)
    view.show()
    view.set_score(scores[0])
    settle(app)

    def update(score: Score) -> None:
        view.set_score(score)
        settle(app)

    update_ms = [milliseconds(partial(update, score)) for score in scores[1:]]
    # Close up, a second is more than a pixel, so that every update draws everything again.
    while view.span[1] - view.span[0] > 900.0:
        view.zoom_in()
    view.follow_now()
    update(scores[0])
    close_ms = [milliseconds(partial(update, score)) for score in scores[1:]]
    view.close()
    what = f"{CHANNELS} x {READINGS:,} readings"
    return [
        Result(
            f"live update of the score, {what}",
            "ms",
            statistics.median(update_ms),
            aim="under 16 ms",
        ),
        Result(f"the slowest of {len(update_ms)} such updates", "ms", max(update_ms)),
        Result(
            "the same with a quarter of an hour in sight, all drawn anew",
            "ms",
            statistics.median(close_ms),
            aim="under 16 ms",
        ),
        Result(f"reading the score off the log, {what}", "ms", statistics.median(reading_off_ms)),
    ]


def without_last(log: CookLog, count: int) -> CookLog:
    traces = {
        key: Trace(trace.at_s[:-count], trace.value_c[:-count]) for key, trace in log.traces.items()
    }
    return CookLog(log.cook_id, log.entries, traces)


def settle(app: object) -> None:
    """Let everything be painted that waits to be."""
    for _ in range(3):
        app.processEvents()  # type: ignore[attr-defined]
