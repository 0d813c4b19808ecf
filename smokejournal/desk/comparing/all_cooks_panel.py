"""What all cooks together say: sentences under headings."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Slot
from PySide6.QtWidgets import QCheckBox, QWidget

from smokejournal.cook.comparing import across_words
from smokejournal.cook.comparing.across import AcrossCooks, across
from smokejournal.cook.comparing.facts import CookFacts
from smokejournal.cook.learning import track_record_words
from smokejournal.desk.base.clearing import throw_away
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.widgets import FILL, new_column, new_label
from smokejournal.services.forecast.track_record import Judged


class AllCooksPanel(QWidget):
    """Shows what it is given. Simulated cooks are shown instead of real ones, never with them."""

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("compareAllCooks")
        self._context = context
        self._told: dict[bool, AcrossCooks] = {}
        self._judged: Judged | None = None
        self.above = new_label(self, name="acrossAbove", wraps=True)
        self.simulated = QCheckBox(self.tr("&Simulated cooks (practice and demo) instead"), self)
        self.simulated.setObjectName("acrossSimulated")
        self.simulated.setVisible(False)
        self.simulated.toggled.connect(self._show)
        self._column = new_column(None, spacing=6)
        new_column(
            self,
            self.above,
            self.simulated,
            self._column,
            FILL,
            spacing=10,
            margins=(0, 0, 10, 0),
        )
        self.say(self.tr("Reading the finished cooks…"))

    def say(self, text: str) -> None:
        """What stands here while there is no answer."""
        self.above.setText(text)

    def show_every(self, every: Sequence[CookFacts], judged: Judged) -> None:
        """Show what these finished cooks say."""
        self._told = {kind: across(every, simulated=kind) for kind in (False, True)}
        self._judged = judged
        self._show()

    @Slot()
    def refresh(self) -> None:
        """Show it again in the units that hold now."""
        self._show()

    @Slot()
    def _show(self) -> None:
        judged = self._judged
        if judged is None:
            return
        self.simulated.setVisible(bool(self._told[True].cooks))
        simulated = self.simulated.isChecked() and bool(self._told[True].cooks)
        told = self._told[simulated]
        self.say(across_words.counted(told))
        record = judged.simulated if simulated else judged.real
        parts = [
            *across_words.across_parts(told, self._context.units),
            across_words.AcrossPart(
                self.tr("How good the forecasts were"), (track_record_words.above(record),)
            ),
        ]
        throw_away(self._column)
        for part in parts:
            self._add(part.title, "section")
            for line in part.lines:
                self._add(line)
        self._add(across_words.meaning(), "faint")

    def _add(self, text: str, kind: str = "") -> None:
        name = "acrossTitle" if kind == "section" else "acrossLine"
        label = new_label(self, text, name=name, kind=kind, wraps=True)
        if kind == "section":
            label.setContentsMargins(0, 10, 0, 0)
        self._column.addWidget(label)
