"""The call that it will soon be ready, read off the newest forecast in the log."""

from __future__ import annotations

import math
from collections.abc import Sequence

from smokejournal.cook.forecast.clock_words import ForecastClock
from smokejournal.cook.forecast.intervals import TimeInterval
from smokejournal.cook.log.entries import Entry, ForecastMade
from smokejournal.cook.progress.alarms import AS_USUAL, Alarm, Called
from smokejournal.cook.progress.standing import Standing
from smokejournal.cook.text.quantities import temperature
from smokejournal.cook.text.translate import translate

#: A forecast is written down every ten minutes: one that is older than this was followed by none [s].
FRESH_S = 1200.0


def nearly_ready(
    standing: Standing, entries: Sequence[Entry], called: Called = AS_USUAL
) -> tuple[Alarm, ...]:
    """The call, where it holds at this moment. `entries` hold and are in order of time.

    Its key is that of the target, so that a forecast that comes and goes calls once.
    """
    tuning, run = called.tuning, standing.current
    if not tuning.nearly or run is None or standing.phase != "running" or standing.waiting:
        return ()
    newest = next((e for e in reversed(entries) if isinstance(e.what, ForecastMade)), None)
    if newest is None or not 0.0 <= standing.at_s - newest.at_s <= FRESH_S:
        return ()
    what = newest.what
    assert isinstance(what, ForecastMade)
    state = standing.channels.get(what.channel)
    if what.standing != "forecast" or what.low_s is None or what.mid_s is None:
        return ()
    if state is None or state.status != "good" or what.mid_s - standing.at_s > tuning.nearly_s:
        return ()
    # Told as at the moment of the forecast, so that the words stay the same while it holds.
    high_s = math.inf if what.high_s is None else what.high_s
    clock = ForecastClock(newest.at_s, None, called.units, called.zone)
    text = translate(
        "Alarms", "{probe} is nearly ready: {target} {when}. Get ready for what comes next."
    ).format(
        probe=state.channel.name or what.channel,
        target=temperature(what.target_c, called.units),
        when=clock.span(TimeInterval(what.low_s, what.mid_s, high_s)),
    )
    return (Alarm(f"nearly:{what.channel}:{what.target_c:.1f}", "chime", text),)
