"""Which published table may be used for which food. Those of another food are refused.

Beef times on poultry give 1.7 to 3.3 of the 7 log10 reductions wanted, and on fish a quarter of the
time of the fish table (FSIS-GD-2021-14, pages 11, 12, 36 and 39). So the kind of food on the plan
decides what can be chosen, and nothing else can be: not on screen, not in the file.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal, get_args

from smokejournal.cook.log.entries import FoodClass, SafetySet, SafetyTable
from smokejournal.science.numbers.units import c_from_f
from smokejournal.science.safety import hold_tables
from smokejournal.science.safety.hold_tables import HoldTable
from smokejournal.science.safety.lethality import LethalRate, rate_of_d_and_z, rate_of_table

OWN: Literal["own"] = "own"

_POULTRY: tuple[SafetyTable, ...] = ("poultry", "chicken", "turkey")
_MEAT: tuple[SafetyTable, ...] = ("meat_6.5", "meat_7")

#: What may be chosen, the one that holds without a choice first. For ground food none does: with any
#: poultry in it, it is poultry.
OFFERED: Mapping[FoodClass, tuple[SafetyTable, ...]] = {
    "red_meat": (*_MEAT, OWN),
    "ham": (*_MEAT, OWN),
    "poultry": (*_POULTRY, OWN),
    "ground": ("", *_MEAT, *_POULTRY, OWN),
    "fish": ("fish", OWN),
    "other": ("", OWN),
}
BY_FAT: frozenset[SafetyTable] = frozenset(_POULTRY)

#: From where to where D and z are taken to hold [°C] while nobody says otherwise: where the food's
#: own table begins, and its last row that has a time.
OWN_RANGE_C: Mapping[FoodClass, tuple[float, float]] = {
    "red_meat": (c_from_f(130.0), c_from_f(157.0)),
    "ham": (c_from_f(130.0), c_from_f(157.0)),
    "poultry": (c_from_f(136.0), c_from_f(161.0)),
    "ground": (c_from_f(136.0), c_from_f(157.0)),
    "fish": (63.0, 85.0),
    "other": (c_from_f(136.0), c_from_f(157.0)),
}
assert set(OFFERED) == set(OWN_RANGE_C) == set(get_args(FoodClass))


class WrongTable(ValueError):
    """A table that was made for another food than this one."""

    def __init__(self, table: str, food: FoodClass) -> None:
        super().__init__(f"table: {table} is not for {food}, use one of {OFFERED[food]}")
        self.table, self.food = table, food


def chosen_table(said: SafetySet) -> SafetyTable:
    """The table that holds: the chosen one, or the one that holds without a choice ("": none does).

    Raises WrongTable where it is another food's.
    """
    if said.table == "":
        return OFFERED[said.food][0]
    if said.table not in OFFERED[said.food]:
        raise WrongTable(said.table, said.food)
    return said.table


def hold_table(table: SafetyTable, fat_pct: float | None) -> HoldTable:
    """The published table. ValueError for none and for the user's own D and z."""
    match table:
        case "meat_6.5":
            return hold_tables.meat(6.5)
        case "meat_7":
            return hold_tables.meat(7.0)
        case "chicken":
            return hold_tables.chicken(fat_pct)
        case "turkey":
            return hold_tables.turkey(fat_pct)
        case "poultry":
            return hold_tables.other_poultry(fat_pct)
        case "fish":
            return hold_tables.fish()
        case _:
            raise ValueError(f"table: {table!r} is none of the published ones")


def rate_and_target(said: SafetySet) -> tuple[LethalRate, float] | None:
    """The lethal rate and how many log10 reductions are set against; None while no table holds.

    Raises WrongTable for another food's table.
    """
    table = chosen_table(said)
    if table == "":
        return None
    if table == OWN:
        parts = (said.d_s, said.z_k, said.reference_c, said.from_c, said.to_c)
        given = [part for part in parts if part is not None]
        if len(given) < len(parts) or said.target_log is None:
            return None
        return rate_of_d_and_z(*given), said.target_log
    published = hold_table(table, said.fat_pct)
    return rate_of_table(published), published.log_reductions
