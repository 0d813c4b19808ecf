"""What is believed of a piece of meat and of the pit before the readings say more.

Every parameter is normal in the unit named here; most are logarithms. The values are wide and
generic, of our own choosing from the literature's ranges, and none was fitted to simulated cooks. But
after a look at the open part of our simulator's, the spreads of supply and film were widened;
and the lag of the water was made to go by its way after simulated ribs had shown a plateau that ends
sooner than one lag for all pieces lets it. The crust lets
through what water diffuses at: (4 to 56)e-11 m²/s in beef at 30 to 60 °C (Mewa et al., Curr. Res. Nutr. Food
Sci. 6(2), 2018, p. 552) and (46 to 120)e-11 at 40 to 60 °C (Ismail and Kocabay, Heat Transf. Res. 49(14), 2018,
p. 1353; both by their abstracts), which with 680 kg/m³ of water given up are 0.4 to 2.2e-4 kg/(m² s) after one
hour by sqrt(D / (pi t)) (Crank, The Mathematics of Diffusion, section 3.3, from memory), 1e-4 in the middle. Supply,
crust and film are such that the middle of what evaporates by the end is about what is known of losses
without what drips: a fifth of a shoulder's or a brisket's mass and a quarter of ribs' (30 to 40 % lost in
all, from memory), a tenth of a bird's (23 % in all, 1998, as below) and of a fish's (15 % in all, from memory).
Sources of the ranges: heat transfer coefficient of ovens 19.25 W/(m² K) without a fan (Chang,
Carpenter and Toledo, J. Food Sci. 63(2), 1998), 20 to 48 in tunnels (Baik et al. 1999); meat at 20 to
60 °C a = 1.3 to 1.5e-7 m²/s (Choi and Okos 1986); loss 23 % of a turkey's mass (1998, as above).
The shapes and losses of the other cuts: common practice, no source. What a wrap changes: no
published numbers were found; the guess is wide on purpose. Foil is taken to let 0.5 % through of what an
open surface gives off: the evaporation that is left then takes a third of the heat at 95 °C in a pit of 110 °C,
which pieces in foil reach (common practice, no source); at 3 % a wet one would stop at 90 °C, and be no
sooner than in paper. In the middle foil is sooner than paper, and paper than none (common practice, no
source). What the cuts then take was looked at against
common practice (no source): fish 1 to 3 h, poultry pieces 1 to 2, a chicken 2.5 to 4.5, ribs 4 to 6,
a loaf 2 to 3.5, a shoulder 8 to 16, a brisket 9 to 16.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from smokejournal.science.forecast.heating import MEAT_KG_M3, Bodies, FloatArray
from smokejournal.science.forecast.values import Cut, PitPrior, Wrapping
from smokejournal.science.numbers.refusals import NUMBER, Parts, refuses

NAMES: tuple[str, ...] = (
    "ln_radius",
    "ln_h",
    "shape",
    "ln_mass_share",
    "ln_vapour",
    "ln_supply",
    "ln_crust",
    "loss",
    "ln_lag",
    "ln_film",
    "hold_shift",
    "depth",
    "start",
    "pit_error",
    "ln_diffusivity",
    "depth_after",
    "ln_wrap_wet",
    "ln_wrap_h",
    "ln_late",
)
#: Where a check probe is: only of a cook that has one, and of its day alone.
CHECK = "depth_check"
INDEX = {name: i for i, name in enumerate((*NAMES, CHECK))}
#: What belongs to the pit and is carried over to its next cook, and the share of the prior variance
#: that is taken to be the pit's own and not the day's. Our own judgment; the experiment behind it is
#: written down in tests/simulator/learning.md.
OF_THE_PIT = {"ln_h": 0.65, "ln_vapour": 0.7, "pit_error": 0.7, "ln_mass_share": 0.4}
#: What belongs to the kind of cut, as this person buys, probes and wraps it.
OF_THE_CUT = {
    "ln_radius": 0.6,
    "shape": 0.6,
    "ln_h": 0.15,
    "ln_mass_share": 0.4,
    "ln_supply": 0.7,
    "ln_crust": 0.7,
    "loss": 0.6,
    "ln_lag": 0.7,
    "ln_film": 0.6,
    "hold_shift": 0.7,
    "depth": 0.5,
    "ln_diffusivity": 0.6,
    "ln_wrap_wet": 0.7,
    "ln_wrap_h": 0.7,
    "ln_late": 0.7,
}


@dataclass(frozen=True, slots=True)
class CutFacts:
    """Half thickness where nothing is known of the size (m), brick proportions, E and water."""

    radius_m: float
    radius_sd: float
    b1: float
    b2: float
    shape: float
    shape_sd: float
    supply: float
    supply_sd: float
    loss: float
    hold_shift_k: float = 0.0
    late: float = 0.0


#: What is cooked until its collagen dissolves goes on faster once its water is let go than these equations
#: have it: they know no fat that melts and no juice that runs off along seams. Seen with both families
#: of simulated pieces, by other equations each; no measured course was found. Half of what either
#: would ask for, and less than the spread. Birds have none: published times of turkeys are, if
#: anything, longer than forecast (1998, as above).
_LATE = 0.15

CUTS: dict[Cut, CutFacts] = {
    "fish": CutFacts(0.0135, 0.32, 4.0, 8.0, 1.30, 0.18, 0.012, 0.8, 0.18, -6.0),
    "poultry_pieces": CutFacts(0.021, 0.30, 1.4, 2.2, 1.95, 0.25, 0.045, 0.8, 0.28),
    "poultry_whole": CutFacts(0.049, 0.25, 1.2, 1.5, 2.20, 0.25, 0.045, 0.8, 0.28),
    "ribs": CutFacts(0.016, 0.28, 5.0, 12.0, 1.22, 0.15, 0.13, 0.8, 0.33, late=_LATE),
    "loaf": CutFacts(0.036, 0.25, 1.3, 2.4, 2.00, 0.25, 0.04, 0.8, 0.22),
    "shoulder": CutFacts(0.058, 0.22, 1.25, 1.7, 2.30, 0.25, 0.13, 0.8, 0.33, late=_LATE),
    "brisket": CutFacts(0.045, 0.25, 2.2, 3.4, 1.70, 0.25, 0.13, 0.8, 0.33, late=_LATE),
    "other": CutFacts(0.040, 0.45, 1.5, 2.2, 1.95, 0.35, 0.065, 0.9, 0.30),
}
#: Spread of ln R where the mass or the thickness is known.
_SD_BY_MASS = {"fish": 0.25, "ribs": 0.25, "poultry_pieces": 0.22}
_SD_BY_THICKNESS = 0.15
#: A lag of the water for each meter of its way [s/m].
LAG_S_M = 180_000.0
#: Spread of how much faster or slower than the equations say a piece warms once its water is let go, as
#: a logarithm. They are least sure there: what dries, shrinks and melts is left to one curve. Our own
#: judgment; `LatePace` says from where on.
_LATE_SD = 0.25
_LATE_C, _LATE_WIDTH_K = np.array(68.0), np.array(3.0)
_ONE = np.array(1.0)
_WRAPS: dict[Wrapping, tuple[float, float, float, float]] = {
    "foil": (math.log(0.005), 1.0, math.log(0.75), 0.25),
    "paper": (math.log(0.30), 0.35, math.log(0.88), 0.20),
}


@refuses()
def radius_of(cut: Cut, mass_kg: float | None, thickness_m: float | None) -> tuple[float, float]:
    """Half thickness, m, and the spread of its logarithm, from what is known of the size.

    A mass gives the half size R of a brick R, b1 R, b2 R: R = (M / (8 rho b1 b2))^(1/3).
    """
    facts = CUTS[cut]
    if thickness_m is not None and thickness_m > 0:
        return thickness_m / 2.0, _SD_BY_THICKNESS
    if mass_kg is not None and mass_kg > 0:
        volume = mass_kg / MEAT_KG_M3
        return (volume / (8.0 * facts.b1 * facts.b2)) ** (1 / 3), _SD_BY_MASS.get(cut, 0.16)
    return facts.radius_m, facts.radius_sd


def _lag_s(radius_m: float) -> float:
    """How long water that is let go takes to come to the surface, s: the longer, the longer its way.

    Two and a half hours for a piece of 5 cm half thickness (van der Sman 2007 speaks of hours; from
    memory), in proportion to the way: our own judgment.
    """
    return min(max(LAG_S_M * radius_m, 1800.0), 12_000.0)


@dataclass(frozen=True, slots=True)
class Prior:
    """Means and standard deviations in the order of `NAMES`, with `CHECK` last where the cook has a check
    probe, each (parameters,); `root`, the lower root of the covariance (parameters, parameters), where
    earlier cooks tied parameters together."""

    mean: FloatArray
    sd: FloatArray
    root: FloatArray | None = None

    def values(self, z: FloatArray) -> FloatArray:
        """Parameters (parameters, members) of standard ones `z` of the same shape."""
        off = self.sd[:, None] * z if self.root is None else self.root @ z
        return np.asarray(self.mean[:, None] + off)


@refuses()
def wrap_shift(first: Wrapping, other: Wrapping) -> tuple[float, float]:
    """How far the means of "ln_wrap_wet" and "ln_wrap_h" of one wrap lie from those of another."""
    return _WRAPS[other][0] - _WRAPS[first][0], _WRAPS[other][2] - _WRAPS[first][2]


_LEARNED = Parts(covariance=NUMBER, shift=NUMBER)


@refuses(learned=_LEARNED)
def prior_of(
    cut: Cut,
    mass_kg: float | None,
    thickness_m: float | None,
    start_c: float,
    start_sd: float,
    wrap: Wrapping | None,
    learned: PitPrior | None = None,
    check: bool = False,
) -> Prior:
    """The prior of a cook; `wrap`: what it is or will be wrapped in. `learned` takes the place of
    the generic mean and spread where it names a parameter; a name that is unknown is refused. `check`:
    a second probe is in the piece, at a place of its own.

    Raises
    ------
    ValueError
        Where `learned` names a parameter that there is not, or its covariance is none.
    """
    facts = CUTS[cut]
    radius, radius_sd = radius_of(cut, mass_kg, thickness_m)
    wet, wet_sd, h, h_sd = _WRAPS[wrap or "foil"]
    table = {
        "ln_radius": (math.log(radius), radius_sd),
        "ln_h": (math.log(16.0), 0.25),
        "shape": (facts.shape, facts.shape_sd),
        "ln_mass_share": (math.log(0.38), 0.35),
        "ln_vapour": (math.log(3500.0), 0.45),
        "ln_supply": (math.log(facts.supply), facts.supply_sd),
        "ln_crust": (math.log(1e-4), 0.6),
        "loss": (facts.loss, 0.06),
        "ln_lag": (math.log(_lag_s(radius)), 0.6),
        "ln_film": (math.log(0.08), 1.0),
        "hold_shift": (facts.hold_shift_k, 3.0),
        "depth": (0.15, 0.20),
        "start": (start_c, start_sd),
        "pit_error": (0.0, 4.0),
        "ln_diffusivity": (0.0, 0.08),
        "depth_after": (0.20, 0.25),
        "ln_wrap_wet": (wet, wet_sd),
        "ln_wrap_h": (h, h_sd),
        "ln_late": (facts.late, _LATE_SD),
        # As where a probe is that was put in again: it may be anywhere.
        CHECK: (0.20, 0.25),
    }
    names = (*NAMES, CHECK) if check else NAMES
    mean = np.array([table[name][0] for name in names])
    sd = np.array([table[name][1] for name in names])
    if learned is None or not learned.names:
        return Prior(mean, sd)
    if unknown := set(learned.names) - set(NAMES):
        raise ValueError(f"what was learned names {min(unknown)!r}, which is no parameter")
    at = np.array([INDEX[name] for name in learned.names])
    mean[at] += learned.shift
    covariance = np.diag(sd**2)
    covariance[np.ix_(at, at)] = learned.covariance
    try:
        root = np.linalg.cholesky(covariance)
    except np.linalg.LinAlgError:
        raise ValueError("what was learned has a spread that is not above zero") from None
    return Prior(mean, np.sqrt(np.diag(covariance)), root)


class LatePace:
    """How much faster each member warms than the equations say, at its mean temperature.

    1 in the raw and on the way up, `exp(ln_late)` once the plateau is behind; half of the way at 68 °C,
    where what meat ever lets go is mostly let go (van der Sman 2007, from memory).

    >>> pace = LatePace(values)
    >>> pace(pieces.mean_c())
    """

    def __init__(self, values: FloatArray) -> None:
        self._late = np.clip(values[INDEX["ln_late"]], -1.5, 1.5)
        self._work = np.empty_like(self._late)

    def __call__(self, mean_c: FloatArray) -> FloatArray:
        """Factors (members,) at mean temperatures (members,)."""
        # Once a step, hence in one array. Meat is never so cold that the exponential has no number.
        work = np.subtract(_LATE_C, mean_c, self._work)
        np.divide(work, _LATE_WIDTH_K, work)
        np.exp(work, work)
        np.add(work, _ONE, work)
        np.divide(self._late, work, work)
        return np.asarray(np.exp(work))


@refuses()
def bodies_of(values: FloatArray) -> Bodies:
    """Members from parameters (parameters, members), held to what a piece of meat can be."""

    def of(name: str) -> FloatArray:
        return np.asarray(values[INDEX[name]])

    def grown(name: str, low: float, high: float) -> FloatArray:
        return np.asarray(np.exp(np.clip(of(name), math.log(low), math.log(high))))

    return Bodies(
        radius_m=grown("ln_radius", 0.002, 0.3),
        shape=np.clip(of("shape"), 1.0, 3.0),
        h_w_m2k=grown("ln_h", 3.0, 120.0),
        mass_share=grown("ln_mass_share", 0.02, 1.0),
        vapour_pa=grown("ln_vapour", 300.0, 40_000.0),
        supply=grown("ln_supply", 1e-4, 0.6),
        crust_kg_m2s=grown("ln_crust", 1e-7, 1e-2),
        loss=np.clip(of("loss"), 0.02, 0.55),
        lag_s=grown("ln_lag", 300.0, 60_000.0),
        wet_kg_m2=grown("ln_film", 1e-4, 2.5),
        hold_shift_k=np.clip(of("hold_shift"), -20.0, 20.0),
        diffusivity_factor=grown("ln_diffusivity", 0.6, 1.6),
        start_c=np.clip(of("start"), -20.0, 90.0),
    )
