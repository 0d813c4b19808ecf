from __future__ import annotations

import math

import pytest

from smokejournal.cook.log.entries import (
    CookClosed,
    FuelAdded,
    FuelLevel,
    ScheduleStarted,
    StoreUsed,
)
from smokejournal.cook.stores.lots import Lot
from smokejournal.cook.stores.wares import Ware
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.services.program.program import Program
from smokejournal.services.stores.stores import LotStock, Stores, Use, stock_of
from tests.support.fakes import FixedClock

OAK = Lot(1, "oak", bag_kg=9.0, price=14.0, currency="EUR", bags_bought=3.0)


def burn(program: Program, clock: FixedClock, lot: str, added_kg: float, left_kg: float | None):
    """A cook that starts on an empty hopper, adds, burns, and reads the level at its end."""
    cook_id = program.new_cook("Ribs", "UTC")
    live = program.live(cook_id)
    live.record(FuelAdded(lot, added_kg, 0.1)).result()
    live.record(FuelLevel(added_kg, 0.1)).result()
    live.record(ScheduleStarted()).result()
    clock.forward(6 * 3600)
    if left_kg is not None:
        live.record(FuelLevel(left_kg, 0.2)).result()
    live.record(CookClosed()).result()
    return cook_id


def only(stock: tuple[LotStock, ...]) -> LotStock:
    (found,) = stock
    return found


def test_a_lot_that_nobody_burned_is_all_there(program: Program) -> None:
    stores = Stores(program)
    stores.keep(Lot(0, "oak", bag_kg=9.0, bags_bought=2.0)).result()
    stock = only(stores.stock())
    assert (stock.bought_kg, stock.left_kg, stock.cooks, stock.why) == (18.0, 18.0, 0, "")


def test_what_is_left_is_bought_less_what_the_cooks_burned(
    program: Program, clock: FixedClock
) -> None:
    stores = Stores(program)
    stores.keep(Lot(0, "oak", bag_kg=9.0, bags_bought=3.0)).result()
    burn(program, clock, "oak", 6.0, 2.0)
    burn(program, clock, "oak", 5.0, 1.5)
    stock = only(stores.stock())
    assert stock.cooks == 2
    assert stock.burned_kg == pytest.approx(7.5, abs=0.05)
    assert stock.left_kg == pytest.approx(27.0 - stock.burned_kg)
    # Each cook: the level at its beginning against the one at its end, 0.1 and 0.2 kg unsure,
    # less what the weighed bag adds in knowledge; two cooks add as squares.
    assert 0.2 <= stock.burned_sd_kg <= math.sqrt(2 * (0.1**2 + 0.2**2)) + 1e-9


def test_a_cook_that_does_not_tell_leaves_a_range(program: Program, clock: FixedClock) -> None:
    stores = Stores(program)
    stores.keep(Lot(0, "oak", bag_kg=9.0, bags_bought=3.0)).result()
    burn(program, clock, "oak", 6.0, 2.0)
    cook_id = program.new_cook("Trout", "UTC")
    program.live(cook_id).record(FuelAdded("oak", 4.0, 0.1)).result()
    stock = only(stores.stock())
    assert stock.left_kg is None
    assert stock.left_high_kg == pytest.approx(27.0 - stock.burned_kg)
    assert stock.left_low_kg == pytest.approx(27.0 - stock.burned_kg - 4.0)
    assert "1 of 2 cooks" in stock.why


def test_a_name_that_is_no_lot_is_shown_all_the_same(program: Program, clock: FixedClock) -> None:
    burn(program, clock, "borrowed", 6.0, 2.0)
    stock = only(Stores(program).stock())
    assert stock.lot.id == 0
    assert stock.lot.name == "borrowed"
    assert stock.left_kg is None
    assert "not in the stores" in stock.why
    assert stock.burned_kg == pytest.approx(4.0, abs=0.05)


