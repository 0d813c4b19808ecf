"""Stores: what of each lot of fuel was bought, what the cooks burned, and what is left.

Bought comes from the lots, burned from every cook's hopper. What a cook burned is an estimate, so
what is left is one too, and it says how sure it is. Folding a cook's hopper means reading its
entries: this is done once for each cook and again only when its entries change.
"""

from __future__ import annotations

import math
import threading
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Future
from dataclasses import dataclass, field, replace
from typing import TypeAlias

from smokejournal.cook.log.cook_log import holding
from smokejournal.cook.log.entries import Entry, FuelAdded, WareSort
from smokejournal.cook.progress.hopper import LEFT_FROM_BEFORE, Amount, hopper
from smokejournal.cook.stores.lots import Lot
from smokejournal.cook.stores.stock import (
    StockLine,
    WareUse,
    usual_use,
    ware_line,
    ware_uses,
    with_low,
)
from smokejournal.cook.stores.wares import Ware
from smokejournal.cook.text.translate import translate
from smokejournal.journal import Change, CookLine
from smokejournal.services.program.program import Program


@dataclass(frozen=True, slots=True)
class Use:
    """What one cook did with a lot [kg].

    `burned_kg` with its standard deviation; None where the cook's log does not tell. `added_kg` is
    what went into the hopper: more cannot have burned.
    """

    burned_kg: float | None
    burned_sd_kg: float
    added_kg: float


@dataclass(frozen=True, slots=True)
class CookUse:
    """A cook that used something, and how much of it; both amounts None where its log doesn't tell."""

    cook: CookLine
    mass_kg: float | None = None
    mass_sd_kg: float = 0.0
    count: float | None = None


@dataclass(frozen=True, slots=True)
class WareStock:
    """One salt, wood or rub, what is left of it, and the cooks that used it, newest first.

    `ware.id` is 0 for a name that cooks used and that is not in the stores.
    """

    ware: Ware
    line: StockLine
    used_by: tuple[CookUse, ...] = ()

    @property
    def kept(self) -> Ware:
        """What is kept, as of a lot."""
        return self.ware


@dataclass(frozen=True, slots=True)
class _Used:
    """What one cook used of everything."""

    lots: Mapping[str, Use] = field(default_factory=dict)
    wares: Mapping[tuple[WareSort, str], WareUse] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class LotStock:
    """One lot and what became of it.

    `burned_kg` is what is known to have burned, `unknown_cooks` how many cooks don't tell. `left_kg`
    counts what still lies in the hopper too; with cooks that don't tell it is not one number but
    lies between `left_low_kg` and `left_high_kg`. It is None, with `why`, where nothing can be
    known, and may come out below zero where something was written down wrong: that is shown, not
    hidden. `lot.id` is 0 for a name that cooks used and that is no lot in the stores.
    """

    lot: Lot
    cooks: int = 0
    unknown_cooks: int = 0
    burned_kg: float = 0.0
    burned_sd_kg: float = 0.0
    bought_kg: float | None = None
    left_kg: float | None = None
    left_low_kg: float | None = None
    left_high_kg: float | None = None
    why: str = ""
    used_by: tuple[CookUse, ...] = ()
    low: bool = False

    @property
    def kept(self) -> Lot:
        """What is kept, as of a ware."""
        return self.lot

    @property
    def line(self) -> StockLine:
        """What is left of it, as of anything else in the stores."""
        sd_kg = 2 * self.burned_sd_kg
        low_kg = None if self.left_low_kg is None else self.left_low_kg - sd_kg
        high_kg = None if self.left_high_kg is None else self.left_high_kg + sd_kg
        return StockLine(
            "pellets", self.lot.name, low_kg, self.left_kg, high_kg, "kg", self.low, self.why
        )


Stock: TypeAlias = LotStock | WareStock


@dataclass(frozen=True, slots=True)
class Holding:
    """All that the stores hold: pellets by lot, then salts, woods and rubs.

    `usual_kg` is what one usual cook burns; None where no cook tells.
    """

    lots: tuple[LotStock, ...] = ()
    wares: tuple[WareStock, ...] = ()
    usual_kg: float | None = None

    @property
    def lines(self) -> tuple[StockLine, ...]:
        """Each with what is left of it, but for what was retired."""
        return (
            *(stock.line for stock in self.lots if not stock.lot.retired),
            *(stock.line for stock in self.wares if not stock.ware.retired),
        )


