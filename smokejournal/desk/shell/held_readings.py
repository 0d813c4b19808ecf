"""The line over every page that says that readings come and can't be written to the journal."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Qt, Slot
from PySide6.QtWidgets import QFrame, QWidget

from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.widgets import new_button, new_label, new_row
from smokejournal.services.feeds.control import FeedStatus


class HeldReadings(QFrame):
    """How many readings wait in memory, why, and what to do. Hidden while none does."""

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("heldReadings")
        self.setProperty("kind", "notice")
        self._context = context
        self.text = new_label(self, name="heldText", wraps=True)
        self.text.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.write = new_button(
            self,
            self.tr("Write the cook to a file…"),
            self._on_write,
            name="heldWrite",
            hears=self.tr("Write the cook to a file"),
            tip=self.tr("Everything of this cook as text, to a disk that has room"),
        )
        new_row(self, (self.text, 1), self.write, margins=(14, 6, 10, 6))
        context.ticked.connect(self.refresh)
        self.refresh()

    @Slot()
    def refresh(self) -> None:
        """Look whether readings wait."""
        status = self._status()
        if status.unwritten and status.trouble:
            self.text.setText(
                self.tr(
                    "{count} readings wait in memory: {trouble} {cure} They will be written as soon "
                    "as possible, and are lost if the program is killed before then."
                ).format(count=status.unwritten, trouble=status.trouble, cure=status.cure)
            )
        self.setVisible(bool(status.unwritten and status.trouble))

    def _status(self) -> FeedStatus:
        feeds = self._context.feeds
        return feeds.status() if feeds is not None else FeedStatus()

    @Slot()
    def _on_write(self) -> None:
        from smokejournal.cook.summary.whole_text import whole_text
        from smokejournal.desk.outgoing.file_saver import FileSaver
        from smokejournal.services.stores.files import write_whole

        feeds = self._context.feeds
        waiting = feeds.unwritten() if feeds is not None else []
        if not waiting:
            return
        cook_id, readings = waiting[-1]
        live = self._context.live(cook_id)

        def write(path: Path) -> str:
            write_whole(whole_text(live.log(), readings).encode(), path)
            return ""

        FileSaver(self._context, self).ask(
            self.tr("Write the cook to a file"),
            live.title,
            "txt",
            {self.tr("Text (*.txt)"): write},
        )
