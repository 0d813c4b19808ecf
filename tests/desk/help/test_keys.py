"""Keys and legend: every key that a page hears is in its list, and every mark of the score in the legend."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path
from typing import get_args

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QImage, QKeySequence, QShortcut
from PySide6.QtWidgets import QAbstractButton, QLabel, QLineEdit, QWidget
from pytestqt.qtbot import QtBot

from smokejournal.cook.score.score import Symbol
from smokejournal.desk.base.theme import GROUNDS
from smokejournal.desk.help.keys import keys_of
from smokejournal.desk.help.keys_dialog import KeysDialog
from smokejournal.desk.help.legend import Legend, Sample
from smokejournal.desk.shell.window import PAGES, Window

DESK = Path(__file__).parents[3] / "smokejournal" / "desk"
#: Classes that read keys which the list of a page need not tell, with the reason.
SAY_NOTHING = {
    "_LineEdit": "Tab goes on, as in every field",
    "_Mark": "leaves its keys to its row",
    "ChoiceRow": "its keys are written on its buttons",
}


def open_keys(window: Window, qtbot: QtBot) -> KeysDialog:
    qtbot.keyClick(window, Qt.Key.Key_F1)
    qtbot.waitUntil(lambda: window.findChild(KeysDialog) is not None)
    dialog = window.findChild(KeysDialog)
    qtbot.waitUntil(dialog.isActiveWindow)
    return dialog


def close_keys(window: Window, qtbot: QtBot, key: Qt.Key = Qt.Key.Key_Escape) -> None:
    qtbot.keyClick(window.findChild(KeysDialog), key)
    qtbot.waitUntil(lambda: window.findChild(KeysDialog) is None)
    window.activateWindow()  # which a desktop does, and the screenless platform doesn't
    qtbot.waitUntil(window.isActiveWindow)


def told(dialog: KeysDialog) -> dict[str, str]:
    """What is shown: words by key, one entry for each key of a line."""
    keys = [label.text() for label in dialog.findChildren(QLabel, "keysKey")]
    words = [label.text() for label in dialog.findChildren(QLabel, "keysWords")]
    assert all(words)
    return {key: said for line, said in zip(keys, words, strict=True) for key in line.split(", ")}


@pytest.mark.parametrize("name", PAGES)
def test_every_shortcut_of_a_page_is_in_its_list(window: Window, qtbot: QtBot, name: str) -> None:
    window.show_page(name)
    page = window.page(name)
    heard = [s for s in page.findChildren(QShortcut) if s.parent().window() is window]
    alone = Qt.FindChildOption.FindDirectChildrenOnly
    heard += window.findChildren(QShortcut, options=alone)
    assert [s.key().toString() for s in heard if not s.whatsThis()] == []
    wanted = {s.key().toString() for s in heard} | {"F1", "F11", "?", "Ctrl+1", "Ctrl+,"}
    for button in page.findChildren(QAbstractButton):
        key = button.shortcut()
        if not key.isEmpty() and key != QKeySequence.mnemonic(button.text()):
            wanted.add(key.toString())
    dialog = open_keys(window, qtbot)
    assert wanted <= set(told(dialog))
    assert dialog.windowModality() is Qt.WindowModality.WindowModal
    close_keys(window, qtbot)


def test_a_key_without_words_is_found(window: Window) -> None:
    page = window.page("bench")
    QShortcut(QKeySequence("J"), page)
    assert [line.keys for line in keys_of(page) if not line.words] == ["J"]


def test_every_class_of_the_desk_that_reads_keys_says_them() -> None:
    silent = []
    for path in DESK.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ClassDef):
                has = {part.name for part in node.body if isinstance(part, ast.FunctionDef)}
                if "keyPressEvent" in has and "key_words" not in has:
                    silent.append(node.name)
    assert sorted(silent) == sorted(SAY_NOTHING)


def test_the_quick_keys_and_the_score_are_told_on_tend(window: Window, qtbot: QtBot) -> None:
    window.show_page("tend")
    dialog = open_keys(window, qtbot)
    said = told(dialog)
    assert said["L"] == "Lid opened or closed"
    assert said["Space"] == "Go on to the next stage"
    assert said["Home"] == "Show the whole cook"
    assert dialog.findChild(Legend) is not None
    close_keys(window, qtbot, Qt.Key.Key_F1)
    window.show_page("bench")
    assert open_keys(window, qtbot).findChild(Legend) is None
    close_keys(window, qtbot)


def test_a_question_mark_opens_them_but_not_while_text_is_typed(
    window: Window, qtbot: QtBot
) -> None:
    search = next(e for e in window.page("journal").findChildren(QLineEdit) if e.isVisible())
    search.setFocus()
    qtbot.waitUntil(search.hasFocus)
    qtbot.keyClicks(search, "?")
    assert search.text() == "?"
    assert window.findChild(KeysDialog) is None
    window.show_page("bench")
    window.centralWidget().setFocus()
    qtbot.waitUntil(lambda: not search.hasFocus())
    qtbot.keyClick(window, Qt.Key.Key_Question)
    qtbot.waitUntil(lambda: window.findChild(KeysDialog) is not None)
    close_keys(window, qtbot)


def test_f11_fills_the_screen_and_gives_it_back(window: Window, qtbot: QtBot) -> None:
    qtbot.keyClick(window, Qt.Key.Key_F11)
    qtbot.waitUntil(window.isFullScreen)
    qtbot.keyClick(window, Qt.Key.Key_F11)
    qtbot.waitUntil(lambda: not window.isFullScreen())


def test_nothing_of_the_list_is_cut_off_at_the_side(window: Window, qtbot: QtBot) -> None:
    window.resize(1024, 600)
    window.show_page("tend")
    dialog = open_keys(window, qtbot)
    assert dialog.width() <= window.width()
    assert dialog.height() <= window.height()
    for label in dialog.findChildren(QLabel):
        assert label.width() >= label.minimumSizeHint().width(), label.text()
    close_keys(window, qtbot)


@pytest.mark.parametrize("name", GROUNDS)
def test_the_legend_paints_every_shape_on_the_ground(qtbot: QtBot, name: str) -> None:
    ground = GROUNDS[name]
    home = QWidget()
    qtbot.addWidget(home)
    home.setStyleSheet(f"background: {ground.paper}")
    legend = Legend(ground, home)
    legend.resize(420, 900)
    samples = legend.findChildren(Sample)
    words = [label.text() for label in legend.findChildren(QLabel)]
    assert len(samples) == len(words) == len(set(words))
    pictures = []
    for sample, said in zip(samples, words, strict=True):
        image = sample.grab().toImage().convertToFormat(QImage.Format.Format_RGB32)
        strange = sum(
            image.pixelColor(x, y) != QColor(ground.paper)
            for x in range(image.width())
            for y in range(image.height())
        )
        assert strange > 8, said
        pictures.append(bytes(image.constBits()))
    # Each shape is one of its own.
    assert len(set(pictures)) == len(pictures)
    assert len(pictures) > len(get_args(Symbol))


def test_a_window_that_nobody_asked_for_help_has_loaded_none_of_it() -> None:
    code = (
        "import sys\n"
        "import smokejournal.app\n"
        "from smokejournal.desk.journal.page import JournalPage\n"
        "print(*[n for n in sys.modules if 'desk.help' in n or n == 'smokejournal.host.about'])\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=True
    )
    assert done.stdout.strip() == ""
