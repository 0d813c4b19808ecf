"""What a file leaves open and what came of reading it, in words."""

from __future__ import annotations

from collections.abc import Iterator

from smokejournal.cook.text.quantities import Units, date_time, duration
from smokejournal.cook.text.translate import translate
from smokejournal.inputs.recorded.form import (
    DateOrder,
    OpenPoint,
    WrittenForm,
    WrittenKind,
)
from smokejournal.inputs.recorded.read import FileReadings, FileRefusal

#: A logger whose clock was never set writes years like 1970 or 2000. Common practice, no source.
_UNSET_S = 1_104_537_600.0  # 2005-01-01


def kind_words(kind: WrittenKind) -> str:
    """What a time is, as it is chosen from a list."""
    return {
        "date": translate("Recorded", "date and clock time"),
        "clock": translate("Recorded", "clock time without a date"),
        "elapsed": translate("Recorded", "hours:minutes:seconds since the start"),
        "epoch": translate("Recorded", "seconds since 1970"),
        "epoch_ms": translate("Recorded", "milliseconds since 1970"),
        "millis": translate("Recorded", "milliseconds since the start"),
        "seconds": translate("Recorded", "seconds since the start"),
        "minutes": translate("Recorded", "minutes since the start"),
        "hours": translate("Recorded", "hours since the start"),
        "days": translate("Recorded", "days as a spreadsheet counts them"),
    }[kind]


def order_words(order: DateOrder) -> str:
    """In which order a date stands, as it is chosen from a list."""
    return {
        "ymd": translate("Recorded", "year, month, day"),
        "dmy": translate("Recorded", "day, month, year"),
        "mdy": translate("Recorded", "month, day, year"),
    }[order]


def question(point: OpenPoint, example: str = "") -> str:
    """What is asked about an open point. `example` is a time as it stands in the first row."""
    if point == "order":
        return translate(
            "Recorded",
            "“{time}” can be read with the day or the month first, and no row settles it. Say in which "
            "order the dates stand.",
        ).format(time=example)
    if point == "kind":
        return translate(
            "Recorded", "“{time}” can mean more than one time. Say what the time column holds."
        ).format(time=example)
    return {
        "time": translate("Recorded", "No column is plainly the time. Choose it."),
        "day": translate(
            "Recorded", "The file has clock times without a date. Give the day on which it began."
        ),
        "start": translate(
            "Recorded", "The file counts from its start. Give the moment at which the count began."
        ),
        "unit": translate(
            "Recorded",
            "Nothing says whether the temperatures are °C or °F. Choose it beside a column; it then "
            "holds for every column that has none.",
        ),
        "columns": translate("Recorded", "Choose at least one column of temperatures."),
        "fold": translate(
            "Recorded",
            "Some clock times occur twice, because the clock was set back that night. Say which of "
            "the two is meant.",
        ),
        "zone": translate("Recorded", "Choose the time zone in which the clock of the file hung."),
    }[point]


def refused_words(refusal: FileRefusal) -> str:
    """One reason, how often, and the first examples."""
    line, text = refusal.examples[0]
    if refusal.name:
        return translate(
            "Recorded", "{count} × column {column}: {reason}; the first in line {line}: {text}"
        ).format(
            count=f"{refusal.count:,}",
            column=refusal.name,
            reason=refusal.reason,
            line=line,
            text=text,
        )
    return translate("Recorded", "{count} × {reason}; the first in line {line}: {text}").format(
        count=f"{refusal.count:,}", reason=refusal.reason, line=line, text=text
    )


def findings(form: WrittenForm, read: FileReadings, units: Units) -> tuple[str, ...]:
    """What came of it, the sum first, then whatever a person should look at, one sentence or two
    each."""
    return (*_sums(form, read, units), *_oddities(form, read, units))


def _sums(form: WrittenForm, read: FileReadings, units: Units) -> Iterator[str]:
    zone = form.time.zone
    if not read.at_s.size:
        yield translate(
            "Recorded", "None of the {lines} lines can be read as it stands above."
        ).format(lines=f"{read.lines:,}")
    else:
        yield translate(
            "Recorded", "{readings} readings in {rows} lines, from {first} to {last}."
        ).format(
            readings=f"{read.readings:,}",
            rows=f"{read.at_s.size:,}",
            first=date_time(float(read.at_s.min()), zone, units),
            last=date_time(float(read.at_s.max()), zone, units),
        )
    if read.refused_lines:
        yield translate("Recorded", "{refused} of {lines} lines can't be read:").format(
            refused=f"{read.refused_lines:,}", lines=f"{read.lines:,}"
        )
        yield from map(refused_words, read.refused)
    if read.refused_cells:
        cells = sum(refusal.count for refusal in read.refused_cells)
        yield translate("Recorded", "Single numbers that can't be read: {count}.").format(
            count=f"{cells:,}"
        )
        yield from map(refused_words, read.refused_cells)
    if read.empty_cells:
        yield translate("Recorded", "Empty cells, which give no reading: {count}.").format(
            count=f"{read.empty_cells:,}"
        )


def _oddities(form: WrittenForm, read: FileReadings, units: Units) -> Iterator[str]:
    yield from read.odd
    if read.beyond:
        yield translate(
            "Recorded",
            "Temperatures below −60 °C or above 500 °C: {count}. Check the unit and the column.",
        ).format(count=f"{read.beyond:,}")
    if read.together:
        yield translate(
            "Recorded",
            "Rows at a moment that an earlier row has: {count}. What they say twice comes in once; "
            "other values come in a millisecond later.",
        ).format(count=f"{read.together:,}")
    if read.unended:
        yield translate(
            "Recorded",
            "The last line has no end. If the logger stopped in the middle of it, its last number may "
            "be cut off.",
        )
    if read.twice and read.fold == "order":
        yield translate(
            "Recorded",
            "The clock was set back that night, and the rows show where: the times before are read "
            "as the first, those after as the second.",
        )
    if read.backward:
        yield translate(
            "Recorded",
            "The time runs backward, first in line {line}; steps back in all: {count}. Each row keeps "
            "the time that it says. Check the order of the dates and the time zone.",
        ).format(count=f"{read.backward:,}", line=read.backward_line)
    if read.gaps:
        yield translate(
            "Recorded", "Gaps without a row: {count}, the longest of {longest}. They stay gaps."
        ).format(count=f"{read.gaps:,}", longest=duration(read.longest_gap_s))
    if read.at_s.size and float(read.at_s.min()) < _UNSET_S:
        yield translate(
            "Recorded",
            "The first row is of {first}. Perhaps the logger's clock was never set.",
        ).format(first=date_time(float(read.at_s.min()), form.time.zone, units))
    if form.encoding == "cp1252":
        yield translate(
            "Recorded",
            "The file is not in UTF-8 and was read as Windows-1252. Check the names of the columns.",
        )
    if form.heading > 1:
        yield translate(
            "Recorded", "Lines above the names of the columns, which are not read: {count}."
        ).format(count=form.heading - 1)
    if form.heading and form.first > form.heading + 1:
        yield translate(
            "Recorded", "The lines between the names and line {first} are not read."
        ).format(first=form.first)
