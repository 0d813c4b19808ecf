"""A recorded cook as a table: time_s, pit_c, probe_c and maybe check_c, read for a forecast without a screen.

What is no number is wrong input, and the line and column that it stands in are named. What is a number
but no reading (a time that is missing, a temperature that can't be) is refused, counted and told.
"""

from __future__ import annotations

import csv
import io
import math
from array import array
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import chain
from pathlib import Path
from typing import Final

import numpy as np

from smokejournal.cook.log.readings import PLAUSIBLE_C, FloatArray
from smokejournal.cook.text.translate import translate
from smokejournal.inputs.recorded.text import LARGEST_BYTES, LONGEST_LINE, MISSING, MOST_LINES

COLUMNS: Final = ("time_s", "pit_c", "probe_c")
#: Read where it is there: another probe in the same piece.
CHECK: Final = "check_c"
DELIMITERS: Final = ",;\t"
#: Seconds since 1970 as well as since the first reading.
LATEST_S: Final = 253_402_300_799.0
#: Lines that are named one by one; of more only the number is told.
NAMED: Final = 3

_ROLES: Final = {"pit_c": "pit", "probe_c": "meat", CHECK: "meat"}


class BadInput(ValueError):
    """The input can't be used as it is. `message` says where and what to do."""

    def __init__(self, message: str) -> None:
        super().__init__(message)
        self.message = message


@dataclass(frozen=True, slots=True)
class Recorded:
    """The columns, each of shape (n,), NaN where a reading is missing, in the order of the file.

    `ignored` are columns that aren't read; `refused` says what was refused and where. A row counts
    once in `refused_rows` and is in none of the columns; a cell that is refused leaves its row.
    """

    time_s: FloatArray
    pit_c: FloatArray
    probe_c: FloatArray
    check_c: FloatArray | None = None
    ignored: tuple[str, ...] = ()
    rows: int = 0
    refused_rows: int = 0
    refused_cells: int = 0
    refused: tuple[str, ...] = ()


