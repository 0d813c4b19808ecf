"""The cooks that used something of the stores, newest first; a touch opens one."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QPushButton, QSizePolicy, QWidget

from smokejournal.cook.text import quantities
from smokejournal.cook.text.quantities import Units
from smokejournal.desk.base.clearing import throw_away
from smokejournal.desk.base.context import PAGE_FOR_STATE
from smokejournal.desk.base.widgets import new_column, new_label, say
from smokejournal.services.stores.stores import CookUse

#: More than these are counted, not listed: the newest are what one looks for.
MOST = 12
_EXACT_KG = 0.0005


class _Row(QPushButton):
    """Day, title and amount on a line to press. A title that does not fit ends in an ellipsis; the tool
    tip has all of it.
    """

    def __init__(self, day: str, title: str, amount: str, parent: QWidget) -> None:
        super().__init__(parent)
        self._parts = (day, title, amount)
        self.setToolTip("  ".join(self._parts))
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Cut to the room there is."""
        super().resizeEvent(event)
        day, title, amount = self._parts
        metrics = self.fontMetrics()
        room = self.width() - 24 - metrics.horizontalAdvance(f"{day}    {amount}")
        title = metrics.elidedText(title, Qt.TextElideMode.ElideRight, max(40, room))
        self.setText("  ".join((day, title, amount)).replace("&", "&&"))


class UsedBy(QWidget):
    """`open_asked(cook_id, page)` when one is chosen."""

    open_asked = Signal(object, str)

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName(name)
        self._units = Units()
        self._uses: tuple[CookUse, ...] = ()
        self._title = new_label(self, kind="section")
        self._rows = new_column(None, spacing=0)
        self._more = new_label(self, kind="faint")
        new_column(self, self._title, self._rows, self._more, spacing=2, margins=(0, 8, 0, 0))
        self.show_uses(())

    def show_uses(self, uses: Sequence[CookUse]) -> None:
        """These cooks; nothing is shown while there is none."""
        self._uses = tuple(uses)
        throw_away(self._rows)
        for use in self._uses[:MOST]:
            cook = use.cook
            day = quantities.date(cook.day_s, cook.zone, self._units)
            row = _Row(day, cook.title, self._amount(use), self)
            row.setObjectName(f"{self.objectName()}_{use.cook.id}")
            row.setAccessibleName(self.tr("Open the cook {title}").format(title=row.toolTip()))
            row.setProperty("kind", "quiet")
            row.setStyleSheet("text-align: left")
            row.setProperty("cook", use.cook.id)
            row.clicked.connect(self._on_clicked)
            self._rows.addWidget(row)
        left = len(self._uses) - MOST
        say(self._more, self.tr("and {count} earlier").format(count=left) if left > 0 else "")
        self._title.setText(self.tr("Used by"))
        self.setVisible(bool(self._uses))

    def set_units(self, units: Units) -> None:
        """In which units masses are written."""
        self._units = units
        self.show_uses(self._uses)

    def _amount(self, use: CookUse) -> str:
        if use.mass_kg is not None:
            amount = quantities.mass(use.mass_kg, self._units)
            if use.mass_sd_kg < _EXACT_KG:
                return amount
            if use.mass_kg < 1:
                return f"{amount} ± {quantities.mass(use.mass_sd_kg, self._units)}"
            number, sd = (
                quantities.mass_number(kg, self._units, 1) for kg in (use.mass_kg, use.mass_sd_kg)
            )
            return f"{number} ± {sd} {quantities.mass_unit(self._units)}"
        if use.count is not None:
            return self.tr("{count} pieces").format(count=f"{use.count:g}")
        return self.tr("how much is unknown")

    @Slot()
    def _on_clicked(self) -> None:
        sender = self.sender()
        cook_id = sender.property("cook") if sender is not None else None
        use = next((use for use in self._uses if use.cook.id == cook_id), None)
        if use is not None:
            self.open_asked.emit(use.cook.id, PAGE_FOR_STATE.get(use.cook.state, "plan"))
