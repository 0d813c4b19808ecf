"""The points of a calibration that were taken."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtWidgets import (
    QWidget,
)

from smokejournal.cook.probes.calibration_words import point_error_words
from smokejournal.cook.probes.probe import CalibrationPoint
from smokejournal.cook.text.quantities import Units, temperature
from smokejournal.desk.base.tables import FITTED, ONE, PlainTable, chosen_row


class PointTable(PlainTable):
    """A row for each point: what is known, what the probe says, and by how much that is off."""

    def __init__(self, parent: QWidget | None = None) -> None:
        heads = [self.tr("Known to be"), self.tr("Probe says"), self.tr("So it reads")]
        super().__init__(
            parent,
            "calibratePoints",
            self.tr("Points taken"),
            heads,
            chosen=ONE,
            row_px=30,
            columns=FITTED,
        )
        self.setMinimumHeight(120)
        self.horizontalHeader().setStretchLastSection(True)

    def show_points(self, points: Sequence[CalibrationPoint], units: Units) -> None:
        """Show these; the one that was selected stays so."""
        row = chosen_row(self)
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
            self.put(n, [known, temperature(point.reading_c, units, 1), error])
        self.blockSignals(False)
        if row is not None and row < len(points):
            self.selectRow(row)
