"""Nitrite in a cure, by the method that was named, and every reason to refuse it.

A number without its method says nothing, so both go together. Where anything that it hangs on is
missing, it is refused rather than left out. So it is where a part of the line isn't understood: it
could be curing salt, or it could be food, which makes no pickle weaker.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from smokejournal.cook.brine.ingredients import is_numbered, may_be_cure
from smokejournal.cook.brine.recipe import RecipeItem, RecipeLine
from smokejournal.cook.brine.warnings import BrineWarning
from smokejournal.cook.log.brine_request import BrineAsked
from smokejournal.cook.text.translate import translate
from smokejournal.science.numbers.ranges import OutOfRange
from smokejournal.science.numbers.spread import NOTHING, Spread, computed
from smokejournal.science.salt import cure
from smokejournal.science.salt.cure import Method, Product


@dataclass(frozen=True, slots=True)
class CureSum:
    """Ingoing nitrite [ppm of the raw mass], the method that gives it and the limit set for it.

    `most_cure_kg` is how much of this curing salt would come to the limit. `even_ppm` is what Method
    Two gives for the same pickle, where another method was named.
    """

    ppm: Spread
    method: Method
    product: Product
    limit: cure.Limit
    cure_kg: Spread
    most_cure_kg: float
    even_ppm: Spread | None = None


def range_words(problem: OutOfRange) -> str:
    """A field that was refused, with its range."""
    text = translate("Brine", "{field}: {low} to {high} {unit}, not {value}.").format(
        field=problem.field[:1].upper() + problem.field[1:],
        low=f"{problem.low:.6g}",
        high=f"{problem.high:.6g}",
        unit=problem.unit,
        value=f"{problem.value:.6g}",
    )
    return text.replace(" ,", ",")


def method_words(method: Method) -> str:
    """The method as it is chosen from a list and written down."""
    return {
        "dry": translate("Brine", "dry cured"),
        "comminuted": translate("Brine", "ground with the cure"),
        "pumped": translate("Brine", "pumped"),
        "immersion_one": translate("Brine", "immersed, Method One: pick-up"),
        "immersion_two": translate("Brine", "immersed, Method Two: even"),
    }[method]


def product_words(product: Product) -> str:
    """What is cured, as it is chosen from a list and written down."""
    return {
        "whole": translate("Brine", "whole meat, not bacon"),
        "bacon": translate("Brine", "bacon"),
        "sausage": translate("Brine", "ground meat or sausage"),
        "fish": translate("Brine", "fish"),
    }[product]


def cure_of(
    asked: BrineAsked,
    recipe: RecipeLine,
    portions: Sequence[tuple[RecipeItem, Spread | None]],
    pickle_kg: Spread,
    *,
    unweighed: Sequence[str],
    is_wet: bool,
    dissolves: bool,
) -> tuple[CureSum | None, tuple[BrineWarning, ...]]:
    """The nitrite of a line, and what stands against it (all of weight "stop" or "look").

    `pickle_kg` is what is dissolved in the pickle and its water; `dissolves` False where the water
    can't hold it all; `unweighed` names the liquids whose mass isn't known.
    """
    refusals = _never(recipe)
    cures = [(item, mass) for item, mass in portions if item.kind == "cure"]
    if cures or refusals or asked.product:
        refusals += [_stop(text) for text in _unclear(recipe, unweighed)]
    if not cures:
        if asked.product and not refusals:
            text = translate(
                "Brine", "No curing salt was found in the line, so no nitrite goes in."
            )
            return None, (BrineWarning("look", text),)
        return None, tuple(refusals)
    if any(item.unit.dimension != "mass" for item, _ in cures):
        refusals.append(
            _stop(translate("Brine", "Weigh the curing salt. A spoon isn't exact enough."))
        )
    refusals += [_stop(text) for text in _lacking(asked)]
    if refusals:
        return None, tuple(refusals)
    mass = NOTHING
    for _, part in cures:
        mass += part or NOTHING
    if is_wet and asked.method != "comminuted" and not dissolves:
        text = translate(
            "Brine",
            "Not all of this dissolves in the water, so how strong the pickle is isn't "
            "known. Use more water.",
        )
        return None, (_stop(text),)
    found, against = _worked_out(asked, mass, pickle_kg, is_wet)
    if found is not None and not all(is_numbered(item.name) for item, _ in cures):
        text = translate(
            "Brine",
            "“{name}” has no number. Look at its label: this holds only if there is nitrite and no nitrate in it.",
        )
        names = "”, “".join(dict.fromkeys(i.name for i, _ in cures if not is_numbered(i.name)))
        against = (*against, BrineWarning("look", text.format(name=names)))
    return found, against


def _stop(text: str) -> BrineWarning:
    return BrineWarning("stop", text)


def _never(recipe: RecipeLine) -> list[BrineWarning]:
    """What is refused whatever goes with it."""
    found: list[str] = []
    for item in recipe.items:
        if item.ingredient is not None and item.kind == "refused":
            found.append(
                {
                    "pink": translate(
                        "Brine",
                        "Pink salt can be curing salt, which is poisonous in excess, or mined salt. Write “curing salt” or “rock salt”.",
                    ),
                    "nitrite": translate(
                        "Brine",
                        "Pure nitrite is poisonous by the gram and isn't worked with here. Use a blend sold as curing salt and type “curing salt”.",
                    ),
                }.get(
                    item.ingredient.key,
                    translate(
                        "Brine",
                        "Cures with nitrate aren't worked out here. Follow a tested recipe and its label.",
                    ),
                )
            )
    unknown = [item.name for item in recipe.items if item.ingredient is None]
    for name in (*unknown, *(mark.text for mark in recipe.marks)):
        if may_be_cure(name):
            found.append(
                translate(
                    "Brine",
                    "“{name}” may hold nitrite. Write “curing salt #1” or “curing salt #2”, as its label says, and weigh it.",
                ).format(name=name)
            )
    return [_stop(text) for text in dict.fromkeys(found)]


def _unclear(recipe: RecipeLine, unweighed: Sequence[str]) -> Iterator[str]:
    """Why it isn't known how much pickle there is, or what is in it."""
    unknown = [item.name for item in recipe.items if item.ingredient is None]
    parts = dict.fromkeys((*unknown, *(mark.text for mark in recipe.marks)))
    if parts:
        text = translate(
            "Brine",
            "“{parts}” isn't understood, so no limit counts as met. Fix what is marked or "
            "take it out. Food doesn't go in this line: give its mass in its own field.",
        )
        yield text.format(parts="”, “".join(parts))
    if unweighed:
        text = translate("Brine", "Weigh “{names}”: how much pickle it makes isn't known.")
        yield text.format(names="”, “".join(unweighed))


