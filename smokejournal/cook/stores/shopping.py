"""What a plan needs, set against what the stores hold: what is to be bought.

Food is bought for the cook, so it is on the list unless where it was bought, or for how much, is
written down. Of everything else as much is to be bought as is surely enough: the most that may be
needed less the least that may be left. What isn't known is told, and the whole need is to be bought.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from smokejournal.cook.brine.recipe import read_line
from smokejournal.cook.brine.sums import Portion, brine_sums, weigh
from smokejournal.cook.fuel.rate import Estimate
from smokejournal.cook.log.brine_request import BrineAsked
from smokejournal.cook.log.entries import ItemAdded
from smokejournal.cook.plan.prep_progress import LivedStep
from smokejournal.cook.stores.stock import StockLine
from smokejournal.cook.text import quantities as q
from smokejournal.cook.text.numbers import fmt
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.text.translate import translate
from smokejournal.science.numbers.spread import Spread

NeedSort = Literal["food", "pellets", "salt", "cure", "spice"]
#: Below this nothing need be bought: scales of a kitchen show whole grams.
LEAST_KG = 0.0005


@dataclass(frozen=True, slots=True)
class ToBuy:
    """One line of the list. Masses in kg, as least, likely, most.

    `need_kg` None: how much isn't known, `as_written` is then how it stands in the plan. `left_low_kg`
    to `left_high_kg` is what the stores hold (None: they don't know it). `buy_kg` is what is surely
    enough: 0 where nothing need be bought, None where it isn't known; `bought`: it is there already.
    """

    sort: NeedSort
    name: str
    need_kg: Spread | None = None
    as_written: str = ""
    left_low_kg: float | None = None
    left_high_kg: float | None = None
    buy_kg: float | None = None
    bought: bool = False
    note: str = ""

    @property
    def wanted(self) -> bool:
        """Whether something is to be bought, or may have to be."""
        return not self.bought and (self.buy_kg is None or self.buy_kg > LEAST_KG)


def shopping_list(
    items: Sequence[ItemAdded],
    steps: Sequence[LivedStep],
    pellets_kg: Estimate | None,
    stock: Sequence[StockLine],
    *,
    fuel_why: str = "",
    open_end: bool = False,
) -> tuple[ToBuy, ...]:
    """Everything that a plan needs, food first.

    `steps` are the prep; what is over, under way or passed over needs nothing more. `pellets_kg` None:
    what burns isn't known, for the reason `fuel_why`; with `open_end` its upper end is only what burns
    as far as the forecast looks.
    """
    found = [_food(item) for item in items]
    needs: dict[tuple[NeedSort, str], ToBuy] = {}
    for lived in steps:
        if lived.state != "to_come":
            continue
        for need in _of_step(lived):
            key = (need.sort, need.name.casefold())
            there = needs.get(key)
            needs[key] = need if there is None else _together(there, need)
    found += [_against(need, stock) for need in needs.values()]
    found.append(_pellets(pellets_kg, stock, fuel_why, open_end))
    return tuple(found)


def _food(item: ItemAdded) -> ToBuy:
    bought = bool(item.bought_at) or item.price is not None
    pieces = "" if item.pieces == 1 else f"{item.pieces} × "
    need = Spread.exact(item.mass_kg) if item.mass_kg is not None else None
    return ToBuy(
        "food",
        f"{pieces}{item.name}",
        need,
        as_written=item.label,
        buy_kg=0.0 if bought else item.mass_kg,
        bought=bought,
    )


def _of_step(lived: LivedStep) -> list[ToBuy]:
    step = lived.step
    if step.brine is not None:
        portions, salt = brine_sums(step.brine).portions, step.brine.salt
    else:
        items = read_line(step.text).items
        portions, salt = tuple(Portion(i, weigh(i, BrineAsked(""))) for i in items), ""
    needs = [_portion(portion) for portion in portions if portion.item.kind != "water"]
    return [replace(need, name=salt) if salt and need.sort == "salt" else need for need in needs]


def _portion(portion: Portion) -> ToBuy:
    item = portion.item
    sort: NeedSort = item.kind if item.kind in ("salt", "cure") else "spice"
    written = f"{fmt(item.high, 2, trim=True)} {item.unit.key}".strip()
    return ToBuy(sort, item.name, portion.mass_kg, as_written=written)


def _together(first: ToBuy, second: ToBuy) -> ToBuy:
    if first.need_kg is None or second.need_kg is None:
        written = " + ".join(w for w in (_amount(first), _amount(second)) if w)
        return replace(first, need_kg=None, as_written=written)
    return replace(first, need_kg=first.need_kg + second.need_kg, as_written="")


def _amount(need: ToBuy) -> str:
    return q.mass(need.need_kg.high) if need.need_kg is not None else need.as_written


def _against(need: ToBuy, stock: Sequence[StockLine]) -> ToBuy:
    line = next(
        (
            s
            for s in stock
            if s.sort != "pellets" and s.unit == "kg" and s.name.casefold() == need.name.casefold()
        ),
        None,
    )
    most = None if need.need_kg is None else need.need_kg.high
    if line is None:
        return replace(need, buy_kg=most)
    return _less(need, most, line.left_low, line.left_high, line.why)


def _less(
    need: ToBuy, most_kg: float | None, low: float | None, high: float | None, note: str
) -> ToBuy:
    sure = max(0.0, low or 0.0)
    buy_kg = None if most_kg is None else max(0.0, most_kg - sure)
    return replace(need, left_low_kg=low, left_high_kg=high, buy_kg=buy_kg, note=note)


def _pellets(
    need_kg: Estimate | None, stock: Sequence[StockLine], why: str, open_end: bool
) -> ToBuy:
    lots = [line for line in stock if line.sort == "pellets"]
    known = [line for line in lots if line.left_high is not None]
    # What more burned than was bought is a slip of the pen, and no debt of the other lots.
    low = math.fsum(max(0.0, line.left_low or 0.0) for line in known) if known else None
    high = math.fsum(max(0.0, line.left_high or 0.0) for line in known) if known else None
    notes = [why] if need_kg is None and why else []
    if open_end:
        notes.append(translate("Shopping", "it may burn longer than the forecast looks"))
    if len(known) < len(lots):
        notes.append(
            translate("Shopping", "what is left of {count} lots isn't known").format(
                count=len(lots) - len(known)
            )
        )
    name = translate("Shopping", "pellets")
    if need_kg is None:
        return ToBuy("pellets", name, left_low_kg=low, left_high_kg=high, note="; ".join(notes))
    spread = Spread(need_kg.low, need_kg.mid, need_kg.high)
    need = ToBuy("pellets", name, spread)
    return _less(need, spread.high, low, high, "; ".join(notes))


# -- words ---------------------------------------------------------------------------------------


def buy_words(line: ToBuy, units: Units) -> str:
    """What to do about one line: "buy 1.2 kg", "nothing, 4 kg are there", "look, …"."""
    if line.bought:
        return translate("Shopping", "bought")
    if line.buy_kg is None:
        if line.sort == "pellets":
            return translate("Shopping", "not known: look into the stores")
        if line.as_written:
            return translate("Shopping", "buy {amount}").format(amount=line.as_written)
        return translate("Shopping", "buy, amount not written down")
    if line.buy_kg <= LEAST_KG:
        return translate("Shopping", "nothing, enough is there")
    return translate("Shopping", "buy {mass}").format(mass=q.mass(line.buy_kg, units))


def need_words(line: ToBuy, units: Units) -> str:
    """What is needed, with its ends where they differ; "" where that isn't known."""
    need = line.need_kg
    if need is None:
        return line.as_written
    if need.is_exact or q.mass(need.low, units) == q.mass(need.high, units):
        return q.mass(need.mid, units)
    return f"{q.mass(need.mid, units)} ({q.mass(need.low, units)} – {q.mass(need.high, units)})"


def left_words(line: ToBuy, units: Units) -> str:
    """What the stores hold; "" where they don't know it."""
    if line.left_low_kg is None or line.left_high_kg is None:
        return ""
    low, high = (q.mass(max(0.0, kg), units) for kg in (line.left_low_kg, line.left_high_kg))
    return low if low == high else f"{low} – {high}"


def shopping_text(title: str, lines: Sequence[ToBuy], units: Units) -> str:
    """The list as plain text in groups, one thing a line, what is to be bought first in each."""
    told = [title] if title else []
    for sorts, heading in _groups():
        group = sorted((one for one in lines if one.sort in sorts), key=lambda one: not one.wanted)
        if group:
            told += [
                *([""] if told else []),
                heading,
                *(_line_words(line, units) for line in group),
            ]
    return "\n".join(told) + "\n"


def _groups() -> tuple[tuple[tuple[NeedSort, ...], str], ...]:
    return (
        (("food",), translate("Shopping", "Food")),
        (("salt", "cure"), translate("Shopping", "Salt and cure, for brine and rub")),
        (("spice",), translate("Shopping", "Sugar, spices and the rest, for brine and rub")),
        (("pellets",), translate("Shopping", "Fuel")),
    )


def _line_words(line: ToBuy, units: Units) -> str:
    box = "[ ]" if line.wanted else "[x]"
    parts = [buy_words(line, units)]
    need, left = need_words(line, units), left_words(line, units)
    if need and not line.bought:
        parts.append(translate("Shopping", "needed: {mass}").format(mass=need))
    if left:
        parts.append(translate("Shopping", "in the stores: {mass}").format(mass=left))
    if line.note:
        parts.append(line.note)
    return f"{box} {line.name}: " + "; ".join(parts)
