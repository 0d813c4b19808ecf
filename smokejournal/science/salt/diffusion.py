"""How far salt has got into a slab, a long cylinder or a sphere, and how long it takes.

Fick's law with a surface that is at once as strong as the brine, by the same series as heat
(`conduction_series`, an infinite Bi): Fo = D t / R², R half the thickness, or all of it where salt
gets in by one face only. Source: Crank, The Mathematics of Diffusion, 2nd ed. (1975), 4.3, 5.3 and
6.3. A brine that weakens as it gives off salt, fat, skin and bone make it slower or uneven; how
little is known of a tissue is in the range of its diffusivity.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from smokejournal.science.heat.conduction_series import Shape, mean_left_over, middle_left_over
from smokejournal.science.numbers.refusals import NOT_BELOW_ZERO, between, refuses
from smokejournal.science.numbers.spread import Spread

Tissue = Literal["pork", "fish", "unmeasured"]

#: No tissue lets salt through as fast as plain water does (about 1.6e-9 m²/s).
FASTEST_M2_S = 1.6e-9
SLOWEST_M2_S = 1e-14

# Below this the series would need more roots than it has; the short-time forms are exact there.
_SHORT_FO = 0.003


@dataclass(frozen=True, slots=True)
class Diffusivity:
    """What was published for salt in one kind of flesh [m²/s], and where."""

    m2_s: Spread
    source: str


#: Pork: loin at 5 °C (1.90 ± 0.28)e-10 and muscle by MRI 3e-10 to 7e-10. Fish: salt strewn on the meat
#: side, 1e-11 to 1e-10; but an extension service's recipe (half an inch, 4 h, half a cup to a quart)
#: takes 1.4e-10 to work, so its upper end is that of pork. No value for poultry or beef was read that
#: can be right (one for chicken is faster than plain water): the range of both is taken.
DIFFUSIVITIES: dict[Tissue, Diffusivity] = {
    "pork": Diffusivity(
        Spread(1.62e-10, 1.90e-10, 7e-10),
        "Springer 978-1-4939-2578-0 ch. 47; Meat Science 80 (2008) 851",
    ),
    "fish": Diffusivity(
        Spread(1e-11, 1e-10, 7e-10), "J. Cookery Sci. Japan 25(4) 283; upper end that of pork"
    ),
    "unmeasured": Diffusivity(
        Spread(1e-11, 1.90e-10, 7e-10), "range of pork and fish; none read for this food"
    ),
}


_DIFFUSIVITY = between("diffusivity", SLOWEST_M2_S, FASTEST_M2_S, "m²/s")
_RADIUS = between("thickness", 0.0005, 0.5, "m from the surface to the middle")


@refuses(
    diffusivity_m2_s=_DIFFUSIVITY,
    radius_m=_RADIUS,
    time_s=between("time", 0.0, 366 * 86400.0, "s"),
)
def fourier(diffusivity_m2_s: float, radius_m: float, time_s: float) -> float:
    """Fo of this time."""
    return diffusivity_m2_s * time_s / radius_m**2


@refuses(fo=NOT_BELOW_ZERO)
def uptake(shape: Shape, fo: float) -> float:
    """The share of all the salt that it will ever take that is in it: 0 at first, 1 in the end."""
    if not fo > 0:
        return 0.0
    if fo < _SHORT_FO:
        root = math.sqrt(fo)
        if shape == "slab":
            return 2.0 * root / math.sqrt(math.pi)
        if shape == "cylinder":
            return 4.0 * root / math.sqrt(math.pi) - fo - fo * root / (3.0 * math.sqrt(math.pi))
        return 6.0 * root / math.sqrt(math.pi) - 3.0 * fo
    return min(max(1.0 - mean_left_over(shape, math.inf, fo), 0.0), 1.0)


@refuses(fo=NOT_BELOW_ZERO)
def middle(shape: Shape, fo: float) -> float:
    """Salt in the middle as a share of what it will be in the end."""
    if fo < _SHORT_FO:
        return 0.0
    return min(max(1.0 - middle_left_over(shape, math.inf, fo), 0.0), 1.0)


@lru_cache(maxsize=64)
@refuses(share=between("share in the middle", 0.001, 0.999))
def fourier_at_middle(shape: Shape, share: float) -> float:
    """Fo at which the middle has come to `share` of what it will be."""
    low, high = _SHORT_FO, 8.0
    for _ in range(60):
        half = 0.5 * (low + high)
        low, high = (half, high) if middle(shape, half) < share else (low, half)
    return 0.5 * (low + high)


@refuses(thickness_m=between("thickness", 0.001, 0.5, "m"))
def radius_m(shape: Shape, thickness_m: float, *, one_face: bool = False) -> float:
    """From the last surface that salt gets in by to where it gets last [m].

    `thickness_m` is the thickness of a slab or the diameter of the others. Raises ValueError for one
    face of anything but a slab.
    """
    if one_face and shape != "slab":
        raise ValueError("only a slab can be open on one face")
    return thickness_m if one_face else thickness_m / 2.0


@refuses(radius_m=_RADIUS, diffusivity_m2_s=_DIFFUSIVITY)
def time_to_middle_s(
    shape: Shape, radius_m: float, share: float, diffusivity_m2_s: Spread
) -> Spread:
    """Time [s] until the middle has `share` of what it will have; the slowest tissue takes longest."""
    fo = fourier_at_middle(shape, share)
    size = fo * radius_m**2
    return Spread(
        size / diffusivity_m2_s.high, size / diffusivity_m2_s.mid, size / diffusivity_m2_s.low
    )


@refuses()
def uptake_after(
    shape: Shape, radius_m: float, time_s: float, diffusivity_m2_s: Spread
) -> tuple[Spread, Spread]:
    """After `time_s`: the share of all its salt that the piece has, and the share in the middle."""
    at = [
        fourier(value, radius_m, time_s)
        for value in (diffusivity_m2_s.low, diffusivity_m2_s.mid, diffusivity_m2_s.high)
    ]
    whole = [uptake(shape, fo) for fo in at]
    inside = [middle(shape, fo) for fo in at]
    return Spread(*whole), Spread(*inside)
