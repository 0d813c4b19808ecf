"""Rows of a form: a label at the left, fields at the right, on one line."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QLabel, QPlainTextEdit, QSizePolicy, QWidget

from smokejournal.desk.base.widgets import new_row
from smokejournal.desk.parts.fields import QuantityField, TextField

ROW_HEIGHT = 32
LABEL_WIDTH = 128
#: These take all the room there is: a message, or a long text, needs it.
_WIDE = (QuantityField, TextField, QPlainTextEdit)


def new_grid(
    label_px: int, *rows: tuple[str, QWidget], parent: QWidget | None = None, gap: int = 6
) -> QGridLayout:
    """Rows of a label, `label_px` wide at least, and a field; `gap` lies between them [px]."""
    grid = QGridLayout() if parent is None else QGridLayout(parent)
    grid.setContentsMargins(0, 0, 0, 0)
    grid.setHorizontalSpacing(12)
    grid.setVerticalSpacing(gap)
    grid.setColumnMinimumWidth(0, label_px)
    add_rows(grid, *rows)
    return grid


def add_rows(grid: QGridLayout, *rows: tuple[str, QWidget]) -> None:
    """Labels and fields, from the first row on."""
    for number, (label, field) in enumerate(rows):
        add_row(grid, number, label, field)


def add_row(grid: QGridLayout, row: int, text: str, *widgets: QWidget) -> QLabel:
    """A label at the left and widgets at the right, aligned on their first line."""
    label = QLabel(text)
    label.setMinimumHeight(ROW_HEIGHT)
    label.setAlignment(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft)
    label.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
    grid.addWidget(label, row, 0, Qt.AlignmentFlag.AlignTop)
    line = new_row(None, spacing=8, margins=0)
    for widget in widgets:
        stretch = 1 if isinstance(widget, _WIDE) and widget is widgets[-1] else 0
        if isinstance(widget, QuantityField | TextField):
            widget.edit.setMinimumHeight(ROW_HEIGHT)
        elif widget.minimumHeight() < ROW_HEIGHT:
            widget.setMinimumHeight(ROW_HEIGHT)
        line.addWidget(widget, stretch, Qt.AlignmentFlag.AlignTop)
    if not isinstance(widgets[-1], _WIDE):
        line.addStretch(1)
    grid.addLayout(line, row, 1)
    grid.setColumnStretch(1, 1)
    return label
