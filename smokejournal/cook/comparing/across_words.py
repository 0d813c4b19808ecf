"""What all cooks together say, in plain sentences."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from smokejournal.cook.comparing.across import (
    AcrossCooks,
    Answer,
    LotTotal,
    Outcome,
    Rated,
    Regressor,
)
from smokejournal.cook.comparing.words import rate_words
from smokejournal.cook.progress.hopper import LEFT_FROM_BEFORE, Amount
from smokejournal.cook.summary.sheet_fuel import mass_words
from smokejournal.cook.summary.tasting import HIGHEST
from smokejournal.cook.text import quantities as q
from smokejournal.cook.text.numbers import fmt
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.text.translate import translate
from smokejournal.science.numbers.student import Interval95
from smokejournal.science.numbers.units import (
    KG_PER_LB,
    M_S_PER_KMH,
    M_S_PER_MPH,
    k_from_f_step,
)


@dataclass(frozen=True, slots=True)
class AcrossPart:
    """One heading and the sentences below it."""

    title: str
    lines: tuple[str, ...]


def across_parts(told: AcrossCooks, units: Units) -> tuple[AcrossPart, ...]:
    """All that these cooks say, but for how good their forecasts were."""
    return (
        *(AcrossPart(_title(a), tuple(_answer(a, units))) for a in told.answers),
        AcrossPart(translate("Across", "Fuel by lot"), _lots(told, units)),
        AcrossPart(translate("Across", "Best and worst rated"), tuple(_rated(told, units))),
    )


def counted(told: AcrossCooks) -> str:
    """Whom it is about."""
    if told.simulated:
        if told.cooks == 1:
            return translate(
                "Across", "One finished simulated cook. It proves nothing about real ones."
            )
        return translate(
            "Across", "{n} finished simulated cooks. They prove nothing about real ones."
        ).format(n=told.cooks)
    if told.cooks == 1:
        return translate("Across", "One finished cook; simulated ones are left out.")
    return translate("Across", "{n} finished cooks; simulated ones are left out.").format(
        n=told.cooks
    )


def meaning() -> str:
    """How the sentences are to be read."""
    return translate(
        "Across",
        "Each figure holds the others fixed (ordinary least squares). The range in parentheses holds the "
        "true one 19 times in 20, if the cooks are independent of each other and scatter alike. All kinds "
        "of food are taken together, and that two things go together does not say that one causes the "
        "other.",
    )


def _title(answer: Answer) -> str:
    if answer.question.outcome == "rate_kg_h":
        return translate("Across", "How fast pellets burn")
    if answer.question.purpose == "wrap":
        return translate("Across", "How long the stages in the wrap take")
    return translate("Across", "How long the cooking stages take")


def _answer(answer: Answer, units: Units) -> Iterator[str]:
    if answer.why == "too_few":
        text = translate(
            "Across",
            "Too few cooks to tell: {n} know all that is needed, and it takes {needed} or more.",
        )
        yield text.format(n=answer.cooks, needed=answer.question.needed)
    elif answer.why:
        names = ", ".join(_regressor(name) for name in answer.in_the_way)
        text = (
            translate("Across", "Nothing can be told: in all {n} cooks this was the same: {what}.")
            if answer.why == "alike"
            else translate(
                "Across",
                "Nothing can be told: in these {n} cooks what follows went together too closely to tell "
                "apart: {what}.",
            )
        )
        yield text.format(n=answer.cooks, what=names)
    elif answer.fit is not None:
        for name, slope in zip(answer.question.regressors, answer.fit.slopes, strict=True):
            yield _slope(answer.question.outcome, name, slope, answer.cooks, units)
        yield _next_one(answer, units)
    if answer.lacking:
        text = translate("Across", "Left out, since something of it is unknown: {n}.")
        yield text.format(n=answer.lacking)


def _regressor(name: Regressor) -> str:
    return {
        "mass_kg": translate("Across", "mass"),
        "pit_over_air_k": translate("Across", "pit minus air"),
        "wind_m_s": translate("Across", "wind"),
    }[name]


def _step(name: Regressor, units: Units) -> tuple[float, str]:
    """The step that a slope is told for, in SI and in words."""
    if name == "mass_kg":
        step_kg = 1.0 if units.mass == "kg" else KG_PER_LB
        return step_kg, q.mass_unit(units)
    if name == "wind_m_s":
        by_unit = {"m/s": 1.0, "km/h": 5 * M_S_PER_KMH, "mph": 5 * M_S_PER_MPH}
        step_m_s = by_unit[units.speed]
        return step_m_s, q.speed(step_m_s, units)
    step_k = 10.0 if units.temperature == "C" else k_from_f_step(20.0)
    return step_k, q.temperature_step(step_k, units, 0)


def _slope(outcome: Outcome, name: Regressor, slope: Interval95, n: int, units: Units) -> str:
    step, step_words = _step(name, units)
    ends = sorted((slope.low * step, slope.high * step), key=abs)
    text = _templates(outcome, name, units)[
        "more" if slope.low > 0.0 else "less" if slope.high < 0.0 else "unsure"
    ]
    if slope.low <= 0.0 <= slope.high:
        ends = [slope.low * step, slope.high * step]
    low, high = (_outcome(outcome, abs(end), units) for end in ends)
    size = _outcome(outcome, abs(slope.value * step), units)
    return text.format(step=step_words, size=size, low=low, high=high, n=n)


def _outcome(outcome: Outcome, value: float, units: Units) -> str:
    if outcome == "stage_s":
        # To the minute: seconds would pretend to more.
        return q.duration(value) if value >= 120.0 else _minutes(value)
    return rate_words(value, None, units)


def _minutes(value_s: float) -> str:
    return translate("Across", "{n} min").format(n=fmt(value_s / 60.0, 1, trim=True))


def _templates(outcome: Outcome, name: Regressor, units: Units) -> dict[str, str]:
    if outcome == "rate_kg_h":
        if name == "wind_m_s":
            return {
                "more": translate(
                    "Across",
                    "With each {step} more wind {size} more burned ({low} – {high}), from {n} cooks.",
                ),
                "less": translate(
                    "Across",
                    "With each {step} more wind {size} less burned ({low} – {high}), from {n} cooks.",
                ),
                "unsure": translate(
                    "Across",
                    "With each {step} more wind anything from {low} less to {high} more burned: these {n} "
                    "cooks don't tell.",
                ),
            }
        return {
            "more": translate(
                "Across",
                "For each {step} that the pit was further above the air {size} more burned ({low} – "
                "{high}), from {n} cooks.",
            ),
            "less": translate(
                "Across",
                "For each {step} that the pit was further above the air {size} less burned ({low} – "
                "{high}), from {n} cooks.",
            ),
            "unsure": translate(
                "Across",
                "For each {step} that the pit was further above the air anything from {low} less to {high} "
                "more burned: these {n} cooks don't tell.",
            ),
        }
    if name == "mass_kg" and units.mass == "kg":
        return {
            "more": translate(
                "Across",
                "Each kilogram more took {size} longer ({low} – {high}), from {n} cooks.",
            ),
            "less": translate(
                "Across",
                "Each kilogram more took {size} less ({low} – {high}), from {n} cooks.",
            ),
            "unsure": translate(
                "Across",
                "Each kilogram more took anything from {low} less to {high} longer: these {n} cooks "
                "don't tell.",
            ),
        }
    if name == "mass_kg":
        return {
            "more": translate(
                "Across", "Each pound more took {size} longer ({low} – {high}), from {n} cooks."
            ),
            "less": translate(
                "Across", "Each pound more took {size} less ({low} – {high}), from {n} cooks."
            ),
            "unsure": translate(
                "Across",
                "Each pound more took anything from {low} less to {high} longer: these {n} cooks don't "
                "tell.",
            ),
        }
    if name == "wind_m_s":
        return {
            "more": translate(
                "Across",
                "With each {step} more wind it took {size} longer ({low} – {high}), from {n} cooks.",
            ),
            "less": translate(
                "Across",
                "With each {step} more wind it took {size} less ({low} – {high}), from {n} cooks.",
            ),
            "unsure": translate(
                "Across",
                "With each {step} more wind it took anything from {low} less to {high} longer: these {n} "
                "cooks don't tell.",
            ),
        }
    return {
        "more": translate(
            "Across",
            "For each {step} that the pit was set further above the air it took {size} longer ({low} – "
            "{high}), from {n} cooks.",
        ),
        "less": translate(
            "Across",
            "For each {step} that the pit was set further above the air it took {size} less ({low} – "
            "{high}), from {n} cooks.",
        ),
        "unsure": translate(
            "Across",
            "For each {step} that the pit was set further above the air it took anything from {low} less to "
            "{high} longer: these {n} cooks don't tell.",
        ),
    }


def _next_one(answer: Answer, units: Units) -> str:
    """Where one more cook like the mean of these would lie."""
    fit, found = answer.fit, answer.next_one
    assert fit is not None
    assert found is not None
    mean = dict(zip(answer.question.regressors, fit.means, strict=True))
    outcome = answer.question.outcome
    over = q.temperature_step(mean["pit_over_air_k"], units, 0)
    wind = q.speed(mean["wind_m_s"], units)
    mid, low, high = (
        _outcome(outcome, value, units) for value in (found.value, max(found.low, 0.0), found.high)
    )
    if outcome == "rate_kg_h":
        text = (
            translate(
                "Across",
                "One more cook with the pit {over} above the air and wind of {wind} would burn {mid} ({low} "
                "– {high}), 19 times in 20.",
            )
            if found.low > 0.0
            else translate(
                "Across",
                "One more cook with the pit {over} above the air and wind of {wind} would burn {mid}, up "
                "to {high}; how little it might be can't be told.",
            )
        )
        return text.format(over=over, wind=wind, mid=mid, low=low, high=high)
    text = (
        translate(
            "Across",
            "One more cook of {mass} with the pit {over} above the air and wind of {wind} would take {mid} "
            "({low} – {high}), 19 times in 20.",
        )
        if found.low > 0.0
        else translate(
            "Across",
            "One more cook of {mass} with the pit {over} above the air and wind of {wind} would take {mid}, "
            "up to {high}; how short it might be can't be told.",
        )
    )
    mass = q.mass(mean["mass_kg"], units)
    return text.format(mass=mass, over=over, wind=wind, mid=mid, low=low, high=high)


def _lots(told: AcrossCooks, units: Units) -> tuple[str, ...]:
    if not told.lots:
        return (translate("Across", "No cook tells which fuel burned."),)
    return tuple(_lot(lot, units) for lot in told.lots)


def _lot(lot: LotTotal, units: Units) -> str:
    name = lot.lot
    if lot.lot == LEFT_FROM_BEFORE:
        name = translate("Across", "Left in the hopper from before, lot unknown")
    if not lot.cooks:
        return translate("Across", "{lot}: unknown, in {unknown} cooks.").format(
            lot=name, unknown=lot.unknown
        )
    mass = mass_words(Amount(lot.used_kg, lot.sd_kg), units)
    if lot.unknown:
        text = translate("Across", "{lot}: {mass} in {n} cooks; in {unknown} more it is unknown.")
    elif lot.cooks == 1:
        text = translate("Across", "{lot}: {mass} in one cook.")
    else:
        text = translate("Across", "{lot}: {mass} in {n} cooks.")
    return text.format(lot=name, mass=mass, n=lot.cooks, unknown=lot.unknown)


def _rated(told: AcrossCooks, units: Units) -> Iterator[str]:
    if not told.best:
        yield translate("Across", "No cook has an overall mark. Give one on Taste.")
        return
    yield translate("Across", "Best: {cooks}.").format(
        cooks="; ".join(_mark(each, units) for each in told.best)
    )
    if told.worst:
        yield translate("Across", "Worst: {cooks}.").format(
            cooks="; ".join(_mark(each, units) for each in told.worst)
        )
    if told.unrated:
        yield translate("Across", "Without a mark: {n}.").format(n=told.unrated)


def _mark(each: Rated, units: Units) -> str:
    when = (
        q.unknown() if each.cook.day_s is None else q.date(each.cook.day_s, each.cook.zone, units)
    )
    return translate("Across", "{cook}, {date} ({mark} of {most})").format(
        cook=each.cook.title, date=when, mark=fmt(each.mark, 1, trim=True), most=HIGHEST
    )
