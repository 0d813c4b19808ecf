"""The calendar file, read back by the library that wrote it and by one that shares nothing with it."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
import vobject
from hypothesis import given
from hypothesis import strategies as st
from icalendar import Calendar

from smokejournal.cook.log.entries import ItemAdded, PrepStep, TimesKept
from smokejournal.cook.plan.prep_progress import LivedStep
from smokejournal.cook.text.quantities import METRIC, US
from smokejournal.cook.timetable.timetable import Timetable, TimetableStep, When
from smokejournal.paper.calendar_file import calendar_of
from tests.support.timetable_examples import FIVE, HOUR, NOW_S, ONE, SERVE, ZONE, length


def events(data: bytes) -> dict[str, Any]:
    """By what they are about, as icalendar reads them."""
    return {str(event["summary"]): event for event in Calendar.from_ical(data).walk("VEVENT")}


def utc(at_s: float) -> datetime:
    return datetime.fromtimestamp(at_s, UTC)


def made(timetable: Timetable = ONE, title: str = "Shoulder", **more: Any) -> bytes:
    return calendar_of(
        timetable,
        title,
        more.pop("place", "The yard"),
        more.pop("cook_id", 7),
        more.pop("units", METRIC),
        more.pop("kept", None),
        **more,
    )


def test_every_step_to_come_is_an_event_on_the_cooks_clock() -> None:
    found = events(made())
    assert list(found) == [
        "Brine",
        "Rinse",
        "Warm up",
        "Smoke (shoulder)",
        "Rest (shoulder)",
        "On the table (Shoulder)",
    ]
    smoke = found["Smoke (shoulder)"]
    assert smoke["dtstart"].params["TZID"] == ZONE
    assert f"{smoke['dtstart'].dt:%H:%M}" == "07:30"
    assert smoke["dtend"].dt - smoke["dtstart"].dt == timedelta(hours=9, minutes=45)
    assert smoke["location"] == "The yard"
    said = str(smoke["description"])
    assert "Start 05:45 – 08:45." in said
    assert "Takes 9 h 30 min (7 h 40 min – 12 h), estimated for a piece of this size." in said
    assert "Pit at 107 °C" in said
    assert "6 % salt, 4 l of water" in str(found["Brine"]["description"])
    table = found["On the table (Shoulder)"]
    assert table["dtstart"].dt == utc(ONE.wanted_s or 0.0)
    assert "dtend" not in table
    assert "Pit at 225 °F" in str(events(made(units=US))["Smoke (shoulder)"]["description"])


def test_an_estimate_ends_on_a_minute_and_what_was_said_when_it_was_said() -> None:
    brine, _, _, smoke, *_ = ONE.steps
    assert smoke.end is not None
    late = When(smoke.end.earliest_s, smoke.end.planned_s + 44.0, smoke.end.latest_s)
    short = replace(brine, lasts=length(90.0), end=When(*[brine.start.planned_s + 90.0] * 3))  # type: ignore[union-attr]
    found = events(made(replace(ONE, steps=(short, replace(smoke, end=late)))))
    brined, smoked = found["Brine"], found["Smoke (shoulder)"]
    assert brined["dtend"].dt - brined["dtstart"].dt == timedelta(seconds=90)
    assert smoked["dtend"].dt - smoked["dtstart"].dt == timedelta(hours=9, minutes=46)


def test_what_is_over_or_has_no_times_is_left_out() -> None:
    brine, rinse, *others = ONE.steps
    steps = (replace(brine, state="over"), replace(rinse, start=None, end=None), *others)
    assert not {"Brine", "Rinse"} & set(events(made(replace(ONE, steps=steps))))
    assert not events(made(replace(FIVE, wanted_s=None, steps=(replace(rinse, start=None),))))


def test_a_skipped_step_is_canceled_under_the_number_it_had() -> None:
    brine, *others = ONE.steps
    before = events(made())["Brine"]
    skipped = replace(
        ONE, now_s=ONE.now_s + 3600.0, steps=(replace(brine, state="skipped"), *others)
    )
    after = events(made(skipped))["Brine"]
    assert after["uid"] == before["uid"]
    assert after["sequence"] > before["sequence"]
    assert str(after["status"]) == "CANCELLED"
    assert not after.walk("VALARM")
    assert "status" not in before


def test_a_step_under_way_stands_where_it_began_and_calls_no_more() -> None:
    brine, *others = ONE.steps
    going = replace(
        brine,
        state="under_way",
        start=When(NOW_S - 90, NOW_S - 90, NOW_S - 90),
        began_s=NOW_S - 90,
    )
    found = events(made(replace(ONE, steps=(going, *others))))["Brine"]
    assert found["dtstart"].dt == utc(NOW_S - 90)
    assert not found.walk("VALARM")


def test_times_that_were_kept_win() -> None:
    assert ONE.steps[3].key == "stage:s1"
    kept = TimesKept({"stage:s1": NOW_S + 8 * HOUR}, NOW_S + 20 * HOUR)
    found = events(made(kept=kept))
    smoke = found["Smoke (shoulder)"]
    assert smoke["dtstart"].dt == utc(NOW_S + 8 * HOUR)
    assert smoke["dtend"].dt - smoke["dtstart"].dt == timedelta(hours=9, minutes=45)
    assert "Saved: start Sat 04:10; now estimated Sat 07:30" in " ".join(
        str(smoke["description"]).split()
    )
    assert found["On the table (Shoulder)"]["dtstart"].dt == utc(NOW_S + 20 * HOUR)


def test_brought_in_again_it_updates() -> None:
    first, again = events(made()), events(made(replace(ONE, now_s=NOW_S + 600.0)))
    other = events(made(cook_id=8)), events(made(opened_at_s=1.0))
    uids = [str(event["uid"]) for event in first.values()]
    assert len(set(uids)) == len(uids)
    for name, event in first.items():
        assert event["uid"] == again[name]["uid"]
        assert event["sequence"] < again[name]["sequence"]
        assert event["dtstamp"].dt < again[name]["dtstamp"].dt
        assert all(event["uid"] != cook[name]["uid"] for cook in other)


def test_it_calls_at_the_start_and_before_a_long_step_before_the_fire() -> None:
    triggers = {
        name: [alarm["trigger"].dt for alarm in event.walk("VALARM")]
        for name, event in events(made()).items()
    }
    at_once, before = timedelta(0), timedelta(minutes=-10)
    assert triggers == {
        "Brine": [at_once, before],
        "Rinse": [at_once],
        "Warm up": [at_once],
        "Smoke (shoulder)": [at_once],
        "Rest (shoulder)": [at_once],
        "On the table (Shoulder)": [at_once],
    }
    assert b"\r\nTRIGGER:PT0M\r\n" in made()


def test_cautions_stand_with_the_step_that_they_are_for() -> None:
    lived = [
        LivedStep("brine", 1, PrepStep("Brine", "60 g curing salt", 10 * HOUR)),
        LivedStep("rinse", 2, PrepStep("Rinse")),
    ]
    found = events(made(lived=lived, items=[ItemAdded("shoulder", "red_meat")]))
    said = {name: " ".join(str(event["description"]).split()) for name, event in found.items()}
    assert "stays at 4.4 °C (40 °F) or below" in said["Brine"]
    assert "Too much curing salt is poisonous" in said["Brine"]
    assert "62.8 °C (145 °F)" in said["Smoke (shoulder)"]
    for name in ("Rinse", "Warm up", "Rest (shoulder)"):
        assert "FSIS" not in said[name]


# -- nights in which the clock changes -----------------------------------------------------------

#: The zone, the second in which its clock changes in 2026 (European Union, Directive 2000/84/EC: last
#: Sundays of March and October at 01:00 UTC; United States, Energy Policy Act of 2005: second Sunday of
#: March and first of November at 02:00 on the clock).
CHANGES = [
    ("Europe/Vienna", datetime(2026, 3, 29, 1, tzinfo=UTC)),
    ("Europe/Vienna", datetime(2026, 10, 25, 1, tzinfo=UTC)),
    ("America/New_York", datetime(2026, 3, 8, 7, tzinfo=UTC)),
    ("America/New_York", datetime(2026, 11, 1, 6, tzinfo=UTC)),
]


def around(zone: str, starts_s: list[float], lasts_s: float) -> Timetable:
    """A step that lasts so long, at each of these moments."""
    steps = tuple(
        TimetableStep(
            f"prep:{n}",
            f"step {n}",
            "prep",
            length(lasts_s),
            "said",
            When(at_s, at_s, at_s),
            When(at_s + lasts_s, at_s + lasts_s, at_s + lasts_s),
        )
        for n, at_s in enumerate(starts_s)
    )
    return Timetable(starts_s[0] - HOUR, zone, starts_s[-1] + lasts_s, 0.0, (*steps, SERVE))


@pytest.mark.parametrize(("zone", "change"), CHANGES)
def test_through_a_night_in_which_the_clock_changes(zone: str, change: datetime) -> None:
    starts_s = [change.timestamp() + n * 900.0 for n in range(-20, 21)]
    data = made(around(zone, starts_s, 2.25 * HOUR))
    for n, event in enumerate(list(events(data).values())[:-1]):
        start, end = event["dtstart"].dt.astimezone(UTC), event["dtend"].dt.astimezone(UTC)
        assert start == utc(starts_s[n])
        assert end - start == timedelta(hours=2.25)
    # To a program that knows this zone by nothing but what the file says of it.
    own = data.decode().replace(zone, f"Nowhere/{change:%Y%m%d}")
    read = vobject.readOne(own)
    assert len(read.vevent_list) == len(starts_s) + 1
    for n, event in enumerate(read.vevent_list[:-1]):
        assert event.dtstart.value.astimezone(UTC) == utc(starts_s[n]), event.dtstart.value
        assert event.dtend.value.astimezone(UTC) == utc(starts_s[n] + 2.25 * HOUR)


@pytest.mark.parametrize(("zone", "change"), CHANGES)
def test_the_zone_says_its_changes_as_the_standard_wants_them(zone: str, change: datetime) -> None:
    """RFC 5545, 3.6.5: on the clock that goes. Its own example has New York's at 02:00 both times."""
    data = made(around(zone, [change.timestamp()], HOUR)).decode()
    spring = change.month == 3
    part = re.findall(
        r"BEGIN:(?:DAYLIGHT).*?END" if spring else r"BEGIN:STANDARD.*?END", data, re.DOTALL
    )
    on_the_old_clock = (
        (change - timedelta(seconds=1)).astimezone(ZoneInfo(zone)) + timedelta(seconds=1)
    ).replace(tzinfo=None)
    assert any(f"{on_the_old_clock:%Y%m%dT%H%M%S}" in said for said in part)
    if zone == "America/New_York":
        assert f"{on_the_old_clock:%H%M}" == "0200"


