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
from itertools import pairwise
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
#: Cells are kept in pairs from both ends inwards (innermost, outermost, next to the innermost, ...), so that
#: the inner neighbor of row j is row j + 2, and the last two rows are neighbors in the middle.
_ORDER = np.array([n for k in range(CELLS // 2) for n in (k, CELLS - 1 - k)])
_OUTERMOST = 1
#: The face between a row and its inner neighbor; last, the one in the middle.
_BETWEEN = np.array([n for k in range(CELLS // 2) for n in (k, CELLS - 2 - k)])[: CELLS - 1]

_HOLD_COLD = 0.745
_HOLD_FALL = 0.345
_HOLD_PER_K = 0.25
_HOLD_C = 52.0
#: Of y / (1 - y) between its two ends what is left of the curve is one logistic function, exactly.
_LET_GO_LOG = float(np.log(30.0 * (1.0 - _HOLD_COLD) / (1.0 - _HOLD_COLD + _HOLD_FALL)))

# numpy takes an array without dimensions twice as fast as a float: what every step needs is kept so.
_ZERO, _HALF, _ONE = np.array(0.0), np.array(0.5), np.array(1.0)
_TINY = np.array(1e-30)
_LATENT = np.array(LATENT_J_KG)
_HALF_WET, _CRUST = np.array(HALF_WET_KG_M2), np.array(CRUST_KG_M2)
_LET_GO_PER_K = np.array(-_HOLD_PER_K)
#: Beyond 97 °C the surface can't be wet at sea level; the curve goes on straight from there.
_BOILS_C = np.array(97.0)
# The Magnus formula 610.94 exp(17.625 t / (t + 243.04)) Pa is PRESSURE_PA exp(log - fall / (t + shift)).
_MAGNUS_SHIFT_C = np.array(243.04)
_MAGNUS_FALL = np.array(17.625 * 243.04)
_MAGNUS_LOG = np.array(17.625 + np.log(610.94 / PRESSURE_PA))
_CELLS_ADDED, _PLACES_ADDED = np.ones(CELLS), np.ones(CELLS + 1)


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
    return np.asarray(1.0 / (1.0 + np.exp(_let_go_from(shift_k) - _HOLD_PER_K * meat_c)))


def _let_go_from(shift_k: FloatArray | float) -> FloatArray | float:
    """The exponent of `let_go` at 0 °C."""
    return _LET_GO_LOG + _HOLD_PER_K * (_HOLD_C + shift_k)


#: What a piece remembers from step to step, each (cells, members) or (members,).
_STATE = ("places_c", "released", "film_kg_m2", "from_crust_kg_m2", "_due", "_mean_released")
_ACCOUNTS = (
    "heat_in_j_m2",
    "stored_j_m2",
    "evaporated_kg_m2",
    "supplied_kg_m2",
    "dripped_kg_m2",
)


class Heating:
    """The state of all members, and how it goes on.

    >>> pieces = Heating(bodies)
    >>> pieces.step(air_c=110.0, dt_s=60.0)
    >>> pieces.at(depth)

    `places_c` are the temperatures of the cells and, last, of the surface, (cells + 1, members), as
    `probe_weights` orders them. `conductive_only`: no water, properties that do not change: what the
    exact series describe. `accounts`: heat and water are added up, so that their balance can be seen.

    A forecast takes thousands of steps with few members, so that a step costs what its calls of numpy
    cost, and they cost least where all arrays have one shape and are there already. So what stays the
    same is worked out once, in full shape, and every step writes into the same arrays, these included:
    who wants to keep a temperature copies it.
    """

    def __init__(
        self, bodies: Bodies, conductive_only: bool = False, accounts: bool = False
    ) -> None:
        self.bodies = bodies
        self._dry = conductive_only
        self._accounts = accounts
        members = bodies.radius_m.shape[0]
        self.places_c = np.repeat(bodies.start_c[None, :], CELLS + 1, axis=0)
        self.surface_c = self.places_c[CELLS]
        self._due = np.zeros((CELLS, members))
        self.released = np.zeros((CELLS, members))
        self._mean_released = np.zeros(members)  # over the volume
        self.film_kg_m2 = bodies.wet_kg_m2.copy()
        self.from_crust_kg_m2 = np.zeros(members)
        self.heat_in_j_m2 = np.zeros(members)
        self.stored_j_m2 = np.zeros(members)
        self.evaporated_kg_m2 = np.zeros(members)
        self.supplied_kg_m2 = np.zeros(members)
        self.dripped_kg_m2 = np.zeros(members)
        self._set_constants(bodies)
        self._set_buffers(members)

    def _set_constants(self, b: Bodies) -> None:
        """What the equations have of each member that never changes."""

        def full(of_members: FloatArray) -> FloatArray:
            return np.repeat(of_members[None, :], CELLS, axis=0)

        root = np.sqrt(b.diffusivity_factor)
        k0 = CONDUCTIVITY_W_MK * root
        c0 = CONDUCTIVITY_W_MK / DIFFUSIVITY_M2_S / root
        self._shares = np.diff(FACES[:, None] ** b.shape, axis=0)[_ORDER]
        volume_m = b.radius_m / b.shape  # for one m² of surface
        # Conductivity is k0 (1 + 0.002 (T - 45)) (1 - 0.44 dried), stored heat c0 (1 - 1.2 dried).
        self._k0 = full(k0)
        self._k_per_k = full(0.002 * k0)
        self._k_at_0 = full((1.0 - 0.002 * 45.0) * k0)
        self._k_dried = full(-0.44 * b.loss)
        self._heat = c0 * volume_m * self._shares
        self._heat_dried = -1.2 * b.loss * self._heat
        # Half of it, since it is multiplied by the sum of two conductivities.
        faces, gaps = FACES[1:-1], np.diff(NODES)
        conductance = 0.5 * faces[:, None] ** (b.shape - 1.0) / (b.radius_m * gaps[:, None])
        self._conductance = conductance[_BETWEEN]
        self._skin = 1.0 / (b.radius_m * (1.0 - NODES[-1]))
        # Mass lost thins the body by a power of the volume that is left; so does it the area.
        self._thins = -0.8 * b.loss
        self._radius_power = 1.0 / b.shape
        # h is that of the body times 1 + 0.002 (Ts - 70).
        self._h_per_k = 0.002 * b.h_w_m2k
        self._h_at_0 = (1.0 - 0.002 * 70.0) * b.h_w_m2k
        self._carries = b.mass_share * (PRESSURE_PA / (PSYCHROMETRIC_PA_K * LATENT_J_KG))
        self._log_dry_air = np.log(1.0 - b.vapour_pa / PRESSURE_PA)
        self._let_go_from = full(np.asarray(_let_go_from(b.hold_shift_k)))
        self._supply_kg_m2 = b.supply * MEAT_KG_M3 * volume_m
        # The crust resists the more, the more has dried: by itself this is k / sqrt(time in hours).
        self._crust = 7200.0 * b.crust_kg_m2s**2
        # What the outermost layer gives at once counts as film and does not run off.
        self._holds_kg_m2 = np.maximum(MOST_WET_KG_M2, b.wet_kg_m2)

    def _set_buffers(self, members: int) -> None:
        """The arrays that every step writes into, and views of them."""
        cells = self._cells_c = self.places_c[:CELLS]
        self._work = np.empty((CELLS, members))
        self._conducts = np.empty((CELLS, members))
        diagonal = self._diagonal = np.empty((CELLS, members))
        gap = self._gap = np.empty((CELLS - 1, members))
        ratio = self._ratio = np.empty((CELLS - 1, members))
        self._rows = tuple(np.empty((12, members)))
        #: The area, the area by the radius, and one by the radius, of what they were.
        self._shrunk = np.ones((3, members))
        self._lengths = tuple(self._shrunk)
        #: J at the present surface temperature and its slope: of a wet surface, from the film, through
        #: the crust.
        self._wet, self._film, self._bare = np.zeros((3, 2, members))
        self._flows = np.empty((2, members))
        self._pair = np.empty((2, members))
        pairs = [slice(n, n + 2) for n in range(0, CELLS, 2)]
        #: Of each pair but the last: gap, ratio, and diagonal and right side of itself and the next inwards.
        self._inwards = [
            (gap[at], ratio[at], diagonal[at], cells[at], diagonal[inner], cells[inner])
            for at, inner in pairwise(pairs)
        ]

    def pick(self, members: NDArray[np.intp]) -> Heating:
        """The state of these members only, as often as they are named."""
        new = Heating(self.bodies.pick(members), self._dry, self._accounts)
        for name in (*_STATE, *_ACCOUNTS):
            getattr(new, name)[...] = getattr(self, name)[..., members]
        return new

    def at(self, weights: FloatArray) -> FloatArray:
        """The temperature that a probe shows, (members,); `weights` from `probe_weights`."""
        return np.asarray(_PLACES_ADDED.dot(weights * self.places_c))

    def mean_c(self) -> FloatArray:
        """The mean over the volume, (members,)."""
        return np.asarray(_CELLS_ADDED.dot(np.multiply(self._shares, self._cells_c, self._work)))

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
        cells, surface, work = self._cells_c, self.surface_c, self._work
        conducts, heat, gap = self._conducts, self._diagonal, self._gap
        h, skin, gives, takes, whole, into, area_dt, spend, ends, moved, row, _ = self._rows
        area, area_by_radius, by_radius = self._lengths
        # Each row is multiplied by the length of the step: `heat` and the diagonal are J/(m² K).
        if self._dry:
            conducts[:] = self._k0
            heat[:] = self._heat
            np.multiply(self.bodies.h_w_m2k, h_factor, h)
            area_dt[:] = dt_s
            np.multiply(h, air_c, gives)
            takes[:] = h
        else:
            self._let_water_go(dt_s, spend)
            self._shrink()
            np.multiply(cells, self._k_per_k, conducts)
            np.add(conducts, self._k_at_0, conducts)
            np.multiply(self.released, self._k_dried, work)
            np.add(work, _ONE, work)
            np.multiply(conducts, work, conducts)
            np.multiply(self.released, self._heat_dried, heat)
            np.add(heat, self._heat, heat)
            np.multiply(surface, self._h_per_k, h)
            np.add(h, self._h_at_0, h)
            np.multiply(h, h_factor, h)
            np.multiply(area, dt_s, area_dt)
            self._evaporate(h, wet_factor, spend, area_dt)
            # The surface has no mass: its balance is eliminated. J is taken as straight around Ts.
            flows = np.add(self._film, self._bare, self._flows)
            np.multiply(flows, _LATENT, flows)
            np.multiply(h, air_c, gives)
            np.subtract(gives, flows[0], gives)
            np.multiply(flows[1], surface, row)
            np.add(gives, row, gives)
            np.add(h, flows[1], takes)
        np.add(conducts[:-2], conducts[2:], gap[:-1])
        np.add(conducts[-2], conducts[-1], gap[-1])
        np.multiply(gap, self._conductance, gap)
        np.multiply(area_by_radius, dt_s, row)
        np.multiply(gap, row, gap)
        np.multiply(conducts[_OUTERMOST], self._skin, skin)
        np.multiply(skin, by_radius, skin)
        np.add(takes, skin, whole)
        np.multiply(area_dt, skin, into)
        np.divide(into, whole, into)
        if self._accounts:
            stores, before = heat.copy(), cells.copy()
        # The right side is built where the temperatures are.
        np.multiply(cells, heat, cells)
        np.multiply(into, gives, row)
        np.add(cells[_OUTERMOST], row, cells[_OUTERMOST])
        diagonal = heat
        np.add(diagonal[:-2], gap[:-1], diagonal[:-2])
        np.add(diagonal[2:], gap[:-1], diagonal[2:])
        np.add(diagonal[-2], gap[-1], diagonal[-2])
        np.add(diagonal[-1], gap[-1], diagonal[-1])
        np.multiply(into, takes, row)
        np.add(diagonal[_OUTERMOST], row, diagonal[_OUTERMOST])
        self._solve()
        np.multiply(skin, cells[_OUTERMOST], ends)
        np.add(ends, gives, ends)
        np.divide(ends, whole, ends)
        np.subtract(ends, surface, moved)
        surface[:] = ends
        if self._accounts:
            self.heat_in_j_m2 += area_dt * h * (air_c - ends)
            self.stored_j_m2 += (stores * (cells - before)).sum(axis=0)
        if not self._dry:
            self._dry_up(spend, moved, area_dt)

    def _solve(self) -> None:
        """From the right sides that stand in `places_c` to the temperatures at the end of the step.

        A cell is coupled to its neighbors only, so that rows are eliminated from both ends at once.
        """
        cells, diagonal, pair, row = self._cells_c, self._diagonal, self._pair, self._rows[-1]
        for gap, ratio, outer, right, inner, inner_right in self._inwards:
            np.divide(gap, outer, ratio)
            np.multiply(ratio, gap, pair)
            np.subtract(inner, pair, inner)
            np.multiply(ratio, right, pair)
            np.add(inner_right, pair, inner_right)
        gap, ratio = self._gap[-1], self._ratio[-1]
        one, other = cells[-2], cells[-1]
        np.divide(gap, diagonal[-2], ratio)
        np.multiply(ratio, gap, row)
        np.subtract(diagonal[-1], row, diagonal[-1])
        np.multiply(ratio, one, row)
        np.add(other, row, other)
        np.divide(cells, diagonal, cells)
        np.multiply(ratio, other, row)
        np.add(one, row, one)
        for _, ratio, _, outer, _, inner in reversed(self._inwards):
            np.multiply(ratio, inner, pair)
            np.add(outer, pair, outer)

    def _let_water_go(self, dt_s: FloatArray | float, spend: FloatArray) -> None:
        """Into `spend` goes what is on the surface with what comes to it in this step, kg/m²."""
        work, row = self._work, self._rows[-1]
        np.multiply(self._cells_c, _LET_GO_PER_K, work)
        np.add(work, self._let_go_from, work)
        np.exp(work, work)
        np.add(work, _ONE, work)
        np.divide(_ONE, work, work)
        np.maximum(self._due, work, out=self._due)
        np.subtract(self._due, self.released, work)
        np.add(self.bodies.lag_s, dt_s, row)
        np.divide(dt_s, row, row)
        np.multiply(work, row, work)
        np.add(self.released, work, self.released)
        np.multiply(work, self._shares, work)
        freed = _CELLS_ADDED.dot(work)
        np.add(self._mean_released, freed, self._mean_released)
        np.multiply(self._supply_kg_m2, freed, spend)
        if self._accounts:
            self.supplied_kg_m2 += spend
        np.add(spend, self.film_kg_m2, spend)

    def _shrink(self) -> None:
        """How much smaller the bodies are for what they have lost."""
        area, area_by_radius, by_radius = self._lengths
        log = self._rows[-1]
        np.multiply(self._thins, self._mean_released, log)
        np.add(log, _ONE, log)
        np.log(log, log)
        # With the radius r = volume^(1/E): area r^(E - 1), area by radius r^(E - 2).
        np.multiply(log, self._radius_power, by_radius)
        np.subtract(log, by_radius, area)
        np.subtract(area, by_radius, area_by_radius)
        np.negative(by_radius, by_radius)
        np.exp(self._shrunk, self._shrunk)

    def _evaporate(
        self,
        h: FloatArray,
        wet_factor: FloatArray | float,
        spend: FloatArray,
        area_dt: FloatArray,
    ) -> None:
        """J at the present surface temperature and its slope, from the film and through the crust."""
        _, _, vapour, beyond, room, scale, _, _, film, dry, crust, row = self._rows
        (wet, slope), part = self._wet, self._pair[0]
        np.minimum(self.surface_c, _BOILS_C, out=row)
        np.subtract(self.surface_c, row, beyond)
        np.add(row, _MAGNUS_SHIFT_C, row)
        # The vapor's pressure at the surface, as a share of the air's.
        np.divide(_MAGNUS_FALL, row, slope)
        np.subtract(_MAGNUS_LOG, slope, vapour)
        np.exp(vapour, vapour)
        np.divide(slope, row, slope)
        np.multiply(slope, vapour, slope)
        np.subtract(_ONE, vapour, room)
        np.divide(slope, room, slope)
        np.log(room, wet)
        np.subtract(self._log_dry_air, wet, wet)
        np.multiply(self._carries, h, scale)
        np.multiply(scale, wet_factor, scale)
        np.multiply(slope, scale, slope)
        np.multiply(wet, scale, wet)
        np.multiply(slope, beyond, beyond)
        np.add(wet, beyond, wet)
        # The film at the end of the step: w + dt J w / (w + half) = what there is to spend.
        linear = np.multiply(area_dt, wet, row)
        np.subtract(linear, spend, linear)
        np.add(linear, _HALF_WET, linear)
        np.multiply(linear, _HALF, linear)
        np.maximum(spend, _ZERO, out=film)
        np.multiply(film, _HALF_WET, film)
        np.multiply(linear, linear, dry)
        np.add(film, dry, film)
        np.sqrt(film, film)
        np.subtract(film, linear, film)
        # The share of the surface that is bare: none where vapor condenses.
        np.add(film, _HALF_WET, film)
        np.divide(_HALF_WET, film, film)
        np.heaviside(wet, _ZERO, dry)
        np.multiply(dry, film, dry)
        bare, bare_slope = self._bare
        np.multiply(wet, dry, bare)
        np.multiply(slope, dry, bare_slope)
        np.subtract(self._wet, self._bare, self._film)
        np.add(self.from_crust_kg_m2, _CRUST, crust)
        np.divide(self._crust, crust, crust)
        np.multiply(crust, wet_factor, crust)
        # The part of it that comes through the crust; its square is that of the slope.
        np.add(bare, crust, row)
        np.add(row, _TINY, row)
        np.divide(crust, row, part)
        np.multiply(bare, part, bare)
        np.multiply(bare_slope, part, bare_slope)
        np.multiply(bare_slope, part, bare_slope)

    def _dry_up(self, spend: FloatArray, moved: FloatArray, area_dt: FloatArray) -> None:
        """Take off what has gone, now that it is known how far the surface's temperature `moved`."""
        from_film, through_crust = self._pair
        for gone, (flow, slope) in ((from_film, self._film), (through_crust, self._bare)):
            np.multiply(slope, moved, gone)
            np.add(gone, flow, gone)
            np.multiply(gone, area_dt, gone)
        np.add(self.from_crust_kg_m2, through_crust, self.from_crust_kg_m2)
        np.subtract(spend, from_film, spend)
        np.minimum(spend, self._holds_kg_m2, out=self.film_kg_m2)
        if self._accounts:
            self.evaporated_kg_m2 += from_film + through_crust
            self.dripped_kg_m2 += spend - self.film_kg_m2


@refuses()
def probe_weights(depth: FloatArray) -> FloatArray:
    """Shares of the places (`Heating.places_c`) in what a probe shows, (cells + 1, members).

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
    return np.asarray(weights[[*_ORDER, CELLS]])
