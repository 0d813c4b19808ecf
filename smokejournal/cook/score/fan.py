"""The forecast as a fan on the score: the course to come, up to when the target is likely reached."""

from __future__ import annotations

import math

import numpy as np

from smokejournal.cook.forecast.cook_so_far import ForecastInput
from smokejournal.cook.forecast.intervals import reach_span
from smokejournal.cook.forecast.words import reach_words
from smokejournal.cook.score.ahead import FURTHEST_S
from smokejournal.cook.score.score import ScoreFan
from smokejournal.cook.text.quantities import Units
from smokejournal.science.forecast.values import Forecast

_LOW, _MIDDLE, _HIGH = 0.1, 0.5, 0.9


def fan_of(
    forecast: Forecast | None, record: ForecastInput | None, units: Units, zone: str
) -> tuple[ScoreFan, ...]:
    """The fan of the probe that leads; none where nothing is forecast.

    It ends when the target is reached with a chance of 90 %, and nothing of it lies above the target:
    what comes after is not the meat's course on the pit.
    """
    if forecast is None or record is None or forecast.fan is None:
        return ()
    if forecast.standing not in ("forecast", "may_not_reach"):
        return ()
    fan = forecast.fan
    rows = [n for share in (_LOW, _MIDDLE, _HIGH) for n, s in enumerate(fan.shares) if s == share]
    if len(rows) != 3:
        return ()
    limit_s = forecast.now_s + FURTHEST_S
    span = reach_span(forecast)
    if span is not None and math.isfinite(span.high):
        limit_s = min(limit_s, span.high)
    kept = (fan.time_s >= forecast.now_s) & np.all(np.isfinite(fan.probe_c[rows]), axis=0)
    time_s, probe_c = fan.time_s[kept], fan.probe_c[rows][:, kept]
    if time_s.size < 2 or limit_s <= time_s[0]:
        return ()
    end_s = min(limit_s, float(time_s[-1]))
    inside = time_s < end_s
    at_s = np.append(time_s[inside], end_s)
    low_c, middle_c, high_c = (
        np.minimum(np.interp(at_s, time_s, row), record.cook.target_c) for row in probe_c
    )
    reach_s = span.mid if span is not None and math.isfinite(span.mid) else None
    return (
        ScoreFan(
            record.lead.key,
            at_s,
            low_c,
            middle_c,
            high_c,
            record.cook.target_c,
            reach_s,
            reach_words(forecast, record, units, zone),
        ),
    )
