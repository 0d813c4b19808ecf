"""Readings from a file: how it is read, into which cook, and what came in."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

from PySide6.QtCore import Qt, QTimer, Signal, Slot
from PySide6.QtGui import QFontDatabase
from PySide6.QtWidgets import (
    QCheckBox,
    QDialog,
    QFileDialog,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QProgressBar,
    QStackedWidget,
    QWidget,
)

from smokejournal.cook.text.printable import printable
from smokejournal.desk.base.background import in_background
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.error_words import words_of
from smokejournal.desk.base.refresher import Refresher
from smokejournal.desk.base.widgets import FILL, new_button, new_column, new_label, new_row, say
from smokejournal.desk.from_file.cook_choice import Chosen, CookChoice
from smokejournal.desk.from_file.lines_table import LinesTable
from smokejournal.desk.from_file.table_form import Change, TableForm
from smokejournal.desk.parts.tall_scroll import TallScroll
from smokejournal.desk.parts.zone_box import machine_zone
from smokejournal.inputs.recorded.form import WrittenForm
from smokejournal.inputs.recorded.guess import first_lines, guess_file
from smokejournal.inputs.recorded.read import FileReadings, ReadingStopped, read_recorded
from smokejournal.inputs.recorded.text import TableTrouble, cells_of
from smokejournal.inputs.recorded.words import findings, question
from smokejournal.services.feeds.from_file import FileIntake, IntakeStopped, TakenIn
from smokejournal.services.program import settings

#: Lines of the file that are shown as they are.
RAW_LINES = 14


class FromFileDialog(QDialog):
    """`open_asked(cook_id)` when the cook with the readings is to be shown."""

    open_asked = Signal(object)

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("fromFileDialog")
        self.setWindowTitle(self.tr("Readings from a file"))
        self._context = context
        kept = settings.load(context.program.journal).settings
        self._zone = kept.zone or machine_zone()
        self._form: WrittenForm | None = None
        self._read: FileReadings | None = None
        self._changes: list[Change] = []
        self._changing = False
        self._lines: list[str] = []
        self._intake: FileIntake | None = None
        self._into: Chosen | None = None
        self._taken: TakenIn | None = None
        self._pages = QStackedWidget(self)
        self._pages.addWidget(self._build_reading())
        self.choice = CookChoice(context, self)
        self._pages.addWidget(self.choice)
        self._pages.addWidget(self._build_end())
        self.back = new_button(
            self, self.tr("&Back"), self._on_back, name="fromFileBack", auto=False
        )
        self.next = new_button(
            self,
            self.tr("&Next: which cook"),
            self._on_next,
            name="fromFileNext",
            auto=False,
            kind="ember",
        )
        self.close_button = new_button(
            self, self.tr("Cancel"), self.reject, name="fromFileClose", auto=False
        )
        buttons = new_row(None, self.close_button, FILL, self.back, self.next)
        new_column(self, (self._pages, 1), buttons, spacing=12, margins=(18, 16, 18, 14))
        self.resize(1040, 680)
        self._refresher = Refresher(
            self, context, self._ask_read, self._on_read, self._on_not_read, soon_ms=100
        )
        self._timer = QTimer(self)
        self._timer.setInterval(100)
        self._timer.timeout.connect(self._on_progress)
        self._show_step()

    def _build_reading(self) -> QWidget:
        page = QWidget(self)
        self.path = QLineEdit(page)
        self.path.setObjectName("fromFilePath")
        self.path.setAccessibleName(self.tr("File"))
        self.path.setPlaceholderText(self.tr("readings.csv"))
        self.path.returnPressed.connect(self._on_path)
        choose = new_button(
            self, self.tr("C&hoose…"), self._on_choose, name="fromFileChoose", auto=False
        )
        file = new_row(None, QLabel(self.tr("File"), page), (self.path, 1), choose)
        self.problem = new_label(
            page, name="fromFileProblem", kind="problem", wraps=True, hidden=True
        )
        self.questions = new_label(
            page, name="fromFileQuestions", kind="caution", wraps=True, hidden=True
        )
        self.form = TableForm(self._context.units, page)
        self.form.asked.connect(self._on_asked)
        left = TallScroll(self.tr("How the file is written"), page)
        left.set_content(self.form)
        left.setFixedWidth(400)
        self.raw = QPlainTextEdit(page)
        self.raw.setObjectName("fromFileRaw")
        self.raw.setAccessibleName(self.tr("The first lines of the file as they are"))
        self.raw.setReadOnly(True)
        self.raw.setTabChangesFocus(True)
        self.raw.setLineWrapMode(QPlainTextEdit.LineWrapMode.NoWrap)
        self.raw.setFont(QFontDatabase.systemFont(QFontDatabase.SystemFont.FixedFont))
        self.raw.setFixedHeight(128)
        self.lines = LinesTable(self._context.units, page)
        self.only = QCheckBox(self.tr("&Show only lines that can't be read"), page)
        self.only.setObjectName("fromFileOnly")
        self.only.toggled.connect(self._show_lines)
        self.found = new_label(page, name="fromFileFound", wraps=True)
        self.found.setAlignment(Qt.AlignmentFlag.AlignTop)
        below = TallScroll(self.tr("What was found in the file"), page)
        below.set_content(self.found)
        below.setMinimumHeight(118)
        below.setMaximumHeight(150)
        right = new_column(
            None, self.raw, self.questions, (self.lines, 1), self.only, below, spacing=8
        )
        both = new_row(None, left, (right, 1), spacing=16)
        self._below_file = QWidget(page)
        self._below_file.setLayout(both)
        both.setContentsMargins(0, 0, 0, 0)
        self._hint = new_label(
            page,
            self.tr(
                "Choose a table that a logger wrote: CSV or text, a row to a line, a time beside its "
                "temperatures. Nothing is written into the journal before you have seen how it is read."
            ),
            name="fromFileHint",
            kind="faint",
            wraps=True,
        )
        column = new_column(
            page, file, self.problem, self._hint, (self._below_file, 1), spacing=10, margins=0
        )
        column.addStretch(0)
        return page

    def _build_end(self) -> QWidget:
        page = QWidget(self)
        self.bar = QProgressBar(page)
        self.bar.setObjectName("fromFileBar")
        self.bar.setAccessibleName(self.tr("Readings that are written so far"))
        self.end = new_label(page, name="fromFileEnd", wraps=True)
        column = new_column(page, FILL, self.end, self.bar, spacing=12, margins=0)
        column.addStretch(2)
        return page

    # the file

    @Slot()
    def _on_choose(self) -> None:
        path, _ = QFileDialog.getOpenFileName(
            self,
            self.tr("Table of readings"),
            str(Path(self.path.text()).parent) if self.path.text() else "",
            self.tr("Tables (*.csv *.txt *.tsv *.log);;All files (*)"),
        )
        if path:
            self.path.setText(path)
            self._on_path()

    @Slot()
    def _on_path(self) -> None:
        text = self.path.text().strip()
        if not text:
            self._say(self.tr("Choose the file first."))
            return
        path, zone = Path(text), self._zone
        self._form = self._read = None
        self._changes = []
        self._say("")
        self._hint.setText(self.tr("Looking into the file …"))
        self._show_step()
        self._context.after(in_background(partial(_looked_into, path, zone)), self._on_guessed)

    def _on_guessed(self, found: tuple[Path, WrittenForm, list[str]] | tuple[Path, str]) -> None:
        if str(found[0]) != str(Path(self.path.text().strip())):
            return
        if len(found) == 2:
            self._hint.setText("")
            self._say(found[1])
            self._show_step()
            return
        self._form, self._lines = found[1], found[2]
        self.raw.setPlainText("\n".join(printable(line) for line in self._lines[:RAW_LINES]))
        self._read_anew()

    # how it is read

    def _on_asked(self, change: Change) -> None:
        self._changes.append(change)
        self._change()

    def _change(self) -> None:
        if self._changing or not self._changes or self._form is None:
            return
        self._changing = True
        change, form = self._changes.pop(0), self._form
        self._context.after(in_background(partial(_changed, change, form)), self._on_changed)

    def _on_changed(self, found: tuple[WrittenForm, WrittenForm | str]) -> None:
        self._changing = False
        before, form = found
        if before is self._form:
            if isinstance(form, str):
                self._say(form)
                self.form.show_form(before, self._read)
            else:
                self._say("")
                self._form = form
                self._read_anew()
        self._change()

    def _read_anew(self) -> None:
        self._read = None
        self._show_step()
        self._refresher.mark()

    def _ask_read(self) -> Callable[[], object] | None:
        form, refresher = self._form, self._refresher
        return None if form is None else partial(_read_file, form, lambda: refresher.stale)

    def _on_read(self, found: tuple[WrittenForm, FileReadings | str | None]) -> None:
        form, read = found
        if form is not self._form or read is None:
            return
        if isinstance(read, str):
            self._say(read)
            self.found.setText("")
            return
        self._read = read
        self.form.show_form(form, read)
        self._show_step()

    def _on_not_read(self, error: BaseException) -> None:
        self._say(words_of(error))

    def _say(self, problem: str) -> None:
        say(self.problem, problem)

    # what is shown

    def _show_step(self) -> None:
        form, read = self._form, self._read
        step = self._pages.currentIndex()
        self._hint.setVisible(form is None)
        self._below_file.setVisible(form is not None)
        ready = read is not None and not read.open and read.at_s.size > 0
        self.back.setVisible(step == 1)
        # Enter in the line of the file looks into the file, and must not go on.
        self.next.setDefault(step > 0)
        self.next.setVisible(step < 2 or (self._taken is not None and self._into is not None))
        self.next.setEnabled(ready if step < 2 else self._opened() is not None)
        self.next.setText(
            (
                self.tr("&Next: which cook"),
                self.tr("Br&ing in the readings"),
                self.tr("&Open the cook"),
            )[step]
        )
        self.close_button.setText(
            self.tr("Close") if self._taken is not None else self.tr("Cancel")
        )
        if step or form is None:
            return
        if read is None:
            self.found.setText(self.tr("Reading the file …"))
            self.next.setEnabled(False)
            return
        asked = [question(point, self._example(form)) for point in read.open]
        say(self.questions, "\n".join(asked))
        known = bool(read.at_s.size or read.lines)
        words = findings(form, read, self._context.units) if known else ()
        self.found.setText(
            "\n".join(words) or self.tr("The readings are shown once this is answered.")
        )
        self._show_lines()

    def _example(self, form: WrittenForm) -> str:
        line = self._lines[form.first - 1] if form.first <= len(self._lines) else ""
        cells = cells_of(line, form.delimiter)
        return printable(" ".join(cells[p] for p in form.time.columns if p < len(cells)))

    @Slot()
    def _show_lines(self) -> None:
        read, form = self._read, self._form
        self.only.setVisible(read is not None and read.refused_lines > 0)
        refused = self.only.isChecked() and read is not None and read.refused_lines > 0
        self.lines.show_read(read, form.time.zone if form else "UTC", refused=refused)

    # into the cook

    @Slot()
    def _on_back(self) -> None:
        self._pages.setCurrentIndex(0)
        self._show_step()

    @Slot()
    def _on_next(self) -> None:
        step = self._pages.currentIndex()
        if step == 0 and self._form is not None and self._read is not None:
            self.choice.show_read(self._form, self._read)
            self._pages.setCurrentIndex(1)
            self._show_step()
        elif step == 1:
            self._begin()
        elif (cook_id := self._opened()) is not None:
            self.open_asked.emit(cook_id)
            self.accept()

    def _begin(self) -> None:
        into, read, form = self.choice.chosen(), self._read, self._form
        if into is None or read is None or form is None:
            return
        self._into = into
        note = partial(
            self.tr(
                "Readings from the file “{file}”: {readings} came in, {doubled} were there already, "
                "{refused} of {lines} lines and {cells} single numbers could not be read."
            ).format,
            file=printable(form.path.name),
            **_refused(read),
        )
        self._intake = FileIntake(
            self._context.program,
            read,
            into.channels,
            into.cook,
            lambda told: note(readings=f"{told.readings:,}", doubled=f"{told.doubled:,}"),
        )
        self._pages.setCurrentIndex(2)
        self.end.setText(
            self.tr("The readings are written. All of them come in together, or none.")
        )
        self.bar.setRange(0, 0)
        self.bar.show()
        self._timer.start()
        self._show_step()
        self._context.after(in_background(self._intake.run), self._on_taken, self._on_not_taken)

    @Slot()
    def _on_progress(self) -> None:
        if self._intake is not None and self._intake.total:
            self.bar.setRange(0, self._intake.total)
            self.bar.setValue(self._intake.done)

    def _on_taken(self, told: TakenIn) -> None:
        self._ended()
        self._taken = told
        assert self._read is not None
        assert self._into is not None
        clean = not (told.doubled or self._read.refused_lines or self._read.refused_cells)
        self.end.setText(
            self.tr(
                "{readings} readings came into “{title}”, and every line of the file was read."
            ).format(readings=f"{told.readings:,}", title=self._into.title)
            if clean
            else self.tr(
                "{readings} readings came into “{title}”, {doubled} were there already, and {refused} of "
                "{lines} lines and {cells} single numbers could not be read."
            ).format(
                readings=f"{told.readings:,}",
                title=self._into.title,
                doubled=f"{told.doubled:,}",
                **_refused(self._read),
            )
        )
        self._show_step()
        self.next.setFocus()

    def _on_not_taken(self, error: BaseException) -> None:
        self._ended()
        self._pages.setCurrentIndex(1)
        if isinstance(error, IntakeStopped):
            words = self.tr("It was cancelled. Nothing of it is in the journal.")
        else:
            words = self.tr("Nothing came into the journal. {why}").format(why=words_of(error))
        self.choice.say(words)
        self._show_step()

    def _ended(self) -> None:
        self._timer.stop()
        self._intake = None
        self.bar.hide()
        self.close_button.setEnabled(True)

    def _opened(self) -> int | None:
        """The cook that the readings came to."""
        if self._taken is None or self._into is None:
            return None
        cook = self._into.cook
        return cook if isinstance(cook, int) else self._taken.cook_id

    def reject(self) -> None:
        """While readings are being written, that is taken back first."""
        if self._intake is not None:
            self._intake.cancel()
            self.close_button.setEnabled(False)
            self.end.setText(self.tr("What was written so far is taken back …"))
            return
        super().reject()


def _refused(read: FileReadings) -> dict[str, str]:
    cells = sum(refusal.count for refusal in read.refused_cells)
    return {
        "refused": f"{read.refused_lines:,}",
        "lines": f"{read.lines:,}",
        "cells": f"{cells:,}",
    }


def _looked_into(path: Path, zone: str) -> tuple[Path, WrittenForm, list[str]] | tuple[Path, str]:
    try:
        form = guess_file(path, zone)
        return path, form, first_lines(path, form.encoding)
    except TableTrouble as trouble:
        return path, str(trouble)


def _changed(change: Change, form: WrittenForm) -> tuple[WrittenForm, WrittenForm | str]:
    try:
        return form, change(form)
    except TableTrouble as trouble:
        return form, str(trouble)


def _read_file(
    form: WrittenForm, stopped: Callable[[], bool]
) -> tuple[WrittenForm, FileReadings | str | None]:
    try:
        return form, read_recorded(form, stopped)
    except TableTrouble as trouble:
        return form, str(trouble)
    except ReadingStopped:
        return form, None
