"""Expected and remaining fuel in words: an estimate with its ends, or unknown with the reason."""

from __future__ import annotations

import math

from smokejournal.cook.forecast.clock_words import ForecastClock
from smokejournal.cook.forecast.intervals import rounded
from smokejournal.cook.fuel.before import FuelBefore
from smokejournal.cook.fuel.course import WARM_UP_S, FuelNow, PlanFuel, StageFuel, WhyNot
from smokejournal.cook.fuel.rate import USUAL_AIR_C, USUAL_WIND_M_S, Estimate
from smokejournal.cook.fuel.until import FuelUntil
from smokejournal.cook.plan.plan import piece_kg
from smokejournal.cook.progress.hopper import WhyUnknown
from smokejournal.cook.text import quantities as q
from smokejournal.cook.text.chance_words import chance_words
from smokejournal.cook.text.numbers import fmt
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.text.translate import translate
from smokejournal.science.numbers.units import KG_PER_LB


def mass_words(mass_kg: Estimate, units: Units, *, more: bool = False) -> str:
    """ "4.2 kg (3.0 – 6.1)"; in pounds with one decimal, since ounces would feign precision.

    `more`: the upper end is only the least that it may be.
    """
    low, mid, high = (_mass(m, units) for m in (mass_kg.low, mass_kg.mid, mass_kg.high))
    if more:
        high = translate("Fuel", "more than {mass}").format(mass=high)
    return q.interval(f"{mid} {q.mass_unit(units)}", low, high)


def rate_words(rate: Estimate, units: Units) -> str:
    """ "0.42 kg/h (0.30 – 0.61)"."""
    low, mid, high = (_rate(r, units) for r in (rate.low, rate.mid, rate.high))
    unit = translate("Fuel", "{unit}/h").format(unit=q.mass_unit(units))
    return q.interval(f"{mid} {unit}", low, high)


def hours_words(hours: Estimate) -> str:
    """ "7 h (5 h – 9 h 30 min)", to the quarter of an hour."""
    return q.interval(*(_time(h) for h in (hours.mid, hours.low, hours.high)))


def _mass(mass_kg: float, units: Units) -> str:
    value = mass_kg if units.mass == "kg" else mass_kg / KG_PER_LB
    return fmt(value, 1)


def _rate(kg_h: float, units: Units) -> str:
    value = kg_h if units.mass == "kg" else kg_h / KG_PER_LB
    return fmt(value, 2)


def _time(hours: float) -> str:
    step_s = 300.0 if hours < 2.0 else 900.0
    return q.duration(round(hours * 3600.0 / step_s) * step_s)


def why_not_words(why: WhyNot) -> str:
    """Why nothing is expected."""
    return {
        "": "",
        "no_pit_target": translate("Fuel", "no stage sets a pit temperature"),
        "not_hot": translate("Fuel", "no fire is needed"),
        "beyond": translate("Fuel", "such a pit in such weather is beyond what can be estimated"),
        "too_little": translate("Fuel", "too little has burned to work out a rate"),
        "not_started": translate("Fuel", "the cook is not under way"),
    }[why]


def rests_on(cooks: int, few: bool, size_said: bool, learn: bool, told_not: int = 0) -> str:
    """What an expectation rests on: physics, the person's own cooks, and how many."""
    if not learn:
        text = translate("Fuel", "Based on physics alone: your own cooks are set not to count.")
    elif cooks == 0:
        text = translate(
            "Fuel",
            "Based on physics alone: none of your finished cooks says yet how much it "
            "burned. Read the hopper’s level when you light the fire and at the end.",
        )
    elif few:
        text = translate(
            "Fuel",
            "Based on physics and {n} of your finished cooks, which is too few to be sure.",
        ).format(n=cooks)
    else:
        text = translate("Fuel", "Based on physics and {n} of your finished cooks.").format(n=cooks)
    if told_not and learn:
        more = translate("Fuel", "{n} more don’t say what they burned.").format(n=told_not)
        text = f"{text} {more}"
    if not size_said:
        text += " " + translate("Fuel", "The cooker’s size is assumed.")
    return text


