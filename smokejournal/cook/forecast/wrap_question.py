"""Whether the cook is to be asked about a wrap that the readings speak of and the log doesn't."""

from __future__ import annotations

from collections.abc import Sequence

from smokejournal.cook.log.entries import Entry, Wrap
from smokejournal.cook.text import quantities as q
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.text.translate import translate
from smokejournal.science.forecast.values import WRAP_ANSWER_HOLDS_S, Forecast


def asked_wrap_s(forecast: Forecast, entries: Sequence[Entry]) -> float | None:
    """The moment [UTC seconds] to ask about; None where nothing is open.

    `entries` are those that hold, in order of time. They may be newer than the forecast: what was
    answered since isn't asked again while the next one is computed, and an answer that was taken back
    is open again.
    """
    at_s = forecast.untold_wrap_s
    if at_s is None:
        return None
    said = [(e.at_s, e.what.material) for e in entries if isinstance(e.what, Wrap)]
    if said:
        last_s, material = said[-1]
        if material != "none" or at_s <= last_s + WRAP_ANSWER_HOLDS_S:
            return None
    return at_s


def wrap_question(at_s: float, units: Units, zone: str) -> str:
    """The question itself. The lid tells the moment to a minute or two, hence 'about'."""
    return translate("Forecast", "Did you wrap it at about {time}?").format(
        time=q.clock_time(at_s, zone, units)
    )
