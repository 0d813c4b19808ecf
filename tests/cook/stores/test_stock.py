"""What is left in the stores: by hand, and properties of any history."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.log.brine_request import BrineAsked
from smokejournal.cook.log.entries import (
    Entry,
    Payload,
    PrepStep,
    ScheduleStarted,
    StepBegun,
    StepSkipped,
    StoreUsed,
)
from smokejournal.cook.stores.stock import (
    StockLine,
    WareUse,
    usual_use,
    ware_line,
    ware_uses,
    with_low,
)
from smokejournal.cook.stores.wares import Ware

SALT = Ware(1, "salt", "jar", bought_kg=2.0)
WOOD = Ware(2, "wood", "plum", bought_count=20.0)
BRINE = BrineAsked("2 L water, 1 cup salt, 100 g sugar", salt="jar", cup_g=240.0)


def log_of(*payloads: Payload) -> list[Entry]:
    return [Entry(n, float(n), float(n), what) for n, what in enumerate(payloads, start=1)]


def test_what_was_said_to_be_used_is_summed_by_name() -> None:
    uses = ware_uses(
        log_of(
            StoreUsed("wood", "plum", count=4.0),
            StoreUsed("wood", "plum", count=2.0),
            StoreUsed("rub", "plum", 0.1),
        )
    )
    assert uses["wood", "plum"].count == 6.0
    assert uses["rub", "plum"].mass_kg == 0.1


def test_a_brine_uses_its_salt_once_it_is_begun_or_the_fire_is() -> None:
    step = PrepStep("Brine", brine=BRINE, key="b")
    assert ware_uses(log_of(step)) == {}
    for begun in (StepBegun("b"), ScheduleStarted()):
        use = ware_uses(log_of(step, begun))["salt", "jar"]
        # A US cup of 240 g, give or take a twentieth; the sugar is no salt.
        assert use.mass_kg == pytest.approx(0.240)
        assert (use.mass_low_kg, use.mass_high_kg) == pytest.approx((0.228, 0.252))
    assert ware_uses(log_of(step, StepSkipped("b"), ScheduleStarted())) == {}


def test_a_brine_without_a_salt_of_the_stores_uses_none() -> None:
    step = PrepStep("Brine", brine=BrineAsked("2 L water, 100 g salt"))
    assert ware_uses(log_of(step, ScheduleStarted())) == {}


def test_what_is_left_by_hand() -> None:
    line = ware_line(SALT, [WareUse(0.3, 0.4, 0.5), WareUse(0.6, 0.6, 0.6)])
    assert (line.left_low, line.left_mid, line.left_high) == pytest.approx((0.9, 1.0, 1.1))
    assert (line.unit, line.low, line.why) == ("kg", False, "")
    # Below the median of what cooks took (0.5 kg) it runs low.
    more = ware_line(SALT, [WareUse(0.8, 0.8, 0.8), WareUse(0.8, 0.8, 0.8)])
    assert more.low


def test_pieces_are_kept_by_pieces() -> None:
    line = ware_line(WOOD, [WareUse(count=7.0), WareUse(count=9.0)])
    assert (line.left_mid, line.unit, line.low) == (4.0, "pieces", True)


def test_some_without_an_amount_leaves_a_range_with_the_reason() -> None:
    line = ware_line(WOOD, [WareUse(count=5.0), WareUse(untold=1)])
    assert (line.left_low, line.left_mid, line.left_high) == (0.0, None, 15.0)
    assert line.why == "some was used without saying how much"
    weighed = ware_line(WOOD, [WareUse(0.4, 0.4, 0.4)])
    assert weighed.left_mid is None


def test_what_nobody_measured_is_unknown_and_never_low() -> None:
    for ware, why in (
        (Ware(3, "rub", "old"), "how much came in"),
        (Ware(0, "rub", "borrowed", bought_kg=1.0), "not in the stores"),
    ):
        line = ware_line(ware, [WareUse(0.1, 0.1, 0.1)])
        assert (line.left_low, line.left_high, line.low) == (None, None, False)
        assert why in line.why


def test_more_used_than_came_in_is_said() -> None:
    assert "more was used" in ware_line(WOOD, [WareUse(count=21.0)]).why


def test_a_threshold_of_ones_own_goes_before_the_usual_use() -> None:
    line = StockLine("pellets", "oak", 4.0, 5.0, 6.0, "kg")
    assert not with_low(line, None, None).low
    assert with_low(line, None, 5.5).low
    assert not with_low(line, 3.0, 5.5).low
    assert with_low(line, 5.5, None).low
    assert not with_low(line, 5.5, None, retired=True).low


masses = st.floats(0, 5, allow_nan=False)
uses = st.lists(
    st.builds(
        lambda mass, count, untold: WareUse(0.9 * mass, mass, 1.1 * mass, count, untold),
        masses,
        masses,
        st.integers(0, 2),
    ),
    max_size=6,
)


@given(st.sampled_from([SALT, WOOD]), uses, masses)
def test_ends_are_in_order_and_using_more_never_leaves_more(
    ware: Ware, history: list[WareUse], mass: float
) -> None:
    line = ware_line(ware, history)
    assert line.left_low is not None
    assert line.left_high is not None
    assert line.left_low <= line.left_high
    if line.left_mid is not None:
        assert line.left_low <= line.left_mid <= line.left_high
    after = ware_line(ware, [*history, WareUse(mass, mass, mass, mass)])
    assert after.left_low is not None
    assert after.left_high is not None
    assert after.left_high <= line.left_high
    assert after.left_low <= line.left_low


@given(st.lists(masses, max_size=9))
def test_a_usual_use_lies_among_the_uses(amounts: list[float]) -> None:
    usual = usual_use(amounts)
    some = [amount for amount in amounts if amount > 0]
    assert (usual is None) == (not some)
    if usual is not None:
        assert min(some) <= usual <= max(some)
