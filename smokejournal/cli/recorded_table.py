"""A recorded cook as a table: time_s, pit_c and probe_c, read for a forecast without a screen.

What is no number is wrong input, and the line and column that it stands in are named. What is a number
but no reading (a time that is missing, a temperature that can't be) is refused, counted and told.
"""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np

from smokejournal.cook.log.readings import PLAUSIBLE_C, FloatArray
from smokejournal.cook.text.translate import translate

COLUMNS: Final = ("time_s", "pit_c", "probe_c")
#: What loggers write where there is no reading.
MISSING: Final = frozenset({"", "nan", "na", "n/a", "null", "none", "-", "--", "---"})
DELIMITERS: Final = ",;\t"
#: Seconds since 1970 as well as since the first reading.
LATEST_S: Final = 253_402_300_799.0
#: Lines that are named one by one; of more only the number is told.
NAMED: Final = 3
#: As lines, so many would be a record of months.
LARGEST_BYTES: Final = 200_000_000

_ROLES: Final = {"pit_c": "pit", "probe_c": "meat"}


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
    ignored: tuple[str, ...] = ()
    rows: int = 0
    refused_rows: int = 0
    refused_cells: int = 0
    refused: tuple[str, ...] = ()


def read_file(path: Path) -> Recorded:
    """Read a table. Raises BadInput where it can't be read or used."""
    try:
        if path.stat().st_size > LARGEST_BYTES:
            raise BadInput(
                translate("Forecast", "{path} is too large for a recorded cook.").format(path=path)
            )
        data = path.read_bytes()
    except OSError as problem:
        raise BadInput(
            translate("Forecast", "{path} could not be read: {why}.").format(
                path=path, why=problem.strerror or problem
            )
        ) from problem
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        line = data[: problem.start].count(b"\n") + 1
        raise BadInput(
            translate(
                "Forecast", "{path}, line {line}: this is no text in UTF-8. Save it as CSV again."
            ).format(path=path, line=line)
        ) from problem
    return read_text(text, str(path))


def read_text(text: str, name: str) -> Recorded:
    """Read a table from its text; `name` is what it is called in messages."""
    return _Reader(text, name).read()


class _Reader:
    def __init__(self, text: str, name: str) -> None:
        self.text = text
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
        rows: list[tuple[float, float, float]] = []
        count = 0
        for number, cells in lines:
            if not any(cell.strip() for cell in cells):
                continue
            count += 1
            row = self._row(number, cells, where, len(head))
            if row is not None:
                rows.append(row)
        if not rows:
            why = translate("Forecast", "no row of {count} can be used.").format(count=count)
            if not count:
                why = translate("Forecast", "there is no row below the header.")
            said = " ".join((why, *self.refused))
            raise BadInput(f"{self.name}: {said}")
        array = np.array(rows, dtype=np.float64)
        return Recorded(
            time_s=array[:, 0].copy(),
            pit_c=array[:, 1].copy(),
            probe_c=array[:, 2].copy(),
            ignored=ignored,
            rows=count,
            refused_rows=self.refused_rows,
            refused_cells=self.refused_cells,
            refused=tuple(self.refused),
        )

    def _lines(self) -> Iterator[tuple[int, list[str]]]:
        """The cells of each line with its number; blank lines before the header are passed over."""
        head = next((line for line in self.text.splitlines() if line.strip()), "")
        delimiter = max(DELIMITERS, key=head.count)
        reader = csv.reader(io.StringIO(self.text, newline=""), delimiter=delimiter)
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
        for column in COLUMNS:
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
    ) -> tuple[float, float, float] | None:
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
        return (
            time_s,
            self._temperature(number, "pit_c", cells[where["pit_c"]]),
            self._temperature(number, "probe_c", cells[where["probe_c"]]),
        )

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
