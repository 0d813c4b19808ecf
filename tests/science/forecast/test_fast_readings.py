"""A reading every second for a day: the same answer, and no more memory than slow readings take."""

from __future__ import annotations

import tracemalloc
from dataclasses import replace

import numpy as np
import pytest

from smokejournal.cook.forecast.intervals import reach_span, step_s
from smokejournal.science.forecast import fitted as module
from smokejournal.science.forecast import meat_record
from smokejournal.science.forecast.forecast import forecast
from smokejournal.science.forecast.meat_record import EVERY_S, MeatRecord, clean, running_median
from smokejournal.science.forecast.values import CookSoFar, SetPoint

H = 3600.0


def fast(hours: float, every_s: float = 1.0, start_s: float = 1.7e9) -> CookSoFar:
    """A shoulder on its slow way to 98 °C in a flickering pit, the lid opened for a minute each hour."""
    rng = np.random.default_rng(5)
    since_s = every_s * np.arange(round(hours * H / every_s))
    pit = 112.0 + rng.normal(0.0, 1.5, since_s.size)
    pit[since_s % H > H - 60.0] -= 40.0
    probe = 98.0 - 93.0 * np.exp(-since_s / (hours * H / 2.2))
    return CookSoFar(
        start_s + since_s,
        pit,
        np.round(probe + rng.normal(0.0, 0.1, since_s.size), 1),
        start_s + float(since_s[-1]),
        90.0,
        cut="shoulder",
        mass_kg=3.5,
        start_s=start_s,
        set_points=(SetPoint(start_s, 110.0),),
    )


def by_tens(cook: CookSoFar) -> CookSoFar:
    """The same readings, thinned beforehand: of each ten the mean of the pit, the median of the probe."""
    return replace(
        cook,
        time_s=cook.time_s.reshape(-1, 10).mean(axis=1),
        pit_c=cook.pit_c.reshape(-1, 10).mean(axis=1),
        probe_c=np.sort(cook.probe_c.reshape(-1, 10), axis=1)[:, 5],
    )


def record(cook: CookSoFar) -> MeatRecord:
    found = clean(cook)
    assert found is not None
    return found


def test_a_day_of_seconds_is_answered_as_it_is_thinned_beforehand() -> None:
    cook = fast(24.0)
    said, thinned = forecast(cook), forecast(by_tens(cook))
    one, other = reach_span(said), reach_span(thinned)
    assert one is not None
    assert other is not None
    assert (said.standing, said.noticed) == (thinned.standing, thinned.noticed)
    told_s = step_s(one.high - one.low)
    assert one.mid == pytest.approx(other.mid, abs=told_s)
    # The ends rest on twenty members each, so they sway more than the middle.
    assert one.low == pytest.approx(other.low, abs=1.5 * told_s)
    assert one.high == pytest.approx(other.high, abs=1.5 * told_s)


@pytest.mark.parametrize("every_s", [1.0, 0.5])
def test_a_day_of_fast_readings_takes_little_memory(
    monkeypatch: pytest.MonkeyPatch, every_s: float
) -> None:
    # Coarse steps, since tracing is slow: what they need does not depend on how fast the readings come.
    monkeypatch.setattr(module, "_MOST_STEPS", 40)
    cook = fast(24.0, every_s)
    tracemalloc.start()
    try:
        said = forecast(cook)
        peak_b = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert said.remaining_s is not None
    # Windows side by side took 1.3 GB; the table itself takes 2 MB at one reading a second.
    assert peak_b < 40e6


def test_however_fast_the_record_is_as_long() -> None:
    lengths = {len(record(fast(2.0, every_s)).time_s) for every_s in (0.1, 0.5, 1.0, 2.5, 5.0)}
    assert lengths == {round(2 * H / EVERY_S)}


def test_the_pit_keeps_its_mean_and_the_lid_its_moment() -> None:
    cook = fast(6.0)
    found = record(cook)
    assert float(np.mean(found.pit_c)) == pytest.approx(float(np.mean(cook.pit_c)), abs=1e-6)
    for times, pit in ((cook.time_s, cook.pit_c), (found.pit_time_s, found.pit_c)):
        opened = times[1:][(pit[1:] < 92.0) & (pit[:-1] >= 92.0)] - 1.7e9
        hours = H * np.arange(1, 7)
        assert opened == pytest.approx(hours - 60.0, abs=EVERY_S)


def test_what_is_kept_of_the_probe_was_read() -> None:
    """So that the step of the instrument still shows, and the last minute is what it was."""
    cook = fast(6.0)
    found = record(cook)
    assert np.isin(found.time_s, cook.time_s).all()
    assert found.step_k == pytest.approx(0.1)
    assert found.last_c == pytest.approx(float(np.median(cook.probe_c[-75:])), abs=0.11)


def test_a_minute_later_the_same_readings_stand_for_the_others() -> None:
    cook = fast(3.0)
    before = cook.time_s <= cook.now_s - 60.0
    earlier = CookSoFar(
        cook.time_s[before], cook.pit_c[before], cook.probe_c[before], cook.now_s - 60.0, 95.0
    )
    was, now = record(earlier), record(cook)
    whole = len(was.time_s) - 1
    assert now.time_s[:whole].tolist() == was.time_s[:whole].tolist()
    assert now.pit_c[:whole].tolist() == was.pit_c[:whole].tolist()


def test_all_that_a_left_out_reading_stood_for_are_counted() -> None:
    cook = fast(3.0)
    shown = cook.probe_c.copy()
    shown[6000:6030] = 108.0
    found = record(replace(cook, probe_c=shown))
    assert found.refused == record(cook).refused + 30
    assert not np.any((found.time_s >= cook.time_s[6000]) & (found.time_s < cook.time_s[6030]))


def test_slow_readings_are_left_as_they_are() -> None:
    cook = fast(3.0, 30.0)
    found = record(cook)
    assert found.pit_time_s.tolist() == cook.time_s.tolist()
    assert found.pit_c.tolist() == cook.pit_c.tolist()
    assert found.time_s.tolist() == cook.time_s.tolist()


@pytest.mark.parametrize("at_once", [1, 50, 250_000])
def test_running_median_is_that_of_each_window(
    monkeypatch: pytest.MonkeyPatch, at_once: int
) -> None:
    monkeypatch.setattr(meat_record, "_AT_ONCE", at_once)
    rng = np.random.default_rng(2)
    time_s = np.cumsum(rng.uniform(0.1, 20.0, 300))
    value = rng.normal(60.0, 5.0, 300)
    by_hand = [float(np.median(value[np.abs(time_s - at) <= 46.0])) for at in time_s]
    assert running_median(time_s, value, 46.0) == pytest.approx(by_hand)