def in_ten() -> str:
    """What the two ends of an interval mean."""
    return translate("Fuel", "In brackets: eight cooks in ten should fall in this range.")


def plan_line(plan: PlanFuel, units: Units, before: FuelBefore | None = None) -> str:
    """One line for the foot of a plan. `before`: what it takes where its length isn't known."""
    if plan.why:
        return translate("Fuel", "Pellets: {unknown}").format(
            unknown=q.unknown(why_not_words(plan.why))
        )
    if plan.total_kg is not None:
        return translate("Fuel", "Pellets: about {mass}").format(
            mass=mass_words(plan.total_kg, units)
        )
    if before is not None:
        return translate("Fuel", "Pellets: about {mass} in about {time}").format(
            mass=mass_words(before.total_kg, units, more=before.more), time=_fire_words(before)
        )
    rates = [s.rate_kg_h for s in plan.stages if s.rate_kg_h is not None]
    if not rates:
        return translate("Fuel", "Pellets: {unknown}").format(
            unknown=q.unknown(why_not_words("beyond"))
        )
    busiest = max(rates, key=lambda r: r.mid)
    return translate("Fuel", "Pellets: about {rate}; how long can't be known beforehand").format(
        rate=rate_words(busiest, units)
    )


def stage_line(stage: StageFuel, units: Units) -> tuple[str, str, str, str]:
    """A stage's name, pit, rate and mass."""
    if stage.rate_kg_h is None:
        rate = q.unknown(why_not_words(stage.why))
    else:
        rate = rate_words(stage.rate_kg_h, units)
    if stage.mass_kg is not None:
        mass = mass_words(stage.mass_kg, units)
    elif stage.rate_kg_h is None:
        mass = ""
    else:
        mass = q.unknown(translate("Fuel", "its length is not known"))
    return stage.name, q.temperature(stage.pit_c, units), rate, mass


def _fire_words(before: FuelBefore) -> str:
    """ "11 h (6 h – 22 h 30 min)": to the quarter of an hour, or to the half where it is that wide."""
    span = before.fire_s
    step_s = 1800.0 if not span.high - span.low < 6 * 3600.0 else 900.0
    texts = [
        q.duration(round(s / step_s) * step_s)
        if math.isfinite(s)
        else translate("Fuel", "longer than the forecast looks")
        for s in (span.mid, span.low, span.high)
    ]
    return q.interval(*texts)


def before_line(before: FuelBefore, units: Units) -> str:
    """What a total rests on that was computed before anything of the meat was read."""
    if before.item is None:
        what = translate("Fuel", "of food that isn't described yet")
    else:
        mass_kg = piece_kg(before.item)
        what = (
            translate("Fuel", "of “{name}”, whose mass was not said")
            if mass_kg is None
            else translate("Fuel", "of “{name}” at {mass} a piece")
        ).format(name=before.item.name, mass="" if mass_kg is None else q.mass(mass_kg, units))
    return translate(
        "Fuel",
        "How long the fire burns is what physics expects {what}. Without readings of "
        "the meat, the range is wide.",
    ).format(what=what)


def total_line(plan: PlanFuel, units: Units, before: FuelBefore | None = None) -> str:
    """The total, or why there is none."""
    if plan.why:
        return q.unknown(why_not_words(plan.why))
    if plan.total_kg is not None:
        return translate("Fuel", "About {mass} in all.").format(
            mass=mass_words(plan.total_kg, units)
        )
    if before is not None:
        return translate("Fuel", "About {mass} in all, for a fire of about {time}.").format(
            mass=mass_words(before.total_kg, units, more=before.more), time=_fire_words(before)
        )
    if not plan.open_stages:
        return translate("Fuel", "In all: {unknown}.").format(
            unknown=q.unknown(why_not_words("beyond"))
        )
    names = ", ".join(f"“{name}”" for name in plan.open_stages)
    text = translate(
        "Fuel",
        "Total: unknown, since how long {names} takes can't be known beforehand. Say "
        "above how long the fire will burn.",
    ).format(names=names)
    if plan.known_kg is not None:
        text += " " + translate("Fuel", "The other stages take about {mass}.").format(
            mass=mass_words(plan.known_kg, units)
        )
    return text


