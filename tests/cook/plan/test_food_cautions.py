"""Cautions about food, and the schedules to begin with."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from smokejournal.cook.codec.schedules import validate_schedule
from smokejournal.cook.log.entries import FoodClass, ItemAdded
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.log.schedule import ForTime, Schedule, Stage, UntilTemperature
from smokejournal.cook.plan.food_cautions import all_warnings, food_cautions
from smokejournal.cook.plan.plan import Plan
from smokejournal.cook.plan.starter_schedules import starters
from smokejournal.cook.text.quantities import METRIC, US, Units
from smokejournal.science.numbers.units import f_from_c

CHANNELS = {"a": Channel("a", "Meat"), "p": Channel("p", "Grate", role="pit")}
RECORDED = Path(__file__).parents[2] / "reference" / "consumer_min_temps.csv"


def _plan(*foods: FoodClass) -> Plan:
    items = tuple((n, ItemAdded(food, food)) for n, food in enumerate(foods))
    return Plan(items=items, channels=CHANNELS, lead="a")


def _to(target_c: float, pit_c: float = 120.0) -> Schedule:
    return Schedule("", (Stage("s1", "Smoke", (UntilTemperature(target_c),), pit_target_c=pit_c),))


# Rows of the USDA FSIS chart, as written down with their source in the file.
PUBLISHED: dict[FoodClass, str] = {
    "red_meat": "fresh pork incl. fresh ham: steaks, roasts, chops",
    "ham": "ham, raw (fresh or smoked, uncooked)",
    "fish": "fish with fins",
    "ground": "ground meat (beef, pork, veal, lamb)",
    "poultry": "poultry: breasts, whole bird, legs, thighs, wings, giblets",
}


@pytest.mark.parametrize("food", list(PUBLISHED))
def test_cautions_begin_just_below_the_published_minimum(food: FoodClass) -> None:
    with RECORDED.open(encoding="utf-8", newline="") as file:
        rows = {row["food"]: float(row["temp_F"]) for row in csv.DictReader(file) if row["temp_F"]}
    least_c = (rows[PUBLISHED[food]] - 32.0) / 1.8
    assert not food_cautions(_to(least_c), _plan(food))
    assert food_cautions(_to(least_c - 0.6), _plan(food))


def test_poultry_that_no_stage_takes_far_enough_is_told() -> None:
    (warning,) = food_cautions(_to(70.0), _plan("poultry"))
    assert "74 °C" in warning.text
    assert (warning.stage_key, warning.weight) == ("s1", "caution")
    assert "165 °F" in food_cautions(_to(70.0), _plan("poultry"), US)[0].text
    assert not food_cautions(_to(74.0), _plan("poultry"))
    assert not food_cautions(_to(70.0), _plan("red_meat"))


def test_a_hold_counts_as_far_enough_and_the_pit_probe_does_not() -> None:
    hold = Schedule("", (Stage("s1", "Hold", (ForTime(60.0, 74.0),), pit_target_c=120.0),))
    assert not food_cautions(hold, _plan("poultry"))
    pit = Schedule(
        "",
        (
            Stage("s0", "Warm", (UntilTemperature(110.0, channel="pit"),), pit_target_c=120.0),
            *_to(60.0).stages,
        ),
    )
    assert food_cautions(pit, _plan("poultry"))


def test_a_cool_pit_is_told_of_where_there_is_meat() -> None:
    texts = [w.text for w in food_cautions(_to(75.0, 90.0), _plan("poultry"))]
    assert any("107 °C to 149 °C" in text for text in texts)
    assert not food_cautions(_to(66.0, 90.0), _plan("fish"))
    assert "Cold smoking" in food_cautions(_to(20.0, 25.0), _plan("fish"))[0].text


@pytest.mark.parametrize("units", [METRIC, US])
def test_the_schedules_to_begin_with_hold_together(units: Units) -> None:
    foods: dict[int, FoodClass] = {
        0: "red_meat",
        1: "red_meat",
        2: "poultry",
        3: "fish",
        4: "other",
    }
    for n, schedule in enumerate(starters(units)):
        validate_schedule(schedule)
        warnings = all_warnings(schedule, _plan(foods[n]), units)
        assert not [w for w in warnings if w.weight != "caution"], warnings
        # The last one asks nothing of the meat, the others take it far enough.
        assert not [w for w in warnings if "The minimum for" in w.text], warnings
        for stage in schedule.stages:
            if stage.pit_target_c is not None:
                shown = stage.pit_target_c if units is METRIC else f_from_c(stage.pit_target_c)
                assert shown == pytest.approx(round(shown / 5) * 5)


def test_warnings_come_in_the_order_of_the_stages() -> None:
    schedule = Schedule(
        "", (Stage("s2", "One", (), pit_target_c=90.0), Stage("s1", "Two", (), pit_target_c=400.0))
    )
    keys = [w.stage_key for w in all_warnings(schedule, _plan("poultry"))]
    assert keys == sorted(keys, key=["s2", "s1"].index)
