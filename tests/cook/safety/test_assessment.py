"""Facts of food safety read off a log: each figure against its published source, and the worst case."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.entries import (
    ChannelSet,
    CookClosed,
    FoodClass,
    ItemAdded,
    Payload,
    ProbeMoved,
    Refrigerator,
    SafetySet,
    WeatherObserved,
)
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.safety.assessment import FoodSafety, assess
from smokejournal.cook.safety.facts import (
    COME_UP_C,
    COME_UP_S,
    COOLING_C,
    COOLING_S,
    HOT_HOLD_C,
    HOT_HOLD_S,
    OUT_HOT_S,
    OUT_S,
    ZONE_C,
)
from smokejournal.cook.safety.tables import OFFERED, WrongTable, chosen_table, rate_and_target
from smokejournal.science.numbers.units import c_from_f
from smokejournal.science.safety import hold_tables
from tests.reference.tables import rows
from tests.support.logs import MEAT, OTHER, PIT, T0, cook_log, ramp

Readings = list[tuple[float, str, float]]
H = 3600.0
#: A probe that is known exactly, so that the figures of a table come out as they are.
SURE = Channel("meat", "Core", uncertainty_c=0.0)
SURE_OTHER = Channel("other", "Far end", uncertainty_c=0.0)


def log_of(
    readings: Readings,
    food: FoodClass = "red_meat",
    said: Sequence[tuple[float, Payload]] = (),
    channels: Sequence[Channel] = (PIT, SURE, SURE_OTHER),
) -> CookLog:
    return cook_log([], [(-500.0, ItemAdded("roast", food)), *said], readings, channels=channels)


def food_of(
    readings: Readings,
    food: FoodClass = "red_meat",
    said: Sequence[tuple[float, Payload]] = (),
    now: float = 20 * H,
    channels: Sequence[Channel] = (PIT, SURE, SURE_OTHER),
) -> FoodSafety:
    (found,) = assess(log_of(readings, food, said, channels), T0 + now).foods
    return found


def held(
    at_c: float, for_s: float, channel: str = "meat", from_s: float = 0.0, every_s: float = 60.0
) -> Readings:
    count = max(1, round(for_s / every_s))
    return [(from_s + for_s * n / count, channel, at_c) for n in range(count + 1)]


class TestFigures:
    """The published figures that the program keeps."""

    def test_come_up(self) -> None:
        """FSIS-GD-2021-14, page 24; read."""
        row = next(r for r in rows("appendix_a_conditions") if r["kind"] == "come_up_time")
        assert row["item"] == "product between 50 and 130 F while heating"
        assert float(row["value"]) * H == COME_UP_S
        assert (c_from_f(50.0), c_from_f(130.0)) == COME_UP_C

    def test_danger_zone(self) -> None:
        """USDA FSIS, Danger Zone (2020); read."""
        known = {r["rule"]: float(r["value"]) for r in rows("consumer_rules")}
        assert (c_from_f(known["danger_zone_low"]), c_from_f(known["danger_zone_high"])) == ZONE_C
        assert known["out_of_refrigeration_max"] * H == OUT_S
        assert known["out_of_refrigeration_max_hot"] * H == OUT_HOT_S

    def test_hot_smoked_fish(self) -> None:
        """Code of Maine Rules ch. 359, 2.C: 145 °F for 30 min, continuous; read."""
        known = {r["item"]: r for r in rows("fish_smoking") if r["topic"] == "hot_smoke"}
        assert c_from_f(float(known["internal temperature throughout"]["value"])) == HOT_HOLD_C
        assert 60 * float(known["time at that temperature"]["value"]) == HOT_HOLD_S

    def test_cooling(self) -> None:
        """FDA Food Code 3-501.14(A), 2005 and later; read as quoted by states. The 6 h are in all."""
        known = {r["section"]: r for r in rows("food_code_cooling")}
        first, second = known["3-501.14(A)(1)"], known["3-501.14(A)(2)"]
        assert (
            c_from_f(135.0), c_from_f(float(first["temp_F"])), c_from_f(float(second["temp_F"])),
        ) == COOLING_C  # fmt: skip
        assert (float(first["time_s"]), float(second["time_s"])) == COOLING_S


class TestTables:
    @pytest.mark.parametrize(
        ("food", "said", "table"),
        [
            ("red_meat", SafetySet("red_meat"), hold_tables.meat(6.5)),
            ("red_meat", SafetySet("red_meat", "meat_7"), hold_tables.meat(7.0)),
            ("ham", SafetySet("ham"), hold_tables.meat(6.5)),
            ("poultry", SafetySet("poultry"), hold_tables.other_poultry()),
            ("poultry", SafetySet("poultry", "chicken", 3.5), hold_tables.chicken(4.0)),
            ("poultry", SafetySet("poultry", "turkey"), hold_tables.turkey(12.0)),
            ("ground", SafetySet("ground", "meat_6.5"), hold_tables.meat(6.5)),
            ("fish", SafetySet("fish"), hold_tables.fish()),
        ],
    )
    def test_every_row_is_reached_by_its_time_and_not_before(
        self, food: FoodClass, said: SafetySet, table: hold_tables.HoldTable
    ) -> None:
        for celsius, hold_s in zip(table.temperature_c, table.hold_s, strict=True):
            enough = food_of(held(celsius, hold_s), food, [(-1.0, said)]).lethality
            assert enough.state == "met"
            assert enough.log == pytest.approx(table.log_reductions)
            assert enough.reached_at_s == pytest.approx(T0 + hold_s)
            short = food_of(held(celsius, hold_s * 0.999), food, [(-1.0, said)]).lethality
            assert short.state == "not_yet"

    def test_what_is_offered_for_one_food_is_never_another_ones(self) -> None:
        birds = {"chicken", "turkey", "poultry"}
        meats = {"meat_6.5", "meat_7"}
        assert not set(OFFERED["poultry"]) & (meats | {"fish"})
        assert not set(OFFERED["fish"]) & (meats | birds)
        assert not set(OFFERED["red_meat"]) & (birds | {"fish"})
        assert not set(OFFERED["ham"]) & (birds | {"fish"})
        assert set(OFFERED["other"]) == {"", "own"}

    @pytest.mark.parametrize(
        ("food", "table"),
        [("poultry", "meat_6.5"), ("fish", "meat_7"), ("red_meat", "fish"), ("ham", "turkey")],
    )
    def test_another_foods_table_is_refused_loudly(self, food: FoodClass, table: str) -> None:
        wrong = SafetySet(food, table)  # type: ignore[arg-type]
        for ask in (chosen_table, rate_and_target):
            with pytest.raises(WrongTable, match=f"{table} is not for {food}"):
                ask(wrong)

    def test_ground_meat_and_other_food_have_none_until_it_is_chosen(self) -> None:
        for food in ("ground", "other"):
            fact = food_of(held(75.0, H), food).lethality  # type: ignore[arg-type]
            assert (fact.state, fact.why, fact.log) == ("unknown", "no_table", None)

    def test_d_and_z_of_ones_own(self) -> None:
        own = SafetySet(
            "other", "own", d_s=60.0, z_k=6.0, reference_c=60.0, from_c=55.0, to_c=70.0, target_log=5.0
        )  # fmt: skip
        fact = food_of(held(60.0, 300.0), "other", [(-1.0, own)]).lethality
        assert (fact.state, fact.target_log) == ("met", 5.0)
        assert fact.log == pytest.approx(5.0)
        assert food_of(held(54.9, 9 * H), "other", [(-1.0, own)]).lethality.log == 0.0

    def test_the_kind_of_food_on_the_plan_decides_even_after_a_choice(self) -> None:
        """The choice was made for meat; the item turned out to be poultry."""
        said = [(-1.0, SafetySet("red_meat", "meat_6.5"))]
        fact = food_of(held(c_from_f(145.0), 240.0), "poultry", said).lethality
        assert fact.table == "poultry"
        assert fact.state == "not_yet"


class TestCounted:
    def test_the_coldest_of_several_probes_counts(self) -> None:
        hot, cool = held(65.0, 600.0), held(60.0, 600.0, "other")
        fact = food_of(hot + cool).lethality
        assert fact.state == "not_yet"
        assert fact.channel == "other"
        assert fact.log == pytest.approx(dict(fact.by_channel)["other"])
        assert dict(fact.by_channel)["meat"] > 6.5

    def test_nothing_over_a_gap(self) -> None:
        broken = held(60.0, 300.0) + held(60.0, 300.0, from_s=300.0 + 1200.0)
        whole = held(60.0, 600.0)
        fact, same = food_of(broken).lethality, food_of(whole).lethality
        assert fact.log == pytest.approx(same.log)
        assert (fact.gaps, fact.gap_s) == (1, 1200.0)

    def test_nothing_for_a_reading_that_is_not_believed(self) -> None:
        spike = [(s, c, 100.0 if s == 300.0 else v) for s, c, v in held(50.0, 600.0)]
        assert food_of(spike).lethality.log == 0.0

    def test_a_moved_probe_begins_anew(self) -> None:
        said = [(700.0, ProbeMoved("meat"))]
        fact = food_of(held(60.0, 600.0) + held(60.0, 60.0, from_s=720.0), said=said).lethality
        assert fact.moved_s == T0 + 700.0
        assert fact.log == pytest.approx(6.5 * 60.0 / 720.0)

    def test_what_the_probe_may_be_off_is_taken_off(self) -> None:
        def of(known_c: float | None, typed_c: float | None) -> tuple[float, str]:
            channel = Channel("meat", "Core", uncertainty_c=known_c)
            said = [(-1.0, SafetySet("red_meat", uncertainty_c=typed_c))]
            fact = food_of(held(62.0, 600.0), said=said, channels=(channel,)).lethality
            assert fact.log is not None
            return fact.off_c, fact.off_by

        assert of(0.4, None) == (0.4, "calibrated")
        assert of(None, 0.7) == (0.7, "typed")
        assert of(None, None) == (1.0, "assumed")
        # The larger of both: what is typed never makes a probe surer than its calibration.
        assert of(0.4, 0.1) == (0.4, "calibrated")
        assert of(0.4, 0.9) == (0.9, "typed")

    def test_a_later_calibration_does_not_make_earlier_readings_surer(self) -> None:
        before = Channel("meat", "Core", uncertainty_c=2.0)
        after = Channel("meat", "Core", uncertainty_c=0.0)
        said = [(1000.0, ChannelSet(after))]
        fact = food_of(held(62.0, 600.0), said=said, channels=(before,)).lethality
        assert fact.log == food_of(held(62.0, 600.0), channels=(before,)).lethality.log

    def test_by_hand_the_cooler_reading_counts(self) -> None:
        by_hand = Channel("meat", "Core", by_hand=True, gap_s=1800.0, uncertainty_c=0.0)
        readings = [(0.0, "meat", 58.0), (900.0, "meat", 70.0)]
        fact = food_of(readings, channels=(by_hand,)).lethality
        at_58 = food_of(held(58.0, 900.0)).lethality.log
        assert fact.by_hand
        assert fact.log == pytest.approx(at_58)

    def test_before_the_cook_began_nothing_counts(self) -> None:
        assert food_of(held(90.0, 500.0, from_s=-550.0)).lethality.why == "no_probe"

    @given(
        st.lists(st.floats(40.0, 80.0), min_size=3, max_size=30),
        st.floats(0.0, 5.0),
        st.integers(1, 28),
    )
    def test_uncertainty_and_gaps_never_raise_it(
        self, values: list[float], off_c: float, at: int
    ) -> None:
        readings = [(60.0 * n, "meat", v) for n, v in enumerate(values)]
        by_hand = Channel("meat", "Core", by_hand=True, gap_s=120.0, uncertainty_c=0.0)
        unsure = Channel("meat", "Core", by_hand=True, gap_s=120.0, uncertainty_c=off_c)
        fact = food_of(readings, channels=(by_hand,)).lethality
        assert fact.log is not None
        less = food_of(readings, channels=(unsure,)).lethality
        assert less.log is not None
        assert less.log <= fact.log * (1 + 1e-9)
        at = min(at, len(values) - 1)
        late = [(s + (600.0 if n >= at else 0.0), c, v) for n, (s, c, v) in enumerate(readings)]
        broken = food_of(late, channels=(by_hand,)).lethality
        assert broken.log is not None
        assert broken.log <= fact.log * (1 + 1e-9)


class TestSeveralKinds:
    SAID = ((-400.0, ItemAdded("thighs", "poultry")),)

    def test_nobody_said_which_probe_is_in_which(self) -> None:
        found = assess(log_of(held(70.0, 600.0), said=self.SAID), T0 + H).foods
        assert [f.food for f in found] == ["red_meat", "poultry"]
        assert [f.lethality.why for f in found] == ["which_probes", "which_probes"]
        assert not any(f.assigned for f in found)

    def test_each_goes_by_its_own_probes_and_table(self) -> None:
        said = [
            *self.SAID,
            (-1.0, SafetySet("red_meat", probes=("meat",))),
            (-1.0, SafetySet("poultry", probes=("other",))),
        ]
        readings = held(c_from_f(145.0), 240.0) + held(c_from_f(145.0), 240.0, "other")
        beef, bird = assess(log_of(readings, said=said), T0 + H).foods
        assert beef.lethality.state == "met"
        assert bird.lethality.state == "not_yet"
        assert bird.lethality.log is not None
        assert 1.6 < bird.lethality.log < 2.2

    def test_without_any_food_nothing_is_assumed(self) -> None:
        log = cook_log([], (), held(70.0, 600.0))
        (found,) = assess(log, T0 + H).foods
        assert found.food == "other"
        assert found.lethality.why == "no_table"


class TestComingUp:
    def test_the_slowest_probe(self) -> None:
        readings = ramp("meat", 0, 4 * H, 5.0, 65.0, 60.0) + ramp(
            "other", 0, 8 * H, 5.0, 65.0, 60.0
        )
        fact = food_of(readings).come_up
        assert fact.channel == "other"
        # 44.44 K of 60 in 8 h.
        assert fact.used_s == pytest.approx(8 * H * (COME_UP_C[1] - COME_UP_C[0]) / 60.0)
        assert fact.state == "met"
        assert fact.through_at_s == pytest.approx(T0 + 8 * H * (COME_UP_C[1] - 5.0) / 60.0)

    def test_too_slow(self) -> None:
        fact = food_of(ramp("meat", 0, 9 * H, 5.0, 65.0, 60.0)).come_up
        assert fact.state == "over"
        assert fact.used_s == pytest.approx(9 * H * 44.444 / 60.0, rel=1e-4)

    def test_under_way(self) -> None:
        fact = food_of(ramp("meat", 0, 2 * H, 5.0, 35.0, 60.0), now=2 * H).come_up
        assert (fact.state, fact.through_at_s) == ("not_yet", None)

    def test_cooling_afterwards_is_no_coming_up(self) -> None:
        readings = ramp("meat", 0, 3 * H, 5.0, 65.0, 60.0) + ramp(
            "meat", 3 * H, 15 * H, 65.0, 15.0, 60.0
        )
        assert food_of(readings).come_up.used_s == pytest.approx(3 * H * 44.444 / 60.0, rel=1e-4)

    def test_two_heatings_add_up_unless_what_the_table_asks_for_lies_between(self) -> None:
        """FSIS-GD-2021-14, page 25: the six hours start over only after a lethal combination."""

        def twice(peak_c: float) -> float | None:
            readings = (
                ramp("meat", 0, 2 * H, 5.0, peak_c, 60.0)
                + ramp("meat", 2 * H + 60, 4 * H, peak_c, 30.0, 60.0)
                + ramp("meat", 4 * H + 60, 5 * H, 30.0, 66.0, 60.0)
            )
            return food_of(readings).come_up.used_s

        once, again = twice(75.0), twice(55.0)
        assert once is not None
        assert again is not None
        assert once < 2 * H < again

    def test_warm_from_the_beginning_is_known_only_with_the_refrigerator(self) -> None:
        readings = ramp("meat", 0, 2 * H, 18.0, 65.0, 60.0)
        assert food_of(readings).come_up.why == "began_warm"
        said = [(-H, Refrigerator(out=True))]
        fact = food_of(readings, said=said).come_up
        assert fact.state == "met"
        assert fact.at_most_s is not None
        assert fact.used_s is not None
        assert fact.at_most_s == pytest.approx(fact.used_s + H)
        long_ago = [(-5.5 * H, Refrigerator(out=True))]
        assert food_of(readings, said=long_ago).come_up.state == "unknown"

    def test_above_from_the_beginning(self) -> None:
        assert food_of(held(60.0, 600.0)).come_up.why == "began_above"

    def test_a_gap_may_hide_it(self) -> None:
        readings = ramp("meat", 0, H, 5.0, 30.0, 60.0) + ramp(
            "meat", 7 * H, 8 * H, 40.0, 65.0, 60.0
        )
        fact = food_of(readings).come_up
        assert (fact.state, fact.why) == ("unknown", "gaps")

    def test_what_the_probe_may_be_off_widens_the_band(self) -> None:
        readings = ramp("meat", 0, 8 * H, 5.0, 65.0, 60.0)
        unsure = Channel("meat", "Core", uncertainty_c=1.0)
        fact = food_of(readings, channels=(unsure,)).come_up
        assert fact.used_s == pytest.approx(8 * H * (44.4444 + 2.0) / 60.0, rel=1e-4)


class TestRefrigerator:
    def test_nobody_wrote_it_down(self) -> None:
        fact = food_of(ramp("meat", 0, 2 * H, 5.0, 65.0)).zone
        assert (fact.state, fact.why, fact.before_s) == ("unknown", "not_out", None)
        assert fact.heating_s == pytest.approx(2 * H * (ZONE_C[1] - 5.0) / 60.0, abs=11.0)

    def test_too_long_before_the_fire(self) -> None:
        said = [(-2.5 * H, Refrigerator(out=True))]
        fact = food_of(ramp("meat", 0, 2 * H, 5.0, 65.0), said=said).zone
        assert fact.state == "over"
        assert fact.before_s == 2.5 * H

    def test_half_as_long_on_a_hot_day(self) -> None:
        said: list[tuple[float, Payload]] = [(-1.5 * H, Refrigerator(out=True))]
        readings = ramp("meat", 0, 2 * H, 5.0, 65.0)
        assert food_of(readings, said=said, now=2 * H).zone.state == "not_yet"
        said.append((0.0, WeatherObserved(air_c=34.0)))
        assert food_of(readings, said=said, now=2 * H).zone.state == "over"

    def test_put_away_in_time(self) -> None:
        readings = ramp("meat", 0, 2 * H, 5.0, 75.0) + ramp("meat", 2 * H + 10, 3 * H, 75.0, 50.0)
        said = [(-600.0, Refrigerator(out=True)), (3 * H, Refrigerator(out=False))]
        fact = food_of(readings, said=said).zone
        assert fact.state == "met"
        assert fact.after_s == pytest.approx(0.4 * H, abs=10.0)

    def test_put_away_at_a_time_of_which_nothing_is_known(self) -> None:
        said = [(-600.0, Refrigerator(out=True)), (9 * H, Refrigerator(out=False))]
        fact = food_of(ramp("meat", 0, 2 * H, 5.0, 75.0), said=said).zone
        assert (fact.state, fact.why) == ("unknown", "not_measured")

    def test_closed_and_never_put_away(self) -> None:
        said = [(-600.0, Refrigerator(out=True)), (2 * H, CookClosed())]
        fact = food_of(ramp("meat", 0, 2 * H, 5.0, 75.0), said=said, now=9000 * H).zone
        assert (fact.state, fact.why) == ("unknown", "not_away")

    def test_another_item_is_not_meant(self) -> None:
        said = [(-9 * H, Refrigerator(out=True, item="thighs")), (-600.0, Refrigerator(out=True))]
        assert food_of(ramp("meat", 0, 2 * H, 5.0, 65.0), said=said).zone.before_s == 600.0


class TestHotSmokedFish:
    def test_of_fish_only(self) -> None:
        assert food_of(held(63.0, H)).hot_hold is None

    def test_half_an_hour_without_a_break(self) -> None:
        fact = food_of(held(HOT_HOLD_C, 1800.0), "fish").hot_hold
        assert fact is not None
        assert (fact.state, fact.reached_at_s) == ("met", T0 + 1800.0)
        short = food_of(held(HOT_HOLD_C, 1799.0), "fish").hot_hold
        assert short is not None
        assert short.state == "not_yet"

    @pytest.mark.parametrize("break_", ["gap", "dip"])
    def test_a_break_begins_it_anew(self, break_: str) -> None:
        readings = held(64.0, 1200.0) + held(64.0, 1200.0, from_s=1500.0)
        if break_ == "dip":
            readings += held(62.0, 240.0, from_s=1230.0)
        fact = food_of(sorted(readings), "fish").hot_hold
        assert fact is not None
        assert fact.state == "not_yet"
        assert fact.longest_s == pytest.approx(1200.0, abs=61.0)

    def test_every_probe_by_itself(self) -> None:
        readings = held(64.0, 2400.0) + held(64.0, 900.0, "other")
        fact = food_of(readings, "fish").hot_hold
        assert fact is not None
        assert (fact.state, fact.channel) == ("not_yet", "other")


class TestMinimum:
    @pytest.mark.parametrize(
        ("food", "least_f", "rest_s"),
        [
            ("red_meat", 145, 180),
            ("ham", 145, 180),
            ("ground", 160, 0),
            ("poultry", 165, 0),
            ("fish", 145, 0),
        ],
    )
    def test_as_published(self, food: FoodClass, least_f: float, rest_s: float) -> None:
        """USDA FSIS, Safe Minimum Internal Temperature Chart; see tests/cook/safety/test_cautions.py."""
        least_c = c_from_f(least_f)
        readings = ramp("meat", 0, H, least_c - 20.0, least_c, 60.0)
        assert food_of(readings[:-1], food).minimum.state == "not_yet"
        fact = food_of(readings, food).minimum
        assert fact.reached_at_s == T0 + H
        assert fact.state == ("not_yet" if rest_s else "met")
        rested = readings + held(least_c, rest_s, from_s=H)[1:]
        assert food_of(rested, food).minimum.state == "met"

    def test_every_probe_has_to_be_there(self) -> None:
        fact = food_of(held(70.0, 600.0) + held(61.0, 600.0, "other")).minimum
        assert (fact.state, fact.channel) == ("not_yet", "other")

    def test_none_for_other_food(self) -> None:
        assert food_of(held(70.0, 600.0), "other").minimum.why == "no_minimum"


class TestCooling:
    def cool(self, first_s: float, second_s: float, until_c: float = 4.0) -> Readings:
        return (
            ramp("meat", 0, H, 20.0, 70.0, 60.0)
            + ramp("meat", H + 60, H + 120, 65.0, COOLING_C[0], 60.0)
            + ramp("meat", H + 180, H + 120 + first_s, 56.0, COOLING_C[1], 60.0)
            + ramp("meat", H + 180 + first_s, H + 120 + second_s, 20.9, until_c, 60.0)
        )

    @pytest.mark.parametrize(
        ("first_s", "second_s", "states"),
        [
            (1.9 * H, 5.9 * H, ("met", "met", "met")),
            (2.2 * H, 5.9 * H, ("over", "over", "met")),
            (1.9 * H, 6.4 * H, ("over", "met", "over")),
            # Time saved in the first stage may be used in the second: the six hours are in all.
            (0.9 * H, 5.9 * H, ("met", "met", "met")),
        ],
    )
    def test_limits(self, first_s: float, second_s: float, states: tuple[str, ...]) -> None:
        fact = food_of(self.cool(first_s, second_s), now=8 * H).cooling
        assert (fact.state, fact.first, fact.second) == states

    def test_under_way_and_not_begun(self) -> None:
        readings = self.cool(1.9 * H, 5.9 * H)
        upto = [r for r in readings if r[0] <= 2 * H]
        assert food_of(upto, now=2 * H).cooling.state == "not_yet"
        assert food_of([r for r in upto if r[0] <= H], now=H).cooling.state == "idle"

    def test_a_dip_under_the_lid_is_no_cooling(self) -> None:
        readings = ramp("meat", 0, H, 20.0, 58.0, 60.0) + held(56.0, 300.0, from_s=H + 60)
        assert food_of(readings, now=H + 360).cooling.state == "idle"

    def test_nobody_measured_the_rest(self) -> None:
        upto = [r for r in self.cool(1.9 * H, 5.9 * H) if r[0] <= 2 * H]
        fact = food_of(upto, now=30 * H).cooling
        assert (fact.state, fact.why) == ("unknown", "not_measured")

    def test_a_gap_in_which_it_may_have_been_in_time(self) -> None:
        readings = [r for r in self.cool(1.9 * H, 5.9 * H) if not 2 * H < r[0] < 4 * H]
        assert food_of(readings, now=8 * H).cooling.first == "unknown"

    def test_closed_and_nothing_read_of_it(self) -> None:
        said = [(2 * H, CookClosed())]
        readings = ramp("meat", 0, 2 * H, 5.0, 75.0)
        assert food_of(readings, said=said, now=2 * H).cooling.state == "idle"
        fact = food_of(readings, said=said).cooling
        assert (fact.state, fact.why) == ("unknown", "not_measured")


def test_before_the_fire_nothing_is_claimed() -> None:
    log = cook_log([], [(-500.0, ItemAdded("roast", "red_meat"))], held(70.0, 600.0), start=None)
    found = assess(log, T0 + H)
    assert not found.begun
    (food,) = found.foods
    assert {food.lethality.state, food.come_up.state, food.minimum.state, food.cooling.state} == {
        "idle"
    }
    assert food.lethality.log is None


def test_unnamed_probes_are_no_news() -> None:
    """A choice that names a probe which isn't there, and a log that knows only unsure probes."""
    said = [(-1.0, SafetySet("red_meat", probes=("gone",)))]
    fact = food_of(held(70.0, 600.0), said=said, channels=(PIT, MEAT, OTHER)).lethality
    assert fact.why == "no_probe"
