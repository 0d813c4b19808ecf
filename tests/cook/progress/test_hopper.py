"""The hopper: root-sum-square against the Guide, mass conserved, then what a cook meets."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.log.entries import (
    CookClosed,
    Entry,
    FuelAdded,
    FuelLevel,
    Payload,
    ScheduleStarted,
    Strike,
)
from smokejournal.cook.progress.hopper import hopper

HOUR = 3600.0


def log(*what: tuple[float, Payload]) -> list[Entry]:
    """Entries at hours after the start."""
    return [Entry(n, h * HOUR, h * HOUR, p) for n, (h, p) in enumerate(what, start=1)]


def added(lot: str, kg: float, sd: float = 0.0, price: float | None = None) -> FuelAdded:
    return FuelAdded(lot, kg, sd, price_per_kg=price, currency="EUR" if price is not None else "")


def level(kg: float, sd: float = 0.0) -> FuelLevel:
    return FuelLevel(kg, sd)


class TestTheOldestLayerBurnsFirst:
    def test_two_lots(self) -> None:
        story = hopper(
            log(
                (-1, level(0)),
                (-0.5, added("beech", 2.0, 0.03, price=1.5)),
                (-0.4, added("apple", 3.0, 0.04, price=2.0)),
                (0, ScheduleStarted()),
                (8, level(1.8, 0.05)),
                (8, CookClosed()),
            ),
            9 * HOUR,
        )
        # 5.0 kg in, 1.8 left: 3.2 burned, with sqrt(0.03² + 0.04² + 0.05²) = 0.0707 (JCGM 100:2008,
        # 5.1.2: the root of the sum of squares). Beech went whole; apple is what remains.
        assert story.used_kg.value == pytest.approx(3.2)
        assert story.used_kg.sd == pytest.approx(math.sqrt(0.03**2 + 0.04**2 + 0.05**2))
        beech, apple = story.by_lot
        assert (beech.lot, beech.used_kg.value, beech.used_kg.sd) == ("beech", 2.0, 0.03)
        assert apple.used_kg.value == pytest.approx(1.2)
        assert apple.used_kg.sd == pytest.approx(math.hypot(0.04, 0.05))
        assert [(layer.lot, layer.mass_kg) for layer in story.layers] == [
            ("apple", pytest.approx(1.8))
        ]
        ((currency, cost),) = story.costs
        assert (currency, cost.value) == ("EUR", pytest.approx(2.0 * 1.5 + 1.2 * 2.0))
        assert cost.sd == pytest.approx(math.hypot(0.03 * 1.5, 0.04 * 2.0, 0.05 * 2.0))
        assert story.rate_kg_per_h.value == pytest.approx(0.4)
        assert story.level_kg.value == pytest.approx(1.8)

    def test_what_lay_there_before_burns_first_and_has_no_lot(self) -> None:
        story = hopper(
            log(
                (-1, level(1.0, 0.1)),
                (0, ScheduleStarted()),
                (1, added("oak", 4.0, price=1.0)),
                (6, level(2.5, 0.1)),
                (6, CookClosed()),
            ),
            7 * HOUR,
        )
        before, oak = story.by_lot
        assert (before.lot, before.used_kg.value) == ("", 1.0)
        assert before.cost.why == "no_price"
        assert oak.used_kg.value == pytest.approx(1.5)
        assert story.unpriced == ("",)
        assert story.costs[0][1].value == pytest.approx(1.5)

    def test_a_reading_on_the_way_does_not_widen_the_sum(self) -> None:
        story = hopper(
            log(
                (0, level(5.0, 0.1)),
                (0, ScheduleStarted()),
                (3, level(3.0, 0.9)),
                (6, level(1.0, 0.1)),
                (6, CookClosed()),
            ),
            6 * HOUR,
        )
        assert story.used_kg.value == pytest.approx(4.0)
        assert story.used_kg.sd == pytest.approx(math.hypot(0.1, 0.1))


class TestUnknownStaysUnknown:
    @pytest.mark.parametrize(
        ("entries", "why"),
        [
            ([], "nothing_logged"),
            ([(0, ScheduleStarted()), (1, added("oak", 5))], "never_read"),
            ([(0, ScheduleStarted()), (5, level(2)), (5, CookClosed())], "not_read_before"),
            ([(0, level(5)), (0, ScheduleStarted()), (5, CookClosed())], "not_read_after"),
            ([(0, level(5)), (0, ScheduleStarted()), (3, level(2))], "not_read_after"),
            (
                [(0, level(5)), (0, ScheduleStarted()), (5, level(0)), (5, CookClosed())],
                "emptied_unweighed",
            ),
            (
                [(0, level(5, 0.1)), (0, ScheduleStarted()), (5, level(9)), (5, CookClosed())],
                "more_than_added",
            ),
        ],
    )
    def test_whole(self, entries: list[tuple[float, Payload]], why: str) -> None:
        story = hopper(log(*entries), 5 * HOUR)
        assert story.used_kg.value is None
        assert story.used_kg.why == why

    def test_the_part_between_two_readings_is_known(self) -> None:
        story = hopper(
            log((0, level(5)), (0, ScheduleStarted()), (4, level(3)), (9, CookClosed())), 9 * HOUR
        )
        assert story.used_kg.why == "not_read_after"
        assert story.between_kg.value == pytest.approx(2.0)
        assert story.between_s == (0.0, 4 * HOUR)
        assert story.rate_kg_per_h.value == pytest.approx(0.5)
        assert story.level_kg.why == "burned_since"

    def test_readings_before_the_fire_tell_nothing_of_it(self) -> None:
        story = hopper(
            log(
                (-2, level(2.0)),
                (-1, added("oak", 3.0, price=1.0)),
                (-0.5, level(5.0)),
                (0, ScheduleStarted()),
            ),
            3 * HOUR,
        )
        assert story.between_kg.why == "not_read_after"
        assert story.rate_kg_per_h.value is None
        assert story.costs == ()

    def test_fuel_that_did_not_burn_costs_nothing_in_the_sum(self) -> None:
        story = hopper(
            log(
                (-1, level(3.0)),
                (-0.9, added("oak", 4.0, price=1.0)),
                (0, ScheduleStarted()),
                (4, level(5.0)),
                (4, CookClosed()),
            ),
            5 * HOUR,
        )
        assert story.unpriced == ("",)
        assert story.costs == ()

    def test_emptied_right_after_a_reading_did_not_burn(self) -> None:
        story = hopper(
            log(
                (0, level(5)),
                (0, ScheduleStarted()),
                (5, level(2)),
                (5.1, level(0)),
                (5.1, CookClosed()),
            ),
            6 * HOUR,
        )
        assert story.used_kg.value == pytest.approx(3.0)
        assert story.taken_out_kg.value == pytest.approx(2.0)
        assert story.level_kg.value == 0.0

    def test_a_struck_filling_never_was(self) -> None:
        entries = log((0, level(1)), (0, added("oak", 5)), (0, ScheduleStarted()), (2, Strike(2)))
        entries += [Entry(9, 3 * HOUR, 3 * HOUR, level(0.4))]
        story = hopper(entries, 3 * HOUR, (0.0, 3 * HOUR))
        assert story.used_kg.value == pytest.approx(0.6)

    def test_a_little_more_than_before_is_noise_and_not_a_fault(self) -> None:
        story = hopper(
            log(
                (0, level(5, 0.1)), (0, ScheduleStarted()), (1, level(5.1, 0.1)), (1, CookClosed())
            ),
            HOUR,
        )
        assert story.used_kg.value == pytest.approx(-0.1)
        assert story.used_kg.sd == pytest.approx(math.hypot(0.1, 0.1))


steps = st.lists(
    st.one_of(
        st.builds(
            lambda lot, kg, sd: added(lot, kg, sd),
            st.sampled_from(["oak", "beech", "apple"]),
            st.floats(0.1, 10),
            st.floats(0, 0.2),
        ),
        st.builds(level, st.floats(0, 20), st.floats(0, 0.3)),
    ),
    min_size=1,
    max_size=12,
)


@given(first=st.floats(0, 20), what=steps)
def test_mass_is_conserved(first: float, what: list[FuelAdded | FuelLevel]) -> None:
    """What lay there and was put in is what burned, was taken out, and still lies there."""
    entries = log((0, level(first, 0.01)), *((n + 1.0, w) for n, w in enumerate(what)))
    story = hopper(entries, 1e9, (0.0, None))
    put_in = sum(w.mass_kg for w in what if isinstance(w, FuelAdded))
    lies = sum(layer.mass_kg for layer in story.layers)
    if story.between_kg.value is None:
        return
    assert story.taken_out_kg.value is not None
    out = story.between_kg.value + story.taken_out_kg.value
    assert first + put_in == pytest.approx(out + lies, abs=1e-6)
    by_lot = sum(use.used_kg.value or 0.0 for use in story.by_lot)
    assert by_lot == pytest.approx(story.between_kg.value, abs=1e-6)
    assert all(layer.mass_kg >= -1e-6 for layer in story.layers)
