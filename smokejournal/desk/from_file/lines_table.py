"""What the lines of the file come to: its first and last rows, or those that can't be read."""

from __future__ import annotations

import math
from collections.abc import Sequence

from PySide6.QtWidgets import (
    QWidget,
)

from smokejournal.cook.text.quantities import Units, temperature
from smokejournal.cook.text.times import local
from smokejournal.desk.base.tables import FITTED, PlainTable
from smokejournal.inputs.recorded.read import FileLine, FileReadings


class LinesTable(PlainTable):
    """Times in the zone of the cook, values in the units of the screen."""

    def __init__(self, units: Units, parent: QWidget | None = None) -> None:
        super().__init__(
            parent,
            "fromFileLines",
            self.tr("What the lines of the file come to"),
            row_px=28,
            columns=FITTED,
        )
        self._units = units
        self.setWordWrap(False)
        self.horizontalHeader().setStretchLastSection(True)

    def show_read(self, read: FileReadings | None, zone: str, *, refused: bool) -> None:
        """The first and the last lines of `read`, or with `refused` those that gave nothing."""
        self.clearSpans()
        self.setRowCount(0)
        if read is None or (read.open and not read.shown):
            self.setColumnCount(0)
            return
        heads = [self.tr("Line"), self.tr("Why it can't be read")]
        if not refused:
            heads[1:] = [self.tr("Time"), *(column.name for column in read.columns)]
        self.setColumnCount(len(heads))
        self.setHorizontalHeaderLabels(heads)
        before = 0
        lines: Sequence[FileLine] = read.listed if refused else read.shown
        for line in lines:
            if not refused and before and line.number > before + 1:
                self._add_row(["…"])
            before = line.number
            if line.row is None:
                words = self.tr("{reason}: {text}").format(reason=line.reason, text=line.text)
                self._add_row([f"{line.number:,}", words])
                if len(heads) > 2:
                    self.setSpan(self.rowCount() - 1, 1, 1, len(heads) - 1)
                continue
            values = [
                self.tr("–") if math.isnan(v) else temperature(v, self._units, 1)
                for v in read.values_c[line.row].tolist()
            ]
            when = local(float(read.at_s[line.row]), zone)
            shown = self.tr("unknown") if when is None else f"{when:%Y-%m-%d %H:%M:%S}"
            self._add_row([f"{line.number:,}", shown, *values])

    def _add_row(self, texts: Sequence[str]) -> None:
        row = self.rowCount()
        self.setRowCount(row + 1)
        self.put(row, texts)
