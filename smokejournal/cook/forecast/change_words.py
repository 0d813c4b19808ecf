"""What a change would do to a forecast, in words: sooner or later, by how much."""

from __future__ import annotations

import math

from smokejournal.cook.forecast.intervals import (
    MINUTE_S,
    TimeInterval,
    reach_span,
    rounded,
    shift_of,
)
from smokejournal.cook.text import quantities as q
from smokejournal.cook.text.translate import translate
from smokejournal.science.forecast.values import Forecast

#: Below this nobody can tell a difference in the time of a cook [s].
NOTHING_S = 150.0


def shift_words(title: str, before: Forecast, after: Forecast) -> str:
    """ "Wrapped in foil now: about 1 h 10 min sooner (40 min – 1 h 50 min sooner)"."""
    return translate("Forecast", "{change}: {effect}.").format(
        change=title, effect=_effect(before, after)
    )


def _effect(before: Forecast, after: Forecast) -> str:
    if after.standing in ("no_readings", "in_air", "too_early"):
        return translate("Forecast", "can't be estimated")
    shift = shift_of(before, after)
    if shift is None:
        if after.standing == "may_not_reach":
            return translate("Forecast", "the target may not be reached")
        return translate("Forecast", "can't be estimated")
    reach = reach_span(after)
    if after.standing == "may_not_reach" or (reach is not None and not math.isfinite(reach.mid)):
        return translate("Forecast", "the target may not be reached")
    if shift.span.mid == -math.inf:
        return translate("Forecast", "reaches the target, which it might not otherwise")
    if shift.span.mid == math.inf:
        return translate("Forecast", "the target may not be reached")
    return effect_words(shift.span)


def effect_words(span: TimeInterval) -> str:
    """A difference with its interval; negative is sooner."""
    low, high = _finite(span)
    told = rounded(TimeInterval(low, span.mid, high))
    if abs(span.mid) < NOTHING_S or told.mid == 0.0:
        text = translate("Forecast", "about the same time")
        return q.interval(text, _signed(told.low, span.low), _signed(told.high, span.high))
    sooner = told.mid < 0
    text = (
        translate("Forecast", "about {time} sooner")
        if sooner
        else translate("Forecast", "about {time} later")
    ).format(time=q.duration(abs(told.mid)))
    first, last = (told.high, told.low) if sooner else (told.low, told.high)
    first_of, last_of = (span.high, span.low) if sooner else (span.low, span.high)
    if first * told.mid >= 0:
        # Both ends on the same side: the word is said once.
        return q.interval(text, _size(first, first_of), _size(last, last_of))
    return q.interval(text, _signed(first, first_of), _signed(last, last_of))


def _finite(span: TimeInterval) -> tuple[float, float]:
    """Ends beyond the horizon drawn in to the middle; `_size` says that there is more."""
    low = span.low if math.isfinite(span.low) else span.mid
    high = span.high if math.isfinite(span.high) else span.mid
    return low, high


def _size(told_s: float, exact_s: float) -> str:
    text = q.duration(abs(told_s))
    if abs(told_s) < 2.0 * MINUTE_S:
        # Seconds would say more than is known.
        text = translate("Forecast", "{n} min").format(n=round(abs(told_s) / MINUTE_S))
    if math.isfinite(exact_s):
        return text
    return translate("Forecast", "more than {time}").format(time=text)


def _signed(told_s: float, exact_s: float) -> str:
    size = _size(told_s, exact_s)
    if told_s == 0.0 and math.isfinite(exact_s):
        return translate("Forecast", "no difference")
    if told_s < 0 or exact_s == -math.inf:
        return translate("Forecast", "{time} sooner").format(time=size)
    return translate("Forecast", "{time} later").format(time=size)
