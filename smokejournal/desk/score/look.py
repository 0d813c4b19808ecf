"""Whether a new score would look different from the one that is drawn.

Over a whole cook a pixel is a minute wide, so most readings change nothing to be seen, and nothing
need be drawn for them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from smokejournal.cook.score.score import Score
from smokejournal.cook.score.thinning import FlatTrace
from smokejournal.drawing.frame import ScoreAxes
from smokejournal.drawing.picture import ScorePicture


@dataclass(frozen=True)
class Look:
    """What can be seen of a score in one picture, apart from the traces.

    `still` is what grid, axes and lanes show, to half a pixel; `now` where now stands and its words.
    """

    still: object
    now: object


def look_of(score: Score, drawn: ScorePicture, view: object) -> Look:
    """How `score` would look where `drawn` is; `view` is all else that decides, comparable."""

    def px(at_s: float | None) -> int | None:
        return None if at_s is None else round(2 * drawn.span.x(at_s))

    whole = drawn.frame.whole
    still = (
        view,
        (whole.width(), whole.height(), drawn.type.em),
        (score.zone, score.started_at_s, score.now_s is None),
        tuple((t.key, t.label, t.part, t.simulated, t.left_out) for t in score.traces),
        tuple((px(b.from_s), px(b.to_s), b.label, b.row, b.skipped) for b in score.bars),
        tuple((px(m.at_s), px(m.to_s), m.text, m.mass_kg, m.entry_id) for m in score.marks),
        tuple((px(t.from_s), px(t.to_s), t.value_c, t.what, t.rule) for t in score.targets),
        tuple((px(a.from_s), px(a.low_s), px(a.to_s), px(a.high_s), a.label) for a in score.ahead),
        score.fuel,
        score.weather,
        tuple((f.key, px(float(f.at_s[-1])), f.middle_c.tobytes(), f.label) for f in score.fans),
    )
    if score.now_s is None:
        return Look(still, None)
    return Look(still, (px(score.now_s), drawn.moment_words(score.now_s)))


def line_moved(old: FlatTrace, new: FlatTrace, span: ScoreAxes) -> bool:
    """Whether `new` is other than `old` with readings at its end that lie on the same pixel."""
    n = old.at_s.size
    if n == 0 or n > new.at_s.size or old.starts.size != new.starts.size:
        return n != new.at_s.size or old.starts.size != new.starts.size
    same = np.array_equal(old.starts, new.starts) and np.array_equal(old.at_s, new.at_s[:n])
    if not same or not np.array_equal(old.value_c, new.value_c[:n]):
        return True
    fresh = new.value_c[n:]
    if not fresh.size:
        return False
    pixel_s = (span.to_s - span.from_s) / max(1.0, span.area.width())
    if new.at_s[-1] - old.at_s[-1] >= pixel_s / 2:
        return True
    # The last pixel's column is drawn from its lowest to its highest reading.
    last = old.value_c[np.searchsorted(old.at_s, old.at_s[-1] - 2 * pixel_s) :]
    slack_c = (span.high_c - span.low_c) / max(1.0, span.area.height())
    return bool(fresh.max() > last.max() + slack_c or fresh.min() < last.min() - slack_c)
