"""Rows of a recorded table (CSV): their times, their values, and what of them was refused."""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from itertools import islice
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from smokejournal.cook.text.translate import translate
from smokejournal.inputs.cell import read_cells
from smokejournal.inputs.line_guess import guess_table
from smokejournal.inputs.recorded.form import WrittenTime
from smokejournal.inputs.recorded.moments import TimeReader, look_of
from smokejournal.inputs.recorded.text import TableTrouble, lines_of
from smokejournal.inputs.replay_config import ReplayConfig, TimeKind
from smokejournal.inputs.source import RefusedLine, Value

#: What can't be read as such is replaced: headings are asked for as they were read when they were chosen.
_ENCODING = "utf-8-sig"
#: So many lines of a table are looked at for a guess.
_GUESSED_BY = 60


@dataclass(frozen=True, slots=True)
class TableRow:
    """One row: its time by the table [s], None where it gives none."""

    number: int
    table_s: float | None
    raw: str
    values: tuple[Value, ...] = ()
    refused: tuple[RefusedLine, ...] = ()


def rows_of(config: ReplayConfig) -> Iterator[TableRow]:
    """Rows in the order of the table, those without a time or a value with their reasons.

    TableTrouble when the file can't be read or a column is not there.
    """
    # Not line by line: a quoted cell may go over several.
    lines = lines_of(Path(config.path), _ENCODING)
    return _rows(config, csv.reader(lines, delimiter=config.delimiter))


def _rows(config: ReplayConfig, reader: Any) -> Iterator[TableRow]:
    places: dict[str, int] | None = None
    last_s: float | None = None
    while True:
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            reason = translate("Inputs", "not a table row")
            yield TableRow(reader.line_num, None, "", (), (RefusedLine(reason, str(error)),))
            continue
        if not any(cell.strip() for cell in cells):
            continue
        if places is None:
            places = _places(config, cells)
            if config.heading:
                continue
        row = _row(config, places, cells, reader.line_num, last_s)
        if row.table_s is not None:
            last_s = row.table_s
        yield row


def _places(config: ReplayConfig, first: list[str]) -> dict[str, int]:
    """Where each wanted column stands. By heading, else by number."""
    names = [cell.strip() for cell in first] if config.heading else []
    places = {}
    cold = [c.sensor.cold_source for c in config.columns if c.sensor and c.sensor.cold_source]
    for wanted in (config.time_column, *(column.source for column in config.columns), *cold):
        if names.count(wanted) == 1:
            places[wanted] = names.index(wanted)
        elif names.count(wanted) > 1:
            raise TableTrouble(
                translate("Inputs", "Two columns are called “{name}”. Name it by number.").format(
                    name=wanted
                )
            )
        elif wanted.isascii() and wanted.isdigit() and int(wanted) >= 1:
            places[wanted] = int(wanted) - 1
        else:
            raise TableTrouble(
                translate("Inputs", "The table has no column “{name}”. It has: {names}.").format(
                    name=wanted, names=", ".join(names) or len(first)
                )
            )
    return places


def _row(
    config: ReplayConfig,
    places: dict[str, int],
    cells: list[str],
    number: int,
    last_s: float | None,
) -> TableRow:
    raw = config.delimiter.join(cells)

    def cell(name: str) -> str | None:
        place = places.get(name, len(cells))
        return cells[place] if place < len(cells) else None

    when = cell(config.time_column) or ""
    table_s, reason = table_time(config, when, last_s)
    if table_s is None:
        return TableRow(number, None, raw, (), (RefusedLine(reason, when, config.time_column),))
    if last_s is not None and table_s < last_s:
        reason = translate("Inputs", "earlier than the row before")
        return TableRow(number, None, raw, (), (RefusedLine(reason, when, config.time_column),))
    values, refused = read_cells(config.columns, cell, config.decimal)
    return TableRow(number, table_s, raw, tuple(values), tuple(refused))


_SECONDS = re.compile(r"[+-]?\d+(?:[.,]\d+)?")


def table_time(config: ReplayConfig, text: str, last_s: float | None) -> tuple[float | None, str]:
    """The time that `text` gives [s] and, where it gives none, the reason. `last_s` is the row before:
    a time of day that falls back by more than half a day is the next day's."""
    text = text.strip()
    no_time = translate("Inputs", "no time")
    if config.time_kind in ("seconds", "epoch"):
        if not _SECONDS.fullmatch(text):
            return None, no_time
        seconds = float(text.replace(",", "."))
        return (seconds, "") if abs(seconds) < 1e11 else (None, no_time)
    if config.time_kind == "iso":
        try:
            return _in_zone(datetime.fromisoformat(text), ZoneInfo(config.zone))
        except (ValueError, OverflowError):
            return None, no_time
    clock = TimeReader(WrittenTime(kind="clock"), config.decimal)
    since_s = clock.read(text)
    if isinstance(since_s, str) or not math.isnan(clock.offset_s):
        return None, no_time
    day = date.fromisoformat(config.day or "2000-01-01")
    zone = ZoneInfo(config.zone)
    if last_s is not None:
        day = datetime.fromtimestamp(last_s, zone).date()
    local = datetime.combine(day, time()) + timedelta(seconds=since_s)
    answer, reason = _in_zone(local, zone)
    if answer is not None and last_s is not None and answer < last_s - 43200:
        answer, reason = _in_zone(local + timedelta(days=1), zone)
    return answer, reason


def _in_zone(when: datetime, zone: ZoneInfo) -> tuple[float | None, str]:
    if when.tzinfo is not None:
        return when.timestamp(), ""
    there = when.replace(tzinfo=zone)
    if there.astimezone(UTC).astimezone(zone).replace(tzinfo=None) != when:
        return None, translate("Inputs", "a time that the change of clocks left out")
    return there.timestamp(), ""


def guess_replay(path: Path) -> ReplayConfig:
    """A proposal for this table, to be looked at before it is used. TableTrouble if it can't be read."""
    lines = list(islice(lines_of(path, _ENCODING), _GUESSED_BY))
    form = guess_table(lines, (",", ";", "\t", "|"))
    delimiter = form.delimiter
    cells = next(csv.reader(lines[:1], delimiter=delimiter), [])
    heading = bool(cells) and not any(re.fullmatch(r"[+-]?\d+([.,]\d+)?", c.strip()) for c in cells)
    heading = heading and not any(_kind_of(cell) for cell in cells)
    names = [c.strip() for c in cells] if heading else [str(n + 1) for n in range(len(cells))]
    sample = next(csv.reader(lines[1:2], delimiter=delimiter), cells) if heading else cells
    time_at = next(
        (
            n
            for n, name in enumerate(names)
            if re.search(r"time|date|sec|clock", name, re.IGNORECASE)
        ),
        0,
    )
    kind = _kind_of(sample[time_at]) if time_at < len(sample) else None
    columns = tuple(
        replace(column, source=names[int(column.source) - 1])
        for column in form.columns
        if form.kind == "delimited"
        and column.source.isdigit()
        and int(column.source) - 1 != time_at
        and int(column.source) <= len(names)
    )
    return ReplayConfig(
        path=str(path),
        time_column=names[time_at] if names else "1",
        time_kind=kind or "seconds",
        columns=columns,
        delimiter=delimiter,
        decimal=form.decimal,
        heading=heading,
    )


def _kind_of(text: str) -> TimeKind | None:
    text = text.strip()
    if look_of(text) == "clock":
        return "clock"
    if re.match(r"\d{4}-\d{2}-\d{2}", text):
        return "iso"
    if re.fullmatch(r"\d{10}(\.\d+)?", text):
        return "epoch"
    return None
