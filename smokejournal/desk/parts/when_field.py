"""The field for when something happened: empty for now, minutes ago, or a time of day."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtWidgets import QWidget

from smokejournal.cook.text import quantities
from smokejournal.cook.text.when import parse_when
from smokejournal.desk.parts.fields import QuantityField


class WhenField(QuantityField):
    """A moment not after now [UTC seconds]. `now_s` tells the time when it is asked for."""

    def __init__(
        self, name: str, label: str, now_s: Callable[[], float], parent: QWidget | None = None
    ) -> None:
        self.zone = "UTC"
        self._now_s = now_s
        super().__init__(name, label, parent)
        self.edit.setPlaceholderText(self.tr("now, or -10"))
        self.edit.setToolTip(self.tr("Empty for now, -10 for ten minutes ago, or a time of day"))

    def moment(self) -> float | None:
        """What is typed, read as of this moment; None, with the message shown, where it can't be."""
        self._take(self.edit.text())
        if not self.text():
            return self._now_s()
        return self.value() if self.check() else None

    def _read(self, text: str) -> float:
        return parse_when(text, self.zone, self._now_s(), "")

    def _shown(self, value: float) -> str:
        return quantities.clock_time(value, self.zone, self.units)
