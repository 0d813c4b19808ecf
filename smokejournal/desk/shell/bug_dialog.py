"""The one dialog for what should never happen: it says what is safe and what to copy."""

from __future__ import annotations

import logging
import threading
import traceback
from types import TracebackType

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import (
    QDialog,
    QPlainTextEdit,
    QWidget,
)

from smokejournal.desk.base.theme import dress
from smokejournal.desk.base.widgets import new_button, new_column, new_label, new_row

log = logging.getLogger(__name__)

#: Errors beyond these are counted only: a fault that differs at every tick must not fill memory.
MOST_KEPT = 20


class BugDialog(QDialog):
    """Not modal: the cook goes on behind it. Further errors are added to the same dialog."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("bugDialog")
        self.setWindowTitle(self.tr("Something went wrong in the program"))
        self.setModal(False)
        self._title = new_label(self, self.tr("Something went wrong in the program."), kind="title")
        self._safe = new_label(
            self,
            self.tr(
                "The cook is safe: everything written so far is on disk, and recording goes on. "
                "If a page no longer answers, close the program and start it again; it takes up "
                "the cook where the log says."
            ),
            name="bugSafe",
            wraps=True,
        )
        self._ask = new_label(
            self,
            self.tr("Copy the details below and send them to whoever looks after the program."),
            kind="faint",
            wraps=True,
        )
        self._details = QPlainTextEdit(self)
        self._details.setObjectName("bugDetails")
        self._details.setAccessibleName(self.tr("Details of the error"))
        self._details.setReadOnly(True)
        self._details.setLineWrapMode(QPlainTextEdit.LineWrapMode.NoWrap)
        self._count = new_label(self, name="bugCount", kind="faint")
        self._copy = new_button(self, self.tr("&Copy details"), self._on_copy, name="bugCopy")
        self._close = new_button(
            self, self.tr("C&lose"), self.accept, name="bugClose", default=True
        )
        row = new_row(None, (self._count, 1), self._copy, self._close)
        new_column(self, self._title, self._safe, self._ask, (self._details, 1), row)
        self.resize(640, 420)

    def show_details(self, details: str, count: int) -> None:
        """Show these details, of `count` errors in all."""
        self._details.setPlainText(details)
        self._count.setText(
            self.tr("{count} errors so far").format(count=count) if count > 1 else ""
        )

    def _on_copy(self) -> None:
        QGuiApplication.clipboard().setText(self._details.toPlainText())
        self._copy.setText(self.tr("Copied"))


class BugReporter(QObject):
    """Takes unexpected errors from any thread, writes them to the log file, shows each once."""

    _arrived = Signal(object)
    reported = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._lock = threading.Lock()
        self._seen: dict[str, int] = {}
        self._told: list[str] = []
        self.dialog: BugDialog | None = None
        self._ground = "day"
        self._arrived.connect(self._on_arrived)

    def set_ground(self, name: str) -> None:
        """Show errors on this ground: the dialog belongs to no window that would see to it."""
        self._ground = name
        if self.dialog is not None:
            dress(self.dialog, name)

    def report(
        self, kind: type[BaseException], error: BaseException | None, where: TracebackType | None
    ) -> None:
        """As sys.excepthook calls it. Safe on every thread."""
        if issubclass(kind, KeyboardInterrupt | SystemExit):
            return
        details = "".join(traceback.format_exception(kind, error, where))
        log.error("Unexpected error on thread %s\n%s", threading.current_thread().name, details)
        # Two errors from the same lines are the same error, whatever values they speak of.
        frames = [f"{f.filename}:{f.lineno}" for f in traceback.extract_tb(where)]
        key = "|".join([kind.__name__, *frames]) if frames else details
        with self._lock:
            first = key not in self._seen
            if first and len(self._seen) >= MOST_KEPT:
                key = "others"
                first = False
            self._seen[key] = self._seen.get(key, 0) + 1
        if first:
            try:
                self._arrived.emit(details)
            except RuntimeError:
                log.error("The window is gone; the error above is in this file only.")

    def count(self) -> int:
        """How many errors were reported, repeats included."""
        with self._lock:
            return sum(self._seen.values())

    def _on_arrived(self, details: str) -> None:
        self._told.append(details)
        if self.dialog is None:
            parent = self.parent()
            self.dialog = BugDialog(parent if isinstance(parent, QWidget) else None)
            dress(self.dialog, self._ground)
        # Not before there is need: it takes time to load, and this module is there from the start.
        from smokejournal.host.about import machine_words

        details = "\n\n".join([machine_words(), *self._told])
        self.dialog.show_details(details, self.count())
        self.dialog.show()
        self.dialog.raise_()
        self.reported.emit(details)