def assumed_line(plan: PlanFuel, units: Units) -> str:
    """What was assumed of the weather and the pit; empty where nothing was."""
    parts, said = [], []
    if plan.warms_up:
        text = translate("Fuel", "Assumes the pit heats up in {time}.")
        said.append(text.format(time=q.duration(WARM_UP_S)))
    if plan.waits:
        said.append(
            translate("Fuel", "A stage that waits for you is assumed to end when it is due.")
        )
    if plan.out.air_c is None:
        parts.append(translate("Fuel", "air of {t}").format(t=q.temperature(USUAL_AIR_C, units)))
    if plan.out.wind_m_s is None:
        parts.append(translate("Fuel", "wind of {v}").format(v=q.speed(USUAL_WIND_M_S, units)))
    if parts:
        text = translate(
            "Fuel", "Assumed, since nobody said: {what}. The range allows for other weather."
        )
        said.append(text.format(what=", ".join(parts)))
    if plan.out.pressure_hpa is None:
        said.append(
            translate(
                "Fuel",
                "Air as dense as at sea level is assumed. Say how high the pit stands under "
                "“Cooker and place”.",
            )
        )
    return " ".join(said)


def now_lines(
    now: FuelNow, units: Units, until: FuelUntil | None = None, zone: str = "UTC"
) -> tuple[str, ...]:
    """Rate so far against expected, and how long what is left will last.

    With `until` also whether that is longer than the food is on the pit.
    """
    if now.rate_kg_h is None:
        return (
            translate("Fuel", "Fuel: {unknown}").format(
                unknown=q.unknown(why_not_words(now.why_not))
            ),
        )
    if until is None or until.off is None or now.lasts_h is None or now.lasts_h.mid <= 0.0:
        return _rates(now, units), _left(now, units)
    left = _left(now, units, lasts=False)
    return _rates(now, units), left, needed_words(until, units), until_words(until, units, zone)


def _rates(now: FuelNow, units: Units) -> str:
    so_far = now.so_far_kg_h
    expected = "" if now.expected_kg_h is None else rate_words(now.expected_kg_h, units)
    if so_far.value is None:
        return translate("Fuel", "Expected rate {expected}; so far {unknown}.").format(
            expected=expected, unknown=q.unknown(why_words(so_far.why))
        )
    spread = 1.28 * (so_far.sd or 0.0)
    told = Estimate(max(0.0, so_far.value - spread), so_far.value, so_far.value + spread)
    return translate("Fuel", "Burned {told} so far, expected {expected}.").format(
        told=rate_words(told, units), expected=expected
    )


def add_words(until: FuelUntil | None, units: Units, zone: str) -> str:
    """What to add and by when; empty where nothing has to be added.

    By when the hopper is empty at the earliest, by the interval's lower end.
    """
    if until is None or until.off is None or until.runs_out is None or until.missing_kg is None:
        return ""
    if round(10.0 * until.runs_out) <= 1:
        return ""
    mass = _to_add(until.missing_kg, units)
    low_s = rounded(until.empty).low
    if not math.isfinite(low_s) or low_s <= until.at_s:
        return translate("Fuel", "Add about {mass} of pellets now.").format(mass=mass)
    clock = ForecastClock(until.at_s, until.horizon_s, units, zone)
    return translate("Fuel", "Add about {mass} of pellets by {time}.").format(
        mass=mass, time=clock.at(low_s)
    )


def tend_words(now: FuelNow, units: Units, until: FuelUntil | None, zone: str) -> str:
    """What is left and until when it lasts, for a line whose end may be cut off."""
    if now.rate_kg_h is None or until is None or until.off is None:
        return " ".join(reversed(now_lines(now, units, until, zone)))
    return f"{until_words(until, units, zone, add=False)} {_left(now, units, lasts=False)}"


