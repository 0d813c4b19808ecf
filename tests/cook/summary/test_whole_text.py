"""A whole cook as text: nothing of it is left out."""

from __future__ import annotations

from smokejournal.cook.log.entries import ItemAdded, Note, Strike, Unread
from smokejournal.cook.log.readings import Reading
from smokejournal.cook.log.schedule import ForTime, Stage
from smokejournal.cook.summary.whole_text import whole_text
from tests.support.logs import T0, cook_log


def test_every_entry_and_every_reading_is_in_it() -> None:
    log = cook_log(
        [],
        said=[
            (10.0, Note("It smells\nof alder.")),
            (20.0, Note("Wrong cook.")),
            (30.0, Strike(9, "mine")),
        ],
        readings=[(5.0, "pit", 110.25), (6.5, "meat", -1.5)],
    )
    assert next(e.what for e in log.entries if e.id == 9) == Note("Wrong cook.")
    lines = whole_text(log, [Reading(T0 + 7.0, "pit", 111.0)]).splitlines()
    assert lines[0] == "Test cook"
    # T0 is 2026-05-28T20:26:40Z.
    assert "2026-05-28T20:26:50.000+00:00  It smells of alder." in lines
    assert "2026-05-28T20:27:00.000+00:00  (struck) Wrong cook." in lines
    at = lines.index("time,channel,value_c")
    assert lines[at + 1 :] == [
        "2026-05-28T20:26:45.000+00:00,pit,110.25",
        "2026-05-28T20:26:46.500+00:00,meat,-1.5",
        "2026-05-28T20:26:47.000+00:00,pit,111.0",
    ]
    said = lines[lines.index("Log") + 1 : lines.index("Readings") - 1]
    assert len(said) == len(log.entries)


def test_the_plan_stands_first_and_what_is_missing_last() -> None:
    log = cook_log(
        [Stage("s1", "Smoke", (ForTime(3600.0),), pit_target_c=107.0)],
        said=[
            (10.0, ItemAdded("ribs", mass_kg=1.5)),
            (20.0, Unread("levitated", {"height_m": 2}, "not known")),
            (30.0, Unread("note", {"text": '{"text":'}, "no JSON")),
        ],
        readings=[(5.0, 'pit, "left"', 110.25)],
    )
    lines = whole_text(log, missing=["Two pages are gone."]).splitlines()
    plan = lines[lines.index("Plan") + 1 : lines.index("Log") - 1]
    assert plan[0].startswith("ribs, 1.5 kg")
    assert "Stage Smoke: pit at 107 °C for 1 h" in plan
    assert "Channel meat: Shoulder, in the meat · lead" in plan
    unread = [line.partition("version: ")[2] for line in lines if "Not understood" in line]
    assert unread == [
        'levitated (as it was written: {"height_m": 2})',
        'note (as it was written: {"text":)',
    ]
    assert lines[-4] == '2026-05-28T20:26:45.000+00:00,"pit, ""left""",110.25'
    assert lines[-3:] == ["", "Missing", "Two pages are gone."]
