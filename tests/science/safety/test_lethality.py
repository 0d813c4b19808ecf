"""Lethality: the published worksheet, every row of every table, and what must always hold."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from smokejournal.science.numbers.ranges import OutOfRange
from smokejournal.science.numbers.units import c_from_f, f_from_c, k_from_f_step
from smokejournal.science.safety import hold_tables
from smokejournal.science.safety.hold_tables import HoldTable
from smokejournal.science.safety.lethality import (
    LethalRate,
    rate_of_d_and_z,
    rate_of_table,
    reductions,
)
from tests.reference.tables import rows

ALL = [
    hold_tables.meat(6.5),
    hold_tables.meat(7.0),
    hold_tables.fish(),
    *(
        bird(fat)
        for fat in (*map(float, range(1, 13)), None)
        for bird in (hold_tables.chicken, hold_tables.turkey, hold_tables.other_poultry)
    ),
]
MEAT = rate_of_table(hold_tables.meat(6.5))
RATES = [rate_of_table(table) for table in ALL] + [rate_of_d_and_z(10.3, 5.56, 65.56, 54.4, 70.0)]

Z_K = k_from_f_step(10.0)
REFERENCE_C = c_from_f(150.0)


def worksheet() -> tuple[NDArray[np.float64], NDArray[np.float64], list[str]]:
    """Minutes, core [°C] and published F of worked example A, as far as F could be read."""
    read = [r for r in rows("lethality_examples_history") if r["published_cumulative_F_min"]]
    read = [r for r in read if r["example"] == "A"]
    at_min = np.array([float(r["time_min"]) for r in read])
    core_c = np.array([c_from_f(float(r["core_temp_F"])) for r in read])
    return at_min, core_c, [r["published_cumulative_F_min"] for r in read]


def answer(quantity: str) -> float:
    found = [r for r in rows("lethality_examples_answers") if r["quantity"] == quantity]
    return float(found[0]["published_value"])


def by_worksheet(at_s: NDArray[np.float64], core_c: NDArray[np.float64]) -> NDArray[np.float64]:
    """F [s] up to each reading by the worksheet's own rule, the trapezoid, which credits too much."""
    lethal = 10.0 ** ((core_c - REFERENCE_C) / Z_K)
    return np.append(0.0, np.cumsum((lethal[1:] + lethal[:-1]) / 2.0 * np.diff(at_s)))


class TestWorkedExample:
    """Worksheet of a meat trade association (2010), filled in; read. T_ref 150 °F, z 10 °F, D 0.172 min."""

    def test_by_its_own_rule_to_the_last_digit(self) -> None:
        at_min, core_c, published = worksheet()
        assert len(published) == 16
        f_min = by_worksheet(at_min * 60, core_c) / 60
        assert [f"{f:.3f}" for f in f_min] == published
        assert f_min[-1] / 0.172 == pytest.approx(answer("log reduction at 7.5 min"), abs=0.003)

    def test_exact_over_straight_segments_it_is_five_per_cent_less(self) -> None:
        at_min, core_c, _ = worksheet()
        rate = rate_of_d_and_z(0.172 * 60, Z_K, REFERENCE_C, 0.0, 100.0)
        logs = reductions(rate, at_min * 60, core_c)[-1]
        exact = answer("cumulative F at 7.5 min, exact for straight segments")
        assert logs * 0.172 == pytest.approx(exact, abs=0.0005)
        assert logs == pytest.approx(4.762, abs=0.003)

    def test_by_the_table_itself_it_is_less_again(self) -> None:
        at_min, core_c, _ = worksheet()
        quantity = "log reduction at 7.5 min from Appendix A Table 2 itself"
        assert reductions(MEAT, at_min * 60, core_c)[-1] == pytest.approx(
            answer(quantity), abs=0.01
        )

    @pytest.mark.parametrize(
        ("step_f", "too_much_pct"), [(1.0, 0.4), (5.0, 11.0), (10.0, 41.0), (20.0, 135.0)]
    )
    def test_how_much_the_trapezoid_credits_too_much(
        self, step_f: float, too_much_pct: float
    ) -> None:
        ends_c = np.array([c_from_f(140.0), c_from_f(140.0 + step_f)])
        rate = rate_of_d_and_z(1.0, Z_K, REFERENCE_C, 0.0, 100.0)
        exact = reductions(rate, [0.0, 60.0], ends_c)[-1]
        trapezoid = by_worksheet(np.array([0.0, 60.0]), ends_c)[-1]
        assert 100 * (trapezoid / exact - 1) == pytest.approx(too_much_pct, abs=0.5)

    def test_definition(self) -> None:
        """Dairy Science and Food Technology, calculator for F values: 0.077 at 110 °C, T_ref 121.11 °C, z 10 °C."""
        rate = rate_of_d_and_z(1.0, 10.0, 121.11, 100.0, 130.0)
        assert float(rate.per_s(110.0)) == pytest.approx(0.077, abs=0.0005)


