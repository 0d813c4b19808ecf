"""The command 'forecast': what it is given, what it answers.

`options` tells argparse what there is; `answer` makes the forecast and returns what is to be printed.
"""

from __future__ import annotations

import argparse
import json
import math
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Final, cast, get_args

import numpy as np

from smokejournal.cli.recorded_table import LATEST_S, BadInput, Recorded, read_file
from smokejournal.cook.forecast.basis_words import assumed_words
from smokejournal.cook.forecast.cook_so_far import NoForecast, record_of
from smokejournal.cook.forecast.cut import cut_of
from smokejournal.cook.forecast.intervals import leg_span, reach_span
from smokejournal.cook.forecast.words import why_words
from smokejournal.cook.text.numbers import QuantityError
from smokejournal.cook.text.quantities import (
    METRIC,
    parse_duration,
    parse_length,
    parse_mass,
    parse_temperature,
)
from smokejournal.cook.text.translate import translate
from smokejournal.science.forecast.values import (
    SHARES,
    CookSoFar,
    Cut,
    Forecast,
    Leg,
    SetPoint,
    Wrapped,
    Wrapping,
)
from smokejournal.services.forecast.finish import Forecaster, Taught, default_forecast
from smokejournal.services.program.program import Program

CUTS: Final = cast("tuple[Cut, ...]", get_args(Cut))
FOODS: Final = {
    "red_meat": "other",
    "ground": "loaf",
    "ham": "other",
    "whole_cut": "other",
    "meat": "other",
    "meatloaf": "loaf",
    "whole_poultry": "poultry_whole",
}
LATEST_HOLD_S: Final = 7 * 86_400.0

EPILOG: Final = """\
The table is a CSV whose first line names the columns time_s (seconds on any one scale), pit_c and
probe_c (°C; blank where a reading is missing), and check_c where a second probe is in the same piece.
Other columns are ignored and named. Rows may be in any order; what comes after --now is not used. Up to
4 million lines and 200 MB are read. Times are given on the scale of time_s, temperatures in °C, or in °F
with an F behind: 203F.

The answer is JSON: "standing" is forecast, too_early, may_not_reach, reached, no_readings or in_air;
"quantiles" holds the seconds that remain from now_s until the probe is at target_c, with a chance of
0.05, 0.10, … 0.95 (null: later than the forecast looks). What is refused is counted in "rows" and said
on the error output. The exit code is 2 where the input can't be used.

  smokejournal forecast cook.csv --target 95 --food shoulder --set-point 0:110 --now 14400
  smokejournal forecast cook.csv --target 203F --food brisket --plan-wrap 165F:paper:250F --hold 1h
  smokejournal forecast --cook last
"""


@dataclass(frozen=True, slots=True)
class Printed:
    """What goes to the two outputs, and the exit code."""

    out: str
    err: str
    code: int


def options(parser: argparse.ArgumentParser) -> None:
    """Add what the command understands."""
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.epilog = EPILOG
    parser.add_argument("csv", nargs="?", type=Path, metavar="CSV", help="a recorded cook")
    parser.add_argument(
        "--cook", metavar="N", help="instead: a cook of the journal, by its number, or 'last'"
    )
    parser.add_argument(
        "--now",
        type=_moment,
        metavar="TIME",
        help="only what came up to then is used (default: all)",
    )
    parser.add_argument(
        "--target", type=_temperature, metavar="TEMP", help="what the probe is to reach"
    )
    parser.add_argument(
        "--food",
        type=_food,
        metavar="FOOD",
        help=f"{', '.join(CUTS)}, or words such as 'pork butt'",
    )
    parser.add_argument(
        "--mass-kg", type=_mass, metavar="KG", help="of one piece; or with its unit: '6 lb 8 oz'"
    )
    parser.add_argument(
        "--thickness-m", type=_length, metavar="M", help="of one piece; or with its unit: '3 cm'"
    )
    parser.add_argument("--start", type=_moment, metavar="TIME", help="when the meat went in")
    parser.add_argument(
        "--set-point",
        type=_set_point,
        action="append",
        default=[],
        metavar="TIME:TEMP",
        help="the pit was set to this then; later than now: is planned to be (may be repeated)",
    )
    parser.add_argument(
        "--wrapped",
        type=_wrapped,
        action="append",
        default=[],
        metavar="TIME:WRAP",
        help="wrapped in foil or paper then, or none: unwrapped (may be repeated)",
    )
    parser.add_argument(
        "--plan-wrap",
        type=_plan_wrap,
        metavar="TEMP:WRAP[:PIT]",
        help="to be wrapped in foil or paper when the probe is at TEMP, the pit then set to PIT",
    )
    parser.add_argument(
        "--hold",
        type=_hold,
        metavar="TIME",
        help="held on so long after the target: seconds, or with a unit: '30 min'",
    )
    parser.add_argument(
        "--journal",
        type=Path,
        metavar="FOLDER",
        default=argparse.SUPPRESS,
        help="the folder of the journal to use with --cook",
    )


