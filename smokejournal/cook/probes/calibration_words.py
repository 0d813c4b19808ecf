"""What a calibration found, in words: the correction, how sure it is, and what to mind."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from smokejournal.cook.probes.probe import Calibration, CalibrationPoint, Probe
from smokejournal.cook.text.quantities import Units, temperature, temperature_step
from smokejournal.cook.text.translate import translate
from smokejournal.science.probes.accuracy_class import ACCURACY_CLASSES, AccuracyClass, verdict
from smokejournal.science.probes.calibration import COVERAGE, OLD_S, Correction, drift

#: A point this far from the line, in its own uncertainties, was hardly taken right.
SCATTER = 2.0
NEAR_FOOD_C = 74.0


def class_words(which: AccuracyClass) -> str:
    """ "K, class 1", "food thermometer"."""
    kind, _, rest = which.key.partition("-")
    if which.key == "food":
        return translate("Calibration", "food thermometer")
    if kind == "Pt":
        return translate("Calibration", "platinum {grade}").format(grade=rest)
    if rest == "standard":
        return translate("Calibration", "{type}, standard").format(type=kind)
    if rest == "special":
        return translate("Calibration", "{type}, special").format(type=kind)
    return translate("Calibration", "{type}, class {n}").format(type=which.key[0], n=which.key[1:])


def correction_sentence(correction: Correction, units: Units) -> str:
    """ "Add −0.8 ± 0.2 °C to what it says", at both ends and for food where it has a slope."""

    def at(reading_c: float) -> str:
        step = temperature_step(correction.corrected(reading_c) - reading_c, units, signed=True)
        sure = temperature_step(correction.expanded_k(reading_c), units)
        return translate("Calibration", "{step} ± {sure}").format(step=step, sure=sure)

    if correction.model == "offset":
        return translate("Calibration", "Add {step} to what it says.").format(
            step=at(correction.middle_c)
        )
    parts = [
        translate("Calibration", "{step} where it says {t}").format(
            step=at(t), t=temperature(t, units)
        )
        for t in (correction.from_c, NEAR_FOOD_C, correction.to_c)
        if correction.from_c <= t <= correction.to_c
    ]
    return translate("Calibration", "Add {parts}.").format(parts="; ".join(parts))


def point_error_words(points: Sequence[CalibrationPoint], units: Units) -> tuple[str, ...]:
    """By how much the probe reads wrong at each point, as "0.8 °C too high"."""
    said = []
    for each in points:
        error_k = each.point.error_k
        if abs(error_k) < 0.05:
            said.append(translate("Calibration", "right"))
            continue
        text = (
            translate("Calibration", "{step} too high")
            if error_k > 0
            else translate("Calibration", "{step} too low")
        )
        said.append(text.format(step=temperature_step(abs(error_k), units)))
    return tuple(said)


def findings(
    calibration: Calibration,
    probe: Probe | None,
    before: Sequence[Calibration],
    units: Units,
) -> tuple[str, ...]:
    """What to mind about a calibration. `before` are earlier ones of the same probe, newest first."""
    correction = calibration.correction
    said = [*_spread(calibration, correction, units)]
    which = ACCURACY_CLASSES.get(probe.accuracy_class) if probe is not None else None
    if which is not None:
        said += _class_words(calibration, which, units)
    if before:
        said += _drift_words(before[0], calibration, units)
    return tuple(said)


def age_words(calibrated_at_s: float | None, now_s: float) -> str:
    """That a calibration is old or was never made; empty where it is fresh."""
    if calibrated_at_s is None:
        return translate("Calibration", "Never calibrated. How far it is off is unknown.")
    if now_s - calibrated_at_s <= OLD_S:
        return ""
    months = int((now_s - calibrated_at_s) / (30.44 * 86_400))
    return translate(
        "Calibration", "Calibrated {n} months ago. Check it in ice water before you rely on it."
    ).format(n=months)


def _spread(calibration: Calibration, correction: Correction, units: Units) -> Iterator[str]:
    if correction.points == 1:
        t = temperature(correction.middle_c, units)
        yield translate(
            "Calibration",
            "One point says how it reads at {t}, and nothing of other temperatures. Take a second one far from it.",
        ).format(t=t)
    elif correction.model == "offset" and correction.to_c - correction.from_c >= 30.0:
        yield translate(
            "Calibration",
            "The points lie far enough apart for a slope. An offset alone splits the difference.",
        )
    if correction.scatter is not None and correction.scatter > SCATTER:
        yield translate(
            "Calibration",
            "The points lie further from each other than their uncertainties explain. Take them again; the ± has been widened.",
        )
    if any(each.how == "boil" and each.reference_sd_k > 0.2 for each in calibration.points):
        yield translate(
            "Calibration",
            "The boiling point is by altitude alone, so the day's weather makes it uncertain. The pressure makes it surer.",
        )


def _class_words(calibration: Calibration, which: AccuracyClass, units: Units) -> list[str]:
    said = []
    for n, each in enumerate(calibration.points, start=1):
        point = each.point
        expanded_k = COVERAGE * point.sd_k
        allowed_k = which.tolerance_k(point.reference_c)
        if allowed_k is None:
            continue
        found = verdict(which, point.error_k, point.reference_c, expanded_k)
        if found == "within":
            continue
        text = (
            translate(
                "Calibration",
                "Point {n}: outside its class ({standard}, {name}: ± {allowed}). Correct it, or use another probe.",
            )
            if found == "outside"
            else translate(
                "Calibration",
                "Point {n}: whether it keeps its class ({standard}, {name}: ± {allowed}) can't be told; the point is too uncertain.",
            )
        )
        said.append(
            text.format(
                n=n,
                standard=which.standard,
                name=class_words(which),
                allowed=temperature_step(allowed_k, units),
            )
        )
    if not said:
        said.append(
            translate(
                "Calibration", "Within its class at these points ({standard}, {name})."
            ).format(standard=which.standard, name=class_words(which))
        )
    return said


def _drift_words(old: Calibration, new: Calibration, units: Units) -> list[str]:
    found = drift(old.correction, new.correction)
    if found is None:
        return []
    change = temperature_step(abs(found.change_k), units)
    sure = temperature_step(found.expanded_k, units)
    if not found.has_drifted:
        return [
            translate(
                "Calibration",
                "As at the last calibration, as far as can be told (changed by {change} ± {sure}).",
            ).format(change=change, sure=sure)
        ]
    return [
        translate(
            "Calibration",
            "It has drifted by {change} ± {sure} near {t} since the last calibration. Calibrate it more often, and replace it if it goes on.",
        ).format(change=change, sure=sure, t=temperature(found.at_c, units))
    ]
