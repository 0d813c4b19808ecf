"""Fields for one kind of quantity each, in the units that a person likes."""

from __future__ import annotations

from smokejournal.cook.brine.measures import parse_volume, volume
from smokejournal.cook.text import quantities
from smokejournal.cook.text.altitude import altitude, altitude_unit, parse_altitude
from smokejournal.desk.parts.fields import NumberField, QuantityField


class AltitudeField(QuantityField):
    """How high the place lies [m]."""

    def _read(self, text: str) -> float:
        return parse_altitude(text, self.units)

    def _shown(self, value: float) -> str:
        return altitude(value, self.units).removesuffix(altitude_unit(self.units)).strip()

    def _unit(self) -> str:
        return altitude_unit(self.units)


class SpeedField(QuantityField):
    """A speed of the wind [m/s]."""

    def _read(self, text: str) -> float:
        return quantities.parse_speed(text, self.units, "")

    def _shown(self, value: float) -> str:
        return quantities.speed(value, self.units).removesuffix(self.units.speed).strip()

    def _unit(self) -> str:
        return self.units.speed


class PressureField(QuantityField):
    """A pressure of the air [hPa]."""

    def _read(self, text: str) -> float:
        return quantities.parse_pressure(text, self.units, "")

    def _shown(self, value: float) -> str:
        return quantities.pressure(value, self.units).removesuffix(self.units.pressure).strip()

    def _unit(self) -> str:
        return self.units.pressure


class PercentField(QuantityField):
    """A share [%]."""

    LOW = 0.0

    def _read(self, text: str) -> float:
        return quantities.parse_percent(text, "", self._low)

    def _shown(self, value: float) -> str:
        return f"{value:.3g}"

    def _unit(self) -> str:
        return "%"


class ShareField(NumberField):
    """A percentage within the field's own range."""

    def _read(self, text: str) -> float:
        return super()._read(text.strip().removesuffix("%"))

    def _unit(self) -> str:
        return "%"


class VolumeField(QuantityField):
    """A volume [L]."""

    def _read(self, text: str) -> float:
        return parse_volume(text, self.units.mass == "kg", "")

    def _shown(self, value: float) -> str:
        return volume(value, self.units.mass == "kg")

    def _example(self) -> str:
        example = "8 L" if self.units.mass == "kg" else "2 gal"
        return self.tr("such as {example}").format(example=example)
