"""Schedules to begin with, before any of one's own are saved.

Temperatures and times are common practice at the pit, no source, in round numbers of the person's
own unit. Where meat becomes safe to eat they go no lower than the consumer safe minimums of USDA
FSIS (poultry 165 °F); the fish is held at 150 °F for 30 minutes as Oregon State University Extension
PNW 238, "Smoking Fish at Home - Safely", asks; the rest ends above 140 °F, the FSIS limit for food
that is kept hot.
"""

from __future__ import annotations

from collections.abc import Sequence

from smokejournal.cook.log.entries import ItemAdded
from smokejournal.cook.log.schedule import (
    PIT,
    ForTime,
    Schedule,
    Stage,
    UntilSaid,
    UntilTemperature,
)
from smokejournal.cook.plan.food_guess import has_word
from smokejournal.cook.text.quantities import METRIC, Units
from smokejournal.cook.text.translate import translate
from smokejournal.science.numbers.units import c_from_f

MIN_S = 60.0
H_S = 3600.0


def starters(units: Units = METRIC) -> tuple[Schedule, ...]:
    """The schedules to begin with, in numbers that are round in the person's unit."""
    return (
        _low_and_slow(units),
        _ribs(units),
        _poultry(units),
        _fish(units),
        _by_word(units),
    )


def fitting_first(items: Sequence[ItemAdded], units: Units = METRIC) -> tuple[Schedule, ...]:
    """The same, those that fit what is on the plan first. What fits is common practice, no source."""
    low, ribs, poultry, fish, by_word = starters(units)
    foods = {item.food for item in items}
    fits = (
        (ribs, any(has_word(r"(?:spare ?|back ?)?ribs?", i.name.casefold()) for i in items)),
        (low, "red_meat" in foods),
        (poultry, "poultry" in foods),
        (fish, "fish" in foods),
    )
    fitting = [one for one, fit in fits if fit]
    rest = [one for one in (low, ribs, poultry, fish, by_word) if one not in fitting]
    return (*fitting, *rest)


def _low_and_slow(units: Units) -> Schedule:
    pit = _pick(units, 110.0, 225.0)
    return Schedule(
        translate("Starters", "Low and slow with a wrap"),
        (
            _warm_up(units, pit),
            Stage(
                "s2",
                translate("Starters", "Smoke"),
                (UntilTemperature(_pick(units, 74.0, 165.0)),),
                pit_target_c=pit,
                instruction=translate(
                    "Starters",
                    "Meat on. Put the lead probe into the thickest part, clear of bone and fat.",
                ),
                guard_s=10 * H_S,
                purpose="cook",
            ),
            Stage(
                "s3",
                translate("Starters", "Wrap"),
                (UntilSaid(),),
                instruction=translate(
                    "Starters", "Wrap tightly, put the probe back, close the lid, then confirm."
                ),
                alert="insistent",
                ending="waits",
                guard_s=20 * MIN_S,
                purpose="wrap",
            ),
            Stage(
                "s4",
                translate("Starters", "Finish in the wrap"),
                (UntilTemperature(_pick(units, 95.0, 203.0)),),
                pit_target_c=_pick(units, 120.0, 250.0),
                instruction=translate(
                    "Starters", "Done when a probe slides in with no pull. Try several places."
                ),
                ending="waits",
                guard_s=8 * H_S,
                purpose="cook",
            ),
            Stage(
                "s5",
                translate("Starters", "Rest"),
                (ForTime(H_S), UntilTemperature(_pick(units, 65.0, 150.0), "falling")),
                instruction=translate("Starters", "Rest it wrapped in a dry cooler."),
                purpose="rest",
            ),
        ),
    )


def _ribs(units: Units) -> Schedule:
    pit = _pick(units, 110.0, 225.0)
    return Schedule(
        translate("Starters", "Ribs by time"),
        (
            _warm_up(units, pit),
            Stage(
                "s2",
                translate("Starters", "Smoke, open"),
                (ForTime(3 * H_S),),
                pit_target_c=pit,
                instruction=translate("Starters", "Ribs on, bone side down."),
                purpose="cook",
            ),
            Stage(
                "s3",
                translate("Starters", "Wrapped"),
                (ForTime(1.5 * H_S),),
                pit_target_c=pit,
                instruction=translate("Starters", "Wrap with a little liquid."),
                alert="insistent",
                ending="waits",
                purpose="wrap",
            ),
            Stage(
                "s4",
                translate("Starters", "Open again, with sauce"),
                (ForTime(45 * MIN_S),),
                pit_target_c=pit,
                instruction=translate(
                    "Starters", "Check the meat between the bones with a thermometer."
                ),
                ending="waits",
                purpose="cook",
            ),
            _short_rest(),
        ),
    )


