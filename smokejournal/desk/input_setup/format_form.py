"""How the lines are to be read: their kind, what stands between columns, and what each column is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QComboBox,
    QLineEdit,
    QWidget,
)

from smokejournal.cook.log.readings import Channel, ChannelRole
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.quantities import QuantityError, parse_number
from smokejournal.desk.base.tables import FIXED, STRETCHED, PlainTable
from smokejournal.desk.base.widgets import FILL, new_button, new_column, new_label, new_row, say
from smokejournal.desk.input_setup.sensor_rows import SensorRows
from smokejournal.desk.parts.choice_box import ChoiceBox
from smokejournal.inputs.cell import Column
from smokejournal.inputs.line_format import (
    DECIMALS,
    DELIMITERS,
    UNITS,
    LineFormat,
    format_from_json,
)
from smokejournal.inputs.line_guess import guess_format, hints
from smokejournal.inputs.sensor import SENDS, Sensor
from smokejournal.inputs.source import ReceivedLine, RefusedLine

NAME, EXAMPLE, UNIT, SCALE, CHANNEL = range(5)

#: While nobody has touched the format it is guessed again from up to this many lines.
GUESS_LINES = 40

NEW: tuple[ChannelRole, ...] = ("meat", "pit", "air")


class FormatForm(QWidget):
    """`changed` whenever the format is another one. `line_format()` is what is chosen."""

    changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("formatForm")
        self._format = LineFormat()
        self._channels: tuple[Channel, ...] = ()
        self._lines: tuple[ReceivedLine, ...] = ()
        self._named = False
        self._untouched = True
        self._filling = False
        self.kind = self._box(
            "formatKind",
            self.tr("Kind of line"),
            [
                (self.tr("columns"), "delimited"),
                (self.tr("key=value"), "key_value"),
                ("JSON", "json_lines"),
            ],
        )
        marks = (
            self.tr("comma"),
            self.tr("semicolon"),
            self.tr("tab"),
            self.tr("bar |"),
            self.tr("blanks"),
        )
        self.delimiter = self._box(
            "formatDelimiter",
            self.tr("Between columns"),
            list(zip(marks, DELIMITERS, strict=True)),
        )
        points = (self.tr("point 1.5"), self.tr("comma 1,5"))
        self.decimal = self._box(
            "formatDecimal",
            self.tr("Decimal mark"),
            list(zip(points, DECIMALS, strict=True)),
        )
        self._guess = new_button(
            self,
            self.tr("&Guess"),
            self._on_guess,
            name="formatGuess",
            tip=self.tr("Guess the shape from the lines that arrived"),
        )
        row = new_row(None, self.kind, self.delimiter, self.decimal, FILL, self._guess, margins=0)
        self.table = PlainTable(
            self,
            "formatColumns",
            self.tr("Columns and the channels that they feed"),
            [
                self.tr("Column"),
                self.tr("Last value"),
                self.tr("Unit"),
                self.tr("Times"),
                self.tr("Feeds"),
            ],
            row_px=38,
            columns=FIXED,
            fields=True,
        )
        for section, width in ((NAME, 88), (EXAMPLE, 92), (UNIT, 90), (SCALE, 70)):
            self.table.setColumnWidth(section, width)
        self.table.horizontalHeader().setSectionResizeMode(CHANNEL, STRETCHED)
        self._no_columns = new_label(self, name="formatNoColumns", kind="faint", wraps=True)
        self._no_columns.setAlignment(Qt.AlignmentFlag.AlignTop)
        self._sensors = SensorRows(self)
        self._sensors.said.connect(self._on_sensor)
        self._hints = new_label(self, name="formatHints", kind="caution", wraps=True)
        self._problem = new_label(self, name="formatProblem", kind="problem", wraps=True)
        new_column(
            self,
            row,
            (self.table, 1),
            (self._no_columns, 1),
            self._sensors,
            self._problem,
            self._hints,
            spacing=6,
            margins=0,
        )
        for box in (self.kind, self.delimiter, self.decimal):
            box.currentIndexChanged.connect(self._on_shape)
        self._show()

    def _box(self, name: str, label: str, choices: list[tuple[str, str]]) -> ChoiceBox:
        box = ChoiceBox(self, name=name, hears=label, choices=choices)
        box.setToolTip(label)
        return box

    # what is chosen

    def line_format(self) -> LineFormat:
        """The format as chosen. Channels that are to be made stand as "new:meat" and so on."""
        return self._format

    def set_format(self, form: LineFormat) -> None:
        """Show a format that was chosen before."""
        self._untouched = not form.columns
        self._format = form
        self._show()

    def set_channels(self, channels: Sequence[Channel]) -> None:
        """The channels that a column may feed.

        Where a column fed one that this cook has not, it gets a new one of the same role: the device
        stays plugged in from one cook to the next.
        """
        if tuple(channels) == self._channels:
            return
        roles = {channel.key: channel.role for channel in self._channels}
        self._channels = tuple(channels)
        known = {"", *(channel.key for channel in channels), *(f"new:{role}" for role in NEW)}

        def now(fed: str) -> str:
            role = roles.get(fed)
            return fed if fed in known else f"new:{role}" if role in NEW else ""

        before = self._format
        columns = tuple(replace(c, channel=now(c.channel)) for c in before.columns)
        self._format = replace(before, columns=columns)
        self._show()
        if self._format != before:
            self.changed.emit()

    def set_named(self, named: bool) -> None:
        """Whether columns have headings, as in a table from a file. Then their shape is the
        file's, and nothing is guessed here."""
        self._named = named
        for widget in (self.kind, self.delimiter, self.decimal, self._guess):
            widget.setVisible(not named)

    def set_lines(self, lines: Sequence[ReceivedLine]) -> None:
        """Lines that arrived: for the last values, the guess, and what looks odd."""
        if tuple(lines) == self._lines:
            return
        self._lines = tuple(lines)
        self._guess.setEnabled(bool(self._whole()))
        whole = self._whole()
        early = len(whole) <= GUESS_LINES or not self._format.columns
        if whole and early and self._untouched and not self._named:
            # The first lines tell little; nobody has said anything else yet.
            self._take(guess_format(whole))
            self._untouched = True
        else:
            self._show_examples()

    def _whole(self) -> list[str]:
        return [line.raw for line in self._lines if line.whole]

    def problem(self) -> str:
        """Why nothing can be read by this format; empty where it can."""
        if not any(column.channel for column in self._format.columns):
            return self.tr("Say for at least one column which probe it is.")
        for column in self._format.columns:
            if column.channel and column.sensor is not None and column.sensor.kind == "unsaid":
                return self.tr("Say which probe sends the {raw} of column {column}.").format(
                    raw=column.sensor.sends, column=column.source
                )
        taken: dict[str, str] = {}
        for column in self._format.columns:
            if column.channel and not column.channel.startswith("new:"):
                if column.channel in taken:
                    return self.tr(
                        "Columns {first} and {second} feed the same probe. Choose another for one."
                    ).format(first=taken[column.channel], second=column.source)
                taken[column.channel] = column.source
        if self._named:
            return ""
        made = replace(
            self._format,
            columns=tuple(
                replace(c, channel=f"{c.channel}{n}" if c.channel.startswith("new:") else c.channel)
                for n, c in enumerate(self._format.columns)
            ),
        )
        try:
            format_from_json(made.to_json())
        except SchemaProblem as problem:
            return problem.message
        return ""

    def show_problem(self, message: str) -> None:
        """Show what is wrong, until something is changed."""
        say(self._problem, message)

    # what is shown

    def _show(self) -> None:
        self._filling = True
        form = self._format
        self.kind.choose(form.kind)
        self.delimiter.choose(form.delimiter)
        self.delimiter.setEnabled(form.kind != "json_lines")
        self.decimal.choose(form.decimal)
        self.table.setRowCount(len(form.columns))
        for row, column in enumerate(form.columns):
            self._show_column(row, column)
        self.table.setVisible(bool(form.columns))
        self._no_columns.setVisible(not form.columns)
        self._no_columns.setText(
            self.tr("Columns stand here once a file with numbers in its columns is chosen.")
            if self._named
            else self.tr("Columns stand here as soon as lines arrive; their shape is guessed then.")
        )
        self._filling = False
        self._sensors.show_columns(form.columns)
        self.show_problem("")
        self._guess.setEnabled(bool(self._whole()))
        self._show_examples()

    def _show_column(self, row: int, column: Column) -> None:
        label = column.label if column.label not in ("", column.source) else ""
        name = f"{column.source}  {label}" if label else column.source
        self.table.put(row, [name, ""])
        unit = self._box(
            f"columnUnit_{row}",
            self.tr("Unit of column {column}").format(column=name),
            [*(("K" if u == "K" else f"°{u}", u) for u in UNITS), *((raw, raw) for raw in SENDS)],
        )
        unit.choose(column.sensor.sends if column.sensor else column.unit)
        unit.currentIndexChanged.connect(partial(self._on_unit, row, unit))
        self.table.setCellWidget(row, UNIT, unit)
        scale = QLineEdit(f"{column.scale:g}")
        scale.setObjectName(f"columnScale_{row}")
        scale.setAccessibleName(self.tr("Column {column} is multiplied by").format(column=name))
        scale.setToolTip(self.tr("0.1 where the device sends tenths of a degree"))
        scale.editingFinished.connect(partial(self._on_scale, row, scale))
        self.table.setCellWidget(row, SCALE, scale)
        channel = self._box(
            f"columnChannel_{row}",
            self.tr("Column {column} feeds").format(column=name),
            [
                (self.tr("nothing, leave it out"), ""),
                *((c.name, c.key) for c in self._channels if not c.by_hand),
                (self.tr("a new probe in the meat"), "new:meat"),
                (self.tr("a new probe in the pit"), "new:pit"),
                (self.tr("a new probe in the open air"), "new:air"),
            ],
        )
        channel.setCurrentIndex(max(0, channel.findData(column.channel)))
        channel.currentIndexChanged.connect(partial(self._on_channel, row, channel))
        self.table.setCellWidget(row, CHANNEL, channel)

    def _show_examples(self) -> None:
        last: dict[str, str] = {}
        for line in self._lines[-20:]:
            last.update((value.source, value.text) for value in line.values)
            last.update((part.source, part.text) for part in line.refused if part.source)
        for row, column in enumerate(self._format.columns):
            item = self.table.item(row, EXAMPLE)
            if item is not None:
                item.setText(last.get(column.source, ""))
        roles: Mapping[str, str] = {c.key: c.role for c in self._channels} | {
            f"new:{role}": role for role in NEW
        }
        whole = self._whole()
        odd = hints(self._format, whole, roles) if whole and not self._named else ()
        say(self._hints, "\n".join(odd))

    # what the person does

    def _on_guess(self) -> None:
        whole = self._whole()
        if not whole:
            return
        guess = guess_format(whole)
        if guess.kind == self._format.kind:
            known = {column.source: column for column in self._format.columns}
            guess = replace(
                guess,
                columns=tuple(
                    replace(c, channel=known[c.source].channel, sensor=known[c.source].sensor)
                    if c.source in known
                    else c
                    for c in guess.columns
                ),
            )
        self._take(guess)

    def _take(self, form: LineFormat) -> None:
        if form != self._format:
            self._format = form
            self._untouched = False
            self._show()
            self.changed.emit()

    def _on_shape(self) -> None:
        shape = LineFormat(
            kind=self.kind.currentData(),
            delimiter=self.delimiter.currentData(),
            decimal=self.decimal.currentData(),
        )
        same = shape.kind == self._format.kind and shape.delimiter == self._format.delimiter
        if same:
            self._format = replace(shape, columns=self._format.columns, width=self._format.width)
        else:
            # Columns of another shape are other columns.
            names: list[str] = []
            for line in self._whole():
                cells = shape.cells(line)
                if not isinstance(cells, RefusedLine):
                    names += [name for name in cells if name not in names]
            self._format = replace(shape, columns=tuple(Column(name) for name in names[:64]))
        self._untouched = False
        self._show()
        self.changed.emit()

    def _replace(self, row: int, column: Column) -> None:
        columns = list(self._format.columns)
        if row < len(columns) and columns[row] != column:
            columns[row] = column
            self._format = replace(self._format, columns=tuple(columns))
            self._untouched = False
            self.show_problem("")
            self._show_examples()
            self.changed.emit()

    def _on_unit(self, row: int, box: QComboBox, _index: int) -> None:
        column, wanted = self._format.columns[row], box.currentData()
        if wanted not in SENDS:
            self._replace(row, replace(column, unit=wanted, sensor=None))
        elif column.sensor is None or column.sensor.sends != wanted:
            self._replace(row, replace(column, sensor=Sensor(wanted)))
        self._sensors.show_columns(self._format.columns)

    def _on_sensor(self, row: int, sensor: Sensor) -> None:
        self._replace(row, replace(self._format.columns[row], sensor=sensor))
        self._sensors.show_columns(self._format.columns)

    def _on_channel(self, row: int, box: QComboBox, _index: int) -> None:
        self._replace(row, replace(self._format.columns[row], channel=box.currentData()))

    def _on_scale(self, row: int, edit: QLineEdit) -> None:
        if self._filling:
            return
        try:
            scale = parse_number(edit.text(), self.tr("Times"))
        except QuantityError as error:
            self.show_problem(str(error))
            return
        if scale == 0 or abs(scale) > 1e6:
            self.show_problem(self.tr("The number to multiply by can't be 0. Give 1 for none."))
            return
        self._replace(row, replace(self._format.columns[row], scale=scale))
