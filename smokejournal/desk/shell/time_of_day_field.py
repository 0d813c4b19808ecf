"""The field for a time of day that is meant every day."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from smokejournal.cook.text import quantities
from smokejournal.desk.parts.fields import QuantityField

_NOON_S, _DAY_S = 43_200.0, 86_400.0


class TimeOfDayField(QuantityField):
    """A time of day [s after midnight], which can't be left empty."""

    def __init__(self, name: str, label: str, parent: QWidget | None = None) -> None:
        super().__init__(name, label, parent, required=True)

    def _read(self, text: str) -> float:
        # Of no day and no zone: the first day there is, where every time is.
        return quantities.parse_clock(text, "UTC", _NOON_S) % _DAY_S

    def _shown(self, value: float) -> str:
        return quantities.clock_time(value, "UTC", self.units)
