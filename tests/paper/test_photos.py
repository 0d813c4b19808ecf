"""Photos that are sent: the picture, and nothing that was written beside it."""

from __future__ import annotations

import struct
from pathlib import Path

import pytest
from PySide6.QtGui import QColor, QImage

from smokejournal.paper.photos import SENT_SIDE, sent_photo

pytestmark = pytest.mark.usefixtures("qapp")
KINDS = {".jpeg", ".jpg", ".png"}
PLACE = b"48.2082 N 16.3738 E"


def segments(jpeg: bytes) -> list[tuple[int, bytes]]:
    """The marker segments up to the picture's data (JPEG, ITU-T T.81, B.1.1.4)."""
    found, at = [], 2
    assert jpeg[:2] == b"\xff\xd8"
    while jpeg[at + 1] != 0xDA:
        marker, length = jpeg[at + 1], struct.unpack(">H", jpeg[at + 2 : at + 4])[0]
        found.append((marker, jpeg[at + 4 : at + 2 + length]))
        at += 2 + length
    return found


def with_place(path: Path, width: int, height: int, turn: int = 1) -> Path:
    """A JPEG with an Exif block (turn, description) and a comment that both name a place."""
    image = QImage(width, height, QImage.Format.Format_RGB32)
    image.fill(QColor("#803010"))
    assert image.save(str(path), "JPEG")  # type: ignore[call-overload]
    plain = path.read_bytes()
    # TIFF 6.0: two fields, the second's text behind them.
    fields = struct.pack("<HHHIIHHIII", 2, 0x0112, 3, 1, turn, 0x010E, 2, len(PLACE), 38, 0)
    exif = b"Exif\0\0II*\0\x08\0\0\0" + fields + PLACE
    blocks = b"".join(
        b"\xff" + bytes([marker]) + struct.pack(">H", len(data) + 2) + data
        for marker, data in ((0xE1, exif), (0xFE, b"taken at " + PLACE))
    )
    path.write_bytes(plain[:2] + blocks + plain[2:])
    return path


def test_nothing_but_the_picture_is_sent(tmp_path: Path) -> None:
    source = with_place(tmp_path / "bark.jpg", 2400, 1200, turn=6)
    assert PLACE in source.read_bytes()
    sent = sent_photo(source, KINDS)
    # JFIF, tables and the frame; no Exif, no comment, no profile.
    assert {marker for marker, _ in segments(sent)} <= {0xE0, 0xDB, 0xC0, 0xC2, 0xC4, 0xDD}
    assert PLACE not in sent
    assert b"Exif" not in sent
    image = QImage.fromData(sent)
    # Turned as the camera was held, and no larger than asked for.
    assert (image.width(), image.height()) == (SENT_SIDE // 2, SENT_SIDE)
    assert image.textKeys() == []


def test_a_text_in_a_png_goes_nowhere(tmp_path: Path) -> None:
    image = QImage(40, 30, QImage.Format.Format_ARGB32)
    image.fill(QColor(0, 0, 0, 0))
    image.setText("Description", PLACE.decode())
    assert image.save(str(tmp_path / "bark.png"))
    assert PLACE in (tmp_path / "bark.png").read_bytes()
    sent = sent_photo(tmp_path / "bark.png", KINDS)
    assert PLACE not in sent
    found = QImage.fromData(sent)
    assert (found.width(), found.height()) == (40, 30)
    assert found.pixelColor(20, 15).lightness() > 250


def test_what_is_no_photo_is_not_sent(tmp_path: Path) -> None:
    drawing = tmp_path / "bark.png"
    drawing.write_text("<svg xmlns='http://www.w3.org/2000/svg' width='9' height='9'/>")
    assert sent_photo(drawing, KINDS) == b""
    assert sent_photo(tmp_path / "none.jpg", KINDS) == b""
