"""Cooks that are searched for, and the text of each that was found."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any, Literal, NamedTuple

from sqlalchemy import Connection, select, text

from smokejournal.cook.log.entries import Entry
from smokejournal.cook.log.written_texts import written_texts
from smokejournal.cook.text.strict import one_line
from smokejournal.journal.changes import CookLine
from smokejournal.journal.entry_table import entries_numbered, rows_off_entries
from smokejournal.journal.finding import CookFilter, FoundText
from smokejournal.journal.lines import UnreadLine, line_from
from smokejournal.journal.tables import COOKS, LINES, TEXTS
from smokejournal.journal.text_table import (
    cooks_behind,
    edged,
    facts_asked,
    first_position,
    is_current,
    last_position,
    names_in,
)
from smokejournal.journal.words import AskedPhrase, AskedWords, parted, words_of

#: Entries read by their numbers in one statement.
_AT_ONCE = 500


def cooks_found(
    connection: Connection,
    asked: AskedWords,
    narrowed: CookFilter,
    limit: int | None,
    offset: int,
    *,
    away: bool,
) -> list[CookLine]:
    """Cooks that hold what is asked and pass the filter, newest first, each with the text that was
    found. UnreadLine, or an error of the database, where one of their rows is spoilt."""
    if not is_current(connection):
        return cooks_looked_through(connection, asked, narrowed, limit, offset, away=away)
    limits = _limits(narrowed)
    where = [limit.condition(name) for name, limit in limits.items()]
    values: dict[str, Any] = {name: limit.value for name, limit in limits.items()}
    if narrowed.first_day is not None:
        where.append(f"{{order}} >= {first_position(narrowed.first_day)}")
    if narrowed.last_day is not None:
        where.append(f"{{order}} <= {last_position(narrowed.last_day)}")
    if not away:
        where.append("cook_line.away = 0")
    # CROSS JOIN keeps the order of the tables: newest first they come, and rows are looked up one by
    # one until the page is full.
    tables, order = "cook_text", "cook_text.position"
    if asked.wanted or narrowed.food or narrowed.lot:
        tables = "cook_word CROSS JOIN cook_text ON cook_text.position = cook_word.rowid"
        order = "cook_word.rowid"
        where.append("cook_word MATCH :asked")
        values["asked"] = asked_of_index(asked, facts_asked(narrowed.food, narrowed.lot))
    elif asked.unwanted:
        where.append(
            "cook_text.position NOT IN (SELECT rowid FROM cook_word WHERE cook_word MATCH :unwanted)"
        )
        values["unwanted"] = _any_of(asked)
    query = text(
        f"SELECT cook_line.*, cook_text.parts, cook_text.words FROM {tables}"
        " CROSS JOIN cook_line ON cook_line.cook_id = cook_text.cook_id"
        f" WHERE {' AND '.join(where).format(order=order) or 'TRUE'} ORDER BY {order} DESC LIMIT :limit OFFSET :offset"
    ).bindparams(**values, limit=-1 if limit is None else limit, offset=offset)
    rows = [dict(row) for row in connection.execute(query).mappings()]
    return _shown(connection, rows, asked)


def asked_of_index(asked: AskedWords, facts: Sequence[AskedPhrase] = ()) -> str:
    """What the index is asked for: all that is wanted and these facts, and nothing that isn't."""
    wanted = " AND ".join(phrase.index_text() for phrase in (*facts, *asked.wanted))
    return f"({wanted}) NOT ({_any_of(asked)})" if asked.unwanted else wanted


def _any_of(asked: AskedWords) -> str:
    return " OR ".join(phrase.index_text() for phrase in asked.unwanted)


class _Limit(NamedTuple):
    """What a filter asks of one column: at least, at most or to hold `value`. Asked alike of the
    database and of a row off the entries."""

    column: str
    sign: Literal[">=", "<=", "holds"]
    value: Any

    def condition(self, name: str) -> str:
        if self.sign == "holds":
            return f"instr({self.column}, :{name})"
        return f"{self.column} {self.sign} :{name}"

    def met_by(self, row: Mapping[str, Any]) -> bool:
        found = row[self.column]
        if self.sign == "holds":
            return self.value in found
        return found is not None and (
            found >= self.value if self.sign == ">=" else found <= self.value
        )


