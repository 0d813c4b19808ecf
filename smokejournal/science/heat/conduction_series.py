"""Exact series for heating a slab, a long cylinder or a sphere, and for salt that soaks into one.

A body of half thickness or radius R starts even throughout and is put into air of another
temperature. With Bi = h R / k, Fo = a t / R² and the place x = r / R in [0, 1], the share of the
first difference that is left is theta = sum C_n f(z_n x) exp(-z_n² Fo). Source: Carslaw and Jaeger,
Conduction of Heat in Solids, 2nd ed. (1959), 3.11, 7.7 and 9.4. An infinite Bi is a surface that is
at once what surrounds it is; then the roots are those of the cosine, of J0 and of the sine.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from smokejournal.science.numbers.refusals import NOT_BELOW_ZERO, Rule, refuses

Shape = Literal["slab", "cylinder", "sphere"]

_ANGLES = (np.arange(400) + 0.5) * math.pi / 400


#: Infinite: a surface that is at once what surrounds it is.
BIOT = Rule(0.0, beyond=True, endless=True)


@refuses()
def bessel_j(order: int, x: float) -> float:
    """Bessel function of the first kind, J_n(x), for |x| up to about 350.

    Bessel's integral by the midpoint rule, which for a periodic function is exact to rounding.
    """
    return float(np.mean(np.cos(order * _ANGLES - x * np.sin(_ANGLES))))


def _bessel_j(order: int, x: NDArray[np.float64]) -> NDArray[np.float64]:
    """`bessel_j` of each of many."""
    waves = np.cos(order * _ANGLES - np.multiply.outer(x, np.sin(_ANGLES)))
    return np.asarray(waves.mean(axis=-1))


@lru_cache(maxsize=64)
@refuses(biot=BIOT)
def roots(shape: Shape, biot: float, count: int = 60) -> NDArray[np.float64]:
    """The first `count` roots z_n, shape (count,), of the surface condition of `shape`.

    Slab z sin z = Bi cos z, cylinder z J1(z) = Bi J0(z), sphere (1 - Bi) sin z = z cos z.
    """
    if not biot > 0:
        raise ValueError("the Biot number must be above zero")
    if math.isinf(biot):
        return _roots_of_a_fixed_surface(shape, count)
    # The roots of an insulated surface and of a fixed one enclose them, one between each two.
    low = np.concatenate(([1e-6], insulated_roots(shape, count)[: count - 1]))
    high = _roots_of_a_fixed_surface(shape, count).copy()
    rising = _condition(shape, biot, low)[0] < 0
    z = 0.5 * (low + high)
    for _ in range(80):
        value, slope = _condition(shape, biot, z)
        before = (value < 0) == rising
        low, high = np.where(before, z, low), np.where(before, high, z)
        with np.errstate(divide="ignore", invalid="ignore"):
            following = z - value / slope
        # Newton's rule, kept between bounds that close in.
        inside = (following > low) & (following < high)
        following = np.where(inside, following, 0.5 * (low + high))
        if np.all(np.abs(following - z) <= 4e-16 * z):
            break
        z = following
    return np.asarray(z)


def _condition(
    shape: Shape, biot: float, z: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """What is zero at a root, and how it grows with z."""
    if shape == "cylinder":
        zero, one = _bessel_j(0, z), _bessel_j(1, z)
        return z * one - biot * zero, z * zero + biot * one
    sine, cosine = np.sin(z), np.cos(z)
    if shape == "slab":
        return z * sine - biot * cosine, (1.0 + biot) * sine + z * cosine
    return z * cosine - (1.0 - biot) * sine, biot * cosine - z * sine


@lru_cache(maxsize=8)
@refuses()
def insulated_roots(shape: Shape, count: int = 60) -> NDArray[np.float64]:
    """Roots past zero of a surface that lets nothing through, shape (count,).

    Slab sin z, cylinder J1(z), sphere z cos z - sin z.
    """
    number = np.arange(1, count + 1)
    if shape == "slab":
        return np.asarray(number * math.pi)
    found = []
    for n in range(1, count + 1):
        # The first term of each expansion is near enough for Newton's rule to double its digits.
        if shape == "cylinder":
            z = (n + 0.25) * math.pi - 3 / (8 * (n + 0.25) * math.pi)
            for _ in range(5):
                one = bessel_j(1, z)
                z -= one / (bessel_j(0, z) - one / z)
        else:
            z = (n + 0.5) * math.pi - 1 / ((n + 0.5) * math.pi)
            for _ in range(5):
                z += (z * math.cos(z) - math.sin(z)) / (z * math.sin(z))
        found.append(z)
    return np.array(found)


def _roots_of_a_fixed_surface(shape: Shape, count: int) -> NDArray[np.float64]:
    number = np.arange(1, count + 1)
    if shape == "slab":
        return np.asarray((number - 0.5) * math.pi)
    if shape == "sphere":
        return np.asarray(number * math.pi)
    found = []
    for n in range(1, count + 1):
        # McMahon's expansion is near enough for Newton's rule to double its digits: J0' is -J1.
        z = (n - 0.25) * math.pi + 1 / (8 * (n - 0.25) * math.pi)
        for _ in range(4):
            z += bessel_j(0, z) / bessel_j(1, z)
        found.append(z)
    return np.array(found)


@refuses()
def coefficient(shape: Shape, z: float) -> float:
    """C_n of the series for the root `z`."""
    if shape == "slab":
        return 4 * math.sin(z) / (2 * z + math.sin(2 * z))
    if shape == "cylinder":
        zero, one = bessel_j(0, z), bessel_j(1, z)
        return 2 * one / (z * (zero * zero + one * one))
    return 4 * (math.sin(z) - z * math.cos(z)) / (2 * z - math.sin(2 * z))


@refuses(biot=BIOT, fourier=NOT_BELOW_ZERO)
def left_over(shape: Shape, biot: float, fourier: float, place: float, terms: int = 60) -> float:
    """theta: 1 as it starts, 0 when it is as warm as the air. Trusted for Fo above 0.002.

    `place` is 0 in the middle and 1 at the surface.
    """
    total = 0.0
    for root in roots(shape, biot, terms):
        z = float(root)
        fading = z * z * fourier
        if fading > 700:
            break
        x = z * place
        if shape == "slab":
            form = math.cos(x)
        elif shape == "cylinder":
            form = bessel_j(0, x)
        else:
            form = math.sin(x) / x if x > 1e-9 else 1.0
        total += coefficient(shape, z) * form * math.exp(-fading)
    return total


@lru_cache(maxsize=16)
@refuses(biot=BIOT)
def modes(
    shape: Shape, biot: float, terms: int = 60
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Roots z_n, and what each term weighs in the middle and in the mean, each of shape (terms,)."""
    found = roots(shape, biot, terms)
    middle, mean = [], []
    for root in found:
        z = float(root)
        if shape == "slab":
            form = math.sin(z) / z
        elif shape == "cylinder":
            form = 2 * bessel_j(1, z) / z
        else:
            form = 3 * (math.sin(z) - z * math.cos(z)) / z**3
        weight = coefficient(shape, z)
        middle.append(weight)
        mean.append(weight * form)
    return found, np.array(middle), np.array(mean)


@refuses(biot=BIOT, fourier=NOT_BELOW_ZERO)
def mean_left_over(shape: Shape, biot: float, fourier: float, terms: int = 60) -> float:
    """theta of the mean over the volume: what an insulated body would come to."""
    z, _, mean = modes(shape, biot, terms)
    return float(np.sum(mean * np.exp(-z * z * fourier)))


@refuses(biot=BIOT, fourier=NOT_BELOW_ZERO)
def middle_left_over(shape: Shape, biot: float, fourier: float, terms: int = 60) -> float:
    """`left_over` in the middle, quicker."""
    z, middle, _ = modes(shape, biot, terms)
    return float(np.sum(middle * np.exp(-z * z * fourier)))
