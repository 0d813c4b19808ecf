"""The score in words: what stood at one moment, and all of it for someone who can't see it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from smokejournal.cook.score.score import (
    Score,
    ScoreMark,
    ScoreTrace,
    ScoreWeather,
    fuel_at,
    value_at,
    weather_at,
)
from smokejournal.cook.text.quantities import (
    Units,
    clock_time,
    date_time,
    duration,
    interval,
    mass,
    mass_number,
    mass_unit,
    speed,
    temperature,
)
from smokejournal.cook.text.translate import translate


@dataclass(frozen=True, slots=True)
class MomentLine:
    """One line about a moment. `trace` is the place of the trace it is about, or None."""

    text: str
    trace: int | None = None


def mark_words(mark: ScoreMark, units: Units) -> str:
    """A mark's text with its mass in the reader's units, on one line."""
    text = " ".join(mark.text.split())
    return text if mark.mass_kg is None else f"{text}, {mass(mark.mass_kg, units)}"


def weather_parts(weather: ScoreWeather, units: Units) -> list[str]:
    """ "12 °C", "overcast", "wind 3 m/s"; what was not seen is left out."""
    parts = []
    if weather.air_c is not None:
        parts.append(temperature(weather.air_c, units))
    if weather.text:
        parts.append(weather.text)
    if weather.wind_m_s is not None:
        wind = speed(weather.wind_m_s, units)
        parts.append(translate("Score", "wind {speed}").format(speed=wind))
    return parts


def part_words(trace: ScoreTrace) -> str:
    """What the trace is to the schedule."""
    return {
        "": "",
        "lead": translate("Score", "lead probe"),
        "check": translate("Score", "check probe"),
    }[trace.part]


def moment_lines(score: Score, at_s: float, units: Units, within_s: float) -> list[MomentLine]:
    """What each trace said at a moment, which stage ran, and the marks no further off than told."""
    lines = []
    for place, trace in enumerate(score.traces):
        value_c = value_at(trace, at_s)
        if value_c is None and score.now_s is not None and at_s > score.now_s:
            continue
        if value_c is None:
            said = translate("Score", "no reading")
        else:
            said = temperature(value_c, units, 1 if trace.role == "meat" else 0)
        lines.append(MomentLine(f"{trace.label}: {said}", place))
    for bar in score.bars:
        if bar.row != "planned" and bar.from_s <= at_s:
            end_s = bar.to_s if bar.to_s is not None else (score.now_s or score.to_s)
            if at_s < end_s:
                lines.append(MomentLine(translate("Score", "Stage: {name}").format(name=bar.label)))
    lines += _foreseen(score, at_s, units)
    fuel = fuel_at(score, at_s)
    if fuel is not None:
        lines.append(
            MomentLine(
                translate("Score", "Fuel left: {mass} ± {sd} {unit}").format(
                    mass=mass_number(fuel[0], units, 1),
                    sd=mass_number(fuel[1], units, 1),
                    unit=mass_unit(units),
                )
            )
        )
    weather = weather_at(score, at_s)
    if weather is not None and (score.now_s is None or at_s <= score.now_s):
        said = ", ".join(weather_parts(weather, units))
        lines.append(MomentLine(translate("Score", "Weather: {weather}").format(weather=said)))
    for mark in score.marks:
        end_s = mark.at_s if mark.to_s is None else mark.to_s
        if mark.at_s - within_s <= at_s <= end_s + within_s:
            lines.append(MomentLine(mark_words(mark, units)))
    return lines


def _foreseen(score: Score, at_s: float, units: Units) -> Iterator[MomentLine]:
    """What is forecast for a moment that is still to come."""
    for fan in score.fans:
        if fan.at_s.size and fan.at_s[0] < at_s <= fan.at_s[-1]:
            low, middle, high = (
                temperature(float(np.interp(at_s, fan.at_s, course)), units)
                for course in (fan.low_c, fan.middle_c, fan.high_c)
            )
            place = next((n for n, t in enumerate(score.traces) if t.key == fan.key), None)
            about = translate("Score", "Forecast: about {temperature}").format(temperature=middle)
            yield MomentLine(interval(about, low, high), place)
    for stage in score.ahead:
        if stage.from_s < at_s and (stage.to_s is None or at_s <= stage.to_s):
            text = translate("Score", "Stage by then, probably: {stage}").format(stage=stage.label)
            yield MomentLine(text)


def score_words(score: Score, units: Units) -> str:
    """The whole score as lines of text, in the order of the picture."""
    return "\n".join(_score_lines(score, units))


def _score_lines(score: Score, units: Units) -> Iterator[str]:
    zone = score.zone

    def clock(at_s: float) -> str:
        return clock_time(at_s, zone, units)

    yield translate("Score", "From {start} to {end}.").format(
        start=date_time(score.from_s, zone, units), end=date_time(score.to_s, zone, units)
    )
    if score.simulated:
        yield translate("Score", "SIMULATED: no real readings")
    for trace in score.traces:
        yield _trace_words(trace, units, zone)
    for bar in score.bars:
        if bar.row == "planned":
            text = translate("Score", "Planned: {stage} from {start}, no set length.")
            if bar.to_s is not None:
                text = translate("Score", "Planned: {stage} from {start} to {end}.")
        elif bar.skipped:
            text = translate("Score", "Stage: {stage} at {start}, skipped.")
        elif bar.to_s is None:
            text = translate("Score", "Stage: {stage} since {start}.")
        else:
            text = translate("Score", "Stage: {stage} from {start} to {end}.")
        end = clock(bar.to_s) if bar.to_s is not None else ""
        yield text.format(stage=bar.label, start=clock(bar.from_s), end=end)
    for mark in score.marks:
        text = f"{clock(mark.at_s)} {mark_words(mark, units)}"
        if mark.to_s is not None:
            lasted = duration(mark.to_s - mark.at_s)
            text = translate("Score", "{mark}, for {time}").format(mark=text, time=lasted)
        yield text
    for level in score.fuel:
        if level.read:
            yield translate("Score", "{time} Fuel left: {mass} ± {sd} {unit}").format(
                time=clock(level.at_s),
                mass=mass_number(level.mass_kg, units, 1),
                sd=mass_number(level.sd_kg, units, 1),
                unit=mass_unit(units),
            )
    for weather in score.weather:
        told = ", ".join(weather_parts(weather, units))
        yield translate("Score", "{time} Weather: {weather}").format(
            time=clock(weather.at_s), weather=told
        )


def _trace_words(trace: ScoreTrace, units: Units, zone: str) -> str:
    part = part_words(trace)
    name = f"{trace.label} ({part})" if part else trace.label
    left_out = ""
    if trace.left_out:
        left_out = " " + translate("Score", "Impossible readings left out: {n}.").format(
            n=trace.left_out
        )
    if not trace.pieces:
        return translate("Score", "{probe}: no reading.").format(probe=name) + left_out
    last = trace.pieces[-1]
    return (
        translate(
            "Score", "{probe}: last {value} at {time}, lowest {low}, highest {high}, gaps: {gaps}."
        ).format(
            probe=name,
            value=temperature(float(last.value_c[-1]), units, 1),
            time=clock_time(float(last.at_s[-1]), zone, units),
            low=temperature(min(float(p.value_c.min()) for p in trace.pieces), units, 1),
            high=temperature(max(float(p.value_c.max()) for p in trace.pieces), units, 1),
            gaps=len(trace.pieces) - 1,
        )
        + left_out
    )
