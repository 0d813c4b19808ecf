"""How the file is read: what was guessed, to be put right."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import Any, TypeAlias, get_args

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QFormLayout,
    QTableWidget,
    QWidget,
)

from smokejournal.cook.text.quantities import Units
from smokejournal.cook.text.times import zone_of
from smokejournal.desk.base.tables import FIXED, STRETCHED, PlainTable
from smokejournal.desk.base.widgets import new_column
from smokejournal.desk.parts.choice_box import ChoiceBox
from smokejournal.desk.parts.fields import CountField, MomentField, TextField
from smokejournal.desk.parts.zone_box import ZoneBox
from smokejournal.inputs.cell import Unit
from smokejournal.inputs.recorded.form import (
    BY_CLOCK,
    SINCE_START,
    WrittenForm,
    WrittenKind,
)
from smokejournal.inputs.recorded.guess import (
    DELIMITERS,
    guess_again,
    with_heading,
    with_time_columns,
)
from smokejournal.inputs.recorded.moments import ORDERS, day_of_text
from smokejournal.inputs.recorded.read import FileReadings
from smokejournal.inputs.recorded.words import kind_words, order_words

Change: TypeAlias = Callable[[WrittenForm], WrittenForm]

_SAME = -1
_UNITS = (("°C", "C"), ("°F", "F"), ("K", "K"))


class TableForm(QWidget):
    """`asked(change)` when a person puts something right: a function from the form as it is to the form
    as it is meant. It may read the file, so it is called in the background."""

    asked = Signal(object)

    def __init__(self, units: Units, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("fromFileForm")
        self._filling = False
        self._count = 0
        names = {
            ";": self.tr("semicolon ;"),
            "\t": self.tr("tab"),
            ",": self.tr("comma ,"),
            "|": self.tr("bar |"),
            " ": self.tr("blanks"),
        }
        self.delimiter = self._box(
            "fromFileDelimiter",
            self.tr("Between the columns"),
            *((names[mark], mark) for mark in DELIMITERS),
        )
        self.decimal = self._box(
            "fromFileDecimal",
            self.tr("Decimal mark"),
            *((self.tr("point 1.5"), "."), (self.tr("comma 1,5"), ",")),
        )
        self.heading = CountField(
            "fromFileHeading", self.tr("Line with the names"), self, low=0, high=500
        )
        self.time = self._box("fromFileTime", self.tr("Column with the time"))
        self.clock = self._box("fromFileClock", self.tr("Column with the clock time"))
        unsaid = (self.tr("choose …"), None)
        kinds = ((kind_words(kind), kind) for kind in get_args(WrittenKind))
        self.kind = self._box("fromFileKind", self.tr("The time is"), unsaid, *kinds)
        orders = ((order_words(order), order) for order in ORDERS)
        self.order = self._box("fromFileOrder", self.tr("Order of the dates"), unsaid, *orders)
        self.day = TextField("fromFileDay", self.tr("It began on"), self, hint="2026-03-21")
        self.begun = MomentField("fromFileBegun", self.tr("The count began at"), self, units=units)
        self.zone = ZoneBox("fromFileZone", self)
        self.fold = self._box(
            "fromFileFold",
            self.tr("Clock times that occur twice"),
            unsaid,
            (self.tr("are the first, before the clock was set back"), "first"),
            (self.tr("are the second, after it was set back"), "second"),
            (self.tr("go by the order of the rows"), "order"),
        )
        self.columns = self._columns_table()
        self._form = QFormLayout()
        self._form.setVerticalSpacing(6)
        self._form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        self._form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
        for label, field in (
            (self.tr("&Between columns"), self.delimiter),
            (self.tr("Decimal &mark"), self.decimal),
            (self.tr("&Line with names"), self.heading),
            (self.tr("&Time column"), self.time),
            (self.tr("&Clock column"), self.clock),
            (self.tr("The time &is"), self.kind),
            (self.tr("&Order of dates"), self.order),
            (self.tr("It began &on"), self.day),
            (self.tr("Count began &at"), self.begun),
            (self.tr("Time &zone"), self.zone),
            ("", self.zone.problem),
            (self.tr("Occurs t&wice"), self.fold),
        ):
            self._form.addRow(label, field)
        new_column(self, self._form, (self.columns, 1), spacing=8, margins=(0, 0, 8, 0))
        self._connect()

    def _box(self, name: str, label: str, *choices: tuple[str, object]) -> ChoiceBox:
        return ChoiceBox(self, name=name, hears=label, letters=14, choices=choices)

    def _columns_table(self) -> QTableWidget:
        table = PlainTable(
            self,
            "fromFileColumns",
            self.tr("Columns that are read, and their units"),
            [self.tr("Read the column"), self.tr("Unit")],
            row_px=38,
            columns=FIXED,
            fields=True,
        )
        table.setMinimumHeight(150)
        table.horizontalHeader().setSectionResizeMode(0, STRETCHED)
        table.setColumnWidth(1, 132)
        return table

    def _connect(self) -> None:
        self.delimiter.currentIndexChanged.connect(self._on_delimiter)
        self.decimal.currentIndexChanged.connect(self._on_decimal)
        self.heading.edit.editingFinished.connect(self._on_heading)
        self.time.currentIndexChanged.connect(self._on_time)
        self.clock.currentIndexChanged.connect(self._on_time)
        for name, box in (("kind", self.kind), ("order", self.order), ("fold", self.fold)):
            box.currentIndexChanged.connect(partial(self._on_of_time, name, box))
        self.day.edit.editingFinished.connect(self._on_day)
        self.begun.changed.connect(self._on_begun)
        self.zone.activated.connect(self._on_zone)
        edit = self.zone.lineEdit()
        if edit is not None:
            edit.editingFinished.connect(self._on_zone)

    # what is shown

    def show_form(self, form: WrittenForm, read: FileReadings | None) -> None:
        """Show this form, and what was found on the way of reading it."""
        self._filling = True
        time = form.time
        self.delimiter.choose(form.delimiter)
        self.decimal.choose(form.decimal)
        if self.heading.value() != form.heading:
            self.heading.set_value(float(form.heading))
        unnamed = self.tr("column {name}")
        columns = [
            (unnamed.format(name=name) if name == str(place + 1) else name, place)
            for place, name in enumerate(form.names)
        ]
        for box, first, chosen in (
            (self.time, self.tr("choose …"), time.columns[:1]),
            (self.clock, self.tr("in the same column"), time.columns[1:]),
        ):
            box.offer([(first, _SAME), *columns], chosen[0] if chosen else _SAME)
        for box, value in (
            (self.kind, time.kind),
            (self.order, time.order),
            (self.fold, time.fold or (read.fold if read is not None else None)),
        ):
            box.choose(value)
        self.zone.set_zone(time.zone)
        self.begun.set_zone(time.zone)
        self._form.setRowVisible(self.clock, bool(time.columns))
        self._form.setRowVisible(self.kind, bool(time.columns))
        self._form.setRowVisible(self.order, time.kind == "date")
        self._form.setRowVisible(self.day, time.kind == "clock")
        self._form.setRowVisible(self.begun, time.kind in SINCE_START)
        twice = read is not None and read.twice > 0 and time.kind in BY_CLOCK
        self._form.setRowVisible(self.fold, twice)
        self._show_columns(form)
        self._filling = False

    def _show_columns(self, form: WrittenForm) -> None:
        self.columns.setRowCount(len(form.columns))
        for row, column in enumerate(form.columns):
            read = self.columns.cellWidget(row, 0)
            if not isinstance(read, QCheckBox):
                read = QCheckBox()
                read.setObjectName(f"fromFileRead_{row}")
                read.toggled.connect(partial(self._on_taken, row))
                self.columns.setCellWidget(row, 0, read)
            # "&" in a name is no key.
            read.setText(column.name.replace("&", "&&"))
            read.setToolTip(column.name)
            read.setChecked(column.taken)
            unit = self.columns.cellWidget(row, 1)
            if not isinstance(unit, ChoiceBox):
                unsaid = (self.tr("choose …"), None)
                unit = self._box(f"fromFileUnit_{row}", "", unsaid, *_UNITS)
                unit.setMinimumContentsLength(6)
                unit.currentIndexChanged.connect(partial(self._on_unit, row, unit))
                self.columns.setCellWidget(row, 1, unit)
            unit.setAccessibleName(self.tr("Unit of column {name}").format(name=column.name))
            unit.setEnabled(column.taken)
            unit.choose(column.unit)

    # what the person does

    def _ask(self, change: Change) -> None:
        if not self._filling:
            self.asked.emit(change)

    @Slot()
    def _on_delimiter(self) -> None:
        mark = self.delimiter.currentData()
        self._ask(lambda form: guess_again(form, mark))

    @Slot()
    def _on_decimal(self) -> None:
        mark = self.decimal.currentData()
        self._ask(lambda form: replace(form, decimal=mark))

    @Slot()
    def _on_heading(self) -> None:
        line = self.heading.value()
        if line is not None and self.heading.edit.isModified():
            self.heading.edit.setModified(False)
            self._ask(lambda form: with_heading(form, int(line)))

    @Slot()
    def _on_time(self) -> None:
        first, second = self.time.currentData(), self.clock.currentData()
        columns = tuple(place for place in (first, second) if place not in (None, _SAME))
        if first in (None, _SAME):
            columns = ()
        self._ask(lambda form: with_time_columns(form, columns))

    def _on_of_time(self, name: str, box: QComboBox, _index: int) -> None:
        value = box.currentData()
        self._ask(partial(_with_time, **{name: value}))

    @Slot()
    def _on_day(self) -> None:
        text = self.day.text()
        if text and day_of_text(text, "ymd") is None:
            self.day.refuse(self.tr("Type the day like 2026-03-21."))
            return
        self._ask(partial(_with_time, day=text))

    @Slot()
    def _on_begun(self) -> None:
        self._ask(partial(_with_time, begun_at_s=self.begun.value()))

    @Slot()
    def _on_zone(self) -> None:
        name = self.zone.zone()
        known = zone_of(name) is not None
        self.zone.problem.setText(
            "" if known else self.tr("Type a time zone like Europe/Berlin or America/Chicago.")
        )
        self._form.setRowVisible(self.zone.problem, not known)
        if known:
            self._ask(partial(_with_time, zone=name))

    def _on_taken(self, row: int, taken: bool) -> None:
        self._ask(partial(_with_column, row=row, taken=taken))

    def _on_unit(self, row: int, box: QComboBox, _index: int) -> None:
        self._ask(partial(_with_unit, row=row, unit=box.currentData()))


def _with_time(form: WrittenForm, **said: Any) -> WrittenForm:
    return replace(form, time=replace(form.time, **said))


def _with_column(form: WrittenForm, row: int, **said: Any) -> WrittenForm:
    columns = list(form.columns)
    columns[row] = replace(columns[row], **said)
    return replace(form, columns=tuple(columns))


def _with_unit(form: WrittenForm, row: int, unit: Unit | None) -> WrittenForm:
    """The unit for this column, and for the others that are read and have none."""
    return replace(
        form,
        columns=tuple(
            replace(c, unit=unit) if n == row or (c.taken and c.unit is None) else c
            for n, c in enumerate(form.columns)
        ),
    )
