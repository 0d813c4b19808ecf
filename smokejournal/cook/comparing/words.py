"""A comparison in words: what each row is about, what each cook tells, how large the difference is."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from smokejournal.cook.comparing.alignment import FEWEST, MOST, Alignment, ZeroMoment
from smokejournal.cook.comparing.differences import ENOUGH, TEMPERATURES_K, FactRow, FactTable
from smokejournal.cook.comparing.facts import CookFacts, Fact, FactKey
from smokejournal.cook.fuel.words import why_words
from smokejournal.cook.log.schedule import Purpose
from smokejournal.cook.summary.tasting import HIGHEST, scale
from smokejournal.cook.text import quantities as q
from smokejournal.cook.text.numbers import fmt
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.text.translate import translate
from smokejournal.science.numbers.units import KG_PER_LB


def fact_name(key: FactKey) -> str:
    """What a row is about."""
    if key.name == "mark":
        found = scale(key.of)
        return translate("Comparing", "Mark: {scale}").format(
            scale=key.of if found is None else found.name
        )
    names: dict[tuple[str, str], str] = {
        ("air_c", ""): translate("Comparing", "Air"),
        ("wind_m_s", ""): translate("Comparing", "Wind"),
        ("mass_kg", ""): translate("Comparing", "Mass, raw"),
        ("thickness_m", ""): translate("Comparing", "Thickest piece"),
        ("pit_target_c", "cook"): translate("Comparing", "Pit target, cooking"),
        ("pit_target_c", "wrap"): translate("Comparing", "Pit target, in the wrap"),
        ("pit_target_c", "hold"): translate("Comparing", "Pit target, hold"),
        ("pit_held_c", "cook"): translate("Comparing", "Pit as held, cooking"),
        ("pit_held_c", "wrap"): translate("Comparing", "Pit as held, in the wrap"),
        ("pit_held_c", "hold"): translate("Comparing", "Pit as held, hold"),
        ("rate_kg_h", ""): translate("Comparing", "Pellets per hour"),
        ("stage_s", "warm_up"): translate("Comparing", "Time to bring the pit up"),
        ("stage_s", "cook"): translate("Comparing", "Time cooking"),
        ("stage_s", "wrap"): translate("Comparing", "Time in the wrap"),
        ("stage_s", "hold"): translate("Comparing", "Time of the hold"),
        ("stage_s", "rest"): translate("Comparing", "Time of the rest"),
        ("probes_k", ""): translate("Comparing", "Check probe minus lead"),
        ("wrap", ""): translate("Comparing", "Wrap"),
        ("wrapped_after_s", ""): translate("Comparing", "Wrapped after"),
        ("lid_s", ""): translate("Comparing", "Lid open in all"),
        ("yield_pct", "prepared"): translate("Comparing", "Left when prepared"),
        ("yield_pct", "cooked"): translate("Comparing", "Left when cooked"),
        ("yield_pct", "served"): translate("Comparing", "Left when served"),
    }
    return names[key.name, key.of]


def fact_words(key: FactKey, fact: Fact, units: Units) -> str:
    """What one cook tells, or that it is unknown and why."""
    if fact.said:
        return ", ".join(_wrap(material) for material in fact.said)
    if fact.value is None:
        return _not_known(fact)
    if key.name == "rate_kg_h":
        return rate_words(fact.value, fact.sd, units)
    if key.name == "mark":
        return translate("Comparing", "{mark} of {most}").format(
            mark=fmt(fact.value, 1, trim=True), most=HIGHEST
        )
    if key.name == "thickness_m":
        return q.thickness(fact.value, units)
    if key.name == "probes_k":
        return q.temperature_step(fact.value, units, signed=True)
    if key.name in ("air_c", "pit_held_c", "pit_target_c"):
        return q.temperature(fact.value, units, 1 if key.name == "pit_held_c" else 0)
    return _size(key, fact.value, units)


def rate_words(rate_kg_h: float, sd: float | None, units: Units) -> str:
    """ "0.52 ± 0.02 kg/h"."""
    per_unit = 1.0 if units.mass == "kg" else KG_PER_LB
    text = fmt(rate_kg_h / per_unit, 2)
    if sd:
        text = f"{text} ± {fmt(sd / per_unit, 2)}"
    return translate("Comparing", "{number} {unit}/h").format(number=text, unit=q.mass_unit(units))


def row_words(row: FactRow, units: Units) -> str:
    """How large the difference is."""
    if row.measure == "spread" and row.size is not None and row.spread is not None:
        return translate("Comparing", "{times} × the usual {spread}").format(
            times=fmt(row.size, 1), spread=_size(row.key, row.spread, units)
        )
    if row.measure == "relative" and row.size is not None:
        return translate("Comparing", "{share}, relative").format(share=q.percent(100 * row.size))
    return {
        "words": translate("Comparing", "differs"),
        "same": translate("Comparing", "the same"),
        "one": translate("Comparing", "known of one only"),
    }.get(row.measure, "")


def table_words(table: FactTable, cooks: Sequence[CookFacts], units: Units) -> tuple[str, ...]:
    """What must be known to read the table, each a paragraph."""
    return tuple(_notes(table, cooks, units))


def _notes(table: FactTable, cooks: Sequence[CookFacts], units: Units) -> Iterator[str]:
    whole = q.temperature_step(TEMPERATURES_K, units, 0)
    if table.mixed:
        yield translate(
            "Comparing",
            "Simulated and real cooks stand beside each other here. What a simulated cook does "
            "proves nothing about a real one, so there is no usual spread to measure by.",
        )
    elif all(cook.simulated for cook in cooks):
        yield translate(
            "Comparing",
            "Simulated cooks only, measured by simulated ones. They prove nothing about real ones.",
        )
    if any(row.measure == "spread" for row in table.rows):
        yield translate(
            "Comparing",
            "Largest difference first: the largest less the smallest, in units of the usual spread "
            "(the standard deviation of that fact over all finished cooks that know it).",
        )
    if any(row.measure == "relative" for row in table.rows):
        yield (
            translate(
                "Comparing",
                "Relative: fewer than {n} finished cooks know that fact, so nobody can say what is usual. "
                "The difference is set against the mean of the cooks shown; of temperatures against "
                "{whole}, of marks against the whole scale.",
            ).format(n=ENOUGH, whole=whole)
            if not table.mixed
            else translate(
                "Comparing",
                "Relative: the difference is set against the mean of the cooks shown; of temperatures "
                "against {whole}, of marks against the whole scale.",
            ).format(whole=whole)
        )
    if table.unknown:
        names = "; ".join(fact_name(key) for key in table.unknown)
        yield translate("Comparing", "Unknown of all of them: {facts}.").format(facts=names)
    if any(cook.guessed for cook in cooks):
        yield translate(
            "Comparing",
            "What a stage is for was guessed from its words where its schedule doesn't say.",
        )


def choose_words(chosen: int) -> str:
    """What to do where too few or too many cooks were chosen; "" where they can be compared."""
    if chosen > MOST:
        return translate(
            "Comparing",
            "{n} cooks are too many for one picture. Close this, choose two to six on Journal (hold "
            "Ctrl or Shift and click), then press Compare.",
        ).format(n=chosen)
    if chosen < FEWEST:
        return translate(
            "Comparing",
            "Close this, choose two to six cooks on Journal (hold Ctrl or Shift and click), then press "
            "Compare.",
        )
    return ""


def stage_choice(purpose: Purpose) -> str:
    """The beginning of such a stage, as a choice in a list."""
    return {
        "": "",
        "warm_up": translate("Comparing", "As the pit was brought up"),
        "cook": translate("Comparing", "As cooking on the pit began"),
        "wrap": translate("Comparing", "As it went into the wrap"),
        "hold": translate("Comparing", "As the hold began"),
        "rest": translate("Comparing", "As the rest began"),
    }[purpose]


def placed_words(cook: CookFacts, placed: ZeroMoment, alignment: Alignment, units: Units) -> str:
    """Why a cook is left out of this alignment, or how late its zero may be; "" where all is well."""
    at = q.temperature(alignment.temperature_c, units)
    if placed.gap_s:
        return translate(
            "Comparing",
            "{cook} passed {temperature} while nothing was heard; it may lie up to {time} too far left.",
        ).format(cook=cook.title, temperature=at, time=q.duration(placed.gap_s))
    text = {
        "": "",
        "not_started": translate("Comparing", "{cook} is left out: it was never started."),
        "no_stage": translate("Comparing", "{cook} is left out: it never began such a stage."),
        "no_lead": translate("Comparing", "{cook} is left out: no lead probe was heard."),
        "never_there": translate(
            "Comparing", "{cook} is left out: its lead probe never got to {temperature}."
        ),
        "there_at_first": translate(
            "Comparing",
            "{cook} is left out: its lead probe was at {temperature} or above when it was first heard.",
        ),
    }[placed.why]
    return text.format(cook=cook.title, temperature=at)


def _not_known(fact: Fact) -> str:
    if fact.why_fuel:
        return q.unknown(why_words(fact.why_fuel))
    return {
        "no_stage": translate("Comparing", "no such stage"),
        "not_begun": translate("Comparing", "not begun"),
        "not_over": translate("Comparing", "not over yet"),
        "not_wrapped": translate("Comparing", "not wrapped"),
    }.get(fact.why, q.unknown())


def _size(key: FactKey, value: float, units: Units) -> str:
    """A value, or a difference of two."""
    if key.name.endswith("_s") and key.name != "wind_m_s":
        return q.duration(value)
    if key.name == "mass_kg":
        return q.mass(value, units)
    if key.name == "thickness_m":
        return q.length(value, units)
    if key.name == "wind_m_s":
        return q.speed(value, units)
    if key.name == "yield_pct":
        return q.percent(value)
    if key.name == "rate_kg_h":
        return rate_words(value, None, units)
    if key.name == "mark":
        return fmt(value, 1, trim=True)
    return q.temperature_step(value, units)


def _wrap(material: str) -> str:
    return {
        "foil": translate("Comparing", "foil"),
        "paper": translate("Comparing", "paper"),
        "leaves": translate("Comparing", "leaves"),
        "pan": translate("Comparing", "covered pan"),
        "none": translate("Comparing", "not wrapped"),
    }.get(material, material)
