"""A cook out of a journal's file as it lies there: running, damaged, newer than this program.

The file is only read. It isn't opened as a journal is: no lock is taken, nothing is migrated, checked
or emptied from the write-ahead log into the file. (Beside a log that a crash left, SQLite makes its
index, as the next start would.) What can't be read is stepped over and said.
"""

from __future__ import annotations

import logging
import math
import shutil
import sqlite3
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from contextlib import ExitStack
from dataclasses import dataclass, field
from datetime import UTC, datetime
from itertools import pairwise
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np

from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.entries import (
    CookClosed,
    CookOpened,
    Entry,
    ScheduleStarted,
    Strike,
    Unread,
)
from smokejournal.cook.log.ranges import LAST_S
from smokejournal.cook.log.readings import FloatArray, Trace
from smokejournal.cook.text.translate import translate
from smokejournal.journal import problems
from smokejournal.journal.changes import CookLine
from smokejournal.journal.connections import BUSY_MS, uri_of
from smokejournal.journal.entry_table import FORM, entry_of_row, is_moment, payload_of_bytes
from smokejournal.journal.header import SCHEMA, Version, check_kind, check_links, is_there
from smokejournal.journal.lines import line_of
from smokejournal.journal.opening import FILE_NAME
from smokejournal.journal.sums import MINUTE_MS, Integers, minute_sums, sound_trace

_log = logging.getLogger(__name__)

#: What reading a damaged file raises. Where SQLite's message quotes bytes that are no text, Python can't
#: even raise the error it means.
BROKEN = (sqlite3.Error, UnicodeError)
LAST_MS = round(LAST_S * 1000)
DAY_MS = 86_400_000
#: A range of keys in which nothing could be read is halved so many times before it is given up.
HALVINGS = 12
#: From so many readings before a gap it is estimated how many lay in it.
PACE_OF = 50
_STATE_KINDS = frozenset(kind.kind for kind in (CookOpened, ScheduleStarted, CookClosed, Strike))


@dataclass(frozen=True, slots=True)
class Salvaged:
    """A cook as far as it could be read. `notes` says what may be missing, and `lost` what is known to
    be; both are whole sentences."""

    log: CookLog
    notes: tuple[str, ...] = ()
    lost: tuple[str, ...] = ()


def salvage_cook(folder: Path, cook_id: int | None = None) -> Salvaged | None:
    """Reads a cook out of the journal in `folder`: the newest under way, or else the newest.

    With `cook_id` that one. None where there is no such cook. JournalProblem where nothing can be
    read. Slow where the file is damaged.
    """
    path = folder / FILE_NAME
    try:
        check_links(folder)
        if not is_there(path):
            raise problems.no_journal(path)
        check_kind(path)
        with ExitStack() as away:
            connection, notes = _open(path, away)
            return _Reader(connection, path).read(cook_id, notes)
    except OSError as problem:
        raise problems.unreadable(path, problem) from problem


def _open(path: Path, away: ExitStack) -> tuple[sqlite3.Connection, tuple[str, ...]]:
    """A connection, and what may be missing in it. `away` closes it."""
    log = path.with_name(path.name + "-wal")
    note = translate(
        "Salvage",
        "There is no write-ahead log beside the journal. That is so whenever the program was closed in"
        " order. If it was not, the newest minutes may be missing.",
    )
    # Where there is no log, SQLite would make an empty one even to read.
    if is_there(log):
        try:
            return _connected(path, away), ()
        except BROKEN as problem:
            note = translate(
                "Salvage",
                "The journal's write-ahead log could not be used ({detail}), so the file was read"
                " without it: the newest minutes may be missing.",
            ).format(detail=problem)
        # On a disk that can only be read, SQLite reads no log that a crash left.
        try:
            folder = Path(away.enter_context(TemporaryDirectory(prefix="smokejournal-")))
            for each in (path, log):
                shutil.copyfile(each, folder / each.name)
            return _connected(folder / path.name, away), ()
        except (OSError, *BROKEN) as problem:
            _log.warning("The journal and its log could not be read as a copy: %s", problem)
    try:
        return _connected(path, away, "&immutable=1"), (note,)
    except BROKEN as problem:
        code = getattr(problem, "sqlite_errorcode", 0) & 0xFF
        if code in (sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM):
            raise problems.unreadable(path, OSError(str(problem))) from problem
        raise problems.damaged(path) from problem


