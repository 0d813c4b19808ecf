"""One column's text to a temperature, or the reason why it gives none. Nothing is guessed."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Annotated, Any, Literal, TypeAlias

from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.strict import AtMost, EachOnce, Range, TextSize, written
from smokejournal.cook.text.translate import translate
from smokejournal.inputs.sensor import Sensor, SensorError
from smokejournal.inputs.source import RefusedLine, Value
from smokejournal.science.numbers.units import ZERO_C_IN_K, c_from_f

Unit = Literal["C", "F", "K"]
Decimal = Literal[".", ","]

#: What a thermometer could send at all. Whether it fits a pit or meat is judged where it is read.
LOWEST_C = -ZERO_C_IN_K
HIGHEST_C = 2000.0

_NUMBER = {
    ".": re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?"),
    ",": re.compile(r"[+-]?(?:[0-9]+(?:,[0-9]*)?|,[0-9]+)(?:[eE][+-]?[0-9]+)?"),
}
_UNIT_AFTER = re.compile(r"\s*(?:°|deg)?\s*([CFK])", re.IGNORECASE)
_RAW_AFTER = {
    "mV": re.compile(r"\s*mV", re.IGNORECASE),
    "ohm": re.compile(r"\s*(?:ohms?|\u03a9|\u2126)", re.IGNORECASE),
    "counts": re.compile(r"\s*(?:counts?)", re.IGNORECASE),
}


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a line.

    `source` names it: the key or, in a delimited line, its number from 1; in JSON a path with dots.
    `channel` is the channel it feeds, empty to ignore it. The number times `scale` is in `unit`, or,
    with a `sensor`, what that sends.
    """

    source: Annotated[str, TextSize(1, 100, nul=True)]
    channel: Annotated[str, TextSize(longest=200, nul=True)] = ""
    unit: Unit = "C"
    scale: Annotated[float, Range(-1e6, 1e6)] = 1.0
    label: Annotated[str, TextSize(longest=200, nul=True)] = ""
    sensor: Sensor | None = None

    def check_together(self) -> None:
        """SchemaProblem where the number would be lost."""
        if self.scale == 0:
            raise SchemaProblem(
                "scale", translate("Inputs", "The scale can't be 0. Give 1 for none.")
            )

    def to_json(self) -> dict[str, Any]:
        """Its written form. Programs before version 2 know no sensor, not even none."""
        data = written(self, in_full=True)
        return {name: data[name] for name in data if name != "sensor" or self.sensor}


Columns: TypeAlias = Annotated[
    tuple[Column, ...], AtMost(64), EachOnce("source"), EachOnce("channel")
]

#: Version 2 has columns with a sensor. Without one, 1 is written, which older programs read.
NEWEST = 2


def version_of(columns: Sequence[Column]) -> int:
    """The version in which these columns are written."""
    return NEWEST if any(column.sensor is not None for column in columns) else 1


def to_celsius(number: float, unit: Unit) -> float:
    """Temperature [°C] of `number` in `unit`."""
    if unit == "F":
        return c_from_f(number)
    return number - ZERO_C_IN_K if unit == "K" else number


def read_cells(
    columns: Sequence[Column], cell: Callable[[str], str | None], decimal: Decimal
) -> tuple[list[Value], list[RefusedLine]]:
    """What the columns of one line or row give; `cell` says what stands in the column of a name."""
    values: list[Value] = []
    refused: list[RefusedLine] = []
    for column in columns:
        text = cell(column.source)
        if text is None:
            refused.append(RefusedLine(translate("Inputs", "column missing"), "", column.source))
            continue
        answer = read_cell(column, text, decimal, _cold_c(column, columns, cell, decimal))
        if isinstance(answer, Value):
            values.append(answer)
        else:
            refused.append(answer)
    return values, refused


def _cold_c(
    column: Column, columns: Sequence[Column], cell: Callable[[str], str | None], decimal: Decimal
) -> float | None:
    """What the cold end of a thermocouple is at, where another column says it."""
    source = column.sensor.cold_source if column.sensor is not None else ""
    text = cell(source) if source else None
    if text is None:
        return None
    other = next((c for c in columns if c.source == source and c is not column), Column(source))
    if other.sensor is not None and other.sensor.cold_source:
        return None
    answer = read_cell(other, text, decimal)
    return answer.value_c if isinstance(answer, Value) else None


def read_cell(
    column: Column, text: str, decimal: Decimal, cold_c: float | None = None
) -> Value | RefusedLine:
    """The value that `text` gives in this column, or why it gives none.

    A unit written behind the number must be the column's own: it is never converted silently.
    `cold_c` is the temperature of a thermocouple's cold end where another column says it.
    """
    stripped = text.strip()

    def refused(reason: str) -> RefusedLine:
        return RefusedLine(reason, stripped, column.source)

    if not stripped:
        return refused(translate("Inputs", "empty"))
    match = _NUMBER[decimal].match(stripped)
    if match is None:
        return refused(translate("Inputs", "not a number"))
    number, after = match.group(), stripped[match.end() :]
    if after:
        sensor = column.sensor
        unit = (_RAW_AFTER[sensor.sends] if sensor else _UNIT_AFTER).fullmatch(after)
        if unit is None:
            other = "," if decimal == "." else "."
            if after.startswith(other) or stripped.startswith(other):
                return refused(translate("Inputs", "the other decimal mark than set"))
            return refused(translate("Inputs", "not a number"))
        if sensor is None and unit.group(1).upper() != column.unit:
            return refused(translate("Inputs", "another unit than set"))
    given = float(number.replace(",", ".")) * column.scale
    if not math.isfinite(given):
        return refused(translate("Inputs", "no thermometer reads this"))
    if column.sensor is None:
        value_c = to_celsius(given, column.unit)
    else:
        try:
            value_c = column.sensor.to_celsius(given, cold_c)
        except SensorError as problem:
            return refused(str(problem))
    if not LOWEST_C <= value_c <= HIGHEST_C:
        return refused(translate("Inputs", "no thermometer reads this"))
    return Value(column.channel, column.source, number, value_c)


def written_unit(text: str) -> Unit | None:
    """The unit that stands behind the number in `text`, or None."""
    stripped = text.strip()
    match = _NUMBER["."].match(stripped) or _NUMBER[","].match(stripped)
    unit = _UNIT_AFTER.fullmatch(stripped[match.end() :]) if match else None
    if unit is None:
        return None
    letter = unit.group(1).upper()
    return "C" if letter == "C" else "F" if letter == "F" else "K"
