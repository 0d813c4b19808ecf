"""Moments and lengths of time, written for people and read from what they type.

Moments are UTC seconds; the zone (an IANA name) is the cook's own.
"""

from __future__ import annotations

import math
import re
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from smokejournal.cook.text.numbers import QuantityError, fmt, parts, plain
from smokejournal.cook.text.translate import translate

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_SECONDS: dict[str, float] = {
    **dict.fromkeys(("d", "day", "days"), 86400.0),
    **dict.fromkeys(("h", "hr", "hrs", "hour", "hours"), 3600.0),
    **dict.fromkeys(("m", "min", "mins", "minute", "minutes"), 60.0),
    **dict.fromkeys(("s", "sec", "secs", "second", "seconds"), 1.0),
}
_NEXT_SMALLER = {86400.0: "h", 3600.0: "min", 60.0: "s"}


def zone_of(name: str) -> ZoneInfo | None:
    """The zone of this name, or None where the machine knows none such."""
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return None


def local(at_s: float, zone: str) -> datetime | None:
    """The moment on the clock of `zone` (UTC where the zone is not known); None beyond the years."""
    try:
        return (_EPOCH + timedelta(seconds=at_s)).astimezone(zone_of(zone) or UTC)
    except (OverflowError, ValueError):
        return None


def duration(duration_s: float) -> str:
    """ "2 h 10 min"; seconds below two minutes, days from two days on."""
    if not math.isfinite(duration_s):
        return fmt(duration_s, 0)
    sign = "−" if duration_s < 0 and round(duration_s) else ""
    seconds = round(abs(duration_s))
    if seconds < 120:
        return sign + translate("Quantities", "{n} s").format(n=seconds)
    minutes = round(abs(duration_s) / 60)
    hours, minutes = divmod(minutes, 60)
    days = 0
    if hours >= 48:
        hours = round(abs(duration_s) / 3600)
        days, hours = divmod(hours, 24)
        minutes = 0
    words = [
        translate("Quantities", text).format(n=n)
        for n, text in ((days, "{n} d"), (hours, "{n} h"), (minutes, "{n} min"))
        if n
    ]
    return sign + " ".join(words)


def ago(duration_s: float) -> str:
    """ "12 s ago"; a moment that is still to come reads "in 12 s"."""
    if duration_s < -0.5:
        return translate("Quantities", "in {duration}").format(duration=duration(-duration_s))
    return translate("Quantities", "{duration} ago").format(duration=duration(abs(duration_s)))


def clock_time(at_s: float, zone: str, *, twelve: bool = False, seconds: bool = False) -> str:
    """ "18:40" or "6:40 pm"; the minute that has begun, as clocks show it. With `seconds` "18:40:05"."""
    when = local(at_s, zone)
    if when is None:
        return fmt(math.nan, 0)
    minutes = f"{when.minute:02d}" + (f":{when.second:02d}" if seconds else "")
    if twelve:
        half = translate("Quantities", "am") if when.hour < 12 else translate("Quantities", "pm")
        text = f"{(when.hour + 11) % 12 + 1}:{minutes} {half}"
    else:
        text = f"{when.hour:02d}:{minutes}"
    return text if zone_of(zone) is not None else f"{text} UTC"


def date(at_s: float, zone: str, *, month_first: bool = False) -> str:
    """ "25 Nov 2026", or "Nov 25, 2026"."""
    when = local(at_s, zone)
    if when is None:
        return fmt(math.nan, 0)
    if month_first:
        return f"{_month(when.month)} {when.day}, {when.year}"
    return f"{when.day} {_month(when.month)} {when.year}"


def day(at_s: float, zone: str, *, month_first: bool = False) -> str:
    """ "25 Nov", or "Nov 25"."""
    when = local(at_s, zone)
    if when is None:
        return fmt(math.nan, 0)
    month = _month(when.month)
    return f"{month} {when.day}" if month_first else f"{when.day} {month}"


