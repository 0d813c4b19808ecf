"""A journal that is opened for reading only: everything is shown and nothing offers to write."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtWidgets import QPushButton, QWidget
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.entries import ChannelSet, NextTime
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.stores.lots import Lot
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.bench.page import BenchPage
from smokejournal.desk.journal.page import JournalPage
from smokejournal.desk.stores.page import StoresPage
from smokejournal.desk.taste.page import TastePage
from smokejournal.journal import Journal
from smokejournal.services.program.program import Program
from tests.support.contexts import desk_context
from tests.support.fakes import FixedClock


@pytest.fixture
def read_only(qtbot: QtBot, tmp_path: Path) -> Iterator[DeskContext]:
    """A journal with one cook and one lot, opened a second time for reading."""
    clock = FixedClock()
    writing = Journal.open(tmp_path / "journal")
    program = Program(writing, clock)
    cook_id = program.new_cook("Ribs", "UTC")
    program.live(cook_id).record(ChannelSet(Channel("meat1", "Thick end"))).result()
    program.live(cook_id).record(NextTime("Wrap later")).result()
    writing.stores.save_lot(Lot(0, "oak", bag_kg=9.0, bags_bought=1.0)).result()
    program.close()
    writing.close()
    journal = Journal.open(tmp_path / "journal", read_only=True)
    reader = Program(journal, clock)
    with desk_context(reader) as desk:
        desk.choose(cook_id)
        yield desk
    reader.close()
    journal.close()


def enabled(page: QWidget, name: str) -> bool:
    found = page.findChild(QPushButton, name)
    assert found is not None
    return found.isEnabled()


def test_the_journal_page_opens_but_begins_nothing(qtbot: QtBot, read_only: DeskContext) -> None:
    page = JournalPage(read_only)
    qtbot.addWidget(page)
    page.show()
    assert page.table.model().rowCount() == 1
    assert enabled(page, "journalOpen")
    assert not enabled(page, "journalNew")
    assert not enabled(page, "journalAgain")


def test_the_stores_page_shows_but_keeps_nothing(qtbot: QtBot, read_only: DeskContext) -> None:
    page = StoresPage(read_only)
    qtbot.addWidget(page)
    page.show()
    qtbot.waitUntil(lambda: page.pellets.table.model().rowCount() == 1)
    page.pellets.table.selectRow(0)
    assert page.pellets.form.name.text() == "oak"
    for name in ("storesNew", "storesMore", "lotKeep"):
        assert not enabled(page, name)


def test_the_taste_page_prints_but_keeps_nothing(qtbot: QtBot, read_only: DeskContext) -> None:
    page = TastePage(read_only)
    qtbot.addWidget(page)
    page.show()
    qtbot.waitUntil(lambda: "Wrap later" in page.sheet.toPlainText())
    qtbot.keyClicks(page.notes.text, "typed")
    page.kept.list.setCurrentRow(0)
    for name in ("tasteKeep", "tasteStrike", "tasteAddPhotos"):
        assert not enabled(page, name)
    assert enabled(page, "tastePdf")


def test_the_bench_page_looks_but_uses_nothing(qtbot: QtBot, read_only: DeskContext) -> None:
    page = BenchPage(read_only)
    qtbot.addWidget(page)
    page.show()
    assert enabled(page, "inputListen")
    assert not enabled(page, "inputUse")
    page._show_side(1)
    assert page.probes.table.rowCount() == 1
    assert not enabled(page, "probeKeep")
