"""The user guide: what it says is what the program shows, and it reads the same everywhere."""

from __future__ import annotations

import ast
import re
from functools import cache
from pathlib import Path

import pytest
from markdown_it import MarkdownIt
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QPushButton
from pytestqt.qtbot import QtBot

from smokejournal.__main__ import main
from smokejournal.cli.say import EXIT_WRONG
from smokejournal.cook.safety.cautions import SAFE_MINIMUM, keep_cold, keep_hot
from smokejournal.desk.help.guide_window import GuideWindow
from smokejournal.desk.help.keys_dialog import KeysDialog
from smokejournal.desk.outgoing import share
from smokejournal.desk.shell.window import PAGES, Window
from smokejournal.desk.tend.entry_bar import QUICK
from smokejournal.journal.copies import DAYS_KEPT
from smokejournal.science.numbers.units import f_from_c
from smokejournal.services.forecast.finish import EVERY_S
from smokejournal.services.program import backup_keeper
from smokejournal.services.program.guide import PAGE_FOR, GuidePage, guide_pages, html_of

HOUSE = Path(__file__).parents[3] / "smokejournal"
PAGES_OF_GUIDE = guide_pages()


def page(name: str) -> str:
    return next(each.text for each in PAGES_OF_GUIDE if each.name == name)


@cache
def shown_texts() -> frozenset[str]:
    """Every text that goes through `tr` or `translate`, without mnemonics and the keys behind it."""
    texts = set()
    for path in HOUSE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.Call):
                continue
            called = getattr(node.func, "attr", None) or getattr(node.func, "id", None)
            if called in ("tr", "translate") and node.args:
                last = node.args[-1]
                if isinstance(last, ast.Constant) and isinstance(last.value, str):
                    texts.add(re.sub(r"  \w+$", "", last.value.replace("&", "")))
    return frozenset(texts)


@pytest.mark.parametrize("each", PAGES_OF_GUIDE, ids=lambda each: each.name)
def test_every_bold_label_is_a_text_that_the_program_shows(each: GuidePage) -> None:
    labels = re.findall(r"\*\*(.+?)\*\*", each.text)
    assert labels
    assert [label for label in labels if label not in shown_texts()] == []


@pytest.mark.parametrize("each", PAGES_OF_GUIDE, ids=lambda each: each.name)
def test_the_web_page_reads_as_markdown_has_it(each: GuidePage) -> None:
    theirs = MarkdownIt().render(each.text)
    assert html_of(each.text) == theirs


def test_figures_and_keys_are_the_program_s() -> None:
    first = page("first-cook")
    for food, words in (
        ("poultry", "poultry {f} °F ({c} °C)"),
        ("ground", "lamb {f} °F ({c} °C)"),
        ("red_meat", "whole cuts of those {f} °F ({c} °C) and then {rest} minutes of rest"),
        ("fish", "fish {f} °F ({c} °C)"),
    ):
        least = SAFE_MINIMUM[food]  # type: ignore[index]
        said = words.format(
            f=round(f_from_c(least.temperature_c)),
            c=round(least.temperature_c),
            rest=round(least.rest_s / 60),
        )
        assert said in first
    keys = dict(QUICK)
    for asks, words in (
        ("lid", "when you open the lid"),
        ("reading", "for a reading"),
        ("wrap", "when you wrap"),
        ("note", "for a note"),
    ):
        assert f"`{keys[asks]}` {words}" in first
    kept = page("what-is-kept-where")
    assert f"every {backup_keeper.EVERY_S / 3600:.0f} hours" in kept
    assert f"for {DAYS_KEPT} days" in kept
    assert EVERY_S == 60.0
    assert "Once a minute" in page("forecast")
    assert "140 °F (60.0 °C)" in keep_hot().text or "60.0 °C (140 °F)" in keep_hot().text
    assert "140 °F (60 °C) or above" in page("forecast")
    assert "(40 °F)" in keep_cold().text
    assert "40 °F (4 °C) or below" in page("brine")
    sizes = Path(share.__file__).read_text(encoding="utf-8")
    for size in ("1200 x 675", "1080 x 1080"):
        assert size in sizes
        assert size in page("printing-and-sharing")


def test_each_page_leads_to_its_page_of_the_guide(window: Window, qtbot: QtBot) -> None:
    titles = {each.name: each.title for each in PAGES_OF_GUIDE}
    button = window.findChild(QPushButton, "guide")
    for name in PAGES:
        window.show_page(name)
        qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
        guides = window.findChildren(GuideWindow)
        assert len(guides) == 1
        title = titles[PAGE_FOR[name]]
        assert guides[0].list.currentItem().text() == title
        assert guides[0].text.toPlainText().startswith(title)
        assert not guides[0].text.openExternalLinks()
    guides[0].list.setCurrentRow(2)
    assert guides[0].text.toPlainText().startswith("Calibrating a probe")
    assert "**" not in guides[0].text.toPlainText()
    qtbot.keyClick(guides[0], Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: not window.findChildren(GuideWindow))


def test_the_keys_lead_to_the_guide(window: Window, qtbot: QtBot) -> None:
    window.show_page("bench")
    qtbot.keyClick(window, Qt.Key.Key_F1)
    qtbot.waitUntil(lambda: window.findChild(KeysDialog) is not None)
    link = window.findChild(QPushButton, "keysGuide")
    qtbot.mouseClick(link, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: window.findChild(GuideWindow) is not None)
    guide = window.findChild(GuideWindow)
    assert guide.text.toPlainText().startswith("A probe on a cable")
    qtbot.waitUntil(lambda: window.findChild(KeysDialog) is None)
    guide.close()


def test_the_command_line_writes_it_as_one_page(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "guide.html"
    assert main(["--guide", str(path)]) == 0
    assert str(path) in capsys.readouterr().out
    text = path.read_text(encoding="utf-8")
    for each in PAGES_OF_GUIDE:
        assert f'href="#{each.name}"' in text
        assert f"<h1>{each.title}</h1>" in text
    assert not re.search(r'(src|href)="(?!#)', text)
    # What is there stays.
    path.write_text("mine", encoding="utf-8")
    assert main(["--guide", str(path)]) == EXIT_WRONG
    assert "Choose another file" in capsys.readouterr().err
    assert path.read_text(encoding="utf-8") == "mine"
    with pytest.raises(SystemExit):
        main(["--guide", str(path), "cooks"])
