"""Schedules to begin with, beside the empty list of stages: one press takes one over."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from smokejournal.cook.log.schedule import Schedule
from smokejournal.cook.plan.plan import Plan
from smokejournal.cook.plan.starter_schedules import fitting_first
from smokejournal.cook.text.quantities import METRIC, Units
from smokejournal.desk.base.clearing import throw_away
from smokejournal.desk.base.widgets import new_button, new_column, new_label
from smokejournal.desk.schedule.saved import Saved

#: The person's own come first; more of them than this are in the menu.
MOST_SAVED = 4


class ScheduleOffers(QWidget):
    """`used(schedule)` when one is pressed. Those that fit the food on the plan come first."""

    used = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("scheduleOffers")
        self._saved: Saved = ()
        self._shown: tuple[Schedule, ...] | None = None
        self._plan, self._units = Plan(), METRIC
        self._column = new_column(self, spacing=6, margins=(0, 6, 0, 6))

    def set_saved(self, saved: Saved) -> None:
        """Offer these of the person's own."""
        self._saved = tuple(saved)
        self._fill()

    def show_for(self, plan: Plan, units: Units) -> None:
        """Offer what fits this plan first, in numbers that are round in these units."""
        self._plan, self._units = plan, units
        self._fill()

    def _fill(self) -> None:
        items = [item for _, item in self._plan.items]
        own = [schedule for _, schedule in self._saved[:MOST_SAVED]]
        shown = (*own, *fitting_first(items, self._units))
        if shown == self._shown:
            return
        self._shown = shown
        throw_away(self._column)
        self._column.addWidget(
            new_label(
                self, self.tr("Begin with one of these, or add a stage."), kind="faint", wraps=True
            )
        )
        for number, schedule in enumerate(shown):
            if number in (0, len(own)):
                mine = number < len(own)
                head = new_label(
                    self,
                    self.tr("Saved") if mine else self.tr("To begin with (common practice)"),
                    kind="faint",
                    wraps=True,
                )
                head.setProperty("kind", "section")
                self._column.addWidget(head)
            button = new_button(
                self,
                schedule.name.replace("&", "&&"),
                name=f"scheduleOffer_{number}",
                hears=schedule.name,
            )
            button.clicked.connect(partial(self.used.emit, schedule))
            self._column.addWidget(button)
            names = " · ".join(stage.name for stage in schedule.stages)
            self._column.addWidget(new_label(self, names, kind="faint", wraps=True))
        self._column.addStretch(1)
