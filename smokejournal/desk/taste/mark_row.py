"""One scale of tasting: its name, its two named ends, and five marks between them."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QLabel, QPushButton, QWidget

from smokejournal.desk.base.widgets import FILL, new_column, new_label, new_row

MOST = 5

# The chosen mark is filled with ink: ember is kept for what needs the hand now.
_MARK_STYLE = """
QPushButton { padding: 3px 0; min-width: 28px; max-width: 28px; min-height: 22px; }
QPushButton:focus { padding: 2px 0; }
QPushButton:checked { background: palette(text); color: palette(base); font-weight: 600; }
"""


class _Mark(QPushButton):
    """A button that leaves the arrows to its row."""

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Left, Qt.Key.Key_Right):
            event.ignore()
        else:
            super().keyPressEvent(event)


class MarkRow(QWidget):
    """Marks 1 to 5, or none. A mark is taken back by choosing it again, or by 0 or Delete."""

    changed = Signal()

    def __init__(
        self, key: str, name: str, low: str, high: str, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.key = key
        self.setObjectName(f"mark_{key}")
        self._name = name
        self._low = low
        self._high = high
        self._mark: int | None = None
        title = QLabel(name, self)
        title.setMinimumWidth(92)
        self._buttons: list[QPushButton] = []
        row = new_row(None, title, FILL, spacing=4, margins=0)
        for mark in range(1, MOST + 1):
            button = _Mark(str(mark), self)
            button.setObjectName(f"mark_{key}_{mark}")
            button.setCheckable(True)
            button.setStyleSheet(_MARK_STYLE)
            button.setToolTip({1: low, MOST: high}.get(mark, ""))
            button.clicked.connect(self._on_clicked)
            # One stop for the tab key: the chosen mark, or the first; arrows go on from there.
            button.setFocusPolicy(
                Qt.FocusPolicy.StrongFocus if mark == 1 else Qt.FocusPolicy.ClickFocus
            )
            self._buttons.append(button)
            row.addWidget(button)
        ends = new_row(None, margins=0)
        self._ends = new_label(
            self, self.tr("1 {low}, 5 {high}").format(low=low, high=high), kind="faint"
        )
        self._ends.setAlignment(Qt.AlignmentFlag.AlignRight)
        ends.addWidget(self._ends, 1)
        new_column(self, row, ends, spacing=1, margins=0)
        self._tell()

    def mark(self) -> int | None:
        """The mark, or None while none is chosen."""
        return self._mark

    def set_mark(self, mark: int | None) -> None:
        """Choose a mark, or none."""
        self._mark = mark if mark is not None and 1 <= mark <= MOST else None
        for n, button in enumerate(self._buttons, start=1):
            button.setChecked(n == self._mark)
            button.setFocusPolicy(
                Qt.FocusPolicy.StrongFocus if n == (self._mark or 1) else Qt.FocusPolicy.ClickFocus
            )
        self._tell()
        self.changed.emit()

    def _tell(self) -> None:
        chosen = self.tr("not marked") if self._mark is None else f"{self._mark} / {MOST}"
        words = self.tr("{name}: {chosen}, from 1 {low} to 5 {high}").format(
            name=self._name, chosen=chosen, low=self._low, high=self._high
        )
        self.setAccessibleName(words)
        for n, button in enumerate(self._buttons, start=1):
            button.setAccessibleName(f"{self._name} {n}")
            button.setAccessibleDescription(words)

    def _on_clicked(self) -> None:
        button = self.sender()
        mark = self._buttons.index(button) + 1  # type: ignore[arg-type]
        self.set_mark(None if mark == self._mark else mark)

    def key_words(self) -> tuple[tuple[str, str], ...]:
        """For the list of keys."""
        return (
            ("1 – 5", self.tr("In a row of marks: give this mark")),
            ("0", self.tr("In a row of marks: take the mark back")),
            ("Left, Right", self.tr("In a row of marks: one less, one more")),
        )

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Digits mark, 0 and Delete take back, the arrows step."""
        key = event.key()
        if event.text() in tuple("12345"):
            self.set_mark(int(event.text()))
        elif event.text() == "0" or key in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
            self.set_mark(None)
        elif key == Qt.Key.Key_Right:
            self.set_mark(min(MOST, (self._mark or 0) + 1))
        elif key == Qt.Key.Key_Left and self._mark is not None:
            self.set_mark(self._mark - 1 if self._mark > 1 else None)
        else:
            super().keyPressEvent(event)
            return
        self._buttons[(self._mark or 1) - 1].setFocus()
