"""The bar above the pages: trouble with its cure, and what was done.

Trouble stays until it is dismissed; several wait their turn and are counted, and the same trouble
told again is counted rather than queued. What was done goes by itself.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from PySide6.QtCore import QEvent, QObject, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QFrame, QWidget

from smokejournal.desk.base.theme import set_kind
from smokejournal.desk.base.widgets import new_button, new_column, new_label, new_row

#: How long 'done' stays [ms]: long enough to be read twice.
DONE_MS = 8000


class NoticeLike(Protocol):
    """What the bar needs of a notice."""

    @property
    def text(self) -> str: ...

    @property
    def cure(self) -> str: ...

    @property
    def kind(self) -> str: ...


@dataclass
class _Waiting:
    text: str
    cure: str
    times: int = 1


class NoticeBar(QFrame):
    """Shows one notice at a time; hidden while there is none."""

    emptied = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("noticeBar")
        self.setAccessibleName(self.tr("Notices"))
        self.setFrameShape(QFrame.Shape.StyledPanel)
        self._troubles: list[_Waiting] = []
        self._done = ""
        self._count = new_label(self, name="noticeCount", kind="faint")
        self._text = new_label(self, name="noticeText")
        self._cure = new_label(self, name="noticeCure")
        for label in (self._text, self._cure):
            label.setWordWrap(True)
            label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self._dismiss = new_button(
            self,
            self.tr("&Dismiss"),
            self.dismiss,
            name="noticeDismiss",
            kind="plain",
            hears=self.tr("Dismiss this notice"),
        )
        words = new_column(None, self._text, self._cure, spacing=2)
        new_row(self, (words, 1), self._count, self._dismiss, margins=(12, 6, 12, 6))
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.timeout.connect(self._on_read)
        self._dismiss.installEventFilter(self)
        self.hide()

    def show_notice(self, notice: NoticeLike) -> None:
        """Show it now, or in its turn."""
        if notice.kind == "trouble":
            self._add_trouble(notice.text, notice.cure)
        else:
            self._done = " ".join(part for part in (notice.text, notice.cure) if part)
            if not self._troubles:
                self._timer.start(DONE_MS)
        self._show()

    def dismiss(self) -> None:
        """The shown notice was read."""
        if self._troubles:
            self._troubles.pop(0)
            if not self._troubles and self._done:
                self._timer.start(DONE_MS)
        else:
            self._done = ""
            self._timer.stop()
        self._show()

    def _add_trouble(self, text: str, cure: str) -> None:
        for waiting in self._troubles:
            if (waiting.text, waiting.cure) == (text, cure):
                waiting.times += 1
                return
        self._troubles.append(_Waiting(text, cure))

    def _on_read(self) -> None:
        self._done = ""
        self._show()

    def _show(self) -> None:
        if self._troubles:
            first = self._troubles[0]
            self._text.setText(first.text)
            self._cure.setText(first.cure)
            self._count.setText(self._counted(first))
        else:
            self._text.setText(self._done)
            self._cure.setText("")
            self._count.setText("")
        trouble = bool(self._troubles)
        set_kind(self, "notice" if trouble else "sheet")
        set_kind(self._text, "problem" if trouble else "good")
        self._cure.setVisible(bool(self._cure.text()))
        self._count.setVisible(bool(self._count.text()))
        shown = bool(self._text.text())
        self.setVisible(shown)
        self.setAccessibleDescription(f"{self._text.text()} {self._cure.text()}".strip())
        if not shown:
            self.emptied.emit()

    def _counted(self, first: _Waiting) -> str:
        parts = []
        if first.times > 1:
            parts.append(self.tr("{times} times").format(times=first.times))
        if len(self._troubles) > 1:
            parts.append(self.tr("1 of {count}").format(count=len(self._troubles)))
        return ", ".join(parts)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Escape on the button dismisses too."""
        if (
            watched is self._dismiss
            and isinstance(event, QKeyEvent)
            and event.type() == QEvent.Type.KeyPress
            and event.key() == Qt.Key.Key_Escape
        ):
            self.dismiss()
            return True
        return super().eventFilter(watched, event)
