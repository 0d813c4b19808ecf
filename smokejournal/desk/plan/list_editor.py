"""A part of the plan that is written to the log piece by piece: a list, and a form below it.

Adding writes an entry, changing strikes the old one and writes a new one, removing strikes it. The
list shows what the log says, never what was typed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRect, QSize, Qt, Signal, Slot
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import (
    QFrame,
    QGridLayout,
    QListWidget,
    QListWidgetItem,
    QWidget,
)

from smokejournal.cook.text.quantities import Units
from smokejournal.desk.base.widgets import FILL, new_button, new_column, new_label, new_row, say
from smokejournal.desk.parts.fields import QuantityField
from smokejournal.desk.parts.rows import new_grid

ID_ROLE = Qt.ItemDataRole.UserRole
LABEL_WIDTH = 88
_PADDING = 12


@dataclass(frozen=True, slots=True)
class ListLine:
    """One piece as the log has it: what names it, and how it reads."""

    key: object
    words: str


class _RecordList(QListWidget):
    """`opened` by Enter or a double click, `removed` by Delete."""

    opened = Signal()
    removed = Signal()
    resized = Signal()

    def key_words(self) -> tuple[tuple[str, str], ...]:
        """For the list of keys."""
        return (
            ("Return", self.tr("In a list: change the chosen line")),
            ("Del", self.tr("In a list: remove the chosen line")),
        )

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.resized.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.opened.emit()
        elif event.key() == Qt.Key.Key_Delete:
            self.removed.emit()
        else:
            super().keyPressEvent(event)


class RecordsEditor(QWidget):
    """Subclasses give the form (`_build_form`, `_fill`, `_read`) and tell what is to be written.

    `keep_asked(key, payload)`: write it, in place of the entry `key` (None: it is new).
    `remove_asked(key)`: strike it. `back_asked`: take back what was written last. `form_changed`: the
    form was opened or put away.
    """

    form_changed = Signal()
    keep_asked = Signal(object, object)
    remove_asked = Signal(object)
    back_asked = Signal()

    def __init__(self, name: str, units: Units, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName(name)
        self._units = units
        self._lines: tuple[ListLine, ...] = ()
        self._editing: object = None
        self.heading = new_label(self, kind="section")
        self.empty = new_label(self, kind="faint", wraps=True)
        self.list = _RecordList(self)
        self.list.setObjectName(f"{name}List")
        self.list.setWordWrap(True)
        self.list.setResizeMode(QListWidget.ResizeMode.Adjust)
        self.list.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.add = new_button(self, self.tr("Add"), self._on_add, name=f"{name}Add")
        self.change = new_button(self, self.tr("Change"), self._on_change, name=f"{name}Change")
        self.remove = new_button(self, self.tr("Remove"), self._on_remove, name=f"{name}Remove")
        self._done = QWidget(self)
        self._done_words = new_label(self._done, name=f"{name}Done", kind="faint")
        self.back = new_button(
            self._done, self.tr("Undo"), self.back_asked, name=f"{name}Back", kind="quick"
        )
        self._done.hide()
        self._form = QFrame(self)
        self._form.setProperty("kind", "sheet")
        self.problem = new_label(
            self._form, name=f"{name}Problem", kind="problem", wraps=True, hidden=True
        )
        self._lay_out()
        self._connect()
        self._form.hide()
        self.show_lines(())

    # -- for subclasses ---------------------------------------------------------------------

    def set_title(self, title: str) -> None:
        """What is listed, also for a reader of screens."""
        self.heading.setText(title)
        self.list.setAccessibleName(title)
        self.add.setAccessibleName(self.tr("Add: {what}").format(what=title))
        self.change.setAccessibleName(self.tr("Change: {what}").format(what=title))
        self.remove.setAccessibleName(self.tr("Remove: {what}").format(what=title))

    def _build_form(self, grid: QGridLayout) -> None:
        """Put the fields into the form."""
        raise NotImplementedError

    def _fill(self, key: object) -> None:
        """Show the piece `key` in the form; None: a new one."""
        raise NotImplementedError

    def _read(self) -> object | None:
        """The payload, or None with the messages shown where it can't be read."""
        raise NotImplementedError

    def _first(self) -> QWidget:
        """The field that gets the keyboard first."""
        raise NotImplementedError

    # -- for the page -----------------------------------------------------------------------

    def show_lines(self, lines: Sequence[ListLine]) -> None:
        """Show what the log has."""
        key = self.chosen()
        self._lines = tuple(lines)
        self.list.clear()
        for line in lines:
            item = QListWidgetItem(line.words)
            item.setData(ID_ROLE, line.key)
            self.list.addItem(item)
            if line.key == key:
                self.list.setCurrentItem(item)
        self.list.setVisible(bool(lines))
        self.empty.setVisible(not lines)
        self._fit()
        self._show_buttons()

    def set_units(self, units: Units) -> None:
        """Show every quantity in these units."""
        self._units = units
        for field in self.findChildren(QuantityField):
            field.set_units(units)

    def chosen(self) -> object:
        """The key of the piece chosen in the list, or None."""
        item = self.list.currentItem()
        return None if item is None else item.data(ID_ROLE)

    def open_form(self, key: object = None) -> None:
        """Show the form for a piece, or for a new one."""
        self._editing = key
        self._refuse("")
        self._fill(key)
        self._form.show()
        self._show_buttons()
        self.form_changed.emit()
        self._first().setFocus()

    def kept(self) -> None:
        """What was asked to be kept is in the log: the form is no longer needed."""
        self.close_form()
        self.add.setFocus()

    def refused(self, message: str) -> None:
        """What was asked to be kept was not: say why, and lose nothing."""
        self.keep.setEnabled(True)
        self._refuse(message)

    def offer_back(self, words: str) -> None:
        """Say what was written, with a way to take it back; empty: there is nothing to take back."""
        self._done_words.setText(words)
        self.back.setAccessibleName(self.tr("Undo: {what}").format(what=words))
        self._done.setVisible(bool(words))

    @property
    def is_open(self) -> bool:
        """True while something is being filled in."""
        return not self._form.isHidden()

    def close_form(self) -> None:
        """Put the form away, as for another cook."""
        self._form.hide()
        self._editing = None
        self.keep.setEnabled(True)
        self._show_buttons()
        self.form_changed.emit()

    # -- inside -----------------------------------------------------------------------------

    def _lay_out(self) -> None:
        grid = new_grid(LABEL_WIDTH - 12)
        self._build_form(grid)
        # Made after the fields, so that Tab goes from the last one to them.
        name = self.objectName()
        cancel, keep = self.tr("Cancel"), self.tr("Save")
        self.cancel = new_button(self._form, cancel, self._on_cancel, name=f"{name}Cancel")
        self.keep = new_button(self._form, keep, self._on_keep, name=f"{name}Keep")
        below = new_row(None, FILL, self.cancel, self.keep)
        new_column(self._form, grid, self.problem, below, margins=(12, 10, 12, 10))
        head = new_row(None, (self.heading, 1), spacing=6)
        for button in (self.change, self.remove, self.add):
            button.setProperty("kind", "quick")
            head.addWidget(button)
        column = new_column(self, head, self.empty, self.list, spacing=6, margins=0)
        new_row(self._done, (self._done_words, 1), self.back, margins=0)
        column.addWidget(self._done)
        column.addWidget(self._form)

    def _connect(self) -> None:
        self.list.itemSelectionChanged.connect(self._show_buttons)
        self.list.itemDoubleClicked.connect(self._on_change)
        self.list.opened.connect(self._on_change)
        self.list.removed.connect(self._on_remove)
        self.list.resized.connect(self._fit)

    def key_words(self) -> tuple[tuple[str, str], ...]:
        """For the list of keys."""
        return (
            ("Return", self.tr("In a form below a list: keep the line")),
            ("Esc", self.tr("In a form below a list: leave it as it was")),
        )

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if self.is_open and event.key() == Qt.Key.Key_Escape:
            self._on_cancel()
        elif self.is_open and event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._on_keep()
        else:
            super().keyPressEvent(event)

    @Slot()
    def _fit(self) -> None:
        """The list is as high as what it lists: the page scrolls, not the list."""
        # Qt forgets the padding of the style sheet when it asks how high wrapped text is.
        metrics = self.list.fontMetrics()
        room = QRect(0, 0, max(80, self.list.viewport().width() - 2 * _PADDING), 10_000)
        for item in (self.list.item(n) for n in range(self.list.count())):
            text = metrics.boundingRect(room, int(Qt.TextFlag.TextWordWrap), item.text())
            item.setSizeHint(QSize(room.width(), text.height() + 10))
        self.list.doItemsLayout()
        last = self.list.item(self.list.count() - 1)
        rows = 0 if last is None else self.list.visualItemRect(last).bottom() + 1
        height = max(rows, 28) + 2 * self.list.frameWidth() + 2
        if height != self.list.height():
            self.list.setFixedHeight(height)

    def _refuse(self, message: str) -> None:
        say(self.problem, message)

    @Slot()
    def _show_buttons(self) -> None:
        chosen = bool(self.list.selectedItems())
        self.change.setVisible(bool(self._lines))
        self.remove.setVisible(bool(self._lines))
        self.change.setEnabled(chosen and not self.is_open)
        self.remove.setEnabled(chosen and not self.is_open)
        self.add.setEnabled(not self.is_open)

    @Slot()
    def _on_add(self) -> None:
        self.open_form(None)

    @Slot()
    def _on_change(self) -> None:
        key = self.chosen()
        if key is not None and not self.is_open:
            self.open_form(key)

    @Slot()
    def _on_remove(self) -> None:
        key = self.chosen()
        if key is not None and not self.is_open:
            self.remove_asked.emit(key)

    @Slot()
    def _on_keep(self) -> None:
        payload = self._read()
        if payload is not None:
            self.keep.setEnabled(False)
            self._refuse("")
            self.keep_asked.emit(self._editing, payload)

    @Slot()
    def _on_cancel(self) -> None:
        self.close_form()
        self.add.setFocus()
