"""The probes that the cook owns, and their calibrations. They are kept with the journal, not a cook."""

from __future__ import annotations

import json
import math
import sys
from dataclasses import dataclass, replace
from typing import Annotated, ClassVar, Literal

from smokejournal.cook.log.readings import Channel
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.strict import Name, OneOf, TextSize, read, written
from smokejournal.cook.text.translate import translate
from smokejournal.science.numbers.ranges import OutOfRange
from smokejournal.science.probes.accuracy_class import ACCURACY_CLASSES
from smokejournal.science.probes.calibration import Correction, Model, Point, calibrate

How = Literal["ice", "boil", "beside"]
"""Ice water, boiling water, or beside a thermometer that is known to be right."""

MOST_POINTS = 50


@dataclass(frozen=True, slots=True)
class Probe:
    """One probe. `id` 0: not kept yet. `accuracy_class` is a key of ACCURACY_CLASSES or empty."""

    id: int
    name: Name
    accuracy_class: Annotated[str, OneOf(("", *ACCURACY_CLASSES))] = ""
    note: Annotated[str, TextSize(longest=10_000)] = ""
    retired: bool = False


@dataclass(frozen=True, slots=True)
class CalibrationPoint:
    """A raw reading [°C] where the temperature was known [°C], each with its standard uncertainty [K]."""

    how: How
    reading_c: float
    reference_c: float
    reading_sd_k: float
    reference_sd_k: float

    @property
    def point(self) -> Point:
        """As the sums take it."""
        return Point(self.reading_c, self.reference_c, self.reading_sd_k, self.reference_sd_k)


@dataclass(frozen=True, slots=True)
class Calibration:
    """One calibration of a probe: its points as they were taken. `id` 0: not kept yet.

    It is never altered; what it comes to is computed from its points.
    """

    id: int
    probe_id: int
    at_s: float
    points: tuple[CalibrationPoint, ...]
    model: Model
    note: str = ""

    @property
    def correction(self) -> Correction:
        """The correction that the points give."""
        return calibrate([each.point for each in self.points], self.model)


@dataclass(frozen=True, slots=True)
class _Written:
    """What is written of a calibration; the probe and the date stand beside it."""

    newest: ClassVar[int] = 1
    model: Model
    # Whatever was noted with one once is read for ever.
    note: Annotated[str, TextSize(longest=sys.maxsize, nul=True)]
    points: tuple[CalibrationPoint, ...]


def calibrated(channel: Channel, probe: Probe, calibration: Calibration) -> Channel:
    """The channel with this probe's correction, from when it is said on."""
    correction = calibration.correction
    return replace(
        channel,
        probe_id=probe.id,
        probe=channel.probe or probe.name,
        slope=correction.slope,
        offset_c=correction.offset_c,
        calibrated_at_s=calibration.at_s,
        uncertainty_c=correction.worst_expanded_k,
    )


def with_offset(channel: Channel, offset_c: float) -> Channel:
    """The channel with a correction that was typed. Where it is another one than before, what a
    calibration said of slope, date and uncertainty holds no more."""
    if offset_c == channel.offset_c:
        return channel
    return replace(channel, offset_c=offset_c, slope=1.0, calibrated_at_s=None, uncertainty_c=None)


def validate_calibration(calibration: Calibration) -> None:
    """SchemaProblem where the calibration can't stand as it is."""
    if not 1 <= len(calibration.points) <= MOST_POINTS:
        raise SchemaProblem("points", translate("Probes", "Take 1 to 50 points."))
    if not (math.isfinite(calibration.at_s) and 0 <= calibration.at_s < 253_402_300_800):
        raise SchemaProblem("at_s", translate("Probes", "Give a date from 1970 to 9999."))
    try:
        _ = calibration.correction
    except OutOfRange as problem:
        raise SchemaProblem("points", range_words(problem)) from problem
    except ValueError as problem:
        raise SchemaProblem(
            "points", translate("Probes", "A slope needs two points that lie 30 °C or more apart.")
        ) from problem


def range_words(problem: OutOfRange) -> str:
    """What is out of range in a calibration, in words."""
    if problem.field == "slope":
        return translate(
            "Probes",
            "By these points its degrees are {percent} % too large or too small, which no "
            "working probe is. One point is mistyped, or the probe is broken.",
        ).format(percent=f"{abs(100 / problem.value - 100):.0f}")
    number = problem.field.rsplit(" ", 1)[-1]
    if problem.field.startswith("error"):
        return translate(
            "Probes",
            "Point {n} is more than 30 °C off. It is mistyped, perhaps in another unit, or the probe is broken.",
        ).format(n=number)
    return translate("Probes", "Point {n} has a number that can't be. Type it again.").format(
        n=number
    )


def calibration_text(calibration: Calibration) -> str:
    """Its points as JSON text. The probe and the date stand beside it."""
    form = _Written(calibration.model, calibration.note, calibration.points)
    return json.dumps(
        {"version": form.newest, **written(form, in_full=True)}, ensure_ascii=False, allow_nan=False
    )


def calibration_from(id_: int, probe_id: int, at_s: float, text: str) -> Calibration:
    """The calibration that was written so; SchemaProblem where it can't be read."""
    try:
        data = json.loads(text)
    except (ValueError, RecursionError) as problem:
        raise SchemaProblem("calibration", str(problem)) from problem
    form = read(_Written, data, "calibration")
    found = Calibration(id_, probe_id, at_s, form.points, form.model, form.note)
    validate_calibration(found)
    return found
