"""One question, with what speaks for and against it, and two answers."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QDialog,
    QFrame,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)


class AskDialog(QDialog):
    """`accepted` on yes. Escape and closing are no; no is also what Enter does."""

    def __init__(
        self,
        title: str,
        text: str,
        yes: str,
        no: str,
        points: Sequence[QWidget] = (),
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setObjectName("askDialog")
        self.setWindowTitle(title)
        self.setModal(True)
        column = QVBoxLayout(self)
        column.setSpacing(12)
        self.text = QLabel(text, self)
        self.text.setObjectName("askText")
        self.text.setWordWrap(True)
        column.addWidget(self.text)
        if points:
            inside = QWidget(self)
            listed = QVBoxLayout(inside)
            listed.setContentsMargins(0, 0, 0, 0)
            for point in points:
                listed.addWidget(point)
            listed.addStretch(1)
            scroll = QScrollArea(self)
            scroll.setWidgetResizable(True)
            scroll.setFrameShape(QFrame.Shape.NoFrame)
            scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
            scroll.setWidget(inside)
            column.addWidget(scroll, 1)
        self.yes = QPushButton(yes, self)
        self.yes.setObjectName("askYes")
        self.yes.setAutoDefault(False)
        self.yes.clicked.connect(self.accept)
        self.no = QPushButton(no, self)
        self.no.setObjectName("askNo")
        self.no.setDefault(True)
        self.no.clicked.connect(self.reject)
        row = QHBoxLayout()
        row.addStretch(1)
        row.addWidget(self.yes)
        row.addWidget(self.no)
        column.addLayout(row)
        self.setMinimumWidth(520)
        if points:
            self.resize(600, 380)
        self.no.setFocus()
