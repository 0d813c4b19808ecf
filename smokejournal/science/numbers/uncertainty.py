"""Sums of measured quantities, each known only so well.

First-order propagation of independent inputs: the standard deviation of a sum is the root of the sum
of squares, each input weighted by how often it comes in. An input that comes in twice with opposite
signs cancels, which is why the inputs are carried along and not only the deviations.

Source: JCGM 100:2008 (Guide to the Expression of Uncertainty in Measurement), 5.1.2, equation (10).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from smokejournal.science.numbers.refusals import NOT_BELOW_ZERO, NUMBER, refuses


@dataclass(frozen=True, slots=True)
class Sum:
    """A linear combination of independent measured inputs.

    `value` and the inputs' deviations are in one and the same unit. `terms` maps an input's number
    to its factor and its standard deviation.
    """

    value: float = 0.0
    terms: Mapping[int, tuple[float, float]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        NUMBER.check("value", self.value)

    @property
    def sd(self) -> float:
        """Combined standard deviation, in the unit of `value`."""
        return math.sqrt(math.fsum((factor * sd) ** 2 for factor, sd in self.terms.values()))

    def __add__(self, other: Sum) -> Sum:
        return self._plus(other, 1.0)

    def __sub__(self, other: Sum) -> Sum:
        return self._plus(other, -1.0)

    def times(self, factor: float) -> Sum:
        """This times an exact number; `value` and deviations then have the product's unit."""
        return Sum(self.value * factor, {n: (f * factor, s) for n, (f, s) in self.terms.items()})

    def _plus(self, other: Sum, sign: float) -> Sum:
        terms = dict(self.terms)
        for number, (factor, sd) in other.terms.items():
            total = terms.get(number, (0.0, sd))[0] + sign * factor
            if total == 0.0:
                terms.pop(number, None)
            else:
                terms[number] = (total, sd)
        return Sum(self.value + sign * other.value, terms)


@refuses(sd=NOT_BELOW_ZERO)
def measured(number: int, value: float, sd: float) -> Sum:
    """One measured input. `number` tells it from every other."""
    return Sum(value, {number: (1.0, sd)})


def total(parts: Iterable[Sum]) -> Sum:
    """The sum of all parts; nothing, exactly, for none."""
    result = Sum()
    for part in parts:
        result += part
    return result
