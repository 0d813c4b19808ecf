"""Heat in a piece of meat, step by step: conduction inside, air and evaporation at its surface.

One dimension (from the middle to the surface of a slab, a long cylinder or a sphere), cut into cells
that keep account of their heat, so that nothing is gained or lost at any step size. Properties are
constant. The surface is heated by the air and by radiation, taken together as one coefficient, and
cooled by the water that leaves it; water leaves only as long as there is some. `conduction_series`
has the exact answers for a dry surface.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from smokejournal.science.air.wetbulb import (
    EVAPORATION_HEAT_J_KG,
    PSYCHROMETRIC_PA_K,
    SEA_LEVEL_PA,
    saturation_pa,
)
from smokejournal.science.heat.conduction_series import Shape
from smokejournal.science.numbers.refusals import NOT_BELOW_ZERO, NUMBER, PARTS, Parts, refuses
from smokejournal.science.numbers.units import ZERO_C_IN_K

FloatArray = NDArray[np.float64]

#: Water film [kg/m2] below which the surface falls dry in patches: half of it evaporates at half the
#: rate of a wet surface. Twenty micrometers; a guess of the right size.
PATCHY_FILM_KG_M2 = 0.02

_DIMENSIONS: dict[str, int] = {"slab": 1, "cylinder": 2, "sphere": 3}


@dataclass(frozen=True, slots=True)
class Body:
    """A body that is heated from all round (a slab: from both sides).

    `radius_m` is the radius, of a slab half the thickness. Areas and heats below are per square
    meter of surface.
    """

    shape: Shape
    radius_m: float
    conductivity_w_mk: float = 0.48
    heat_capacity_j_m3k: float = 3.6e6
    cells: int = 24

    def __post_init__(self) -> None:
        if self.shape not in _DIMENSIONS:
            raise ValueError("a body is a slab, a cylinder or a sphere")
        PARTS.check("body", self)
        if self.cells < 2:
            raise ValueError("a body has at least two cells")

    @property
    def volume_per_area_m(self) -> float:
        """Volume per square meter of surface [m]."""
        return self.radius_m / _DIMENSIONS[self.shape]


@dataclass(frozen=True, slots=True)
class Around:
    """What surrounds the surface: air at `air_c` holding vapour of `vapour_pa`.

    `transfer_w_m2k` is convection and radiation together, `convection_w_m2k` the part of it that
    carries vapour too. `skin` is the share of a free water surface's evaporation that comes through
    (1 open, 0 tight).
    """

    air_c: float
    transfer_w_m2k: float
    convection_w_m2k: float = 0.0
    vapour_pa: float = 2000.0
    skin: float = 1.0


@dataclass(frozen=True, slots=True)
class Heated:
    """A body's state: cell temperatures from the middle outwards, shape (cells,); the surface's own;
    and the water that lies on it."""

    temperature_c: FloatArray
    surface_c: float
    water_kg_m2: float = 0.0


@dataclass(frozen=True, slots=True)
class Flows:
    """What crossed the surface in one step, each per square meter."""

    heat_in_j_m2: float
    """From air and walls, before evaporation took its part."""
    stored_j_m2: float
    evaporated_kg_m2: float
    """Negative: condensed."""


_AROUND = Parts(vapour_pa=NOT_BELOW_ZERO)


@lru_cache(maxsize=64)
def grid(body: Body) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Faces [m] of shape (cells + 1,), centers [m] and volumes per surface area [m], both (cells,).

    Cells get narrower toward the surface, where the temperature bends most.
    """
    even = np.linspace(0.0, 1.0, body.cells + 1)
    faces = body.radius_m * (1.0 - (1.0 - even) ** 1.5)
    power = _DIMENSIONS[body.shape]
    volumes = np.diff(faces**power) / (power * body.radius_m ** (power - 1))
    return faces, 0.5 * (faces[1:] + faces[:-1]), volumes


@lru_cache(maxsize=128)
def _step_matrix(body: Body, step_s: float) -> tuple[FloatArray, FloatArray, FloatArray, float]:
    """For one implicit step: the matrix that takes old to new without surface flux, the response of
    the cells to a flux of 1 W/m2, heat capacities [J/m2 K], and the resistance of the outer half
    cell [m2 K/W]."""
    faces, centers, volumes = grid(body)
    power = _DIMENSIONS[body.shape]
    areas = (faces[1:-1] / body.radius_m) ** (power - 1)
    conductances = body.conductivity_w_mk * areas / np.diff(centers)
    capacities = body.heat_capacity_j_m3k * volumes
    matrix = np.diag(capacities / step_s)
    for n, conductance in enumerate(conductances):
        matrix[n, n] += conductance
        matrix[n + 1, n + 1] += conductance
        matrix[n, n + 1] -= conductance
        matrix[n + 1, n] -= conductance
    inverse = np.linalg.inv(matrix)
    resistance = float((body.radius_m - centers[-1]) / body.conductivity_w_mk)
    onward: FloatArray = inverse * (capacities / step_s)
    return onward, inverse[:, -1].astype(np.float64), capacities, resistance


@refuses()
def even(body: Body, temperature_c: float, water_kg_m2: float = 0.0) -> Heated:
    """A body that is equally warm throughout, with water on its surface."""
    return Heated(np.full(body.cells, float(temperature_c)), float(temperature_c), water_kg_m2)


