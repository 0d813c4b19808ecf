"""A line about food safety, and what must stand beside any figure in it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from smokejournal.cook.log.entries import FoodClass, SafetyTable
from smokejournal.cook.safety.facts import Lethality, State
from smokejournal.cook.safety.tables import OWN, OWN_RANGE_C
from smokejournal.cook.text import quantities as q
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.text.translate import translate
from smokejournal.science.numbers.units import c_from_f
from smokejournal.science.safety.hold_tables import FAT_PCT

#: Lines about a limit that must not be passed; the others are about something to be reached.
LIMITS = ("come_up", "zone", "cooling")
#: Below this endpoint the meat and poultry tables ask for 90 % of humidity (FSIS-GD-2021-14, page 25).
BELOW_ONLY_MOIST_C = c_from_f(145.0)


@dataclass(frozen=True, slots=True)
class SafetyLine:
    """One line. `caveat` must stand wherever `text` does; `detail` is how it was counted, `source` who

    published the figure.
    """

    key: str
    title: str
    state: State
    text: str
    source: str
    caveat: str = ""
    detail: str = ""

    @property
    def state_words(self) -> str:
        """How it stands, in a word or two."""
        if self.state == "met" and self.key in LIMITS:
            return translate("Safety", "within the limit")
        return state_words(self.state)


def unmet(food: FoodClass, lines: Sequence[SafetyLine]) -> tuple[SafetyLine, ...]:
    """The lines of one kind of food to be read before a hold is cut short or the cook is closed.

    The hold table and the minimum temperature are two published ways to the same end: where one is
    reached, the other isn't asked for. A hold of its own (`hot_hold`) and a limit that was passed
    always count. Of other food nothing is published here, so what isn't known isn't asked about.
    """
    ways = [line for line in lines if line.key in ("lethality", "minimum")]
    left = [] if any(line.state == "met" for line in ways) else ways
    passed = ("idle", "unknown") if food == "other" else ("idle",)
    left = [line for line in left if line.state not in passed]
    left += [line for line in lines if line.key == "hot_hold" and line.state == "not_yet"]
    return (*left, *(line for line in lines if line.state == "over" and line not in left))


def state_words(state: State) -> str:
    """A state in a word or two, never color alone."""
    return {
        "met": translate("Safety", "reached"),
        "not_yet": translate("Safety", "not yet"),
        "over": translate("Safety", "over the limit"),
        "unknown": translate("Safety", "not known"),
        "idle": translate("Safety", "not begun"),
    }[state]


def food_name(food: FoodClass, names: Sequence[str]) -> str:
    """The kind of food and its items: "Poultry: thighs, wings"."""
    kind = {
        "red_meat": translate("Safety", "Whole cuts"),
        "poultry": translate("Safety", "Poultry"),
        "ground": translate("Safety", "Ground meat"),
        "fish": translate("Safety", "Fish"),
        "ham": translate("Safety", "Ham"),
        "other": translate("Safety", "Other food"),
    }[food]
    return f"{kind}: {', '.join(names)}" if names else kind


def figure(value_c: float, units: Units) -> str:
    """A published temperature, with a decimal only where it has one: 54.4 °C is 130 °F."""
    number = q.temperature_number(value_c, units, 1)
    return f"{number.removesuffix('.0')} {q.temperature_unit(units)}"


def against_words(table: SafetyTable) -> str:
    """What is set against, in the middle of a sentence."""
    return {
        "": translate("Safety", "no table"),
        "meat_6.5": translate("Safety", "the meat table"),
        "meat_7": translate("Safety", "the meat table"),
        "chicken": translate("Safety", "the chicken table"),
        "turkey": translate("Safety", "the turkey table"),
        "poultry": translate("Safety", "the longer of the chicken and turkey tables"),
        "fish": translate("Safety", "the fish table"),
        "own": translate("Safety", "your own D and z"),
    }[table]


def no_table_words(food: FoodClass) -> str:
    """Why no table holds without a choice."""
    if food == "ground":
        return translate(
            "Safety",
            "Ground meat with any poultry in it counts as poultry. Choose the table, then lethality is shown.",
        )
    return translate(
        "Safety",
        "There is no table on file for this food. Say on Plan what kind it is, or give "
        "your own D and z.",
    )


def fat_words(fat_pct: float | None) -> str:
    """Which column of fat counts."""
    if fat_pct is None:
        return translate("Safety", "Fat isn't known, so the column of {worst} counts.").format(
            worst=q.percent(FAT_PCT[1])
        )
    column = min(max(-(-fat_pct // 1.0), FAT_PCT[0]), FAT_PCT[1])
    return translate("Safety", "The column of {fat} of fat counts.").format(fat=q.percent(column))


def caveat(food: FoodClass, fact: Lethality, units: Units) -> str:
    """What a figure of lethality does not cover. It stands wherever one is shown."""
    parts = []
    if fact.table == OWN:
        parts.append(
            translate("Safety", "D and z hold for the bacteria, food and moisture they came from.")
        )
        begins_c = OWN_RANGE_C[food][0]
        if fact.lowest_c is not None and fact.lowest_c < begins_c - 1e-6:
            text = translate(
                "Safety",
                "You let it count from {lowest}: no published table on file goes below {begins}.",
            )
            parts.append(
                text.format(lowest=figure(fact.lowest_c, units), begins=figure(begins_c, units))
            )
    elif food == "fish" or fact.table == "fish":
        parts.append(
            translate(
                "Safety",
                "The table is about Listeria only, not about botulism, parasites or toxins.",
            )
        )
    else:
        text = translate(
            "Safety",
            "About Salmonella in moist heat, below {t} only at 90 % humidity: in a dry pit the kill on the surface is not validated.",
        )
        parts.append(text.format(t=figure(BELOW_ONLY_MOIST_C, units)))
    parts.append(
        translate(
            "Safety",
            "A probe knows one place in the core, not the surface, nor what was pierced, injected, rolled or stuffed. Spores and toxins are not counted. This is no promise that food is safe: local codes and whoever advises you come first.",
        )
    )
    return " ".join(parts)


def headline(lines: Sequence[SafetyLine]) -> str:
    """How many lines stand how, without any figure."""
    words = {
        "over": translate("Safety", "{n} over"),
        "unknown": translate("Safety", "{n} not known"),
        "not_yet": translate("Safety", "{n} not yet"),
        "met": translate("Safety", "{n} met"),
    }
    counts = {state: sum(line.state == state for line in lines) for state in words}
    told = [words[state].format(n=n) for state, n in counts.items() if n]
    return ", ".join(told) or (translate("Safety", "not begun") if lines else "")


def taken_against() -> str:
    """What holds for every line."""
    return translate(
        "Safety",
        "Every line assumes the probe errs on the unsafe side, and goes by the worst of "
        "several probes.",
    )