def _connected(path: Path, away: ExitStack, more: str = "") -> sqlite3.Connection:
    uri = uri_of(path, read_only=True) + more
    connection = sqlite3.connect(uri, uri=True, isolation_level=None, timeout=BUSY_MS / 1000)
    try:
        connection.text_factory = lambda raw: raw.decode("utf-8", "replace")
        for pragma in ("trusted_schema=OFF", "query_only=ON", "cell_size_check=ON"):
            connection.execute(f"PRAGMA {pragma}")
        connection.execute("BEGIN")  # everything as of one moment
        connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()
    except BaseException:
        connection.close()
        raise
    away.callback(connection.close)
    return connection


@dataclass(slots=True)
class _Walk:
    """The rows of a table by an integer key, past what can't be read.

    `condition` comes before the key in the table's order, with its `values`. `rows` by their key;
    `gaps` are the keys between which something could not be read; `odd` counts keys that are none.
    """

    connection: sqlite3.Connection
    table: str
    key: str
    columns: str
    condition: str = "1"
    values: Sequence[Any] = ()
    rows: dict[int, tuple[Any, ...]] = field(default_factory=dict)
    broken: list[int] = field(default_factory=list)
    odd: int = 0

    def run(self, high: int, reach: int) -> _Walk:
        """Reads all keys up to `high`; past the first gap none is looked for beyond `reach`, unless
        reading from the end finds it."""
        self._range(-1, high, reach, HALVINGS)
        return self

    def gaps(self) -> list[tuple[int | None, int | None]]:
        """For each stretch that can't be read, the last key before it and the first one behind it."""
        keys = sorted(self.rows)
        places = sorted({bisect_left(keys, key) for key in self.broken})
        return [(keys[n - 1] if n else None, keys[n] if n < len(keys) else None) for n in places]

    def _range(self, low: int, high: int, reach: int | None, left: int) -> None:
        """Reads the keys above `low` up to `high`, from both ends toward what is broken."""
        before = low
        try:
            for key in self._keys(low, high, "ASC"):
                before = max(before, key)
            return
        except BROKEN:
            pass
        behind = None
        try:
            for key in self._keys(before, high, "DESC"):
                behind = key if behind is None else min(behind, key)
        except BROKEN:
            pass
        found = before > low or behind is not None
        if behind is None:
            behind = high + 1 if reach is None else max(min(high, reach), before + 1) + 1
        left = HALVINGS if found else left - 1
        middle = (before + behind) // 2
        if left <= 0 or behind - before <= 2:
            self.broken.append(before + 1)
            return
        self._range(before, middle, None, left)
        self._range(middle, behind - 1, None, left)

    def _keys(self, low: int, high: int, order: str) -> Iterator[int]:
        query = (
            f"SELECT {self.key}, {self.columns} FROM {self.table}"
            f" WHERE {self.condition} AND {self.key} > ? AND {self.key} <= ?"
            f" ORDER BY {self.key} {order}"
        )
        for key, *row in self.connection.execute(query, (*self.values, low, high)):
            if isinstance(key, int) and low < key <= high:
                self.rows[key] = tuple(row)
                yield key
            else:
                self.odd += 1


