"""The cooker and its place, as far as the person says; plain defaults, named as such, for the rest."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any, Literal, TypeAlias

from smokejournal.cook.log.ranges import Moment
from smokejournal.cook.text.strict import Range, read, written
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

_Side: TypeAlias = Annotated[float, Range(*SIDE_M, "m")]


@dataclass(frozen=True, slots=True)
class CookerFacts:
    """What the person said. None: not said.

    `learn`: whether the person's own cooks narrow what is expected; only those that began after
    `since_s` count (None: all), since another cooker burns otherwise.
    """

    shape: Shape | None = None
    length_m: _Side | None = None
    depth_m: _Side | None = None
    height_m: _Side | None = None
    wall: WallKind | None = None
    altitude_m: Annotated[float, Range(*ALTITUDE_M, "m")] | None = None
    learn: bool = True
    since_s: Moment | None = None

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
    data = written(facts)
    facts_from_json(data)
    return data


def facts_from_json(data: object) -> CookerFacts:
    """The facts; SchemaProblem names the field that can't be used."""
    return read(CookerFacts, data)