def check(parser: argparse.ArgumentParser, found: argparse.Namespace) -> None:
    """What several options must be to each other."""
    if (found.csv is None) == (found.cook is None):
        parser.error("name a CSV file or --cook, one of them")
    if found.cook is not None:
        own = ("food", "mass_kg", "thickness_m", "start", "plan_wrap", "hold", "target")
        given = [name for name in own if getattr(found, name) is not None]
        given += [name for name in ("set_point", "wrapped") if getattr(found, name)]
        if given:
            names = ", ".join(f"--{name.replace('_', '-')}" for name in given)
            parser.error(f"{names}: with --cook this is read off the journal; leave it out")
        return
    if found.target is None:
        parser.error("--target is needed with a CSV file, for example --target 95 or --target 203F")
    if found.plan_wrap is not None and found.plan_wrap[0] >= found.target:
        parser.error("--plan-wrap: the wrap must come below --target")


# -- answering -------------------------------------------------------------------------------


def answer_csv(found: argparse.Namespace, forecaster: Forecaster = default_forecast) -> Printed:
    """The forecast of a recorded table."""
    try:
        recorded = read_file(found.csv)
        cook, said = cook_of(found, recorded)
    except BadInput as problem:
        return Printed("", problem.message, 2)
    began = time.perf_counter()
    forecast = forecaster(cook)
    took_s = time.perf_counter() - began
    used = recorded.time_s <= cook.now_s
    told = forecast_json(forecast, cook, took_s)
    told["rows"] = {
        "read": recorded.rows,
        "used": int(np.count_nonzero(used)),
        "refused": recorded.refused_rows,
        "cells_refused": recorded.refused_cells,
        "after_now": int(np.count_nonzero(~used)),
    }
    return Printed(_dumped(told), "\n".join((*_told_of(recorded), *said)), 0)


def answer_cook(
    program: Program,
    cook_id: int,
    now_s: float | None,
    forecaster: Forecaster = default_forecast,
    taught: Taught | None = None,
) -> Printed:
    """The forecast of a cook of the journal, now or at an earlier moment, after what earlier cooks
    taught."""
    live = program.live(cook_id)
    standing = live.standing(now_s)
    at_s = standing.at_s
    record = record_of(live.log(), standing, at_s)
    if isinstance(record, NoForecast):
        return Printed(
            _dumped({"standing": None, "why": record.why, "now_s": at_s, "quantiles": None}),
            why_words(record.why),
            0,
        )
    prior = None if taught is None else taught(cook_id, record)
    record = replace(record, cook=replace(record.cook, prior=prior))
    began = time.perf_counter()
    forecast = forecaster(record.cook)
    told = forecast_json(forecast, record.cook, time.perf_counter() - began)
    told["cook"] = cook_id
    told["lead"] = record.lead.key
    told["earlier_cooks"] = {
        "pit": 0 if prior is None else prior.cooks,
        "cut": 0 if prior is None else prior.of_the_cut,
    }
    told["assumed"] = [one.code for one in record.assumed]
    for planned, leg in zip(record.legs, told["legs"], strict=True):
        leg["stage"] = planned.stage
    return Printed(_dumped(told), "\n".join(assumed_words(record.assumed)), 0)


