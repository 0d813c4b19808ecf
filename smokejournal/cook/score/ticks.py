"""Where the score's axes have their ticks, and what is written there. Pure sums, no drawing.

Clock ticks stand at round times on the cook's own clock, also across a change of the clocks: an hour
that comes twice has its tick twice, one that is left out has none.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from smokejournal.cook.score.score import Score
from smokejournal.cook.text import times
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.text.quantities import day as day_of
from smokejournal.cook.text.translate import translate
from smokejournal.science.numbers.units import c_from_f, f_from_c

_STEPS_S = (60, 300, 600, 900, 1800, 3600, 7200, 10800, 21600, 43200, 86400, 7 * 86400)
_DEGREES = (1, 2, 5, 10, 20, 50, 100, 200)


@dataclass(frozen=True, slots=True)
class Tick:
    """A tick at `at` (seconds or °C). `under` is a second line: the date where a day begins."""

    at: float
    text: str
    under: str = ""


def time_step_s(span_s: float, room: float) -> float:
    """Seconds between ticks so that no more than `room` of them fall into `span_s`."""
    least_s = span_s / max(1.0, room)
    return next(
        (step for step in _STEPS_S if step >= least_s), 86400.0 * math.ceil(least_s / 86400)
    )


def clock_ticks(from_s: float, to_s: float, zone: str, units: Units, room: float) -> list[Tick]:
    """Ticks at round local times from `from_s` to `to_s`, at most about `room` of them."""
    step_s = time_step_s(to_s - from_s, room)
    # Zones lie a multiple of 15 minutes off; looking at each candidate's local time finds round
    # ones on either side of a change of the clocks.
    sieve_s = step_s if step_s <= 300 else 300 if step_s == 600 else 900
    ticks: list[Tick] = []
    day = ""
    for number in range(math.ceil(from_s / sieve_s), math.floor(to_s / sieve_s) + 1):
        at_s = number * sieve_s
        when = times.local(at_s, zone)
        if when is None:
            continue
        of_day_s = when.hour * 3600 + when.minute * 60
        if of_day_s % min(step_s, 86400.0):
            continue
        if step_s > 86400 and when.toordinal() % round(step_s / 86400):
            continue
        today = day_of(at_s, zone, units)
        under = today if today != day else ""
        day = today
        ticks.append(Tick(at_s, _clock(when.hour, when.minute, units), under))
    return ticks


def _clock(hour: int, minute: int, units: Units) -> str:
    if units.hours == "24":
        return f"{hour:02d}:{minute:02d}"
    half = translate("Quantities", "am") if hour < 12 else translate("Quantities", "pm")
    twelve = (hour + 11) % 12 + 1
    return f"{twelve} {half}" if minute == 0 else f"{twelve}:{minute:02d} {half}"


def since_text(elapsed_s: float) -> str:
    """ "3:05" for three hours and five minutes after the start, "−0:20" before it."""
    minutes = round(abs(elapsed_s) / 60)
    sign = "−" if elapsed_s < 0 and minutes else ""
    return f"{sign}{minutes // 60}:{minutes % 60:02d}"


def since_ticks(from_s: float, to_s: float, start_s: float, room: float) -> list[Tick]:
    """Ticks at round times since `start_s`."""
    step_s = time_step_s(to_s - from_s, room)
    first = math.ceil((from_s - start_s) / step_s)
    last = math.floor((to_s - start_s) / step_s)
    return [Tick(start_s + n * step_s, since_text(n * step_s)) for n in range(first, last + 1)]


def degree_step(low_c: float, high_c: float, units: Units, room: float) -> int:
    """Degrees of the reader's scale between ticks, at most about `room` of them."""
    span = (high_c - low_c) * (1.8 if units.temperature == "F" else 1.0)
    least = span / max(1.0, room)
    # Pits are set in steps of 25 °F, so those who read °F look for 225 and 250.
    steps = sorted({*_DEGREES, 25}) if units.temperature == "F" else _DEGREES
    return next((step for step in steps if step >= least), _DEGREES[-1])


def temperature_ticks(low_c: float, high_c: float, units: Units, room: float) -> list[Tick]:
    """Ticks at round °C or round °F; `at` is °C either way."""
    step = degree_step(low_c, high_c, units, room)
    fahrenheit = units.temperature == "F"
    low, high = (f_from_c(low_c), f_from_c(high_c)) if fahrenheit else (low_c, high_c)
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [
        Tick(c_from_f(n * step) if fahrenheit else float(n * step), f"{n * step}".replace("-", "−"))
        for n in range(first, last + 1)
    ]


def temperature_range(score: Score, units: Units, room: float = 16) -> tuple[float, float]:
    """Lowest and highest °C to show: all traces, targets and fans, out to the next round tick."""
    values = [value for value in _extremes(score) if math.isfinite(value)]
    low_c, high_c = (min(values), max(values)) if values else (0.0, 100.0)
    # Some room above, for words, and never less than twenty degrees of picture.
    slack_c = max(0.0, 20.0 - (high_c - low_c)) / 2
    low_c, high_c = low_c - slack_c, high_c + slack_c + 0.05 * (high_c - low_c) + 1.0
    step = degree_step(low_c, high_c, units, room)
    if units.temperature == "F":
        return (
            c_from_f(math.floor(f_from_c(low_c) / step) * step),
            c_from_f(math.ceil(f_from_c(high_c) / step) * step),
        )
    return math.floor(low_c / step) * step, math.ceil(high_c / step) * step


def _extremes(score: Score) -> Iterable[float]:
    for trace in score.traces:
        for piece in trace.pieces:
            yield float(piece.value_c.min())
            yield float(piece.value_c.max())
    for target in score.targets:
        yield target.value_c
    for fan in score.fans:
        if fan.low_c.size:
            yield float(fan.low_c.min())
            yield float(fan.high_c.max())
