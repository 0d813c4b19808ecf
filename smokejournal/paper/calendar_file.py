"""A plan that is counted back as an iCalendar file (RFC 5545), for the cook's own calendar.

Moments stand on the clock of the cook's zone, and the zone's own changes go along, so that another
program needs no table of zones to read them. Brought in again, a file updates what it brought before.
"""

from __future__ import annotations

import unicodedata
import uuid
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta, tzinfo

from icalendar import Alarm, Calendar, Event, Timezone, TimezoneDaylight, TimezoneStandard

from smokejournal import __version__
from smokejournal.cook.log.entries import ItemAdded, TimesKept
from smokejournal.cook.plan.prep_progress import LivedStep
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.text.times import zone_of
from smokejournal.cook.text.translate import translate
from smokejournal.cook.timetable.clock_words import told
from smokejournal.cook.timetable.step_cautions import step_cautions
from smokejournal.cook.timetable.timetable import Timetable, TimetableStep
from smokejournal.cook.timetable.words import step_words

#: A step before the fire that is this long [s] is also called this long before it begins.
LONG_S, CALLED_BEFORE_S = 3600.0, 600.0
#: Of the zone's changes those go along that are this near to the plan.
_AROUND = timedelta(days=366)
#: No zone changes twice within this time.
_LOOK = timedelta(days=1)
_NAMES = uuid.UUID("5f0f5f0e-6a0c-4f0b-9b2d-736d6f6b656a")