def _poultry(units: Units) -> Schedule:
    pit = _pick(units, 135.0, 275.0)
    done = _pick(units, 75.0, 165.0)
    return Schedule(
        translate("Starters", "Poultry pieces"),
        (
            _warm_up(units, pit),
            Stage(
                "s2",
                translate("Starters", "Smoke"),
                (UntilTemperature(done, prove_s=120.0),),
                pit_target_c=pit,
                instruction=translate(
                    "Starters", "Lead probe into the thickest piece, clear of the bone."
                ),
                guard_s=3 * H_S,
                purpose="cook",
            ),
            Stage(
                "s3",
                translate("Starters", "Crisp the skin"),
                (ForTime(10 * MIN_S),),
                pit_target_c=_pick(units, 180.0, 350.0),
                instruction=translate("Starters", "Check every piece before it comes off."),
                ending="waits",
                purpose="cook",
            ),
            _short_rest(),
        ),
    )


def _fish(units: Units) -> Schedule:
    safe = c_from_f(150.0) if units.temperature == "F" else 66.0
    return Schedule(
        translate("Starters", "Hot-smoked fish"),
        (
            Stage(
                "s1",
                translate("Starters", "Dry and light smoke"),
                (ForTime(45 * MIN_S),),
                pit_target_c=_pick(units, 60.0, 140.0),
                instruction=translate("Starters", "Fish on, skin down, its surface dry and tacky."),
                purpose="cook",
            ),
            Stage(
                "s2",
                translate("Starters", "Cook"),
                (UntilTemperature(safe, prove_s=120.0),),
                pit_target_c=_pick(units, 90.0, 195.0),
                instruction=translate("Starters", "Lead probe into the thickest of the fish."),
                guard_s=4 * H_S,
                purpose="cook",
            ),
            Stage(
                "s3",
                translate("Starters", "Hold"),
                (ForTime(30 * MIN_S, at_least_c=safe, dip_mode="start_over"),),
                pit_target_c=_pick(units, 90.0, 195.0),
                instruction=translate("Starters", "Keep the lid closed while the time counts."),
                guard_s=2 * H_S,
                purpose="hold",
            ),
            Stage(
                "s4",
                translate("Starters", "Cool"),
                (UntilSaid(),),
                instruction=translate(
                    "Starters", "Cool it quickly, and into the refrigerator within 2 hours."
                ),
                ending="waits",
                guard_s=90 * MIN_S,
                purpose="rest",
            ),
        ),
    )


def _by_word(units: Units) -> Schedule:
    return Schedule(
        translate("Starters", "One stage, until I confirm"),
        (
            Stage(
                "s1",
                translate("Starters", "Cook"),
                (UntilSaid(),),
                pit_target_c=_pick(units, 110.0, 225.0),
                ending="waits",
                guard_s=4 * H_S,
                purpose="cook",
            ),
        ),
    )


def _warm_up(units: Units, pit_c: float) -> Stage:
    return Stage(
        "s1",
        translate("Starters", "Warm up the pit"),
        (UntilTemperature(pit_c - _pick_step(units, 5.0, 10.0), prove_s=5 * MIN_S, channel=PIT),),
        pit_target_c=pit_c,
        instruction=translate(
            "Starters", "Outdoors, clear of walls. Wait until the smoke is thin, then meat on."
        ),
        ending="waits",
        guard_s=1.5 * H_S,
        purpose="warm_up",
    )


def _short_rest() -> Stage:
    return Stage(
        "s9",
        translate("Starters", "Rest"),
        (ForTime(10 * MIN_S),),
        instruction=translate("Starters", "Off the heat, loosely covered."),
        purpose="rest",
    )


def _pick(units: Units, value_c: float, value_f: float) -> float:
    return c_from_f(value_f) if units.temperature == "F" else value_c


def _pick_step(units: Units, step_k: float, step_f: float) -> float:
    return step_f / 1.8 if units.temperature == "F" else step_k
