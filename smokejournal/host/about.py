"""What the program is, what it is built from, and what it runs on, as a person may ask or report it."""

from __future__ import annotations

import logging
import platform
import tomllib
from importlib.metadata import PackageMetadata, PackageNotFoundError, metadata
from logging import FileHandler
from pathlib import Path
from typing import NamedTuple

from smokejournal import __version__
from smokejournal.host.resources import resource_folder

#: What is installed with the program, as `pyproject.toml` names it, and Qt's bindings' own helper.
BUILT_FROM = (
    "PySide6-Essentials",
    "shiboken6",
    "pyqtgraph",
    "numpy",
    "SQLAlchemy",
    "alembic",
    "platformdirs",
    "pyserial",
    "jinja2",
    "tzdata",
    "seuif97",
    "thermocouple-its90",
    "icalendar",
)


#: The faces of the printed sheet, and the version that their files name.
FACES = (("Source Serif Pro", "2.007"), ("Source Sans Pro", "2.020"))


class Part(NamedTuple):
    """Something the program is built from. `license` is its name as the package gives it, or empty."""

    name: str
    version: str
    license: str


def parts() -> tuple[Part, ...]:
    """What of `BUILT_FROM` is installed here, and the faces that come with the program."""
    found = []
    for name in BUILT_FROM:
        try:
            said = metadata(name)
        except PackageNotFoundError:  # not on every machine
            continue
        found.append(Part(name, said["Version"], _license(said)))
    found += [Part(name, version, "SIL Open Font License 1.1") for name, version in FACES]
    return tuple(found)


def program_license() -> str:
    """The name of the license that the program itself is given under; empty where it has none."""
    project = resource_folder().parent / "pyproject.toml"
    if project.is_file():
        said = tomllib.loads(project.read_text(encoding="utf-8"))["project"].get("license", "")
        return said if isinstance(said, str) else said.get("text", "")
    try:
        return _license(metadata("smokejournal"))
    except PackageNotFoundError:
        return ""


def _license(said: PackageMetadata) -> str:
    """The newer field first; the older one may hold a whole text, whose first line names it."""
    texts = [*(said.get_all("License-Expression") or []), *(said.get_all("License") or [])]
    named = next((text.strip().partition("\n")[0] for text in texts if text.strip()), "")
    kinds = [
        line.rpartition("::")[2].strip()
        for line in said.get_all("Classifier") or []
        if line.startswith("License ::")
    ]
    return named or ", ".join(kinds)


def machine_words() -> str:
    """Versions of program, Python and system on one line, for a report."""
    return f"smokejournal {__version__}, Python {platform.python_version()}, {platform.platform()}"


def log_file() -> Path | None:
    """The file that the log is written to now; None where none could be opened."""
    handlers = logging.getLogger("smokejournal").handlers
    return next((Path(h.baseFilename) for h in handlers if isinstance(h, FileHandler)), None)
