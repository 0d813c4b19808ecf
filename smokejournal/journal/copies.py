"""Which copies of the journal there are, and which are worth their place on the disk."""

from __future__ import annotations

import hashlib
import re
import sqlite3
from collections.abc import Collection, Hashable
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

BACKUPS = "backups"
#: A copy must leave so much room on the disk for the cook that is being recorded.
ROOM_LEFT_BYTES = 64 << 20
DAY_S = 86_400.0
#: Of so many days before today one copy each is kept; of what is older, one a month.
DAYS_KEPT = 14

_STAMP = "%Y-%m-%d-%H%M%S"
#: "form" marks a copy from before a migration, which alone an older version of the program can open.
_NAME = re.compile(
    r"journal-(?:form-(?P<form>[\d.]+)-)?(?P<stamp>\d{4}-\d\d-\d\d-\d{6})(?:-(?P<number>\d+))?\.sqlite"
)


@dataclass(frozen=True, slots=True)
class JournalCopy:
    """A copy of the journal. `at_s` is when it was made, by its name; `form` is empty unless it was
    made before a migration."""

    path: Path
    at_s: float
    size_bytes: int
    form: str = ""


def copies_in(folder: Path) -> list[JournalCopy]:
    """The copies of the journal in `folder`, newest first; other files there are passed over.

    OSError where they can't be listed.
    """
    try:
        paths = list((folder / BACKUPS).iterdir())
    except (FileNotFoundError, NotADirectoryError):
        return []
    found = [copy for path in paths if (copy := _copy_at(path)) is not None]
    return sorted(found, key=lambda copy: (copy.at_s, copy.path.name), reverse=True)


def _copy_at(path: Path) -> JournalCopy | None:
    named = _NAME.fullmatch(path.name)
    if named is None or not path.is_file():
        return None
    try:
        made = datetime.strptime(named["stamp"], _STAMP).replace(tzinfo=UTC)
    except ValueError:
        return None
    # Several of one second are told apart by their number.
    at_s = made.timestamp() + 0.001 * int(named["number"] or 0)
    return JournalCopy(path, at_s, path.stat().st_size, named["form"] or "")


def free_name(folder: Path, at_s: float, form: str = "") -> Path:
    """A name in `folder` for a copy that is made at `at_s`."""
    stamp = datetime.fromtimestamp(at_s, UTC).strftime(_STAMP)
    stem, number = f"journal-form-{form}-{stamp}" if form else f"journal-{stamp}", 1
    path = folder / f"{stem}.sqlite"
    while path.exists():
        number += 1
        path = folder / f"{stem}-{number}.sqlite"
    return path


def which_to_keep(moments: Collection[float], now_s: float) -> frozenset[float]:
    """Which of the copies that were made at `moments` stay: all of the last day (and those that a
    clock put ahead of now), the last one of each of the two weeks before, the last one of each month.

    Days and months are those of UTC. Thinning out in between changes nothing of what is kept later.
    """
    kept: set[float] = set()
    last: dict[Hashable, float] = {}
    today = now_s // DAY_S
    for at_s in moments:
        if at_s > now_s - DAY_S:
            kept.add(at_s)
            continue
        day = at_s // DAY_S
        made = datetime.fromtimestamp(at_s, UTC)
        group = day if today - day <= DAYS_KEPT else (made.year, made.month)
        last[group] = max(at_s, last.get(group, at_s))
    return frozenset(kept.union(last.values()))


#: Small tables whose rows may change, and so are looked at whole.
_WHOLE = ("cook", "setting", "pattern", "lot", "ware", "probe", "calibration")


def says_the_same(uri: str, other_uri: str) -> bool:
    """Whether two journals hold the same. Entries and readings are only ever added, so the last of
    each tells. False where one of them can't be read."""
    try:
        return _fingerprint(uri) == _fingerprint(other_uri)
    except sqlite3.Error:
        return False


def _fingerprint(uri: str) -> str:
    digest = hashlib.sha256()
    with closing(sqlite3.connect(uri, uri=True)) as connection:
        connection.text_factory = bytes
        connection.execute("BEGIN")
        for query in (
            "SELECT max(id) FROM entry",
            "SELECT id, (SELECT max(t_ms) FROM reading WHERE channel_id = channel.id),"
            " (SELECT min(t_ms) FROM reading WHERE channel_id = channel.id) FROM channel",
            *(f"SELECT * FROM {table} ORDER BY 1" for table in _WHOLE),
        ):
            for row in connection.execute(query):
                digest.update(repr(row).encode())
    return digest.hexdigest()
