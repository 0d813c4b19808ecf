"""The forms of Tend, made once and made ready each time one is asked for."""

from __future__ import annotations

from collections.abc import Callable

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


class TendForms(QObject):
    """Forms by name. `said` carries the form and what it says."""

    said = Signal(object, object)
    cancelled = Signal()

    def __init__(self, now_s: Callable[[], float], parent: QWidget) -> None:
        super().__init__(parent)
        self._reading = ReadingForm(now_s, parent)
        self._probe = ProbeMovedForm(now_s, parent)
        self._fuel = FuelForm(now_s, parent)
        self._hopper = HopperForm(now_s, parent)
        self._store = StoreUsedForm(now_s, parent)
        self._extend = ExtendForm(now_s, parent)
        self._weather = WeatherForm(now_s, parent)
        self._safety = SafetyForm(now_s, parent)
        self._close = CloseForm(now_s, parent)
        self._cold = RefrigeratorForm(now_s, parent)
        self.forms: dict[str, EntryForm] = {
            "reading": self._reading,
            "wrap": WrapForm(now_s, parent),
            "spritz": SpritzForm(now_s, parent),
            "fuel": self._fuel,
            "hopper": self._hopper,
            "store": self._store,
            "probe": self._probe,
            "weather": self._weather,
            "note": NoteForm(now_s, parent),
            "extend": self._extend,
            "close": self._close,
            "refrigerator": self._cold,
            "safety": self._safety,
        }
        for form in self.forms.values():
            form.said.connect(self._on_said)
            form.cancelled.connect(self._on_cancelled)

    def ready(
        self, name: str, live: LiveCook, standing: Standing, context: DeskContext
    ) -> EntryForm:
        """The form with this name, knowing the cook's channels, stage, lots and units."""
        form = self.forms[name]
        form.set_units(context.units)
        form.set_zone(live.zone)
        shown = [standing.channels[r.key].channel for r in readouts(standing, context.units)]
        if form is self._reading:
            self._reading.set_channels(shown)
        elif form is self._probe:
            jumped = (k for k, s in standing.channels.items() if s.status == "jumped")
            self._probe.set_channels(shown, next(jumped, standing.lead))
        elif form is self._fuel:
            self._fuel.set_lots(context.program.journal.stores.lots())
        elif form is self._store:
            self._store.set_wares(context.program.journal.stores.wares())
        elif form is self._hopper:
            opened = live.opened
            self._hopper.set_full(opened.hopper_kg if opened is not None else None)
        elif form is self._cold:
            items = [item for _, item in plan_of(live.log()).items]
            self._cold.set_cook([item.name for item in items], begun=standing.phase != "planned")
        elif form is self._close:
            self._close.set_end(standing.ended_at_s if standing.runs else None)
        elif form is self._weather:
            self._weather.set_altitude(context.forecasts.fuel.facts().altitude_m)
        elif form is self._extend and standing.current is not None:
            stage = standing.current.stage
            self._extend.set_stage(stage.key, stage.name)
        return form

    def choose_food(self, food: FoodClass, live: LiveCook) -> None:
        """The kind of food that the form of its table is about, as it is set now."""
        log = live.log()
        plan = plan_of(log)
        channels = list(plan.channels.values())
        self._safety.set_food(said_of(log.holding(), food), channels, alone=len(plan.foods) < 2)

    @Slot(object)
    def _on_said(self, said: object) -> None:
        self.said.emit(self.sender(), said)

    @Slot()
    def _on_cancelled(self) -> None:
        form = self.sender()
        if isinstance(form, EntryForm):
            form.dropped()
        self.cancelled.emit()
