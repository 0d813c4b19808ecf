"""Exact series for heating a slab, a long cylinder or a sphere, and for salt that soaks into one.

A body of half thickness or radius R starts even throughout and is put into air of another
temperature. With Bi = h R / k, Fo = a t / R² and the place x = r / R in [0, 1], the share of the
first difference that is left is theta = sum C_n f(z_n x) exp(-z_n² Fo). Source: Carslaw and Jaeger,
Conduction of Heat in Solids, 2nd ed. (1959), 3.11, 7.7 and 9.4. An infinite Bi is a surface that is
at once what surrounds it is; then the roots are those of the cosine, of J0 and of the sine.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Shape = Literal["slab", "cylinder", "sphere"]

_ANGLES = (np.arange(400) + 0.5) * math.pi / 400


def bessel_j(order: int, x: float) -> float:
    """Bessel function of the first kind, J_n(x), for |x| up to about 350.

    Bessel's integral by the midpoint rule, which for a periodic function is exact to rounding.
    """
    return float(np.mean(np.cos(order * _ANGLES - x * np.sin(_ANGLES))))


@lru_cache(maxsize=64)
def roots(shape: Shape, biot: float, count: int = 60) -> NDArray[np.float64]:
    """The first `count` roots z_n, shape (count,), of the surface condition of `shape`.

    Slab z sin z = Bi cos z, cylinder z J1(z) = Bi J0(z), sphere (1 - Bi) sin z = z cos z.
    """
    if not biot > 0:
        raise ValueError("the Biot number must be above zero")
    if math.isinf(biot):
        return _roots_of_a_fixed_surface(shape, count)
    condition: Callable[[float], float]
    if shape == "slab":
        condition = lambda z: z * math.sin(z) - biot * math.cos(z)  # noqa: E731
    elif shape == "cylinder":
        condition = lambda z: z * bessel_j(1, z) - biot * bessel_j(0, z)  # noqa: E731
    else:
        condition = lambda z: z * math.cos(z) - (1.0 - biot) * math.sin(z)  # noqa: E731
    found: list[float] = []
    step, left = 0.05, 1e-6
    value = condition(left)
    while len(found) < count:
        right = left + step
        ahead = condition(right)
        if (value < 0) != (ahead < 0):
            found.append(_halve(condition, left, right))
        left, value = right, ahead
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


def _halve(condition: Callable[[float], float], low: float, high: float) -> float:
    below = condition(low) < 0
    for _ in range(60):
        middle = 0.5 * (low + high)
        if (condition(middle) < 0) == below:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def coefficient(shape: Shape, z: float) -> float:
    """C_n of the series for the root `z`."""
    if shape == "slab":
        return 4 * math.sin(z) / (2 * z + math.sin(2 * z))
    if shape == "cylinder":
        zero, one = bessel_j(0, z), bessel_j(1, z)
        return 2 * one / (z * (zero * zero + one * one))
    return 4 * (math.sin(z) - z * math.cos(z)) / (2 * z - math.sin(2 * z))


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


def mean_left_over(shape: Shape, biot: float, fourier: float, terms: int = 60) -> float:
    """theta of the mean over the volume: what an insulated body would come to."""
    z, _, mean = modes(shape, biot, terms)
    return float(np.sum(mean * np.exp(-z * z * fourier)))


def middle_left_over(shape: Shape, biot: float, fourier: float, terms: int = 60) -> float:
    """`left_over` in the middle, quicker."""
    z, middle, _ = modes(shape, biot, terms)
    return float(np.sum(middle * np.exp(-z * z * fourier)))
