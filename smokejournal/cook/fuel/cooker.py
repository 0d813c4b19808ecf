"""The cooker and its place, as far as the person says; plain defaults, named as such, for the rest."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any, Literal

from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.translate import translate
from smokejournal.science.air.boiling import ALTITUDE_M
from smokejournal.science.heat.heat_loss import SIDE_M, Cooker, Shape, Wall

WallKind = Literal["sheet", "double", "insulated", "ceramic"]
SHAPES: tuple[Shape, ...] = ("box", "barrel")
WALLS: tuple[WallKind, ...] = ("sheet", "double", "insulated", "ceramic")

#: What each wall holds back [m2 K/W]: a closed gap of air some 0.15; 25 mm of mineral wool at 0.04
#: W/m K; 25 mm of ceramic at 1.2 W/m K. Common practice, no source; the gap lies within the interval.
RESISTANCE_M2K_W: dict[WallKind, float] = {
    "sheet": 0.0,
    "double": 0.15,
    "insulated": 0.6,
    "ceramic": 0.02,
}
PLAIN = Cooker()


@dataclass(frozen=True, slots=True)
class CookerFacts:
    """What the person said. None: not said.

    `learn`: whether the person's own cooks narrow what is expected; only those that began after
    `since_s` count (None: all), since another cooker burns otherwise.
    """

    shape: Shape | None = None
    length_m: float | None = None
    depth_m: float | None = None
    height_m: float | None = None
    wall: WallKind | None = None
    altitude_m: float | None = None
    learn: bool = True
    since_s: float | None = None

    @property
    def size_said(self) -> bool:
        """True where every side is said that its shape has."""
        sides = [self.length_m, self.height_m]
        if self.shape != "barrel":
            sides.append(self.depth_m)
        return all(side is not None for side in sides)

    def cooker(self) -> Cooker:
        """The cooker, with plain defaults for what was not said."""
        return Cooker(
            shape=self.shape or PLAIN.shape,
            length_m=PLAIN.length_m if self.length_m is None else self.length_m,
            depth_m=PLAIN.depth_m if self.depth_m is None else self.depth_m,
            height_m=PLAIN.height_m if self.height_m is None else self.height_m,
            wall=Wall(resistance_m2k_w=RESISTANCE_M2K_W[self.wall or "sheet"]),
        )


def facts_to_json(facts: CookerFacts) -> dict[str, Any]:
    """What was said, by name; defaults are left out. SchemaProblem where a fact can't be."""
    data = {
        f.name: getattr(facts, f.name)
        for f in fields(facts)
        if getattr(facts, f.name) not in (None, f.default)
    }
    facts_from_json(data)
    return data


def facts_from_json(data: object) -> CookerFacts:
    """The facts; SchemaProblem names the field that can't be used."""
    if not isinstance(data, Mapping):
        raise SchemaProblem("", translate("Cooker", "Give a set of named fields."))
    known = {f.name for f in fields(CookerFacts)}
    for name in data:
        if name not in known:
            raise SchemaProblem(
                str(name), translate("Cooker", "This version doesn't know this field.")
            )
    return CookerFacts(
        shape=_one_of(data, "shape", SHAPES),
        length_m=_number(data, "length_m", *SIDE_M, "m"),
        depth_m=_number(data, "depth_m", *SIDE_M, "m"),
        height_m=_number(data, "height_m", *SIDE_M, "m"),
        wall=_one_of(data, "wall", WALLS),
        altitude_m=_number(data, "altitude_m", *ALTITUDE_M, "m"),
        learn=data.get("learn", True) is not False,
        since_s=_number(data, "since_s", 0.0, 253_402_300_799.0, "s"),
    )


def _one_of(data: Mapping[str, Any], name: str, words: tuple[Any, ...]) -> Any:
    value = data.get(name)
    if value is not None and value not in words:
        raise SchemaProblem(
            name, translate("Cooker", "Choose one of {words}.").format(words=", ".join(words))
        )
    return value


def _number(data: Mapping[str, Any], name: str, low: float, high: float, unit: str) -> float | None:
    value = data.get(name)
    if value is None:
        return None
    number = isinstance(value, int | float) and not isinstance(value, bool)
    if not number or not (math.isfinite(value) and low <= value <= high):
        raise SchemaProblem(
            name,
            translate("Cooker", "Give a number from {low:g} to {high:g} {unit}.").format(
                low=low, high=high, unit=unit
            ),
        )
    return float(value)
