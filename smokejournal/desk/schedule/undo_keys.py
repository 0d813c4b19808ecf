"""Undo and redo by key."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import QLineEdit, QPlainTextEdit, QWidget

UNDO_KEYS = (QKeySequence("Ctrl+Z"),)
REDO_KEYS = (QKeySequence("Ctrl+Shift+Z"), QKeySequence("Ctrl+Y"))


class UndoKeys(QObject):
    """The keys mean the plan anywhere in `home`, in its fields too once those were given over."""

    def __init__(self, home: QWidget, undo: Callable[[], None], redo: Callable[[], None]) -> None:
        super().__init__(home)
        for keys, slot, words in (
            (UNDO_KEYS, undo, self.tr("Take back the last change to the stages")),
            (REDO_KEYS, redo, self.tr("Make that change again")),
        ):
            for key in keys:
                shortcut = QShortcut(key, home)
                shortcut.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
                shortcut.setWhatsThis(words)
                shortcut.activated.connect(slot)

    def take_over(self, form: QWidget) -> None:
        """Have the keys mean the plan in every field of this form; again for fields that are new."""
        for kind in (QLineEdit, QPlainTextEdit):
            for edit in form.findChildren(kind):
                edit.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        # A line of text would undo its letters by itself; here undo means the plan.
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            pressed = QKeySequence(event.keyCombination())
            if any(pressed == key for key in (*UNDO_KEYS, *REDO_KEYS)):
                event.ignore()
                return True
        return super().eventFilter(watched, event)
