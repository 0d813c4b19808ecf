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

from smokejournal.cook.log.entries import MassStage, NextTime, Payload, Served, Tasted, Weighed
from smokejournal.cook.summary.tasting import SCALES
from smokejournal.cook.text.quantities import METRIC, Units
from smokejournal.desk.base.widgets import FILL, new_button, new_column, new_label, new_row, say
from smokejournal.desk.parts.choice_box import ChoiceBox
from smokejournal.desk.parts.fields import CountField, MassField, NumberField, QuantityField
from smokejournal.desk.taste.fault_list import FaultList
from smokejournal.desk.taste.mark_row import MarkRow

STAGES: tuple[MassStage, ...] = ("raw", "prepared", "cooked", "served")


@dataclass
class NotesDraft:
    """What is typed and not yet kept."""

    text: str = ""
    taster: str = ""
    marks: dict[str, int] = field(default_factory=dict)
    faults: tuple[str, ...] = ()
    quantities: dict[str, str] = field(default_factory=dict)
    item: str = ""
    next_time: str = ""
    #: Which entry the tasting takes the place of, None for one of its own.
    instead_of: int | None = None
    tasting: bool = False
    """Whether the tasting is asked for although one stands."""


class TasteNotes(QWidget):
    """The form. `payloads()` is what it says, ready to be written; the page writes it.

    `tasting_left()`: what was being changed or added is left as it was.
    """

    changed = Signal()
    tasting_left = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("tasteNotes")
        column = new_column(self, spacing=8, margins=0)
        self._instead_of: int | None = None
        self._asked = False
        self._tasting = QWidget(self)
        whole, column = column, QVBoxLayout(self._tasting)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        self._heading = new_label(self, self.tr("How it tasted"), kind="section")
        column.addWidget(self._heading)
        self.marks: dict[str, MarkRow] = {}
        for scale in SCALES:
            mark = MarkRow(scale.key, scale.name, scale.low, scale.high, self)
            mark.changed.connect(self.changed)
            self.marks[scale.key] = mark
            column.addWidget(mark)
        self.faults = FaultList(self)
        self.faults.changed.connect(self.changed)
        column.addWidget(self.faults)
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
        self._leave = new_button(
            self, self.tr("Leave it as it is"), self.tasting_left, name="tasteLeave", kind="quick"
        )
        column.addWidget(self._leave, 0, Qt.AlignmentFlag.AlignLeft)
        whole.addWidget(self._tasting)
        column = whole
        column.addSpacing(6)
        column.addWidget(new_label(self, self.tr("What it weighed"), kind="section"))
        self.item = ChoiceBox(self, name="tasteItem", hears=self.tr("Which item was weighed"))
        column.addWidget(self.item)
        # A grid, and not a form: a form gives a message of several lines the height of fewer.
        form = QGridLayout()
        form.setContentsMargins(0, 0, 0, 0)
        form.setHorizontalSpacing(10)
        form.setVerticalSpacing(6)
        form.setColumnStretch(1, 1)
        self.masses: dict[str, QuantityField] = {
            stage: MassField(f"tasteMass_{stage}", self.stage_words(stage), self)
            for stage in STAGES
        }
        self.servings = CountField("tasteServings", self.tr("Servings"), self, low=1, high=10_000)
        self.rest_cost = NumberField(
            "tasteRestCost",
            self.tr("What all but food and pellets cost"),
            self,
            hint=self.tr("wood, rub, …"),
            low=0.0,
            high=1e6,
        )
        self.currency = ""
        #: Whatever is read as a quantity, by the name under which its text waits.
        self._quantities: dict[str, QuantityField] = {
            **self.masses,
            "servings": self.servings,
            "rest_cost": self.rest_cost,
        }
        words = (*map(self.stage_words, STAGES), self.tr("Servings"), self.tr("The rest cost"))
        for row, (text, quantity) in enumerate(zip(words, self._quantities.values(), strict=True)):
            quantity.changed.connect(self.changed)
            label = QLabel(text, self)
            label.setFixedHeight(quantity.edit.sizeHint().height())
            form.addWidget(label, row, 0, Qt.AlignmentFlag.AlignTop)
            form.addWidget(quantity, row, 1)
        column.addLayout(form)
        self.yields = new_label(self, name="tasteYields", kind="faint", wraps=True)
        column.addWidget(self.yields)
        column.addSpacing(6)
        self.what_if = new_button(
            self,
            self.tr("&What if…"),
            name="tasteWhatIf",
            hears=self.tr("What if it had been otherwise?"),
            tip=self.tr(
                "Count the cook again, as if the other probe had led or the target been another"
            ),
        )
        self.why = new_button(
            self,
            self.tr("What made it &last?"),
            name="tasteWhy",
            hears=self.tr("What made it last?"),
            tip=self.tr(
                "Take the time apart, against the plan and against earlier cooks of the like"
            ),
        )
        # Beside the heading the two would make the column wider than the page gives it.
        questions = new_row(None, self.why, self.what_if, FILL)
        column.addLayout(questions)
        column.addWidget(new_label(self, self.tr("Next time"), kind="section"))
        self.next_time = self._prose(
            "tasteNextTime",
            self.tr("What to change next time"),
            self.tr("What to change next time"),
            58,
        )
        column.addWidget(self.next_time)
        self.set_units(METRIC)
        self.set_items(())

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
        hint = {"kg": "1.2 kg", "lb": "2 lb 10 oz", "decimal_lb": "2.6 lb"}[units.mass]
        for field_ in self.masses.values():
            field_.set_units(units)
            field_.edit.setPlaceholderText(hint)

    def set_items(self, names: Sequence[str]) -> None:
        """The cook's items; with fewer than two nothing is asked."""
        chosen = self.item.currentData()
        everything = (self.tr("everything together"), "")
        self.item.offer((everything, *((name, name) for name in dict.fromkeys(names))), chosen)
        self.item.setVisible(len(set(names)) > 1)

    def ask_tasting(self, *, stands: bool) -> None:
        """Ask how it tasted: always where no tasting stands yet, else where it was asked for."""
        self._tasting.setVisible(self._asked or not stands)
        self._leave.setVisible(self._asked and stands)

    def change(self, what: Tasted, entry_id: int) -> None:
        """Say again what was said in this entry, which then no longer counts."""
        marks, faults = dict(what.marks), tuple(what.faults)
        self._take_tasting(
            NotesDraft(what.text, what.taster, marks, faults, instead_of=entry_id, tasting=True)
        )

    def add_taster(self) -> None:
        """Ask how it tasted to somebody else."""
        self._take_tasting(NotesDraft(tasting=True))
        self.taster.setFocus(Qt.FocusReason.OtherFocusReason)

    def leave_tasting(self) -> None:
        """Ask no more how it tasted."""
        self._take_tasting(NotesDraft())

    @property
    def instead_of(self) -> int | None:
        """Which entry the tasting takes the place of."""
        return self._instead_of

    def _take_tasting(self, draft: NotesDraft) -> None:
        self._instead_of, self._asked = draft.instead_of, draft.tasting
        self.text.setPlainText(draft.text)
        self.taster.setText(draft.taster)
        for key, row in self.marks.items():
            row.set_mark(draft.marks.get(key))
        self.faults.choose(draft.faults)

    def show_yields(self, words: str) -> None:
        """What the kept masses say."""
        say(self.yields, words)

    def is_empty(self) -> bool:
        """True while nothing is typed or marked."""
        return self.draft() == NotesDraft(
            taster=self.taster.text(),
            item=self.item.currentData() or "",
            instead_of=self._instead_of,
            tasting=self._asked,
        )

    def payloads(self) -> list[Payload] | None:
        """What the form says; None, with messages beside the fields, where it cannot be read."""
        said: list[Payload] = []
        marks = {key: row.mark() for key, row in self.marks.items()}
        given = {key: mark for key, mark in marks.items() if mark is not None}
        text = self.text.toPlainText().strip()
        faults = self.faults.chosen()
        if text or given or faults:
            taster = self.taster.text().strip()
            said.append(Tasted(text=text, marks=given, taster=taster, faults=faults))
        # Each shows what is wrong with it, not only the first.
        wrong = bool([each for each in self._quantities.values() if not each.check()])
        for stage in STAGES:
            mass_kg = self.masses[stage].value()
            if mass_kg is not None:
                said.append(Weighed(stage, mass_kg, self.item.currentData() or ""))
        servings, rest_cost = self.servings.value(), self.rest_cost.value()
        if servings is None and rest_cost is not None:
            self.servings.refuse(self.tr("Say for how many it was, too."))
            wrong = True
        elif servings is not None:
            currency = self.currency if rest_cost is not None else ""
            said.append(Served(int(servings), rest_cost, currency))
        next_time = self.next_time.toPlainText().strip()
        if next_time:
            said.append(NextTime(next_time))
        return None if wrong else said

    def wrong_field(self) -> QLineEdit | None:
        """The first field whose text cannot be read."""
        wrong = next((f.edit for f in self._quantities.values() if not f.check()), None)
        if wrong is None and self.servings.value() is None and self.rest_cost.value() is not None:
            return self.servings.edit
        return wrong

    def draft(self) -> NotesDraft:
        """What is typed and marked."""
        return NotesDraft(
            text=self.text.toPlainText(),
            taster=self.taster.text(),
            marks={k: m for k, row in self.marks.items() if (m := row.mark()) is not None},
            faults=self.faults.chosen(),
            quantities={k: f.edit.text() for k, f in self._quantities.items() if f.edit.text()},
            item=self.item.currentData() or "",
            next_time=self.next_time.toPlainText(),
            instead_of=self._instead_of,
            tasting=self._asked,
        )

    def set_draft(self, draft: NotesDraft) -> None:
        """Show what was typed before."""
        self._take_tasting(draft)
        for key, quantity in self._quantities.items():
            quantity.clear()
            text = draft.quantities.get(key)
            if text:
                quantity.edit.setText(text)
                quantity.edit.textEdited.emit(text)
        self.item.setCurrentIndex(max(0, self.item.findData(draft.item)))
        self.next_time.setPlainText(draft.next_time)

    def clear(self) -> None:
        """Empty it. The taster stays: the next note is usually of the same one."""
        self.set_draft(NotesDraft(taster=self.taster.text()))
