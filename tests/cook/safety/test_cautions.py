"""Cautions against the published tables, then where they show and what they never say."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from smokejournal.cook.log.entries import FoodClass, ItemAdded, PrepStep
from smokejournal.cook.safety.cautions import (
    SAFE_MINIMUM,
    Caution,
    cautions_for,
    keep_cold,
    keep_hot,
)
from smokejournal.cook.text.quantities import METRIC, US

REFERENCE = Path(__file__).parents[2] / "reference"
MOMENTS = ("plan", "fire", "serve", "print")
FOODS: tuple[FoodClass, ...] = ("red_meat", "poultry", "ground", "fish", "ham", "other")


def rows(name: str) -> list[dict[str, str]]:
    with (REFERENCE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def item(food: FoodClass) -> ItemAdded:
    return ItemAdded("something", food)


def text_of(found: tuple[Caution, ...], key: str) -> str:
    return " ".join(caution.in_full for caution in found if caution.key == key)


class TestPublished:
    @pytest.mark.parametrize(
        ("food", "row_begins"),
        [
            ("red_meat", "beef, veal, lamb"),
            ("red_meat", "fresh pork"),
            ("ham", "ham, raw"),
            ("ground", "ground meat"),
            ("poultry", "poultry"),
            ("poultry", "stuffing"),
            ("fish", "fish with fins"),
        ],
    )
    def test_least_temperatures(self, food: FoodClass, row_begins: str) -> None:
        row = next(r for r in rows("consumer_min_temps.csv") if r["food"].startswith(row_begins))
        assert row["origin"] == "read"
        least = SAFE_MINIMUM[food]
        assert f"{least.temperature_c:.1f}" == row["temp_C"]
        assert least.rest_s == float(row["rest_min"]) * 60
        metric = text_of(cautions_for([item(food)], "plan", METRIC), "minimum")
        assert f"{row['temp_C']} °C ({row['temp_F']} °F)" in metric
        us = text_of(cautions_for([item(food)], "plan", US), "minimum")
        assert f"{row['temp_F']} °F ({row['temp_C']} °C)" in us
        assert ("a 3 min rest" in us) == (row["rest_min"] == "3")

    @pytest.mark.parametrize(
        "begins", ["ham, precooked, reheat, USDA", "ham, precooked, reheat, all"]
    )
    def test_cooked_ham(self, begins: str) -> None:
        row = next(r for r in rows("consumer_min_temps.csv") if r["food"].startswith(begins))
        said = text_of(cautions_for([item("ham")], "print"), "minimum")
        assert f"{row['temp_C']} °C ({row['temp_F']} °F)" in said

    def test_ground_poultry(self) -> None:
        row = next(r for r in rows("consumer_min_temps.csv") if r["food"] == "ground poultry")
        said = text_of(cautions_for([item("ground")], "print"), "minimum")
        assert f"{row['temp_C']} °C ({row['temp_F']} °F)" in said

    def test_time_out_of_the_cold(self) -> None:
        rule = {r["rule"]: r for r in rows("consumer_rules.csv")}
        usual = text_of(cautions_for([], "serve", US, air_c=20.0), "out_of_cold")
        hot = text_of(cautions_for([], "serve", US, air_c=33.0), "out_of_cold")
        for name in ("out_of_refrigeration_max", "danger_zone_low", "danger_zone_high"):
            assert rule[name]["origin"] == "read"
        assert f"longer than {rule['out_of_refrigeration_max']['value']} h" in usual
        assert f"longer than {rule['out_of_refrigeration_max_hot']['value']} h" in hot
        assert "32.2 °C" in rule["out_of_refrigeration_max_hot"]["text"].replace(" C", " °C")
        for said in (usual, hot):
            assert f"{rule['danger_zone_low']['value']} °F" in said
            assert f"{rule['danger_zone_high']['value']} °F" in said
            assert "90 °F (32.2 °C)" in said
            assert "USDA FSIS" in said

    def test_signs_of_carbon_monoxide(self) -> None:
        row = next(r for r in rows("pellet_safety.csv") if r["hazard"] == "CO symptoms")
        assert row["provenance"] == "READ"
        said = text_of(cautions_for([], "fire"), "monoxide").lower()
        for sign in ("nausea", "headache"):
            assert sign in row["statement"]
            assert sign in said


class TestWhere:
    def test_fire_says_outdoors_and_hot(self) -> None:
        keys = {caution.key for caution in cautions_for([item("fish")], "fire")}
        assert keys == {"monoxide", "heat", "codes"}

    def test_print_says_all(self) -> None:
        found = cautions_for([item(food) for food in FOODS], "print")
        assert {c.key for c in found} >= {
            "minimum",
            "no_minimum",
            "out_of_cold",
            "monoxide",
            "heat",
        }

    def test_each_food_once(self) -> None:
        found = cautions_for([item("fish"), item("fish"), item("poultry")], "plan")
        assert sum(c.key == "minimum" for c in found) == 2

    def test_nothing_known_of_the_food(self) -> None:
        assert "Look it up" in text_of(cautions_for([], "plan"), "no_minimum")

    def test_curing_salt_only_where_it_is_used(self) -> None:
        plain = [PrepStep("rub", "pepper")]
        cured = [PrepStep("brine", "with curing salt")]
        assert not text_of(cautions_for([item("red_meat")], "plan", preps=plain), "cure")
        assert "weigh it" in text_of(cautions_for([item("red_meat")], "plan", preps=cured), "cure")
        assert text_of(cautions_for([item("ham")], "plan"), "cure")


@pytest.mark.parametrize("moment", MOMENTS)
def test_every_caution_names_its_source_defers_and_promises_nothing(moment: str) -> None:
    found = cautions_for([item(food) for food in FOODS], moment)  # type: ignore[arg-type]
    assert all(caution.source for caution in found)
    assert "Local codes" in text_of(found, "codes")
    said = " ".join(caution.in_full for caution in found)
    assert "!" not in said
    for allowed in ("not a promise that food or fire is safe", "Safe Minimum Internal Temperature"):
        said = said.replace(allowed, "")
    assert "safe" not in said.lower()


def test_food_that_waits_is_kept_as_hot_as_published() -> None:
    rule = next(row for row in rows("consumer_rules.csv") if row["rule"] == "hot_hold")
    for units in (METRIC, US):
        said = keep_hot(units)
        assert f"{rule['value']} °F" in said.text
        assert "or above" in said.text
        assert "Local codes come first" in said.text
        assert "FSIS" in said.source


def test_raw_food_that_waits_is_kept_as_cold_as_published() -> None:
    rule = next(row for row in rows("consumer_rules.csv") if row["rule"] == "cold_hold")
    for units in (METRIC, US):
        said = keep_cold(units)
        assert f"{rule['value']} °F" in said.text
        assert "or below" in said.text
        assert "FSIS" in said.source
