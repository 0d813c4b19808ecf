"""How the lines of a device are to be read: delimited columns, key=value, or JSON."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields
from typing import Any, Literal, get_args

from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.translate import translate
from smokejournal.inputs.cell import Column, Decimal, Unit, read_cells
from smokejournal.inputs.config_fields import Fields
from smokejournal.inputs.sensor import sensor_from_json
from smokejournal.inputs.source import RefusedLine, Value

Kind = Literal["delimited", "key_value", "json_lines"]
KINDS: tuple[str, ...] = get_args(Kind)

#: A space stands for any run of blanks.
DELIMITERS = (",", ";", "\t", "|", " ")
DECIMALS: tuple[str, ...] = get_args(Decimal)
UNITS: tuple[str, ...] = get_args(Unit)
MOST_COLUMNS = 64

#: Version 2 has columns with a sensor. Without one, 1 is written, which older programs read.
NEWEST = 2


@dataclass(frozen=True, slots=True)
class ParsedLine:
    """What one line gave. `refused` with an empty source is the whole line's."""

    values: tuple[Value, ...] = ()
    refused: tuple[RefusedLine, ...] = ()


@dataclass(frozen=True, slots=True)
class LineFormat:
    """How to read a line. `width` is how many columns a delimited line must have, where it is known:
    two lines that ran together are then refused instead of read."""

    kind: Kind = "delimited"
    delimiter: str = ","
    decimal: Decimal = "."
    columns: tuple[Column, ...] = field(default=())
    width: int | None = None

    def parse(self, line: str) -> ParsedLine:
        """The values of `line`, and what of it was refused. Never raises."""
        cells = self.cells(line)
        if isinstance(cells, RefusedLine):
            return ParsedLine((), (cells,))
        values, refused = read_cells(self.columns, cells.get, self.decimal)
        if not values and not refused:
            refused.append(RefusedLine(translate("Inputs", "no column is set up"), line))
        return ParsedLine(tuple(values), tuple(refused))

    def cells(self, line: str) -> Mapping[str, str] | RefusedLine:
        """The columns that stand in `line`, by their names, as text."""
        if self.kind == "json_lines":
            return _json_cells(line)
        if self.kind == "key_value":
            return _key_value_cells(line, self.delimiter)
        parts = split(line, self.delimiter)
        if self.width is not None and len(parts) != self.width:
            return RefusedLine(translate("Inputs", "another number of columns than set"), line)
        return {str(n): part for n, part in enumerate(parts, start=1)}

    def to_json(self) -> dict[str, Any]:
        """Its written form."""
        return {
            "version": version_of(self.columns),
            "kind": self.kind,
            "delimiter": self.delimiter,
            "decimal": self.decimal,
            "width": self.width,
            "columns": [columns_to_json(column) for column in self.columns],
        }


def format_from_json(data: object, where: str = "format") -> LineFormat:
    """The format that `data` is the written form of; SchemaProblem says what is wrong and where."""
    given = Fields(data, where, ("version", "kind", "delimiter", "decimal", "width", "columns"))
    given.version(NEWEST)
    kind = given.choice("kind", KINDS)
    delimiter = given.choice("delimiter", DELIMITERS, ",")
    decimal = given.choice("decimal", DECIMALS, ".")
    width = given.whole("width", 1, 1000, None)
    columns = columns_from_json(given.items("columns", MOST_COLUMNS), f"{where}.columns")
    if decimal == "," and delimiter == "," and kind != "json_lines":
        raise SchemaProblem(
            f"{where}.decimal",
            translate("Inputs", "A comma can't be both the decimal mark and between columns."),
        )
    if kind == "delimited":
        for n, column in enumerate(columns):
            if (
                not column.source.isascii()
                or not column.source.isdigit()
                or column.source[0] == "0"
            ):
                raise SchemaProblem(
                    f"{where}.columns[{n}].source",
                    translate("Inputs", "Give the column's number, counted from 1."),
                )
    return LineFormat(kind, delimiter, decimal, columns, width)  # type: ignore[arg-type]


def version_of(columns: Sequence[Column]) -> int:
    """The version in which these columns are written."""
    return NEWEST if any(column.sensor is not None for column in columns) else 1