def until_words(until: FuelUntil, units: Units, zone: str, *, add: bool = True) -> str:
    """Until when the fuel lasts against when the food is off the pit, and what to `add`."""
    clock = ForecastClock(until.at_s, until.horizon_s, units, zone)
    empty = translate("Fuel", "Fuel lasts until {time}").format(time=clock.span(until.empty))
    if until.off is None or until.runs_out is None:
        return translate("Fuel", "{empty}.").format(empty=empty)
    form = (
        translate("Fuel", "{empty}; the food is off the pit at {off}.")
        if math.isfinite(until.off.mid)
        else translate("Fuel", "{empty}; the food is off the pit {off}.")
    )
    times = form.format(empty=empty, off=clock.span(until.off))
    chance = chance_words(until.runs_out)
    if round(10.0 * until.runs_out) <= 1 or not add:
        text = translate("Fuel", "Chance that it runs out first: {chance}.")
        said = [times, text.format(chance=chance)]
    elif until.missing_kg is None:
        text = translate("Fuel", "Chance that it runs out first: {chance}. Add what you can.")
        said = [times, text.format(chance=chance)]
    else:
        mass = _to_add(until.missing_kg, units)
        if not until.fits:
            mass = translate("Fuel", "{mass} in more than one filling").format(mass=mass)
        # What to do comes first: the end of a line may be cut off.
        text = translate("Fuel", "Add about {mass} (chance that fuel runs out first: {chance}).")
        said = [text.format(mass=mass, chance=chance), times]
    if until.open_stage:
        text = translate("Fuel", "How long “{stage}” goes on isn’t known, and is not counted.")
        said.append(text.format(stage=until.open_stage))
    return " ".join(said)


def with_it() -> str:
    """What the mass to add is chosen by."""
    return translate(
        "Fuel", "With what is to be added, the chance that fuel runs out first would be 1 in 10."
    )


def needed_words(until: FuelUntil, units: Units) -> str:
    """What is needed until the food is off the pit; empty where that isn't foreseen."""
    if until.needed_kg is None:
        return ""
    return translate("Fuel", "About {mass} more is needed until the food is off the pit.").format(
        mass=mass_words(until.needed_kg, units, more=until.more)
    )


def _to_add(mass_kg: float, units: Units) -> str:
    """Upwards to the half kilogram or the pound: nobody weighs what goes into a hopper more finely."""
    if units.mass == "kg":
        return f"{fmt(math.ceil(mass_kg * 2.0) / 2.0, 1)} {q.mass_unit(units)}"
    return f"{fmt(float(math.ceil(mass_kg / KG_PER_LB)), 0)} {q.mass_unit(units)}"


def _left(now: FuelNow, units: Units, *, lasts: bool = True) -> str:
    if now.lasts_h is None or now.left_kg is None or now.read_ago_s is None:
        return translate("Fuel", "Pellets left: {unknown}. Read the hopper’s level.").format(
            unknown=q.unknown(why_words(now.why))
        )
    if now.lasts_h.mid <= 0.0:
        return translate(
            "Fuel", "By now the hopper may be empty; its level was read {ago}. Look at it."
        ).format(ago=q.ago(now.read_ago_s))
    if not lasts:
        return translate("Fuel", "Pellets left {mass}; level read {ago}.").format(
            mass=mass_words(now.left_kg, units), ago=q.ago(now.read_ago_s)
        )
    return translate("Fuel", "Pellets left {mass}, for about {time}; level read {ago}.").format(
        mass=mass_words(now.left_kg, units),
        time=hours_words(now.lasts_h),
        ago=q.ago(now.read_ago_s),
    )


def why_words(why: WhyUnknown) -> str:
    """Why an amount of fuel isn't known."""
    return {
        "": "",
        "nothing_logged": translate("Sheet", "nothing was written down about fuel"),
        "never_read": translate("Sheet", "the level of the hopper was never read"),
        "not_read_before": translate("Sheet", "the level was not read before the fire was lit"),
        "not_read_after": translate("Sheet", "the level was not read at the end"),
        "emptied_unweighed": translate("Sheet", "what was taken out of the hopper was not weighed"),
        "more_than_added": translate(
            "Sheet", "there was more in the hopper than was written down; a filling is missing"
        ),
        "burned_since": translate("Sheet", "fuel has burned since the level was read"),
        "no_price": translate("Sheet", "no price was noted"),
        "no_time": translate("Sheet", "the level readings are too close together"),
    }[why]
