"""Compare as a person meets it: choose cooks on Journal, open, change what is zero, read the table."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QComboBox, QLabel, QLineEdit, QPushButton, QTableWidget
from pytestqt.qtbot import QtBot

from smokejournal.desk.comparing.overlay import Overlay
from smokejournal.desk.comparing.window import CompareWindow
from smokejournal.desk.journal.model import TITLE
from smokejournal.desk.journal.page import JournalPage
from smokejournal.journal import Journal, JournalProblem
from smokejournal.services.comparing.all_cooks import FactsWalk
from smokejournal.services.demo.build import make_demo
from smokejournal.services.program.program import Program
from tests.support.contexts import desk_context
from tests.support.fakes import FixedClock


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("demo") / "journal"
    make_demo(folder, FixedClock().now_s())
    return folder


@pytest.fixture
def page(qtbot: QtBot, demo: Path) -> Iterator[JournalPage]:
    with Journal.open(demo) as journal:
        program = Program(journal, FixedClock())
        with desk_context(program) as context:
            page = JournalPage(context)
            qtbot.addWidget(page)
            page.resize(1100, 700)
            page.show()
            yield page
            page.close()
        program.close()


def click(qtbot: QtBot, page: JournalPage, title: str, control: bool = False) -> None:
    model = page.table.model()
    row = next(
        n for n in range(model.rowCount()) if model.data(model.index(n, TITLE)) == title
    )  # fmt: skip
    rect = page.table.visualRect(model.index(row, TITLE))
    key = Qt.KeyboardModifier.ControlModifier if control else Qt.KeyboardModifier.NoModifier
    qtbot.mouseClick(page.table.viewport(), Qt.MouseButton.LeftButton, key, rect.center())


def compare(qtbot: QtBot, page: JournalPage) -> CompareWindow:
    button = page.findChild(QPushButton, "journalCompare")
    assert button is not None
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    window = page.findChild(CompareWindow)
    assert window is not None
    qtbot.waitUntil(
        lambda: window.reading_every.settled and window.reading_chosen.settled, timeout=30_000
    )
    return window


def text(window: CompareWindow, name: str) -> str:
    label = window.findChild(QLabel, name)
    assert label is not None
    return label.text() if label.isVisible() else ""


def rows(window: CompareWindow) -> dict[str, list[str]]:
    table = window.findChild(QTableWidget, "compareTable")
    assert table is not None
    found = {}
    for n in range(table.rowCount()):
        cells = [table.item(n, place) for place in range(table.columnCount())]
        what, *others = ["" if cell is None else cell.text() for cell in cells]
        found[what] = others
    return found


def choose(qtbot: QtBot, window: CompareWindow, words: str) -> None:
    """Pick from the list by its first letters, as a keyboard does."""
    box = window.findChild(QComboBox, "compareAlignment")
    assert box is not None
    place = box.findText(words)
    assert place >= 0, [box.itemText(n) for n in range(box.count())]
    box.setFocus()
    qtbot.keyClick(box, Qt.Key.Key_Home)
    for _ in range(place):
        qtbot.keyClick(box, Qt.Key.Key_Down)
    assert box.currentText() == words


def zeros(window: CompareWindow) -> dict[str, float]:
    """Where the lead of each cook that is shown begins [s from zero]."""
    picture = window.findChild(Overlay, "compareOverlay")
    assert picture is not None
    return {c.label: float(c.lead.at_s[0]) for c in picture.cooks if c.lead is not None}


def test_two_cooks_are_laid_over_one_another(qtbot: QtBot, page: JournalPage) -> None:
    click(qtbot, page, "Coarse sausages")
    click(qtbot, page, "Brisket flat", control=True)
    open_ = page.findChild(QPushButton, "journalOpen")
    assert open_ is not None
    assert not open_.isEnabled()
    window = compare(qtbot, page)
    table = rows(window)
    assert table["Time cooking"][1:] == ["52 min", "5 h 30 min"]
    assert "× the usual" in table["Time cooking"][0]
    assert table["Time in the wrap"][1] == "no such stage"
    assert table["Time in the wrap"][0] == "known of one only"
    assert "0" not in {cell for cells in table.values() for cell in cells}
    assert text(window, "compareNotes").startswith("Simulated cooks only")
    assert zeros(window) == pytest.approx({"Coarse sausages": 0.0, "Brisket flat": 0.0}, abs=60.0)

    choose(qtbot, window, "As cooking on the pit began")
    begun = zeros(window)
    assert all(-3600.0 < zero < -600.0 for zero in begun.values())
    assert rows(window) == table

    choose(qtbot, window, "The lead probe first at")
    field = window.findChild(QLineEdit, "compareTemperature")
    assert field is not None
    assert field.isVisible()
    field.selectAll()
    qtbot.keyClicks(field, "85")
    assert [*zeros(window)] == ["Brisket flat"]
    assert text(window, "compareLeftOut") == (
        "Coarse sausages is left out: its lead probe never got to 85 °C."
    )
    qtbot.keyClicks(field, "x")
    assert zeros(window) == {}
    window.close()


def test_all_cooks_in_sentences(qtbot: QtBot, page: JournalPage) -> None:
    click(qtbot, page, "Brisket flat")
    window = compare(qtbot, page)
    # One cook is nothing to compare: what all of them say comes first.
    assert window.tabs.currentIndex() == 1
    assert text(window, "acrossAbove") == "0 finished cooks; simulated ones are left out."
    qtbot.mouseClick(window.every.simulated, Qt.MouseButton.LeftButton, pos=QPoint(8, 12))
    assert text(window, "acrossAbove").startswith("10 finished simulated cooks.")

    def tells(begin: str) -> bool:
        labels = window.findChildren(QLabel, "acrossLine")
        return any(each.isVisible() and each.text().startswith(begin) for each in labels)

    for begin in (
        "Each kilogram more took ",
        "Too few cooks to tell: 3 know",
        "Best: Pork shoulder for twelve",
    ):
        qtbot.waitUntil(lambda begin=begin: tells(begin))
    qtbot.mouseClick(window.tabs, Qt.MouseButton.LeftButton, pos=window.tabs.tabRect(0).center())
    assert text(window, "compareSaid").startswith("Close this, choose two to six cooks")
    window.close()


def test_several_stay_chosen_when_the_list_is_read_again(qtbot: QtBot, page: JournalPage) -> None:
    click(qtbot, page, "Coarse sausages")
    click(qtbot, page, "Brisket flat", control=True)
    page.refresh()
    assert len(page.table.selectionModel().selectedRows()) == 2


def test_what_can_not_be_read_is_said_in_both_parts(
    qtbot: QtBot, page: JournalPage, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(_: FactsWalk) -> None:
        raise JournalProblem("The journal can't be read.", "Look at the disk.")

    monkeypatch.setattr(FactsWalk, "run", broken)
    click(qtbot, page, "Coarse sausages")
    click(qtbot, page, "Turkey crown for six", control=True)
    window = compare(qtbot, page)
    told = "The journal can't be read. Look at the disk."
    qtbot.waitUntil(lambda: text(window, "compareNotes") == told)
    assert {cells[0] for cells in rows(window).values()} == {"…"}
    # The other one is still a plan: it is in the table, and says why it isn't in the picture.
    assert text(window, "compareLeftOut") == (
        "Turkey crown for six is left out: it was never started."
    )
    assert [*zeros(window)] == ["Coarse sausages"]
    window.tabs.setCurrentIndex(1)
    assert text(window, "acrossAbove") == told
    window.close()
