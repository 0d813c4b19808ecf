"""Taking one point of a calibration: where the temperature is known, and what the probe says there."""

from __future__ import annotations

from collections.abc import Sequence
from typing import get_args

from PySide6.QtCore import Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QFormLayout,
    QHBoxLayout,
    QWidget,
)

from smokejournal.cook.probes.probe import CalibrationPoint, How
from smokejournal.cook.probes.reference_points import (
    Reference,
    boiling_water,
    ice,
    reference_words,
)
from smokejournal.cook.text.quantities import METRIC, Units, temperature, temperature_step
from smokejournal.desk.base.theme import set_kind
from smokejournal.desk.base.widgets import new_button, new_column, new_label
from smokejournal.desk.parts.choice_box import ChoiceBox
from smokejournal.desk.parts.fields import TemperatureField, TemperatureStepField
from smokejournal.desk.parts.unit_fields import AltitudeField, PressureField
from smokejournal.science.air.boiling import BoilingUnknown
from smokejournal.science.numbers.ranges import OutOfRange
from smokejournal.science.probes.calibration import COVERAGE, READING_SD_K
from smokejournal.services.feeds.calibration import RawReading


class PointForm(QWidget):
    """`taken(CalibrationPoint)` when a point is to be added; `listen_asked` for what arrives."""

    taken = Signal(object)
    listen_asked = Signal()
    heard_chosen = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("pointForm")
        self._units = METRIC
        self._received: tuple[RawReading, ...] = ()
        self._waiting = False
        self._reading_sd_k = READING_SD_K
        self.how = ChoiceBox(self, name="pointHow", hears=self.tr("The probe is in"), letters=14)
        for how in get_args(How):
            self.how.addItem(self.how_words(how), how)
        self.altitude = AltitudeField("pointAltitude", self.tr("Altitude"), self)
        self.pressure = PressureField("pointPressure", self.tr("Pressure"), self)
        self.at_sea = QCheckBox(self.tr("Pressure as in a weather report"), self)
        self.at_sea.setObjectName("pointAtSea")
        self.at_sea.setToolTip(
            self.tr(
                "Reports give the pressure as it would be at the sea; water boils by the real one"
            )
        )
        self.true = TemperatureField(
            "pointTrue", self.tr("Known temperature"), self, low=-60.0, high=500.0, required=True
        )
        self.sure = TemperatureStepField(
            "pointSure", self.tr("Known to ±"), self, low=0.01, high=10.0, required=True
        )
        self.sure.set_value(0.5)
        self.reference = new_label(self, name="pointReference", wraps=True)
        self.advice = new_label(self, name="pointAdvice", kind="faint", wraps=True)
        self.reads = TemperatureField(
            "pointReads", self.tr("Probe says"), self, low=-60.0, high=500.0, required=True
        )
        self._build_live()
        self.form = QFormLayout()
        self.form.setVerticalSpacing(6)
        self.form.addRow(self.tr("Probe &in"), self.how)
        self.form.addRow(self.tr("Al&titude"), self.altitude)
        self.form.addRow(self.tr("P&ressure"), self.pressure)
        self.form.addRow("", self.at_sea)
        self.form.addRow(self.tr("&Known to be"), self.true)
        self.form.addRow(self.tr("±"), self.sure)
        self.form.addRow(self.reference)
        self.form.addRow(self.advice)
        self.form.addRow(self.tr("Probe &says"), self.reads)
        self.add = new_button(self, self.tr("Add the &point"), self._on_add, name="pointAdd")
        new_column(self, self.form, self._live_row, self.live_words, self.add, spacing=8, margins=0)
        self.how.currentIndexChanged.connect(self._on_how)
        for field in (self.altitude, self.pressure):
            field.changed.connect(self._show_reference)
        self.at_sea.toggled.connect(self._show_reference)
        self.reads.changed.connect(self._on_typed)
        self._on_how()
        self.show_received((), listening=False, running=False)

    def _build_live(self) -> None:
        self.listen = new_button(
            self,
            self.tr("&Listen"),
            self.listen_asked,
            name="pointListen",
            tip=self.tr("Listen to the input as set up on the Input side"),
        )
        self.live = ChoiceBox(
            self, name="pointLive", hears=self.tr("Probe to listen to"), letters=6
        )
        self.live.currentIndexChanged.connect(self._on_live)
        self.take = new_button(self, self.tr("Ta&ke it"), self._on_take, name="pointTake")
        self._live_row = QHBoxLayout()
        self._live_row.addWidget(self.listen)
        self._live_row.addWidget(self.live, 1)
        self._live_row.addWidget(self.take)
        self._live_row.addStretch(0)
        self.live_words = new_label(self, name="pointLiveWords", kind="faint", wraps=True)

    def how_words(self, how: How) -> str:
        """Where the temperature is known."""
        return {
            "ice": self.tr("ice water"),
            "boil": self.tr("boiling water"),
            "beside": self.tr("the same spot as a thermometer that is right"),
        }[how]

    # what is shown

    def set_units(self, units: Units) -> None:
        """In which units everything is shown and read."""
        self._units = units
        for field in (self.altitude, self.pressure, self.true, self.sure, self.reads):
            field.set_units(units)
        self._show_reference()
        self._show_live()

    def show_received(
        self, received: Sequence[RawReading], *, listening: bool, running: bool
    ) -> None:
        """What the probes say now. `running`: from the cook's own input, so no need to listen."""
        keys = [each.key for each in received]
        if keys != [each.key for each in self._received]:
            chosen = self.live.currentData()
            self.live.offer([(each.name, each.key) for each in received], chosen)
            self._received = tuple(received)
            self._on_live()
        self._received = tuple(received)
        self.listen.setVisible(not running)
        self.listen.setText(self.tr("Stop &listening") if listening else self.tr("&Listen"))
        self._waiting = listening or running
        self._show_live()

    def _chosen(self) -> RawReading | None:
        key = self.live.currentData()
        return next((each for each in self._received if each.key == key), None)

    def _show_live(self) -> None:
        received = self._chosen()
        self.live.setVisible(bool(self._received))
        self.take.setVisible(bool(self._received))
        self.take.setEnabled(received is not None)
        if received is None:
            self.live_words.setText(
                self.tr("No reading yet.")
                if self._waiting
                else self.tr(
                    "Listen to take what the probe sends, or type what it shows, uncorrected."
                )
            )
            return
        now = received.now
        said = temperature(now.mean_c, self._units, 1)
        if now.is_still:
            text = self.tr("{t}, steady ({n} readings)").format(t=said, n=now.n)
        elif abs(now.moved_k) > 0.05:
            text = self.tr("{t}, still moving by {step} in half a minute. Wait.").format(
                t=said, step=temperature_step(now.moved_k, self._units, signed=True)
            )
        else:
            text = self.tr("{t}. Wait half a minute to be sure it is steady.").format(t=said)
        self.live_words.setText(text)

    def _show_reference(self) -> None:
        found = self._reference()
        if isinstance(found, str):
            self.reference.setText(found)
        else:
            up = self.altitude.value() if self.how.currentData() == "boil" else None
            self.reference.setText(reference_words(found, up, self._units))
        set_kind(self.reference, "problem" if isinstance(found, str) else "")

    def _reference(self) -> Reference | str:
        """The known temperature, or why there is none."""
        how = self.how.currentData()
        if how == "ice":
            return ice()
        if how == "beside":
            true, sure = self.true.value(), self.sure.value()
            if true is None or sure is None:
                return self.tr("Type what the other thermometer says, and how sure it is.")
            return Reference(true, sure / COVERAGE)
        up, pressure = self.altitude.value(), self.pressure.value()
        if not self.altitude.is_ok() or not self.pressure.is_ok():
            return self.tr("Put the altitude or the pressure right.")
        if up is None and pressure is None:
            return self.tr("Type the altitude of the place or the pressure there.")
        if pressure is not None and self.at_sea.isChecked() and up is None:
            return self.tr("A pressure from a weather report needs the altitude as well.")
        try:
            return boiling_water(up, pressure, at_sea=self.at_sea.isChecked())
        except OutOfRange:
            return self.tr(
                "Water boils at no such pressure. Put the altitude or the pressure right."
            )
        except BoilingUnknown:
            return self.tr(
                "The boiling point can't be worked out on this machine. Look it up and enter it "
                "as beside a thermometer that is right."
            )

    # what the person does

    def _on_how(self) -> None:
        how = self.how.currentData()
        for place in (self.altitude, self.pressure, self.at_sea):
            self.form.setRowVisible(place, how == "boil")
        for known in (self.true, self.sure):
            self.form.setRowVisible(known, how == "beside")
        self.form.setRowVisible(self.reference, how != "beside")
        self.advice.setText(
            {
                "ice": self.tr(
                    "Fill a glass with crushed ice, top it up with cold water and stir. Hold the "
                    "tip in the middle, 5 cm (2 in) deep, off the bottom and the wall, until the "
                    "reading is steady."
                ),
                "boil": self.tr(
                    "Water at a rolling boil, the tip in the water and off the bottom. Mind the "
                    "steam. Keep plugs and cables dry."
                ),
                "beside": self.tr(
                    "Tie both tips together in stirred water, or side by side in a block, until "
                    "both are steady."
                ),
            }[how]
        )
        self._show_reference()

    def _on_live(self) -> None:
        self._show_live()
        key = self.live.currentData()
        if key:
            self.heard_chosen.emit(str(key))

    def _on_take(self) -> None:
        received = self._chosen()
        if received is not None:
            self.reads.clear()
            self.reads.set_value(received.now.mean_c)
            self._reading_sd_k = received.now.sd_k

    def _on_typed(self) -> None:
        self._reading_sd_k = READING_SD_K

    def _on_add(self) -> None:
        how: How = self.how.currentData()
        checks = [self.reads.check()]
        if how == "beside":
            checks += [self.true.check(), self.sure.check()]
        if how == "boil":
            checks += [self.altitude.check(), self.pressure.check()]
        found = self._reference()
        reads = self.reads.value()
        if not all(checks) or isinstance(found, str) or reads is None:
            self._show_reference()
            return
        self.taken.emit(
            CalibrationPoint(how, reads, found.temperature_c, self._reading_sd_k, found.sd_k)
        )
        self.reads.clear()
