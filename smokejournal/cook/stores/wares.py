"""Wares: the salts, woods and rubs of the stores. Pellets are kept by lot (`lots`)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal, TypeAlias

from smokejournal.cook.log.brine_request import CUP_G, Grain
from smokejournal.cook.log.entries import WareSort
from smokejournal.cook.log.ranges import MassOrNoneLeft, Money, Percent
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.strict import Name, Range
from smokejournal.cook.text.translate import translate

WoodForm = Literal["", "chunks", "chips", "splits"]
_Count: TypeAlias = Annotated[float, Range(0, 100_000)]


@dataclass(frozen=True, slots=True)
class Ware:
    """One salt, wood or rub as the cook keeps it. `id` 0: not kept yet.

    `bought_kg` or `bought_count` (pieces) is all of it that ever came in; both None: never measured.
    `price` is for all of that. `low_below` is in kg, or in pieces where it is kept by pieces; None: one
    usual use. `grain` and `cup_g` (measured grams in a cup) are of a salt, `form` of a wood, `recipe`
    (text) and `salt_pct` (share of salt in the rub's mass) of a rub.
    """

    id: int
    sort: WareSort
    name: Name
    bought_kg: MassOrNoneLeft | None = None
    bought_count: _Count | None = None
    price: Money | None = None
    currency: str = ""
    low_below: _Count | None = None
    grain: Grain = ""
    cup_g: Annotated[float, Range(*CUP_G, "g")] | None = None
    form: WoodForm = ""
    recipe: str = ""
    salt_pct: Percent | None = None
    note: str = ""
    retired: bool = False

    def check_together(self) -> None:
        """SchemaProblem where it would be kept in two ways."""
        if self.bought_kg is not None and self.bought_count is not None:
            raise SchemaProblem(
                "bought_count", translate("Wares", "Give the mass or the pieces, not both.")
            )

    @property
    def by_count(self) -> bool:
        """True where it is kept by pieces, not by mass."""
        return self.bought_kg is None and self.bought_count is not None


def grain_words(grain: Grain) -> str:
    """A grain of salt in words; "" is one that nothing is said of."""
    return {
        "": translate("Wares", "not said"),
        "fine": translate("Wares", "fine: table, pickling, fine sea"),
        "dense": translate("Wares", "coarse, dense rolled grains"),
        "flake": translate("Wares", "coarse, light hollow flakes"),
        "finishing": translate("Wares", "large thin flakes"),
        "coarse": translate("Wares", "coarse"),
    }[grain]


def form_words(form: WoodForm) -> str:
    """The form of a smoke wood in words; "" is one that nothing is said of."""
    return {
        "": translate("Wares", "not said"),
        "chunks": translate("Wares", "chunks"),
        "chips": translate("Wares", "chips"),
        "splits": translate("Wares", "splits"),
    }[form]


def kind_words(ware: Ware) -> str:
    """What is special about a ware, for a table: the salt's cup and grain, the wood's form, a rub's salt."""
    if ware.sort == "salt":
        cup = (
            ""
            if ware.cup_g is None
            else translate("Wares", "{grams} g a cup").format(grams=f"{ware.cup_g:g}")
        )
        grain = grain_words(ware.grain).split(":")[0] if ware.grain else ""
        return ", ".join(part for part in (cup, grain) if part)
    if ware.sort == "wood":
        return form_words(ware.form) if ware.form else ""
    if ware.salt_pct is None:
        return ""
    return translate("Wares", "{share} % salt").format(share=f"{ware.salt_pct:g}")
