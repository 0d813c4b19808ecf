"""A pit that is simulated, with meat in it: for practice, for the demo and for tests.

A plain model of a small pellet cooker: one mass of air, one of sheet metal, a fire that a controller
feeds, a lid. Each piece of meat is `science.conduction` with water that evaporates from its surface.
The numbers are of the right size for such a cooker and are stated below; none of them was fitted.
Everything follows from the dice, the start and what the hands did at which time, and not from when
it is asked.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Annotated, Literal, TypeAlias

from smokejournal.cook.log.readings import Reading
from smokejournal.cook.text.strict import Range, TextSize
from smokejournal.science.air.wetbulb import diffused_kg_m2, saturation_pa
from smokejournal.science.heat.conduction import Around, Body, at_depth, even, step
from smokejournal.science.heat.conduction_series import Shape

Sees = Literal["pit", "air", "meat"]
Where = Literal["aside", "grate", "rest"]

_Name: TypeAlias = Annotated[str, TextSize(1, 200, nul=True)]
_Share: TypeAlias = Annotated[float, Range(0, 1)]

#: Pellets: heat of combustion as received, ISO 17225-2 asks for 16.5 MJ/kg at least; what of it stays.
FUEL_J_KG = 17.0e6
FIRE_YIELD = 0.9

#: Air, grate and drip tray [J/K], the sheet around them [J/K], and heat between the two [W/K].
AIR_J_K = 3.0e3
SHEET_J_K = 13.0e3
AIR_TO_SHEET_W_K = 30.0
#: Heat lost up the flue with still air, and through the sheet; wind adds a share for each m/s.
FLUE_W_K = 10.0
SHEET_TO_OUTSIDE_W_K = 14.0
WIND_SHARE = 0.12
#: Through an open lid.
LID_W_K = 90.0

#: Slowest and fastest fire [kg/h]; the fire pot takes this long to follow the feed [s].
BURN_KG_H = (0.18, 2.2)
FIRE_LAG_S = 120.0
#: Feed per kelvin that is missing, and how long the controller takes to correct a lasting error.
FEED_KG_H_K = 0.03
CORRECT_S = 700.0
#: Pellets do not fall evenly: the fire wanders by this share, over this long.
UNEVEN_SHARE = 0.09
UNEVEN_S = 240.0

#: Heat into meat [W/m2 K], half of it radiation (4 sigma T³ is 9 near 70 °C): an oven without a fan
#: had 19 (Chang, Carpenter and Toledo 1998). At rest, loosely covered: a guess.
MEAT_W_M2K = 18.0
MEAT_CONVECTION_W_M2K = 9.0
REST_W_M2K = 5.0
#: What wrapping does to evaporation and to heat: guesses, no published numbers are known to us.
WRAPS: dict[str, tuple[float, float]] = {
    "none": (1.0, 1.0),
    "foil": (0.004, 0.65),
    "paper": (0.02, 0.9),
    "leaves": (0.3, 0.9),
    "pan": (0.5, 0.8),
}
MEAT_KG_M3 = 1040.0
#: Juice is squeezed out between 45 and 80 °C and takes hours to come to the surface.
JUICE_C = 62.0
JUICE_WIDTH_C = 5.0
JUICE_LAG_S = 9000.0


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece of meat, or several alike. `juice_share`: the share of its mass that is squeezed out
    and evaporates if it is let; `skin`: the share of a bare surface's evaporation."""

    name: _Name
    shape: Shape
    radius_m: Annotated[float, Range(0.002, 0.3, "m")]
    mass_kg: Annotated[float, Range(0.005, 200, "kg")]
    start_c: Annotated[float, Range(-5, 40, "°C")] = 5.0
    pieces: Annotated[int, Range(1, 200)] = 1
    film_kg_m2: _Share = 0.05
    diffusivity_m2_s: Annotated[float, Range(0, 1e-8, "m²/s")] = 1e-10
    juice_share: Annotated[float, Range(0, 0.5)] = 0.05
    skin: _Share = 0.8


@dataclass(frozen=True, slots=True)
class SimulatedProbe:
    """One probe. `offset_c` is by how much it reads wrong; `place` 0 is the middle of a piece."""

    channel: _Name
    sees: Sees = "meat"
    piece: Annotated[int, Range(0, 11)] = 0
    place: _Share = 0.0
    offset_c: Annotated[float, Range(-30, 30, "K")] = 0.0
    noise_c: Annotated[float, Range(0, 20, "K")] = 0.08
    quantum_c: Annotated[float, Range(0, 5, "K")] = 0.1
    lag_s: Annotated[float, Range(0, 600, "s")] = 15.0