def test_what_changes_in_a_cook_changes_the_sum(program: Program, clock: FixedClock) -> None:
    stores = Stores(program)
    stores.keep(Lot(0, "oak", bag_kg=9.0, bags_bought=3.0)).result()
    cook_id = burn(program, clock, "oak", 6.0, 2.0)
    before = only(stores.stock()).burned_kg
    live = program.live(cook_id)
    level = next(e for e in reversed(live.log().entries) if isinstance(e.what, FuelLevel))
    live.strike(level.id).result()
    live.record(FuelLevel(3.0, 0.2), at_s=level.at_s).result()
    assert only(stores.stock()).burned_kg == pytest.approx(before - 1.0, abs=0.05)


def test_cooks_are_folded_once(program: Program, clock: FixedClock, monkeypatch) -> None:
    for _ in range(3):
        burn(program, clock, "oak", 6.0, 2.0)
    stores = Stores(program)
    stores.stock()
    read: list[int] = []
    entries = program.journal.entries
    monkeypatch.setattr(
        program.journal, "entries", lambda cook_id: (read.append(cook_id), entries(cook_id))[1]
    )
    stores.stock()
    assert read == []
    newest = burn(program, clock, "oak", 1.0, 0.5)
    stores.stock()
    assert read == [newest]


def test_one_more_bag_is_counted(program: Program) -> None:
    stores = Stores(program)
    lot = stores.keep(Lot(0, "oak", bag_kg=9.0, bags_bought=1.0)).result()
    stores.buy(lot).result()
    assert only(stores.stock()).bought_kg == 18.0


def test_a_lot_that_cannot_be_is_refused_at_once(program: Program) -> None:
    with pytest.raises(SchemaProblem):
        Stores(program).keep(Lot(0, "  "))


def test_more_burned_than_bought_is_said_not_hidden() -> None:
    stock = stock_of(OAK, [Use(30.0, 0.5, 31.0)])
    assert stock.left_kg == pytest.approx(-3.0)
    assert "more burned than was bought" in stock.why


def test_without_the_mass_of_a_bag_nothing_is_made_up() -> None:
    stock = stock_of(Lot(2, "gift", bags_bought=1.0), [Use(3.0, 0.5, 4.0)])
    assert stock.left_kg is None
    assert stock.left_low_kg is None
    assert stock.why == "the mass of a bag is not known"


def test_a_lot_runs_low_below_what_one_usual_cook_burns(
    program: Program, clock: FixedClock
) -> None:
    stores = Stores(program)
    stores.keep(Lot(0, "oak", bag_kg=6.0, bags_bought=1.0)).result()
    stores.keep(Lot(0, "plum", bag_kg=6.0, bags_bought=1.0, low_below_kg=7.0)).result()
    stores.keep(Lot(0, "gone", bag_kg=6.0, bags_bought=0.0, retired=True)).result()
    burn(program, clock, "oak", 6.0, 2.0)
    holding = stores.holding()
    assert holding.usual_kg == pytest.approx(4.0, abs=0.05)
    lines = {line.name: line for line in stores.stock_lines()}
    # Of oak 2 kg are left, and a cook takes 4; of plum 6, and the person wants 7.
    assert lines["oak"].low
    assert lines["plum"].low
    assert "gone" not in lines
    oak = lines["oak"]
    assert oak.left_low is not None
    assert oak.left_mid is not None
    assert oak.left_high is not None
    assert oak.left_low < oak.left_mid < oak.left_high
    assert oak.sort == "pellets"


def test_wares_follow_the_logs_and_strikes(program: Program) -> None:
    stores = Stores(program)
    stores.keep_ware(Ware(0, "rub", "red", bought_kg=0.5)).result()
    cook_id = program.new_cook("Ribs", "UTC")
    entry = program.live(cook_id).record(StoreUsed("rub", "red", 0.2)).result()
    program.live(cook_id).record(StoreUsed("rub", "lent", 0.1)).result()
    red, lent = stores.holding().wares
    assert red.line.left_mid == pytest.approx(0.3)
    assert [(use.cook.id, use.mass_kg) for use in red.used_by] == [(cook_id, 0.2)]
    assert lent.ware.id == 0
    program.live(cook_id).strike(entry.id).result()
    assert stores.holding().wares[0].line.left_mid == 0.5