def calendar_of(
    timetable: Timetable,
    title: str,
    place: str,
    cook_id: int,
    units: Units,
    kept: TimesKept | None,
    *,
    lived: Sequence[LivedStep] = (),
    items: Sequence[ItemAdded] = (),
    opened_at_s: float = 0.0,
) -> bytes:
    """The file: an event for each step that has times and is to come or under way, and the table.
    A step that was skipped is canceled, for a calendar that took it in from an earlier file.

    Times that the cook kept win. `cook_id` and `opened_at_s` [UTC s] tell one cook from any other,
    in this journal and in others. No event where no step has times.
    """
    zone = zone_of(timetable.zone)
    steps = {f"prep:{step.key}": step for step in lived}
    calendar = Calendar()
    calendar.add("prodid", f"-//smokejournal//smokejournal {__version__}//EN")
    calendar.add("version", "2.0")
    calendar.add("name", _line(title))
    found: list[tuple[datetime, datetime]] = []
    events = []
    made = _moment(timetable.now_s)
    # A later file is a later revision; what counts up by itself is the time.
    revision = max(0, int(timetable.now_s // 60))
    for step in timetable.steps:
        uid = str(uuid.uuid5(_NAMES, f"{cook_id}/{opened_at_s:.0f}/{step.key}"))
        if step.state == "skipped":
            events.append(_cancelled(uid, made, revision, _summary(step, title)))
        if step.state not in ("to_come", "under_way"):
            continue
        span = span_of(step, timetable, kept)
        if span is None:
            continue
        start, end = _moment(span[0]), _moment(span[1])
        found.append((start, end))
        event = Event()
        event.add("uid", uid)
        event.add("dtstamp", made)
        event.add("sequence", revision)
        event.add("summary", _summary(step, title))
        # One moment of two that the clock shows twice can't be told by the clock (RFC 5545, 3.3.5).
        local = zone is not None and not any(at.astimezone(zone).fold for at in (start, end))
        event.add("dtstart", start.astimezone(zone) if local else start)
        if end > start:
            event.add("dtend", end.astimezone(zone) if local else end)
        words = step_words(step, timetable, units, steps.get(step.key), kept)
        between = (
            translate("CalendarFile", "Start {between}.").format(between=words.between)
            if words.between
            else ""
        )
        cautions = step_cautions(step, steps.get(step.key), items, units)
        event.add(
            "description",
            _text(
                "\n".join(
                    part
                    for part in (
                        between,
                        words.state,
                        words.length,
                        words.pit,
                        words.kept,
                        words.note,
                        *(caution.in_full for caution in cautions),
                        title,
                    )
                    if part
                )
            ),
        )
        if place.strip():
            event.add("location", _line(place))
        if step.state == "to_come":
            event.add_component(_alarm("PT0M", _summary(step, title)))
            if step.kind == "prep" and span[1] - span[0] >= LONG_S:
                event.add_component(
                    _alarm(f"-PT{CALLED_BEFORE_S / 60:.0f}M", _summary(step, title))
                )
        events.append(event)
    if zone is not None and found:
        first, last = min(s for s, _ in found), max(e for _, e in found)
        calendar.add_component(_timezone(zone, timetable.zone, first - _AROUND, last + _AROUND))
    for event in events:
        calendar.add_component(event)
    return bytes(calendar.to_ical())


def span_of(
    step: TimetableStep, timetable: Timetable, kept: TimesKept | None
) -> tuple[float, float] | None:
    """Beginning and end [UTC s] as they are told, by the times that were kept where they were.

    The end is as far from the beginning as planned, in real time. None without times.
    """
    if step.kind == "serve":
        at_s = timetable.wanted_s
        if kept is not None:
            at_s = kept.ready_at_s
        return None if at_s is None else (at_s, at_s)
    if step.start is None or step.end is None:
        return None
    start_s = step.start.planned_s
    length_s = max(0.0, step.end.planned_s - start_s)
    if step.state == "under_way":
        return start_s, start_s + length_s
    if step.lasts is None or step.lasts.high - step.lasts.low >= 60.0:
        # An estimate has no seconds.
        length_s = round(length_s / 60.0) * 60.0
    told_s = told(step.start).planned_s
    if kept is not None:
        told_s = kept.starts.get(step.key, told_s)
    return told_s, told_s + length_s


def _summary(step: TimetableStep, title: str) -> str:
    dish = _line(title if step.kind == "serve" else step.item)
    name = _line(step.name)
    if dish and dish != name:
        name = translate("Timetable", "{step} ({dish})").format(step=name, dish=dish)
    return name


def _cancelled(uid: str, made: datetime, revision: int, summary: str) -> Event:
    """An event that no longer takes place (RFC 5545, 3.8.1.11)."""
    event = Event()
    event.add("uid", uid)
    event.add("dtstamp", made)
    event.add("dtstart", made)
    event.add("sequence", revision)
    event.add("summary", summary)
    event.add("status", "CANCELLED")
    return event


def _alarm(trigger: str, text: str) -> Alarm:
    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", text)
    # As it is: icalendar writes a length of nothing as days, which fewer programs read.
    alarm.add("trigger", trigger, encode=False)
    return alarm


# -- the zone --------------------------------------------------------------------------------------


def _timezone(zone: tzinfo, name: str, first: datetime, last: datetime) -> Timezone:
    """The zone's changes between two moments.

    icalendar 7.3 can make one by itself, but puts the onset of daylight saving on the clock that comes
    then; RFC 5545, 3.6.5 wants it on the one that goes (its own example: 02:00, not 03:00).
    """
    made = Timezone()
    made.add("tzid", name)
    parts: dict[tuple[timedelta, timedelta, str, bool], list[datetime]] = {}
    before = _offset(first, zone)
    onsets = [first]
    at = first
    while at < last:
        if _offset(at + _LOOK, zone) != _offset(at, zone):
            onsets.append(_onset(at, at + _LOOK, zone))
        at += _LOOK
    for onset in onsets:
        local = onset.astimezone(zone)
        after = _offset(onset, zone)
        key = (before, after, local.tzname() or name, bool(local.dst()))
        parts.setdefault(key, []).append((onset + before).replace(tzinfo=None, microsecond=0))
        before = after
    for (offset_from, offset_to, tzname, daylight), starts in parts.items():
        part = TimezoneDaylight() if daylight else TimezoneStandard()
        part.add("dtstart", starts[0])
        part.add("tzoffsetfrom", offset_from)
        part.add("tzoffsetto", offset_to)
        part.add("tzname", tzname)
        if starts[1:]:
            part.add("rdate", starts[1:])
        made.add_component(part)
    return made


def _onset(low: datetime, high: datetime, zone: tzinfo) -> datetime:
    """The second from which on the offset is that of `high`."""
    wanted = _offset(high, zone)
    while high - low > timedelta(seconds=1):
        middle = low + (high - low) // 2
        middle = middle.replace(microsecond=0)
        low, high = (low, middle) if _offset(middle, zone) == wanted else (middle, high)
    return high


def _offset(at: datetime, zone: tzinfo) -> timedelta:
    return at.astimezone(zone).utcoffset() or timedelta()


# -- text ------------------------------------------------------------------------------------------


def _moment(at_s: float) -> datetime:
    return datetime(1970, 1, 1, tzinfo=UTC) + timedelta(seconds=round(at_s))


def _text(text: str) -> str:
    """No control character may stand in a value (RFC 5545, 3.1), nor half of a surrogate pair."""
    plain = "\n".join(text.splitlines())
    return "".join(
        ch if ch == "\n" or unicodedata.category(ch) not in ("Cc", "Cs") else "\ufffd"
        for ch in plain.replace("\t", " ")
    )


def _line(text: str) -> str:
    return " ".join(_text(text).split())
