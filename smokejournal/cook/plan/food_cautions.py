"""Cautions about food that belong beside the decision: pit targets and meat targets of a schedule.

The temperatures are the consumer minimums and the smoking advice of USDA FSIS ("Safe Minimum Internal
Temperature Chart"; "Smoking Meat and Poultry": keep the smoker at 225 to 300 °F throughout), and for
fish Oregon State University Extension PNW 238 (150 °F for at least 30 minutes). Nobody's food becomes
safe by a number on a screen, and none of these texts says so.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from smokejournal.cook.log.entries import FoodClass
from smokejournal.cook.log.schedule import ForTime, Schedule, UntilTemperature
from smokejournal.cook.plan.plan import Plan
from smokejournal.cook.plan.schedule_check import Setting, Warning_, check
from smokejournal.cook.plan.stage_settings import Course
from smokejournal.cook.safety.cautions import SAFE_MINIMUM
from smokejournal.cook.text import quantities
from smokejournal.cook.text.quantities import METRIC, Units
from smokejournal.cook.text.translate import translate
from smokejournal.science.numbers.units import c_from_f

#: What FSIS asks of the air in a smoker.
SMOKER_C: Final = (c_from_f(225.0), c_from_f(300.0))
#: Below this a pit is for cold smoking, which this program has nothing to say about.
COLD_C: Final = 50.0
#: A probe that shows a rounded number is not told off for the rounding.
ROUND_C: Final = 0.3


@dataclass(frozen=True, slots=True)
class _Food:
    name: str
    least_c: float


def _food(food: FoodClass) -> _Food:
    names: dict[str, str] = {
        "red_meat": translate("Food", "whole cuts of meat"),
        "ham": translate("Food", "raw ham"),
        "fish": translate("Food", "fish"),
        "ground": translate("Food", "ground meat and sausage"),
        "poultry": translate("Food", "poultry"),
    }
    return _Food(names[food], SAFE_MINIMUM[food].temperature_c)


def food_cautions(schedule: Schedule, plan: Plan, units: Units = METRIC) -> tuple[Warning_, ...]:
    """What to think of about the food on `plan` when it is cooked by `schedule`."""
    found: list[Warning_] = []
    foods = [food for food in SAFE_MINIMUM if food in plan.foods]
    for stage in schedule.stages:
        pit_c = stage.pit_target_c
        if pit_c is None or pit_c >= SMOKER_C[0] - ROUND_C:
            continue
        if pit_c < COLD_C:
            text = translate(
                "Food",
                "A pit this cool does not cook. Cold smoking has dangers of its own that this "
                "program does not watch: follow a tested recipe and your local food authority.",
            )
        elif set(foods) == {"fish"}:
            continue
        else:
            text = translate(
                "Food",
                "USDA FSIS asks for {low} to {high} in the smoker all the time. Cooler, meat may "
                "stay too long between {cold} and {hot}, where bacteria grow.",
            ).format(
                low=quantities.temperature(SMOKER_C[0], units),
                high=quantities.temperature(SMOKER_C[1], units),
                cold=quantities.temperature(c_from_f(40.0), units),
                hot=quantities.temperature(c_from_f(140.0), units),
            )
        found.append(Warning_(stage.key, text, "caution"))
    found += _too_low(schedule, plan, [_food(food) for food in foods], units)
    return tuple(found)


def _too_low(schedule: Schedule, plan: Plan, foods: list[_Food], units: Units) -> list[Warning_]:
    """Foods that no stage takes as far as the consumer minimum; nothing where no stage looks."""
    course = Course(plan.channels, Setting(lead=plan.lead, check=plan.check))
    hottest: tuple[float, str] | None = None
    for stage in schedule.stages:
        for rule in stage.rules:
            if isinstance(rule, UntilTemperature) and rule.direction == "rising":
                value_c = rule.target_c
            elif isinstance(rule, ForTime) and rule.at_least_c is not None:
                value_c = rule.at_least_c
            else:
                continue
            if course.in_pit_air(rule.channel):
                continue
            if hottest is None or value_c >= hottest[0]:
                hottest = (value_c, stage.key)
    if hottest is None:
        return []
    reached_c, key = hottest
    return [
        Warning_(
            key,
            translate(
                "Food",
                "The minimum for {food} is {least} in the thickest part (USDA FSIS). No stage "
                "goes above {reached}. Local codes may ask for more.",
            ).format(
                food=food.name,
                least=quantities.temperature(food.least_c, units),
                reached=quantities.temperature(reached_c, units),
            ),
            "caution",
        )
        for food in foods
        if reached_c < food.least_c - ROUND_C
    ]


def all_warnings(
    schedule: Schedule,
    plan: Plan,
    units: Units = METRIC,
    now_s: float | None = None,
    done: tuple[str, ...] = (),
) -> tuple[Warning_, ...]:
    """Everything that speaks against `schedule` for the cook that `plan` describes."""
    setting = Setting(
        lead=plan.lead, check=plan.check, now_s=now_s, zone=plan.zone, units=units, done=done
    )
    found = (*check(schedule, plan.channels, setting), *food_cautions(schedule, plan, units))
    order = {stage.key: n for n, stage in enumerate(schedule.stages)}
    return tuple(sorted(found, key=lambda w: order.get(w.stage_key or "", -1)))
