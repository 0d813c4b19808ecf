"""A brine worked out from a line: against published recipes, and what is refused."""

from __future__ import annotations

import math
import re
import time
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.brine.sums import MOISTURE_PCT, BrineSums, brine_sums
from smokejournal.cook.brine.warnings import LEAST_SALT_PCT, MOST_SALT_PCT
from smokejournal.cook.brine.words import (
    flesh_of,
    groups,
    mark_words,
    marked_line,
    step_of,
    with_ends,
)
from smokejournal.cook.codec.entries import decode_text, encode_text
from smokejournal.cook.log.brine_request import BrineAsked
from smokejournal.cook.log.entries import PrepStep
from smokejournal.cook.text.quantities import METRIC, US
from smokejournal.science.numbers.spread import Spread
from smokejournal.science.numbers.units import KG_PER_LB
from tests.reference.tables import rows

LINE = "2 qt water, 1 1/4 cups coarse salt, ½ cup white sugar, 2 tsp cracked pepper"
CURE = BrineAsked(
    "40 g salt, 10 g sugar, 2.4 g curing salt",
    flesh="belly",
    food_kg=2.0,
    product="bacon",
    method="dry",
    nitrite_pct=6.25,
)


def stops(sums: BrineSums) -> str:
    return " ".join(w.text for w in sums.warnings if w.weight == "stop")


def looks(sums: BrineSums) -> str:
    return " ".join(w.text for w in sums.warnings if w.weight == "look")


# -- published ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("line", "published"),
    [
        # University of Alaska Fairbanks FNH-00325: 2.5 and 1.5 lb to a US gallon.
        ("2.5 lb salt, 1 gal water", "heavy salt brine 2.5 lb per US gallon water"),
        ("1.5 lb salt, 1 gal water", "medium salt brine 1.5 lb per US gallon water"),
        # Kitsap Cooperative Extension (1992).
        ("1 cup table salt, 7 cups water", "1 cup table salt (292 g) + 7 cups water"),
        (
            "1 cup dense coarse salt, 7 cups water",
            "1 cup coarse kosher (241 g) + 7 cups water",
        ),
        ("1 cup hollow flake salt, 7 cups water", "1 cup flake kosher (142 g) + 7 cups water"),
        ("5.33 oz salt, 1 gal water", "5.33 oz salt per US gallon water (table says 4 %)"),
        ("14.25 oz salt, 1 gal water", "14.25 oz salt per US gallon water (table says 10 %)"),
    ],
)
def test_recipes(line: str, published: str) -> None:
    (row,) = [row for row in rows("brine_recipes_strength") if row["recipe"] == published]
    strength = brine_sums(BrineAsked(line)).strength_pct
    assert strength is not None
    if "cup" in line:
        # One cup of one page: within the ends of all.
        assert strength.low - 0.05 <= float(row["nacl_w_pct"]) <= strength.high + 0.05
    else:
        assert strength.mid == pytest.approx(float(row["nacl_w_pct"]), abs=0.06)


def test_the_alaskan_cups_lie_within_what_plain_salt_may_be() -> None:
    """2.5 lb is 4 1/2 cups there and 1.5 lb is 2 1/2 cups (FNH-00325)."""
    for cups, pounds in ((4.5, 2.5), (2.5, 1.5)):
        mass = brine_sums(BrineAsked(f"{cups} cups salt, 1 gal water")).salt_kg
        assert mass.low < pounds * KG_PER_LB < mass.high


def test_moisture_of_raw_food() -> None:
    """USDA SR28, raw rows."""
    table = rows("composition_usda_sr28")

    def water(*words: str) -> float:
        (found,) = [
            float(row["water_g_per_100g"])
            for row in table
            if all(word in row["description"] for word in words)
            and row["description"].endswith(("raw", "raw ", "meat only, raw"))
        ]
        return found

    pork = MOISTURE_PCT["pork"]
    assert pork == Spread(
        water("spareribs"), water("shoulder, whole, separable lean and fat"), pork.high
    )
    assert pork.high == pytest.approx(water("shoulder, whole, separable lean only"), abs=0.01)
    assert MOISTURE_PCT["belly"].mid == water("Pork, fresh, belly")
    assert MOISTURE_PCT["poultry"].low == water("Chicken, broilers or fryers, meat and skin")
    assert MOISTURE_PCT["poultry"].mid == water("Chicken, broilers or fryers, leg")
    assert MOISTURE_PCT["poultry"].high == water("breast, skinless")
    assert MOISTURE_PCT["fish"] == Spread(
        water("mackerel, Atlantic"), water("herring, Atlantic"), water("cod, Atlantic")
    )
    assert MOISTURE_PCT["meat"].low == water("shortribs")
    assert MOISTURE_PCT["meat"].mid == water("brisket, whole, separable lean and fat")


