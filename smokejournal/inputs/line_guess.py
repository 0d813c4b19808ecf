"""Proposals for the Bench: how lines may be meant to be read, and what looks odd about them.

A guess is only ever shown; nothing is read by it before the person has said yes.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence

from smokejournal.cook.text.translate import translate
from smokejournal.inputs.cell import Column, Decimal, Unit, read_cell, to_celsius, written_unit
from smokejournal.inputs.line_format import DELIMITERS, Kind, LineFormat, split
from smokejournal.inputs.source import RefusedLine, Value
from smokejournal.science.numbers.units import f_from_c

_ANY_NUMBER = re.compile(r"[+-]?[0-9]*[.,]?[0-9]+(?:\s*(?:°|deg)?\s*[CFK])?", re.IGNORECASE)
_COMMA_DECIMAL = re.compile(r"[+-]?[0-9]+,[0-9]+(?:\s*(?:°|deg)?\s*[CFK])?", re.IGNORECASE)


def guess_format(lines: Sequence[str]) -> LineFormat:
    """The format under which most of `lines` give numbers. Columns are not yet mapped to channels.

    Lines in JSON or key=value are told by their looks; else the delimiter that cuts most lines into
    the same number of columns with most numbers in them. Units only where they are written.
    """
    lines = [line for line in lines if line.strip()]
    named: tuple[tuple[Kind, str], ...] = (
        ("json_lines", ","),
        ("key_value", ","),
        ("key_value", ";"),
        ("key_value", " "),
    )
    best = max(named, key=lambda k: _share(LineFormat(kind=k[0], delimiter=k[1]), lines))
    if lines and _share(LineFormat(kind=best[0], delimiter=best[1]), lines) >= 0.6:
        return _with_columns(LineFormat(kind=best[0], delimiter=best[1]), lines)
    return _delimited(lines)


def _share(form: LineFormat, lines: Sequence[str]) -> float:
    """Share of lines with a number in them; of equals, the one that finds most columns."""
    good = columns = 0
    for line in lines:
        cells = form.cells(line)
        if isinstance(cells, RefusedLine):
            continue
        numbers = sum(
            bool(_ANY_NUMBER.fullmatch(text.strip()))
            for name, text in cells.items()
            if not name.isdigit()  # "10:00:00" is a time of day and no key with its value
        )
        if numbers:
            good += 1
            columns += numbers - sum("=" in text for text in cells.values())
    return good / len(lines) + 1e-4 * columns / len(lines) if lines else 0.0


def guess_table(lines: Sequence[str], delimiters: Sequence[str]) -> LineFormat:
    """The same for rows of a table, which are never key=value or JSON."""
    return _delimited([line for line in lines if line.strip()], delimiters)


def _delimited(lines: Sequence[str], delimiters: Sequence[str] = DELIMITERS) -> LineFormat:
    best, best_score = LineFormat(), -1.0
    for delimiter in delimiters:
        widths = Counter(len(split(line, delimiter)) for line in lines)
        if not widths:
            continue
        width, many = widths.most_common(1)[0]
        same = [split(line, delimiter) for line in lines if len(split(line, delimiter)) == width]
        numbers = sum(bool(_ANY_NUMBER.fullmatch(part)) for parts in same for part in parts)
        score = many / len(lines) * numbers / (len(same) * width) + 0.01 * min(width, 20)
        if width == 1:
            score -= 0.05  # a single column is what a wrong delimiter sees as well
        if score > best_score:
            form = LineFormat(kind="delimited", delimiter=delimiter, width=width)
            best, best_score = _with_columns(form, lines), score
    return best


def _with_columns(form: LineFormat, lines: Sequence[str]) -> LineFormat:
    texts: dict[str, list[str]] = {}
    for line in lines:
        cells = form.cells(line)
        if not isinstance(cells, RefusedLine):
            for name, text in cells.items():
                texts.setdefault(name, []).append(text.strip())
    seen = [text for several in texts.values() for text in several]
    comma = form.delimiter != "," and sum(bool(_COMMA_DECIMAL.fullmatch(t)) for t in seen)
    decimal: Decimal = (
        "," if comma and not any(re.fullmatch(r"-?\d+\.\d+", t) for t in seen) else "."
    )
    columns: list[Column] = []
    for name, several in texts.items():
        numeric = [text for text in several if _ANY_NUMBER.fullmatch(text)]
        if len(numeric) * 2 < len(several):
            continue
        heading = next((t for t in several[:1] if not _ANY_NUMBER.fullmatch(t)), "")
        label = heading if form.kind == "delimited" else name
        units = Counter(u for u in map(written_unit, numeric) if u is not None)
        unit = units.most_common(1)[0][0] if units else unit_in_name(label) or "C"
        columns.append(Column(name, unit=unit, label=label))
    return LineFormat(form.kind, form.delimiter, decimal, tuple(columns), form.width)


def unit_in_name(name: str) -> Unit | None:
    """A unit as headings carry it: "pit_f", "Pit (°F)", "temp K"; None where they say none."""
    match = re.search(r"(?:[\s_(\[]|°|deg)\s*([CFK])[)\]]?\s*$", name, re.IGNORECASE)
    if match is None:
        return None
    return {"C": "C", "F": "F", "K": "K"}[match.group(1).upper()]  # type: ignore[return-value]


def hints(form: LineFormat, lines: Iterable[str], roles: Mapping[str, str]) -> tuple[str, ...]:
    """What looks odd about these lines under this format, in words. `roles` by channel key.

    A unit that is set wrong is told by values that fit another unit better. It is only said.
    """
    values: dict[str, list[float]] = {}
    mismatched: set[str] = set()
    for line in lines:
        cells = form.cells(line)
        if isinstance(cells, RefusedLine):
            continue
        for column in form.columns:
            text = cells.get(column.source, "")
            unit = written_unit(text)
            if unit is not None and unit != column.unit and column.sensor is None:
                mismatched.add(column.source)
            answer = read_cell(column, text, form.decimal)
            if isinstance(answer, Value):
                values.setdefault(column.source, []).append(answer.value_c)
    found: list[str] = []
    for column in form.columns:
        name = column.label or column.source
        if column.source in mismatched:
            found.append(
                translate(
                    "Inputs", "{column}: the lines carry another unit than °{unit}. Set the unit."
                ).format(column=name, unit=column.unit)
            )
        several = sorted(values.get(column.source, []))
        if several and column.channel in roles and column.sensor is None:
            odd = _odd(several[len(several) // 2], column.unit, roles[column.channel])
            if odd:
                found.append(f"{name}: {odd}")
    return tuple(found)


#: Where a reading of this kind lies while something is cooking or about to [°C].
_USUAL_C = {"meat": (-2.0, 99.0), "pit": (-10.0, 160.0), "air": (-30.0, 45.0)}


def _odd(value_c: float, unit: Unit, role: str) -> str:
    low, high = _USUAL_C.get(role, (-60.0, 500.0))
    number = {"C": value_c, "F": f_from_c(value_c), "K": value_c + 273.15}[unit]
    if role == "pit" and unit == "F" and 80.0 <= number <= 160.0:
        return translate(
            "Inputs", "{number} °F is cool for a pit. If the device sends °C, set the unit to C."
        ).format(number=f"{number:.0f}")
    if low <= value_c <= high:
        return ""
    for other in ("C", "F", "K"):
        if other != unit and low <= to_celsius(number, other) <= high:
            return translate(
                "Inputs",
                "{number} is unusual in {unit}. In {other} it would be {value} °C; "
                "look up what the device sends, and set the unit.",
            ).format(
                number=f"{number:.0f}",
                unit=_sign(unit),
                other=_sign(other),
                value=f"{to_celsius(number, other):.0f}",
            )
    return translate("Inputs", "{value} °C is unusual here. Is it the right column?").format(
        value=f"{value_c:.0f}"
    )


def _sign(unit: str) -> str:
    return "K" if unit == "K" else f"°{unit}"