def test_a_zone_without_changes_and_one_that_nobody_knows() -> None:
    data = made(around("Asia/Tokyo", [NOW_S], HOUR))
    assert data.count(b"BEGIN:STANDARD") == 1
    assert b"BEGIN:DAYLIGHT" not in data
    data = made(around("Nowhere/At_All", [NOW_S], HOUR))
    assert b"TZID" not in data
    assert next(iter(events(data).values()))["dtstart"].dt == utc(NOW_S)


# -- what people write ---------------------------------------------------------------------------

HOSTILE = [
    'Ribs; and, then\\more: "said"',
    "first\nsecond\r\nthird\u2028fourth",
    "🐟🔥 smoked ☃ 鮭",
    "W" * 300,
    "END:VEVENT\r\nEND:VCALENDAR\r\n",
    "bell \a and nothing \0, half a pair \ud83d",
]


@pytest.mark.parametrize("title", HOSTILE)
def test_what_people_write_stays_text(title: str) -> None:
    smoke = replace(ONE.steps[3], text=title, item=title)
    data = made(replace(ONE, steps=(smoke, SERVE)), title, place=title)
    lines = data.split(b"\r\n")
    assert all(len(line) <= 75 for line in lines)  # RFC 5545, 3.1
    assert not re.search(rb"[\x00-\x08\x0b\x0c\x0e-\x1f]", data)
    shown = " ".join("".join("\ufffd" if ch in "\a\0\ud83d" else ch for ch in title).split())
    found = list(events(data).values())
    assert len(found) == 2
    read = vobject.readOne(data.decode())
    assert len(read.vevent_list) == 2
    for smoked, summary, location, description in (
        (found[0], str(found[0]["summary"]), str(found[0]["location"]), found[0]["description"]),
        (
            read.vevent_list[0],
            read.vevent_list[0].summary.value,
            read.vevent_list[0].location.value,
            read.vevent_list[0].description.value,
        ),
    ):
        assert smoked
        assert summary == f"Smoke ({shown})"
        assert location == shown
        assert shown in " ".join(str(description).split())


@given(st.text(max_size=200), st.text(max_size=60))
def test_any_text_can_be_read_again(title: str, place: str) -> None:
    data = made(replace(ONE, steps=(SERVE,)), title, place=place)
    (event,) = Calendar.from_ical(data).walk("VEVENT")
    assert event["dtstart"].dt == utc(ONE.wanted_s or 0.0)
    assert len(vobject.readOne(data.decode()).vevent_list) == 1