@dataclass(frozen=True, slots=True)
class Outside:
    """The weather at the pit, a fixed one. Where it changes, `Hands` says so."""

    air_c: Annotated[float, Range(-40, 50, "°C")] = 15.0
    wind_m_s: Annotated[float, Range(0, 40, "m/s")] = 1.5
    humidity_pct: Annotated[float, Range(0, 100, "%")] = 65.0


@dataclass(frozen=True, slots=True)
class Hands:
    """What the cook is doing to the pit at one moment. Without `target_c` there is no fire."""

    target_c: float | None = None
    lid_open: bool = False
    wrap: str = "none"
    where: Where = "grate"
    silent: frozenset[str] = field(default=frozenset())
    outside: Outside | None = None


class _Meat:
    """A piece while it is heated."""

    def __init__(self, piece: Piece) -> None:
        self.piece = piece
        self.body = Body(piece.shape, piece.radius_m, 0.48, 3.56e6, cells=14)
        self.state = even(self.body, piece.start_c, piece.film_kg_m2)
        self.dried_s = 0.0
        self.squeezed = 0.0
        self.pool = 0.0
        self.evaporated_kg_m2 = 0.0
        per_area = MEAT_KG_M3 * self.body.volume_per_area_m
        self.per_area_kg_m2 = per_area
        self.area_m2 = piece.mass_kg * piece.pieces / per_area

    def step(self, around: Around, step_s: float) -> float:
        """Heat that it took from the air [J]."""
        cells = self.state.temperature_c
        mean = float(cells.sum()) / cells.size
        squeezed = 1.0 / (1.0 + math.exp(-(mean - JUICE_C) / JUICE_WIDTH_C))
        if squeezed > self.squeezed:
            self.pool += squeezed - self.squeezed
            self.squeezed = squeezed
        came = self.pool * -math.expm1(-step_s / JUICE_LAG_S)
        self.pool -= came
        supplied = came * self.piece.juice_share * self.per_area_kg_m2
        if around.skin > 0 and around.convection_w_m2k > 0:
            until_s = self.dried_s + step_s
            drawn = diffused_kg_m2(self.piece.diffusivity_m2_s, self.dried_s, until_s)
            supplied += drawn * min(1.0, around.skin)
            self.dried_s = until_s
        self.state, flows = step(self.body, self.state, around, step_s, supplied)
        self.evaporated_kg_m2 += flows.evaporated_kg_m2
        return flows.heat_in_j_m2 * self.area_m2