def read_file(path: Path) -> Recorded:
    """Read a table. Raises BadInput where it can't be read or used; at once where it is too large."""
    try:
        if path.stat().st_size > LARGEST_BYTES:
            raise BadInput(
                translate(
                    "Forecast",
                    "{path} is larger than {most} MB, too large for a recorded cook. Keep the rows of "
                    "one cook and the columns {columns}.",
                ).format(path=path, most=LARGEST_BYTES // 1_000_000, columns=", ".join(COLUMNS))
            )
        data = path.read_bytes()
    except OSError as problem:
        raise BadInput(
            translate("Forecast", "{path} could not be read: {why}.").format(
                path=path, why=problem.strerror or problem
            )
        ) from problem
    _check_lines(path, data)
    # Line by line: as one text, and its rows as tuples, it would take many times its size.
    lines = io.TextIOWrapper(io.BytesIO(data), encoding="utf-8-sig", newline="")
    try:
        return _Reader(lines, str(path)).read()
    except UnicodeDecodeError as problem:
        raise BadInput(
            translate(
                "Forecast", "{path}, line {line}: this is no text in UTF-8. Save it as CSV again."
            ).format(path=path, line=_undecoded_line(data))
        ) from problem


def _check_lines(path: Path, data: bytes) -> None:
    """Raises BadInput where there are more or longer lines than a cook can have."""
    lines = 0
    for begin in range(0, len(data), LONGEST_LINE):
        end = begin + LONGEST_LINE
        ends = max(data.count(b"\n", begin, end), data.count(b"\r", begin, end))
        if not ends and end <= len(data):
            raise BadInput(
                translate(
                    "Forecast",
                    "{path}, line {line}: the line is too long for a row of readings. Save the table "
                    "as CSV, one row to a line.",
                ).format(path=path, line=lines + 1)
            )
        lines += ends
        if lines > MOST_LINES:
            raise BadInput(
                translate(
                    "Forecast",
                    "{path}, line {line}: there are more lines than a recorded cook can have. Keep "
                    "the rows of one cook, or one row for every few seconds.",
                ).format(path=path, line=MOST_LINES + 1)
            )


def _undecoded_line(data: bytes) -> int:
    """The first line that is no text in UTF-8."""
    try:
        data.decode("utf-8")
    except UnicodeDecodeError as problem:
        return data.count(b"\n", 0, problem.start) + 1
    return 1


class _Reader:
    def __init__(self, lines: Iterable[str], name: str) -> None:
        self.lines = iter(lines)
        self.name = name
        self.refused: list[str] = []
        self.refused_rows = 0
        self.refused_cells = 0

    def read(self) -> Recorded:
        """All of it."""
        lines = self._lines()
        first = next(lines, None)
        if first is None:
            raise self._bad(
                1,
                translate(
                    "Forecast", "the file is empty. Its first line must name {columns}."
                ).format(columns=", ".join(COLUMNS)),
            )
        number, head = first
        where, ignored = self._columns(number, head)
        rows = array("d")
        count = 0
        for number, cells in lines:
            if not any(cell.strip() for cell in cells):
                continue
            count += 1
            row = self._row(number, cells, where, len(head))
            if row is not None:
                rows.extend(row)
        if not rows:
            why = translate("Forecast", "no row of {count} can be used.").format(count=count)
            if not count:
                why = translate("Forecast", "there is no row below the header.")
            said = " ".join((why, *self.refused))
            raise BadInput(f"{self.name}: {said}")
        columns = np.frombuffer(rows, dtype=np.float64).reshape(-1, len(where))
        return Recorded(
            time_s=columns[:, 0].copy(),
            pit_c=columns[:, 1].copy(),
            probe_c=columns[:, 2].copy(),
            check_c=columns[:, 3].copy() if CHECK in where else None,
            ignored=ignored,
            rows=count,
            refused_rows=self.refused_rows,
            refused_cells=self.refused_cells,
            refused=tuple(self.refused),
        )

    def _lines(self) -> Iterator[tuple[int, list[str]]]:
        """The cells of each line with its number; blank lines before the header are passed over."""
        before = []
        for line in self.lines:
            before.append(line)
            if line.strip():
                break
        delimiter = max(DELIMITERS, key="".join(before).count)
        reader = csv.reader(chain(before, self.lines), delimiter=delimiter)
        begun = False
        while True:
            try:
                cells = next(reader)
            except StopIteration:
                return
            except csv.Error as problem:
                raise self._bad(reader.line_num or 1, f"{problem}.") from problem
            begun = begun or any(cell.strip() for cell in cells)
            if begun:
                yield reader.line_num, cells

    def _columns(self, number: int, head: list[str]) -> tuple[dict[str, int], tuple[str, ...]]:
        names = [cell.strip().casefold() for cell in head]
        where: dict[str, int] = {}
        for column in (*COLUMNS, CHECK):
            if column == CHECK and column not in names:
                continue
            if names.count(column) > 1:
                raise self._bad(
                    number,
                    translate("Forecast", "there are {n} columns {column}. Keep one.").format(
                        n=names.count(column), column=column
                    ),
                )
            if column not in names:
                raise self._bad(
                    number,
                    translate(
                        "Forecast",
                        "there is no column {column}. The first line must name {columns}; it names "
                        "{found}.",
                    ).format(
                        column=column,
                        columns=", ".join(COLUMNS),
                        found=", ".join(cell.strip() for cell in head)[:200],
                    ),
                )
            where[column] = names.index(column)
        ignored = tuple(
            cell.strip() or translate("Forecast", "(no name)")
            for n, cell in enumerate(head)
            if n not in where.values()
        )
        return where, ignored

    def _row(
        self, number: int, cells: list[str], where: dict[str, int], width: int
    ) -> list[float] | None:
        if len(cells) != width:
            self._refuse(
                number,
                translate("Forecast", "{n} columns instead of {width}").format(
                    n=len(cells), width=width
                ),
            )
            self.refused_rows += 1
            return None
        time_s = self._number(number, "time_s", cells[where["time_s"]])
        if not math.isfinite(time_s) or abs(time_s) > LATEST_S:
            said = cells[where["time_s"]].strip() or translate("Forecast", "nothing")
            self._refuse(
                number, translate("Forecast", "{text} is no time (time_s)").format(text=said[:40])
            )
            self.refused_rows += 1
            return None
        read = [column for column in where if column != "time_s"]
        return [time_s, *(self._temperature(number, c, cells[where[c]]) for c in read)]

    def _temperature(self, number: int, column: str, cell: str) -> float:
        value_c = self._number(number, column, cell)
        low_c, high_c = PLAUSIBLE_C[_ROLES[column]]
        if math.isnan(value_c) or low_c <= value_c <= high_c:
            return value_c
        self._refuse(
            number,
            translate("Forecast", "{text} can't be a temperature in °C ({column})").format(
                text=cell.strip()[:40], column=column
            ),
        )
        self.refused_cells += 1
        return math.nan

    def _number(self, number: int, column: str, cell: str) -> float:
        text = cell.strip()
        if text.casefold() in MISSING:
            return math.nan
        try:
            # "1_000" is a number to Python, and to nobody's logger.
            return float("?" if "_" in text else text)
        except ValueError:
            raise self._bad(
                number,
                translate(
                    "Forecast",
                    "column {column}: “{text}” is no number. Write a number with a decimal point, or "
                    "leave the cell blank.",
                ).format(column=column, text=text[:40]),
            ) from None

    def _refuse(self, number: int, why: str) -> None:
        if len(self.refused) < NAMED:
            self.refused.append(
                translate("Forecast", "Line {line}: {why}.").format(line=number, why=why)
            )

    def _bad(self, number: int, why: str) -> BadInput:
        return BadInput(
            translate("Forecast", "{name}, line {line}: {why}").format(
                name=self.name, line=number, why=why
            )
        )