@pytest.mark.parametrize("table", ALL, ids=lambda t: t.name)
def test_every_row_held_for_its_time_is_what_the_table_says(table: HoldTable) -> None:
    rate = rate_of_table(table)
    for celsius, hold_s in zip(table.temperature_c, table.hold_s, strict=True):
        for moments in ([0.0, hold_s], np.linspace(0.0, hold_s, 41)):
            logs = reductions(rate, moments, np.full(len(moments), celsius))
            assert logs[-1] == pytest.approx(table.log_reductions, rel=1e-12)


@pytest.mark.parametrize("table", ALL, ids=lambda t: t.name)
def test_nothing_below_the_lowest_row_and_never_instant_above_the_highest(table: HoldTable) -> None:
    rate = rate_of_table(table)
    below = table.temperature_c[0] - 0.001
    assert reductions(rate, [0.0, 1e6], [below, below])[-1] == 0.0
    assert reductions(rate, [0.0, 1e6], [20.0, below])[-1] == 0.0
    shortest_s = table.hold_s[-1]
    for celsius in (table.temperature_c[-1], 75.0, 100.0, 400.0):
        if celsius < table.temperature_c[-1]:
            continue
        logs = reductions(rate, [0.0, shortest_s], [celsius, celsius])[-1]
        assert logs == pytest.approx(table.log_reductions)


def test_ten_hours_at_125_f_are_nothing() -> None:
    """By D and z carried on below the table it would be 11 log10, which no row supports."""
    assert reductions(MEAT, [0.0, 36_000.0], [c_from_f(125.0)] * 2)[-1] == 0.0


def test_beef_times_are_far_too_short_for_poultry_and_fish() -> None:
    """FSIS-GD-2021-14 warns of it; at 145 °F the fish table asks four times as long."""
    hold_s = 240.0
    at_145 = [c_from_f(145.0)] * 2
    for fat, low, high in ((1.0, 3.2, 3.4), (None, 1.9, 2.2)):
        bird = hold_tables.chicken(fat) if fat else hold_tables.turkey(fat)
        assert low < reductions(rate_of_table(bird), [0.0, hold_s], at_145)[-1] < high
    fish = reductions(rate_of_table(hold_tables.fish()), [0.0, hold_s], [63.0, 63.0])[-1]
    assert fish < 1.5


class TestExact:
    def test_against_many_small_steps(self) -> None:
        for rate in RATES:
            for a, b in ((20.0, 90.0), (90.0, 20.0), (57.0, 63.5), (66.0, 66.0001), (80.0, 95.0)):
                fine = np.linspace(a, b, 2_000_001)
                steps = rate.per_s(fine)
                brute = float(np.mean((steps[1:] + steps[:-1]) / 2)) * 600.0
                assert reductions(rate, [0.0, 600.0], [a, b])[-1] == pytest.approx(brute, rel=2e-5)

    def test_short_lines_lose_nothing(self) -> None:
        for step in (1e-3, 1e-6, 1e-9, 1e-12, 0.0):
            for middle in (60.0, c_from_f(145.0), 69.5):
                logs = reductions(MEAT, [0.0, 60.0], [middle - step, middle + step])[-1]
                assert logs == pytest.approx(60.0 * float(MEAT.per_s(middle)), rel=1e-3)