def cook_of(found: argparse.Namespace, recorded: Recorded) -> tuple[CookSoFar, list[str]]:
    """What the options and a table make, with only what is known at now, and what to tell of it."""
    said: list[str] = []
    now_s = found.now
    if now_s is None:
        now_s = float(np.max(recorded.time_s))
    used = recorded.time_s <= now_s
    if not np.any(used):
        first_s = float(np.min(recorded.time_s))
        raise BadInput(
            translate("Forecast", "--now {now}: nothing was recorded by then. It begins at {first}.")
            .format(now=f"{now_s:g}", first=f"{first_s:g}")
        )  # fmt: skip
    start_s = found.start
    if start_s is not None and start_s > now_s:
        raise BadInput(
            translate("Forecast", "--start {start} lies after now, {now}.").format(
                start=f"{start_s:g}", now=f"{now_s:g}"
            )
        )
    wraps = sorted(found.wrapped, key=lambda wrap: wrap.time_s)
    late = [wrap for wrap in wraps if wrap.time_s > now_s]
    if late:
        said.append(
            translate(
                "Forecast",
                "Wraps told for after now, and so left out: {n}. Plan one with --plan-wrap.",
            ).format(n=len(late))
        )
    wraps = [wrap for wrap in wraps if wrap.time_s <= now_s]
    legs: list[Leg] = []
    plan = found.plan_wrap
    wrapped = bool(wraps) and wraps[-1].material is not None
    if plan is not None and not wrapped:
        wrap_c, material, pit_c = plan
        legs.append(Leg(until_probe_c=wrap_c))
        legs.append(Leg(pit_c=pit_c, until_probe_c=found.target, wrap=material))
    elif plan is not None or found.hold is not None:
        legs.append(Leg(until_probe_c=found.target))
    if found.hold is not None:
        legs.append(Leg(for_s=found.hold))
    cook = CookSoFar(
        time_s=recorded.time_s[used],
        pit_c=recorded.pit_c[used],
        probe_c=recorded.probe_c[used],
        check_c=None if recorded.check_c is None else recorded.check_c[used],
        now_s=now_s,
        target_c=found.target,
        cut=_cut(found),
        mass_kg=found.mass_kg,
        thickness_m=found.thickness_m,
        start_s=start_s,
        set_points=tuple(sorted(found.set_point, key=lambda point: point.time_s)),
        wraps=tuple(wraps),
        legs=tuple(legs),
    )
    return cook, said


def _cut(found: argparse.Namespace) -> Cut:
    text = "" if found.food is None else found.food
    key = text.casefold().replace("-", "_").replace(" ", "_")
    if key in CUTS:
        return cast(Cut, key)
    if key in FOODS:
        return cast(Cut, FOODS[key])
    return cut_of(text, "other", found.mass_kg, found.thickness_m)


def forecast_json(forecast: Forecast, cook: CookSoFar, took_s: float) -> dict[str, Any]:
    """The forecast as plain data. Nothing in it is infinite or negative."""
    remaining_s = forecast.remaining_s
    if remaining_s is None and forecast.standing == "reached":
        remaining_s = np.zeros(SHARES.size)
    quantiles = None
    if remaining_s is not None:
        quantiles = {
            f"{share:.2f}": _left(float(value))
            for share, value in zip(SHARES, remaining_s, strict=True)
        }
    legs = []
    for n in range(len(cook.legs)):
        span = leg_span(forecast, n)
        ends = (
            None
            if span is None
            else [_left(s - cook.now_s) for s in (span.low, span.mid, span.high)]
        )
        legs.append({"ends_in_s": None if ends is None else dict(zip(("0.10", "0.50", "0.90"), ends, strict=True))})  # fmt: skip
    reach = reach_span(forecast)
    return {
        "standing": forecast.standing,
        "now_s": cook.now_s,
        "target_c": cook.target_c,
        "median_s": None if reach is None else _left(reach.mid - forecast.now_s),
        "quantiles": quantiles,
        "cut": cook.cut,
        "noticed": list(forecast.noticed),
        "check_used": forecast.check_used,
        "courses_s": [_left(one) for one in forecast.courses_s],
        "untold_wrap_s": _finite(forecast.untold_wrap_s),
        "legs": legs,
        "residual_k": _finite(forecast.residual_k),
        "recalibration": None
        if forecast.recalibration is None
        else {
            "bias": round(forecast.recalibration.bias, 4),
            "scale": round(forecast.recalibration.scale, 4),
            "cooks": forecast.recalibration.cooks,
        },
        "took_s": round(took_s, 3),
    }


def _left(seconds: float) -> float | None:
    return round(max(0.0, seconds), 1) if math.isfinite(seconds) else None


