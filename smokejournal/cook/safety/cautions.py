"""The usual cautions of food, fire and fumes, each with who published it.

They say what is usually held to; none says that anything is safe. Where the program can't name a
publisher that was read, the caution is marked as common practice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from smokejournal.cook.log.entries import FoodClass, ItemAdded, PrepStep
from smokejournal.cook.text.quantities import METRIC, Units, temperature
from smokejournal.cook.text.translate import translate
from smokejournal.science.numbers.units import c_from_f

Moment = Literal["plan", "fire", "serve", "print"]

CautionKey = Literal[
    "minimum",
    "no_minimum",
    "thermometer",
    "out_of_cold",
    "keep_hot",
    "keep_cold",
    "monoxide",
    "heat",
    "cure",
    "codes",
]

HOT_DAY_C = c_from_f(90.0)
"""From this air temperature on, food may stay out half as long."""


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution. `source` names who published it, ready to be shown behind the text."""

    key: CautionKey
    text: str
    source: str

    @property
    def in_full(self) -> str:
        """The text with its source."""
        return f"{self.text} ({self.source})"


@dataclass(frozen=True, slots=True)
class SafeMinimum:
    """A published least temperature inside [°C], and the rest after it [s]."""

    temperature_c: float
    rest_s: float = 0.0


#: USDA FSIS, Safe Minimum Internal Temperature Chart, and the chart of foodsafety.gov (2019). "ham" is
#: raw ham; "other" has no one number.
SAFE_MINIMUM: dict[FoodClass, SafeMinimum] = {
    "red_meat": SafeMinimum(c_from_f(145.0), 180.0),
    "ham": SafeMinimum(c_from_f(145.0), 180.0),
    "fish": SafeMinimum(c_from_f(145.0)),
    "ground": SafeMinimum(c_from_f(160.0)),
    "poultry": SafeMinimum(c_from_f(165.0)),
}


def cautions_for(
    items: Sequence[ItemAdded],
    moment: Moment,
    units: Units = METRIC,
    *,
    air_c: float | None = None,
    preps: Sequence[PrepStep] = (),
) -> tuple[Caution, ...]:
    """What is usually held to at this moment, the most pressing first.

    "plan": while temperatures are chosen. "fire": before the fire is lit. "serve": once the food is
    done. "print": all of it. `air_c` is the warmest air seen or expected; None when it isn't known.
    """
    found: list[Caution] = []
    foods = tuple(dict.fromkeys(item.food for item in items))
    if moment in ("fire", "print"):
        found += [_monoxide(), _heat()]
    if moment in ("plan", "serve", "print"):
        found += [_minimum(food, units) for food in foods] or [_no_minimum()]
        found.append(_thermometer())
    if moment in ("serve", "print"):
        found.append(_out_of_cold(air_c, units))
    if moment in ("plan", "print") and _cured(foods, preps):
        found.append(_cure())
    found.append(_codes())
    return tuple(dict.fromkeys(found))


def _both(temperature_c: float, units: Units) -> str:
    """In both units, the person's own first: published in °F, cooked by in either."""
    other = Units(temperature="F" if units.temperature == "C" else "C")

    def digits(of: Units) -> int:
        return 1 if of.temperature == "C" else 0

    return f"{temperature(temperature_c, units, digits(units))} ({temperature(temperature_c, other, digits(other))})"


def _minimum(food: FoodClass, units: Units) -> Caution:
    least = SAFE_MINIMUM.get(food)
    if least is None:
        return _no_minimum()
    text = {
        "red_meat": translate(
            "Cautions",
            "Whole cuts of beef, veal, lamb and pork: the published minimum inside is {t}, "
            "then a 3 min rest.",
        ),
        "ham": translate(
            "Cautions",
            "Raw ham: the published minimum inside is {t}, then a 3 min rest. A ham that "
            "was cooked before is heated to 60.0 °C (140 °F) if it comes sealed from an "
            "inspected plant, otherwise to 73.9 °C (165 °F).",
        ),
        "fish": translate(
            "Cautions",
            "Fish (not shellfish): the published minimum inside is {t}, or cook until the "
            "flesh is opaque and flakes easily with a fork.",
        ),
        "ground": translate(
            "Cautions",
            "Ground beef, pork, veal and lamb: the published minimum inside is {t}; ground "
            "poultry 73.9 °C (165 °F).",
        ),
        "poultry": translate(
            "Cautions",
            "Poultry, every part and the stuffing: the published minimum inside is {t}.",
        ),
    }[food]
    return Caution("minimum", text.format(t=_both(least.temperature_c, units)), _chart())


