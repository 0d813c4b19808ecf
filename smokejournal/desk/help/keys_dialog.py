"""The keys of the page in sight, in groups, and the legend of its score."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QDialog,
    QFrame,
    QGridLayout,
    QLabel,
    QScrollArea,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from smokejournal.desk.base.theme import Ground
from smokejournal.desk.base.widgets import new_button, new_column, new_label, new_row
from smokejournal.desk.help.keys import KeyLine, keys_of, score_keys, score_of
from smokejournal.desk.help.legend import Legend

SIZE = (900, 540)


class KeysDialog(QDialog):
    """Escape and F1 close it. `everywhere` are the window and those of its parts that hear keys."""

    guide_asked = Signal()

    def __init__(
        self,
        title: str,
        page: QWidget,
        everywhere: Sequence[QWidget],
        ground: Ground,
        parent: QWidget,
    ) -> None:
        super().__init__(parent)
        self.setObjectName("keysDialog")
        self.setWindowTitle(self.tr("Keys"))
        self.setWindowModality(Qt.WindowModality.WindowModal)
        score = score_of(page)
        left, right = QVBoxLayout(), QVBoxLayout()
        for side in (left, right):
            side.setSpacing(6)
        self._group(left, title, keys_of(page))
        every = [line for part in everywhere for line in keys_of(part)]
        letter = KeyLine(
            self.tr("Alt+letter"), self.tr("Press the button with that letter underlined")
        )
        self._group(left, self.tr("Everywhere"), [*every, letter])
        left.addStretch(1)
        columns = new_row(None, (left, 1), spacing=28)
        if score is not None:
            self._group(right, self.tr("Score, after Tab or a click on it"), score_keys(score))
            self._head(right, self.tr("What the score shows"))
            right.addWidget(Legend(ground, self))
            right.addStretch(1)
            columns.addLayout(right, 1)
        inside = QWidget(self)
        inside.setLayout(columns)
        scroll = QScrollArea(self)
        scroll.setObjectName("keysScroll")
        scroll.setAccessibleName(self.tr("Keys"))
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setWidget(inside)
        typing = new_label(
            self, self.tr("Single letters work while you are not typing."), kind="faint"
        )
        guide = new_button(
            self, self.tr("How this works"), self.accept, name="keysGuide", kind="quiet", auto=False
        )
        guide.clicked.connect(self.guide_asked)
        close = new_button(self, self.tr("Close"), self.accept, name="keysClose", default=True)
        foot = new_row(None, (typing, 1), guide, close)
        new_column(self, (scroll, 1), foot)
        again = QShortcut(QKeySequence("F1"), self)
        again.setWhatsThis(self.tr("Close the keys"))
        again.activated.connect(self.accept)
        room = parent.window().size()
        self.resize(
            min(SIZE[0] if score is not None else SIZE[0] // 2 + 60, room.width() - 40),
            min(SIZE[1], room.height() - 40),
        )

    def _head(self, column: QVBoxLayout, text: str) -> None:
        head = new_label(self, text, kind="section")
        head.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        column.addWidget(head)

    def _group(self, column: QVBoxLayout, title: str, lines: Sequence[KeyLine]) -> None:
        self._head(column, title)
        grid = QGridLayout()
        grid.setHorizontalSpacing(14)
        grid.setVerticalSpacing(4)
        grid.setColumnStretch(1, 1)
        grid.setContentsMargins(0, 0, 0, 12)
        for row, line in enumerate(lines):
            keys, words = QLabel(line.keys, self), QLabel(line.words, self)
            keys.setProperty("kind", "ready")
            keys.setObjectName("keysKey")
            words.setObjectName("keysWords")
            words.setWordWrap(True)
            for label, place in ((keys, 0), (words, 1)):
                grid.addWidget(label, row, place, Qt.AlignmentFlag.AlignTop)
        if not lines:
            none = new_label(self, self.tr("This page has no keys of its own."), kind="faint")
            grid.addWidget(none, 0, 0, 1, 2)
        column.addLayout(grid)