def columns_to_json(column: Column) -> dict[str, Any]:
    """The written form of one column."""
    data = {f.name: getattr(column, f.name) for f in fields(column) if f.name != "sensor"}
    return data if column.sensor is None else data | {"sensor": column.sensor.to_json()}


def columns_from_json(items: list[object], where: str) -> tuple[Column, ...]:
    """Columns from their written form; no channel and no source may be there twice."""
    columns: list[Column] = []
    for n, item in enumerate(items):
        here = f"{where}[{n}]"
        given = Fields(item, here, ("source", "channel", "unit", "scale", "label", "sensor"))
        sensor = given.data.get("sensor")
        column = Column(
            source=given.text("source", 1, 100),
            channel=given.text("channel", 0, 200, ""),
            unit=given.choice("unit", UNITS, "C"),  # type: ignore[arg-type]
            scale=given.number("scale", -1e6, 1e6, 1.0),
            label=given.text("label", 0, 200, ""),
            sensor=None if sensor is None else sensor_from_json(sensor, f"{here}.sensor"),
        )
        if column.scale == 0:
            raise SchemaProblem(
                f"{here}.scale", translate("Inputs", "The scale can't be 0. Give 1 for none.")
            )
        if any(column.source == other.source for other in columns):
            raise SchemaProblem(
                f"{here}.source", translate("Inputs", "This column is there twice.")
            )
        if column.channel and any(column.channel == other.channel for other in columns):
            raise SchemaProblem(
                f"{here}.channel",
                translate("Inputs", "Two columns can't feed the same channel."),
            )
        columns.append(column)
    return tuple(columns)


def split(line: str, delimiter: str) -> list[str]:
    """Parts of a delimited line. Quotes around a part are taken off."""
    parts = line.split() if delimiter == " " else line.split(delimiter)
    return [part.strip().strip('"') for part in parts]


_PAIR = re.compile(
    r"([^\s=:]+)\s*[=:]\s*([^\s=:]+(?:\s*(?:°|deg)\s*[CFK]\b|\s+[CFK]\b(?!\s*[=:]))?)"
)


def _key_value_cells(line: str, delimiter: str) -> Mapping[str, str] | RefusedLine:
    pairs: list[tuple[str, str]] = []
    if delimiter == " ":
        pairs = [(m.group(1), m.group(2)) for m in _PAIR.finditer(line)]
    else:
        for part in line.split(delimiter):
            found = re.fullmatch(r"\s*([^=:]+?)\s*[=:]\s*([^=:]*?)\s*", part)
            if found:
                pairs.append((found.group(1), found.group(2)))
    if not pairs:
        return RefusedLine(translate("Inputs", "no key=value in it"), line)
    return _once(pairs, line)


def _once(pairs: list[tuple[str, str]], line: str) -> Mapping[str, str] | RefusedLine:
    cells = dict(pairs)
    if len(cells) < len(pairs):
        return RefusedLine(translate("Inputs", "one key is there twice"), line)
    return cells


class _Literal(str):
    """A number as it stands in the JSON text."""


class _TwiceError(ValueError):
    pass


def _unique(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        raise _TwiceError
    return found


def _json_cells(line: str) -> Mapping[str, str] | RefusedLine:
    try:
        data = json.loads(
            line,
            parse_float=_Literal,
            parse_int=_Literal,
            parse_constant=str,
            object_pairs_hook=_unique,
        )
    except _TwiceError:
        return RefusedLine(translate("Inputs", "one key is there twice"), line)
    except (ValueError, RecursionError):
        return RefusedLine(translate("Inputs", "no JSON"), line)
    if not isinstance(data, dict | list):
        return RefusedLine(translate("Inputs", "JSON without names"), line)
    cells: list[tuple[str, str]] = []
    _flatten(data, "", cells)
    return _once(cells, line)


def _flatten(data: Any, path: str, into: list[tuple[str, str]]) -> None:
    """Leaves under their paths; depth is bounded, for the parser took it and lines are short."""
    items: list[tuple[str, Any]]
    items = (
        list(data.items())
        if isinstance(data, dict)
        else [(str(n), item) for n, item in enumerate(data, start=1)]
    )
    for key, item in items:
        name = f"{path}.{key}" if path else str(key)
        if isinstance(item, dict | list):
            if name.count(".") < 8:
                _flatten(item, name, into)
        elif isinstance(item, str):
            into.append((name, item))
        elif item is not None:
            into.append((name, json.dumps(item)))