def test_dry_cure_of_the_published_example() -> None:
    """5 lb of 0.40 % on 100 lb of bellies: 200 ppm, which is the limit of dry-cured bacon."""
    asked = replace(
        CURE, line="3 lb salt, 5 lb curing salt", food_kg=100 * KG_PER_LB, nitrite_pct=0.40
    )
    sums = brine_sums(asked)
    assert sums.cure is not None
    assert sums.cure.ppm.mid == pytest.approx(200.0)
    assert not sums.is_refused
    over = brine_sums(replace(asked, line="3 lb salt, 5.1 lb curing salt"))
    assert over.is_refused
    assert "Too much nitrite: 204 ppm" in stops(over)
    assert "limit is 200 ppm" in stops(over)


def test_pumped_as_published() -> None:
    """50 lb of curing salt at 0.75 % in 462.1875 lb of pickle, 20 % pump: 162 ppm."""
    asked = BrineAsked(
        "362.1875 lb water, 50 lb salt, 50 lb curing salt",
        flesh="pork",
        food_kg=100.0,
        product="whole",
        method="pumped",
        nitrite_pct=0.75,
        pickup_pct=20.0,
    )
    sums = brine_sums(asked)
    assert sums.cure is not None
    assert round(sums.cure.ppm.mid) == 162
    assert not sums.is_refused
    # What is pumped needs no time to soak in.
    assert sums.reach is None
    assert sums.even is not None
    # 20 % of a pickle with 50 lb of salt and 50 lb that is salt but for its nitrite.
    salt = 0.2 * (50 + 50 * 0.9925) / 462.1875
    assert sums.even.food_salt_pct.mid == pytest.approx(100 * salt / 1.2)


# -- nitrite: refused loudly ----------------------------------------------------------------------


def test_a_cure_within_its_limit() -> None:
    sums = brine_sums(CURE)
    assert not sums.is_refused
    assert sums.cure is not None
    assert sums.cure.ppm.mid == pytest.approx(75.0)
    assert "Little nitrite: 75 ppm" in looks(sums)
    words = " ".join(w.text for w in sums.warnings if w.weight == "caution")
    for said in ("Weigh it", "apart and labeled", "Local codes", "no promise"):
        assert said in words
    # Curing salt is salt but for its nitrite.
    assert sums.salt_kg.mid == pytest.approx(0.040 + 0.0024 * 0.9375)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"line": "40 g salt, 1 tsp curing salt"}, "Weigh the curing salt"),
        ({"line": "40 g salt, 5 g pink salt"}, "“curing salt” or “rock salt”"),
        ({"line": "40 g salt, 5 g cure #2"}, "nitrate"),
        ({"line": "40 g salt, 1 g saltpeter"}, "nitrate"),
        ({"line": "40 g salt, 0.2 g sodium nitrite"}, "Pure nitrite"),
        ({"line": "40 g salt, 5 g readycure"}, "may hold nitrite"),
        ({"product": ""}, "choose what is cured"),
        ({"method": ""}, "by which method"),
        ({"food_kg": None}, "Give the mass of the food"),
        ({"nitrite_pct": None}, "on its label (0.05 to 10 %)"),
        ({"nitrite_pct": 100.0}, "0.05 to 10 %, not 100"),
        ({"nitrite_pct": 0.0}, "0.05 to 10 %, not 0"),
        ({"method": "comminuted"}, "No limit is published for bacon, ground"),
        ({"method": "immersion_two"}, "no water in the line"),
        ({"line": "1 L water, 40 g salt, 2.4 g curing salt"}, "There is water in the line"),
        (
            {"line": "1 L water, 2.4 g curing salt", "method": "pumped"},
            "Pumped or picked up: give it",
        ),
        ({"line": "40 g salt, 10 g curing salt"}, "Too much nitrite: 312 ppm"),
        ({"line": "40 g salt, 2-10 g curing salt"}, "Too much nitrite"),
        # With its rind on a tenth less: 180 ppm, and 6 g on 2 kg make 188.
        ({"line": "40 g salt, 6 g curing salt", "rind_on": True}, "limit is 180 ppm"),
    ],
)
def test_refused(change: dict[str, object], said: str) -> None:
    sums = brine_sums(replace(CURE, **change))  # type: ignore[arg-type]
    assert sums.is_refused
    assert said in stops(sums)


