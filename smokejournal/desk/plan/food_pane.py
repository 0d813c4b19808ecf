"""The left half of Plan: title, when it is wanted, place, food, steps, probes, cautions."""

from __future__ import annotations

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QWidget

from smokejournal.cook.plan.plan import Plan
from smokejournal.cook.text.quantities import METRIC, Units
from smokejournal.desk.base.widgets import new_column
from smokejournal.desk.parts.fields import DurationField, MomentField, TextField
from smokejournal.desk.parts.rows import new_grid
from smokejournal.desk.parts.tall_scroll import TallScroll
from smokejournal.desk.plan.cautions import PlanCautions
from smokejournal.desk.plan.food_editors import ItemsEditor, PrepEditor
from smokejournal.desk.plan.list_editor import LABEL_WIDTH, RecordsEditor
from smokejournal.desk.plan.probes_editor import ProbesEditor


class DishPane(TallScroll):
    """`changed` when title, time or place are edited."""

    changed = Signal()

    def __init__(self, parent: QWidget | None = None, units: Units = METRIC) -> None:
        super().__init__(self.tr("Food, prep and probes"), parent)
        self.setObjectName("dishPane")
        self._units = units
        inside = QWidget(self)
        self.cook_title = TextField("planTitle", self.tr("Title"), inside, required=True)
        # Made in the order in which Tab goes through them.
        self.items = ItemsEditor(inside, units)
        self.ready_at = MomentField(
            "planReady",
            self.tr("Wanted at the table"),
            inside,
            units=units,
            hint=self.tr("no time"),
        )
        self.margin = DurationField(
            "planMargin", self.tr("Time to spare"), inside, units=units, hint=self.tr("none")
        )
        self.place = TextField("planPlace", self.tr("Place"), inside)
        self.prep = PrepEditor(inside, units)
        self.probes = ProbesEditor(inside, units)
        self.editors: tuple[RecordsEditor, ...] = (self.items, self.prep, self.probes)
        self.cautions = PlanCautions(inside)
        # In the order of thought: what, for when, and then how.
        column = new_column(
            inside,
            new_grid(LABEL_WIDTH, (self.tr("Title"), self.cook_title), gap=8),
            self.items,
            new_grid(
                LABEL_WIDTH,
                (self.tr("Wanted at"), self.ready_at),
                (self.tr("To spare"), self.margin),
                (self.tr("Place"), self.place),
                gap=8,
            ),
            spacing=16,
            margins=(0, 0, 10, 0),
        )
        for part in (self.prep, self.probes, self.cautions):
            column.addWidget(part)
        column.addStretch(1)
        self.set_content(inside)
        for editor in self.editors:
            editor.form_changed.connect(self._on_form)
        self.cook_title.changed.connect(self.changed)
        self.ready_at.changed.connect(self.changed)
        self.margin.changed.connect(self.changed)
        self.place.changed.connect(self.changed)

    @property
    def currency(self) -> str:
        """What a new price is in."""
        return self.items.currency

    @currency.setter
    def currency(self, currency: str) -> None:
        self.items.currency = currency

    def open_plan(self, plan: Plan, now_s: float) -> None:
        """Another cook: its title, time and place, and no form open."""
        for editor in self.editors:
            editor.close_form()
        self.ready_at.set_zone(plan.zone)
        self.ready_at.clear()
        self.margin.clear()
        self.ready_at.suggest_day(now_s)
        self._show_heading(plan)
        self.verticalScrollBar().setValue(0)

    def follow(self, before: Plan, now: Plan) -> None:
        """The log has changed: show its heading, unless the person has another one typed."""
        if not self.heading_changed(before):
            self._show_heading(now)

    def show_plan(self, plan: Plan) -> None:
        """Show food, steps and probes as the log has them, and the cautions that go with them."""
        self.items.show_plan(plan)
        self.prep.show_plan(plan)
        self.probes.show_plan(plan)
        self.cautions.show_plan(plan, self._units)

    def set_units(self, units: Units) -> None:
        """Show every quantity in these units."""
        self._units = units
        self.ready_at.set_units(units)
        for editor in self.editors:
            editor.set_units(units)

    def heading_changed(self, plan: Plan) -> bool:
        """True while title, time or place are not what the plan says."""
        return (
            self.cook_title.text() != plan.title
            or not self.ready_at.is_ok()
            or self.ready_at.value() != plan.ready_at_s
            or not self.margin.is_ok()
            or (self.margin.value() or 0.0) != plan.margin_s
            or self.place.text() != plan.place
        )

    def open_editor(self) -> RecordsEditor | None:
        """The part in which something is being filled in, or None."""
        return next((editor for editor in self.editors if editor.is_open), None)

    def check(self) -> bool:
        """True where title and time can be kept; else shows what is wrong."""
        for field in (self.cook_title, self.ready_at, self.margin):
            if not field.check():
                field.setFocus()
                self.ensureWidgetVisible(field)
                return False
        return True

    @Slot()
    def _on_form(self) -> None:
        """A form was opened or put away: an open one is brought into view, its buttons too."""
        editor = self.open_editor()
        content = self.widget()
        layout = content.layout() if content is not None else None
        if editor is not None and layout is not None:
            layout.activate()
            self.ensureWidgetVisible(editor.keep, 0, 16)
            self.ensureWidgetVisible(editor.heading, 0, 0)
        self.changed.emit()

    def _show_heading(self, plan: Plan) -> None:
        self.cook_title.set_text(plan.title)
        self.ready_at.set_value(plan.ready_at_s)
        self.margin.set_value(plan.margin_s or None)
        self.place.set_text(plan.place)