class Stores:
    """The sum over all cooks. `stock` may be asked from any thread; it is slow the first time."""

    def __init__(self, program: Program) -> None:
        self._program = program
        self._lock = threading.Lock()
        self._cooks: dict[int, _Used] = {}
        self._unsubscribe: Callable[[], None] = program.subscribe(self._written)

    def close(self) -> None:
        """Stop hearing the journal."""
        self._unsubscribe()

    def stock(self) -> tuple[LotStock, ...]:
        """Every lot with what is left of it, as kept; then names that are no lot."""
        return self.holding().lots

    def stock_lines(self) -> tuple[StockLine, ...]:
        """What is left of everything that is kept, for a list of what to buy. As slow as `stock`."""
        return self.holding().lines

    def holding(self) -> Holding:
        """All of it, from one walk through the cooks."""
        by_lot: dict[str, list[tuple[CookLine, Use]]] = {}
        by_ware: dict[tuple[WareSort, str], list[tuple[CookLine, WareUse]]] = {}
        burned: list[float] = []
        for line in self._program.cooks():
            used = self._of_cook(line.id)
            for name, use in used.lots.items():
                by_lot.setdefault(name, []).append((line, use))
            for key, ware_use in used.wares.items():
                by_ware.setdefault(key, []).append((line, ware_use))
            masses = [use.burned_kg for use in used.lots.values()]
            # A cook that is still going on has not burned what it will.
            if line.over_s is not None and None not in masses:
                burned.append(math.fsum(mass for mass in masses if mass is not None))
        usual_kg = usual_use(burned)
        return Holding(self._lots(by_lot, usual_kg), self._wares(by_ware), usual_kg)

    def _lots(
        self, by_lot: Mapping[str, Sequence[tuple[CookLine, Use]]], usual_kg: float | None
    ) -> tuple[LotStock, ...]:
        lots = self._program.journal.stores.lots()
        known = {lot.name for lot in lots}
        strangers = [Lot(0, name) for name in sorted(by_lot) if name not in known]
        found = []
        for lot in [*lots, *strangers]:
            uses = by_lot.get(lot.name, ())
            stock = stock_of(lot, [use for _, use in uses])
            used_by = tuple(CookUse(line, use.burned_kg, use.burned_sd_kg) for line, use in uses)
            told = with_low(stock.line, lot.low_below_kg, usual_kg, retired=lot.retired)
            found.append(replace(stock, used_by=used_by, low=told.low))
        return tuple(found)

    def _wares(
        self, by_ware: Mapping[tuple[WareSort, str], Sequence[tuple[CookLine, WareUse]]]
    ) -> tuple[WareStock, ...]:
        wares = self._program.journal.stores.wares()
        known = {(ware.sort, ware.name) for ware in wares}
        strangers = [Ware(0, *key) for key in sorted(by_ware) if key not in known]
        found = []
        for ware in [*wares, *strangers]:
            uses = by_ware.get((ware.sort, ware.name), ())
            line = ware_line(ware, [use for _, use in uses])
            used_by = tuple(
                CookUse(
                    cook,
                    use.mass_kg if use.mass_kg > 0 else None,
                    (use.mass_high_kg - use.mass_low_kg) / 2,
                    use.count if use.count > 0 else None,
                )
                for cook, use in uses
            )
            found.append(WareStock(ware, line, used_by))
        return tuple(found)

    def keep(self, lot: Lot) -> Future[Lot]:
        """Write a lot. SchemaProblem at once where a field is out of its range."""
        return self._program.journal.stores.save_lot(lot)

    def buy(self, lot: Lot, bags: float = 1.0) -> Future[Lot]:
        """Write that `bags` more of a lot were bought."""
        return self.keep(replace(lot, bags_bought=lot.bags_bought + bags))

    def keep_ware(self, ware: Ware) -> Future[Ware]:
        """Write a salt, wood or rub. SchemaProblem at once where a field is out of its range."""
        return self._program.journal.stores.save_ware(ware)

    def _of_cook(self, cook_id: int) -> _Used:
        with self._lock:
            found = self._cooks.get(cook_id)
        if found is not None:
            return found
        now_s = self._program.clock.now_s()
        entries = self._program.journal.entries(cook_id)
        found = _Used(uses_of(entries, now_s), ware_uses(holding(entries)))
        if all(entry.at_s <= now_s for entry in entries):
            with self._lock:
                self._cooks[cook_id] = found
        return found

    def _written(self, change: Change) -> None:
        if change.cook_id is not None and change.entries:
            with self._lock:
                self._cooks.pop(change.cook_id, None)


def uses_of(entries: Sequence[Entry], now_s: float) -> dict[str, Use]:
    """What one cook did with each lot, by name. What lay in the hopper before has none."""
    added: dict[str, float] = {}
    for entry in holding(entries):
        if isinstance(entry.what, FuelAdded):
            added[entry.what.lot] = added.get(entry.what.lot, 0.0) + entry.what.mass_kg
    burned: dict[str, list[Amount]] = {lot: [] for lot in added}
    for use in hopper(entries, now_s).by_lot:
        if use.lot != LEFT_FROM_BEFORE:
            burned.setdefault(use.lot, []).append(use.used_kg)
    uses = {}
    for lot, amounts in burned.items():
        mass_kg: float | None = 0.0
        variance = 0.0
        for amount in amounts:
            if mass_kg is None or amount.value is None:
                mass_kg = None
            else:
                mass_kg += amount.value
                variance += (amount.sd or 0.0) ** 2
        uses[lot] = Use(mass_kg, math.sqrt(variance), added.get(lot, 0.0))
    return uses


def stock_of(lot: Lot, uses: Sequence[Use]) -> LotStock:
    """One lot against what the cooks did with it. Cooks are independent: variances add."""
    known = [(use.burned_kg, use.burned_sd_kg) for use in uses if use.burned_kg is not None]
    untold = [use for use in uses if use.burned_kg is None]
    stock = LotStock(
        lot,
        cooks=len(uses),
        unknown_cooks=len(untold),
        burned_kg=math.fsum(mass for mass, _ in known),
        burned_sd_kg=math.sqrt(math.fsum(sd**2 for _, sd in known)),
    )
    if lot.id == 0:
        return replace(stock, why=translate("Stores", "used by cooks, but not in the stores"))
    if lot.bag_kg is None:
        return replace(stock, why=translate("Stores", "the mass of a bag is not known"))
    bought_kg = lot.bag_kg * lot.bags_bought
    high_kg = bought_kg - stock.burned_kg
    low_kg = high_kg - math.fsum(use.added_kg for use in untold)
    stock = replace(stock, bought_kg=bought_kg, left_low_kg=low_kg, left_high_kg=high_kg)
    if untold:
        why = translate("Stores", "{count} of {cooks} cooks don't tell what burned").format(
            count=len(untold), cooks=len(uses)
        )
    elif high_kg < -2 * stock.burned_sd_kg - 1e-9:
        why = translate("Stores", "more burned than was bought: look at the bags and the cooks")
    else:
        why = ""
    return replace(stock, left_kg=None if untold else high_kg, why=why)
