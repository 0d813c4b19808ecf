"""What a home-made probe sends instead of a temperature: millivolts, ohms, or a converter's counts."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Annotated, Any, Literal, TypeAlias, get_args

from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.strict import AtMost, Range, TextSize, WrittenAs, read
from smokejournal.cook.text.translate import translate
from smokejournal.science.numbers.ranges import OutOfRange
from smokejournal.science.probes import platinum, thermistor, thermocouple
from smokejournal.science.probes.thermistor import SteinhartHart
from smokejournal.science.probes.thermocouple import COLD_C, ThermocoupleType

Sends = Literal["mV", "ohm", "counts"]
SENDS: tuple[Sends, ...] = get_args(Sends)
SensorKind = Literal["unsaid", "thermocouple", "platinum", "thermistor"]

MOST_POINTS = 20
FIXED_OHM = (1.0, 1e7)
FULL_SCALE = (2.0, 2.0**32)
BETA_K = (500.0, 10_000.0)
_Ohm: TypeAlias = Annotated[float, Range(*thermistor.RESISTANCE_OHM, "ohm")]
_Point: TypeAlias = tuple[_Ohm, Annotated[float, Range(*thermistor.RANGE_C, "°C")]]


class SensorError(ValueError):
    """A raw value that gives no temperature. The text is ready to be shown as the reason."""


@dataclass(frozen=True, slots=True)
class Sensor:
    """How a raw value becomes a temperature.

    "unsaid": it is known what is sent but not by which probe; nothing is read then.

    A thermocouple sends mV; its cold end is at `cold_c`, or at what column `cold_source` of the same
    line says. Platinum has `r0_ohm` at 0 °C. A thermistor is described by three or more `points`
    (ohm, °C) or by `beta_k` and `r25_ohm`. Counts come from a divider with `fixed_ohm`, read by a
    converter of `full_scale` counts that is fed by the same supply; `fixed_to_supply`: the fixed
    resistor goes to the supply and the probe to ground.
    """

    sends: Sends
    kind: SensorKind = "unsaid"
    thermocouple: Annotated[ThermocoupleType, WrittenAs("type")] = "K"
    cold_c: Annotated[float, Range(*COLD_C, "°C")] = 25.0
    cold_source: Annotated[str, TextSize(longest=100, nul=True)] = ""
    r0_ohm: Annotated[float, Range(1, 100_000, "ohm")] = platinum.PT100_OHM
    points: Annotated[tuple[_Point, ...], AtMost(MOST_POINTS)] = ()
    beta_k: Annotated[float, Range(*BETA_K, "K")] | None = None
    r25_ohm: _Ohm | None = None
    fixed_ohm: Annotated[float, Range(*FIXED_OHM, "ohm")] | None = None
    full_scale: Annotated[float, Range(*FULL_SCALE)] | None = None
    fixed_to_supply: bool = True

    def check_together(self) -> None:
        """SchemaProblem where it can't be a sensor."""
        if self.kind == "unsaid":
            raise SchemaProblem("kind", translate("Inputs", "Say which probe sends this."))
        if (self.sends == "mV") != (self.kind == "thermocouple"):
            raise SchemaProblem(
                "sends",
                translate("Inputs", "A thermocouple sends mV; the others send ohm or counts."),
            )
        needed = ["fixed_ohm", "full_scale"] if self.sends == "counts" else []
        if self.kind == "thermistor" and not self.points:
            needed += ["beta_k", "r25_ohm"]
        for name in needed:
            if getattr(self, name) is None:
                raise SchemaProblem(name, translate("Inputs", "This field is missing."))
        if self.points:
            try:
                _curve(self.points, None, None)
            except ValueError as problem:
                raise SchemaProblem("points", points_words(problem)) from problem

    def to_celsius(self, raw: float, cold_c: float | None = None) -> float:
        """The temperature [°C] of a raw value; `cold_c` is what the cold end's own column says.

        SensorError with the reason where there is none.
        """
        if self.kind == "unsaid":
            raise SensorError(translate("Inputs", "it is not said which probe sends this"))
        try:
            if self.kind == "thermocouple":
                if self.cold_source and cold_c is None:
                    raise SensorError(translate("Inputs", "the cold end's temperature is missing"))
                cold = self.cold_c if cold_c is None else cold_c
                return thermocouple.temperature_c(self.thermocouple, raw, cold)
            ohm = raw if self.sends == "ohm" else self._ohm(raw)
            if self.kind == "platinum":
                return platinum.temperature_c(ohm, self.r0_ohm)
            return _curve(self.points, self.beta_k, self.r25_ohm).temperature_c(ohm)
        except OutOfRange as problem:
            if problem.field == "counts":
                raise SensorError(
                    translate("Inputs", "counts at their end: probe open or shorted")
                ) from problem
            if problem.field == "cold junction":
                raise SensorError(
                    translate("Inputs", "the cold end can't be that cold or hot")
                ) from problem
            raise SensorError(
                translate("Inputs", "no temperature gives this: probe open, shorted or another one")
            ) from problem

    def _ohm(self, counts: float) -> float:
        assert self.fixed_ohm is not None
        assert self.full_scale is not None
        share = thermistor.counts_share(counts, self.full_scale)
        return thermistor.divider_ohm(share, self.fixed_ohm, fixed_to_supply=self.fixed_to_supply)

    def to_json(self) -> dict[str, Any]:
        """Its written form: what its kind needs and nothing else."""
        data: dict[str, Any] = {"sends": self.sends, "kind": self.kind}
        if self.kind == "thermocouple":
            data |= {
                "type": self.thermocouple,
                "cold_c": self.cold_c,
                "cold_source": self.cold_source,
            }
        elif self.kind == "platinum":
            data |= {"r0_ohm": self.r0_ohm}
        elif self.points:
            data |= {"points": [list(point) for point in self.points]}
        else:
            data |= {"beta_k": self.beta_k, "r25_ohm": self.r25_ohm}
        if self.sends == "counts":
            data |= {
                "fixed_ohm": self.fixed_ohm,
                "full_scale": self.full_scale,
                "fixed_to_supply": self.fixed_to_supply,
            }
        return data


