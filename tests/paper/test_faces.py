"""The faces of the sheet: they come with the program, with their license, and hold its signs."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

import pytest
from PySide6.QtGui import QFont, QFontInfo, QGuiApplication, QImage, QRawFont

from smokejournal.host.about import FACES
from smokejournal.paper.faces import SANS, SERIF, load_faces
from smokejournal.paper.typeset import Typeset

FOLDER = Path(str(files("smokejournal.paper"))) / "typefaces"
#: What sheets are written with beside plain letters.
SIGNS = "äéñ°±–−×·…“”’½¼¾²³•≥≤"


@pytest.mark.parametrize("family", [SANS, SERIF])
def test_qt_takes_them_for_what_they_are(qapp: QGuiApplication, family: str) -> None:
    load_faces()
    assert QFontInfo(QFont(family)).family() == family


def test_the_sheet_is_set_in_them(qapp: QGuiApplication) -> None:
    type_ = Typeset(QImage(100, 100, QImage.Format.Format_RGB32), color=True)
    assert QFontInfo(type_.font("text")).family() == SANS
    assert QFontInfo(type_.font("strong")).bold()
    assert QFontInfo(type_.font("title")).family() == SERIF
    assert QFontInfo(type_.font("label")).italic()
    ones, eights = type_.width("1111", "text"), type_.width("8888", "text")
    assert ones == pytest.approx(eights, abs=0.01)


@pytest.mark.parametrize("name", sorted(p.name for p in FOLDER.glob("*.ttf")))
def test_no_sign_of_the_sheet_is_missing(qapp: QGuiApplication, name: str) -> None:
    face = QRawFont(str(FOLDER / name), 12)
    assert [sign for sign in SIGNS if not face.supportsCharacter(ord(sign))] == []


def test_their_licenses_come_along() -> None:
    for family, _ in FACES:
        text = (FOLDER / f"{family.replace(' ', '')}-LICENSE.txt").read_text()
        assert "SIL Open Font License, Version 1.1" in text
