"""A brine in words: what is shown beside the form, and what is written into the plan."""

from __future__ import annotations

import html
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from smokejournal.cook.brine.cure import method_words
from smokejournal.cook.brine.measures import volume
from smokejournal.cook.brine.recipe import RecipeLine
from smokejournal.cook.brine.sums import BrineSums, Portion
from smokejournal.cook.log.brine_request import Flesh
from smokejournal.cook.log.entries import FoodClass, PrepStep
from smokejournal.cook.text import quantities
from smokejournal.cook.text.numbers import fmt
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.text.translate import translate
from smokejournal.science.numbers.spread import Spread
from smokejournal.science.salt.cure import Method

LONGEST_S = 60 * 86400.0


@dataclass(frozen=True, slots=True)
class ResultRow:
    """One result: what it is, and how much, or why it isn't known."""

    label: str
    value: str


@dataclass(frozen=True, slots=True)
class Group:
    """Results that belong together."""

    key: str
    title: str
    rows: tuple[ResultRow, ...]


def flesh_words(flesh: Flesh) -> str:
    """A kind of flesh, as it is chosen from a list."""
    return {
        "pork": translate("Brine", "pork, lean to marbled"),
        "belly": translate("Brine", "pork belly"),
        "meat": translate("Brine", "beef, veal, lamb or mixed"),
        "poultry": translate("Brine", "poultry"),
        "fish": translate("Brine", "fish"),
        "other": translate("Brine", "something else"),
    }[flesh]


def flesh_of(food: FoodClass) -> Flesh:
    """The flesh that a kind of food on the plan is, as far as that says it."""
    flesh: dict[FoodClass, Flesh] = {
        "red_meat": "meat",
        "ground": "meat",
        "poultry": "poultry",
        "fish": "fish",
        "ham": "pork",
    }
    return flesh.get(food, "other")


def with_ends(spread: Spread, words: Callable[[float], str]) -> str:
    """ "13.8 % (10.5 % – 17.0 %)"; one number where the ends are within a hundredth of it."""
    mid, low, high = words(spread.mid), words(spread.low), words(spread.high)
    if low == high or spread.high - spread.low <= 0.01 * abs(spread.mid):
        return mid
    return quantities.interval(mid, low, high)


def _long(duration_s: float) -> str:
    """A duration; past the longest that a step may last it only says so."""
    if duration_s > LONGEST_S:
        return translate("Brine", "over {days} days").format(days=f"{LONGEST_S / 86400:.0f}")
    return quantities.duration(duration_s)


def pct(value: float) -> str:
    """ "3.8 %", small ones with two digits."""
    return f"{fmt(value, 2 if abs(value) < 0.995 else 1)} %"


def _share(value: float) -> str:
    return f"{fmt(100 * value, 0)} %"


def _ppm(value: float) -> str:
    return f"{fmt(value, 0)} ppm"


def mass_words(mass_kg: Spread, units: Units) -> str:
    """A mass with its ends; grams as well for whoever likes pounds, since salt is weighed in grams."""
    text = with_ends(mass_kg, quantities.mass)
    return text if units.mass == "kg" else f"{quantities.mass(mass_kg.mid, units)} / {text}"


def _portion(portion: Portion, units: Units) -> ResultRow:
    item = portion.item
    if portion.mass_kg is not None:
        value = mass_words(portion.mass_kg, units)
        if item.ingredient is None:
            value = translate("Brine", "{mass}, not in these sums").format(mass=value)
    elif item.unit.dimension == "count":
        count = fmt(item.low, 2, trim=True)
        if item.high != item.low:
            count = f"{count}–{fmt(item.high, 2, trim=True)}"
        value = translate("Brine", "{count}, not weighed").format(count=count)
    else:
        value = quantities.unknown(translate("Brine", "no published weight for this measure"))
    return ResultRow(item.name, value)


def groups(sums: BrineSums, units: Units) -> tuple[Group, ...]:
    """All results, in the order in which they are read."""
    found = [
        Group("mix", translate("Brine", "What to weigh"), _mix(sums, units)),
        Group("brine", translate("Brine", "The brine"), _brine(sums, units)),
        Group("food", translate("Brine", "In the food"), _food(sums, units)),
        Group("cure", translate("Brine", "Nitrite"), _nitrite(sums)),
    ]
    return tuple(group for group in found if group.rows)


def _mix(sums: BrineSums, units: Units) -> tuple[ResultRow, ...]:
    rows = [_portion(portion, units) for portion in sums.portions]
    if sums.factor != 1.0:
        rows.insert(
            0,
            ResultRow(
                translate("Brine", "The line, times"),
                fmt(sums.factor, 3 if sums.factor < 10 else 1, trim=True),
            ),
        )
    if len(sums.portions) > 1 and sums.total_kg.mid > 0:
        rows.append(ResultRow(translate("Brine", "In all"), mass_words(sums.total_kg, units)))
    return tuple(rows)


def _rows(*found: tuple[str, Spread | None, Callable[[float], str]]) -> tuple[ResultRow, ...]:
    """A row for each result that is known: its label, the result, and how it is written."""
    return tuple(
        ResultRow(label, with_ends(value, words))
        for label, value, words in found
        if value is not None
    )


