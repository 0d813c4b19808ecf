"""What was asked of a brine or a cure, as it is kept with its step in the log.

Only what the person gave; all that follows from it is worked out again (`brine_plan`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from smokejournal.cook.log.ranges import Duration, Mass, Percent, Thickness
from smokejournal.cook.text.strict import Range

#: The same as the shapes of the series, without what they import.
Shape = Literal["slab", "cylinder", "sphere"]
Grain = Literal["", "fine", "dense", "flake", "finishing", "coarse"]
Flesh = Literal["pork", "belly", "meat", "poultry", "fish", "other"]
ScaleBy = Literal["", "times", "mass", "vessel"]
CuredProduct = Literal["", "whole", "bacon", "sausage", "fish"]
CureMethod = Literal["", "dry", "comminuted", "pumped", "immersion_one", "immersion_two"]

#: Grams of salt in a cup that can be: from the lightest to the heaviest published (`ingredients.GRAINS`,
#: 115 to 292 g), with room for what nobody published.
CUP_G = (50.0, 400.0)


@dataclass(frozen=True, slots=True)
class BrineAsked:
    """A line such as "2 qt water, 1 cup salt", and what it is for.

    `scale_to` is a factor, kilograms of brine in all or liters of a vessel, by `scale_by`.
    `thickness_m` is a slab's thickness or the diameter of another shape. `finished_pct` is the
    finished mass in percent of the raw one. `pickup_pct` is what is pumped in or was measured to be
    picked up, in percent of the raw mass. `salt` is the name of a salt of the stores that it is made
    with, `cup_g` what a cup of it was measured to weigh [g].
    """

    line: str
    grain: Grain = ""
    flesh: Flesh = "other"
    food_kg: Mass | None = None
    thickness_m: Thickness | None = None
    shape: Shape = "slab"
    one_face: bool = False
    soak_s: Duration | None = None
    target_pct: Percent | None = None
    finished_pct: Annotated[float, Range(0, 200, "%", above=True)] | None = None
    scale_by: ScaleBy = ""
    scale_to: Annotated[float, Range(0, 10_000, above=True)] | None = None
    product: CuredProduct = ""
    method: CureMethod = ""
    nitrite_pct: Percent | None = None
    pickup_pct: Percent | None = None
    rind_on: bool = False
    salt: str = ""
    cup_g: Annotated[float, Range(*CUP_G, "g")] | None = None
