"""Moments of a forecast on the clock where the cook is, no finer than their interval allows."""

from __future__ import annotations

import math

from smokejournal.cook.forecast.intervals import MINUTE_S, TimeInterval, horizon_s, rounded
from smokejournal.cook.text import quantities as q
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.text.translate import translate
from smokejournal.science.forecast.values import Forecast

#: A clock time this far ahead could be taken for another day's.
OTHER_DAY_S = 23 * 3600.0


class ForecastClock:
    """Tells moments of one forecast on the clock where the cook is."""

    def __init__(self, now_s: float, horizon_s: float | None, units: Units, zone: str) -> None:
        self.now_s = now_s
        self.horizon_s = horizon_s
        self.units = units
        self.zone = zone

    @classmethod
    def of(cls, forecast: Forecast, units: Units, zone: str) -> ForecastClock:
        """The clock of one forecast."""
        return cls(forecast.now_s, horizon_s(forecast), units, zone)

    def at(self, at_s: float) -> str:
        """One moment; with its day where it lies far ahead."""
        clock = q.clock_time(at_s, self.zone, self.units)
        if at_s - self.now_s >= OTHER_DAY_S:
            day = q.day(at_s, self.zone, self.units)
            return translate("Forecast", "{day}, {clock}").format(day=day, clock=clock)
        return clock

    def later(self) -> str:
        """'later than …', the end of what was looked at."""
        if self.horizon_s is None:
            return translate("Forecast", "later than the forecast looks")
        step = 15 * MINUTE_S
        edge_s = math.floor(self.horizon_s / step) * step
        if edge_s <= self.now_s:
            edge_s = math.ceil(self.now_s / MINUTE_S) * MINUTE_S
        return translate("Forecast", "later than {time}").format(time=self.at(edge_s))

    def span(self, span: TimeInterval) -> str:
        """'about 18:40 (17:50 – 20:10)', open at its end where that lies beyond the horizon."""
        # The next whole minute: a time that has just gone by is no forecast.
        told = rounded(span, math.ceil(self.now_s / MINUTE_S) * MINUTE_S)
        if not math.isfinite(told.low):
            return self.later()
        if not math.isfinite(told.mid):
            return translate("Forecast", "{later}, hardly before {low}").format(
                later=self.later(), low=self.at(told.low)
            )
        high = self.at(told.high) if math.isfinite(told.high) else self.later()
        text = translate("Forecast", "about {time}").format(time=self.at(told.mid))
        return q.interval(text, self.at(told.low), high)
