"""The fuel of a cook under way, or of a plan, set against when the food is off the pit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import takewhile

import numpy as np

from smokejournal.cook.forecast.cook_so_far import ForecastInput
from smokejournal.cook.forecast.intervals import TimeInterval, horizon_s, span_of
from smokejournal.cook.forecast.legs import PlannedLeg
from smokejournal.cook.fuel.rate import Estimate, Outdoors, expected_kg_h
from smokejournal.cook.log.entries import FuelForeseen
from smokejournal.science.forecast.fuel_margin import Fire, FloatArray, Margin, Store, margin
from smokejournal.science.forecast.values import Forecast
from smokejournal.science.heat.heat_loss import Cooker
from smokejournal.science.numbers.ranges import OutOfRange

#: So much is to be added that running out gets no likelier than this; the ends of the intervals leave
#: as much outside.
SAFE = 0.1


@dataclass(frozen=True, slots=True)
class FuelUntil:
    """Moments are UTC seconds, `at_s` is now.

    `empty`: when the hopper is empty. `off`: when the food is off the pit (None: not foreseen).
    `needed_kg` from now until then; where it is `more`, its upper end is only what burns as far as the
    forecast looks. `runs_out`: the chance that the hopper is empty before; `missing_kg`: how much more
    fuel brings that down to `SAFE` (None: it can't be told). `open_stage` names a stage on the pit
    whose end isn't known and that isn't counted. `fits`: whether the hopper takes what is missing.
    """

    at_s: float
    empty: TimeInterval
    off: TimeInterval | None = None
    needed_kg: Estimate | None = None
    more: bool = False
    runs_out: float | None = None
    missing_kg: float | None = None
    horizon_s: float | None = None
    open_stage: str = ""
    fits: bool = True

    @property
    def foreseen(self) -> FuelForeseen:
        """The entry that keeps it."""
        off_s = None if self.off is None or not np.isfinite(self.off.mid) else self.off.mid
        return FuelForeseen(
            low_s=float(round(self.empty.low)),
            mid_s=float(round(self.empty.mid)),
            high_s=float(round(self.empty.high)),
            runs_out=None if self.runs_out is None else round(self.runs_out, 3),
            off_s=None if off_s is None else float(round(off_s)),
        )


def on_the_pit(legs: Sequence[PlannedLeg]) -> int:
    """How many legs there are before the food is taken off."""
    return len(list(takewhile(lambda planned: not planned.leg.resting, legs)))


def fire_until_off(
    ends_s: FloatArray,
    legs: Sequence[PlannedLeg],
    now_s: float,
    pit_c: float,
    cooker: Cooker,
    out: Outdoors,
) -> Fire | None:
    """The fire that is still needed; None where the food is off or the pit can't be estimated.

    `ends_s` of shape (legs, members), in absolute seconds; `pit_c` [°C] is what is set now.
    """
    count = on_the_pit(legs)
    if not count or ends_s.ndim != 2 or ends_s.shape[0] != len(legs) or not ends_s.size:
        return None
    rates = []
    for planned in legs[:count]:
        pit_c = pit_c if planned.leg.pit_c is None else planned.leg.pit_c
        try:
            rates.append(expected_kg_h(cooker, pit_c, out))
        except (OutOfRange, ValueError):
            return None
    ends = np.where(np.isnan(ends_s[:count]), np.inf, ends_s[:count])
    return Fire(np.maximum(ends - now_s, 0.0), np.array(rates))


def fuel_until(
    store: Store,
    at_s: float,
    pit_c: float,
    cooker: Cooker,
    out: Outdoors,
    told: tuple[ForecastInput, Forecast] | None,
    open_stage: str = "",
) -> FuelUntil | None:
    """What there is (`store`, as of `at_s`) against the forecast, if there is one.

    None where the pit at `pit_c` [°C] in this weather can't be estimated.
    """
    fire, limit_s = None, None
    if told is not None and told[1].standing in ("forecast", "may_not_reach", "reached"):
        record, forecast = told
        if forecast.legs_end_s is not None:
            fire = fire_until_off(forecast.legs_end_s, record.legs, at_s, pit_c, cooker, out)
            limit_s = horizon_s(forecast)
    if fire is None:
        try:
            rate = expected_kg_h(cooker, pit_c, out)
        except (OutOfRange, ValueError):
            return None
        alone = margin(store, Fire(np.array([[np.inf]]), np.array([rate])))
        return FuelUntil(at_s, span_of(at_s + alone.empty_s))
    found = margin(store, fire)
    needed, more = needed_of(found, store, fire)
    missing = found.missing_kg(SAFE)
    return FuelUntil(
        at_s=at_s,
        empty=span_of(at_s + found.empty_s),
        off=span_of(at_s + fire.ends_s[-1]),
        needed_kg=needed,
        more=more,
        runs_out=found.runs_out,
        missing_kg=missing if np.isfinite(missing) else None,
        horizon_s=limit_s,
        open_stage=open_stage,
    )


def needed_of(found: Margin, store: Store, fire: Fire) -> tuple[Estimate, bool]:
    """What is needed [kg], and whether its upper end is only what burns within the horizon."""
    span = span_of(found.needed_kg)
    if np.isfinite(span.high):
        return Estimate(span.low, span.mid, span.high), False
    finite = fire.ends_s[np.isfinite(fire.ends_s)]
    edge_s = float(finite.max()) if finite.size else 0.0
    within = margin(store, Fire(np.minimum(fire.ends_s, edge_s), fire.rates_kg_h))
    span = span_of(within.needed_kg)
    return Estimate(span.low, span.mid, span.high), True
