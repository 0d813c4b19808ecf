"""Forecasts so far: how good they were, and what they learned from earlier cooks."""

from __future__ import annotations

from PySide6.QtWidgets import QDialog, QDialogButtonBox, QWidget

from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.widgets import new_column
from smokejournal.desk.forecast.lessons_panel import LessonsPanel
from smokejournal.desk.forecast.track_record_panel import TrackRecordPanel
from smokejournal.desk.parts.tall_scroll import TallScroll

WIDTH = 680
HEIGHT = 540


class HistoryDialog(QDialog):
    """`simulated` says of which cooks to tell; None: of real ones, where there are any.

    Its sections stand below each other in one column that scrolls.
    """

    def __init__(
        self, context: DeskContext, simulated: bool | None = None, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setObjectName("forecastsDialog")
        self.setWindowTitle(self.tr("Forecasts so far"))
        self.record = TrackRecordPanel(context, self)
        self.learned = LessonsPanel(context, simulated, self)
        inside = QWidget(self)
        column = new_column(inside, spacing=22, margins=(0, 0, 10, 0))
        for section in (self.record, self.learned):
            column.addWidget(section)
        column.addStretch(1)
        scroll = TallScroll(self.tr("Forecasts so far"), self)
        scroll.setObjectName("forecastsScroll")
        scroll.set_content(inside)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close, self)
        buttons.rejected.connect(self.reject)
        new_column(self, (scroll, 1), buttons, spacing=12, margins=(18, 16, 18, 14))
        self.resize(WIDTH, HEIGHT)
        buttons.button(QDialogButtonBox.StandardButton.Close).setFocus()
