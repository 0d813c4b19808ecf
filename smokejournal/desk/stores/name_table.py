"""A table whose names stay readable: the name's column takes what is left, and never less than it needs."""

from __future__ import annotations

from PySide6.QtCore import QAbstractItemModel, QEvent
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QAbstractItemView, QTableView, QWidget

from smokejournal.desk.base.tables import FITTED, FIXED, ONE, dress_table

#: A name longer than this [px] is cut with an ellipsis where there is too little room.
LONGEST_PX = 170
#: The form beside it is never wider: the table is what is looked at first [px].
FORM_PX = 400


class NameTable(QTableView):
    """Rows to choose one of. Where all columns don't fit, it scrolls sideways."""

    def __init__(self, name: str, title: str, model: QAbstractItemModel, parent: QWidget) -> None:
        super().__init__(parent)
        self.setModel(model)
        dress_table(self, name, title, chosen=ONE, row_px=34, columns=FITTED)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setWordWrap(False)
        self.setAlternatingRowColors(True)
        header = self.horizontalHeader()
        header.setSectionResizeMode(0, FIXED)
        header.sectionResized.connect(self._on_resized)
        for signal in (model.modelReset, model.rowsInserted, model.dataChanged):
            signal.connect(self.fit)

    def fit(self, *_: object) -> None:
        """Give the name what the other columns leave."""
        header = self.horizontalHeader()
        others = header.length() - header.sectionSize(0)
        least = min(max(self.sizeHintForColumn(0), header.sectionSizeHint(0)), LONGEST_PX)
        width = max(least, self.viewport().width() - others)
        if width != header.sectionSize(0):
            header.resizeSection(0, width)

    def _on_resized(self, section: int, _old: int, _new: int) -> None:
        if section != 0:
            self.fit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """More or less room is the name's."""
        super().resizeEvent(event)
        self.fit()

    def changeEvent(self, event: QEvent) -> None:
        """Larger type needs more."""
        super().changeEvent(event)
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            self.fit()
