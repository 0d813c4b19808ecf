"""Photos as they are shown and sent: opened with care, scaled, and with nothing in them but the picture."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path

from PySide6.QtCore import QBuffer, QIODevice, Qt
from PySide6.QtGui import QColor, QColorSpace, QImage, QImageIOHandler, QImageReader, QPainter

#: A picture of more than this many pixels is not opened: it would not fit a small laptop's memory.
MOST_PIXELS = 120_000_000
#: The longer side of a photo that is sent [pixels].
SENT_SIDE = 1600
_QUALITY = 85
_SCALED = QImageIOHandler.ImageOption.ScaledSize


def photo_reader(path: Path, suffixes: Collection[str]) -> QImageReader | None:
    """Reads the picture; None where the file isn't one of the kinds in `suffixes`, by what is in it.

    Drawings (SVG) and the like are none of them, whatever their name: they may lead to other files.
    Nothing is asked of a reader before its format is known, since that would have it read the file.
    """
    reader = QImageReader(str(path))
    reader.setDecideFormatFromContent(True)
    kind = bytes(reader.format().data()).decode("ascii", "replace")
    return reader if f".{kind}" in suffixes and reader.canRead() else None


def most_pixels(reader: QImageReader) -> int:
    """Up to how many pixels a picture can be shown small: one that isn't scaled while it is decoded
    must fit Qt's limit for one picture."""
    limit_bytes = QImageReader.allocationLimit() * 2**20
    if reader.supportsOption(_SCALED) or not limit_bytes:
        return MOST_PIXELS
    kind = reader.imageFormat()
    known = kind != QImage.Format.Format_Invalid
    bits = QImage.toPixelFormat(kind).bitsPerPixel() if known else 32
    return min(MOST_PIXELS, limit_bytes * 8 // bits)


def scaled_photo(
    path: Path, suffixes: Collection[str], side: int, *, enlarge: bool = False
) -> QImage:
    """The picture the right way up, its longer side at most `side` pixels (with `enlarge`: just as
    many); a null image where it can't be read."""
    reader = photo_reader(path, suffixes)
    if reader is None:
        return QImage()
    reader.setAutoTransform(True)
    size = reader.size()
    if size.isValid() and size.width() * size.height() > most_pixels(reader):
        return QImage()
    if size.isValid() and (enlarge or max(size.width(), size.height()) > side):
        reader.setScaledSize(size.scaled(side, side, Qt.AspectRatioMode.KeepAspectRatio))
    return reader.read()


def sent_photo(path: Path, suffixes: Collection[str]) -> bytes:
    """The photo as a JPEG to be sent, its longer side at most `SENT_SIDE`; empty where it can't be read.

    The pixels are painted into a new picture, so that nothing else goes along: no place, no camera, no
    time, no comment, no small picture of what was cut away.
    """
    image = scaled_photo(path, suffixes, SENT_SIDE)
    if image.isNull():
        return b""
    if image.colorSpace().isValid():
        image.convertToColorSpace(QColorSpace(QColorSpace.NamedColorSpace.SRgb))
    bare = QImage(image.size(), QImage.Format.Format_RGB32)
    # What can be seen through has no white of its own in a JPEG.
    bare.fill(QColor("#ffffff"))
    image.setDevicePixelRatio(1.0)
    painter = QPainter(bare)
    painter.drawImage(0, 0, image)
    painter.end()
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    bare.save(buffer, "JPEG", _QUALITY)  # type: ignore[call-overload]
    return bytes(buffer.data().data())