@lru_cache(maxsize=64)
def _curve(
    points: tuple[tuple[float, float], ...], beta_k: float | None, r25_ohm: float | None
) -> SteinhartHart:
    if points:
        return thermistor.fit([ohm for ohm, _ in points], [t for _, t in points]).curve
    assert beta_k is not None
    assert r25_ohm is not None
    return thermistor.beta_curve(beta_k, r25_ohm)


def worst_k(sensor: Sensor) -> float | None:
    """How far the farthest point lies from a thermistor's curve [K]; None for three or without."""
    if len(sensor.points) < 4:
        return None
    return thermistor.fit([r for r, _ in sensor.points], [t for _, t in sensor.points]).worst_k


def sensor_from_json(data: object, where: str) -> Sensor:
    """The sensor that `data` is the written form of; SchemaProblem says what is wrong and where."""
    return read(Sensor, data, where)


def points_words(problem: ValueError) -> str:
    """Why points make no curve, in words."""
    if isinstance(problem, OutOfRange):
        return translate(
            "Inputs", "Points go from {low} to {high} {unit}. One is mistyped."
        ).format(low=f"{problem.low:g}", high=f"{problem.high:g}", unit=problem.unit)
    if "must fall" in str(problem):
        return translate(
            "Inputs", "The resistance must fall as the temperature rises. One point is mistyped."
        )
    return translate("Inputs", "Give at least three different points.")


def sensor_words(sensor: Sensor) -> str:
    """ "type K, cold end at 25 °C", "Pt100", "thermistor by 3 points, 10000 ohm to the supply"."""
    if sensor.kind == "unsaid":
        return translate("Inputs", "not said yet")
    if sensor.kind == "thermocouple":
        cold = (
            translate("Inputs", "cold end from column {column}").format(column=sensor.cold_source)
            if sensor.cold_source
            else translate("Inputs", "cold end at {t} °C").format(t=f"{sensor.cold_c:g}")
        )
        return translate("Inputs", "thermocouple type {type}, {cold}").format(
            type=sensor.thermocouple, cold=cold
        )
    if sensor.kind == "platinum":
        text = translate("Inputs", "platinum, {ohm} ohm at 0 °C").format(ohm=f"{sensor.r0_ohm:g}")
    elif sensor.points:
        text = translate("Inputs", "thermistor by {n} points").format(n=len(sensor.points))
    else:
        text = translate("Inputs", "thermistor, {ohm} ohm at 25 °C, beta {beta} K").format(
            ohm=f"{sensor.r25_ohm or 0:g}", beta=f"{sensor.beta_k or 0:g}"
        )
    if sensor.sends == "counts":
        end = (
            translate("Inputs", "with {ohm} ohm to the supply")
            if sensor.fixed_to_supply
            else translate("Inputs", "with {ohm} ohm to ground")
        )
        text = f"{text}, {end.format(ohm=f'{sensor.fixed_ohm or 0:g}')}"
    return text
