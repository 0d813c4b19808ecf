"""A logger's file into arrays, with every line and cell that gave nothing, and why."""

from __future__ import annotations

import math
from array import array
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from smokejournal.cook.log.ranges import LAST_S
from smokejournal.cook.log.readings import PLAUSIBLE_C, FloatArray
from smokejournal.cook.text.translate import translate
from smokejournal.inputs.cell import Column, read_cell
from smokejournal.inputs.recorded.form import (
    BY_CLOCK,
    SINCE_START,
    Fold,
    OpenPoint,
    WrittenColumn,
    WrittenForm,
    open_points,
)
from smokejournal.inputs.recorded.guess import odd_units
from smokejournal.inputs.recorded.moments import TimeReader, utc_of
from smokejournal.inputs.recorded.text import MISSING, cells_of, is_unended, lines_of
from smokejournal.inputs.source import Value

#: Examples that are kept of each reason, lines that are shown from the beginning and the end, and
#: lines without a reading that are listed one by one.
EXAMPLES: Final = 3
HEAD, TAIL, LISTED = 6, 4, 500
_ASK_EVERY: Final = 20_000
#: Texts of cells that are remembered at most: temperatures come again and again.
_REMEMBERED: Final = 50_000
#: So many times the usual step, and so long at least [s], is a gap.
_GAP_STEPS, _GAP_S = 10.0, 300.0


class ReadingStopped(Exception):
    """Nobody wants the answer any more."""


@dataclass(frozen=True, slots=True)
class FileRefusal:
    """Why lines, or cells of the column `name`, gave no reading: how many, and the first of them."""

    reason: str
    count: int
    examples: tuple[tuple[int, str], ...]
    name: str = ""


@dataclass(frozen=True, slots=True)
class FileLine:
    """A line as it stands, and its place among the rows that were read, or why it isn't there."""

    number: int
    text: str
    row: int | None = None
    reason: str = ""


@dataclass(frozen=True, slots=True)
class FileReadings:
    """What a file gave: times [UTC s] of shape (n,) in the order of the file, values [°C] of shape
    (n, k), NaN where a cell has none, of the k columns. `numbers` are the lines, of shape (n,).

    `lines` counts every line from the first row on that isn't blank; `refused` are whole lines,
    `refused_cells` single ones; `empty_cells` hold nothing, which is no mistake. `open` must be asked
    before the readings are used: `twice` rows have a clock time that occurs twice, read by `fold`.
    `together` rows have a moment that an earlier one has; `beyond` values are of no pit, meat or air;
    `odd` says whose unit looks wrong; `unended`: the last line has no end and may be cut off.
    `backward` counts steps back in time, the first at the line `backward_line`; `gaps` counts stretches
    without a row, the longest of `longest_gap_s`.
    """

    columns: tuple[WrittenColumn, ...]
    at_s: FloatArray
    values_c: FloatArray
    numbers: NDArray[np.int64]
    lines: int = 0
    refused: tuple[FileRefusal, ...] = ()
    refused_cells: tuple[FileRefusal, ...] = ()
    empty_cells: int = 0
    open: tuple[OpenPoint, ...] = ()
    twice: int = 0
    fold: Fold | None = None
    backward: int = 0
    backward_line: int = 0
    gaps: int = 0
    longest_gap_s: float = 0.0
    together: int = 0
    beyond: int = 0
    odd: tuple[str, ...] = ()
    unended: bool = False
    shown: tuple[FileLine, ...] = ()
    listed: tuple[FileLine, ...] = ()

    @property
    def refused_lines(self) -> int:
        """Lines that gave nothing."""
        return sum(refusal.count for refusal in self.refused)

    @property
    def readings(self) -> int:
        """How many values there are."""
        return int(np.count_nonzero(~np.isnan(self.values_c)))


