"""What a forecast rests on, in words: readings, food, earlier cooks, what was noticed and assumed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from smokejournal.cook.forecast.cook_so_far import ForecastInput
from smokejournal.cook.forecast.legs import Assumed
from smokejournal.cook.text import quantities as q
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.text.translate import translate
from smokejournal.science.forecast.recalibration import GENERIC_SCALE
from smokejournal.science.forecast.values import Cut, Forecast, PitPrior, Recalibration

#: What earlier cooks took is said to so much [s]: none of them was just like this one.
FIVE_MIN_S = 300.0
#: A range within this share of the usual is called as wide.
_SAME_WIDTH = 0.025


def cut_words(cut: Cut) -> str:
    """What the piece is taken for."""
    return {
        "fish": translate("Forecast", "fish"),
        "poultry_pieces": translate("Forecast", "pieces of poultry"),
        "poultry_whole": translate("Forecast", "a whole bird"),
        "ribs": translate("Forecast", "ribs"),
        "loaf": translate("Forecast", "a loaf"),
        "shoulder": translate("Forecast", "a shoulder"),
        "brisket": translate("Forecast", "a brisket"),
        "other": translate("Forecast", "any piece of meat"),
    }[cut]


def rests_on(record: ForecastInput, forecast: Forecast, units: Units, zone: str) -> str:
    """Readings, food, size and earlier cooks that the forecast is made from, whether a second probe was
    used as well, how many earlier cooks went on from here, and what its range was corrected by."""
    cook = record.cook
    if record.first_s is None:
        read = translate("Forecast", "no readings of {probe}")
    else:
        read = translate("Forecast", "readings of {probe} since {time}")
    since = "" if record.first_s is None else q.clock_time(record.first_s, zone, units)
    parts = [
        read.format(probe=record.lead.name or record.lead.key, time=since),
        translate("Forecast", "treated as {cut}").format(cut=cut_words(cook.cut)),
    ]
    size = []
    if cook.mass_kg is not None:
        size.append(q.mass(cook.mass_kg, units))
    if cook.thickness_m is not None:
        text = translate("Forecast", "{length} thick")
        size.append(text.format(length=q.thickness(cook.thickness_m, units)))
    parts.append(", ".join(size) or translate("Forecast", "its size not known"))
    parts += taught_words(cook.prior)
    said = translate(
        "Forecast", "Based on: {parts}. The range in brackets should hold 8 times in 10."
    ).format(parts=", ".join(parts))
    if forecast.check_used and record.check is not None:
        text = translate("Forecast", "{probe} is in the same piece and is used as well.")
        said = " ".join((said, text.format(probe=record.check.name or record.check.key)))
    if forecast.courses_s:
        said = f"{said} {_courses_words(forecast.courses_s)}"
    corrected = forecast.recalibration
    if corrected is None or not corrected.cooks:
        return said
    text = translate(
        "Forecast", "It was compared with how forecasts of {n} earlier cooks came out."
    )
    if corrected.cooks == 1:
        text = translate(
            "Forecast", "It was compared with how forecasts of one earlier cook came out."
        )
    return " ".join((said, text.format(n=corrected.cooks), width_words(corrected)))


def _courses_words(courses_s: tuple[float, ...]) -> str:
    took = [q.duration(FIVE_MIN_S * max(1, round(s / FIVE_MIN_S))) for s in courses_s]
    text = translate(
        "Forecast",
        "Going by {n} earlier cooks, it takes {low} to {high} from here; that counts too.",
    )
    if len(took) == 1:
        text = translate(
            "Forecast", "Going by one earlier cook, it takes {low} from here; that counts too."
        )
    elif took[0] == took[-1]:
        text = translate(
            "Forecast", "Going by {n} earlier cooks, it takes {low} from here; that counts too."
        )
    return text.format(n=len(took), low=took[0], high=took[-1])


def width_words(recalibration: Recalibration) -> str:
    """How much narrower or wider a range is for how earlier forecasts came out."""
    share = recalibration.scale / GENERIC_SCALE - 1.0
    if abs(share) < _SAME_WIDTH:
        return translate("Forecast", "The range is as wide as without earlier cooks.")
    text = (
        translate("Forecast", "The range is {n} narrower for it.")
        if share < 0
        else translate("Forecast", "The range is {n} wider for it.")
    )
    return text.format(n=q.percent(100.0 * abs(share)))


def taught_words(prior: PitPrior | None) -> tuple[str, ...]:
    """How many earlier cooks taught something of the pit and of the kind of meat."""
    cooks, of_the_cut = (0, 0) if prior is None else (prior.cooks, prior.of_the_cut)
    said = []
    if cooks == 1:
        said.append(translate("Forecast", "one earlier cook on this pit"))
    elif cooks:
        said.append(translate("Forecast", "{n} earlier cooks on this pit").format(n=cooks))
    if of_the_cut == 1:
        said.append(translate("Forecast", "one earlier cook with this kind of meat"))
    elif of_the_cut:
        text = translate("Forecast", "{n} earlier cooks with this kind of meat")
        said.append(text.format(n=of_the_cut))
    return tuple(said) or (translate("Forecast", "nothing learned from earlier cooks"),)


def noticed_words(code: str) -> str:
    """What was noticed in the readings, and what to do."""
    known = {
        "moved": translate(
            "Forecast",
            "The probe seems to have been moved. If it was, say so; the forecast goes on from there.",
        ),
        "offset": translate(
            "Forecast", "The probe seems to read off. Check it in ice water when you can."
        ),
        "check_unused": translate(
            "Forecast",
            "The second probe isn't used: it seems to be in the air or in another piece. Check where it "
            "is.",
        ),
        "far_from_any_prior": translate(
            "Forecast", "This cook doesn't behave as the forecast expects. Trust it less."
        ),
    }.get(code)
    if known is not None:
        return known
    return translate("Forecast", "Noticed in the readings: {what}.").format(
        what=code.replace("_", " ")
    )


def assumed_words(assumed: Sequence[Assumed]) -> tuple[str, ...]:
    """What was read into the log, one sentence for each kind of it."""
    stages: dict[Assumed, list[str]] = {}
    for one in assumed:
        named = stages.setdefault(replace(one, stage=""), [])
        if one.stage and one.stage not in named:
            named.append(one.stage)
    return tuple(
        _assumed(one, ", ".join(f"“{name}”" for name in names)) for one, names in stages.items()
    )


def _assumed(one: Assumed, stages: str) -> str:
    material = {
        "foil": translate("Forecast", "foil"),
        "paper": translate("Forecast", "paper"),
        None: "",
    }[one.material]
    return {
        "wrap_planned": translate("Forecast", "Wrapped in {material} when {stages} begins."),
        "wrap_done": translate(
            "Forecast",
            "Assumed wrapped in {material} since {stages} began: no wrap was written down.",
        ),
        "wrap_material": translate(
            "Forecast", "What it is wrapped in isn't written down; {material} is assumed."
        ),
        "wrap_like": translate("Forecast", "The wrap is assumed to act like {material}."),
        "word_at_once": translate("Forecast", "Assumed confirmed as soon as it is due: {stages}."),
        "rest_by_name": translate(
            "Forecast", "Assumed off the pit, since no pit temperature is set: {stages}."
        ),
        "rule_left_out": translate(
            "Forecast", "Left out, since a forecast can't follow its finish rule: {stages}."
        ),
        "open_end": translate("Forecast", "When {stages} ends can't be estimated."),
        "one_item": translate(
            "Forecast",
            "Which item the lead probe is in isn't written down; the heaviest one is assumed.",
        ),
    }[one.code].format(material=material, stages=stages)