def _no_minimum() -> Caution:
    return Caution(
        "no_minimum",
        translate(
            "Cautions",
            "There is no minimum temperature on file for this food. Look it up in the "
            "published chart before you cook it.",
        ),
        _chart(),
    )


def _chart() -> str:
    return translate("Cautions", "USDA FSIS, Safe Minimum Internal Temperature Chart")


def _thermometer() -> Caution:
    return Caution(
        "thermometer",
        translate(
            "Cautions",
            "Measure in the middle of the thickest part, away from bone, and in several "
            "places if the piece is uneven. A probe in one place does not speak for the "
            "whole piece.",
        ),
        translate("Cautions", "USDA FSIS, Proper Thermometer Placement"),
    )


def _out_of_cold(air_c: float | None, units: Units) -> Caution:
    low, high = _both(c_from_f(40.0), units), _both(c_from_f(140.0), units)
    if air_c is not None and air_c > HOT_DAY_C:
        text = translate(
            "Cautions",
            "It is hotter than {hot}: keep food between {low} and {high} no longer than 1 "
            "h, then chill it or throw it away.",
        )
    else:
        text = translate(
            "Cautions",
            "Keep food between {low} and {high} no longer than 2 h (1 h if the air is above "
            "{hot}), then chill it or throw it away.",
        )
    return Caution(
        "out_of_cold",
        text.format(hot=_both(HOT_DAY_C, units), low=low, high=high),
        translate("Cautions", "USDA FSIS, Danger Zone"),
    )


def keep_hot(units: Units = METRIC) -> Caution:
    """What is held to while food that is done waits to be served.

    The Food Code's line (3-501.16, from 2005 on) is 57 °C (135 °F); the warmer one is named here.
    """
    return Caution(
        "keep_hot",
        translate(
            "Cautions",
            "Kept hot until it is served, food stays at {t} or above all the time: watch it with a "
            "probe. Local codes come first.",
        ).format(t=_both(c_from_f(140.0), units)),
        translate("Cautions", "USDA FSIS, Danger Zone"),
    )


def keep_cold(units: Units = METRIC) -> Caution:
    """What is held to while raw food lies in a brine or cure, or waits."""
    return Caution(
        "keep_cold",
        translate(
            "Cautions",
            "Raw food stays at {t} or below the whole time it brines, cures or waits.",
        ).format(t=_both(c_from_f(40.0), units)),
        translate("Cautions", "USDA FSIS, Danger Zone"),
    )


def _monoxide() -> Caution:
    return Caution(
        "monoxide",
        translate(
            "Cautions",
            "Smoke outdoors only: never in a house, garage or tent, or under a closed roof. "
            "Fire and pellets give off carbon monoxide, which you can't smell. If you have "
            "a headache, dizziness or nausea, get into fresh air and call for help.",
        ),
        translate(
            "Cautions", "signs: New York State Department of Health; the rest common practice"
        ),
    )


def _heat() -> Caution:
    return Caution(
        "heat",
        translate(
            "Cautions",
            "The pit, its grates and dripping fat burn you. Keep children and animals away, "
            "keep a lid and a grease fire extinguisher within reach, never put water on "
            "burning fat, and let ashes cool in a metal can.",
        ),
        _practice(),
    )


def _cured(foods: Sequence[FoodClass], preps: Sequence[PrepStep]) -> bool:
    said = " ".join(f"{prep.step} {prep.text}" for prep in preps).lower()
    return "ham" in foods or "cure" in said or "curing" in said or "nitrite" in said


def _cure() -> Caution:
    return Caution(
        "cure",
        translate(
            "Cautions",
            "Too much curing salt is poisonous, and blends differ in strength: weigh it, go "
            "by the label on yours and a tested recipe, and keep it away from table salt.",
        ),
        _practice(),
    )


def _codes() -> Caution:
    return Caution(
        "codes",
        translate(
            "Cautions",
            "These are the usual cautions, not a promise that food or fire is safe. Local "
            "codes, the maker's instructions and licensed practice come first.",
        ),
        _practice(),
    )


def _practice() -> str:
    return translate("Cautions", "common practice")