def test_the_most_that_it_names_is_within_the_limit() -> None:
    over = brine_sums(replace(CURE, line="40 g salt, 10 g curing salt"))
    assert "Not above 6.4 g" in stops(over)
    assert not brine_sums(replace(CURE, line="40 g salt, 6.4 g curing salt")).is_refused


@pytest.mark.parametrize("method", ["pumped", "immersion_one", "immersion_two"])
def test_the_same_of_a_pickle(method) -> None:
    asked = BrineAsked(
        "2 L water, 160 g salt, 400 g curing salt",
        food_kg=2.0,
        product="whole",
        method=method,
        nitrite_pct=6.25,
        pickup_pct=20.0,
    )
    over = brine_sums(asked)
    assert over.is_refused
    (most,) = re.findall(r"Not above ([0-9.]+) g", stops(over))
    at = replace(asked, line=f"2 L water, 160 g salt, {most} g curing salt")
    assert not brine_sums(at).is_refused
    above = replace(asked, line=f"2 L water, 160 g salt, {float(most) * 1.02:.2f} g curing salt")
    assert brine_sums(above).is_refused


def test_sausage_may_have_ice_water_in_it() -> None:
    asked = BrineAsked(
        "5 kg iced water, 600 g salt, 74 g curing salt",
        food_kg=30.0,
        product="sausage",
        method="comminuted",
        nitrite_pct=6.25,
    )
    sums = brine_sums(asked)
    assert sums.cure is not None
    # Over the raw meat, whatever the water: 4.625 g of nitrite on 30 kg.
    assert sums.cure.ppm.mid == pytest.approx(154.17, abs=0.005)
    assert not sums.is_refused
    assert brine_sums(replace(asked, line=asked.line.replace("74 g", "75 g"))).is_refused


def test_one_pickle_by_two_methods() -> None:
    asked = BrineAsked(
        "4 L water, 300 g salt, 40 g curing salt",
        flesh="pork",
        food_kg=3.0,
        product="whole",
        method="immersion_one",
        nitrite_pct=6.25,
        pickup_pct=8.0,
    )
    one = brine_sums(asked)
    assert one.cure is not None
    assert one.cure.even_ppm is not None
    assert one.cure.ppm.mid < 60 < 200 < one.cure.even_ppm.mid
    assert "Left in until even" in looks(one)
    two = brine_sums(replace(asked, method="immersion_two"))
    assert two.cure is not None
    assert two.cure.ppm == one.cure.even_ppm
    assert two.is_refused


def test_fish_is_not_promised() -> None:
    sums = brine_sums(replace(CURE, product="fish", flesh="fish"))
    assert "finished loin" in looks(sums)


def test_no_curing_salt_where_a_cure_is_asked() -> None:
    assert "No curing salt was found" in looks(brine_sums(replace(CURE, line="40 g salt")))


# -- warnings in words ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (BrineAsked("1 L water, 500 g salt"), "Too strong to dissolve"),
        (BrineAsked("1 L water, 250 g salt"), "Strong: above about 200 g"),
        (BrineAsked("1 L water, 200 g salt", food_kg=1.0), "Too strong: the food may come to"),
        (BrineAsked("9 L water, 20 g salt", food_kg=1.0), "Too weak: the food comes to"),
        (BrineAsked("1 L water, 30 g sugar"), "No salt was found"),
        (BrineAsked("1 L water, 1 cup coarse salt"), "Choose the grain"),
        (BrineAsked("1 L water, 50 g salt, love"), "marked in the line"),
        (BrineAsked("1 L water, 30 g salt", flesh="fish", food_kg=1.0), "Too weak for packing"),
    ],
)
def test_said_in_words(asked: BrineAsked, said: str) -> None:
    sums = brine_sums(asked)
    assert said in looks(sums)
    assert not sums.is_refused


def test_a_sound_brine_has_only_cautions() -> None:
    sums = brine_sums(BrineAsked("1 L water, 60 g table salt", flesh="pork", food_kg=2.0))
    assert looks(sums) == ""
    cautions = " ".join(w.text for w in sums.warnings)
    assert "at or below 4.4 °C (40 °F)" in cautions
    assert "don't use it again" in cautions
    assert sums.even is not None
    assert (
        LEAST_SALT_PCT < sums.even.food_salt_pct.low < sums.even.food_salt_pct.high < MOST_SALT_PCT
    )


def test_what_is_missing_is_said() -> None:
    missing = " ".join(brine_sums(BrineAsked(LINE)).missing)
    assert "Give the mass of the food" in missing
    assert "Give the thickness" in missing
    sums = brine_sums(
        BrineAsked(LINE, food_kg=1.0, thickness_m=0.03, soak_s=7200.0, finished_pct=20.0)
    )
    assert sums.finished_water_phase_pct is None
    assert "Finished mass: from" in " ".join(sums.missing)


