"""The typefaces that come with the program, so that a sheet looks the same on every machine.

Source Serif Pro and Source Sans Pro, under the SIL Open Font License 1.1, whose text lies beside them in
resources/faces. The screens use the platform's own face.
"""

from __future__ import annotations

from functools import cache

from PySide6.QtGui import QFontDatabase

from smokejournal.host.resources import resource_path

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
    """Have Qt know them, once. Raises ResourceMissing, or RuntimeError where one can't be read."""
    for name in _FILES:
        path = resource_path("faces", name)
        if QFontDatabase.addApplicationFont(str(path)) < 0:
            raise RuntimeError(f"The typeface {path} can't be read. Install the program again.")
