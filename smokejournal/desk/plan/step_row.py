"""One step of the timetable on Plan: when, what, how long, how it stands, and what may be said of it."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtWidgets import (
    QFrame,
    QLabel,
    QMenu,
    QPushButton,
    QSizePolicy,
    QWidget,
)

from smokejournal.cook.log.entries import StepBegun, StepEnded, StepExtended, StepSkipped
from smokejournal.cook.timetable.timetable import TimetableStep
from smokejournal.cook.timetable.words import StepWords
from smokejournal.desk.base.theme import set_kind
from smokejournal.desk.base.widgets import FILL, new_button, new_column, new_label, new_row, say

WHEN_PX = 118
MORE_MIN = (30, 60, 120, 240)
PREP = "prep:"


class StepRow(QFrame):
    """`said` carries what the cook says of the step, an entry's payload."""

    said = Signal(object)

    def __init__(self, key: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.key = key
        self.setObjectName(f"step_{key}")
        self._day = self._label("Day", "faint")
        self._start = self._label("Start", "section")
        self._between = self._label("Between", "mark")
        self._between.setWordWrap(True)
        self._name = self._label("Name", "section")
        self._name.setWordWrap(True)
        self._state = self._label("State", "detailproblem")
        self._length = self._label("Length", "faint")
        self._more_words = self._label("More", "faint")
        for label in (self._state, self._length, self._more_words):
            label.setWordWrap(True)
        when = new_column(None, self._start, self._between, FILL, spacing=0)
        holder = QWidget(self)
        holder.setFixedWidth(WHEN_PX)
        when.setContentsMargins(0, 0, 0, 0)
        holder.setLayout(when)
        what = new_column(None, spacing=1)
        for label in (self._name, self._state, self._length, self._more_words):
            what.addWidget(label)
        self._buttons = {
            name: self._button(name, text, why)
            for name, text, why in (
                ("begin", self.tr("Begin"), self.tr("It begins now")),
                ("end", self.tr("Done"), self.tr("It is over now")),
                ("more", self.tr("More time"), self.tr("It gets more time")),
                ("skip", self.tr("Skip"), self.tr("It is left out this time")),
            )
        }
        self._menu = QMenu(self)
        for minutes in MORE_MIN:
            text = (
                self.tr("{n} h").format(n=minutes // 60)
                if minutes >= 60
                else self.tr("{n} min").format(n=minutes)
            )
            self._menu.addAction(text).setData(minutes * 60.0)
        self._menu.triggered.connect(self._on_more)
        self._buttons["more"].setMenu(self._menu)
        acts = new_row(None, spacing=4)
        for button in self._buttons.values():
            acts.addWidget(button, 0, Qt.AlignmentFlag.AlignTop)
        row = new_row(None, spacing=10)
        new_column(self, self._day, row, spacing=6, margins=(0, 6, 0, 8))
        row.addWidget(holder)
        row.addLayout(what, 1)
        row.addLayout(acts)

    def show_step(
        self, step: TimetableStep, words: StepWords, *, day: str = "", writable: bool = True
    ) -> None:
        """Show it as it stands; only steps before the fire are said here, the others on Tend.

        `day` stands above the first step of a day.
        """
        say(self._day, day)
        self._start.setText(words.start)
        say(self._between, words.between)
        name = words.name
        if words.dish:
            name = self.tr("{step}: {dish}").format(step=words.name, dish=words.dish)
        self._name.setText(name)
        for label, text in (
            (self._state, ". ".join(part for part in (words.state, words.kept) if part)),
            (self._length, words.length),
            (self._more_words, " · ".join(part for part in (words.pit, words.note) if part)),
        ):
            say(label, text)
        pressing = step.state == "under_way" or words.kept
        set_kind(self._state, "detailproblem" if pressing else "faint")
        prep = step.key.startswith(PREP) and writable
        shown = {
            "begin": prep and step.state in ("to_come", "skipped"),
            "end": prep and step.state in ("to_come", "under_way"),
            "more": prep and step.state == "under_way",
            "skip": prep and step.state == "to_come",
        }
        for key, button in self._buttons.items():
            button.setVisible(shown[key])
            button.setAccessibleName(f"{button.text()}: {words.name}")
        self.setAccessibleName(words.text)

    def _label(self, part: str, kind: str) -> QLabel:
        label = new_label(self, name=f"{self.objectName()}{part}", kind=kind)
        label.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Preferred)
        return label

    def _button(self, name: str, text: str, why: str) -> QPushButton:
        button = new_button(self, text, name=f"{self.objectName()}_{name}", kind="quick", tip=why)
        button.setProperty("says", name)
        button.hide()
        if name != "more":
            button.clicked.connect(self._on_clicked)
        return button

    @property
    def _step(self) -> str:
        return self.key.removeprefix(PREP)

    @Slot()
    def _on_clicked(self) -> None:
        sender = self.sender()
        says = sender.property("says") if sender is not None else ""
        kinds = {"begin": StepBegun, "end": StepEnded, "skip": StepSkipped}
        if says in kinds:
            self.said.emit(kinds[says](self._step))

    @Slot(object)
    def _on_more(self, action: object) -> None:
        by_s = getattr(action, "data", lambda: None)()
        if isinstance(by_s, float):
            self.said.emit(StepExtended(self._step, by_s))
