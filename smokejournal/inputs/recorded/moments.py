"""Times as loggers write them: one text to seconds, and local clock times to UTC."""

from __future__ import annotations

import math
import re
from datetime import date, datetime, timedelta
from typing import Literal
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from smokejournal.cook.log.readings import FloatArray
from smokejournal.cook.text.translate import translate
from smokejournal.inputs.cell import Decimal
from smokejournal.inputs.recorded.form import DateOrder, Fold, WrittenTime

Look = Literal["when", "date", "clock", "number", "missing", "text"]

DAY_S = 86_400.0
#: 1970-01-01 as spreadsheets count days (ECMA-376 part 1, 18.17.4.1: the 1900 date system).
_SPREADSHEET_1970 = 25_569.0
ORDERS: tuple[DateOrder, ...] = ("ymd", "dmy", "mdy")

_SECONDS_IN = {"millis": 0.001, "seconds": 1.0, "minutes": 60.0, "hours": 3600.0}
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_DATE = (
    r"\d{1,4}(?P<sep>[-/.])(?:\d{1,2}|[A-Za-z]{3,9})(?P=sep)\d{1,4}\.?"
    r"|\d{1,2}\.? [A-Za-z]{3,9}\.? \d{2,4}|[A-Za-z]{3,9}\.? \d{1,2},? \d{4}"
)
_WHEN = re.compile(
    rf"(?P<date>{_DATE})?(?:(?:(?<=.)\s*[T,]\s*|\s+|^)"
    r"(?P<h>\d{1,3}):(?P<m>\d{2})(?::(?P<s>\d{2})(?:[.,](?P<f>\d{1,9}))?)?"
    r"\s*(?P<half>[AaPp]\.?(?:[Mm]\.?)?)?)?"
    r"\s*(?P<zone>Z|UTC|GMT|[+-]\d{2}(?::?\d{2})?)?"
)
_COMPACT = re.compile(
    r"(?P<date>(?:19|20)\d{2}(?:0[1-9]|1[0-2])[0-3]\d)"
    r"(?:[T _-]?(?P<h>[0-2]\d)(?P<m>[0-5]\d)(?P<s>[0-5]\d)?)(?P<f>)(?P<half>)(?P<zone>Z)?"
)
_NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?")


def look_of(text: str) -> Look:
    """What a cell looks like: a date with a clock time, either alone, a number, or none of these."""
    if _NUMBER.fullmatch(text):
        return "when" if len(text) >= 12 and _COMPACT.fullmatch(text) else "number"
    match = _WHEN.fullmatch(text) or _COMPACT.fullmatch(text)
    if match is None or not text:
        return "text"
    if match["date"]:
        return "when" if match["h"] else "date"
    return "clock" if match["h"] else "text"


def orders_of(text: str) -> frozenset[DateOrder]:
    """The orders in which the date in `text` is one; none where there is no date in it."""
    match = _WHEN.fullmatch(text) or _COMPACT.fullmatch(text)
    if match is None or not match["date"]:
        return frozenset()
    return frozenset(order for order in ORDERS if day_of_text(match["date"], order) is not None)


def day_of_text(text: str, order: DateOrder) -> float | None:
    """The beginning of a day [s since 1970 by its own clock], None where it is no date in this order.

    Two digits of a year are of this century.
    """
    if text.isdigit() and len(text) == 8:
        parts = [text[:4], text[4:6], text[6:]]
    else:
        parts = [part for part in re.split(r"[-/., ]+", text) if part]
    if len(parts) != 3:
        return None
    if parts[0].isalpha():
        order = "mdy"
    elif parts[1].isalpha() and order == "mdy":
        return None
    if len(parts[0]) > 2 and parts[0].isdigit():
        if order != "ymd":
            return None
    elif order == "ymd" and len(parts[2]) > 2:
        return None
    at = {letter: parts[n] for n, letter in enumerate(order)}
    if len(at["y"]) not in (2, 4) or not at["y"].isdigit() or not at["d"].isdigit():
        return None
    name = at["m"][:3].lower()
    month = _MONTHS.index(name) + 1 if name in _MONTHS else 0
    if not month and at["m"].isdigit():
        month = int(at["m"])
    year = int(at["y"]) + (2000 if len(at["y"]) == 2 else 0)
    try:
        day = date(year, month, int(at["d"]))
    except ValueError:
        return None
    return (day - date(1970, 1, 1)).days * DAY_S if 1970 <= year <= 2200 else None


