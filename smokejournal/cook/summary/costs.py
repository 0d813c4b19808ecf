"""What a cook cost: food, pellets and the rest, in all and for each serving.

Only within one currency: what was paid in another is named, never converted.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from smokejournal.cook.log.entries import ItemAdded, Served
from smokejournal.cook.progress.hopper import HopperStory


@dataclass(frozen=True, slots=True)
class Costs:
    """Amounts in one `currency`; None where no price was said. `pellets_sd` is one standard deviation.

    `unpriced` are foods and lots without a price, `other_currencies` what is left out for its currency:
    where there are any, `total` is of the rest alone.
    """

    currency: str
    food: float | None
    pellets: float | None
    rest: float | None
    pellets_sd: float = 0.0
    servings: int | None = None
    unpriced: tuple[str, ...] = ()
    other_currencies: tuple[str, ...] = ()

    @property
    def total(self) -> float:
        """All that is known."""
        return sum(part for part in (self.food, self.pellets, self.rest) if part is not None)

    @property
    def per_serving(self) -> float | None:
        """What is known, for each serving; None where nobody said how many there were."""
        return None if self.servings is None else self.total / self.servings


def costs(items: Sequence[ItemAdded], fuel: HopperStory, served: Served | None) -> Costs | None:
    """What it cost, in the currency of most of it; None where no price is known at all."""
    paid: dict[str, dict[str, float]] = {}
    unpriced = []
    for item in items:
        if item.price is None:
            unpriced.append(item.name)
        else:
            parts = paid.setdefault(item.currency, {})
            parts["food"] = parts.get("food", 0.0) + item.price
    sds: dict[str, float] = {}
    for currency, amount in fuel.costs:
        if amount.value is not None:
            paid.setdefault(currency, {})["pellets"] = amount.value
            sds[currency] = amount.sd or 0.0
    if served is not None and served.rest_cost is not None:
        paid.setdefault(served.currency, {})["rest"] = served.rest_cost
    if not paid:
        return None
    currency = max(paid, key=lambda each: sum(paid[each].values()))
    parts = paid[currency]
    return Costs(
        currency,
        parts.get("food"),
        parts.get("pellets"),
        parts.get("rest"),
        sds.get(currency, 0.0),
        None if served is None else served.servings,
        (*unpriced, *fuel.unpriced),
        tuple(sorted(set(paid) - {currency})),
    )
