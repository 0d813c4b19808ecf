"""The line over every page that says that readings come and can't be written to the journal."""

from __future__ import annotations

from PySide6.QtCore import Qt, Slot
from PySide6.QtWidgets import QLabel, QWidget

from smokejournal.desk.base.context import DeskContext
from smokejournal.services.feeds.control import FeedStatus


class HeldReadings(QLabel):
    """How many readings wait in memory, why, and what to do. Hidden while none does."""

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("heldReadings")
        self.setProperty("kind", "held")
        self.setWordWrap(True)
        self.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self._context = context
        context.ticked.connect(self.refresh)
        self.refresh()

    @Slot()
    def refresh(self) -> None:
        """Look whether readings wait."""
        feeds = self._context.feeds
        status = feeds.status() if feeds is not None else FeedStatus()
        if status.unwritten and status.trouble:
            self.setText(
                self.tr(
                    "{count} readings wait in memory: {trouble} {cure} They are tried again by "
                    "themselves, and lost if the program ends before."
                ).format(count=status.unwritten, trouble=status.trouble, cure=status.cure)
            )
        self.setVisible(bool(status.unwritten and status.trouble))