# -- scaling --------------------------------------------------------------------------------------


def test_scaled_to_a_mass_a_factor_and_a_vessel() -> None:
    asked = BrineAsked("1 L water, 60 g salt, 20 g sugar", food_kg=3.0)
    plain = brine_sums(asked)
    by_mass = brine_sums(replace(asked, scale_by="mass", scale_to=5.0))
    assert by_mass.total_kg.mid == pytest.approx(5.0)
    twice = brine_sums(replace(asked, scale_by="times", scale_to=2.0))
    assert twice.salt_kg.mid == pytest.approx(0.12)
    vessel = brine_sums(replace(asked, scale_by="vessel", scale_to=8.0))
    assert vessel.volume_l is not None
    # 8 L less 3 kg of food, taken to be as heavy as water.
    assert vessel.volume_l.mid == pytest.approx(5.0, rel=1e-6)
    for sums in (by_mass, twice, vessel):
        assert sums.strength_pct is not None
        assert plain.strength_pct is not None
        assert sums.strength_pct.mid == pytest.approx(plain.strength_pct.mid)
    full = brine_sums(replace(asked, scale_by="vessel", scale_to=2.0))
    assert full.factor == 1.0
    assert "Use a larger one" in " ".join(full.missing)


@given(st.floats(0.05, 40), st.floats(0.01, 0.25), st.floats(0.3, 20))
def test_scaling_changes_no_strength(liters: float, share: float, factor: float) -> None:
    asked = BrineAsked(f"{liters:.4f} L water, {1000 * liters * share:.4f} g salt")
    plain = brine_sums(asked)
    scaled = brine_sums(replace(asked, scale_by="times", scale_to=factor))
    assert plain.strength_pct is not None
    assert scaled.strength_pct is not None
    assert scaled.strength_pct.mid == pytest.approx(plain.strength_pct.mid, rel=1e-9)
    assert scaled.total_kg.mid == pytest.approx(factor * plain.total_kg.mid, rel=1e-9)


@given(st.floats(20, 300), st.floats(1.02, 2), st.floats(0.5, 10), st.floats(0.2, 10))
def test_more_salt_is_never_less(salt_g: float, f: float, liters: float, food_kg: float) -> None:
    one, more = (
        brine_sums(
            BrineAsked(
                f"{liters:.4f} L water, {g:.4f} g salt",
                flesh="pork",
                food_kg=food_kg,
                thickness_m=0.04,
                soak_s=86400.0,
                finished_pct=85.0,
            )
        )
        for g in (salt_g, salt_g * f)
    )
    assert one.even is not None
    assert more.even is not None
    assert more.even.food_salt_pct.mid > one.even.food_salt_pct.mid
    assert one.finished_water_phase_pct is not None
    assert more.finished_water_phase_pct is not None
    assert more.finished_water_phase_pct.low > one.finished_water_phase_pct.low
    # Not more salt in the food than there was.
    assert one.even.food_salt_pct.high <= 100 * one.salt_kg.high / food_kg + 1e-9


@given(st.floats(0.3, 4), st.floats(0.5, 5), st.floats(0.5, 8))
def test_the_salt_for_a_target_comes_to_the_target(
    target: float, liters: float, food_kg: float
) -> None:
    asked = BrineAsked(f"{liters:.4f} L water", flesh="pork", food_kg=food_kg, target_pct=target)
    wanted = brine_sums(asked).target_salt_kg
    assert wanted is not None
    grams = 1000 * wanted.mid
    found = brine_sums(replace(asked, line=f"{liters:.4f} L water, {grams:.6f} g salt")).even
    assert found is not None
    assert found.food_salt_pct.mid == pytest.approx(target, rel=1e-4)


# -- robust ---------------------------------------------------------------------------------------

maybe_kg = st.none() | st.floats(1e-3, 5000)


