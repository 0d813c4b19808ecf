"""The part of the sheet about fuel, in words."""

from __future__ import annotations

from collections.abc import Iterator

from smokejournal.cook.fuel.words import why_words
from smokejournal.cook.progress.hopper import LEFT_FROM_BEFORE, Amount, HopperStory
from smokejournal.cook.summary.sheet import Block, Paragraph, SheetColumn, Table
from smokejournal.cook.summary.sheet_probes import when
from smokejournal.cook.summary.summary import Summary
from smokejournal.cook.text import quantities as q
from smokejournal.cook.text.numbers import fmt
from smokejournal.cook.text.quantities import DASH, Units
from smokejournal.cook.text.translate import translate
from smokejournal.science.numbers.units import KG_PER_LB


def mass_words(amount: Amount, units: Units) -> str:
    """ "2.00 ± 0.11 kg", or that it is unknown and why."""
    if amount.value is None:
        return q.unknown(why_words(amount.why))
    per_unit = 1.0 if units.mass == "kg" else KG_PER_LB
    text = fmt(amount.value / per_unit, 2)
    if amount.sd:
        text += f" ± {fmt(amount.sd / per_unit, 2)}"
    return f"{text} {q.mass_unit(units)}"


def cost_words(amount: Amount, currency: str) -> str:
    """ "4.20 ± 0.13 EUR", or that it is unknown and why."""
    if amount.value is None:
        return q.unknown(why_words(amount.why))
    return q.money(amount.value, currency, amount.sd or 0.0)


def lot_words(lot: str) -> str:
    """The lot's name, or words for what lay in the hopper before."""
    return translate("Sheet", "left from before") if lot == LEFT_FROM_BEFORE else lot


def fuel_blocks(summary: Summary, units: Units) -> Iterator[Block]:
    """What burned, of which lot, at what cost and how fast."""
    fuel = summary.fuel
    if not fuel.logged:
        return
    yield Paragraph(_burned(summary, fuel, units))
    if fuel.by_lot and fuel.between_kg.value is not None:
        columns = (
            SheetColumn(translate("Sheet", "Lot, oldest first"), 0.40),
            SheetColumn(translate("Sheet", "Burned"), 0.30, "right"),
            SheetColumn(translate("Sheet", "Cost"), 0.30, "right"),
        )
        rows = tuple(
            (
                lot_words(use.lot),
                mass_words(use.used_kg, units),
                cost_words(use.cost, use.currency) if use.used_kg.value else DASH,
            )
            for use in fuel.by_lot
        )
        yield Table(columns, rows)
    more = " ".join(_more(fuel, units))
    if more:
        yield Paragraph(more)
    if fuel.between_kg.sd:
        text = translate(
            "Sheet", "± is one standard deviation, from how well the masses were known."
        )
        yield Paragraph(text, "faint")


def _burned(summary: Summary, fuel: HopperStory, units: Units) -> str:
    text = translate("Sheet", "Burned in total: {mass}.").format(
        mass=mass_words(fuel.used_kg, units)
    )
    if fuel.used_kg.value is None and fuel.between_kg.value is not None and fuel.between_s:
        more = translate("Sheet", "Between {a} and {b}: {mass}.").format(
            a=when(summary, fuel.between_s[0], units),
            b=when(summary, fuel.between_s[1], units),
            mass=mass_words(fuel.between_kg, units),
        )
        text = f"{text} {more}"
    return text


def _more(fuel: HopperStory, units: Units) -> Iterator[str]:
    if fuel.rate_kg_per_h.value is not None:
        text = translate("Sheet", "{mass} per hour.")
        yield text.format(mass=mass_words(fuel.rate_kg_per_h, units))
    costs = [cost_words(cost, currency) for currency, cost in fuel.costs]
    if costs and fuel.between_kg.value is not None:
        text = translate("Sheet", "Cost: {costs}.")
        if fuel.unpriced:
            text = translate(
                "Sheet", "Cost: {costs}, without {lots}, for which no price was noted."
            )
        lots = ", ".join(f"“{lot_words(lot)}”" for lot in fuel.unpriced)
        yield text.format(costs=" + ".join(costs), lots=lots)
    elif fuel.unpriced and fuel.between_kg.value is not None:
        yield translate("Sheet", "Cost: {unknown}.").format(
            unknown=q.unknown(why_words("no_price"))
        )
    if fuel.taken_out_kg.value:
        text = translate("Sheet", "Taken out unburned: {mass}.")
        yield text.format(mass=mass_words(fuel.taken_out_kg, units))
    if fuel.level_kg.value is not None:
        text = translate("Sheet", "Left in the hopper: {mass}.")
        yield text.format(mass=mass_words(fuel.level_kg, units))
