"""The stages to come on the score, with when each likely ends."""

from __future__ import annotations

import math
from collections.abc import Collection
from itertools import groupby

from smokejournal.cook.forecast.cook_so_far import ForecastInput
from smokejournal.cook.forecast.intervals import leg_span
from smokejournal.cook.score.score import ScoreAhead
from smokejournal.science.forecast.values import Forecast

#: Nothing is drawn that lies further ahead [s]: what is behind would have no room.
FURTHEST_S = 24 * 3600.0


def ahead_of(
    forecast: Forecast | None, record: ForecastInput | None, over: Collection[str] = ()
) -> tuple[ScoreAhead, ...]:
    """The stage under way and those after it; none where nothing is forecast. Stages that are `over`,
    by their keys, since the forecast was made are left out.
    """
    if forecast is None or record is None:
        return ()
    if forecast.standing not in ("forecast", "may_not_reach", "reached"):
        return ()
    found: list[ScoreAhead] = []
    begin_s, limit_s = forecast.now_s, forecast.now_s + FURTHEST_S
    numbered = enumerate(record.legs)
    for key, legs in groupby(numbered, key=lambda each: each[1].key or each[1].stage):
        last, planned = list(legs)[-1]
        if key in over:
            continue
        span = leg_span(forecast, last)
        if span is None or span.low > limit_s:
            break
        mid_s = span.mid if span.mid <= limit_s else None
        high_s = span.high if math.isfinite(span.high) and span.high <= limit_s else None
        found.append(ScoreAhead(begin_s, span.low, mid_s, high_s, planned.stage, key))
        if mid_s is None:
            break
        begin_s = mid_s
    return tuple(found)
