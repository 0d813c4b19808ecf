"""Pairs of simulated cooks that differ in one thing: what an explanation of the second is judged by.

The first is how it was meant to be, and what it took is expected of the second. Which cooks, and by how
much they are changed, was set before any of them had been explained, but for the lids: at first there
were as many in an hour as in ten, which nobody does. Every third pair is `sealed`, meant for no choice; but
the first two of each cause were seen before the width of an interval was set.
"""

from __future__ import annotations

import math
import sys
from dataclasses import dataclass, replace

from smokejournal.science.forecast.explanation import (
    CAUSES,
    Cause,
    Conditions,
    Explanation,
    conditions_of,
    explain,
)
from tests.simulator.cooks import SimulatedCook, cooks
from tests.simulator.recipes import CUTS, CookSpec, WrapSpec, cook_spec

#: An eighth of the radius is two fifths of the mass.
_BIGGER, _LOWER_K, _STEP_K, _LATER_K = 1.12, -8.0, 14.0, 12.0
_LID_EVERY_S, _MOST_LIDS, _LID_S = 1200.0, 12, 120.0
_ABOUT_H = {"fish": 1.5, "poultry_pieces": 1.3, "poultry_whole": 3.0, "ribs": 4.5, "loaf": 2.7}


@dataclass(frozen=True)
class Pair:
    """A cook as it was meant to be, and with `cause` changed."""

    cause: Cause
    number: int
    meant: SimulatedCook
    came: SimulatedCook

    @property
    def sealed(self) -> bool:
        """In the part that is used for no choice."""
        return self.number % 3 == 2

    @property
    def effect_s(self) -> float:
        """What the change really made of the time."""
        return self.came.truth_s - self.meant.truth_s

    def conditions(self, cook: SimulatedCook) -> Conditions | None:
        """What a program reads off one of the two when it is over."""
        return conditions_of(cook.so_far(cook.truth_s), self.lids(cook))

    def lids(self, cook: SimulatedCook) -> tuple[tuple[float, float], ...]:
        """The lids that were written down: all."""
        told = [(at_s, at_s + for_s) for at_s, for_s in cook.spec.pit.lids if at_s < cook.truth_s]
        return tuple(told)


def _meant(cause: Cause, number: int) -> CookSpec:
    """A cook of which all that is compared was written down, without accidents of its own."""
    cuts = [cut for cut in CUTS if cut != "fish"] if cause in ("lids", "start") else list(CUTS)
    if cause == "wrap":
        cuts = ["ribs", "shoulder", "brisket"]
    spec = cook_spec(cuts[number % len(cuts)], 3000 + 100 * CAUSES.index(cause) + number)
    wrap = spec.wrap
    if cause == "wrap" and wrap is None:
        wrap = WrapSpec(70.0, "foil", "told", 240.0, 0.03, 250.0)
    pit = replace(spec.pit, fuel_out=(), set_points=spec.pit.set_points[:1], preheated=True)
    return replace(
        spec,
        pit=pit,
        probe=replace(spec.probe, in_s=spec.meat_in_s, moved=None, gaps=()),
        wrap=None if wrap is None else replace(wrap, told="told"),
        mass_told=True,
        thickness_told=False,
        start_told=True,
    )


def _came(cause: Cause, number: int, meant: CookSpec) -> CookSpec:
    """With one thing changed, by turns to the longer and to the shorter."""
    sign = 1 if number % 2 == 0 else -1
    meat, pit = meant.meat, meant.pit
    about_s = 3600.0 * _ABOUT_H.get(meant.cut, 10.0)
    if cause == "start":
        return replace(
            meant, meat=replace(meat, start_c=meat.start_c + (10.0 if sign < 0 else 20.0))
        )
    if cause == "size":
        by = _BIGGER**sign
        grown = {
            name: by * getattr(meat, name)
            for name in ("radius", "height", "length", "bone_r")
            if name != "length" or meat.length != 1.0
        }
        return replace(meant, meat=replace(meat, **grown))
    if cause == "pit":
        return replace(meant, pit=replace(pit, bias_k=pit.bias_k + sign * _LOWER_K))
    if cause == "lids":
        count = min(_MOST_LIDS, int(0.8 * about_s / _LID_EVERY_S))
        lids = [(meant.meat_in_s + about_s * (0.1 + 0.8 * n / count), _LID_S) for n in range(count)]
        return replace(meant, pit=replace(pit, lids=tuple(sorted([*pit.lids, *lids]))))
    if cause == "set_point":
        at_s, set_c = pit.set_points[0]
        later = (meant.meat_in_s + 0.3 * about_s, set_c - sign * _STEP_K)
        return replace(meant, pit=replace(pit, set_points=((at_s, set_c), later)))
    if sign > 0:
        return replace(meant, wrap=None)
    assert meant.wrap is not None
    return replace(meant, wrap=replace(meant.wrap, at_probe_c=meant.wrap.at_probe_c + _LATER_K))


def pairs(each: int) -> list[Pair]:
    """`each` pairs of every cause."""
    asked = [(cause, number) for cause in CAUSES for number in range(each)]
    meant = [_meant(cause, number) for cause, number in asked]
    came = [_came(*one, spec) for one, spec in zip(asked, meant, strict=True)]
    found = cooks([*meant, *came])
    return [
        Pair(cause, number, a, b)
        for (cause, number), a, b in zip(
            asked, found[: len(asked)], found[len(asked) :], strict=True
        )
    ]


@dataclass(frozen=True)
class Judged:
    """How an explanation of a pair came out."""

    pair: Pair
    explanation: Explanation

    @property
    def is_named(self) -> bool:
        """Whether the largest of the causes is the one that was changed."""
        causes = [part for part in self.explanation.parts if part.name in CAUSES]
        largest = max(causes, key=lambda part: abs(part.mean_s), default=None)
        return largest is not None and largest.name == self.pair.cause

    @property
    def is_largest(self) -> bool:
        """Whether it is the largest of all parts, those that explain nothing included."""
        largest = max(self.explanation.parts, key=lambda part: abs(part.mean_s))
        return largest.name == self.pair.cause

    @property
    def held(self) -> bool:
        """Whether what the change really made lies in the interval."""
        part = self.explanation.part(self.pair.cause)
        return part is not None and part.low_s <= self.pair.effect_s <= part.high_s


def judge(pair: Pair) -> Judged:
    """Explain the second cook by what the first was and took."""
    meant = pair.conditions(pair.meant)
    assert meant is not None
    took_s = pair.meant.truth_s - pair.meant.inserted_s
    cook = pair.came.so_far(pair.came.truth_s)
    found = explain(cook, meant, pair.lids(pair.came), expected_s=took_s)
    assert not isinstance(found, str), (pair.cause, pair.number, found)
    return Judged(pair, found)


def main(each: int) -> None:
    """The long form: python -m tests.simulator.causes 27."""
    judged = [judge(pair) for pair in pairs(each) if math.isfinite(pair.effect_s)]
    for title, some in (
        ("open", [one for one in judged if not one.pair.sealed]),
        ("sealed", [one for one in judged if one.pair.sealed]),
    ):
        for cause in (*CAUSES, ""):
            of = [one for one in some if cause in ("", one.pair.cause)]
            named = sum(one.is_named for one in of)
            largest = sum(one.is_largest for one in of)
            held = sum(one.held for one in of)
            print(
                f"{title:7s}{cause or 'all':10s} named {named} largest {largest} held {held} of {len(of)}"
            )


if __name__ == "__main__":
    main(int(sys.argv[1]))
