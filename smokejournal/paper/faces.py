"""The typefaces that come with the program, so that a sheet looks the same on every machine.

Source Serif Pro and Source Sans Pro, under the SIL Open Font License 1.1, whose text lies beside them in
typefaces/. The screens use the platform's own face.
"""

from __future__ import annotations

from functools import cache
from importlib.resources import files

from PySide6.QtGui import QFontDatabase

SERIF = "Source Serif Pro"
SANS = "Source Sans Pro"

_FILES = (
    "SourceSansPro-Regular.ttf",
    "SourceSansPro-Bold.ttf",
    "SourceSerifPro-Regular.ttf",
    "SourceSerifPro-It.ttf",
)


@cache
def load_faces() -> None:
    """Have Qt know them, once. Raises FileNotFoundError or RuntimeError where one can't be read."""
    for name in _FILES:
        face = files("smokejournal.paper").joinpath("typefaces", name)
        if QFontDatabase.addApplicationFontFromData(face.read_bytes()) < 0:
            raise RuntimeError(f"The typeface {name} can't be read. Install the program again.")
