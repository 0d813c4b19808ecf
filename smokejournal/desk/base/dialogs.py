"""What dialogs have in common: how they open, the buttons below, and settings that are saved by one."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QLabel, QPushButton, QWidget

from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.error_words import words_of
from smokejournal.desk.base.widgets import new_button, say
from smokejournal.services.program import settings
from smokejournal.services.program.settings import Settings


def open_dialog(dialog: QDialog) -> None:
    """Show a dialog before its window; once closed it is gone."""
    dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    dialog.open()


def dialog_buttons(
    dialog: QDialog, do: QPushButton, act: Callable[[], object], cancel: str, *more: QPushButton
) -> QDialogButtonBox:
    """A row with the button that does it, `cancel` as the name of the one that doesn't, and `more`."""
    buttons = QDialogButtonBox(dialog)
    buttons.addButton(do, QDialogButtonBox.ButtonRole.AcceptRole)
    no = buttons.addButton(dialog.tr("Cancel"), QDialogButtonBox.ButtonRole.RejectRole)
    no.setObjectName(cancel)
    for button in more:
        buttons.addButton(button, QDialogButtonBox.ButtonRole.ResetRole)
    buttons.accepted.connect(act)
    buttons.rejected.connect(dialog.reject)
    return buttons


class SettingsSaver(QDialog):
    """`kept(Settings)` once they are on disk; then it closes. `problem` says why they can't be written."""

    kept = Signal(object)
    problem: QLabel

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._context = context
        self._loaded = settings.load(context.program.journal)
        self._before = self._loaded.settings
        self._chosen = self._before
        self._waiting = 0

    def save_buttons(self, name: str, *more: QPushButton) -> QDialogButtonBox:
        """Save and Cancel, which are called by `name`, and `more`."""
        self._keep = new_button(
            self, self.tr("&Save"), name=f"{name}Keep", kind="ember", default=True
        )
        return dialog_buttons(self, self._keep, self.save, f"{name}Cancel", *more)

    def wanted(self) -> Settings | None:
        """All settings as they are chosen; None where something can't be."""
        raise NotImplementedError

    def save(self) -> None:
        """Write all of them, not only what differs: a value that could not be read is put right so too."""
        chosen = self.wanted()
        if chosen is None:
            return
        self._chosen = chosen
        self._keep.setEnabled(False)
        futures = settings.save(self._context.program.journal, chosen)
        self._waiting = len(futures)
        for future in futures:
            self._context.after(future, self._on_written, self._on_failed)

    def _on_written(self, _: object) -> None:
        self._waiting -= 1
        if self._waiting == 0:
            self.on_saved(self._chosen)
            self.accept()

    def on_saved(self, chosen: Settings) -> None:
        """They are on disk."""
        self.kept.emit(chosen)

    def _on_failed(self, error: BaseException) -> None:
        self._keep.setEnabled(True)
        say(self.problem, words_of(error))
