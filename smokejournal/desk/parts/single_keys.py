"""Single keys that act while nothing is being typed.

Letters belong to whoever types: the keys sleep while an editor, a list to choose from or any part of
a form has the focus. Enter and Space also belong to a button that has the focus.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, Qt, Slot
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractSpinBox,
    QApplication,
    QComboBox,
    QLineEdit,
    QPlainTextEdit,
    QTextEdit,
    QWidget,
)

_EDITORS = (QLineEdit, QTextEdit, QPlainTextEdit, QAbstractSpinBox, QComboBox)
#: A widget with this property set keeps all keys within it to itself.
KEEPS_KEYS = "keepsKeys"
#: A widget with this property set has a use of its own for Enter and Space.
KEEPS_ENTER = "keepsEnter"


class SingleKeys(QObject):
    """The keys of one page. They act only while the page can be seen."""

    def __init__(self, page: QWidget) -> None:
        super().__init__(page)
        self._page = page
        self._letters: list[QShortcut] = []
        self._pushes: list[QShortcut] = []
        app = QApplication.instance()
        if isinstance(app, QApplication):
            app.focusChanged.connect(self._on_focus)

    def add(self, keys: str, act: Callable[[], object], words: str) -> None:
        """Have a key (as QKeySequence reads it) call `act`; `words` say so in the list of keys."""
        shortcut = QShortcut(QKeySequence(keys), self._page)
        shortcut.setAutoRepeat(False)
        shortcut.setWhatsThis(words)
        shortcut.activated.connect(act)
        if keys in ("Return", "Enter", "Space"):
            self._pushes.append(shortcut)
        else:
            self._letters.append(shortcut)
        self._set_enabled(QApplication.focusWidget())

    @Slot(QWidget, QWidget)
    def _on_focus(self, _old: QWidget | None, new: QWidget | None) -> None:
        self._set_enabled(new)

    def _set_enabled(self, focus: QWidget | None) -> None:
        typing = keeps_keys(focus)
        pushing = isinstance(focus, QAbstractButton) or (
            focus is not None and bool(focus.property(KEEPS_ENTER))
        )
        for shortcut in self._letters:
            shortcut.setEnabled(not typing)
        for shortcut in self._pushes:
            shortcut.setEnabled(not typing and not pushing)


def keeps_keys(widget: QWidget | None) -> bool:
    """True where letters typed into `widget` are meant for it and not for the page."""
    if isinstance(widget, _EDITORS):
        return True
    while widget is not None:
        if widget.property(KEEPS_KEYS):
            return True
        widget = widget.parentWidget()
    return False


def plain_text(label_text: str) -> str:
    """A text for a button, in which nothing is taken for a mnemonic."""
    return label_text.replace("&", "&&")


ENTER_KEYS = (Qt.Key.Key_Return, Qt.Key.Key_Enter)
