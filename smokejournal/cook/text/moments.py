"""Moments given as a day and a time of day where the cook is."""

from __future__ import annotations

from datetime import UTC, date, datetime

from smokejournal.cook.text import times
from smokejournal.cook.text.numbers import QuantityError
from smokejournal.cook.text.translate import translate


def day_of(at_s: float, zone: str) -> date:
    """The calendar day in `zone` at `at_s` (UTC seconds)."""
    shown = times.local(at_s, zone)
    return shown.date() if shown is not None else datetime.fromtimestamp(at_s, UTC).date()


def moment_on(day: date, text: str, zone: str, field: str = "") -> float:
    """UTC seconds of the time of day `text` ("18:40", "6:40 pm") on `day` in `zone`.

    Raises QuantityError where the text is no time of day or the clock leaps over it on that day.
    """
    tz = times.zone_of(zone) or UTC
    noon_s = datetime(day.year, day.month, day.day, 12, tzinfo=tz).timestamp()
    # A day of 25 hours has a midnight that is nearer to the noon before it than to its own.
    for shift_s in (0.0, -7200.0, 7200.0):
        at_s = times.parse_clock(text, zone, noon_s + shift_s, field)
        if day_of(at_s, zone) == day:
            return at_s
    raise QuantityError(
        field,
        translate("Quantities", "another time of day"),
        translate("Quantities", "The clock was put forward over that time."),
    )
