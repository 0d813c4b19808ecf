"""What is read of the meat, and what is left out: air, spikes, pulls, another place."""

from __future__ import annotations

import numpy as np
import pytest

from smokejournal.science.forecast.meat_record import MeatRecord, clean, rounding_step, thin
from smokejournal.science.forecast.values import CookSoFar, FloatArray


def usual() -> tuple[FloatArray, FloatArray, FloatArray]:
    """Three hours of a slow smooth rise in a pit of 110 °C, every 30 s."""
    time_s = 30.0 * np.arange(360)
    probe = 5.0 + 60.0 * (1.0 - np.exp(-time_s / 7000.0))
    return time_s, np.full(360, 110.0), probe


def record(time_s: FloatArray, pit: FloatArray, probe: FloatArray) -> MeatRecord:
    found = clean(CookSoFar(time_s, pit, probe, float(np.nanmax(time_s)), 70.0))
    assert found is not None
    return found


def test_a_smooth_rise_is_kept_whole() -> None:
    time_s, pit, probe = usual()
    found = record(time_s, pit, probe)
    assert len(found.time_s) == 360
    assert found.refused == 0
    assert found.moved_s is None
    assert not found.in_air
    assert found.last_c == pytest.approx(probe[-1], abs=0.2)


def test_readings_before_it_was_put_in_are_air() -> None:
    time_s, pit, probe = usual()
    shown = np.where(time_s < 900.0, 98.0, np.roll(probe, 30))
    found = record(time_s, pit, shown)
    assert 900.0 <= found.start_s <= 1000.0
    assert found.moved_s is None
    assert found.refused >= 30


def test_a_pull_and_a_spike_are_left_out_and_counted() -> None:
    time_s, pit, probe = usual()
    shown = probe.copy()
    shown[200:206] = 108.0
    shown[100] = 300.0
    found = record(time_s, pit, shown)
    assert found.refused >= 7
    assert np.abs(found.probe_c - np.interp(found.time_s, time_s, probe)).max() < 1.0
    assert found.moved_s is None


def test_another_place_is_noticed() -> None:
    time_s, pit, probe = usual()
    shown = probe + np.where(time_s >= 6000.0, 6.0, 0.0)
    found = record(time_s, pit, shown)
    assert found.moved_s == pytest.approx(6000.0, abs=200.0)


def test_the_last_readings_in_the_air_are_not_the_meat() -> None:
    time_s, pit, probe = usual()
    shown = np.where(time_s > time_s[-1] - 240.0, 109.0, probe)
    found = record(time_s, pit, shown)
    assert found.in_air
    assert np.isnan(found.last_c)


def test_what_is_no_number_and_out_of_order_is_put_right_or_refused() -> None:
    time_s, pit, probe = usual()
    shown = probe.copy()
    shown[10] = np.inf
    shown[20] = -200.0
    found = record(time_s[::-1], pit[::-1], shown[::-1])
    assert np.all(np.diff(found.time_s) > 0)
    assert found.refused == 2


@pytest.mark.parametrize("step", [0.1, 5 / 9, 1.0])
def test_the_step_of_rounding_is_found(step: float) -> None:
    _, _, probe = usual()
    assert rounding_step(np.round(probe / step) * step) == pytest.approx(step, rel=0.02)
    assert rounding_step(probe) == 0.0


def test_no_reading_at_all_is_no_record() -> None:
    time_s, pit, _ = usual()
    assert clean(CookSoFar(time_s, pit, np.full(360, np.nan), 1e4, 70.0)) is None


def test_thinning_keeps_the_ends_and_looks_closer_at_the_last_fifth() -> None:
    time_s, pit, probe = usual()
    at, values = thin(record(time_s, pit, probe))
    assert 36 <= len(at) <= 46
    assert at[0] == time_s[0]
    assert at[-1] == time_s[-1]
    assert np.count_nonzero(at > 0.8 * time_s[-1]) > 0.3 * len(at)
    assert len(values) == len(at)


@pytest.mark.parametrize("step_k", [0.1, 5 / 9, 1.0])
@pytest.mark.parametrize("noise_k", [0.02, 0.05, 0.1, 0.2])
def test_rounding_is_not_taken_for_flicker(step_k: float, noise_k: float) -> None:
    """A display in whole degrees hops between two figures; that is its rounding, whose variance is a
    twelfth of the step squared (JCGM 100:2008, F.2.2.1). As flicker it would count twice, and the target
    would seem to be there a degree early."""
    found = []
    for seed in range(8):
        rng = np.random.default_rng(seed)
        time_s, pit, probe = usual()
        read = probe + noise_k * rng.standard_normal(len(probe))
        found.append(record(time_s, pit, step_k * np.round(read / step_k)).noise_k)
    assert np.mean(found) <= noise_k + 0.15 * step_k
    assert max(found) <= noise_k + 0.3 * step_k


def test_flicker_is_found_whatever_the_display_rounds() -> None:
    """Of a median over a minute of three readings, whose spread is 0.67 of one reading's."""
    for step_k in (0.1, 5 / 9, 1.0):
        found = []
        for seed in range(8):
            rng = np.random.default_rng(seed)
            time_s, pit, probe = usual()
            read = probe + 0.8 * rng.standard_normal(len(probe))
            found.append(record(time_s, pit, step_k * np.round(read / step_k)).noise_k)
        assert 0.3 <= np.mean(found) <= 0.8
