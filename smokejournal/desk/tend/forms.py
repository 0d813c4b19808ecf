"""The forms of Tend, each made when it is first asked for, and made ready every time."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from PySide6.QtCore import QObject, Signal, Slot
from PySide6.QtWidgets import QWidget

from smokejournal.cook.log.entries import FoodClass
from smokejournal.cook.plan.plan import plan_of
from smokejournal.cook.progress.readout import readouts
from smokejournal.cook.progress.standing import Standing
from smokejournal.cook.safety.assessment import said_of
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.entry.entry_form import EntryForm
from smokejournal.desk.entry.fuel_form import FuelForm, HopperForm
from smokejournal.desk.entry.reading_form import ReadingForm
from smokejournal.desk.entry.safety_form import RefrigeratorForm, SafetyForm
from smokejournal.desk.entry.small_forms import (
    CloseForm,
    ExtendForm,
    NoteForm,
    ProbeMovedForm,
    SpritzForm,
    WrapForm,
)
from smokejournal.desk.entry.store_used_form import StoreUsedForm
from smokejournal.desk.entry.weather_form import WeatherForm
from smokejournal.services.program.live import LiveCook

#: By name. Made late: six hundred widgets that few cooks open would be dressed with every new ground.
KINDS: Mapping[str, Callable[[Callable[[], float], QWidget], EntryForm]] = {
    "reading": ReadingForm,
    "wrap": WrapForm,
    "spritz": SpritzForm,
    "fuel": FuelForm,
    "hopper": HopperForm,
    "store": StoreUsedForm,
    "probe": ProbeMovedForm,
    "weather": WeatherForm,
    "note": NoteForm,
    "extend": ExtendForm,
    "close": CloseForm,
    "refrigerator": RefrigeratorForm,
    "safety": SafetyForm,
}


class TendForms(QObject):
    """Forms by name. `made` carries one that is new, `said` the form and what it says."""

    made = Signal(object)
    said = Signal(object, object)
    cancelled = Signal()

    def __init__(self, now_s: Callable[[], float], parent: QWidget) -> None:
        super().__init__(parent)
        self._now_s = now_s
        self._pane = parent
        self._forms: dict[str, EntryForm] = {}

    def form(self, name: str) -> EntryForm:
        """The form with this name, in the state that it was left in."""
        found = self._forms.get(name)
        if found is None:
            found = self._forms[name] = KINDS[name](self._now_s, self._pane)
            found.said.connect(self._on_said)
            found.cancelled.connect(self._on_cancelled)
            self.made.emit(found)
        return found

    def ready(
        self, name: str, live: LiveCook, standing: Standing, context: DeskContext
    ) -> EntryForm:
        """The form with this name, knowing the cook's channels, stage, lots and units."""
        form = self.form(name)
        form.set_units(context.units)
        form.set_zone(live.zone)
        shown = [standing.channels[r.key].channel for r in readouts(standing, context.units)]
        match form:
            case ReadingForm():
                form.set_channels(shown)
            case ProbeMovedForm():
                jumped = (k for k, s in standing.channels.items() if s.status == "jumped")
                form.set_channels(shown, next(jumped, standing.lead))
            case FuelForm():
                form.set_lots(context.program.journal.stores.lots())
            case StoreUsedForm():
                form.set_wares(context.program.journal.stores.wares())
            case HopperForm():
                opened = live.opened
                form.set_full(opened.hopper_kg if opened is not None else None)
            case RefrigeratorForm():
                items = [item for _, item in plan_of(live.log()).items]
                form.set_cook([item.name for item in items], begun=standing.phase != "planned")
            case CloseForm():
                form.set_end(standing.ended_at_s if standing.runs else None)
            case WeatherForm():
                form.set_altitude(context.forecasts.fuel.facts().altitude_m)
            case ExtendForm() if standing.current is not None:
                stage = standing.current.stage
                form.set_stage(stage.key, stage.name)
            case _:
                pass
        return form

    def choose_food(self, food: FoodClass, live: LiveCook) -> None:
        """The kind of food that the form of its table is about, as it is set now."""
        log = live.log()
        plan = plan_of(log)
        channels = list(plan.channels.values())
        form = self.form("safety")
        assert isinstance(form, SafetyForm)
        form.set_food(said_of(log.holding(), food), channels, alone=len(plan.foods) < 2)

    @Slot(object)
    def _on_said(self, said: object) -> None:
        self.said.emit(self.sender(), said)

    @Slot()
    def _on_cancelled(self) -> None:
        form = self.sender()
        if isinstance(form, EntryForm):
            form.dropped()
        self.cancelled.emit()