class _Reader:
    def __init__(self, connection: sqlite3.Connection, path: Path) -> None:
        self._connection = connection
        self._path = path
        self._lost: list[str] = []
        # An older form has no checksums, and what a newer one sums isn't known.
        version = self._asked("PRAGMA user_version")
        self._summed = bool(version) and Version.unpacked(version[0][0]).major == SCHEMA.major

    def _asked(self, query: str, *values: Any) -> list[tuple[Any, ...]]:
        """What the file says to a question; nothing where it can't be asked."""
        try:
            return self._connection.execute(query, values).fetchall()
        except BROKEN:
            return []

    def read(self, cook_id: int | None, notes: tuple[str, ...]) -> Salvaged | None:
        walk = self._walk(
            "entry", ("cook_id", "at_ms", "recorded_ms", "kind", "payload", "version", "sum")
        )
        cooks = self._walk("cook", ("opened_ms",))
        of_cook: dict[int, list[tuple[int, Sequence[Any]]]] = {number: [] for number in cooks.rows}
        for number, row in sorted(walk.rows.items()):
            if isinstance(row[0], int):
                of_cook.setdefault(row[0], []).append((number, row))
        chosen = cook_id
        if chosen is None:
            listed = self._listed_under_way() if walk.broken else ()
            chosen = _chosen(of_cook, listed, self._summed)
        if chosen not in of_cook:
            if not of_cook and (walk.broken or cooks.broken):
                raise problems.damaged(self._path)
            return None
        assert chosen is not None
        entries = _entries(of_cook[chosen], self._summed)
        self._say_damaged(entries)
        self._say_lost_entries(chosen, walk, len(of_cook[chosen]) - len(entries))
        traces = self._traces(chosen, entries)
        self._say_doubt()
        return Salvaged(CookLog(chosen, entries, traces), notes, tuple(self._lost))

    def _walk(self, table: str, columns: Sequence[str]) -> _Walk:
        """A whole table by its number. A column that a newer form hasn't any more is read as nothing."""
        there = {row[1] for row in self._asked(f"PRAGMA table_info({table})")}
        wanted = ", ".join(
            # As bytes: a text may hold some that are none.
            (f"CAST({name} AS BLOB)" if name in ("kind", "payload", "key") else name)
            if name in there
            else "NULL"
            for name in columns
        )
        if "id" not in there:
            return _Walk(self._connection, table, "id", wanted, broken=[1])
        walk = _Walk(self._connection, f"{table} NOT INDEXED", "id", wanted)
        return walk.run(2**53, self._last_number(table))

    def _last_number(self, table: str) -> int:
        rows = self._asked("SELECT seq FROM sqlite_sequence WHERE name = ?", table)
        return rows[0][0] if rows and isinstance(rows[0][0], int) else 1_000_000

    def _listed_under_way(self) -> Sequence[int]:
        """The cooks under way as the list of cooks has them, which stands on pages of its own."""
        query = "SELECT cook_id FROM cook_line WHERE state = 'under way' ORDER BY sort_ms"
        return [number for (number,) in self._asked(query)]

    def _say_doubt(self) -> None:
        """Damage may take rows away without a trace: a page then merely holds fewer."""
        if self._asked("PRAGMA quick_check(1)") != [("ok",)]:
            self._lost.append(
                translate(
                    "Salvage",
                    "The journal's file is damaged: what it doesn't show any more can't be counted.",
                )
            )

    def _say_damaged(self, entries: Sequence[Entry]) -> None:
        count = sum(isinstance(entry.what, Unread) and entry.what.damaged for entry in entries)
        if count:
            text = translate("Salvage", "{count} entries of this cook are damaged, and marked.")
            if count == 1:
                text = translate("Salvage", "1 entry of this cook is damaged, and marked.")
            self._lost.append(text.format(count=count))

    def _say_lost_entries(self, cook_id: int, walk: _Walk, undated: int) -> None:
        count = undated
        try:
            # The index holds the numbers of a cook's entries, also of those whose page is spoilt.
            numbers = self._connection.execute("SELECT id FROM entry WHERE cook_id = ?", (cook_id,))
            count += sum(number not in walk.rows for (number,) in numbers)
        except BROKEN:
            if walk.broken:
                self._lost.append(
                    translate(
                        "Salvage",
                        "Entries can't be read, and the file does not say any more how many of them"
                        " are of this cook. {count} are missing in the whole journal.",
                    ).format(count=self._missing_numbers(walk))
                )
        if count:
            text = translate("Salvage", "{count} entries of this cook can't be read.")
            if count == 1:
                text = translate("Salvage", "1 entry of this cook can't be read.")
            self._lost.append(text.format(count=count))

    def _missing_numbers(self, walk: _Walk) -> int:
        last = self._last_number("entry")
        return sum(
            max(0, (last + 1 if after is None else after) - (before or 0) - 1)
            for before, after in walk.gaps()
        )

    def _traces(self, cook_id: int, entries: Sequence[Entry]) -> dict[str, Trace]:
        opened_ms = min((round(entry.at_s * 1000) for entry in entries), default=0)
        last_ms = max((round(entry.recorded_s * 1000) for entry in entries), default=0)
        if not any(isinstance(entry.what, CookClosed) for entry in entries):
            last_ms = max(last_ms, round(self._path.stat().st_mtime * 1000))
        traces: dict[str, Trace] = {}
        for number, key in self._channels(cook_id, opened_ms).items():
            walk = _Walk(
                self._connection, "reading", "t_ms", "value", "channel_id = ?", (number,)
            ).run(LAST_MS, last_ms + DAY_MS)
            good = {
                t_ms: float(value)
                for t_ms, (value,) in sorted(walk.rows.items())
                if isinstance(value, float | int) and math.isfinite(value)
            }
            self._say_lost_readings(key, walk, len(walk.rows) - len(good) + walk.odd)
            if good:
                times, values = np.array([*good], dtype=np.int64), np.array([*good.values()])
                traces[key] = (
                    self._sound(cook_id, number, key, times, values, bool(walk.broken))
                    if self._summed
                    else Trace(times / 1000, values)
                )
        return traces

    def _sound(
        self,
        cook_id: int,
        number: int,
        key: str,
        t_ms: Integers,
        value_c: FloatArray,
        broken: bool,
    ) -> Trace:
        """The readings of a channel that are as they were written; `broken`: some can't be read."""
        walk = _Walk(
            self._connection,
            "reading_sum",
            "minute",
            "count, sum",
            "cook_id = ? AND channel_id = ?",
            (cook_id, number),
        ).run(LAST_MS // MINUTE_MS, int(t_ms[-1]) // MINUTE_MS)
        kept = {minute: (minute, *row) for minute, row in sorted(walk.rows.items())}
        if broken:
            # Of a minute that can't be read as a whole, what is left can't be checked.
            kept = {
                part[0]: part if part[1] < kept.get(part[0], part)[1] else kept.get(part[0], part)
                for part in minute_sums(cook_id, key, t_ms, value_c)
            }
        trace, spoilt = sound_trace(cook_id, key, t_ms, value_c, list(kept.values()))
        if walk.broken or not len(trace):
            self._lost.append(
                translate(
                    "Salvage",
                    "{channel}: whether the readings are as they were written is not known.",
                ).format(channel=key)
            )
            return Trace(t_ms / 1000, value_c)
        if spoilt is not None:
            self._lost.append(
                translate(
                    "Salvage",
                    "{channel}: about {count} readings between {before} and {after} are damaged and"
                    " left out.",
                ).format(
                    channel=key,
                    count=spoilt.count,
                    before=_moment(round(spoilt.from_s * 1000)),
                    after=_moment(round(spoilt.to_s * 1000)),
                )
            )
        return trace

    def _channels(self, cook_id: int, opened_ms: int) -> dict[int, str]:
        """The channels of a cook: what they are called, by their number."""
        walk = self._walk("channel", ("cook_id", "key"))
        found = {
            number: str(key or b"", "utf-8", "replace")
            for number, (cook, key) in walk.rows.items()
            if cook == cook_id
        }
        try:
            # The index holds the same, on pages of its own.
            for number, key in self._connection.execute(
                "SELECT id, key FROM channel WHERE cook_id = ?", (cook_id,)
            ):
                found.setdefault(number, str(key))
        except BROKEN:
            pass
        if walk.broken:
            unnamed = self._unnamed(found.keys() | walk.rows.keys(), opened_ms)
            found |= {
                number: translate("Salvage", "channel {number}").format(number=number)
                for number in unnamed
            }
            if unnamed:
                self._lost.append(
                    translate(
                        "Salvage",
                        "The names of {count} channels can't be read. Their readings stand under"
                        " their number, and may be of another cook of that time.",
                    ).format(count=len(unnamed))
                )
        return dict(sorted(found.items()))

    def _unnamed(self, known: set[int], opened_ms: int) -> list[int]:
        """Channels that have readings since shortly before the cook was opened, and no row."""
        found, number = [], -1
        try:
            while number is not None:
                if number >= 0 and number not in known:
                    (first_ms,) = self._connection.execute(
                        "SELECT min(t_ms) FROM reading WHERE channel_id = ?", (number,)
                    ).fetchone()
                    if first_ms >= opened_ms - DAY_MS:
                        found.append(number)
                (number,) = self._connection.execute(
                    "SELECT min(channel_id) FROM reading WHERE channel_id > ?", (number,)
                ).fetchone()
        except BROKEN:
            pass
        return found

    def _say_lost_readings(self, key: str, walk: _Walk, unread: int) -> None:
        if unread:
            self._lost.append(
                translate("Salvage", "{channel}: {count} readings can't be read.").format(
                    channel=key, count=unread
                )
            )
        for before, after in walk.gaps():
            if before is None and after is None:
                text = translate("Salvage", "{channel}: no reading can be read.")
            elif before is None:
                text = translate("Salvage", "{channel}: readings before {after} may be missing.")
            elif after is None:
                text = translate("Salvage", "{channel}: readings after {before} may be missing.")
            else:
                text = translate(
                    "Salvage",
                    "{channel}: about {count} readings between {before} and {after} can't be read.",
                )
            self._lost.append(
                text.format(
                    channel=key,
                    count=_about(walk, before, after),
                    before=_moment(before),
                    after=_moment(after),
                )
            )


def _about(walk: _Walk, before: int | None, after: int | None) -> int:
    """How many readings a gap held, at the pace of those before it."""
    if before is None or after is None:
        return 0
    keys = sorted(key for key in walk.rows if key <= before)[-PACE_OF:]
    steps = [late - early for early, late in pairwise(keys)]
    return max(1, round((after - before) / median(steps)) - 1) if steps else 1


def _moment(at_ms: int | None) -> str:
    if at_ms is None:
        return ""
    return datetime.fromtimestamp(at_ms / 1000, UTC).isoformat(timespec="milliseconds")


def _chosen(
    of_cook: dict[int, list[tuple[int, Sequence[Any]]]], listed: Sequence[int], summed: bool
) -> int | None:
    """The newest cook that is under way, or else the newest. `listed`: cooks that are, where their
    entries may be lost that say so, the newest last."""
    lines: list[CookLine] = [
        line_of(
            number, 0.0, _entries([each for each in rows if _kind(each) in _STATE_KINDS], summed)
        )
        for number, rows in of_cook.items()
    ]
    lines.sort(
        key=lambda line: (line.opened_s if line.started_s is None else line.started_s, line.id)
    )
    under_way = [line for line in lines if line.state == "under way"]
    known = [number for number in listed if number in of_cook]
    if known and not under_way:
        return known[-1]
    return next((line.id for line in reversed(under_way or lines)), None)


def _kind(numbered: tuple[int, Sequence[Any]]) -> str:
    return str(numbered[1][3] or b"", "utf-8", "replace")


def _entries(rows: Sequence[tuple[int, Sequence[Any]]], summed: bool) -> tuple[Entry, ...]:
    """The entries of these rows, without those that have no moment; `summed`: with a checksum."""
    if summed:
        return tuple(entry_of_row(number, row) for number, row in rows)
    return tuple(
        Entry(
            number,
            at_ms / 1000,
            recorded_ms / 1000 if is_moment(recorded_ms) else at_ms / 1000,
            payload_of_bytes(kind or b"", payload or b"", form if isinstance(form, int) else FORM),
        )
        for number, (_, at_ms, recorded_ms, kind, payload, form, _) in rows
        if is_moment(at_ms)
    )
