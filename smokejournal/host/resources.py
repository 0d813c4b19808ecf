"""Finds the files that come with the program: icons, sounds, demo cooks, reference tables.

In a clone they are in resources/ at its top; in an installed wheel in smokejournal/_resources.
"""

from functools import cache
from importlib.resources import files
from pathlib import Path


class ResourceMissing(FileNotFoundError):
    """A file that should have come with the program is not there."""

    def __init__(self, path: Path) -> None:
        super().__init__(
            f"A file that belongs to smokejournal is missing: {path}. "
            "Install the program again, or take a fresh clone."
        )
        self.path = path


def resource_path(*parts: str) -> Path:
    """The file or folder resources/PARTS, wherever this program is installed.

    Raises ResourceMissing when it is not there.
    """
    path = resource_folder().joinpath(*parts)
    if not path.exists():
        raise ResourceMissing(path)
    return path


@cache
def resource_folder() -> Path:
    """The folder of all resources."""
    package = Path(str(files("smokejournal")))
    installed = package / "_resources"
    clone = package.parent
    # pyproject.toml tells a clone from a site-packages in which another package left "resources".
    if not installed.is_dir() and (clone / "pyproject.toml").is_file():
        return clone / "resources"
    return installed
