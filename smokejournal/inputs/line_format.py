"""How the lines of a device are to be read: delimited columns, key=value, or JSON."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, ClassVar, Literal, get_args

from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.strict import NEEDED, OneOf, Range, read, written
from smokejournal.cook.text.translate import translate
from smokejournal.inputs.cell import NEWEST, Columns, Decimal, Unit, read_cells, version_of
from smokejournal.inputs.source import RefusedLine, Value

Kind = Literal["delimited", "key_value", "json_lines"]

#: A space stands for any run of blanks.
DELIMITERS = (",", ";", "\t", "|", " ")
DECIMALS: tuple[str, ...] = get_args(Decimal)
UNITS: tuple[str, ...] = get_args(Unit)


@dataclass(frozen=True, slots=True)
class ParsedLine:
    """What one line gave. `refused` with an empty source is the whole line's."""

    values: tuple[Value, ...] = ()
    refused: tuple[RefusedLine, ...] = ()


@dataclass(frozen=True, slots=True)
class LineFormat:
    """How to read a line. `width` is how many columns a delimited line must have, where it is known:
    two lines that ran together are then refused instead of read."""

    newest: ClassVar[int] = NEWEST
    kind: Annotated[Kind, NEEDED] = "delimited"
    delimiter: Annotated[str, OneOf(DELIMITERS)] = ","
    decimal: Decimal = "."
    columns: Columns = ()
    width: Annotated[int, Range(1, 1000)] | None = None

    def check_together(self) -> None:
        """SchemaProblem where no line could be read so."""
        if self.decimal == "," and self.delimiter == "," and self.kind != "json_lines":
            raise SchemaProblem(
                "decimal",
                translate("Inputs", "A comma can't be both the decimal mark and between columns."),
            )
        for n, column in enumerate(self.columns if self.kind == "delimited" else ()):
            if not re.fullmatch("[1-9][0-9]*", column.source):
                raise SchemaProblem(
                    f"columns[{n}].source",
                    translate("Inputs", "Give the column's number, counted from 1."),
                )

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
        data = {"version": version_of(self.columns), **written(self, in_full=True)}
        return data | {"columns": data.pop("columns")}


def format_from_json(data: object, where: str = "format") -> LineFormat:
    """The format that `data` is the written form of; SchemaProblem says what is wrong and where."""
    return read(LineFormat, data, where)


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
