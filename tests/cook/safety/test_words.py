"""Words about food safety: what is met, what isn't, what can't be known, and never a promise."""

from __future__ import annotations

import pytest

from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.entries import CookClosed, FoodClass, ItemAdded, Refrigerator, SafetySet
from smokejournal.cook.safety.assessment import assess
from smokejournal.cook.safety.lines import SafetyLine, headline
from smokejournal.cook.safety.words import SafetyWords
from smokejournal.cook.summary.sheet import Paragraph, Section, Table
from smokejournal.cook.summary.sheet_sections import sheet_of
from smokejournal.cook.summary.summary import summarize
from smokejournal.cook.text.quantities import METRIC, US, Units
from tests.cook.safety.test_assessment import H, held, log_of
from tests.support.logs import T0, cook_log, ramp


def lines(log: CookLog, now: float, units: Units = METRIC) -> dict[str, SafetyLine]:
    safety = assess(log, T0 + now, "UTC")
    return {line.key: line for line in SafetyWords(safety, units).lines(safety.foods[0])}


MET = ramp("meat", 0, 3 * H, 5.0, 75.0, 60.0)


def test_the_figure_is_never_rounded_up_to_what_is_asked_for() -> None:
    found = lines(log_of(held(60.0, 719.0)), H)["lethality"]
    assert found.text.startswith(
        "Full count not reached yet: 6.4 of 6.5 log10 reductions of the meat table"
    )


@pytest.mark.parametrize("food", ["red_meat", "poultry", "fish", "ham", "ground", "other"])
@pytest.mark.parametrize("units", [METRIC, US])
@pytest.mark.parametrize("now", [0.0, 2 * H, 3 * H, 30 * H])
def test_caveat_and_no_promise_for_every_food_at_every_moment(
    food: FoodClass, units: Units, now: float
) -> None:
    readings = [r for r in MET if r[0] <= now]
    for line in lines(log_of(readings, food), now, units).values():
        assert line.text
        assert line.text.count("{") == 0
        assert "  " not in line.text
        said = f"{line.text} {line.detail}".lower().replace("safe minimum", "")
        assert "safe" not in said, line
        assert line.title
        assert line.state_words
    lethality = lines(log_of(readings, food), now, units)["lethality"]
    if "log10 reductions" not in lethality.text:
        # Without a figure there is nothing for a caveat to stand beside.
        assert lethality.state == "unknown"
        assert not lethality.caveat
        return
    assert "not the surface" in lethality.caveat
    assert "no promise that food is safe: local codes" in lethality.caveat
    assert "Spores and toxins are not counted" in lethality.caveat
    if food in ("red_meat", "poultry", "ham"):
        assert "in a dry pit the kill on the surface is not validated" in lethality.caveat
        moist = "62.8 °C" if units is METRIC else "145 °F"
        assert f"below {moist} only at 90 % humidity" in lethality.caveat


def test_fish_says_that_its_table_is_from_memory() -> None:
    assert "from memory" in lines(log_of(MET, "fish"), 3 * H)["lethality"].source


def test_unknown_fat_is_told() -> None:
    said = [(-1.0, SafetySet("poultry", "chicken", 3.2))]
    assert "column of 12 % counts" in lines(log_of(MET, "poultry"), 3 * H)["lethality"].detail
    assert "column of 4 % of fat" in lines(log_of(MET, "poultry", said), 3 * H)["lethality"].detail


def test_values_below_any_table_are_told() -> None:
    own = SafetySet(
        "fish", "own", d_s=60.0, z_k=6.0, reference_c=60.0, from_c=50.0, to_c=70.0, target_log=5.0
    )
    found = lines(log_of(MET, "fish", [(-1.0, own)]), 3 * H)["lethality"]
    assert (
        "You let it count from 50 °C: no published table on file goes below 63 °C" in found.caveat
    )
    assert "D and z hold for the bacteria" in found.caveat


def test_the_reason_and_what_to_do() -> None:
    text = lines(log_of(MET, "ground"), 3 * H)["lethality"].text
    assert text.startswith("Ground meat with any poultry in it counts as poultry. Choose the table")
    assert "write it down, back-dated if need be" in lines(log_of(MET), 3 * H)["zone"].text


def test_headline_counts_and_shows_no_figure() -> None:
    found = tuple(lines(log_of(MET), 3 * H).values())
    assert headline(found) == "1 not known, 3 met"


def sheet(log: CookLog, now: float, units: Units = METRIC) -> Section | None:
    return sheet_of(summarize(log, T0 + now), units).section("safety")


def test_the_sheet_has_every_line_with_its_caveat_and_sources() -> None:
    said = [(-600.0, Refrigerator(out=True)), (4 * H, CookClosed())]
    found = sheet(log_of(MET, said=said), 4 * H)
    assert found is not None
    first, second = [b for b in found.blocks if isinstance(b, Table)]
    below = found.blocks[found.blocks.index(first) + 1]
    assert isinstance(below, Paragraph)
    assert "the kill on the surface is not validated" in below.text
    assert [row[0] for row in (*first.rows, *second.rows)] == [
        "Lethality", "Coming up", "Since the refrigerator", "Least temperature", "Cooling leftovers",
    ]  # fmt: skip
    said_words = " ".join(b.text for b in found.blocks if isinstance(b, Paragraph))
    assert "Nothing here promises that food is safe" in said_words
    assert "USDA FSIS, FSIS-GD-2021-14 (2021), table 2" in said_words


def test_several_kinds_are_told_apart_and_a_plan_has_no_block() -> None:
    said = [(-400.0, ItemAdded("thighs", "poultry"))]
    found = sheet(log_of(MET, said=said), 4 * H)
    assert found is not None
    heads = [b.text for b in found.blocks if isinstance(b, Paragraph) and b.kind == "strong"]
    assert heads == ["Whole cuts: roast", "Poultry: thighs"]
    assert sheet(cook_log([], [(-500.0, ItemAdded("roast", "red_meat"))], start=None), H) is None
    assert sheet(cook_log([], (), MET), 4 * H) is None
