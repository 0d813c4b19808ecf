"""smokejournal cooks: the cooks of the journal, or those that are searched for."""

from __future__ import annotations

import json

from smokejournal.cli.say import say
from smokejournal.cook.log.written_texts import sort_words
from smokejournal.cook.text.quantities import date
from smokejournal.cook.text.strict import one_line
from smokejournal.journal import CookLine
from smokejournal.services.program.program import Program


def list_cooks(program: Program, search: str, *, as_json: bool) -> int:
    """Lists the cooks, newest first; with `search` those that hold its words, each with the text that
    was found where its title, food and place don't show it. The exit code."""
    lines = program.cooks(search)
    if as_json:
        say(json.dumps([_told(line, search=bool(search)) for line in lines], indent=1))
        return 0
    for line in lines:
        marked = " (simulated)" if line.simulated else ""
        say(
            f"{line.id:>4}  {date(line.day_s, line.zone):<12} {line.state:<10} {one_line(line.title)}{marked}"
        )
        if line.found is not None:
            day = date(line.found.at_s, line.zone)
            say(f"      {sort_words(line.found.sort)}: {line.found.text} ({day})")
    if not lines:
        say(
            f"No cook has '{one_line(search)}' in anything that was written. Try a shorter word."
            if search and program.journal.count_cooks()
            else "No cook has been opened yet."
        )
    return 0


def _told(line: CookLine, *, search: bool) -> dict[str, object]:
    told: dict[str, object] = {
        "id": line.id,
        "title": line.title,
        "opened_s": line.opened_s,
        "started_s": line.started_s,
        "over_s": line.over_s,
        "state": line.state,
        "simulated": line.simulated,
    }
    if search:
        found = line.found
        told["found"] = found and {
            "what": found.sort,
            "at_s": found.at_s,
            "text": found.text,
            "marks": [list(mark) for mark in found.marks],
        }
    return told
