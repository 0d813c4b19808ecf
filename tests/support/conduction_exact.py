"""Exact answers for a dry body of constant properties that is put into air of one temperature.

Shares of the first difference that are left come from `conduction_series`; here they are made into
temperatures anywhere in a slab, long cylinder, sphere, brick or finite cylinder, into means over the
volume and into times. Bricks and finite cylinders are products of their directions. While heat has
barely got in (Fo below 0.0004), the series would need more terms than it has: the half-space form
stands in, for a round body with the first correction for its curvature. Source: Carslaw and Jaeger,
Conduction of Heat in Solids, 2nd ed. (1959), 2.7, 3.11, 5.6, 7.7 and 9.4.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from smokejournal.science.heat.conduction_series import Shape, insulated_roots, modes
from smokejournal.science.numbers.ranges import within

FloatArray = NDArray[np.float64]

#: 60 terms leave out less than 1e-7 above this, the half-space form errs by less than 3e-5 below it.
SHORT_FO = 0.0004
SMALLEST_BIOT = 1e-6

_CURVATURE: dict[str, float] = {"slab": 0.0, "cylinder": 0.5, "sphere": 1.0}
_DIMENSIONS: dict[str, int] = {"slab": 1, "cylinder": 2, "sphere": 3}
_ANGLES = (np.arange(400) + 0.5) * math.pi / 400
_ROOT_PI = math.sqrt(math.pi)


@dataclass(frozen=True, slots=True)
class Solid:
    """A body as the product of its directions, each a shape with half its thickness [m].

    Raises OutOfRange for a size, conductivity or diffusivity that cannot be.
    """

    directions: tuple[tuple[Shape, float], ...]
    conductivity_w_mk: float
    diffusivity_m2_s: float

    def __post_init__(self) -> None:
        for _, radius_m in self.directions:
            within("half thickness", radius_m, 1e-4, 10.0, "m")
        within("conductivity", self.conductivity_w_mk, 1e-3, 1e3, "W/mK")
        within("diffusivity", self.diffusivity_m2_s, 1e-10, 1e-2, "m²/s")


def single(
    shape: Shape, radius_m: float, conductivity_w_mk: float, diffusivity_m2_s: float
) -> Solid:
    """A slab (half its thickness), a long cylinder or a sphere (the radius)."""
    return Solid(((shape, radius_m),), conductivity_w_mk, diffusivity_m2_s)


def brick(
    half_sizes_m: tuple[float, float, float], conductivity_w_mk: float, diffusivity_m2_s: float
) -> Solid:
    """A brick heated on all six faces."""
    a, b, c = half_sizes_m
    return Solid((("slab", a), ("slab", b), ("slab", c)), conductivity_w_mk, diffusivity_m2_s)


def finite_cylinder(
    radius_m: float, half_length_m: float, conductivity_w_mk: float, diffusivity_m2_s: float
) -> Solid:
    """A cylinder heated at its ends too."""
    return Solid(
        (("cylinder", radius_m), ("slab", half_length_m)), conductivity_w_mk, diffusivity_m2_s
    )


@dataclass(frozen=True, slots=True)
class Bath:
    """The body starts at `start_c` throughout; the air is at `air_c` from then on.

    `transfer_w_m2k` is convection and radiation together; infinite: the surface is at once as warm
    as the air.
    """

    start_c: float
    air_c: float
    transfer_w_m2k: float = math.inf

    def at(self, left: float) -> float:
        """Temperature [°C] where the share `left` of the first difference is left."""
        return self.air_c + (self.start_c - self.air_c) * left


def _checked(shape: Shape, biot: float, fourier: float) -> None:
    if shape not in _CURVATURE:
        raise ValueError("a direction is a slab, a cylinder or a sphere")
    if not biot >= SMALLEST_BIOT:
        raise ValueError(f"Biot number: from {SMALLEST_BIOT:g} up, not {biot:g}")
    if not (fourier >= 0 and math.isfinite(fourier)):
        raise ValueError(f"Fourier number: from 0 up, not {fourier:g}")


def left_at(shape: Shape, biot: float, fourier: float, place: float = 0.0) -> float:
    """Share of the first difference that is left at `place`, 0 in the middle and 1 at the surface.

    For any Fo = a t / R² from 0 up and Bi = h R / k from 1e-6 up, infinite too; error below 3e-5.
    Raises ValueError or OutOfRange with the range.
    """
    _checked(shape, biot, fourier)
    within("place", place, 0.0, 1.0)
    if fourier == 0.0:
        return 1.0
    if fourier < SHORT_FO:
        return 1.0 - _gained_early(shape, biot, fourier, place)
    z, weights, _ = modes(shape, biot)
    total = float(np.sum(weights * _form(shape, z * place) * np.exp(-z * z * fourier)))
    return min(max(total, 0.0), 1.0)


def mean_left(shape: Shape, biot: float, fourier: float) -> float:
    """`left_at` as a mean over the volume: what it comes to when it is insulated from now on."""
    _checked(shape, biot, fourier)
    if fourier < SHORT_FO:
        return 1.0 - _mean_gained_early(shape, biot, fourier)
    z, _, weights = modes(shape, biot)
    return min(max(float(np.sum(weights * np.exp(-z * z * fourier))), 0.0), 1.0)


def _form(shape: Shape, x: FloatArray) -> FloatArray:
    """How a term runs from the middle (where it is 1) outwards."""
    if shape == "slab":
        return np.cos(x)
    if shape == "sphere":
        return np.asarray(np.sinc(x / math.pi))
    waves = np.cos(np.multiply.outer(np.asarray(x), np.sin(_ANGLES)))
    return np.asarray(waves.mean(axis=-1))


def _erfcx(x: float) -> float:
    """exp(x²) erfc(x) for x above -20."""
    if x < 20.0:
        return math.exp(x * x) * math.erfc(x)
    inverse = 0.5 / (x * x)
    return (1.0 - inverse * (1.0 - 3.0 * inverse * (1.0 - 5.0 * inverse))) / (x * _ROOT_PI)


def _near_surface(biot: float, effective: float, fourier: float, depth: float) -> float:
    """Share gained at `depth` below a plane surface whose film passes on `effective` of its own heat
    and takes in `biot`; the two are one for a plane body."""
    root = math.sqrt(fourier)
    eta = depth / (2.0 * root)
    if eta > 6.0:
        return 0.0
    if math.isinf(biot):
        return math.erfc(eta)
    y = effective * root
    if abs(y) < 1e-4:
        middle = eta + y / 2.0
        slope = 2.0 / _ROOT_PI - 2.0 * middle * _erfcx(middle)
        return biot * root * math.exp(-eta * eta) * slope
    return biot / effective * math.exp(-eta * eta) * (_erfcx(eta) - _erfcx(eta + y))


def _gained_early(shape: Shape, biot: float, fourier: float, place: float) -> float:
    curvature = _CURVATURE[shape]
    gained = _near_surface(biot, biot - curvature, fourier, 1.0 - place)
    if gained == 0.0 or curvature == 0.0:
        return gained
    return float(min(gained * place**-curvature, 1.0))


def _mean_gained_early(shape: Shape, biot: float, fourier: float) -> float:
    """The flux through the surface, summed over the time since the start."""
    if fourier == 0.0:
        return 0.0
    curvature, sides, root = _CURVATURE[shape], _DIMENSIONS[shape], math.sqrt(fourier)
    if math.isinf(biot):
        return sides * (2.0 * root / _ROOT_PI - curvature * fourier)
    y = (biot - curvature) * root
    if abs(y) < 0.02:
        lag = sum((-y) ** n / math.gamma(2.5 + n / 2) for n in range(6))
        kept = 1.0 - y * lag
    else:
        kept = (_erfcx(y) - 1.0 + 2.0 * y / _ROOT_PI) / (y * y)
        lag = (1.0 - kept) / y
    return sides * biot * fourier * (kept - curvature * root * lag)


def half_space_gained(
    depth_m: float,
    time_s: float,
    transfer_w_m2k: float,
    conductivity_w_mk: float,
    diffusivity_m2_s: float,
) -> float:
    """Share of the difference to the air gained at `depth_m` below the surface of a body without end.

    Source: Carslaw and Jaeger, 2.7. Error below 1e-9. Raises OutOfRange with the field and its range.
    """
    within("depth", depth_m, 0.0, 1e3, "m")
    within("time", time_s, 0.0, 1e12, "s")
    within("conductivity", conductivity_w_mk, 1e-3, 1e3, "W/mK")
    within("diffusivity", diffusivity_m2_s, 1e-10, 1e-2, "m²/s")
    if not transfer_w_m2k > 0:
        raise ValueError("heat transfer coefficient: above 0 W/m²K")
    if time_s == 0.0:
        return 0.0
    biot = transfer_w_m2k / conductivity_w_mk
    return _near_surface(biot, biot, diffusivity_m2_s * time_s, depth_m)


def _numbers(solid: Solid, radius_m: float, bath: Bath, time_s: float) -> tuple[float, float]:
    biot = bath.transfer_w_m2k * radius_m / solid.conductivity_w_mk
    return biot, solid.diffusivity_m2_s * time_s / radius_m**2


def temperature_c(
    solid: Solid, bath: Bath, time_s: float, place: tuple[float, ...] | None = None
) -> float:
    """Temperature [°C] after `time_s` at `place`: for each direction 0 in the middle, 1 at its surface.

    None is the middle. Error below 3e-5 of the first difference for each direction. Raises ValueError
    or OutOfRange with the range for a time below zero, a place outside or of other directions.
    """
    within("time", time_s, 0.0, 1e12, "s")
    where = place if place is not None else (0.0,) * len(solid.directions)
    left = 1.0
    for (shape, radius_m), x in zip(solid.directions, where, strict=True):
        left *= left_at(shape, *_numbers(solid, radius_m, bath, time_s), x)
    return bath.at(left)


def mean_c(solid: Solid, bath: Bath, time_s: float) -> float:
    """Mean temperature [°C] over the volume after `time_s`. Errors as `temperature_c`."""
    within("time", time_s, 0.0, 1e12, "s")
    left = 1.0
    for shape, radius_m in solid.directions:
        left *= mean_left(shape, *_numbers(solid, radius_m, bath, time_s))
    return bath.at(left)


def time_to_s(
    solid: Solid, bath: Bath, target_c: float, place: tuple[float, ...] | None = None
) -> float:
    """When `place` (None: the middle) comes to `target_c` [s]: 0 if it starts there or beyond.

    Infinite if the target is the air's temperature or past it, or more than 1e12 s away. Every place
    goes straight to the air's temperature, so halving finds the one moment, to 1e-10 of it.
    """
    difference = bath.start_c - bath.air_c
    if difference == 0.0:
        return 0.0 if target_c == bath.start_c else math.inf
    wanted = (target_c - bath.air_c) / difference
    if wanted >= 1.0:
        return 0.0
    if not wanted > 0.0:
        return math.inf

    def short(time_s: float) -> bool:
        left = (temperature_c(solid, bath, time_s, place) - bath.air_c) / difference
        return left > wanted

    return _first(short)


def _first(short: Callable[[float], bool]) -> float:
    low, high = 0.0, 1.0
    while short(high):
        low, high = high, 2.0 * high
        if high > 1e12:
            return math.inf
    while high - low > 1e-10 * high:
        half = 0.5 * (low + high)
        if not low < half < high:
            break
        low, high = (half, high) if short(half) else (low, half)
    return 0.5 * (low + high)


def carried_over(
    shape: Shape, biot: float, heated_fourier: float, after_fourier: float, place: float = 0.0
) -> float:
    """Share left at `place` when a body heated to `heated_fourier` is then insulated all round.

    It comes to `mean_left` everywhere. Both Fourier numbers must be 0.0004 or more; error below 1e-6.
    Raises ValueError or OutOfRange with the range.
    """
    _checked(shape, biot, heated_fourier)
    within("place", place, 0.0, 1.0)
    for fourier in (heated_fourier, after_fourier):
        if not SHORT_FO <= fourier < math.inf:
            raise ValueError(f"Fourier number: from {SHORT_FO:g} up, not {fourier:g}")
    z, _, mean = modes(shape, biot)
    fading = np.exp(-z * z * heated_fourier)
    # By Green's formula a term's share in an insulated one goes by its flux through the surface,
    # which is z² times its mean over the number of sides.
    flux = mean * z * z / _DIMENSIONS[shape] * fading
    quiet = insulated_roots(shape)
    difference = np.subtract.outer(z * z, quiet * quiet)
    at_surface = _form(shape, quiet)
    shares = 2.0 / at_surface * np.sum(flux[:, None] / difference, axis=0)
    waves = shares * _form(shape, quiet * place) * np.exp(-quiet * quiet * after_fourier)
    return float(np.sum(mean * fading) + np.sum(waves))


def swing(shape: Shape, biot: float, fourier_of_period: float) -> complex:
    """How the middle follows air that swings as a sine for ever: its size and, as angle, its lag.

    `fourier_of_period` is a P / R² of the period P; abs() is the ratio of the swings, cmath.phase()
    the lag in radians, folded into -pi to pi. Source: Carslaw and Jaeger, 3.10, 7.9 and 9.7. Raises
    ValueError below Fo 0.001, where nothing arrives.
    """
    _checked(shape, biot, fourier_of_period)
    if fourier_of_period < 0.001:
        raise ValueError(f"Fourier number of the period: from 0.001 up, not {fourier_of_period:g}")
    sigma = cmath.sqrt(2j * math.pi / fourier_of_period)
    if shape == "slab":
        own, flux = cmath.cosh(sigma), sigma * cmath.sinh(sigma)
    elif shape == "sphere":
        own = cmath.sinh(sigma) / sigma
        flux = cmath.cosh(sigma) - own
    else:
        waves = np.exp(sigma * np.cos(_ANGLES))
        own = complex(np.mean(waves))
        flux = sigma * complex(np.mean(waves * np.cos(_ANGLES)))
    return 1.0 / (own + flux / biot)