def _limits(narrowed: CookFilter) -> dict[str, _Limit]:
    """What a filter asks, each by a name of its own."""
    first, last = narrowed.first_day, narrowed.last_day
    asked = {
        "food": _Limit("foods", "holds", edged(narrowed.food) if narrowed.food else None),
        "lot": _Limit("lots", "holds", edged(narrowed.lot) if narrowed.lot else None),
        "overall": _Limit("overall", ">=", narrowed.overall),
        "first_day": _Limit("day", ">=", None if first is None else first.toordinal()),
        "last_day": _Limit("day", "<=", None if last is None else last.toordinal()),
        # From one look at the weather to the next the air was at all that lies between.
        "air_from_c": _Limit("air_high_c", ">=", narrowed.air_from_c),
        "air_to_c": _Limit("air_low_c", "<=", narrowed.air_to_c),
        "wind_m_s": _Limit("wind_m_s", ">=", narrowed.wind_m_s),
    }
    return {name: limit for name, limit in asked.items() if limit.value is not None}


def cooks_looked_through(
    connection: Connection,
    asked: AskedWords,
    narrowed: CookFilter,
    limit: int | None,
    offset: int,
    *,
    away: bool,
    trusting: bool = True,
) -> list[CookLine]:
    """As `cooks_found`, without the index. Slow. Without `trusting` all is read off the entries."""
    limits = _limits(narrowed).values()
    found = []
    for line, texts in _rows(connection, trusting=trusting):
        row = {**texts, **line}
        listed = (away or not line["away"]) and all(limit.met_by(row) for limit in limits)
        if listed and asked.hold_in(parted(texts["words"])):
            found.append(row)
    found.sort(key=lambda row: row["position"], reverse=True)
    end = None if limit is None else offset + limit
    return _shown(connection, found[offset:end], asked)


def _rows(
    connection: Connection, *, trusting: bool
) -> Iterator[tuple[Mapping[str, Any], Mapping[str, Any]]]:
    """The row of the list and that of the texts, of each cook."""
    kept: dict[int, tuple[Mapping[str, Any], Mapping[str, Any]]] = {}
    if trusting:
        lines = {row["cook_id"]: dict(row) for row in connection.execute(select(LINES)).mappings()}
        behind = set(cooks_behind(connection))
        for texts in map(dict, connection.execute(select(TEXTS)).mappings()):
            number = texts["cook_id"]
            if number in lines and number not in behind:
                kept[number] = lines[number], texts
    for number in connection.execute(select(COOKS.c.id)).scalars().all():
        yield kept[number] if number in kept else rows_off_entries(connection, number)


def _shown(
    connection: Connection, rows: Sequence[Mapping[str, Any]], asked: AskedWords
) -> list[CookLine]:
    """The lines of cooks, each with the text that was found where it doesn't show that by itself."""
    lines = [line_from(row) for row in rows]
    where = {
        line.id: at
        for line, row in zip(lines, rows, strict=True)
        if (at := _best_text(line, row, asked)) is not None
    }
    entries: dict[int, Entry] = {}
    numbers = [entry_id for entry_id, _ in where.values()]
    for begin in range(0, len(numbers), _AT_ONCE):
        entries |= entries_numbered(connection, numbers[begin : begin + _AT_ONCE])
    return [
        line
        if line.id not in where
        else replace(line, found=_text(entries, *where[line.id], asked))
        for line in lines
    ]


def _best_text(line: CookLine, row: Mapping[str, Any], asked: AskedWords) -> tuple[int, int] | None:
    """The text to show: its entry's number, and its own among the texts of that. None: no need."""
    seen = [words_of(each) for each in (line.title, line.place, *(name for name, _ in line.pieces))]
    # What the line doesn't show by itself.
    hidden = [phrase for phrase in asked.wanted if not AskedWords((phrase,)).hold_in(seen)]
    if not hidden:
        return None
    number = AskedWords(tuple(hidden)).best_of(parted(row["words"]))
    try:
        entry_id, text_number = row["parts"].split()[number].split(":")
        return int(entry_id), int(text_number)
    except (ValueError, IndexError, TypeError) as problem:
        raise UnreadLine("the texts of a cook are spoilt") from problem


def _text(entries: Mapping[int, Entry], entry_id: int, number: int, asked: AskedWords) -> FoundText:
    try:
        entry = entries[entry_id]
        sort, written = list(written_texts(entry.what))[number]
    except LookupError as problem:
        raise UnreadLine(f"the texts of a cook are spoilt: {entry_id}") from problem
    on_one_line = " ".join(one_line(written).split())
    return FoundText(entry.id, entry.at_s, sort, on_one_line, asked.marks_in(on_one_line))


def lots_used(connection: Connection) -> list[str]:
    """The names of all pellets that were put in, in order."""
    found = connection.execute(select(TEXTS.c.lots).distinct()).scalars()
    return sorted({name for names in found for name in names_in(names)}, key=str.casefold)
