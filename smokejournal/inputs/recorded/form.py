"""How the table of a logger is meant: what was guessed, what a person said, and what is still open."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Literal, TypeAlias

from smokejournal.inputs.cell import Decimal, Unit

#: What a time in the table is: a date and a clock time, a clock time alone, hours:minutes since the start,
#: seconds or milliseconds since 1970; milliseconds, seconds, minutes or hours since the start; days of a
#: spreadsheet.
WrittenKind: TypeAlias = Literal[
    "date", "clock", "elapsed", "epoch", "epoch_ms", "millis", "seconds", "minutes", "hours", "days"
]
#: In which order the parts of a date stand.
DateOrder: TypeAlias = Literal["ymd", "dmy", "mdy"]
#: Which of two clock times is meant where one occurs twice: the first or second for all rows, or the
#: first until the clock is seen to go back.
Fold: TypeAlias = Literal["first", "second", "order"]

SINCE_START: frozenset[str] = frozenset({"elapsed", "millis", "seconds", "minutes", "hours"})
BY_CLOCK: frozenset[str] = frozenset({"date", "clock", "days"})


@dataclass(frozen=True, slots=True)
class WrittenTime:
    """Where the time stands and how it is read. What isn't known is None and must be asked.

    `columns` are numbers from 0: one, or more where the date, or AM and PM, stand apart. `kinds` and `orders` are
    what the column can be by its looks. `day` (2026-03-21) is when a clock alone began, `begun_at_s`
    when the count began [UTC s].
    """

    columns: tuple[int, ...] = ()
    kind: WrittenKind | None = None
    kinds: tuple[WrittenKind, ...] = ()
    order: DateOrder | None = None
    orders: tuple[DateOrder, ...] = ()
    zone: str = "UTC"
    day: str = ""
    begun_at_s: float | None = None
    fold: Fold | None = None


@dataclass(frozen=True, slots=True)
class WrittenColumn:
    """A column that may hold temperatures, by its number from 0. `unit` None: nothing says it."""

    place: int
    name: str
    unit: Unit | None = None
    taken: bool = True


@dataclass(frozen=True, slots=True)
class WrittenForm:
    """How a file is read. `heading` and `first` are line numbers from 1: of the names of the columns
    (0 where there are none) and of the first row; `names` and `width` count every column."""

    path: Path
    encoding: str
    delimiter: str
    decimal: Decimal
    heading: int
    first: int
    names: tuple[str, ...]
    time: WrittenTime
    columns: tuple[WrittenColumn, ...]

    @property
    def width(self) -> int:
        """How many columns a row has."""
        return len(self.names)

    @property
    def taken(self) -> tuple[WrittenColumn, ...]:
        """The columns that are read."""
        return tuple(column for column in self.columns if column.taken)


#: What may be open: the column of the time, its kind, the order of dates, the day, the start, the unit,
#: which columns to read, and which of two equal clock times is meant.
OpenPoint: TypeAlias = Literal[
    "time", "kind", "order", "day", "start", "unit", "columns", "fold", "zone"
]


def open_points(form: WrittenForm) -> tuple[OpenPoint, ...]:
    """What must be asked before anything can be read, in the order of asking."""
    time = form.time
    found: list[OpenPoint] = []
    if not time.columns:
        found.append("time")
    elif time.kind is None:
        found.append("kind")
    elif time.kind == "date" and time.order is None:
        found.append("order")
    elif time.kind == "clock" and not time.day:
        found.append("day")
    elif time.kind in SINCE_START and time.begun_at_s is None:
        found.append("start")
    if not form.taken:
        found.append("columns")
    elif any(column.unit is None for column in form.taken):
        found.append("unit")
    return tuple(found)
