"""Cooks whose sheets are worth printing: a full one, an empty one, a hostile one, a long one."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from functools import cache

from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.entries import (
    AlarmRaised,
    CookClosed,
    CookOpened,
    FuelAdded,
    FuelLevel,
    ItemAdded,
    Lid,
    NextTime,
    Note,
    Payload,
    PrepStep,
    Spritz,
    StageConfirmed,
    Tasted,
    WeatherObserved,
    Weighed,
    Wrap,
)
from smokejournal.cook.log.schedule import ForTime, Stage, UntilTemperature
from smokejournal.cook.progress.progress import fold
from smokejournal.cook.score.from_log import score_of
from smokejournal.cook.score.score import Score
from smokejournal.cook.summary.summary import Summary, summarize
from tests.support.logs import T0, cook_log

HOUR = 3600.0
NOW_S = T0 + 10 * HOUR
HOSTILE = (
    '<b onclick="x">&amp;</b> <script>alert(1)</script> ]]> {{ 7*7 }} %s \u202e\x1b[31m\x00 end'
)

STAGES = (
    Stage("s1", "Smoke", (UntilTemperature(74.0),), pit_target_c=107.0),
    Stage("s2", "Wrapped", (UntilTemperature(93.0),), pit_target_c=121.0, ending="waits"),
    Stage("s3", "Hold", (ForTime(1800.0, at_least_c=85.0),), pit_target_c=90.0),
    Stage("s4", "Rest", (ForTime(3600.0),)),
)

SAID: tuple[tuple[float, Payload], ...] = (
    (-7200, ItemAdded("pork shoulder", "red_meat", "bone-in neck end", 3.2, 0.11)),
    (-3000, PrepStep("rub", "pepper, paprika, a little sugar")),
    (-900, FuelLevel(0.8, 0.1)),
    (-800, FuelAdded("beech 2026-10", 5.0, 0.05, price_per_kg=1.4, currency="EUR")),
    (0, WeatherObserved(sky="scattered", air_c=4.0, humidity_pct=78.0, wind_m_s=4.2)),
    (2.5 * HOUR, Lid(True)),
    (2.5 * HOUR, Spritz("cider vinegar")),
    (2.5 * HOUR + 95, Lid(False)),
    (5.2 * HOUR, Wrap("paper")),
    (6.9 * HOUR, AlarmRaised("x", "Wrapped is done and waits for you.")),
    (7.0 * HOUR, StageConfirmed("s2")),
    (7.6 * HOUR, FuelLevel(2.4, 0.15)),
    (9.0 * HOUR, Weighed("cooked", 2.0)),
    (9.0 * HOUR, Tasted("Tender to the bone.", {"smoke": 3, "overall": 4})),
    (9.0 * HOUR, NextTime("Less salt, and wrap half an hour earlier.")),
    (9.1 * HOUR, CookClosed()),
)


def _cook(
    more: Sequence[tuple[float, Payload]] = (), *, every_s: float = 60.0, **opened: object
) -> CookLog:
    """A whole cook with two probes 2.2 °C apart."""
    readings: list[tuple[float, str, float]] = []
    for n in range(int(9 * HOUR / every_s) + 1):
        at = n * every_s
        meat = round(108.0 - 102.0 * math.exp(-at / (2.6 * HOUR)), 1)
        readings += [(at, "pit", 107.0), (at, "meat", meat), (at, "other", round(meat - 2.2, 1))]
    said = sorted([*SAID, *more], key=lambda pair: pair[0])
    log = cook_log(STAGES, said, readings)
    first = log.entries[0]
    assert isinstance(first.what, CookOpened)
    told = replace(first.what, title="Pork shoulder", zone="Europe/Vienna", **opened)  # type: ignore[arg-type]
    return CookLog(7, (replace(first, what=told), *log.entries[1:]), log.traces)


@cache
def full(*, simulated: bool = False) -> CookLog:
    """The whole cook as it is."""
    return _cook(simulated=simulated)


@cache
def empty() -> CookLog:
    """Nothing but a title."""
    return cook_log([], start=None, channels=())


@cache
def long() -> CookLog:
    """Sixty notes, some of them over more than one line."""
    more = "; the smoke thin and blue, the fire steady, nothing to be done but to wait and to look"
    return _cook(
        [(600.0 + n * 400, Note(f"Entry number {n:02d}{more * (n % 3)}.")) for n in range(60)]
    )


@cache
def hostile() -> CookLog:
    """Markup, control characters, endless words and pages of lines in every free text."""
    lines = "\n".join(f"pasted line {n:03d}" for n in range(200))
    said: list[tuple[float, Payload]] = [
        (5000, Note(HOSTILE + " " + "W" * 500)),
        (5100, Note(lines)),
        (5200, NextTime(HOSTILE)),
        (5300, PrepStep(HOSTILE, "é ß Ж 中文")),
        (5400, ItemAdded(HOSTILE * 3, "fish", mass_kg=0.4)),
    ]
    return _cook(said, place=HOSTILE)


def summed(log: CookLog) -> tuple[Summary, Score]:
    """Its summary and its score."""
    standing = fold(log, NOW_S)
    return summarize(log, NOW_S, standing), score_of(log, standing, NOW_S)
