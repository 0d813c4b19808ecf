"""The side of Tend: the log, the lines about food safety, or the form that was asked for."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import QTimer, Signal, Slot
from PySide6.QtWidgets import (
    QApplication,
    QSizePolicy,
    QStackedWidget,
    QWidget,
)

from smokejournal.cook.log.entries import FoodClass
from smokejournal.cook.progress.standing import Standing
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.widgets import new_column, new_label
from smokejournal.desk.entry.entry_form import EntryForm, Said
from smokejournal.desk.entry.small_forms import CloseForm
from smokejournal.desk.tend.forms import TendForms
from smokejournal.desk.tend.log_list import LogList
from smokejournal.desk.tend.safety_panel import SafetyBar, SafetyPanel
from smokejournal.desk.tend.writer import TendWriter
from smokejournal.services.program.live import LiveCook


class SidePane(QWidget):
    """See the module. `form_shown(widget)` is what must be in sight; `put_away` when a form is gone;
    `cook_closed` when the form that closes the cook was written.
    """

    form_shown = Signal(object)
    put_away = Signal()
    cook_closed = Signal()

    def __init__(self, context: DeskContext, writer: TendWriter, parent: QWidget) -> None:
        super().__init__(parent)
        self._context = context
        self._writer = writer
        self._live: LiveCook | None = None
        self._standing = Standing(0.0)
        self.log = LogList(self)
        self.safety = SafetyPanel(context, self)
        self.bar = SafetyBar(self)
        self.forms = TendForms(context.now_s, self)
        self._stack = QStackedWidget(self)
        self._stack.setObjectName("tendSide")
        # A long log takes the height that is left, and asks for none.
        self._stack.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Ignored)
        for pane in (self.log, self.safety):
            self._stack.addWidget(pane)
        self.forms.made.connect(self._stack.addWidget)
        # What was written last is shown whether the log is in sight or a form.
        self.status = new_label(self, name="logStatus", kind="faint", wraps=True)
        self.status.setMinimumHeight(self.status.fontMetrics().height())
        self.setMinimumWidth(300)
        self.setMaximumWidth(420)
        new_column(self, self.bar, (self._stack, 1), self.status, spacing=4, margins=0)
        writer.told.connect(self.status.setText)
        self.forms.said.connect(self._on_said)
        self.forms.cancelled.connect(self._on_cancelled)
        self.log.strike_asked.connect(writer.strike)
        self.log.restore_asked.connect(writer.restore)
        self.log.undo_asked.connect(writer.undo)
        self.log.redo_asked.connect(writer.redo)
        self.safety.told.connect(self.bar.show_lines)
        self.safety.table_asked.connect(self._choose_table)
        self.safety.refrigerator_asked.connect(self._ask_refrigerator)
        self.safety.folded.connect(self.bar.button.click)
        self.bar.toggled.connect(self._on_safety_open)

    def set_live(self, live: LiveCook | None) -> None:
        """Be about this cook."""
        self._live = live
        self.close_form()
        self.status.clear()
        self.safety.set_live(live)

    def show_standing(self, standing: Standing) -> None:
        """Forms that are opened from now on know this."""
        self._standing = standing

    @property
    def shows_log(self) -> bool:
        """Whether the log is what is in sight."""
        return self._stack.currentWidget() is self.log

    def open_form(self, name: str) -> None:
        """Show the form with this name, ready to be filled in."""
        if self._live is None:
            return
        form = self.forms.ready(name, self._live, self._standing, self._context)
        self._stack.setCurrentWidget(form)
        form.open()
        # Once it is laid out: in a low window its button may be below the edge.
        QTimer.singleShot(0, self, self._show_form)

    @Slot()
    def close_form(self) -> None:
        """Back to the log, or to the lines about food safety where they are open."""
        opened = self.bar.button.isChecked()
        self._stack.setCurrentWidget(self.safety if opened else self.log)
        self.put_away.emit()

    def focusNextPrevChild(self, forward: bool) -> bool:
        """Tab goes from what stands above into the form, to its first field."""
        form, here = self._stack.currentWidget(), QApplication.focusWidget()
        inside = here is not None and form is not None and form.isAncestorOf(here)
        if forward and isinstance(form, EntryForm) and not inside:
            form.enter()
            return True
        return super().focusNextPrevChild(forward)

    @Slot()
    def _show_form(self) -> None:
        form = self._stack.currentWidget()
        if isinstance(form, EntryForm):
            self.form_shown.emit(form.record)

    @Slot(bool)
    def _on_safety_open(self, opened: bool) -> None:
        if not isinstance(self._stack.currentWidget(), EntryForm):
            self.close_form()
        if opened:
            self.safety.setFocus()

    @Slot(str)
    def _choose_table(self, food: FoodClass) -> None:
        if self._live is not None:
            self.forms.choose_food(food, self._live)
            self.open_form("safety")

    @Slot()
    def _ask_refrigerator(self) -> None:
        self.open_form("refrigerator")

    @Slot()
    def _on_cancelled(self) -> None:
        form = self._stack.currentWidget()
        self.close_form()
        if isinstance(form, EntryForm) and form.waits():
            self.status.setText(self.tr("Not recorded yet: your note waits where you left it."))

    @Slot(object, object)
    def _on_said(self, form: EntryForm, said: Said) -> None:
        self._writer.write(said, partial(self._form_written, form), form.failed)

    def _form_written(self, form: EntryForm) -> None:
        form.written()
        closes = isinstance(form, CloseForm)
        if self._stack.currentWidget() is form or closes:
            self.close_form()
        if closes:
            self.cook_closed.emit()