def _lacking(asked: BrineAsked) -> Iterator[str]:
    """What has to be given before nitrite can be worked out."""
    if not asked.product or not asked.method:
        yield translate(
            "Brine",
            "There is curing salt in the line: choose what is cured, and by which method.",
        )
    if asked.food_kg is None:
        yield translate(
            "Brine", "Give the mass of the food. Nitrite can't be worked out without it."
        )
    if asked.nitrite_pct is None:
        yield translate(
            "Brine",
            "Nitrite in the curing salt: give the percentage on its label ({low} to {high} %).",
        ).format(low=cure.LEAST_NITRITE_PCT, high=f"{cure.MOST_NITRITE_PCT:g}")
    if asked.method in ("pumped", "immersion_one") and asked.pickup_pct is None:
        yield translate(
            "Brine",
            "Pumped or picked up: give it in percent of the raw mass (0.1 to 100 %).",
        )


def _worked_out(
    asked: BrineAsked, cure_kg: Spread, pickle_kg: Spread, is_wet: bool
) -> tuple[CureSum | None, tuple[BrineWarning, ...]]:
    product, method = asked.product, asked.method
    food_kg, nitrite_pct = asked.food_kg, asked.nitrite_pct
    assert product
    assert method
    assert food_kg is not None
    assert nitrite_pct is not None
    try:
        limit = cure.limit(product, method, rind_on=asked.rind_on)
    except cure.CureMismatch:
        text = translate("Brine", "No limit is published for {product}, {method}. Choose another.")
        return None, (
            _stop(text.format(product=product_words(product), method=method_words(method))),
        )
    # Ground meat may have water in it, which changes nothing: the raw meat counts.
    if method != "comminuted" and (method == "dry") == is_wet:
        text = (
            translate("Brine", "There is water in the line: choose pumped or immersed.")
            if is_wet
            else translate("Brine", "There is no water in the line: choose another method.")
        )
        return None, (_stop(text),)

    def ppm_by(by: Method) -> Spread:
        return computed(
            lambda curing, pickle: cure.ingoing_ppm(
                by, cure.nitrite_kg(curing, nitrite_pct), food_kg, pickle, asked.pickup_pct
            ),
            cure_kg,
            pickle_kg,
        )

    try:
        ppm = ppm_by(method)
        even = ppm_by("immersion_two") if method == "immersion_one" else None
        most = cure.most_cure_kg(
            limit.ppm,
            method,
            nitrite_pct,
            food_kg,
            max(pickle_kg.low - cure_kg.low, 0.0),
            asked.pickup_pct,
        )
    except OutOfRange as problem:
        text = translate("Brine", "Nitrite can't be worked out. {why}")
        return None, (_stop(text.format(why=range_words(problem))),)
    found = CureSum(ppm, method, product, limit, cure_kg, most, even)
    return found, tuple(_against(found))