def _month(number: int) -> str:
    return (
        translate("Quantities", "Jan"),
        translate("Quantities", "Feb"),
        translate("Quantities", "Mar"),
        translate("Quantities", "Apr"),
        translate("Quantities", "May"),
        translate("Quantities", "Jun"),
        translate("Quantities", "Jul"),
        translate("Quantities", "Aug"),
        translate("Quantities", "Sep"),
        translate("Quantities", "Oct"),
        translate("Quantities", "Nov"),
        translate("Quantities", "Dec"),
    )[number - 1]


def parse_duration(
    text: str, field: str, low_s: float = 0.0, high_s: float = 60 * 86400.0
) -> float:
    """Seconds in "90", "90 min", "1:30", "2 h 10" or "45 s". A bare number is minutes.

    Raises QuantityError where it is none of these or outside `low_s` to `high_s`.
    """
    wanted = translate(
        "Quantities", "a time from {low} to {high}, for example 90 min, 1:30 or 2 h 10"
    ).format(low=duration(low_s), high=duration(high_s))
    colon = re.fullmatch(r"([0-9]{1,4}):([0-9]{2})(?::([0-9]{2}))?", plain(text))
    total_s = 0.0
    if colon is not None:
        hours, minutes, seconds = (int(part or 0) for part in colon.groups())
        if minutes >= 60 or seconds >= 60:
            raise QuantityError(field, wanted)
        total_s = hours * 3600.0 + minutes * 60.0 + seconds
    else:
        last_s = math.inf
        for number, unit in parts(text, field, wanted):
            name = unit.lower() or _NEXT_SMALLER.get(last_s, "min")
            if name not in _SECONDS or _SECONDS[name] >= last_s:
                raise QuantityError(field, wanted)
            total_s += number * _SECONDS[name]
            last_s = _SECONDS[name]
    if not low_s <= total_s <= high_s:
        raise QuantityError(field, wanted)
    return total_s


_CLOCK = re.compile(r"([0-9]{1,2})(?:[:.h]([0-9]{2})| ?(?=[ap]))? ?(am|pm|a|p)?")


def parse_clock(text: str, zone: str, near_s: float, field: str = "") -> float:
    """The moment nearest `near_s` at which the clock in `zone` shows "18:40" or "6:40 pm".

    In the hour that the clock shows twice, the nearer of the two. Raises QuantityError where the
    text is no time of day, and where the clock leaps over that time.
    """
    wanted = translate("Quantities", "a time of day, for example 18:40 or 6:40 pm")
    said = plain(text).lower().replace("a.m.", "am").replace("p.m.", "pm")
    if re.fullmatch(r"[0-9]{4}", said):
        said = f"{said[:2]}:{said[2:]}"
    match = _CLOCK.fullmatch(said)
    tz, near = zone_of(zone), local(near_s, zone)
    if match is None or near is None or not (match[2] or match[3]):
        raise QuantityError(field, wanted)
    hour, minute = int(match[1]), int(match[2] or 0)
    if match[3]:
        if not 1 <= hour <= 12:
            raise QuantityError(field, wanted)
        hour = hour % 12 + (12 if match[3].startswith("p") else 0)
    if hour > 23 or minute > 59:
        raise QuantityError(field, wanted)
    best: tuple[float, bool] | None = None
    for day in (-1, 0, 1):
        for fold in (0, 1):
            shown = datetime(near.year, near.month, near.day, hour, minute, tzinfo=tz or UTC)
            shown = (shown + timedelta(days=day)).replace(fold=fold)
            at = shown.astimezone(UTC)
            back = at.astimezone(tz or UTC)
            real = (back.hour, back.minute) == (hour, minute)
            at_s = (at - _EPOCH).total_seconds()
            if best is None or abs(at_s - near_s) < abs(best[0] - near_s):
                best = (at_s, real)
    assert best is not None
    if not best[1]:
        why = translate("Quantities", "The clock was put forward over that time.")
        raise QuantityError(field, wanted, why)
    return best[0]
