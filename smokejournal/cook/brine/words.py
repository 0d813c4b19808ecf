"""A brine in words: what is shown beside the form, and what is written into the plan."""

from __future__ import annotations

import html
from collections.abc import Callable, Sequence
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


def _brine(sums: BrineSums, units: Units) -> tuple[ResultRow, ...]:
    rows: list[ResultRow] = []
    if sums.strength_pct is not None:
        rows.append(
            ResultRow(
                translate("Brine", "Strength, salt to salt and water"),
                with_ends(sums.strength_pct, pct),
            )
        )
    if sums.salometer_deg is not None:
        rows.append(
            ResultRow(
                translate("Brine", "Salometer at 60 °F"),
                with_ends(sums.salometer_deg, lambda x: f"{fmt(x, 0)}°"),
            )
        )
    if sums.density_kg_m3 is not None:
        rows.append(
            ResultRow(
                translate("Brine", "Density at 60 °F"),
                with_ends(sums.density_kg_m3, lambda x: f"{fmt(x / 1000, 3)} kg/L"),
            )
        )
    if sums.volume_l is not None:
        rows.append(
            ResultRow(
                translate("Brine", "Volume"),
                with_ends(sums.volume_l, lambda x: volume(x, units.mass == "kg")),
            )
        )
    if sums.sugar_kg.mid > 0 and rows:
        rows.append(
            ResultRow(
                translate("Brine", "Sugar"),
                translate("Brine", "not counted in strength, salometer and density"),
            )
        )
    return tuple(rows)


def _food(sums: BrineSums, units: Units) -> tuple[ResultRow, ...]:
    rows: list[ResultRow] = []
    target = sums.asked.target_pct
    if sums.target_salt_kg is not None and target is not None:
        label = translate("Brine", "Salt to take for {pct} in the food")
        rows.append(
            ResultRow(label.format(pct=pct(target)), mass_words(sums.target_salt_kg, units))
        )
    if sums.even is not None:
        pumped = sums.asked.method == "pumped"
        rows.append(
            ResultRow(
                translate("Brine", "Salt, pumped in")
                if pumped
                else translate("Brine", "Salt, left until even"),
                with_ends(sums.even.food_salt_pct, pct),
            )
        )
    soak = sums.soak
    if soak is not None and sums.asked.soak_s is not None:
        after = quantities.duration(sums.asked.soak_s)
        rows.append(
            ResultRow(
                translate("Brine", "Taken up after {time}").format(time=after),
                with_ends(soak.taken_share, _share),
            )
        )
        rows.append(
            ResultRow(
                translate("Brine", "In the middle by then"), with_ends(soak.middle_share, _share)
            )
        )
        if soak.food_salt_pct is not None:
            label = translate("Brine", "Salt after {time}")
            rows.append(ResultRow(label.format(time=after), with_ends(soak.food_salt_pct, pct)))
    if sums.reach is not None:
        rows += [
            ResultRow(
                translate("Brine", "Until the middle has half"),
                with_ends(sums.reach.half_s, _long),
            ),
            ResultRow(
                translate("Brine", "Until it has nine tenths"),
                with_ends(sums.reach.most_s, _long),
            ),
        ]
    if sums.even is not None:
        raw = sums.even.water_phase_pct
        if soak is not None and soak.water_phase_pct is not None:
            raw = soak.water_phase_pct
        rows.append(
            ResultRow(translate("Brine", "Water-phase salt, before the smoke"), with_ends(raw, pct))
        )
    if sums.finished_water_phase_pct is not None:
        rows.append(
            ResultRow(
                translate("Brine", "Water-phase salt, finished"),
                with_ends(sums.finished_water_phase_pct, pct),
            )
        )
    return tuple(rows)


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
    return PrepStep(name, _step_text(sums, units), sums.asked.soak_s, sums.asked)


def _step_text(sums: BrineSums, units: Units) -> str:
    parts: list[str] = [_weighed(sums.portions, units)]
    if sums.strength_pct is not None:
        parts.append(
            translate("Brine", "{strength} salt").format(strength=with_ends(sums.strength_pct, pct))
        )
    if sums.cure is not None:
        parts.append(
            translate("Brine", "nitrite {ppm}, {method}, limit {limit}").format(
                ppm=with_ends(sums.cure.ppm, _ppm),
                method=method_words(sums.cure.method),
                limit=_ppm(sums.cure.limit.ppm),
            )
        )
    if sums.recipe.marks:
        marked = "”, “".join(mark.text for mark in sums.recipe.marks)
        parts.append(translate("Brine", "not understood: “{parts}”").format(parts=marked))
    parts.append(translate("Brine", "at or below {cold}").format(cold=_cold(units)))
    return "; ".join(part for part in parts if part)


def _cold(units: Units) -> str:
    return "4.4 °C" if units.temperature == "C" else "40 °F"


def _weighed(portions: Sequence[Portion], units: Units) -> str:
    said: list[str] = []
    for portion in portions:
        item, mass = portion.item, portion.mass_kg
        if mass is None:
            amount = f"{fmt(item.low, 2, trim=True)} {item.unit.key}".strip()
            said.append(f"{item.name} {amount}")
        else:
            said.append(f"{item.name} {mass_words(mass, units)}")
    return ", ".join(said)
