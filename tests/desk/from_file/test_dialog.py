from __future__ import annotations

from pathlib import Path
from typing import TypeVar

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QLabel,
    QLineEdit,
    QPushButton,
    QRadioButton,
    QTableWidget,
    QWidget,
)
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.entries import ChannelSet, Note
from smokejournal.cook.log.readings import Channel, Reading
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.from_file.dialog import FromFileDialog
from smokejournal.desk.journal.page import JournalPage
from tests.support.fakes import slow_disk

W = TypeVar("W", bound=QWidget)

#: 4 April 2026, 12:00 UTC: in Berlin it is two in the afternoon.
START_S = 1_775_304_000.0
ZONE = "Europe/Berlin"


class Asked:
    """The dialog, driven as a person drives it."""

    def __init__(self, qtbot: QtBot, context: DeskContext) -> None:
        self.qtbot = qtbot
        self.page = JournalPage(context)
        qtbot.addWidget(self.page)
        self.page.show()
        self.press("journalFile")
        (self.dialog,) = self.page.findChildren(FromFileDialog)
        qtbot.waitUntil(self.dialog.isVisible)

    def widget(self, kind: type[W], name: str) -> W:
        found = self.page.findChild(kind, name)
        assert found is not None, name
        return found

    def press(self, name: str) -> None:
        button = self.widget(QPushButton, name)
        self.qtbot.waitUntil(button.isEnabled)
        self.qtbot.mouseClick(button, Qt.MouseButton.LeftButton)

    def type(self, name: str, text: str) -> None:
        edit = self.widget(QLineEdit, name)
        edit.selectAll()
        self.qtbot.keyClicks(edit, text)
        self.qtbot.keyClick(edit, Qt.Key.Key_Return)

    def choose(self, name: str, words: str) -> None:
        box = self.widget(QComboBox, name)
        assert box.isVisibleTo(self.dialog), name
        box.setCurrentIndex(box.findText(words))
        assert box.currentText() == words

    def text(self, name: str) -> str:
        label = self.widget(QLabel, name)
        return label.text() if label.isVisibleTo(self.dialog) else ""

    def wait_for(self, name: str, words: str) -> None:
        self.qtbot.waitUntil(lambda: words in self.text(name))

    def rows(self, name: str) -> list[list[str]]:
        table = self.widget(QTableWidget, name)
        cells = [
            [table.item(row, column) for column in range(table.columnCount())]
            for row in range(table.rowCount())
        ]
        return [[cell.text() for cell in row if cell is not None] for row in cells]


def a_log(folder: Path) -> Path:
    path = folder / "logger <b>7.csv"
    path.write_text(
        "Time;Pit;Meat left;Battery V\n"
        + "".join(f"04/04/2026 14:0{n};225,{n};41,{n};3,1\n" for n in range(6))
        + "05/04/2026 09:00;226,0;50,0;3,1\ngarbage <i>\n05/04/2026 09:01;OPEN;50,5;3,1\n",
        encoding="utf-8",
    )
    return path


@pytest.fixture
def asked(qtbot: QtBot, context: DeskContext) -> Asked:
    return Asked(qtbot, context)


def looked_into(asked: Asked, path: Path) -> None:
    asked.type("fromFilePath", str(path))
    asked.wait_for("fromFileQuestions", "day or the month first")
    assert not asked.widget(QPushButton, "fromFileNext").isEnabled()
    asked.choose("fromFileOrder", "day, month, year")
    asked.choose("fromFileUnit_0", "°F")
    zone = asked.widget(QComboBox, "fromFileZone").lineEdit()
    assert zone is not None
    # Typed key by key, the list that opens would take the keyboard, which no screen is there for.
    zone.setText(ZONE)
    asked.qtbot.keyClick(zone, Qt.Key.Key_Return)
    asked.wait_for("fromFileFound", "15 readings in 8 lines, from 4 Apr 2026, 14:00")


def test_a_file_becomes_a_cook_of_the_past(
    asked: Asked, context: DeskContext, tmp_path: Path
) -> None:
    looked_into(asked, a_log(tmp_path))
    assert asked.text("fromFileQuestions") == ""
    found = asked.text("fromFileFound")
    assert "1 of 9 lines can't be read:" in found
    assert "1 × not 4 columns wide; the first in line 9: garbage <i>" in found
    assert "column Pit: not a number; the first in line 10: OPEN" in found
    assert "Gaps without a row: 1, the longest of 18 h 55 min." in found
    rows = asked.rows("fromFileLines")
    assert rows[0] == ["2", "2026-04-04 14:00:00", "107.2 °C", "5.0 °C"]
    assert rows[-1] == ["10", "2026-04-05 09:01:00", "–", "10.3 °C"]
    only = asked.widget(QCheckBox, "fromFileOnly")
    only.click()
    assert asked.rows("fromFileLines") == [["9", "not 4 columns wide: garbage <i>"]]
    # Another unit is another cook: what is shown follows.
    only.click()
    asked.choose("fromFileUnit_1", "°C")
    asked.qtbot.waitUntil(lambda: asked.rows("fromFileLines")[0][3:] == ["41.0 °C"])
    asked.press("fromFileNext")
    asked.press("fromFileNext")
    assert asked.text("fromFileTitleProblem") == "This can't be empty."
    asked.qtbot.keyClicks(asked.widget(QLineEdit, "fromFileTitle"), "Shoulder, logged")
    assert asked.widget(QComboBox, "fromFileGoes_0").currentText() == "in the pit's air"
    name = asked.widget(QLineEdit, "fromFileName_1")
    name.selectAll()
    asked.qtbot.keyClicks(name, "Thick end")
    asked.press("fromFileNext")
    asked.wait_for(
        "fromFileEnd",
        "15 readings came into “Shoulder, logged”, 0 were there already, and 1 of 9 lines and 1 single "
        "numbers could not be read.",
    )
    with asked.qtbot.waitSignal(asked.page.open_asked) as opened:
        asked.press("fromFileNext")
    (line,) = context.program.cooks()
    assert opened.args == [line.id, "taste"]
    assert (line.title, line.state, line.zone) == ("Shoulder, logged", "finished", ZONE)
    assert (line.started_s, line.over_s) == (START_S, START_S + 19 * 3600 + 60)
    log = context.live(line.id).log()
    channels = [what.channel for _, what in log.of(ChannelSet)]
    assert [(c.key, c.name, c.role) for c in channels] == [
        ("pit1", "Pit", "pit"),
        ("meat1", "Thick end", "meat"),
    ]
    assert log.trace("meat1").value_c.tolist()[:2] == [41.0, 41.1]
    assert log.trace("pit1").value_c[0] == pytest.approx((225 - 32) / 1.8)
    (note,) = [what.text for _, what in log.of(Note)]
    assert "logger <b>7.csv" in note


