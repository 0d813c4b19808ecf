"""Into which cook the readings go, and each column into which channel."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import partial

from PySide6.QtCore import Slot
from PySide6.QtWidgets import (
    QComboBox,
    QFormLayout,
    QLineEdit,
    QRadioButton,
    QWidget,
)

from smokejournal.cook.log.readings import Channel, ChannelRole
from smokejournal.cook.plan.plan import plan_of
from smokejournal.cook.plan.words import role_words
from smokejournal.cook.text.quantities import date
from smokejournal.cook.text.strict import as_name, hidden_in
from smokejournal.desk.base.background import in_background
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.tables import STRETCHED, PlainTable
from smokejournal.desk.base.widgets import new_column, new_label, say
from smokejournal.desk.parts.choice_box import ChoiceBox
from smokejournal.desk.parts.fields import TextField
from smokejournal.inputs.cell import Column
from smokejournal.inputs.configs import role_of
from smokejournal.inputs.recorded.form import WrittenForm
from smokejournal.inputs.recorded.read import FileReadings
from smokejournal.services.feeds.from_file import FileChannel, PastCook
from smokejournal.services.feeds.new_channels import NEW, new_channel

_ROLES: tuple[ChannelRole, ...] = ("meat", "pit", "air", "other")
#: Readings so far from a cook's day are perhaps of another one [s].
_FAR_S = 86_400.0


@dataclass(frozen=True, slots=True)
class Chosen:
    """The cook and the channels that a person chose; the title for the sentence at the end."""

    cook: int | PastCook
    channels: tuple[FileChannel, ...]
    title: str


class CookChoice(QWidget):
    """Asks; `chosen()` gives the answer or shows what is missing."""

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("fromFileCookChoice")
        self._context = context
        self._zone = "UTC"
        self._read: FileReadings | None = None
        self._there: Mapping[str, Channel] = {}
        self.fresh = QRadioButton(self.tr("A &new cook, of the past"), self)
        self.fresh.setObjectName("fromFileNew")
        self.fresh.setChecked(True)
        self.cook_title = TextField("fromFileTitle", self.tr("Title"), self, required=True)
        self.cook_title.edit.setPlaceholderText(self.tr("Sunday ribs"))
        self.place = TextField("fromFilePlace", self.tr("Place"), self)
        self.present = QRadioButton(self.tr("A cook that is &in the journal"), self)
        self.present.setObjectName("fromFilePresent")
        self.cook = ChoiceBox(self, name="fromFileCook", hears=self.tr("Cook"))
        self.said = new_label(self, name="fromFileCookSaid", kind="faint", wraps=True)
        self.table = PlainTable(
            self,
            "fromFileChannels",
            self.tr("Columns and the channels that they go to"),
            [self.tr("Column"), self.tr("Where the probe was"), self.tr("Name of the channel")],
            row_px=40,
            columns=STRETCHED,
            fields=True,
        )
        self.problem = new_label(
            self, name="fromFileChoiceProblem", kind="problem", wraps=True, hidden=True
        )
        self._form = QFormLayout()
        self._form.setVerticalSpacing(8)
        self._form.addRow(self.fresh)
        self._form.addRow(self.tr("&Title"), self.cook_title)
        self._form.addRow(self.tr("&Place"), self.place)
        self._form.addRow(self.present)
        self._form.addRow(self.tr("Coo&k"), self.cook)
        new_column(
            self, self._form, self.said, (self.table, 1), self.problem, spacing=10, margins=0
        )
        self.fresh.toggled.connect(self._on_kind)
        self.cook.currentIndexChanged.connect(self._on_cook)

    def show_read(self, form: WrittenForm, read: FileReadings) -> None:
        """Ask for these readings."""
        if read is self._read and form.time.zone == self._zone:
            return  # what was chosen for it holds
        self._zone, self._read = form.time.zone, read
        words = self.tr("{title}, {day}")
        cooks = [line for line in self._context.program.cooks() if not line.simulated]
        days = [date(line.day_s, line.zone, self._context.units) for line in cooks]
        self.cook.offer(
            [
                (words.format(title=line.title, day=day), line.id)
                for line, day in zip(cooks, days, strict=True)
            ],
            self.cook.currentData(),
        )
        self.present.setEnabled(self.cook.count() > 0)
        self._on_kind()

    @Slot()
    def _on_kind(self) -> None:
        fresh = self.fresh.isChecked()
        for field in (self.cook_title, self.place):
            self._form.setRowVisible(field, fresh)
        self._form.setRowVisible(self.cook, not fresh)
        self._on_cook()

    @Slot()
    def _on_cook(self) -> None:
        self._there = {}
        self.say("")
        if self.fresh.isChecked() or self.cook.currentData() is None:
            self.said.setText(
                self.tr(
                    "The cook is opened with the first reading and closed with the last. Its food, "
                    "fuel and notes can be added afterward."
                )
            )
            self._show_table()
            return
        self.said.setText(self.tr("Looking into the cook …"))
        self.table.setRowCount(0)
        cook_id, program = self.cook.currentData(), self._context.program
        self._context.after(
            in_background(lambda: (cook_id, plan_of(program.live(cook_id).log()).channels)),
            self._on_looked,
        )

    def _on_looked(self, found: tuple[int, Mapping[str, Channel]]) -> None:
        cook_id, channels = found
        if self.fresh.isChecked() or cook_id != self.cook.currentData():
            return
        self._there = channels
        words = self.tr(
            "Readings that are there already, at the same moment with the same value, are counted and "
            "not written twice."
        )
        line = next((x for x in self._context.program.cooks() if x.id == cook_id), None)
        if line is not None and self._read is not None and self._read.at_s.size:
            first_s = float(self._read.at_s.min())
            if abs(first_s - line.day_s) > _FAR_S:
                words = self.tr(
                    "Careful: the file begins on {file}, and this cook is of {cook}. Choose another "
                    "cook if they don't belong together."
                ).format(
                    file=date(first_s, self._zone, self._context.units),
                    cook=date(line.day_s, line.zone, self._context.units),
                )
        self.said.setText(words)
        self._show_table()

    def _show_table(self) -> None:
        columns = self._read.columns if self._read is not None else ()
        self.table.setRowCount(0)
        self.table.setRowCount(len(columns))
        names = {channel.name.casefold(): key for key, channel in self._there.items()}
        there = self.tr("the channel “{name}”")
        choices = [
            (self.tr("leave it out"), ""),
            *((role_words(role), f"{NEW}{role}") for role in _ROLES),
            *((there.format(name=channel.name), key) for key, channel in self._there.items()),
        ]
        used: set[str] = set()
        for row, column in enumerate(columns):
            self.table.put(row, [column.name])
            goes = ChoiceBox(
                None,
                name=f"fromFileGoes_{row}",
                hears=self.tr("Where the probe of column {name} was").format(name=column.name),
                choices=choices,
            )
            key = names.get(column.name.casefold()) or names.get(_plain(column.name).casefold())
            if key is None or key in used:
                key = f"{NEW}{role_of(Column(str(column.place + 1), label=column.name))}"
            used.add(key)
            goes.choose(key)
            self.table.setCellWidget(row, 1, goes)
            name = QLineEdit(as_name(_plain(column.name)))
            name.setObjectName(f"fromFileName_{row}")
            name.setAccessibleName(self.tr("Name for column {name}").format(name=column.name))
            name.setMaxLength(60)
            name.setCursorPosition(0)
            self.table.setCellWidget(row, 2, name)
            goes.currentIndexChanged.connect(partial(self._on_goes, goes, name))
            self._on_goes(goes, name, 0)

    def _on_goes(self, goes: QComboBox, name: QLineEdit, _index: int) -> None:
        key = goes.currentData()
        name.setEnabled(str(key).startswith(NEW))
        if key in self._there:
            name.setText(self._there[key].name)
        self.say("")

    def chosen(self) -> Chosen | None:
        """The cook and its channels; None, with the reason shown, where something is missing."""
        fresh = self.fresh.isChecked()
        if fresh and not (self.cook_title.check() and self.place.check()):
            return None
        if not fresh and not self.table.rowCount():
            return None
        channels: list[FileChannel] = []
        taken = list(self._there.values())
        for row in range(self.table.rowCount()):
            goes, name = self.table.cellWidget(row, 1), self.table.cellWidget(row, 2)
            assert isinstance(goes, QComboBox)
            assert isinstance(name, QLineEdit)
            key = str(goes.currentData())
            if not key:
                continue
            if not key.startswith(NEW):
                if any(each.channel.key == key for each in channels):
                    self.say(
                        self.tr("Two columns go to one channel. Choose another for one of them.")
                    )
                    return None
                channels.append(FileChannel(row, self._there[key], fresh=False))
                continue
            label = name.text().strip()
            if hidden := hidden_in(label):
                self.say(hidden)
                return None
            if label and any(channel.name == label for channel in taken):
                self.say(
                    self.tr("Two channels are called “{name}”. Give one another name.").format(
                        name=label
                    )
                )
                return None
            role = next(role for role in _ROLES if key == f"{NEW}{role}")
            channel = new_channel(role, taken, name=label)
            taken.append(channel)
            channels.append(FileChannel(row, replace(channel)))
        if not channels:
            self.say(self.tr("Every column is left out. Choose a channel for at least one."))
            return None
        if not fresh:
            return Chosen(self.cook.currentData(), tuple(channels), self.cook.currentText())
        title = self.cook_title.text()
        return Chosen(PastCook(title, self._zone, self.place.text()), tuple(channels), title)

    def say(self, problem: str) -> None:
        """Show what keeps the readings out."""
        say(self.problem, problem)


def _plain(name: str) -> str:
    """A column's name without the unit behind it."""
    for unit in ("°C", "°F", "[K]", "(C)", "(F)", "[C]", "[F]"):
        for written in (f"({unit})", f"[{unit}]", unit):
            if name.endswith(written) and len(name) > len(written):
                return name[: -len(written)].strip()
    return name
