"""The command `restore`: the copies of the journal, and one of them put in its place."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from smokejournal.cli.say import refuse, say
from smokejournal.cook.text.quantities import date, date_time
from smokejournal.cook.text.strict import one_line
from smokejournal.journal import Journal, JournalCopy, JournalProblem


def restore(folder: Path, chosen: str, now_s: float, as_json: bool) -> int:
    """Lists the copies in the journal's folder, or puts the `chosen` one (its number in that list)
    in place. Returns the exit code; JournalProblem where it can't be done."""
    copies = Journal.copies(folder)
    if not chosen:
        told = [_told(number, copy) for number, copy in enumerate(copies, 1)]
        say(json.dumps(told, indent=1) if as_json else _listed(told, folder))
        return 0
    if not chosen.isdecimal() or not 1 <= int(chosen) <= len(copies):
        return refuse(f"There is no copy {chosen}. 'smokejournal restore' lists them.")
    copy = copies[int(chosen) - 1]
    restored = Journal.restore(folder, copy, now_s)
    aside, photos = restored.aside, restored.photos
    if as_json:
        kept = None if aside is None else str(aside)
        answer = {"restored": str(copy.path), "set_aside": kept}
        say(json.dumps(answer | {"photos_back": photos.back, "photos_missing": photos.missing}))
        return 0
    say(f"The copy of {date_time(copy.at_s, 'UTC')} (UTC) is in place.")
    if aside is not None:
        say(f"What was there before is kept as {aside}.")
    if photos.sentence():
        say(photos.sentence())
    return 0


def _told(number: int, copy: JournalCopy) -> dict[str, Any]:
    told: dict[str, Any] = {
        "number": number,
        "file": copy.path.name,
        "at_s": copy.at_s,
        "size_bytes": copy.size_bytes,
    }
    try:
        inside = Journal.look_into(copy)
    except JournalProblem as problem:
        return told | {"trouble": problem.message}
    return told | {
        "cooks": inside.cooks,
        "newest_title": inside.newest_title,
        "newest_s": inside.newest_s,
    }


def _listed(told: list[dict[str, Any]], folder: Path) -> str:
    if not told:
        return f"There is no copy of the journal in {folder / 'backups'}."
    lines = []
    for each in told:
        inside = each.get("trouble")
        if inside is None:
            inside = "1 cook" if each["cooks"] == 1 else f"{each['cooks']} cooks"
            if each["newest_s"] is not None:
                inside += f", the newest: {one_line(each['newest_title'])}, {date(each['newest_s'], 'UTC')}"
        size = f"{each['size_bytes'] / 1e6:.1f} MB"
        lines.append(
            f"{each['number']:>4}  {date_time(each['at_s'], 'UTC')} UTC  {size:>9}  {inside}"
        )
    lines.append(
        "'smokejournal restore NUMBER' puts one in place and sets what is there now aside."
    )
    return "\n".join(lines)