def _finite(value: float | None) -> float | None:
    return None if value is None or not math.isfinite(value) else value


def _dumped(told: dict[str, Any]) -> str:
    return json.dumps(told, indent=1, allow_nan=False)


def _told_of(recorded: Recorded) -> list[str]:
    said = []
    if recorded.ignored:
        text = translate("Forecast", "Columns ignored: {names}.")
        said.append(text.format(names=", ".join(recorded.ignored)))
    if recorded.refused_rows:
        text = translate("Forecast", "Rows refused: {n} of {rows}.")
        said.append(text.format(n=recorded.refused_rows, rows=recorded.rows))
    if recorded.refused_cells:
        text = translate("Forecast", "Readings refused: {n}.")
        said.append(text.format(n=recorded.refused_cells))
    said += recorded.refused
    if recorded.refused_rows + recorded.refused_cells > len(recorded.refused) > 0:
        said.append(translate("Forecast", "The others are not named here."))
    return said


# -- reading options -------------------------------------------------------------------------


def _typed(read: Callable[[], float]) -> float:
    try:
        return read()
    except QuantityError as problem:
        raise argparse.ArgumentTypeError(problem.message) from None


def _bare(text: str) -> float | None:
    """A number without a unit, as SI."""
    try:
        return float(text)
    except ValueError:
        return None


def _moment(text: str) -> float:
    at_s = _bare(text)
    if at_s is None or not abs(at_s) <= LATEST_S:
        raise argparse.ArgumentTypeError(
            f"“{text}” is no time. Type seconds on the scale of time_s, such as 14400"
        )
    return at_s


def _temperature(text: str) -> float:
    return _typed(lambda: parse_temperature(text, METRIC, "", -30.0, 500.0))


def _above_zero(value: float, text: str) -> float:
    if not value > 0.0:
        raise argparse.ArgumentTypeError(f"“{text}”: type a number above 0")
    return value


def _mass(text: str) -> float:
    return _above_zero(_typed(lambda: parse_mass(text, METRIC, "", 0.0, 500.0)), text)


def _length(text: str) -> float:
    bare = _bare(text)
    typed = text if bare is None else f"{bare:.9f} m"
    return _above_zero(_typed(lambda: parse_length(typed, METRIC, "", 0.0, 2.0)), text)


def _hold(text: str) -> float:
    bare = _bare(text)
    typed = text if bare is None else f"{bare:.3f} s"
    return _above_zero(_typed(lambda: parse_duration(typed, "", 0.0, LATEST_HOLD_S)), text)


def _food(text: str) -> str:
    key = text.strip().casefold().replace("-", "_").replace(" ", "_")
    if key in CUTS or key in FOODS or cut_of(text) != "other":
        return text.strip()
    raise argparse.ArgumentTypeError(f"“{text}” is not known. Type one of: {', '.join(CUTS)}")


def _parts(text: str, wanted: str, *counts: int) -> list[str]:
    found = [part.strip() for part in text.split(":")]
    if len(found) not in counts or not all(found):
        raise argparse.ArgumentTypeError(f"“{text}”: type {wanted}")
    return found


def _set_point(text: str) -> SetPoint:
    at, pit = _parts(text, "TIME:TEMP, such as 0:110 or 7200:250F", 2)
    return SetPoint(_moment(at), _temperature(pit))


def _wrapping(text: str, allowed: tuple[str, ...]) -> Wrapping | None:
    name = text.casefold()
    if name not in allowed:
        raise argparse.ArgumentTypeError(f"“{text}”: type one of {', '.join(allowed)}")
    return None if name == "none" else cast(Wrapping, name)


def _wrapped(text: str) -> Wrapped:
    at, wrap = _parts(text, "TIME:WRAP, such as 18000:foil", 2)
    return Wrapped(_moment(at), _wrapping(wrap, ("foil", "paper", "none")))


def _plan_wrap(text: str) -> tuple[float, Wrapping, float | None]:
    parts = _parts(text, "TEMP:WRAP or TEMP:WRAP:PIT, such as 74:foil or 165F:paper:250F", 2, 3)
    material = _wrapping(parts[1], ("foil", "paper"))
    pit_c = _temperature(parts[2]) if len(parts) == 3 else None
    return _temperature(parts[0]), cast(Wrapping, material), pit_c