class TimeReader:
    """Reads the time of one row after the other. `offset_s` is how far that row's own zone is ahead of
    UTC, where it is written, else NaN."""

    def __init__(self, time: WrittenTime, decimal: Decimal) -> None:
        self._kind = time.kind
        self._order: DateOrder = time.order or "ymd"
        self._decimal = decimal
        self._days: dict[str, float | None] = {}
        self._day_s = day_of_text(time.day, "ymd") if time.day else None
        self._last_s = -math.inf
        self.offset_s = math.nan
        self._no_time = translate("Recorded", "no time")

    def read(self, text: str) -> float | str:
        """Seconds, or why there are none: since 1970 by the clock of the row (kinds with a clock) or
        UTC, or since the start."""
        kind = self._kind
        self.offset_s = math.nan
        if kind in ("date", "clock", "elapsed"):
            return self._clock(text)
        match = _NUMBER.fullmatch(text)
        other = "," if self._decimal == "." else "."
        if match is None or other in text:
            return self._no_time
        number = float(text.replace(",", "."))
        if kind == "epoch":
            return number if 0 <= number < 7e9 else self._no_time
        if kind == "epoch_ms":
            return number / 1000 if 0 <= number < 7e12 else self._no_time
        if kind == "days":
            # A spreadsheet's days are good to a few microseconds; its clock shows whole milliseconds.
            seconds = round((number - _SPREADSHEET_1970) * DAY_S, 3)
            return seconds if 0 <= seconds < 7e9 else self._no_time
        seconds = number * _SECONDS_IN.get(kind or "", 1.0)
        return seconds if abs(seconds) < 1e9 else self._no_time

    def _clock(self, text: str) -> float | str:
        match = _WHEN.fullmatch(text) or _COMPACT.fullmatch(text)
        if match is None or not match["h"]:
            return self._no_time
        hour, minute, second = int(match["h"]), int(match["m"]), int(match["s"] or 0)
        if minute > 59 or second > 59:
            return translate("Recorded", "no such time of day")
        half = (match["half"] or "").lower()[:1]
        if half:
            if not 1 <= hour <= 12:
                return translate("Recorded", "no such time of day")
            hour = hour % 12 + (12 if half == "p" else 0)
        since_s = hour * 3600.0 + minute * 60.0 + second
        if match["f"]:
            since_s += float(f"0.{match['f']}")
        if self._kind == "elapsed":
            # 01:30 could be hours and minutes or minutes and seconds.
            whole = match["s"] and not match["date"] and not half
            return since_s if whole else self._no_time
        if hour > 23:
            return translate("Recorded", "no such time of day")
        if match["zone"]:
            self.offset_s = _offset_of(match["zone"])
        if self._kind == "clock":
            return self._next(since_s) if not match["date"] else self._no_time
        written = match["date"]
        if not written:
            return self._no_time
        if written not in self._days:
            self._days[written] = day_of_text(written, self._order)
        day_s = self._days[written]
        return translate("Recorded", "no such date") if day_s is None else day_s + since_s

    def _next(self, since_s: float) -> float:
        """A clock alone: where it falls back by more than half a day, the next day has begun."""
        if self._day_s is None:
            self._day_s = 0.0
        if self._day_s + since_s < self._last_s - DAY_S / 2:
            self._day_s += DAY_S
        self._last_s = self._day_s + since_s
        return self._last_s


def _offset_of(zone: str) -> float:
    if zone[0] not in "+-":
        return 0.0
    digits = zone[1:].replace(":", "").ljust(4, "0")
    seconds = int(digits[:2]) * 3600.0 + int(digits[2:]) * 60.0
    return -seconds if zone[0] == "-" else seconds


_QUARTER_S = 900.0


def utc_of(
    local_s: FloatArray, zone: str, fold: Fold | None
) -> tuple[FloatArray, NDArray[np.bool_], Fold | None]:
    """Clock times of a zone [s since 1970 by its clock, shape (n,)] to UTC seconds.

    NaN where the change of clocks left a time out, or where one occurs twice and neither `fold` nor
    the order of the rows says which is meant. Gives also which occur twice, and what was followed.
    """
    there = ZoneInfo(zone)
    quarters, back = np.unique(np.floor(local_s / _QUARTER_S), return_inverse=True)
    before = np.empty(quarters.size)
    after = np.empty(quarters.size)
    for n, quarter in enumerate(quarters):
        naive = datetime(1970, 1, 1) + timedelta(seconds=float(quarter) * _QUARTER_S)  # noqa: DTZ001
        before[n] = _ahead_s(naive.replace(tzinfo=there))
        after[n] = _ahead_s(naive.replace(tzinfo=there, fold=1))
    early, late = before[back], after[back]
    twice = early > late
    at_s = local_s - early
    at_s[early < late] = np.nan
    if not twice.any():
        return at_s, twice, fold
    if fold is None and _goes_back_once(local_s[twice], (early - late)[twice]):
        fold = "order"
    second = np.zeros(local_s.size, dtype=np.bool_)
    if fold == "second":
        second = twice
    elif fold == "order":
        rows = np.flatnonzero(twice)
        fell = np.flatnonzero(np.diff(local_s[rows]) < 0)
        if fell.size:
            second[rows[fell[0] + 1 :]] = True
    elif fold is None:
        at_s[twice] = np.nan
    at_s[second] = (local_s - late)[second]
    return at_s, twice, fold


def _goes_back_once(local_s: FloatArray, shift_s: FloatArray) -> bool:
    """Whether the rows show the clock being set back: once, by just the change less one step."""
    steps = np.diff(local_s)
    fell = np.flatnonzero(steps < 0)
    if fell.size != 1:
        return False
    return 0.0 < float(shift_s[0] + steps[fell[0]]) <= _QUARTER_S


def _ahead_s(when: datetime) -> float:
    offset = when.utcoffset()
    return offset.total_seconds() if offset is not None else 0.0
