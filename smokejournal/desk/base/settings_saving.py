"""Settings on their way into the journal, for whatever dialog they were chosen in."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal

from smokejournal.desk.base.context import DeskContext
from smokejournal.services.program import settings
from smokejournal.services.program.settings import Settings


class SettingsSaving(QObject):
    """`saved(settings)` once all of them are written, `failed(error)` for each that can't be."""

    saved = Signal(object)
    failed = Signal(object)

    def __init__(self, context: DeskContext, parent: QObject) -> None:
        super().__init__(parent)
        self._context = context
        self._chosen = Settings()
        self._waiting = 0

    def save(self, chosen: Settings) -> None:
        """Write all of them, not only what differs: a value that could not be read is put right so too."""
        self._chosen = chosen
        futures = settings.save(self._context.program.journal, chosen)
        self._waiting = len(futures)
        for future in futures:
            self._context.after(future, self._on_written, self._on_failed)

    def _on_written(self, _: object) -> None:
        self._waiting -= 1
        if self._waiting == 0:
            self.saved.emit(self._chosen)

    def _on_failed(self, error: BaseException) -> None:
        self.failed.emit(error)
