"""What is asked after a cook: how it tasted, what it weighed, what to change next time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QGridLayout,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QVBoxLayout,
    QWidget,
)

from smokejournal.cook.log.entries import MassStage, NextTime, Payload, Tasted, Weighed
from smokejournal.cook.summary.tasting import SCALES
from smokejournal.cook.text.quantities import METRIC, Units
from smokejournal.desk.parts.choice_box import ChoiceBox
from smokejournal.desk.parts.fields import MassField
from smokejournal.desk.taste.mark_row import MarkRow

STAGES: tuple[MassStage, ...] = ("raw", "prepared", "cooked", "served")


@dataclass
class NotesDraft:
    """What is typed and not yet kept."""

    text: str = ""
    taster: str = ""
    marks: dict[str, int] = field(default_factory=dict)
    masses: dict[str, str] = field(default_factory=dict)
    item: str = ""
    next_time: str = ""


class TasteNotes(QWidget):
    """The form. `payloads()` is what it says, ready to be written; the page writes it."""

    changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("tasteNotes")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addWidget(self._section(self.tr("How it tasted")))
        self.marks: dict[str, MarkRow] = {}
        for scale in SCALES:
            row = MarkRow(scale.key, scale.name, scale.low, scale.high, self)
            row.changed.connect(self.changed)
            self.marks[scale.key] = row
            column.addWidget(row)
        self.text = self._prose(
            "tasteText", self.tr("Tasting notes"), self.tr("In your own words"), 74
        )
        column.addWidget(self.text)
        self.taster = QLineEdit(self)
        self.taster.setObjectName("tasteTaster")
        self.taster.setAccessibleName(self.tr("Taster"))
        self.taster.setPlaceholderText(self.tr("Who tasted (leave empty for yourself)"))
        self.taster.setMaxLength(100)
        self.taster.textChanged.connect(self.changed)
        column.addWidget(self.taster)
        column.addSpacing(6)
        column.addWidget(self._section(self.tr("What it weighed")))
        self.item = ChoiceBox(self)
        self.item.setObjectName("tasteItem")
        self.item.setAccessibleName(self.tr("Which item was weighed"))
        column.addWidget(self.item)
        # A grid, and not a form: a form gives a message of several lines the height of fewer.
        form = QGridLayout()
        form.setContentsMargins(0, 0, 0, 0)
        form.setHorizontalSpacing(10)
        form.setVerticalSpacing(6)
        form.setColumnStretch(1, 1)
        self.masses: dict[MassStage, MassField] = {}
        for row_number, stage in enumerate(STAGES):
            mass = MassField(f"tasteMass_{stage}", self.stage_words(stage), self)
            mass.changed.connect(self.changed)
            self.masses[stage] = mass
            label = QLabel(self.stage_words(stage), self)
            label.setFixedHeight(mass.edit.sizeHint().height())
            form.addWidget(label, row_number, 0, Qt.AlignmentFlag.AlignTop)
            form.addWidget(mass, row_number, 1)
        column.addLayout(form)
        self.yields = QLabel(self)
        self.yields.setObjectName("tasteYields")
        self.yields.setWordWrap(True)
        self.yields.setProperty("kind", "faint")
        column.addWidget(self.yields)
        column.addSpacing(6)
        column.addWidget(self._section(self.tr("Next time")))
        self.next_time = self._prose(
            "tasteNextTime",
            self.tr("What to change next time"),
            self.tr("What to change next time"),
            58,
        )
        column.addWidget(self.next_time)
        self.set_units(METRIC)
        self.set_items(())

    def _section(self, text: str) -> QLabel:
        label = QLabel(text, self)
        label.setProperty("kind", "section")
        return label

    def _prose(self, name: str, label: str, hint: str, height: int) -> QPlainTextEdit:
        edit = QPlainTextEdit(self)
        edit.setObjectName(name)
        edit.setAccessibleName(label)
        edit.setPlaceholderText(hint)
        edit.setTabChangesFocus(True)
        edit.setFixedHeight(height)
        edit.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAsNeeded)
        edit.textChanged.connect(self.changed)
        return edit

    def stage_words(self, stage: MassStage) -> str:
        """The name of a mass on its way from shop to plate."""
        return {
            "raw": self.tr("Raw"),
            "prepared": self.tr("After prep"),
            "cooked": self.tr("Cooked"),
            "served": self.tr("Served"),
        }[stage]

    def set_units(self, units: Units) -> None:
        """The units in which a bare number is read. What is typed stays as typed."""
        hint = "1.2 kg" if units.mass == "kg" else "2 lb 10 oz"
        for field_ in self.masses.values():
            field_.set_units(units)
            field_.edit.setPlaceholderText(hint)

    def set_items(self, names: Sequence[str]) -> None:
        """The cook's items; with fewer than two nothing is asked."""
        chosen = self.item.currentData()
        self.item.clear()
        self.item.addItem(self.tr("everything together"), "")
        for name in dict.fromkeys(names):
            self.item.addItem(name, name)
        self.item.setCurrentIndex(max(0, self.item.findData(chosen)))
        self.item.setVisible(len(set(names)) > 1)

    def show_yields(self, words: str) -> None:
        """What the kept masses say."""
        self.yields.setText(words)
        self.yields.setVisible(bool(words))

    def is_empty(self) -> bool:
        """True while nothing is typed or marked."""
        return self.draft() == NotesDraft(
            taster=self.taster.text(), item=self.item.currentData() or ""
        )

    def payloads(self) -> list[Payload] | None:
        """What the form says; None, with messages beside the fields, where it cannot be read."""
        said: list[Payload] = []
        marks = {key: row.mark() for key, row in self.marks.items()}
        given = {key: mark for key, mark in marks.items() if mark is not None}
        text = self.text.toPlainText().strip()
        if text or given:
            said.append(Tasted(text=text, marks=given, taster=self.taster.text().strip()))
        wrong = False
        for stage, mass in self.masses.items():
            wrong = not mass.check() or wrong
            mass_kg = mass.value()
            if mass_kg is not None:
                said.append(Weighed(stage, mass_kg, self.item.currentData() or ""))
        next_time = self.next_time.toPlainText().strip()
        if next_time:
            said.append(NextTime(next_time))
        return None if wrong else said

    def wrong_field(self) -> QLineEdit | None:
        """The first field whose text cannot be read."""
        return next((f.edit for f in self.masses.values() if not f.check()), None)

    def draft(self) -> NotesDraft:
        """What is typed and marked."""
        return NotesDraft(
            text=self.text.toPlainText(),
            taster=self.taster.text(),
            marks={k: m for k, row in self.marks.items() if (m := row.mark()) is not None},
            masses={stage: f.edit.text() for stage, f in self.masses.items() if f.edit.text()},
            item=self.item.currentData() or "",
            next_time=self.next_time.toPlainText(),
        )

    def set_draft(self, draft: NotesDraft) -> None:
        """Show what was typed before."""
        self.text.setPlainText(draft.text)
        self.taster.setText(draft.taster)
        for key, row in self.marks.items():
            row.set_mark(draft.marks.get(key))
        for stage, mass in self.masses.items():
            mass.clear()
            if draft.masses.get(stage):
                mass.edit.setText(draft.masses[stage])
                mass.edit.textEdited.emit(draft.masses[stage])
        self.item.setCurrentIndex(max(0, self.item.findData(draft.item)))
        self.next_time.setPlainText(draft.next_time)

    def clear(self) -> None:
        """Empty it. The taster stays: the next note is usually of the same one."""
        self.set_draft(NotesDraft(taster=self.taster.text()))
