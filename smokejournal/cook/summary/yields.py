"""Yield: what was left of the mass at each step from shop to plate."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from smokejournal.cook.log.entries import Entry, ItemAdded, MassStage, Weighed

STEPS: tuple[MassStage, ...] = ("raw", "prepared", "cooked", "served")

WhyNoMass = Literal["", "not_weighed", "not_every_item"]


@dataclass(frozen=True, slots=True)
class YieldStep:
    """The mass at one step [kg], and its share of the raw mass [%]; None where it isn't known."""

    step: MassStage
    mass_kg: float | None
    share_pct: float | None
    why: WhyNoMass = ""


@dataclass(frozen=True, slots=True)
class YieldLine:
    """One item from step to step; `item` "" is all of it together."""

    item: str
    steps: tuple[YieldStep, ...]


@dataclass(frozen=True, slots=True)
class Yields:
    """`whole` for everything, `items` for each where more than one was weighed by name.

    `weighed_again`: how many weighings a later one of the same item at the same step replaces.
    """

    whole: YieldLine
    items: tuple[YieldLine, ...] = ()
    weighed_again: int = 0

    @property
    def known(self) -> bool:
        """True when any mass past the raw one is known."""
        return any(s.mass_kg is not None for s in self.whole.steps[1:]) or any(
            s.mass_kg is not None for line in self.items for s in line.steps[1:]
        )


def yields(entries: Sequence[Entry]) -> Yields:
    """Read the masses off entries that hold, in order of time.

    A weighing without an item is of everything. The mass an item was bought with is its raw mass
    until it is weighed raw. A later weighing of the same thing at the same step replaces the earlier.
    """
    masses: dict[str, dict[MassStage, float]] = {}
    bought: dict[str, float] = {}
    names: list[str] = []
    complete = True
    again = 0
    for entry in entries:
        what = entry.what
        if isinstance(what, ItemAdded):
            names.append(what.name)
            if what.mass_kg is None:
                complete = False
            else:
                bought[what.name] = bought.get(what.name, 0.0) + what.mass_kg
        elif isinstance(what, Weighed):
            steps = masses.setdefault(what.item, {})
            again += what.stage in steps
            steps[what.stage] = what.mass_kg
    for name, mass_kg in bought.items():
        masses.setdefault(name, {}).setdefault("raw", mass_kg)
    if len(set(names)) == 1:
        # With one item on the grate it makes no difference whether it was named.
        whole_masses = {**masses.get(names[0], {}), **masses.get("", {})}
        return Yields(_line("", whole_masses, {}), weighed_again=again)
    every = set(names) | {name for name in masses if name}
    parts = {name: masses.get(name, {}) for name in dict.fromkeys([*names, *masses]) if name}
    whole = dict(masses.get("", {}))
    why: dict[MassStage, WhyNoMass] = {}
    for step in STEPS:
        if step in whole or not every:
            continue
        known = [steps[step] for steps in parts.values() if step in steps]
        if len(known) == len(every) and (step != "raw" or complete or not bought):
            whole[step] = sum(known)
        elif known:
            why[step] = "not_every_item"
    lines = tuple(_line(name, steps, {}) for name, steps in parts.items() if steps)
    return Yields(_line("", whole, why), lines, again)


def _line(
    item: str, masses: Mapping[MassStage, float], why: Mapping[MassStage, WhyNoMass]
) -> YieldLine:
    raw_kg = masses.get("raw")
    steps = []
    for step in STEPS:
        mass_kg = masses.get(step)
        if mass_kg is None:
            steps.append(YieldStep(step, None, None, why.get(step, "not_weighed")))
        else:
            share = 100.0 * mass_kg / raw_kg if raw_kg else None
            steps.append(YieldStep(step, mass_kg, share))
    return YieldLine(item, tuple(steps))
