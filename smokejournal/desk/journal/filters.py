"""Filters of the Journal page: a row of fields that is folded away, and what they do in words."""

from __future__ import annotations

import datetime
from typing import get_args

from PySide6.QtCore import QDate, Signal
from PySide6.QtWidgets import QCheckBox, QGridLayout, QLabel, QWidget

from smokejournal.cook.log.entries import FoodClass
from smokejournal.cook.plan.words import food_words
from smokejournal.cook.summary.tasting import HIGHEST
from smokejournal.cook.text import quantities
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.widgets import new_button, new_label, new_row
from smokejournal.desk.parts.choice_box import ChoiceBox, DayEdit
from smokejournal.desk.parts.fields import QuantityField, TemperatureField
from smokejournal.desk.parts.unit_fields import SpeedField
from smokejournal.journal import CookFilter


class FilterRow(QWidget):
    """Fields for `CookFilter`. `changed` comes with every change by hand; what can't be read filters
    nothing and is told below its field."""

    changed = Signal()

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("journalFilters")
        self._context = context
        self.food = self._choice("filterFood", self.tr("Food"), self.tr("any food"))
        for food in get_args(FoodClass):
            self.food.addItem(food_words(food), food)
        self.mark = self._choice("filterMark", self.tr("Overall mark"), self.tr("any mark"))
        for mark in range(2, HIGHEST):
            self.mark.addItem(self.tr("{mark} or more").format(mark=mark), mark)
        self.mark.addItem(self.tr("{mark}, the best").format(mark=HIGHEST), HIGHEST)
        self.lot = self._choice("filterLot", self.tr("Pellets"), self.tr("any pellets"))
        self.first, self.first_day = self._day("filterFirst", self.tr("From"))
        self.last, self.last_day = self._day("filterLast", self.tr("Until"))
        units = context.units
        self.air_from = TemperatureField(
            "filterAirFrom", self.tr("Air at least"), self, units=units, low=-90.0, high=65.0
        )
        self.air_to = TemperatureField(
            "filterAirTo", self.tr("Air at most"), self, units=units, low=-90.0, high=65.0
        )
        self.wind = SpeedField("filterWind", self.tr("Wind at least"), self, units=units)
        for field in self._fields():
            field.edit.setFixedWidth(72)
            field.edit.setMinimumWidth(72)
            field.changed.connect(self.changed)
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(8)
        grid.setVerticalSpacing(6)
        rows: tuple[tuple[QWidget | str, ...], ...] = (
            (
                self.tr("Food"),
                self.food,
                self.tr("Overall"),
                self.mark,
                self.tr("Pellets"),
                self.lot,
            ),
            (self.first, self.first_day, self.last, self.last_day),
            (
                self.tr("Air from"),
                self.air_from,
                self.tr("to"),
                self.air_to,
                self.tr("Wind at least"),
                self.wind,
            ),
        )
        for row, cells in enumerate(rows):
            for column, cell in enumerate(cells):
                widget = QLabel(cell, self) if isinstance(cell, str) else cell
                grid.addWidget(widget, row, column)
        grid.setColumnStretch(6, 1)
        context.units_changed.connect(self._on_units)

    def _fields(self) -> tuple[QuantityField, ...]:
        return self.air_from, self.air_to, self.wind

    def _choice(self, name: str, label: str, anything: str) -> ChoiceBox:
        box = ChoiceBox(self, name=name, hears=label, choices=[(anything, None)])
        box.currentIndexChanged.connect(self.changed)
        return box

    def _day(self, name: str, label: str) -> tuple[QCheckBox, DayEdit]:
        check = QCheckBox(label, self)
        check.setObjectName(name)
        day = DayEdit(QDate.currentDate(), self)
        day.setObjectName(f"{name}Day")
        day.setAccessibleName(self.tr("{label}: day").format(label=label))
        day.setCalendarPopup(True)
        day.setDisplayFormat(self._day_form())
        day.setEnabled(False)
        check.toggled.connect(day.setEnabled)
        check.toggled.connect(self.changed)
        day.dateChanged.connect(self.changed)
        return check, day

    def _day_form(self) -> str:
        return "MMM d, yyyy" if self._context.units.dates == "month" else "d MMM yyyy"

    def offer_lots(self) -> None:
        """The pellets that cooks say they burned, to choose from; what is chosen stays."""
        chosen = self.lot.currentData()
        lots = self._context.program.journal.lots_used()
        every = (self.lot.itemText(0), self.lot.itemData(0))
        self.lot.offer([every, *((name, name) for name in lots)], chosen)

    def asked(self) -> CookFilter:
        """What is filtered by."""
        return CookFilter(
            food=self.food.currentData(),
            overall=self.mark.currentData(),
            first_day=_date(self.first_day) if self.first.isChecked() else None,
            last_day=_date(self.last_day) if self.last.isChecked() else None,
            air_from_c=self.air_from.value(),
            air_to_c=self.air_to.value(),
            wind_m_s=self.wind.value(),
            lot=self.lot.currentData() or "",
        )

    def words(self) -> list[str]:
        """What each filter that is set does."""
        asked, units = self.asked(), self._context.units
        found: list[str] = []
        if asked.food is not None:
            found.append(self.tr("Food: {food}").format(food=food_words(asked.food)))
        if asked.overall is not None:
            mark = f"{asked.overall:g}"
            found.append(self.tr("Overall mark {mark} or more").format(mark=mark))
        if asked.first_day is not None:
            found.append(self.tr("From {day} on").format(day=self.first_day.text()))
        if asked.last_day is not None:
            found.append(self.tr("Until {day}").format(day=self.last_day.text()))
        if asked.air_from_c is not None and asked.air_to_c is not None:
            text = self.tr("The air was between {low} and {high}").format(
                low=quantities.temperature(asked.air_from_c, units),
                high=quantities.temperature(asked.air_to_c, units),
            )
            found.append(text)
        elif asked.air_from_c is not None:
            low = quantities.temperature(asked.air_from_c, units)
            found.append(self.tr("The air was {low} or warmer").format(low=low))
        elif asked.air_to_c is not None:
            high = quantities.temperature(asked.air_to_c, units)
            found.append(self.tr("The air was {high} or colder").format(high=high))
        if asked.wind_m_s is not None:
            wind = quantities.speed(asked.wind_m_s, units)
            found.append(self.tr("The wind was {wind} or more").format(wind=wind))
        if asked.lot:
            found.append(self.tr("Pellets: {lot}").format(lot=asked.lot))
        return found

    def clear(self) -> None:
        """Filter by nothing any more. `changed` comes once."""
        self.blockSignals(True)
        for box in (self.food, self.mark, self.lot):
            box.setCurrentIndex(0)
        for check in (self.first, self.last):
            check.setChecked(False)
        for field in self._fields():
            field.set_value(None)
            field.edit.clear()
        self.blockSignals(False)
        self.changed.emit()

    def _on_units(self) -> None:
        for field in self._fields():
            field.set_units(self._context.units)
        for day in (self.first_day, self.last_day):
            day.setDisplayFormat(self._day_form())
        self.changed.emit()


def _date(day: DayEdit) -> datetime.date:
    shown = day.date()
    return datetime.date(shown.year(), shown.month(), shown.day())


class FiltersSaid(QWidget):
    """The filters that are set in words, and the button that clears them all; hidden without any."""

    def __init__(self, filters: FilterRow, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._filters = filters
        self._words = new_label(self, name="journalFiltersSaid", wraps=True)
        self._clear = new_button(
            self,
            self.tr("&Clear filters"),
            filters.clear,
            name="journalFiltersClear",
            kind="quiet",
            hears=self.tr("Clear filters"),
        )
        new_row(self, (self._words, 1), self._clear, margins=0)
        filters.changed.connect(self._show)
        self._show()

    def _show(self) -> None:
        words = self._filters.words()
        self._words.setText(" · ".join(words))
        self.setVisible(bool(words))