def _brine(sums: BrineSums, units: Units) -> tuple[ResultRow, ...]:
    rows = _rows(
        (translate("Brine", "Strength, salt to salt and water"), sums.strength_pct, pct),
        (translate("Brine", "Salometer at 60 °F"), sums.salometer_deg, lambda x: f"{fmt(x, 0)}°"),
        (
            translate("Brine", "Density at 60 °F"),
            sums.density_kg_m3,
            lambda x: f"{fmt(x / 1000, 3)} kg/L",
        ),
        (translate("Brine", "Volume"), sums.volume_l, lambda x: volume(x, units.mass == "kg")),
    )
    if sums.sugar_kg.mid <= 0 or not rows:
        return rows
    sugar = ResultRow(
        translate("Brine", "Sugar"),
        translate("Brine", "not counted in strength, salometer and density"),
    )
    return (*rows, sugar)


def _food(sums: BrineSums, units: Units) -> tuple[ResultRow, ...]:
    asked, even, soak, reach = sums.asked, sums.even, sums.soak, sums.reach
    rows: tuple[ResultRow, ...] = ()
    if sums.target_salt_kg is not None and asked.target_pct is not None:
        label = translate("Brine", "Salt to take for {pct} in the food")
        amount = mass_words(sums.target_salt_kg, units)
        rows += (ResultRow(label.format(pct=pct(asked.target_pct)), amount),)
    if even is not None:
        label = translate("Brine", "Salt, left until even")
        if asked.method == "pumped":
            label = translate("Brine", "Salt, pumped in")
        rows += _rows((label, even.food_salt_pct, pct))
    if soak is not None and asked.soak_s is not None:
        after = quantities.duration(asked.soak_s)
        taken = translate("Brine", "Taken up after {time}").format(time=after)
        salt = translate("Brine", "Salt after {time}").format(time=after)
        rows += _rows(
            (taken, soak.taken_share, _share),
            (translate("Brine", "In the middle by then"), soak.middle_share, _share),
            (salt, soak.food_salt_pct, pct),
        )
    if reach is not None:
        rows += _rows(
            (translate("Brine", "Until the middle has half"), reach.half_s, _long),
            (translate("Brine", "Until it has nine tenths"), reach.most_s, _long),
        )
    raw = even.water_phase_pct if even is not None else None
    if even is not None and soak is not None and soak.water_phase_pct is not None:
        raw = soak.water_phase_pct
    return rows + _rows(
        (translate("Brine", "Water-phase salt, before the smoke"), raw, pct),
        (translate("Brine", "Water-phase salt, finished"), sums.finished_water_phase_pct, pct),
    )


def _nitrite(sums: BrineSums) -> tuple[ResultRow, ...]:
    cure = sums.cure
    if cure is None:
        return ()
    rows = [
        ResultRow(
            translate("Brine", "Going in, {method}").format(method=method_words(cure.method)),
            with_ends(cure.ppm, _ppm),
        ),
        ResultRow(
            translate("Brine", "Limit"),
            translate("Brine", "{ppm} ({source})").format(
                ppm=_ppm(cure.limit.ppm), source=cure.limit.source
            ),
        ),
    ]
    if cure.even_ppm is not None:
        other: Method = "immersion_two"
        label = translate("Brine", "The same, {method}").format(method=method_words(other))
        rows.append(ResultRow(label, with_ends(cure.even_ppm, _ppm)))
    return tuple(rows)


def marked_line(recipe: RecipeLine) -> str:
    """The line as HTML, with what wasn't understood underlined."""
    out: list[str] = []
    at = 0
    for mark in recipe.marks:
        if mark.start < at:
            continue
        out.append(html.escape(recipe.text[at : mark.start]))
        out.append(f"<u><b>{html.escape(recipe.text[mark.start : mark.end])}</b></u>")
        at = mark.end
    out.append(html.escape(recipe.text[at:]))
    return "".join(out)


def mark_words(recipe: RecipeLine) -> tuple[str, ...]:
    """Each part that wasn't understood: where it stands, and why."""
    return tuple(
        translate("Brine", "“{text}” (character {place}): {why}").format(
            text=mark.text, place=mark.start + 1, why=mark.why
        )
        for mark in recipe.marks
    )


def step_of(sums: BrineSums, units: Units) -> PrepStep:
    """The step as it goes into the plan. It holds what was asked, so that it can be opened again."""
    if sums.cure is not None:
        name = translate("Brine", "cure")
    elif sums.is_wet:
        name = translate("Brine", "brine")
    else:
        name = translate("Brine", "dry brine")
    text = "; ".join(_step_parts(sums, units))
    return PrepStep(name, text, sums.asked.soak_s, sums.asked)


def _step_parts(sums: BrineSums, units: Units) -> Iterator[str]:
    if sums.portions:
        yield ", ".join(_weighed(portion, units) for portion in sums.portions)
    if sums.strength_pct is not None:
        strength = with_ends(sums.strength_pct, pct)
        yield translate("Brine", "{strength} salt").format(strength=strength)
    if sums.cure is not None:
        yield translate("Brine", "nitrite {ppm}, {method}, limit {limit}").format(
            ppm=with_ends(sums.cure.ppm, _ppm),
            method=method_words(sums.cure.method),
            limit=_ppm(sums.cure.limit.ppm),
        )
    if sums.recipe.marks:
        marked = "”, “".join(mark.text for mark in sums.recipe.marks)
        yield translate("Brine", "not understood: “{parts}”").format(parts=marked)
    cold = "4.4 °C" if units.temperature == "C" else "40 °F"
    yield translate("Brine", "at or below {cold}").format(cold=cold)


def _weighed(portion: Portion, units: Units) -> str:
    item = portion.item
    amount = f"{fmt(item.low, 2, trim=True)} {item.unit.key}".strip()
    if portion.mass_kg is not None:
        amount = mass_words(portion.mass_kg, units)
    return f"{item.name} {amount}"