def test_a_file_is_merged_into_a_cook_that_is_there(
    asked: Asked, context: DeskContext, tmp_path: Path
) -> None:
    cook_id = context.program.new_cook("Shoulder", ZONE)
    live = context.live(cook_id)
    live.record(ChannelSet(Channel("left", "Meat left"))).result()
    live.record_readings([Reading(START_S, "left", (41.0 - 32) / 1.8)]).result()
    looked_into(asked, a_log(tmp_path))
    asked.press("fromFileNext")
    asked.widget(QRadioButton, "fromFilePresent").click()
    asked.qtbot.waitUntil(lambda: asked.widget(QTableWidget, "fromFileChannels").rowCount() == 2)
    assert "Careful: the file begins on 4 Apr 2026" in asked.text("fromFileCookSaid")
    goes = asked.widget(QComboBox, "fromFileGoes_1")
    assert goes.currentText() == "the channel “Meat left”"
    asked.choose("fromFileGoes_0", "leave it out")
    asked.press("fromFileNext")
    asked.wait_for("fromFileEnd", "7 readings came into “Shoulder, ")
    assert ", 1 were there already, and" in asked.text("fromFileEnd")
    assert len(live.log().trace("left")) == 8
    asked.press("fromFileClose")
    asked.qtbot.waitUntil(lambda: not asked.page.findChildren(FromFileDialog))


def test_cancelled_while_it_is_written_nothing_is_left(
    asked: Asked, context: DeskContext, tmp_path: Path
) -> None:
    looked_into(asked, a_log(tmp_path))
    asked.press("fromFileNext")
    asked.qtbot.keyClicks(asked.widget(QLineEdit, "fromFileTitle"), "Shoulder")
    with slow_disk(context.program.journal):
        asked.press("fromFileNext")
        asked.press("fromFileClose")
        assert asked.text("fromFileEnd") == "What was written so far is taken back …"
    asked.wait_for("fromFileChoiceProblem", "Nothing of it is in the journal.")
    assert context.program.cooks() == []


def test_a_file_that_is_no_table_is_told_beside_it(asked: Asked, tmp_path: Path) -> None:
    path = tmp_path / "letter.txt"
    path.write_text("Dear neighbor,\n")
    asked.type("fromFilePath", str(path))
    asked.wait_for("fromFileProblem", "letter.txt holds no table of readings")
    assert not asked.widget(QPushButton, "fromFileNext").isEnabled()
    asked.type("fromFilePath", str(tmp_path / "none.csv"))
    asked.wait_for("fromFileProblem", "none.csv can't be read")


def test_what_a_file_leaves_open_is_asked_one_after_the_other(asked: Asked, tmp_path: Path) -> None:
    path = tmp_path / "night.csv"
    path.write_text("Clock,Pit °C\n23:59,100\n02:30,101\n03:30,102\n")
    asked.type("fromFilePath", str(path))
    asked.wait_for("fromFileQuestions", "Give the day on which it began.")
    asked.type("fromFileDay", "soon")
    asked.wait_for("fromFileDayProblem", "Type the day like 2026-03-21.")
    asked.type("fromFileDay", "2025-10-25")
    zone = asked.widget(QComboBox, "fromFileZone").lineEdit()
    assert zone is not None
    zone.setText("Nowhere")
    asked.qtbot.keyClick(zone, Qt.Key.Key_Return)
    asked.wait_for("fromFileZoneProblem", "Type a time zone")
    zone.setText(ZONE)
    asked.qtbot.keyClick(zone, Qt.Key.Key_Return)
    asked.wait_for("fromFileQuestions", "Some clock times occur twice")
    assert not asked.widget(QPushButton, "fromFileNext").isEnabled()
    asked.choose("fromFileFold", "are the second, after it was set back")
    asked.wait_for("fromFileFound", "3 readings in 3 lines")
    assert asked.text("fromFileQuestions") == ""
    assert asked.widget(QPushButton, "fromFileNext").isEnabled()
    # Cut another way it is no table; what was chosen stays.
    asked.choose("fromFileDelimiter", "bar |")
    asked.wait_for("fromFileProblem", "there are no times beside numbers")
    assert asked.widget(QComboBox, "fromFileDelimiter").currentText() == "comma ,"
