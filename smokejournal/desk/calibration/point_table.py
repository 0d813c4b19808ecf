"""The points of a calibration that were taken."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QTableWidget,
    QTableWidgetItem,
    QWidget,
)

from smokejournal.cook.probes.calibration_words import point_error_words
from smokejournal.cook.probes.probe import CalibrationPoint
from smokejournal.cook.text.quantities import Units, temperature


class PointTable(QTableWidget):
    """A row for each point: what is known, what the probe says, and by how much that is off."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(0, 3, parent)
        self.setObjectName("calibratePoints")
        self.setAccessibleName(self.tr("Points taken"))
        self.setHorizontalHeaderLabels(
            [self.tr("Known to be"), self.tr("Probe says"), self.tr("So it reads")]
        )
        self.verticalHeader().hide()
        self.verticalHeader().setDefaultSectionSize(30)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setTabKeyNavigation(False)
        self.setShowGrid(False)
        self.setMinimumHeight(120)
        header = self.horizontalHeader()
        header.setHighlightSections(False)
        header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        header.setStretchLastSection(True)

    def chosen(self) -> int | None:
        """The number of the point that is selected, from 0; None where none is."""
        rows = self.selectionModel().selectedRows()
        return rows[0].row() if rows else None

    def show_points(self, points: Sequence[CalibrationPoint], units: Units) -> None:
        """Show these; the one that was selected stays so."""
        row = self.chosen()
        self.blockSignals(True)
        self.setRowCount(len(points))
        for n, (point, error) in enumerate(
            zip(points, point_error_words(points, units), strict=True)
        ):
            known = self.tr("{n}:  {t}").format(n=n + 1, t=temperature(point.reference_c, units, 1))
            if point.how == "ice":
                known = self.tr("{t}, ice water").format(t=known)
            elif point.how == "boil":
                known = self.tr("{t}, boiling water").format(t=known)
            for section, text in enumerate((known, temperature(point.reading_c, units, 1), error)):
                item = QTableWidgetItem(text)
                item.setToolTip(text)
                self.setItem(n, section, item)
        self.blockSignals(False)
        if row is not None and row < len(points):
            self.selectRow(row)