@given(
    st.builds(
        BrineAsked,
        line=st.sampled_from(
            [
                LINE,
                "",
                "1 cup salt",
                "1999 kg water, 1999 kg salt",
                "0.0001 g salt, 1 tsp water",
                "2 g curing salt, 1 g salt",
                "1 L water, 9 g curing salt",
                "5 L apple juice, 100 mL soy sauce, 3 lemons",
                "honey 1 kg",
            ]
        ),
        flesh=st.sampled_from(["pork", "belly", "meat", "poultry", "fish", "other"]),
        food_kg=maybe_kg,
        thickness_m=st.none() | st.floats(0.001, 2),
        shape=st.sampled_from(["slab", "cylinder", "sphere"]),
        one_face=st.booleans(),
        soak_s=st.none() | st.floats(0, 366 * 86400),
        target_pct=st.none() | st.floats(0, 100),
        finished_pct=st.none() | st.floats(0.01, 200),
        scale_by=st.sampled_from(["", "times", "mass", "vessel"]),
        scale_to=st.none() | st.floats(1e-6, 1e4),
        product=st.sampled_from(["", "whole", "bacon", "sausage", "fish"]),
        method=st.sampled_from(
            ["", "dry", "comminuted", "pumped", "immersion_one", "immersion_two"]
        ),
        nitrite_pct=st.none() | st.floats(0, 100),
        pickup_pct=st.none() | st.floats(0, 100),
        rind_on=st.booleans(),
    )
)
def test_whatever_is_typed_is_answered(asked: BrineAsked) -> None:
    sums = brine_sums(asked)
    for units in (METRIC, US):
        for group in groups(sums, units):
            for row in group.rows:
                assert row.label
                assert row.value
                assert "nan" not in row.value.lower()
    if sums.cure is not None:
        assert math.isfinite(sums.cure.ppm.high)
        assert sums.is_refused == (sums.cure.ppm.high > sums.cure.limit.ppm * (1 + 1e-9)) or stops(
            sums
        )
    # Wherever curing salt goes in, there is a number with its method, or it is refused.
    if any(p.item.ingredient and p.item.ingredient.kind == "cure" for p in sums.portions):
        assert sums.is_refused or sums.cure is not None


def test_quick_enough_to_type_along() -> None:
    asked = BrineAsked(LINE, "dense", "fish", 1.2, 0.025, "cylinder", soak_s=14400.0)
    brine_sums(asked)
    started = time.perf_counter()
    for n in range(20):
        brine_sums(replace(asked, soak_s=14400.0 + n, finished_pct=80.0, target_pct=2.0))
    assert (time.perf_counter() - started) / 20 < 0.05


# -- words ----------------------------------------------------------------------------------------


def test_the_same_answer_in_either_units() -> None:
    metric = brine_sums(BrineAsked("1.892705892 L water, 226.796185 g salt", food_kg=0.45359237))
    us = brine_sums(BrineAsked("2 qt water, 8 oz salt", food_kg=KG_PER_LB))
    assert us.strength_pct is not None
    assert metric.strength_pct is not None
    assert us.strength_pct.mid == pytest.approx(metric.strength_pct.mid, rel=1e-9)
    assert us.even is not None
    assert metric.even is not None
    assert us.even.food_salt_pct.mid == pytest.approx(metric.even.food_salt_pct.mid, rel=1e-9)
    said = step_of(us, US)
    assert "40 °F" in said.text
    assert "8 oz / 227 g" in said.text
    assert "4.4 °C" in step_of(us, METRIC).text


def test_the_step_can_be_opened_again() -> None:
    sums = brine_sums(replace(CURE, soak_s=7 * 86400.0))
    step = step_of(sums, METRIC)
    assert step.step == "cure"
    assert step.duration_s == 7 * 86400.0
    assert "nitrite 75 ppm, dry cured, limit 200 ppm" in step.text
    assert decode_text(*encode_text(step)) == step
    assert step.brine is not None
    assert brine_sums(step.brine) == sums
    # A step without one reads as before.
    assert encode_text(PrepStep("rub", "salt")) == ("prep_step", '{"step":"rub","text":"salt"}')
    assert step_of(brine_sums(BrineAsked("20 g salt")), METRIC).step == "dry brine"
    assert step_of(brine_sums(BrineAsked("1 L water, 20 g salt")), METRIC).step == "brine"


def test_marks_are_shown_in_their_place() -> None:
    recipe = brine_sums(BrineAsked("1 L water & <b>, 2 % salt")).recipe
    shown = marked_line(recipe)
    assert "<u><b>2 % salt</b></u>" in shown
    assert "&lt;b&gt;" in shown
    assert any(words.startswith("“2 % salt” (character ") for words in mark_words(recipe))


def test_ends_are_only_written_where_they_tell() -> None:
    assert with_ends(Spread(1.0, 1.001, 1.002), lambda x: f"{x:.3f}") == "1.001"
    assert with_ends(Spread(1.0, 1.5, 2.0), lambda x: f"{x:.1f}") == "1.5 (1.0 – 2.0)"


def test_food_on_the_plan() -> None:
    assert [flesh_of(f) for f in ("fish", "poultry", "ham", "red_meat", "ground", "other")] == [
        "fish",
        "poultry",
        "pork",
        "meat",
        "meat",
        "other",
    ]
