"""Salts, woods and rubs in the journal."""

from dataclasses import replace
from pathlib import Path

import pytest

from smokejournal.cook.stores.lots import Lot
from smokejournal.cook.stores.wares import Ware
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.journal import Journal

JAR = Ware(
    0, "salt", "jar", 2.0, None, 3.5, "EUR", 0.2, "dense", 228.0, note="dry place", retired=True
)
RUB = Ware(0, "rub", "red", recipe="2 paprika\n1 salt", salt_pct=33.0)
PLUM = Ware(0, "wood", "plum", bought_count=12.0, form="chunks")


def test_kept_changed_and_read_back(folder: Path) -> None:
    with Journal.open(folder) as journal:
        kept = [journal.stores.save_ware(ware).result(10) for ware in (JAR, RUB, PLUM)]
        changed = journal.stores.save_ware(replace(kept[1], bought_kg=0.4)).result(10)
    with Journal.open(folder) as journal:
        assert journal.stores.wares() == [kept[2], changed, kept[0]]
        assert journal.check() == ()
    assert kept[0] == replace(JAR, id=1)


def test_one_name_of_a_sort_only_once(journal: Journal) -> None:
    jar = journal.stores.save_ware(JAR).result(10)
    with pytest.raises(SchemaProblem, match="already"):
        journal.stores.save_ware(JAR).result(10)
    # The same name for another sort, and the same ware again, are no trouble.
    journal.stores.save_ware(replace(PLUM, name="jar")).result(10)
    journal.stores.save_ware(jar).result(10)
    with pytest.raises(SchemaProblem, match="not in the journal"):
        journal.stores.save_ware(replace(RUB, id=99)).result(10)


@pytest.mark.parametrize(
    ("ware", "where"),
    [
        (replace(JAR, name=" "), "name"),
        (replace(JAR, cup_g=20.0), "cup_g"),
        (replace(JAR, bought_kg=-1.0), "bought_kg"),
        (replace(JAR, price=float("nan")), "price"),
        (replace(JAR, low_below=-0.1), "low_below"),
        (replace(RUB, salt_pct=101.0), "salt_pct"),
        (replace(PLUM, bought_kg=1.0), "bought_count"),
    ],
)
def test_what_cannot_be_is_refused_at_once(journal: Journal, ware: Ware, where: str) -> None:
    with pytest.raises(SchemaProblem) as refused:
        journal.stores.save_ware(ware)
    assert refused.value.where == where
    assert journal.stores.wares() == []


@pytest.mark.parametrize(
    ("lot", "where"),
    [
        (Lot(0, "oak", moisture_pct=80.0), "moisture_pct"),
        (Lot(0, "oak", net_mj_kg=4.0), "net_mj_kg"),
        (Lot(0, "oak", low_below_kg=-1.0), "low_below_kg"),
    ],
)
def test_what_a_lot_cannot_be_is_refused(journal: Journal, lot: Lot, where: str) -> None:
    with pytest.raises(SchemaProblem) as refused:
        journal.stores.save_lot(lot)
    assert refused.value.where == where


def test_all_of_a_lot_comes_back(journal: Journal) -> None:
    lot = Lot(0, "oak", label="Grill", moisture_pct=8.0, net_mj_kg=17.0, low_below_kg=3.0)
    kept = journal.stores.save_lot(lot).result(10)
    assert journal.stores.lots() == [kept] == [replace(lot, id=1)]
