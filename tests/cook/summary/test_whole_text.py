"""A whole cook as text: nothing of it is left out."""

from __future__ import annotations

from smokejournal.cook.log.entries import Note, Strike
from smokejournal.cook.log.readings import Reading
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
