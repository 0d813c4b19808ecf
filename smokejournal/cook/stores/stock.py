"""What is left in the stores, and what runs low: read off what was bought and what the logs used.

Nothing is known better than the logs tell: a cook that used some and doesn't say how much leaves a
range, from nothing left to all that the others left.
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

from smokejournal.cook.brine.sums import brine_sums
from smokejournal.cook.log.entries import Entry, ScheduleStarted, StoreUsed, WareSort
from smokejournal.cook.plan.prep_progress import prep_progress
from smokejournal.cook.stores.wares import Ware
from smokejournal.cook.text.translate import translate

Sort: TypeAlias = Literal["pellets"] | WareSort
Unit = Literal["kg", "pieces"]


@dataclass(frozen=True, slots=True)
class StockLine:
    """One thing of the stores and what is left of it, in `unit`.

    `left_low` to `left_high` is what may be left; None where nothing can be known. `left_mid` is None
    too where it is not one likely number. `low`: it may not last for one more use (`why` says which
    bound was taken); without anything known `low` is False. `why` is "" where there is nothing to say.
    """

    sort: Sort
    name: str
    left_low: float | None
    left_mid: float | None
    left_high: float | None
    unit: Unit
    low: bool = False
    why: str = ""


@dataclass(frozen=True, slots=True)
class WareUse:
    """What one cook used of a ware: kg and pieces, with the ends of it; `untold` more uses without
    an amount."""

    mass_low_kg: float = 0.0
    mass_kg: float = 0.0
    mass_high_kg: float = 0.0
    count: float = 0.0
    untold: int = 0

    def __add__(self, other: WareUse) -> WareUse:
        return WareUse(
            self.mass_low_kg + other.mass_low_kg,
            self.mass_kg + other.mass_kg,
            self.mass_high_kg + other.mass_high_kg,
            self.count + other.count,
            self.untold + other.untold,
        )


def ware_uses(entries: Sequence[Entry]) -> dict[tuple[WareSort, str], WareUse]:
    """What a cook used of each ware. `entries` hold and are in order of time.

    A brine that names its salt uses it once its step is begun, or the fire is; never when skipped.
    """
    found: dict[tuple[WareSort, str], WareUse] = {}

    def add(sort: WareSort, name: str, use: WareUse) -> None:
        found[sort, name] = found.get((sort, name), WareUse()) + use

    for entry in entries:
        what = entry.what
        if isinstance(what, StoreUsed):
            untold = int(what.mass_kg is None and what.count is None)
            kg = what.mass_kg or 0.0
            add(what.sort, what.name, WareUse(kg, kg, kg, what.count or 0.0, untold))
    begun = any(isinstance(entry.what, ScheduleStarted) for entry in entries)
    for lived in prep_progress(entries):
        asked = lived.step.brine
        if asked is None or not asked.salt or lived.state == "skipped":
            continue
        if lived.state == "to_come" and not begun:
            continue
        salts = [p.mass_kg for p in brine_sums(asked).portions if p.item.kind == "salt"]
        known = [mass for mass in salts if mass is not None]
        add(
            "salt",
            asked.salt,
            WareUse(
                math.fsum(mass.low for mass in known),
                math.fsum(mass.mid for mass in known),
                math.fsum(mass.high for mass in known),
                untold=int(len(known) < len(salts)),
            ),
        )
    return found


def usual_use(amounts: Sequence[float]) -> float | None:
    """What one usual cook takes: the median of those that took any; None where none did."""
    some = [amount for amount in amounts if amount > 0]
    return statistics.median(some) if some else None


def ware_line(ware: Ware, uses: Sequence[WareUse]) -> StockLine:
    """One ware against what the cooks used of it, one `WareUse` for each."""
    unit: Unit = "pieces" if ware.by_count else "kg"
    bought = ware.bought_count if ware.by_count else ware.bought_kg
    used = sum(uses, WareUse())
    if ware.id == 0:
        why = translate("Stock", "used by cooks, but not in the stores")
        return StockLine(ware.sort, ware.name, None, None, None, unit, why=why)
    if bought is None:
        why = translate("Stock", "how much came in is not known")
        return StockLine(ware.sort, ware.name, None, None, None, unit, why=why)
    # Uses in the other measure (pieces of what is weighed) tell no amount of this one.
    untold = used.untold
    if ware.by_count:
        low = mid = high = bought - used.count
        untold += sum(use.mass_kg > 0 for use in uses)
        usual = usual_use([use.count for use in uses])
    else:
        low, mid, high = (
            bought - used.mass_high_kg,
            bought - used.mass_kg,
            bought - used.mass_low_kg,
        )
        untold += sum(use.count > 0 for use in uses)
        usual = usual_use([use.mass_kg for use in uses])
    why = ""
    if high < -1e-9:
        why = translate("Stock", "more was used than came in: look at the amounts")
    elif untold:
        why = translate("Stock", "some was used without saying how much")
        low = min(0.0, low)
    return with_low(
        StockLine(ware.sort, ware.name, low, None if untold else mid, high, unit, why=why),
        ware.low_below,
        usual,
        retired=ware.retired,
    )


def with_low(
    line: StockLine, low_below: float | None, usual: float | None, *, retired: bool = False
) -> StockLine:
    """The line, told whether it runs low: below what the person said, else below one usual use.

    Where what is left is not one number it is taken as the highest it may be: a call for shopping that
    rests on what nobody wrote down would come for ever.
    """
    left = line.left_mid if line.left_mid is not None else line.left_high
    if retired or left is None:
        return line
    threshold = low_below if low_below is not None else (usual or 0.0)
    return replace(line, low=left < threshold or left <= 1e-9)
