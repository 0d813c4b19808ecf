"""The line on Tend about weather by network: what came last, or since when nothing does."""

from __future__ import annotations

from PySide6.QtCore import Slot
from PySide6.QtWidgets import QSizePolicy, QWidget

from smokejournal.cook.weather.by_network import network_line
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.parts.short_label import ShortLabel


class WeatherLine(ShortLabel):
    """Hidden while weather by network is off, or nothing was asked yet."""

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("tendWeather")
        self.setAccessibleName(self.tr("Weather by network"))
        self.setProperty("kind", "faint")
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self._context = context
        self._zone: str | None = None
        context.ticked.connect(self._show)
        context.units_changed.connect(self._show)
        self._show()

    def show_zone(self, zone: str | None) -> None:
        """Tell it by this zone's clock; nothing with None."""
        if zone != self._zone:
            self._zone = zone
            self._show()

    @Slot()
    def _show(self) -> None:
        keeper, text = self._context.weather, ""
        if keeper is not None and keeper.on and self._zone is not None:
            text = network_line(
                keeper.seen(), self._context.units, self._zone, self._context.now_s()
            )
        if text != self.text():
            self.setText(text)
        self.setVisible(bool(text))
