"""About: versions, licenses, and where things lie."""

from __future__ import annotations

import logging
import re
import tomllib
from importlib.metadata import metadata
from pathlib import Path

import pytest
from PySide6.QtCore import Qt, QUrl
from PySide6.QtGui import QDesktopServices, QGuiApplication
from PySide6.QtWidgets import QLabel, QLineEdit, QPushButton
from pytestqt.qtbot import QtBot

from smokejournal import __version__
from smokejournal.desk.help import about_dialog
from smokejournal.desk.help.about_dialog import AboutDialog
from smokejournal.desk.shell.window import Window
from smokejournal.host.about import BUILT_FROM, FACES, Part, parts, program_license

CLONE = Path(__file__).parents[3]


def open_about(window: Window, qtbot: QtBot) -> AboutDialog:
    qtbot.mouseClick(window.findChild(QPushButton, "about"), Qt.MouseButton.LeftButton)
    dialog = window.findChild(AboutDialog)
    assert dialog.isVisible()
    return dialog


def press(dialog: AboutDialog, qtbot: QtBot, name: str) -> None:
    qtbot.mouseClick(dialog.findChild(QPushButton, name), Qt.MouseButton.LeftButton)


def texts(dialog: AboutDialog) -> list[str]:
    return [label.text() for label in dialog.findChildren(QLabel)]


def test_what_the_project_asks_for_is_named() -> None:
    project = tomllib.loads((CLONE / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    asked = {re.split(r"[<>=;]", line)[0].strip() for line in project["dependencies"]}
    assert asked == set(BUILT_FROM) - {"shiboken6"}
    assert program_license() == project.get("license", "")


def test_every_part_shows_its_version_and_license(window: Window, qtbot: QtBot) -> None:
    dialog = open_about(window, qtbot)
    shown = texts(dialog)
    assert f"smokejournal {__version__}" in shown
    assert len(parts()) > 10
    for part in parts():
        face = dict(FACES).get(part.name)
        assert part.version == (face or metadata(part.name)["Version"])
        at = shown.index(part.name)
        assert shown[at + 1 : at + 3] == [part.version, part.license]
        assert part.license
    dialog.accept()


def test_a_package_that_names_no_license_and_a_program_with_one(
    window: Window, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(about_dialog, "parts", lambda: (Part("odd", "1", ""),))
    dialog = open_about(window, qtbot)
    assert "not named by the package" in texts(dialog)
    assert dialog.findChild(QLabel, "aboutLicense").text().startswith("No license is named")
    dialog.accept()
    qtbot.waitUntil(lambda: window.findChild(AboutDialog) is None)
    monkeypatch.setattr(about_dialog, "program_license", lambda: "MIT")
    dialog = open_about(window, qtbot)
    assert dialog.findChild(QLabel, "aboutLicense").text() == "License: MIT"
    dialog.accept()


def test_it_names_the_folders_and_opens_them(
    window: Window, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    opened: list[QUrl] = []
    answers = [True, False]

    def open_url(url: QUrl) -> bool:
        opened.append(url)
        return answers.pop(0)

    monkeypatch.setattr(QDesktopServices, "openUrl", open_url)
    handler = logging.FileHandler(tmp_path / "smokejournal.log")
    logging.getLogger("smokejournal").addHandler(handler)
    try:
        dialog = open_about(window, qtbot)
    finally:
        logging.getLogger("smokejournal").removeHandler(handler)
        handler.close()
    folder = window.context.program.journal.folder
    assert dialog.findChild(QLineEdit, "aboutJournal").text() == str(folder)
    assert dialog.findChild(QLineEdit, "aboutLog").text() == str(tmp_path / "smokejournal.log")
    refused = dialog.findChild(QLabel, "aboutRefused")
    press(dialog, qtbot, "aboutOpenJournal")
    assert not refused.isVisible()
    press(dialog, qtbot, "aboutOpenLog")
    assert [Path(url.toLocalFile()) for url in opened] == [folder, tmp_path]
    assert refused.isVisible()
    assert refused.text().endswith(str(tmp_path))
    dialog.accept()


def test_the_report_has_the_versions_and_no_folder(window: Window, qtbot: QtBot) -> None:
    dialog = open_about(window, qtbot)
    press(dialog, qtbot, "aboutCopy")
    copied = QGuiApplication.clipboard().text()
    assert copied.startswith(f"smokejournal {__version__}, Python ")
    for part in parts():
        assert f"{part.name} {part.version}" in copied
    assert str(window.context.program.journal.folder) not in copied
    # No file is logged to here.
    assert dialog.findChild(QLineEdit, "aboutLog").text() == "none is written"
    assert not dialog.findChild(QPushButton, "aboutOpenLog").isEnabled()
    dialog.accept()
