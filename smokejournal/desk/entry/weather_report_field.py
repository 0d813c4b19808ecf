"""The line into which a weather report is pasted, with what was understood of it and what was not."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QLineEdit, QWidget

from smokejournal.cook.log.entries import WeatherObserved
from smokejournal.cook.text.quantities import METRIC, Units
from smokejournal.cook.text.when import FARTHEST_BACK_S
from smokejournal.cook.weather.report import LONGEST, WeatherReport, read_report
from smokejournal.cook.weather.words import report_lines
from smokejournal.desk.base.widgets import new_column, new_label, say


class ReportField(QWidget):
    """`read` comes whenever the text says something else."""

    read = Signal()

    def __init__(self, now_s: Callable[[], float], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._now_s = now_s
        self._units = METRIC
        self._zone = "UTC"
        self._report: WeatherReport | None = None
        label = new_label(
            self, self.tr("Paste an airfield's report, or fill in below"), kind="faint"
        )
        self.edit = QLineEdit(self)
        self.edit.setObjectName("weatherReport")
        self.edit.setAccessibleName(self.tr("Weather report as text"))
        self.edit.setPlaceholderText(self.tr("METAR …"))
        self.edit.setToolTip(
            self.tr("A METAR or SPECI report; what it says is filled in where you said nothing")
        )
        self.edit.setMaxLength(LONGEST)
        label.setBuddy(self.edit)
        self.understood = new_label(
            self, name="weatherReportUnderstood", kind="faint", wraps=True, hidden=True
        )
        self.refused = new_label(
            self, name="weatherReportRefused", kind="problem", wraps=True, hidden=True
        )
        column = new_column(self, spacing=2, margins=(0, 0, 0, 2))
        for widget in (label, self.edit, self.understood, self.refused):
            column.addWidget(widget)
        self.setFocusProxy(self.edit)
        self.edit.textChanged.connect(self._on_text)

    def set_units(self, units: Units) -> None:
        """Show what was understood in these units."""
        self._units = units
        self._show()

    def set_zone(self, zone: str) -> None:
        """Show the report's time on this zone's clock."""
        self._zone = zone
        self._show()

    def clear(self) -> None:
        """Empty."""
        self.edit.clear()

    def seen(self) -> WeatherObserved:
        """What the report says; nothing where there is none."""
        return WeatherObserved() if self._report is None else self._report.seen

    def kept_text(self) -> str:
        """The text to keep with the entry; empty where nothing of it was understood."""
        usable = self._report is not None and self._report.usable
        return self._report.text if usable and self._report is not None else ""

    def observed_s(self) -> float | None:
        """When the report says that it was seen [UTC s], not after now."""
        if self._report is None or not self._report.usable or self._report.at_s is None:
            return None
        return min(self._report.at_s, self._now_s())

    def check(self) -> bool:
        """True where what is pasted can be recorded, or nothing is; else the message is shown."""
        if self._report is None:
            return True
        if not self._report.usable:
            self._say_refused(
                self.tr("Nothing of this could be read. Paste the whole report or clear the line.")
            )
            return False
        observed_s = self.observed_s()
        if observed_s is not None and self._now_s() - observed_s > FARTHEST_BACK_S:
            self._say_refused(
                self.tr(
                    "This report is older than 14 days. Look at its first two figures, the day, "
                    "or clear the line."
                )
            )
            return False
        return True

    def _say_refused(self, first: str) -> None:
        self._show()
        self.refused.setText("\n".join(part for part in (first, self.refused.text()) if part))
        self.refused.show()

    @Slot(str)
    def _on_text(self, text: str) -> None:
        self._report = read_report(text, self._now_s()) if text.strip() else None
        self._show()
        self.read.emit()

    def _show(self) -> None:
        understood: tuple[str, ...] = ()
        refused: tuple[str, ...] = ()
        if self._report is not None:
            understood, refused = report_lines(self._report, self._units, self._zone, self._now_s())
        for label, lines in ((self.understood, understood), (self.refused, refused)):
            say(label, "\n".join(lines))