temperatures = st.floats(-20.0, 120.0, allow_nan=False)
lines = st.lists(st.tuples(st.floats(0.0, 600.0), temperatures), min_size=2, max_size=12)
rates = st.sampled_from(RATES)


def as_line(steps: list[tuple[float, float]]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    return np.cumsum([s for s, _ in steps]), np.array([c for _, c in steps])


def near(a: float, b: float) -> bool:
    return bool(np.isclose(a, b, rtol=1e-9, atol=1e-12))


class TestAlways:
    @given(rates, lines, st.floats(0.0, 30.0))
    def test_hotter_is_never_less(
        self, rate: LethalRate, steps: list[tuple[float, float]], by_k: float
    ) -> None:
        at_s, core_c = as_line(steps)
        cooler, hotter = reductions(rate, at_s, core_c), reductions(rate, at_s, core_c + by_k)
        assert np.all(hotter >= cooler - 1e-9 * (1 + cooler))

    @given(rates, lines, st.floats(1.0, 5.0))
    def test_longer_is_never_less_and_time_only_adds(
        self, rate: LethalRate, steps: list[tuple[float, float]], times: float
    ) -> None:
        at_s, core_c = as_line(steps)
        logs = reductions(rate, at_s, core_c)
        assert np.all(np.diff(logs) >= 0.0)
        assert near(reductions(rate, at_s * times, core_c)[-1], logs[-1] * times)

    @given(rates, st.tuples(temperatures, temperatures), st.lists(st.floats(0.0, 1.0), max_size=9))
    def test_splitting_a_segment_changes_nothing(
        self, rate: LethalRate, ends: tuple[float, float], cuts: list[float]
    ) -> None:
        part = np.unique([0.0, 1.0, *cuts])
        whole = reductions(rate, [0.0, 1000.0], ends)[-1]
        pieces = reductions(rate, 1000.0 * part, ends[0] + (ends[1] - ends[0]) * part)[-1]
        assert np.isclose(pieces, whole, rtol=1e-7, atol=1e-9)

    @given(rates, lines)
    def test_backwards_is_as_much(self, rate: LethalRate, steps: list[tuple[float, float]]) -> None:
        at_s, core_c = as_line(steps)
        back = reductions(rate, at_s[-1] - at_s[::-1], core_c[::-1])[-1]
        assert near(back, reductions(rate, at_s, core_c)[-1])

    @given(rates, lines)
    def test_fahrenheit_and_celsius_are_one(
        self, rate: LethalRate, steps: list[tuple[float, float]]
    ) -> None:
        at_s, core_c = as_line(steps)
        there_and_back = np.array([c_from_f(f_from_c(c)) for c in core_c])
        a = reductions(rate, at_s, core_c)[-1]
        assert np.isclose(reductions(rate, at_s, there_and_back)[-1], a, rtol=1e-6, atol=1e-9)

    @given(rates, lines, st.data())
    def test_a_gap_credits_nothing(
        self, rate: LethalRate, steps: list[tuple[float, float]], data: st.DataObject
    ) -> None:
        at_s, core_c = as_line(steps)
        gap = data.draw(st.integers(1, at_s.size - 1))
        unbroken = np.ones(at_s.size, dtype=np.bool_)
        unbroken[gap] = False
        logs = reductions(rate, at_s, core_c, unbroken)
        assert logs[gap] == logs[gap - 1]
        before = reductions(rate, at_s[:gap], core_c[:gap])[-1]
        after = reductions(rate, at_s[gap:], core_c[gap:])[-1]
        assert near(logs[-1], before + after)

    @given(rates, lines, st.floats(0.0, 10.0), st.floats(0.0, 10.0))
    def test_uncertainty_never_raises_it(
        self, rate: LethalRate, steps: list[tuple[float, float]], a: float, b: float
    ) -> None:
        at_s, core_c = as_line(steps)
        less, more = sorted((a, b))
        sure = reductions(rate, at_s, core_c, uncertainty_c=less)[-1]
        unsure = reductions(rate, at_s, core_c, uncertainty_c=more)[-1]
        assert unsure <= sure + 1e-9 * (1 + sure)
        assert near(unsure, reductions(rate, at_s, core_c - more)[-1])

    @given(rates, st.lists(st.floats(0.0, 600.0), min_size=2, max_size=5))
    def test_as_much_as_the_rate_says_where_nothing_changes(
        self, rate: LethalRate, steps: list[float]
    ) -> None:
        at_s = np.cumsum(steps)
        for celsius in (rate.lowest_c, rate.highest_c, 62.0):
            logs = reductions(rate, at_s, np.full(at_s.size, celsius))[-1]
            assert near(logs, float(rate.per_s(celsius)) * (at_s[-1] - at_s[0]))


def test_a_long_step_counts_at_its_cooler_end() -> None:
    at_s, core_c = [0.0, 60.0, 1860.0], [60.0, 62.0, 66.0]
    logs = reductions(MEAT, at_s, core_c, longest_line_s=120.0)
    assert logs[1] == reductions(MEAT, at_s, core_c)[1]
    assert logs[2] - logs[1] == pytest.approx(1800.0 * float(MEAT.per_s(62.0)))
    assert logs[2] < reductions(MEAT, at_s, core_c)[2]


class TestRefused:
    @pytest.mark.parametrize(
        ("values", "says"),
        [
            ((0.0, 5.0, 60.0, 54.0, 70.0), "D: from 0.01 to 1e\\+06 s, not 0"),
            ((-1.0, 5.0, 60.0, 54.0, 70.0), "D: from"),
            ((float("nan"), 5.0, 60.0, 54.0, 70.0), "D: from"),
            ((10.0, 0.0, 60.0, 54.0, 70.0), "z: from 1 to 100 K, not 0"),
            ((10.0, float("inf"), 60.0, 54.0, 70.0), "z: from"),
            ((10.0, 5.0, 600.0, 54.0, 70.0), "reference: from 0 to 150 °C"),
            ((10.0, 5.0, 60.0, -4.0, 70.0), "from: from 0 to 150 °C"),
            ((10.0, 5.0, 60.0, 54.0, 170.0), "to: from 0 to 150 °C"),
        ],
    )
    def test_with_the_field_and_its_range(self, values: tuple[float, ...], says: str) -> None:
        with pytest.raises(OutOfRange, match=says):
            rate_of_d_and_z(*values)

    def test_a_range_the_wrong_way_round(self) -> None:
        with pytest.raises(ValueError, match="to: above 70 °C, not 70"):
            rate_of_d_and_z(10.0, 5.0, 60.0, 70.0, 70.0)

    def test_an_uncertainty_below_nothing_and_times_that_fall(self) -> None:
        with pytest.raises(ValueError, match="uncertainty"):
            reductions(MEAT, [0.0, 1.0], [60.0, 60.0], uncertainty_c=-0.1)
        with pytest.raises(ValueError, match="uncertainty"):
            reductions(MEAT, [0.0, 1.0], [60.0, 60.0], uncertainty_c=float("nan"))
        with pytest.raises(ValueError, match="times"):
            reductions(MEAT, [1.0, 0.0], [60.0, 60.0])
        with pytest.raises(ValueError, match="rise"):
            LethalRate(np.array([60.0, 60.0]), np.array([0.0, 1.0]))

    def test_little_is_little(self) -> None:
        assert reductions(MEAT, [], []).size == 0
        assert list(reductions(MEAT, [5.0], [70.0])) == [0.0]
