"""Fields that only the brine form has: a percentage with its own range, a vessel's volume, a line."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QPlainTextEdit, QWidget

from smokejournal.cook.brine.recipe import RecipeLine
from smokejournal.cook.brine.words import mark_words, marked_line
from smokejournal.desk.base.widgets import new_column, new_label, say


class _LineEdit(QPlainTextEdit):
    """Tab goes on to the next field: a recipe needs no tabs."""

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Tab:
            self.focusNextChild()
        elif event.key() == Qt.Key.Key_Backtab:
            self.focusPreviousChild()
        else:
            super().keyPressEvent(event)


class RecipeField(QWidget):
    """The line, and below it what of it wasn't understood, in its place and with the reason."""

    changed = Signal()

    def __init__(self, name: str, label: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.edit = _LineEdit(self)
        self.edit.setObjectName(name)
        self.edit.setAccessibleName(label)
        self.edit.setTabChangesFocus(True)
        self.edit.setPlaceholderText(
            self.tr("2 qt water, 1 1/4 cups coarse salt, ½ cup white sugar")
        )
        self.edit.setFixedHeight(84)
        self.marked = new_label(self, name=f"{name}Marked")
        self.marked.setProperty("markup", True)
        self.marked.setTextFormat(Qt.TextFormat.RichText)
        self.marked.setWordWrap(True)
        self.message = new_label(self, name=f"{name}Problem", kind="problem", wraps=True)
        column = new_column(self, spacing=4, margins=0)
        for widget in (self.edit, self.marked, self.message):
            column.addWidget(widget)
        self.setFocusProxy(self.edit)
        self.edit.textChanged.connect(self._on_changed)
        self.show_recipe(RecipeLine(""))

    def text(self) -> str:
        """What is typed, line breaks and all."""
        return self.edit.toPlainText()

    def set_text(self, text: str) -> None:
        """Show `text`."""
        self.edit.setPlainText(text)

    def show_recipe(self, recipe: RecipeLine) -> None:
        """Show what wasn't understood."""
        marks = mark_words(recipe)
        self.marked.setText(marked_line(recipe) if marks else "")
        self.marked.setVisible(bool(marks))
        say(self.message, "\n".join(marks))
        self.edit.setAccessibleDescription(" ".join(marks))

    @Slot()
    def _on_changed(self) -> None:
        self.changed.emit()
