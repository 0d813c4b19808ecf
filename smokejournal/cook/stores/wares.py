"""Wares: the salts, woods and rubs of the stores. Pellets are kept by lot (`lots`)."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from smokejournal.cook.log.brine_request import CUP_G, Grain
from smokejournal.cook.log.entries import WareSort
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.translate import translate

WoodForm = Literal["", "chunks", "chips", "splits"]


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
    name: str
    bought_kg: float | None = None
    bought_count: float | None = None
    price: float | None = None
    currency: str = ""
    low_below: float | None = None
    grain: Grain = ""
    cup_g: float | None = None
    form: WoodForm = ""
    recipe: str = ""
    salt_pct: float | None = None
    note: str = ""
    retired: bool = False

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


def validate_ware(ware: Ware) -> None:
    """SchemaProblem where a field of the ware is out of its range."""
    if not ware.name.strip():
        raise SchemaProblem("name", translate("Wares", "Give it a name."))
    if len(ware.name) > 200 or len(ware.recipe) > 100_000:
        raise SchemaProblem("name", translate("Wares", "Shorten this."))
    for where, value, low, high, text in (
        ("bought_kg", ware.bought_kg, 0.0, 5000.0, translate("Wares", "Give 0 to 5000 kg.")),
        (
            "bought_count",
            ware.bought_count,
            0.0,
            100_000.0,
            translate("Wares", "Give a number of pieces, 0 or more."),
        ),
        ("price", ware.price, 0.0, 1e9, translate("Wares", "Give a price of 0 or more.")),
        (
            "low_below",
            ware.low_below,
            0.0,
            100_000.0,
            translate("Wares", "Give an amount of 0 or more."),
        ),
        ("cup_g", ware.cup_g, *CUP_G, translate("Wares", "Give 50 to 400 g for a cup of salt.")),
        ("salt_pct", ware.salt_pct, 0.0, 100.0, translate("Wares", "Give 0 to 100 %.")),
    ):
        if value is not None and not (math.isfinite(value) and low <= value <= high):
            raise SchemaProblem(where, text)
    if ware.bought_kg is not None and ware.bought_count is not None:
        raise SchemaProblem(
            "bought_count", translate("Wares", "Give the mass or the pieces, not both.")
        )