@refuses(before=PARTS, around=_AROUND, supplied_kg_m2=NUMBER)
def step(
    body: Body, before: Heated, around: Around, step_s: float, supplied_kg_m2: float = 0.0
) -> tuple[Heated, Flows]:
    """The body after `step_s`, and what crossed its surface.

    Implicit in time (backward Euler), so any step is stable; its error falls with the step.
    `supplied_kg_m2` is water that comes out of the meat during the step. It never evaporates more
    water than lies there, and heat in equals heat stored plus heat of evaporation to rounding.

    Raises ValueError for a step that is not above zero or a state of another body.
    """
    if not step_s > 0:
        raise ValueError("a step takes time")
    if before.temperature_c.shape != (body.cells,):
        raise ValueError("this state belongs to another body")
    onward, response, capacities, resistance = _step_matrix(body, step_s)
    still = onward @ before.temperature_c
    # The outer cell ends at a + b q for a flux q into the meat, and the surface at a + (b + r) q.
    a, slope = float(still[-1]), float(response[-1]) + resistance
    water = before.water_kg_m2 + supplied_kg_m2
    surface, loss = _surface(around, a, slope, water, step_s, before.surface_c)
    heat_in = around.transfer_w_m2k * (around.air_c - surface)
    flux = heat_in - EVAPORATION_HEAT_J_KG * loss
    after = still + response * flux
    stored = float(capacities @ (after - before.temperature_c))
    left = max(0.0, water - loss * step_s)
    return Heated(after, a + slope * flux, left), Flows(heat_in * step_s, stored, loss * step_s)


def _loss(around: Around, surface_c: float, water: float, step_s: float) -> tuple[float, float]:
    """Water leaving [kg/m2 s] by the end of the step, and how it grows with the surface's warmth.

    The store is solved for its end: w' = w - dt J w'/(w' + film). So it never falls below nothing.
    """
    scale = around.convection_w_m2k * around.skin
    if scale <= 0.0:
        return 0.0, 0.0
    scale *= SEA_LEVEL_PA / (PSYCHROMETRIC_PA_K * EVAPORATION_HEAT_J_KG)
    ceiling = 0.999 * SEA_LEVEL_PA
    at_surface = saturation_pa(min(max(surface_c, -70.0), 100.0))
    rising = 0.0
    if at_surface < ceiling:
        # Clausius and Clapeyron, good enough for the slope that Newton's method asks for.
        rising = 5270.0 / (surface_c + ZERO_C_IN_K) ** 2 * at_surface
    else:
        at_surface = ceiling
    room = SEA_LEVEL_PA - at_surface
    free = scale * math.log((SEA_LEVEL_PA - min(around.vapour_pa, ceiling)) / room)
    free_rising = scale * rising / room
    if free <= 0.0:
        return free, free_rising
    film = PATCHY_FILM_KG_M2
    half = 0.5 * (film + step_s * free - water)
    root = math.sqrt(half * half + film * water)
    end = film * water / (root + half) if half > 0 else root - half
    wet = end / (end + film)
    drying = step_s * free * film / (end + film) ** 2
    return min(free * wet, water / step_s), free_rising * wet / (1.0 + drying)


def _surface(
    around: Around, a: float, slope: float, water: float, step_s: float, guess: float
) -> tuple[float, float]:
    """Surface temperature [°C] at which all heat is accounted for, and the water leaving then.

    Heat in falls and everything taken up rises with the surface's warmth, so there is one answer;
    Newton's method finds it, kept between bounds that close in.
    """
    low = min(a, around.air_c) - 80.0
    high = max(a, around.air_c, guess) + 80.0
    surface = min(max(guess, low), high)
    loss = 0.0
    for _ in range(60):
        loss, rising = _loss(around, surface, water, step_s)
        excess = (
            around.transfer_w_m2k * (around.air_c - surface)
            - EVAPORATION_HEAT_J_KG * loss
            - (surface - a) / slope
        )
        if excess > 0:
            low = surface
        else:
            high = surface
        gradient = around.transfer_w_m2k + EVAPORATION_HEAT_J_KG * rising + 1.0 / slope
        following = surface + excess / gradient
        if not low <= following <= high:
            following = 0.5 * (low + high)
        if abs(following - surface) < 1e-9:
            break
        surface = following
    return surface, loss


@lru_cache(maxsize=64)
def _nodes(body: Body) -> tuple[float, ...]:
    """Where temperatures are known [m]: the centers of the cells and the surface."""
    return (*grid(body)[1].tolist(), body.radius_m)


@refuses(state=PARTS)
def at_depth(body: Body, state: Heated, place: float) -> float:
    """Temperature [°C] at `place`: 0 in the middle, 1 at the surface. Straight between cells."""
    nodes = _nodes(body)
    wanted = min(max(place, 0.0), 1.0) * body.radius_m
    above = bisect_left(nodes, wanted)
    if above == 0:
        return float(state.temperature_c[0])
    upper = state.surface_c if above == body.cells else float(state.temperature_c[above])
    lower = float(state.temperature_c[above - 1])
    share = (wanted - nodes[above - 1]) / (nodes[above] - nodes[above - 1])
    return lower + share * (upper - lower)


@refuses(state=PARTS)
def mean_c(body: Body, state: Heated) -> float:
    """Mean temperature [°C] over the volume: what the body comes to when it is insulated."""
    _, _, volumes = grid(body)
    return float(volumes @ state.temperature_c / volumes.sum())
