"""Ticks at round numbers of the reader's own scale, for temperatures and for their differences."""

from __future__ import annotations

import math

from smokejournal.cook.text.numbers import fmt
from smokejournal.cook.text.quantities import Units
from smokejournal.science.numbers.units import c_from_f, f_from_c, f_step_from_k, k_from_f_step


def round_step(span: float, most: float) -> float:
    """The least of 1, 2 and 5 times a power of ten of which at most `most` go into `span`."""
    least = max(span, 1e-9) / max(1.0, most)
    power = 10.0 ** math.floor(math.log10(least))
    return next(f * power for f in (1.0, 2.0, 5.0, 10.0) if f * power >= least * (1 - 1e-9))


def _ticks(low: float, high: float, most: float) -> list[tuple[float, str]]:
    step = round_step(high - low, most)
    digits = max(0, -math.floor(math.log10(step) + 1e-9))
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [(n * step, fmt(n * step, digits)) for n in range(first, last + 1)]


def degree_ticks(low_c: float, high_c: float, units: Units, most: float) -> list[tuple[float, str]]:
    """Ticks of a temperature: where [°C], and the number in the reader's unit."""
    if units.temperature == "C":
        return _ticks(low_c, high_c, most)
    return [(c_from_f(f), text) for f, text in _ticks(f_from_c(low_c), f_from_c(high_c), most)]


def step_ticks(low_k: float, high_k: float, units: Units, most: float) -> list[tuple[float, str]]:
    """Ticks of a difference: where [K], and the number in the reader's unit."""
    if units.temperature == "C":
        return _ticks(low_k, high_k, most)
    found = _ticks(f_step_from_k(low_k), f_step_from_k(high_k), most)
    return [(k_from_f_step(f), text) for f, text in found]