def read_recorded(form: WrittenForm, stopped: Callable[[], bool] = lambda: False) -> FileReadings:
    """Read all of a file as `form` says. With open points only those are given back.

    Raises TableTrouble where the file can't be read, ReadingStopped once `stopped()`.
    """
    left = open_points(form)
    if left:
        nothing = np.empty(0)
        empty = np.empty((0, len(form.taken)))
        return FileReadings(form.taken, nothing, empty, np.empty(0, dtype=np.int64), open=left)
    return _FileReader(form, stopped).read()


class _Refusals:
    def __init__(self) -> None:
        self._found: dict[tuple[str, str], tuple[int, tuple[tuple[int, str], ...]]] = {}

    def add(self, reason: str, line: int, text: str, name: str = "") -> None:
        count, examples = self._found.get((reason, name), (0, ()))
        if count < EXAMPLES:
            examples = (*examples, (line, text[:80]))
        self._found[reason, name] = count + 1, examples

    def told(self) -> tuple[FileRefusal, ...]:
        """Most frequent first."""
        found = [FileRefusal(r, n, e, name) for (r, name), (n, e) in self._found.items()]
        return tuple(sorted(found, key=lambda refusal: -refusal.count))


class _FileReader:
    def __init__(self, form: WrittenForm, stopped: Callable[[], bool]) -> None:
        self.form = form
        self.stopped = stopped
        # Asked for each line, and each is worked out anew.
        self.width, self.taken = form.width, form.taken
        self.time = TimeReader(form.time, form.decimal)
        self.columns = [
            Column(str(c.place + 1), unit=c.unit or "C", label=c.name) for c in form.taken
        ]
        self.known: list[dict[str, float | str]] = [{} for _ in self.columns]
        self.when_s = array("d")
        self.offset_s = array("d")
        self.values = array("d")
        self.numbers = array("q")
        self.lines = self.empty = 0
        self.refused, self.cells = _Refusals(), _Refusals()
        self.head: list[FileLine] = []
        self.tail: deque[tuple[int, str, int | None, str]] = deque(maxlen=TAIL)
        self.listed: list[FileLine] = []

    def read(self) -> FileReadings:
        """All of it."""
        form = self.form
        heading: list[str] = []
        for number, text in enumerate(lines_of(form.path, form.encoding), 1):
            if number % _ASK_EVERY == 0 and self.stopped():
                raise ReadingStopped
            if number == form.heading:
                heading = cells_of(text, form.delimiter)
            if number < form.first or not text.strip():
                continue
            self.lines += 1
            reason = self._row(number, cells_of(text, form.delimiter), heading)
            self._note(number, text, reason)
        return self._result()

    def _note(self, number: int, text: str, reason: str) -> None:
        if reason:
            self.refused.add(reason, number, text)
        row = None if reason else len(self.numbers) - 1
        if reason and len(self.listed) < LISTED:
            self.listed.append(FileLine(number, text[:200], None, reason))
        if len(self.head) < HEAD:
            self.head.append(FileLine(number, text[:200], row, reason))
        else:
            self.tail.append((number, text[:200], row, reason))

    def _row(self, number: int, cells: list[str], heading: list[str]) -> str:
        """Takes a row in; why not, where it gives nothing."""
        form = self.form
        while len(cells) > self.width and not cells[-1]:
            cells = cells[:-1]
        if heading and cells == heading[: self.width]:
            return translate("Recorded", "the heading again")
        if len(cells) != self.width:
            return translate("Recorded", "not {width} columns wide").format(width=form.width)
        when = self.time.read(" ".join([cells[place] for place in form.time.columns]))
        if isinstance(when, str):
            return when
        values = []
        some = False
        for n, column in enumerate(self.taken):
            text = cells[column.place]
            value = self._value(n, text)
            if isinstance(value, str):
                self.cells.add(value, number, text, column.name)
                value = math.nan
            elif value != value:
                self.empty += 1
            else:
                some = True
            values.append(value)
        if not some:
            return translate("Recorded", "no reading in it")
        self.when_s.append(when)
        self.offset_s.append(self.time.offset_s)
        self.values.extend(values)
        self.numbers.append(number)
        return ""

    def _value(self, n: int, text: str) -> float | str:
        """The temperature [°C] in this cell, NaN where it is empty, or why it is none."""
        known = self.known[n]
        value = known.get(text)
        if value is None:
            if len(known) >= _REMEMBERED:
                known.clear()
            if text.casefold() in MISSING:
                value = math.nan
            else:
                answer = read_cell(self.columns[n], text, self.form.decimal)
                value = answer.value_c if isinstance(answer, Value) else answer.reason
            known[text] = value
        return value

    def _result(self) -> FileReadings:
        form = self.form
        when_s = np.frombuffer(self.when_s, dtype=np.float64).copy()
        values = np.frombuffer(self.values, dtype=np.float64).reshape(-1, len(self.columns)).copy()
        numbers = np.frombuffer(self.numbers, dtype=np.int64).copy()
        at_s, twice, fold = self._moments(when_s)
        told = FileReadings(form.taken, at_s, values, numbers, self.lines)
        waits = np.isnan(at_s) & twice
        lost = np.isnan(at_s) & ~twice | (at_s < 0) | (at_s > LAST_S)
        place_of = np.cumsum(~lost & ~waits) - 1
        shown = [*self.head, *(FileLine(*line) for line in self.tail)]
        for row in np.flatnonzero(lost):
            reason = translate("Recorded", "a time that the change of clocks left out")
            if not np.isnan(at_s[row]):
                reason = translate("Recorded", "no such time")
            number = int(numbers[row])
            text = next((line.text for line in shown if line.number == number), "")
            self.refused.add(reason, number, text)
            if len(self.listed) < LISTED:
                self.listed.append(FileLine(number, text, None, reason))
            shown = [
                replace(line, row=None, reason=reason) if line.row == row else line
                for line in shown
            ]
        keep = ~lost & ~waits
        shown = [
            line if line.row is None else replace(line, row=int(place_of[line.row]))
            for line in shown
            if line.row is None or not waits[line.row]
        ]
        low_c, high_c = PLAUSIBLE_C["other"]
        at_s = at_s[keep]
        steps = np.diff(at_s)
        back = np.flatnonzero(steps < 0)
        ahead = steps[steps > 0]
        usual_s = float(np.median(ahead)) if ahead.size else 0.0
        gaps = ahead[ahead > max(_GAP_STEPS * usual_s, _GAP_S)]
        return replace(
            told,
            at_s=at_s,
            values_c=values[keep],
            numbers=numbers[keep],
            refused=self.refused.told(),
            refused_cells=self.cells.told(),
            empty_cells=self.empty,
            open=("fold",) if waits.any() else (),
            twice=int(np.count_nonzero(twice)),
            fold=fold,
            backward=int(back.size),
            backward_line=int(numbers[keep][back[0] + 1]) if back.size else 0,
            gaps=int(gaps.size),
            longest_gap_s=float(gaps.max()) if gaps.size else 0.0,
            together=at_s.size - np.unique(at_s).size,
            beyond=int(np.count_nonzero((values[keep] < low_c) | (values[keep] > high_c))),
            odd=odd_units(form),
            unended=is_unended(form.path),
            shown=tuple(shown),
            listed=tuple(self.listed),
        )

    def _moments(self, when_s: FloatArray) -> tuple[FloatArray, NDArray[np.bool_], Fold | None]:
        """The rows' moments [UTC s]; NaN as `utc_of` gives it."""
        time = self.form.time
        never = np.zeros(when_s.size, dtype=np.bool_)
        if time.kind in SINCE_START:
            return when_s + (time.begun_at_s or 0.0), never, None
        if time.kind not in BY_CLOCK:
            return when_s, never, None
        offset_s = np.frombuffer(self.offset_s, dtype=np.float64)
        own = ~np.isnan(offset_s)
        at_s = when_s - offset_s
        twice = never
        at_s[~own], twice[~own], fold = utc_of(when_s[~own], time.zone, time.fold)
        return at_s, twice, fold