class SimulatedPit:
    """See the module. `advance` gives the readings up to a moment; the past is not asked again."""

    def __init__(
        self,
        pieces: tuple[Piece, ...],
        probes: tuple[SimulatedProbe, ...],
        outside: Outside,
        dice: int,
        start_s: float,
        interval_s: float = 10.0,
    ) -> None:
        if not 0.5 <= interval_s <= 600:
            raise ValueError("readings come every half second to every ten minutes")
        self._meats = [_Meat(piece) for piece in pieces]
        self._probes = probes
        self._outside = outside
        self._random = random.Random(dice)
        self._start_s = start_s
        self._per_reading = max(1, math.ceil(interval_s / 10.0))
        self._step_s = interval_s / self._per_reading
        self._steps = 0
        self.air_c = self._sheet_c = outside.air_c
        self._burn_kg_h = 0.0
        self._integral_kg_h = 0.0
        self._uneven = 0.0
        self.burned_kg = 0.0
        self._felt = [self._truth(probe, outside) for probe in probes]

    @property
    def at_s(self) -> float:
        """The moment it has come to."""
        return self._start_s + self._steps * self._step_s

    def advance(self, to_s: float, hands: Callable[[float], Hands]) -> list[Reading]:
        """Go on to `to_s` and return the readings on the way. `hands` is asked at every step."""
        readings: list[Reading] = []
        while self.at_s + self._step_s <= to_s:
            now = hands(self.at_s)
            self._step(now)
            self._steps += 1
            if self._steps % self._per_reading == 0:
                readings.extend(self._read(now))
        return readings

    def core_c(self, piece: int = 0) -> float:
        """The true temperature in the middle of a piece."""
        return at_depth(self._meats[piece].body, self._meats[piece].state, 0.0)

    def lost_share(self, piece: int = 0) -> float:
        """The share of a piece's mass that has evaporated."""
        meat = self._meats[piece]
        return meat.evaporated_kg_m2 / meat.per_area_kg_m2

    def _step(self, hands: Hands) -> None:
        outside = hands.outside or self._outside
        step_s = self._step_s
        self._feed(hands, step_s)
        taken_w = self._heat_meat(hands, outside) / step_s
        fire_w = self._burn_kg_h / 3600 * FUEL_J_KG * FIRE_YIELD * (1 + self._uneven)
        wind = 1 + WIND_SHARE * outside.wind_m_s
        lost_w_k = FLUE_W_K * wind + (LID_W_K * wind if hands.lid_open else 0.0)
        # Air and sheet at the end of the step, two equations (backward Euler).
        a = AIR_J_K / step_s + AIR_TO_SHEET_W_K + lost_w_k
        b = SHEET_J_K / step_s + AIR_TO_SHEET_W_K + SHEET_TO_OUTSIDE_W_K * wind
        right_a = AIR_J_K / step_s * self.air_c + fire_w - taken_w + lost_w_k * outside.air_c
        right_b = SHEET_J_K / step_s * self._sheet_c + SHEET_TO_OUTSIDE_W_K * wind * outside.air_c
        determinant = a * b - AIR_TO_SHEET_W_K**2
        self.air_c = (right_a * b + AIR_TO_SHEET_W_K * right_b) / determinant
        self._sheet_c = (right_b * a + AIR_TO_SHEET_W_K * right_a) / determinant
        self.burned_kg += self._burn_kg_h * step_s / 3600
        for n, probe in enumerate(self._probes):
            share = -math.expm1(-step_s / probe.lag_s) if probe.lag_s > 0 else 1.0
            self._felt[n] += share * (self._truth(probe, outside) - self._felt[n])

    def _feed(self, hands: Hands, step_s: float) -> None:
        fading = math.exp(-step_s / UNEVEN_S)
        self._uneven = self._uneven * fading + self._random.gauss(
            0.0, UNEVEN_SHARE * math.sqrt(1 - fading * fading)
        )
        low, high = BURN_KG_H
        if hands.target_c is None:
            wanted = self._integral_kg_h = 0.0
        else:
            missing = hands.target_c - self.air_c
            wanted = FEED_KG_H_K * missing + self._integral_kg_h
            # With the lid up a controller that corrected would overshoot afterwards.
            if not hands.lid_open and (low < wanted < high or (wanted - low) * missing < 0):
                self._integral_kg_h += FEED_KG_H_K * missing * step_s / CORRECT_S
            wanted = min(max(wanted, low), high)
        self._burn_kg_h += -math.expm1(-step_s / FIRE_LAG_S) * (wanted - self._burn_kg_h)

    def _heat_meat(self, hands: Hands, outside: Outside) -> float:
        """Let all meat go on by one step; the heat it took from the pit's air [J]."""
        if hands.where == "aside":
            return 0.0
        vapour = min(outside.humidity_pct, 100.0) / 100 * saturation_pa(outside.air_c)
        moist, warm = WRAPS.get(hands.wrap, WRAPS["none"])
        taken = 0.0
        for meat in self._meats:
            if hands.where == "rest":
                meat.step(Around(outside.air_c, REST_W_M2K), self._step_s)
                continue
            around = Around(
                self.air_c,
                MEAT_W_M2K * warm,
                MEAT_CONVECTION_W_M2K,
                vapour + 2000.0,  # wood and drippings add to what the air brings
                meat.piece.skin * moist,
            )
            taken += meat.step(around, self._step_s)
        return taken

    def _truth(self, probe: SimulatedProbe, outside: Outside) -> float:
        if probe.sees == "pit":
            return self.air_c
        if probe.sees == "air":
            return outside.air_c
        meat = self._meats[probe.piece]
        return at_depth(meat.body, meat.state, probe.place)

    def _read(self, hands: Hands) -> list[Reading]:
        readings = []
        for n, probe in enumerate(self._probes):
            value = self._felt[n] + probe.offset_c + self._random.gauss(0.0, probe.noise_c)
            if probe.quantum_c > 0:
                value = round(round(value / probe.quantum_c) * probe.quantum_c, 4)
            if probe.channel not in hands.silent:
                readings.append(Reading(self.at_s, probe.channel, value))
        return readings