def _against(found: CureSum) -> Iterator[BrineWarning]:
    """What speaks against a number of nitrite."""
    limit = found.limit
    if found.ppm.high > limit.ppm * (1 + 1e-9):
        text = translate(
            "Brine",
            "Too much nitrite: {ppm} ppm, {method}, and the limit is {limit} ppm ({source}). Not above {most} g of this curing salt.",
        )
        yield _stop(
            text.format(
                ppm=f"{found.ppm.high:.0f}",
                method=method_words(found.method),
                limit=f"{limit.ppm:.0f}",
                source=limit.source,
                most=_grams_down(found.most_cure_kg),
            )
        )
    elif found.ppm.low < cure.LEAST_PPM and found.product != "fish":
        text = translate(
            "Brine",
            "Little nitrite: {ppm} ppm. {least} ppm is the least asked of cured food that is kept cold; don't count on less to protect it.",
        )
        yield BrineWarning(
            "look", text.format(ppm=f"{found.ppm.low:.0f}", least=f"{cure.LEAST_PPM:.0f}")
        )
    if found.even_ppm is not None and found.even_ppm.high > limit.ppm >= found.ppm.high:
        text = translate(
            "Brine",
            "Left in until even, the same pickle comes to {ppm} ppm by Method Two, over the limit of {limit} ppm. Weigh the meat, and take it out at the pick-up you gave.",
        )
        yield BrineWarning(
            "look", text.format(ppm=f"{found.even_ppm.high:.0f}", limit=f"{limit.ppm:.0f}")
        )
    if limit.is_finished:
        yield BrineWarning(
            "look",
            translate(
                "Brine",
                "For fish the rule is about what is found in the finished loin (100 to 200 ppm, and in a few species only). That can't be worked out from what goes in.",
            ),
        )


def _grams_down(mass_kg: float) -> str:
    """Grams, rounded down: a limit isn't rounded up."""
    tenths = int(mass_kg * 10_000 + 1e-9)
    return f"{tenths / 10:g}"
