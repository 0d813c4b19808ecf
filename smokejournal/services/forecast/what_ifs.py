"""Which what-ifs are worth asking of a forecast, each with its title."""

from __future__ import annotations

from smokejournal.cook.forecast.cook_so_far import ForecastInput
from smokejournal.cook.forecast.words import pit_title, probe_title, wrap_title
from smokejournal.cook.progress.standing import Standing
from smokejournal.cook.text.quantities import Units
from smokejournal.services.forecast.finish import (
    ForecastResult,
    OtherProbe,
    PitAt,
    WhatIf,
    WrapNow,
)

#: The pit is tried this much hotter, at the next round figure of the cook's own scale.
HOTTER_C, ROUND_C = 10.0, 5.0
HOTTER_F, ROUND_F = 20.0, 5.0
#: No pit is tried above this: what a pellet smoker holds with lid and grease in mind
#: (common practice, no source).
HOTTEST_C = 165.0


def worth_asking(
    result: ForecastResult, standing: Standing, units: Units
) -> tuple[tuple[WhatIf, str], ...]:
    """What the cook could still change: the wrap, the pit, and the probe that is followed; where that
    is there already, only the last."""
    record, forecast = result.record, result.forecast
    if record is None or forecast is None:
        return ()
    if forecast.standing == "reached":
        return _other_probe(record, standing)
    if forecast.standing not in ("forecast", "may_not_reach"):
        return ()
    asks: list[tuple[WhatIf, str]] = []
    cook = record.cook
    legs = cook.legs
    resting = bool(legs) and legs[0].resting
    # Whether it is wrapped already may be an open question; then it is asked first.
    wrapped = forecast.untold_wrap_s is not None or (
        bool(cook.wraps) and cook.wraps[-1].material is not None
    )
    if not wrapped and not resting:
        asks += [(WrapNow(m), wrap_title(m)) for m in ("foil", "paper")]
    pit_c = legs[0].pit_c if legs else None
    if pit_c is None and cook.set_points:
        pit_c = cook.set_points[-1].pit_c
    if pit_c is not None and not resting:
        hotter_c = hotter(pit_c, units)
        if hotter_c <= HOTTEST_C:
            asks.append((PitAt(hotter_c), pit_title(hotter_c, units)))
    return (*asks, *_other_probe(record, standing))


def _other_probe(record: ForecastInput, standing: Standing) -> tuple[tuple[WhatIf, str], ...]:
    other = standing.check
    if other is None or other not in standing.channels or other == record.lead.key:
        return ()
    channel = standing.channels[other].channel
    return ((OtherProbe(other), probe_title(channel.name or channel.key)),)


def hotter(pit_c: float, units: Units) -> float:
    """A pit [°C] set some 10 K higher, at a figure that one would set."""
    if units.temperature == "F":
        raised = round((pit_c * 1.8 + 32.0 + HOTTER_F) / ROUND_F) * ROUND_F
        return (raised - 32.0) / 1.8
    return round((pit_c + HOTTER_C) / ROUND_C) * ROUND_C
