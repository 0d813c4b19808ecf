"""What fuel to expect, in full: by stage, in which weather, and what the estimate rests on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from PySide6.QtCore import Qt, QTimer, Slot
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QGridLayout,
    QLabel,
    QWidget,
)

from smokejournal.cook.fuel.rate import USUAL_AIR_C, USUAL_WIND_M_S, Outdoors
from smokejournal.cook.fuel.until import FuelUntil
from smokejournal.cook.fuel.words import (
    assumed_line,
    before_line,
    in_ten,
    now_lines,
    rests_on,
    stage_line,
    total_line,
    with_it,
)
from smokejournal.cook.log.schedule import Schedule
from smokejournal.cook.text import quantities
from smokejournal.desk.base.clearing import throw_away
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.refresher import Refresher
from smokejournal.desk.base.widgets import FILL, new_button, new_column, new_label, new_row, say
from smokejournal.desk.fuel.cooker_dialog import CookerDialog
from smokejournal.desk.parts.fields import DurationField, QuantityField, TemperatureField
from smokejournal.desk.parts.unit_fields import SpeedField
from smokejournal.services.forecast.fuel import FuelForecasts, Taught


class FuelDialog(QDialog):
    """For one plan. What is typed here is only tried out and written nowhere."""

    def __init__(
        self,
        context: DeskContext,
        cook_id: int | None,
        schedule: Schedule,
        *,
        simulated: bool = False,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setObjectName("fuelDialog")
        self.setWindowTitle(self.tr("Fuel to expect"))
        self._context = context
        self._cook_id = cook_id
        self._schedule = schedule
        self._simulated = simulated
        self._taught = context.forecasts.fuel.prior()
        self._refresher = Refresher(self, context, self._ask, self._on_taught)
        self._build()
        if cook_id is not None:
            seen = context.forecasts.fuel.weather(cook_id)
            self.air.set_value(seen.air_c)
            self.wind.set_value(seen.wind_m_s)
        self._show()
        self._refresher.refresh()

    def _build(self) -> None:
        units = self._context.units
        self.air = TemperatureField(
            "fuelAir",
            self.tr("Air"),
            self,
            units=units,
            low=-60.0,
            high=60.0,
            hint=quantities.temperature(USUAL_AIR_C, units),
        )
        self.wind = SpeedField(
            "fuelWind",
            self.tr("Wind"),
            self,
            units=units,
            hint=quantities.speed(USUAL_WIND_M_S, units),
        )
        self.burns = DurationField(
            "fuelBurns", self.tr("The fire burns"), self, low=60.0, hint=self.tr("such as 9 h")
        )
        given = new_row(None, spacing=18)
        fields: tuple[tuple[str, QuantityField], ...] = (
            (self.tr("&Air"), self.air),
            (self.tr("&Wind"), self.wind),
            (self.tr("The &fire burns in all"), self.burns),
        )
        for text, field in fields:
            label = new_label(self, text, kind="faint")
            label.setBuddy(field)
            cell = new_column(None, label, field, spacing=1)
            given.addLayout(cell)
            field.changed.connect(self._show)
        given.addStretch(1)
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(18)
        self._grid.setVerticalSpacing(4)
        self._grid.setColumnStretch(0, 1)
        self.total = self._label("fuelTotal", "section")
        self.now = self._label("fuelNow", "")
        self.rests = self._label("fuelRests", "faint")
        cooker = new_button(
            self, self.tr("&Cooker and place"), self._on_cooker, name="fuelCooker", auto=False
        )
        buttons = QDialogButtonBox(self)
        close = buttons.addButton(self.tr("Close"), QDialogButtonBox.ButtonRole.RejectRole)
        close.setObjectName("fuelClose")
        close.setAutoDefault(False)
        buttons.rejected.connect(self.reject)
        foot = new_row(None, cooker, FILL, buttons)
        new_column(
            self,
            given,
            self._grid,
            self.total,
            self.now,
            self.rests,
            FILL,
            foot,
            spacing=12,
            margins=(18, 16, 18, 14),
        )
        self.setMinimumWidth(720)

    def _label(self, name: str, kind: str) -> QLabel:
        label = new_label(self, name=name, wraps=True, kind=kind)
        return label

    # -- asking ------------------------------------------------------------------------------

    def _ask(self) -> Callable[[], Taught]:
        """Read the finished cooks, away from the painting thread."""
        fuel, simulated = self._context.forecasts.fuel, self._simulated
        cook_id, schedule = self._cook_id, self._schedule
        return lambda: _compute(fuel, cook_id, schedule, simulated)

    def _on_taught(self, taught: Taught) -> None:
        self._taught = taught
        self._show()

    @Slot()
    def _on_cooker(self) -> None:
        dialog = CookerDialog(self._context, self)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.kept.connect(self._on_cooker_kept)
        dialog.open()

    @Slot()
    def _on_cooker_kept(self) -> None:
        self._taught = self._context.forecasts.fuel.prior()
        self._show()
        self._refresher.refresh()

    # -- showing -----------------------------------------------------------------------------

    @Slot()
    def _show(self) -> None:
        units = self._context.units
        out = replace(
            self._context.forecasts.fuel.weather(self._cook_id),
            air_c=self.air.value(),
            wind_m_s=self.wind.value(),
        )
        length_s = self.burns.value()
        plan = self._context.forecasts.fuel.plan(
            self._schedule, self._taught, out, None if length_s is None else length_s / 3600.0
        )
        throw_away(self._grid)
        rows = [stage_line(stage, units) for stage in plan.stages]
        if rows:
            heads = (self.tr("Stage"), self.tr("Pit"), self.tr("Rate"), self.tr("Pellets"))
            for row, cells in enumerate([heads, *rows]):
                for column, text in enumerate(cells):
                    label = new_label(
                        self, text, name=f"fuelCell{row}{column}", kind="faint" if row == 0 else ""
                    )
                    if column:
                        label.setAlignment(Qt.AlignmentFlag.AlignRight)
                    self._grid.addWidget(label, row, column)
        before = None
        if self._cook_id is not None and plan.total_kg is None and plan.open_stages:
            before = self._context.forecasts.fuel.before(
                self._cook_id, self._schedule, self._taught, out, only_known=True
            )
        self.total.setText(total_line(plan, units, before))
        facts = self._context.forecasts.fuel.facts()
        result = self._taught
        until = self._show_now()
        lines = [
            "" if before is None else before_line(before, units),
            assumed_line(plan, units),
            in_ten(),
            with_it() if until is not None and until.missing_kg else "",
            rests_on(
                result.belief.count,
                result.belief.few,
                facts.size_said,
                facts.learn,
                result.told_not,
            ),
        ]
        self.rests.setText(" ".join(line for line in lines if line))
        # Once the forecast tells what is still needed, that nobody knew the whole beforehand is no news.
        needed = until is not None and until.needed_kg is not None
        self.total.setVisible(plan.total_kg is not None or not needed)
        # With the dialog named: closed by then, it is not asked.
        QTimer.singleShot(0, self, self.adjustSize)

    def _show_now(self) -> FuelUntil | None:
        """What is known of a cook under way, against its forecast."""
        text, until = "", None
        if self._cook_id is not None:
            result = self._context.forecasts.finish.last(self._cook_id)
            now, until = self._context.forecasts.fuel.until(self._cook_id, self._taught, result)
            if now.why_not != "not_started":
                zone = self._context.live(self._cook_id).zone
                text = "\n".join(now_lines(now, self._context.units, until, zone))
        say(self.now, text)
        return until


def _compute(
    fuel: FuelForecasts, cook_id: int | None, schedule: Schedule, simulated: bool
) -> Taught:
    """In the background: what the cooks teach; and what the plan takes is known from then on."""
    taught = fuel.taught(simulated)
    if cook_id is not None and fuel.plan(schedule, taught, Outdoors()).open_stages:
        fuel.before(cook_id, schedule, taught, Outdoors())
    return taught
