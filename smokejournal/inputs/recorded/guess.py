"""How a logger's file may be meant. What it doesn't say is left open, to be asked; nothing is read by a
guess before a person has seen it."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import islice, pairwise
from pathlib import Path
from typing import Final

from smokejournal.cook.text.translate import translate
from smokejournal.inputs.cell import Column, Decimal, Unit, written_unit
from smokejournal.inputs.configs import role_of
from smokejournal.inputs.line_format import LineFormat
from smokejournal.inputs.line_guess import hints, unit_in_name
from smokejournal.inputs.recorded.form import (
    DateOrder,
    WrittenColumn,
    WrittenForm,
    WrittenKind,
    WrittenTime,
)
from smokejournal.inputs.recorded.moments import ORDERS, look_of, orders_of
from smokejournal.inputs.recorded.text import MISSING, TableTrouble, cells_of, encoding_of, lines_of

DELIMITERS: Final = (";", "\t", ",", "|", " ")
#: Lines that a guess looks at.
SAMPLE: Final = 500

_TIME_NAME = re.compile(r"time|date|clock|epoch|unix|elapsed|stamp|\bsec|^t$|^s$|^min", re.I)
_SINCE_NAME = re.compile(r"elapsed|duration|since|runtime|run time", re.I)
#: Columns that hold numbers and no readings of a probe, by common practice; no source.
_NO_PROBE = re.compile(
    r"%|humid|\brh\b|batt|volt|\bfan\b|blower|damper|rssi|signal|press|hpa|set ?point|\bset\b|_set\b|"
    r"target|alarm|duty|^#|^no\.?$|^nr\.?$|index|^id$|count|record|sample|^row$|latitude|longitude|wind",
    re.I,
)
_UNIT_CELL = re.compile(
    r"\[?\(?(?:(?:°|º|deg ?)?[CFK]|s|sec|min|h|ms|%|m?v|hpa|utc|hh:mm(?::ss)?|date|time)\)?\]?",
    re.I,
)
_TEMPERATURE_CELL = re.compile(r"[\[(]?\s*(?:°|º|deg)?\s*([CFK])\s*[\])]?", re.I)
_UNIT_LINE = re.compile(r"\bunits?\b.*?[\s:=,;\"(°º]([CF])\b", re.I)
_BARE_UNIT = re.compile(r"[\s_][CFK]\s*$", re.I)
_UNIT_WORD = re.compile(r"celsius|centigrade|fahrenheit|kelvin", re.I)
_HALF = re.compile(r"[ap]\.?m\.?", re.I)
_THOUSANDS = re.compile(r"[+-]?\d{1,3}(?:,\d{3})+")
_EPOCH_S: Final = (946_684_800.0, 4_102_444_800.0)  # the years 2000 to 2099
_SPREADSHEET_DAYS: Final = (36_526.0, 73_050.0)  # the same years

_Rows = Sequence[tuple[int, list[str]]]


@dataclass(frozen=True, slots=True)
class _Seen:
    """A guess, how many cells it makes sense of, and the trouble that keeps it from being read."""

    score: float
    form: WrittenForm
    trouble: str = ""


def guess_file(path: Path, zone: str) -> WrittenForm:
    """How this file may be meant, times in `zone` where they carry none. TableTrouble where it can't be
    read, or where no delimiter gives times beside numbers."""
    encoding = encoding_of(path)
    lines = first_lines(path, encoding)
    seen = [guess for d in DELIMITERS if (guess := _try(path, encoding, lines, d, zone))]
    if not seen:
        raise TableTrouble(
            translate(
                "Recorded",
                "{name} holds no table of readings that could be made out: a column of times beside "
                "columns of numbers, a row to a line.",
            ).format(name=path.name)
        )
    best = max(seen, key=lambda guess: (not guess.trouble, guess.score))
    if best.trouble:
        raise TableTrouble(best.trouble)
    return best.form


def first_lines(path: Path, encoding: str) -> list[str]:
    """The lines that a guess looks at."""
    return list(islice(lines_of(path, encoding), SAMPLE))


def guess_again(form: WrittenForm, delimiter: str) -> WrittenForm:
    """The guess for another delimiter. TableTrouble where it gives no table."""
    lines = first_lines(form.path, form.encoding)
    seen = _try(form.path, form.encoding, lines, delimiter, form.time.zone)
    if seen is None or seen.trouble:
        raise TableTrouble(
            (seen.trouble if seen else "")
            or translate("Recorded", "Cut like this, there are no times beside numbers.")
        )
    return seen.form


def with_time_columns(form: WrittenForm, columns: tuple[int, ...]) -> WrittenForm:
    """The same form with the time in other columns, and what follows from that."""
    lines = first_lines(form.path, form.encoding)
    rows = [
        (number, cells)
        for number, line in enumerate(lines, 1)
        if number >= form.first and len(cells := cells_of(line, form.delimiter)) == form.width
    ]
    columns = _with_half(columns, rows)
    time = _time_of(form.path, form.encoding, form.delimiter, columns, rows, form.names, [])
    kept = replace(time, zone=form.time.zone)
    columns_left = tuple(c for c in form.columns if c.place not in columns)
    return replace(form, time=kept, columns=columns_left)


def with_heading(form: WrittenForm, line: int) -> WrittenForm:
    """The same form with the names of the columns in another line (from 1; 0: nowhere), the rows from
    the next one on. TableTrouble where that line is not as wide as the rows."""
    if not line:
        names = tuple(str(place + 1) for place in range(form.width))
        first = 1
    else:
        lines = first_lines(form.path, form.encoding)
        cells = cells_of(lines[line - 1], form.delimiter) if line <= len(lines) else []
        while len(cells) > form.width and not cells[-1]:
            cells = cells[:-1]
        if len(cells) != form.width:
            raise TableTrouble(
                translate(
                    "Recorded", "Line {line} has {names} columns, and the rows have {width}."
                ).format(line=line, names=len(cells), width=form.width)
            )
        names = tuple(cell or str(place + 1) for place, cell in enumerate(cells))
        first = line + 1
    columns = tuple(replace(c, name=names[c.place]) for c in form.columns)
    return replace(form, heading=line, first=first, names=names, columns=columns)


def odd_units(form: WrittenForm) -> tuple[str, ...]:
    """Columns whose numbers fit another unit better than the one that is set, in words."""
    columns = tuple(
        Column(str(c.place + 1), str(c.place), c.unit, label=c.name)
        for c in form.taken
        if c.unit is not None
    )
    roles = {c.channel: role_of(Column(c.source, label=c.label)) for c in columns}
    lines = first_lines(form.path, form.encoding)[form.first - 1 :]
    return hints(LineFormat("delimited", form.delimiter, form.decimal, columns), lines, roles)


def _look(cell: str) -> str:
    if cell.casefold() in MISSING:
        return "missing"
    look = look_of(cell)
    if look == "text" and written_unit(cell) is not None:
        return "number"
    return "number" if look == "text" and re.fullmatch(r"[+-]?[.,]\d+", cell) else look


def _try(
    path: Path, encoding: str, lines: Sequence[str], delimiter: str, zone: str
) -> _Seen | None:
    rows = [
        (number, cells_of(line, delimiter)) for number, line in enumerate(lines, 1) if line.strip()
    ]
    # The heading has the names, the rows have the say: most lines are rows.
    width = Counter(len(cells) for _, cells in rows).most_common(1)[0][0] if rows else 0
    body = [(number, cells) for number, cells in rows if len(cells) == width]
    if width < 2:
        return None
    looks = [_main_look(body, place) for place in range(width)]
    data = [(number, cells) for number, cells in body if _is_data(cells, looks)]
    if not data:
        return None
    first = data[0][0]
    heading, names, units, trouble = _heading(rows, first, looks)
    places = _time_places(looks, names, data)
    trouble = trouble or _row_per_probe(looks, names, places, data)
    numbers = [p for p, look in enumerate(looks) if look == "number" and p not in places]
    if not numbers:
        return None
    time = _time_of(path, encoding, delimiter, places, data, names, units)
    decimal = _decimal(data, [*numbers, *(p for p in places if looks[p] == "number")])
    said = next(
        (m for n, line in enumerate(lines[: first - 1]) if (m := _UNIT_LINE.search(line))), None
    )
    columns = _columns(numbers, names, units, data, _unit(said[1]) if said else None)
    form = WrittenForm(
        path, encoding, delimiter, decimal, heading, first, names, replace(time, zone=zone), columns
    )
    score = len(data) * (len(numbers) + len(places)) * (1.0 if places else 0.5)
    return _Seen(score, form, trouble)


def _main_look(body: _Rows, place: int) -> str:
    """What most cells of a column look like, without those that are empty; "" where nothing does."""
    looks = Counter(_look(cells[place]) for _, cells in body)
    del looks["missing"]
    # A heading and a row of units are text in every column.
    text = looks.pop("text", 0)
    if not looks:
        return ""
    look, count = looks.most_common(1)[0]
    # Nothing else looks like a time by chance.
    share = 0.5 if look == "number" else 0.1
    return look if count >= max(1, text - 1) * share else ""


def _is_data(cells: Sequence[str], looks: Sequence[str]) -> bool:
    fits = told = 0
    for cell, look in zip(cells, looks, strict=True):
        if not look:
            continue
        told += 1
        fitting = _look(cell) in (look, "missing")
        if look != "number" and not fitting:
            return False
        fits += fitting
    return any(_look(cell) in ("when", "date", "clock", "number") for cell in cells) and (
        fits * 2 > told
    )


def _heading(
    rows: _Rows, first: int, looks: Sequence[str]
) -> tuple[int, tuple[str, ...], list[str], str]:
    """The line of the heading (0: none), the names of all columns, the units beneath them, and what
    is wrong with it."""
    width = len(looks)
    plain = tuple(str(place + 1) for place in range(width))
    above = [(number, cells) for number, cells in rows if number < first and len(cells) > 1]
    units: list[str] = []
    if len(above) > 1 and len(above[-1][1]) == width and _is_units(above[-1][1]):
        units = above.pop()[1]
    if not above:
        return 0, plain, units, ""
    number, cells = above[-1]
    while len(cells) > width and not cells[-1]:
        cells = cells[:-1]
    if len(cells) < width and not any(looks[len(cells) :]):
        cells = [*cells, *[""] * (width - len(cells))]
    if len(cells) != width:
        trouble = translate(
            "Recorded",
            "Line {line} names {names} columns, but most rows have {width}. Where numbers have decimal "
            "commas, save the table with semicolons between the columns.",
        ).format(line=number, names=len(cells), width=width)
        return 0, plain, units, trouble
    names = tuple(cell or plain[place] for place, cell in enumerate(cells))
    return number, names, units, ""


def _is_units(cells: Sequence[str]) -> bool:
    said = [cell for cell in cells if cell]
    return bool(said) and all(_UNIT_CELL.fullmatch(cell) for cell in said)


def _row_per_probe(
    looks: Sequence[str], names: Sequence[str], places: Sequence[int], data: _Rows
) -> str:
    """What is wrong with a table that has a row for each probe, where a column names it."""
    times = [tuple(cells[place] for place in places) for _, cells in data]
    together = sum(a == b for a, b in pairwise(times))
    if not places or together * 2 < len(times) - 1 or len(times) < 4:
        return ""
    for place, look in enumerate(looks):
        texts = Counter(cells[place] for _, cells in data if _look(cells[place]) == "text")
        if not look and place not in places and len(texts) > 1 and min(texts.values()) > 1:
            return translate(
                "Recorded",
                "The table has a row for each probe, named in the column “{name}”. Save it with a column "
                "for each probe, or one probe to a file.",
            ).format(name=names[place])
    return ""


def _with_half(places: tuple[int, ...], data: _Rows) -> tuple[int, ...]:
    """With the column that says AM or PM, where that stands apart."""
    for place in range(len(data[0][1]) if data and places else 0):
        said = [cells[place] for _, cells in data if cells[place]]
        if place not in places and said and all(_HALF.fullmatch(text) for text in said):
            return (*places, place)
    return places


def _time_places(looks: Sequence[str], names: Sequence[str], data: _Rows) -> tuple[int, ...]:
    """The column of the time, or those of date, clock and half of the day; none where it can't be
    told."""
    whole = [p for p, look in enumerate(looks) if look == "when"]
    if whole:
        return _with_half((whole[0],), data)
    days = [p for p, look in enumerate(looks) if look == "date"]
    clocks = [p for p, look in enumerate(looks) if look == "clock"]
    if days and clocks:
        return _with_half((days[0], clocks[0]), data)
    if clocks:
        return _with_half((clocks[0],), data)
    numbers = [p for p, look in enumerate(looks) if look == "number"]
    for place in numbers:
        values = _values(data, place)
        if values and (_all_in(values, _EPOCH_S) or _all_in(values, _EPOCH_S, 1000.0)):
            return (place,)
    for place in numbers:
        if _TIME_NAME.search(names[place]) and not _NO_PROBE.search(names[place]):
            return (place,)
    if numbers and names[numbers[0]].isdigit():
        values = _values(data, numbers[0])
        if len(values) > 1 and all(a < b for a, b in pairwise(values)):
            return (numbers[0],)
    return ()


def _values(data: _Rows, place: int) -> list[float]:
    found = []
    for _, cells in data:
        try:
            found.append(float(cells[place].replace(",", ".")))
        except ValueError:
            continue
    return found


def _all_in(values: Sequence[float], limits: tuple[float, float], scale: float = 1.0) -> bool:
    return all(limits[0] * scale <= value <= limits[1] * scale for value in values)


def _time_of(
    path: Path,
    encoding: str,
    delimiter: str,
    places: tuple[int, ...],
    data: _Rows,
    names: Sequence[str],
    units: Sequence[str],
) -> WrittenTime:
    if not places or not data:
        return WrittenTime(places)
    texts = [" ".join(cells[place] for place in places) for _, cells in data]
    look = Counter(_look(text) for text in texts).most_common(1)[0][0]
    name = names[places[0]]
    if look == "when":
        orders = _orders(texts)
        if len(orders) > 1:
            # A later row may settle it: after the 12th of a month there is only one way.
            orders = _orders(
                {
                    " ".join(cells[place] for place in places)
                    for line in lines_of(path, encoding)
                    if len(cells := cells_of(line, delimiter)) == len(names)
                }
            )
        order = orders[0] if len(orders) == 1 else None
        return WrittenTime(places, "date", ("date",), order, orders)
    if look == "clock":
        return _clock_of(places, texts, name)
    values = _values(data, places[0])
    if not values or len(places) > 1:
        return WrittenTime(places)
    kinds = _number_kinds(values, name, units[places[0]] if units else "")
    return WrittenTime(places, kinds[0] if len(kinds) == 1 else None, kinds)


def _orders(texts: Sequence[str] | set[str]) -> tuple[DateOrder, ...]:
    """The orders that hold for every date; where none does, all that hold for some."""
    each = [orders for orders in map(orders_of, texts) if orders]
    if not each:
        return ()
    held = frozenset.intersection(*each) or frozenset.union(*each)
    return tuple(order for order in ORDERS if order in held)


def _clock_of(places: tuple[int, ...], texts: Sequence[str], name: str) -> WrittenTime:
    kinds: tuple[WrittenKind, ...] = ("clock",)
    hours = [int(text.split(":")[0]) for text in texts if _look(text) == "clock"]
    halves = any(re.search(r"[AaPp]\.?[Mm]", text) for text in texts)
    three = all(text.count(":") == 2 for text in texts if _look(text) == "clock")
    if not halves and hours[0] == 0 and not three:
        # Minutes and seconds, perhaps: nothing says so.
        kinds = ("clock", "elapsed")
    elif three and (max(hours) > 23 or _SINCE_NAME.search(name)):
        kinds = ("elapsed",)
    elif three and hours[0] == 0 and not halves:
        kinds = ("clock", "elapsed")
    return WrittenTime(places, kinds[0] if len(kinds) == 1 else None, kinds)


def _number_kinds(values: Sequence[float], name: str, unit: str) -> tuple[WrittenKind, ...]:
    if _all_in(values, _EPOCH_S):
        return ("epoch",)
    if _all_in(values, _EPOCH_S, 1000.0):
        return ("epoch_ms",)
    said = f"{name} {unit}".casefold()
    words: tuple[tuple[WrittenKind, str], ...] = (
        ("millis", r"\bms\b|_ms\b|milli"),
        ("seconds", r"\bs\b|_s\b|\bsecs?\b|_sec\b|second"),
        ("minutes", r"\bmins?\b|_min\b|minute"),
        ("hours", r"\bh\b|_h\b|\bhrs?\b|\bhours?\b"),
    )
    told = tuple(kind for kind, pattern in words if re.search(pattern, said))
    if len(told) == 1:
        return told
    if _all_in(values, _SPREADSHEET_DAYS):
        return ("days", "seconds", "minutes", "millis")
    return ("seconds", "minutes", "hours", "millis")


def _decimal(data: _Rows, places: Sequence[int]) -> Decimal:
    cells = [row[place] for _, row in data for place in places]
    commas = [cell for cell in cells if "," in cell]
    dots = sum("." in cell for cell in cells)
    if len(commas) <= dots or all(_THOUSANDS.fullmatch(cell) for cell in commas):
        # "1,250" may be 1250: with a point it is refused and shown, not read as one and a quarter.
        return "."
    return ","


def _columns(
    numbers: Sequence[int],
    names: Sequence[str],
    units: Sequence[str],
    data: _Rows,
    said: Unit | None,
) -> tuple[WrittenColumn, ...]:
    found = []
    for place in numbers:
        name = names[place]
        under = units[place] if units else ""
        cell = _TEMPERATURE_CELL.fullmatch(under)
        written = Counter(u for _, cells in data if (u := written_unit(cells[place])) is not None)
        word = _UNIT_WORD.search(f"{name} {under}")
        unit = _unit(cell[1]) if cell else unit_in_name(name)
        unit = _unit(word[0][0]) if word and unit is None else unit
        if written:
            unit = written.most_common(1)[0][0]
        other = bool(under) and cell is None and word is None
        counts = unit is None and _is_index(_values(data, place))
        taken = not other and not counts and not _NO_PROBE.search(name)
        found.append(WrittenColumn(place, name, unit, taken))
    if any(c.unit is None for c in found if c.taken):
        # "Probe C" after "Probe A" and "Probe B" is no unit.
        found = [
            replace(c, unit=None)
            if _BARE_UNIT.search(c.name) and not (units and units[c.place])
            else c
            for c in found
        ]
    return tuple(replace(c, unit=c.unit or said) for c in found)


def _is_index(values: Sequence[float]) -> bool:
    """Numbers that count the rows."""
    return len(values) > 2 and all(b - a == 1.0 for a, b in pairwise(values))


def _unit(letter: str) -> Unit:
    return {"C": "C", "F": "F", "K": "K"}[letter.upper()]  # type: ignore[return-value]
