"""How a piece of meat warms in a pit: conduction inside, convection and radiation outside, and the
water that is squeezed out of it and evaporates.

One piece is a body of half thickness or radius R whose cross-section grows outwards as r^(E-1): E is
1 for a slab, 2 for a long cylinder, 3 for a sphere, and 1 + 1/b1 + 1/b2 for a brick of half sizes R,
b1 R, b2 R (equivalent dimensionality, ASHRAE Handbook Refrigeration 2010, ch. 20). Many pieces with
other numbers, the members, are computed side by side: arrays are (cells, members) or (members,).

The equations, and why:

- Heat is conducted between cells by an implicit step (backward Euler) that keeps its energy: what
  comes in through the surface is what is stored, for any length of the step.
- At the surface h (Te - Ts) = q + L_v J: what the air gives either goes in or evaporates water. J of a
  wet surface follows Lewis' analogy with Stefan's correction, 64.3 Pa/K being the psychrometric
  constant times pressure; it gives the wet-bulb temperature for a surface that stays wet.
- The plateau ("stall") is this balance and not the heat of denaturing (Findlay and Stanley 1984: 3 to 4 J/g):
  meat holds less water the warmer it is (water-holding curve of van der Sman 2007, from memory), what it
  lets go reaches the surface with a lag, and evaporates as fast as it comes.
- Under a drying crust, water comes by diffusion only: a rate that falls as 1/sqrt(time).
- A body that loses a third of its water stores less heat and gets thinner.

The store of water on the surface is solved implicitly (a quadratic): an explicit step that is clipped
at zero makes water out of nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Self

import numpy as np
from numpy.typing import NDArray

from smokejournal.science.numbers.refusals import refuses

FloatArray = NDArray[np.float64]

LATENT_J_KG = 2.33e6  #: of water at 60 to 70 °C
PSYCHROMETRIC_PA_K = 64.3
PRESSURE_PA = 101_325.0
MEAT_KG_M3 = 1040.0
CONDUCTIVITY_W_MK = 0.48
DIFFUSIVITY_M2_S = 1.32e-7
#: A film of this much water covers half of the surface.
HALF_WET_KG_M2 = 0.02
MOST_WET_KG_M2 = 0.15  #: more runs off
CRUST_KG_M2 = 0.05  #: a crust that has lost as much begins to resist

_WIDTHS = np.array([1.7, 1.6, 1.4, 1.15, 0.9, 0.65, 0.4, 0.2])
FACES: FloatArray = np.concatenate([[0.0], np.cumsum(_WIDTHS) / _WIDTHS.sum()])
NODES: FloatArray = (FACES[1:] + FACES[:-1]) / 2
CELLS = len(NODES)
_GAPS = np.diff(NODES)[:, None]

_HOLD_COLD = 0.745
_HOLD_FALL = 0.345
_MOIST_COLD = _HOLD_COLD / (1 - _HOLD_COLD)
_MOIST_HOT = (_HOLD_COLD - _HOLD_FALL) / (1 - _HOLD_COLD + _HOLD_FALL)
_LOG_30 = float(np.log(30.0))


@dataclass(frozen=True, slots=True)
class Bodies:
    """What each member is, every array of shape (members,).

    radius_m; shape E; h_w_m2k, convection and radiation together; mass_share, the part of h that
    carries vapour (convection times the wetness of skin); vapour_pa of the pit's air; supply, kg of
    water per kg of meat that comes to the surface; crust_kg_m2s, what diffuses through the crust
    after one hour; loss, share of mass that is let go in all; lag_s of letting go; wet_kg_m2 on the
    surface at the start; hold_shift_k of the water-holding curve; diffusivity_factor; start_c.
    """

    radius_m: FloatArray
    shape: FloatArray
    h_w_m2k: FloatArray
    mass_share: FloatArray
    vapour_pa: FloatArray
    supply: FloatArray
    crust_kg_m2s: FloatArray
    loss: FloatArray
    lag_s: FloatArray
    wet_kg_m2: FloatArray
    hold_shift_k: FloatArray
    diffusivity_factor: FloatArray
    start_c: FloatArray

    def pick(self, members: NDArray[np.intp]) -> Self:
        """These members only, in this order, and as often as they are named."""
        return type(self)(*(getattr(self, f.name)[members] for f in fields(self)))


@refuses()
def let_go(meat_c: FloatArray, shift_k: FloatArray | float = 0.0) -> FloatArray:
    """Share (0 to 1) of the water that meat lets go in the end, of what it ever does, at `meat_c`.

    y = 0.745 - 0.345 / (1 + 30 exp(-0.25 (T - 52))) kg/kg, as dry-basis water y / (1 - y). Source:
    van der Sman, Meat Science 76 (2007), from memory.
    """
    return _let_go(meat_c, shift_k)


def _let_go(meat_c: FloatArray, shift_k: FloatArray | float) -> FloatArray:
    """`let_go` for every step: nothing is looked at."""
    y = _HOLD_COLD - _HOLD_FALL / (1.0 + np.exp(_LOG_30 - 0.25 * (meat_c - 52.0 - shift_k)))
    return np.asarray((_MOIST_COLD - y / (1.0 - y)) / (_MOIST_COLD - _MOIST_HOT))


class Heating:
    """The state of all members, and how it goes on.

    >>> pieces = Heating(bodies)
    >>> pieces.step(air_c=110.0, dt_s=60.0)
    >>> pieces.at(depth)

    `conductive_only`: no water, properties that do not change: what the exact series describe.
    """

    def __init__(self, bodies: Bodies, conductive_only: bool = False) -> None:
        self.bodies = bodies
        self.age_s: FloatArray | float = 0.0
        self._dry = conductive_only
        b = bodies
        root = np.sqrt(b.diffusivity_factor)
        self._k0 = CONDUCTIVITY_W_MK * root
        self._c0 = CONDUCTIVITY_W_MK / DIFFUSIVITY_M2_S / root
        grown = FACES[:, None] ** b.shape
        #: Volume of each cell for one m² of surface, m; they add up to R / E.
        self.volumes_m = b.radius_m * np.diff(grown, axis=0) / b.shape
        self._shares = np.diff(grown, axis=0)
        self._conductance = FACES[1:-1, None] ** (b.shape - 1.0) / (b.radius_m * _GAPS)
        self._skin = 1.0 / (b.radius_m * (1.0 - NODES[-1]))
        self._volume_m = b.radius_m / b.shape
        members = b.radius_m.shape[0]
        self.temperature_c = np.repeat(b.start_c[None, :], CELLS, axis=0)
        self.surface_c = b.start_c.copy()
        self._due = np.zeros((CELLS, members))
        self.released = np.zeros((CELLS, members))
        self.film_kg_m2 = b.wet_kg_m2.copy()
        # What the outermost layer gives at once counts as film and does not run off.
        self._holds_kg_m2 = np.maximum(MOST_WET_KG_M2, b.wet_kg_m2)
        self.evaporated_kg_m2 = np.zeros(members)
        self.from_crust_kg_m2 = np.zeros(members)
        self.supplied_kg_m2 = np.zeros(members)
        self.dripped_kg_m2 = np.zeros(members)
        self.heat_in_j_m2 = np.zeros(members)
        self.stored_j_m2 = np.zeros(members)
        self._diagonal = np.empty((CELLS, members))
        self._right = np.empty((CELLS, members))

    def pick(self, members: NDArray[np.intp]) -> Heating:
        """The state of these members only, as often as they are named."""
        new = Heating(self.bodies.pick(members), self._dry)
        new.age_s = self.age_s
        for name in ("temperature_c", "_due", "released"):
            setattr(new, name, getattr(self, name)[:, members])
        for name in (
            "surface_c",
            "film_kg_m2",
            "evaporated_kg_m2",
            "from_crust_kg_m2",
            "supplied_kg_m2",
            "dripped_kg_m2",
            "heat_in_j_m2",
            "stored_j_m2",
        ):
            setattr(new, name, getattr(self, name)[members])
        return new

    def at(self, weights: FloatArray) -> FloatArray:
        """The temperature that a probe shows, (members,); `weights` from `probe_weights`."""
        inside = np.einsum("ij,ij->j", weights[:CELLS], self.temperature_c)
        return np.asarray(inside + weights[CELLS] * self.surface_c)

    def mean_c(self) -> FloatArray:
        """The mean over the volume, (members,)."""
        return np.asarray(np.einsum("ij,ij->j", self._shares, self.temperature_c))

    def step(
        self,
        air_c: FloatArray | float,
        dt_s: FloatArray | float,
        h_factor: FloatArray | float = 1.0,
        wet_factor: FloatArray | float = 1.0,
    ) -> None:
        """Go on by `dt_s` with the air at `air_c` (mean over the step), both (members,) or one for all.

        `h_factor` and `wet_factor` change heat transfer and evaporation: a wrap, or the rest.
        """
        b = self.bodies
        temperature = self.temperature_c
        surface = self.surface_c
        if self._dry:
            shrunk: FloatArray | float = 1.0
            area: FloatArray | float = 1.0
            conducts = np.broadcast_to(self._k0, temperature.shape)
            heat = self._c0 * self.volumes_m / dt_s
            h = b.h_w_m2k * h_factor
            evaporating: FloatArray | float = 0.0
            slope: FloatArray | float = 0.0
            film_flow: FloatArray | float = 0.0
            film_slope: FloatArray | float = 0.0
            supplied: FloatArray | float = 0.0
        else:
            supplied = self._let_water_go(dt_s)
            lost = b.loss * np.einsum("ij,ij->j", self._shares, self.released)
            shrunk = (1.0 - 0.8 * lost) ** (1.0 / b.shape)
            area = shrunk ** (b.shape - 1.0)
            dried = b.loss * self.released
            conducts = self._k0 * (1.0 + 0.002 * (temperature - 45.0)) * (1.0 - 0.44 * dried)
            heat = self._c0 * (1.0 - 1.2 * dried) * self.volumes_m / dt_s
            h = b.h_w_m2k * h_factor * (1.0 + 0.002 * (surface - 70.0))
            evaporating, slope, film_flow, film_slope = self._evaporation(
                h, wet_factor, supplied, area, dt_s
            )
        gap = 0.5 * (conducts[1:] + conducts[:-1]) * self._conductance * (area / shrunk)
        skin = conducts[-1] * self._skin / shrunk
        # The surface has no mass: its balance is eliminated. J is taken as straight around Ts.
        latent = LATENT_J_KG * slope
        gives = h * air_c - LATENT_J_KG * evaporating + latent * surface
        takes = h + latent
        whole = takes + skin
        diagonal, right = self._diagonal, self._right
        np.multiply(heat, temperature, out=right)
        diagonal[:] = heat
        diagonal[:-1] += gap
        diagonal[1:] += gap
        diagonal[-1] += area * skin * takes / whole
        right[-1] += area * skin * gives / whole
        for i in range(1, CELLS):
            ratio = gap[i - 1] / diagonal[i - 1]
            diagonal[i] -= ratio * gap[i - 1]
            right[i] += ratio * right[i - 1]
        after = np.empty_like(temperature)
        after[-1] = right[-1] / diagonal[-1]
        for i in range(CELLS - 2, -1, -1):
            after[i] = (right[i] + gap[i] * after[i + 1]) / diagonal[i]
        ends = (gives + skin * after[-1]) / whole
        moved = ends - surface
        self.heat_in_j_m2 += area * h * (air_c - ends) * dt_s
        self.stored_j_m2 += dt_s * np.einsum("ij,ij->j", heat, after - temperature)
        if not self._dry:
            gone = area * dt_s * (evaporating + slope * moved)
            from_film = area * dt_s * (film_flow + film_slope * moved)
            self.evaporated_kg_m2 += gone
            self.from_crust_kg_m2 += gone - from_film
            film = self.film_kg_m2 + supplied - from_film
            over = np.maximum(film - self._holds_kg_m2, 0.0)
            self.dripped_kg_m2 += over
            self.film_kg_m2 = film - over
        self.temperature_c = after
        self.surface_c = ends
        self.age_s = self.age_s + dt_s

    def _let_water_go(self, dt_s: FloatArray | float) -> FloatArray:
        """What comes to the surface in this step, kg/m²."""
        b = self.bodies
        np.maximum(self._due, _let_go(self.temperature_c, b.hold_shift_k), out=self._due)
        freed = (self._due - self.released) * (dt_s / (b.lag_s + dt_s))
        self.released += freed
        supplied = (
            b.supply * MEAT_KG_M3 * self._volume_m * np.einsum("ij,ij->j", self._shares, freed)
        )
        self.supplied_kg_m2 += supplied
        return np.asarray(supplied)

    def _evaporation(
        self,
        h: FloatArray,
        wet_factor: FloatArray | float,
        supplied: FloatArray | float,
        area: FloatArray | float,
        dt_s: FloatArray | float,
    ) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
        """J at the present surface temperature, its slope, and the part of both from the film."""
        b = self.bodies
        # Beyond 97 °C the surface can't be wet at sea level; the curve goes on straight from there.
        surface = np.minimum(self.surface_c, 97.0)
        saturated = 610.94 * np.exp(17.625 * surface / (surface + 243.04))
        steep = saturated * (17.625 * 243.04) / (surface + 243.04) ** 2
        scale = wet_factor * b.mass_share * h * (PRESSURE_PA / (PSYCHROMETRIC_PA_K * LATENT_J_KG))
        room = PRESSURE_PA - saturated
        slope_wet = scale * steep / room
        wet = scale * np.log((PRESSURE_PA - b.vapour_pa) / room)
        wet += slope_wet * (self.surface_c - surface)
        # The film at the end of the step: w + dt J w / (w + half) = what there is to spend.
        spend = self.film_kg_m2 + supplied
        linear = HALF_WET_KG_M2 + area * dt_s * wet - spend
        film = 0.5 * (np.sqrt(linear * linear + 4 * HALF_WET_KG_M2 * np.maximum(spend, 0)) - linear)
        film = np.maximum(film, 0.0)
        covered = np.where(wet > 0.0, film / (film + HALF_WET_KG_M2), 1.0)
        bare = (1.0 - covered) * np.maximum(wet, 0.0)
        # The crust resists the more, the more has dried: by itself this is k / sqrt(time in hours).
        crust = wet_factor * 7200.0 * b.crust_kg_m2s**2 / (self.from_crust_kg_m2 + CRUST_KG_M2)
        part = crust / (bare + crust + 1e-30)
        film_flow = covered * wet
        film_slope = covered * slope_wet
        return (
            film_flow + bare * part,
            film_slope + (1.0 - covered) * slope_wet * part * part,
            film_flow,
            film_slope,
        )


@refuses()
def probe_weights(depth: FloatArray) -> FloatArray:
    """Shares of the cells (and, last, of the surface) in what a probe shows, (cells + 1, members).

    `depth` is r / R of the sensing place, (members,): 0 in the middle, 1 on the surface. Straight
    between nodes; a parabola with its top in the middle inside the innermost one.
    """
    places = np.concatenate([NODES, [1.0]])
    at = np.clip(np.abs(depth), 0.0, 1.0)
    right = np.clip(np.searchsorted(places, at), 1, CELLS)
    low, high = places[right - 1], places[right]
    share = np.where(
        at < NODES[0], (at**2 - low**2) / (high**2 - low**2), (at - low) / (high - low)
    )
    weights = np.zeros((CELLS + 1, len(at)))
    members = np.arange(len(at))
    weights[right - 1, members] = 1.0 - share
    weights[right, members] += share
    return weights
