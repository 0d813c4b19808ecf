"""The rules of the house that an import linter cannot see."""

import ast
import os
import re
import shutil
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest

CLONE = Path(__file__).resolve().parent.parent
QT = ("PySide6", "shiboken6", "pyqtgraph")
DATABASE = ("sqlalchemy", "alembic")

# Written so that this file does not find itself.
FORBIDDEN = {
    "a path of one machine": re.compile(
        r"/(roo[t]|wor[k]|home|User[s])/\w|/op[t]/(pypi|wheels)|/tm[p]/\w|[A-Z]:\\User[s]\\"
    ),
    "a folder outside the clone": re.compile(r"\.\./share[d]\b"),
    "the host of a package registry": re.compile(
        r"pypi\.(org|python\.org)|pythonhosted\.or[g]|debian\.or[g]|registry\.npmj[s]|"
        r"(extra-)?index-ur[l]"
    ),
}


def python(*arguments: str, cwd: Path = CLONE, **variables: str) -> str:
    """What a fresh interpreter prints, run without a screen."""
    environment = {k: v for k, v in os.environ.items() if k not in ("DISPLAY", "WAYLAND_DISPLAY")}
    environment.pop("QT_QPA_PLATFORM", None)
    done = subprocess.run(
        [sys.executable, *arguments],
        cwd=cwd,
        env=environment | variables,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def loaded_by(statement: str) -> set[str]:
    """The top-level packages in memory after a statement."""
    code = f"{statement}\nimport sys\nprint(*{{name.partition('.')[0] for name in sys.modules}})"
    return set(python("-c", code).split())


def modules_of(room: str) -> str:
    """One import statement for every module of a room, so that a lazy door hides nothing."""
    folder = CLONE / "smokejournal" / room
    paths = sorted(path.relative_to(CLONE) for path in folder.rglob("*.py"))
    names = [".".join(path.with_suffix("").parts).removesuffix(".__init__") for path in paths]
    # Migrations are scripts that only the migration tool can load.
    return "\n".join(f"import {name}" for name in names if ".migrations" not in name)


@pytest.mark.parametrize("room", ["science", "cook", "services", "journal", "inputs"])
def test_rooms_without_a_screen_load_no_qt(room: str) -> None:
    assert not loaded_by(modules_of(room)).intersection(QT)


def test_the_window_imports_what_needs_no_qt_before_qt(tmp_path: Path) -> None:
    """PySide looks through the source of each module that comes after it: a fifth of the start."""
    code = (
        "import sys\n"
        "from smokejournal.__main__ import main\n"
        f"main(['--journal', {str(tmp_path / 'journal')!r}])\n"
        "print(*sys.modules)\n"
    )
    # A home of its own: which page comes first is kept there.
    probe = {
        "QT_QPA_PLATFORM": "offscreen",
        "SMOKEJOURNAL_STARTUP_PROBE": "1",
        **dict.fromkeys(("HOME", "XDG_CONFIG_HOME", "XDG_STATE_HOME", "APPDATA"), str(tmp_path)),
    }
    loaded = python("-c", code, **probe).splitlines()[-1].split()
    late = [name.partition(".")[0] for name in loaded[loaded.index("PySide6") :]]
    assert "pyqtgraph" not in late  # No plot on the first page.
    assert not {*DATABASE, "numpy", "sqlite3"}.intersection(late)
    assert late.count("smokejournal") < 60  # It is 48: the window, and what only it asks.


@pytest.mark.parametrize("room", ["science", "cook"])
def test_the_cook_and_the_sums_load_no_database(room: str) -> None:
    assert not loaded_by(modules_of(room)).intersection((*DATABASE, "sqlite3", "serial"))


def test_the_version_is_told_without_a_screen_and_without_qt(tmp_path: Path) -> None:
    code = (
        "import runpy, sys\n"
        "sys.argv[1:] = ['--version']\n"
        "try:\n"
        "    runpy.run_module('smokejournal', run_name='__main__')\n"
        "except SystemExit as end:\n"
        "    assert not end.code, end.code\n"
        "print(*{name.partition('.')[0] for name in sys.modules})\n"
    )
    told, loaded = python("-c", code, cwd=tmp_path, PYTHONPATH=str(CLONE)).splitlines()
    from smokejournal import __version__

    assert told == f"smokejournal {__version__}"
    assert not set(loaded.split()).intersection(QT + DATABASE)


def tracked_files() -> list[Path]:
    git = shutil.which("git")
    if git is None:
        pytest.skip("git is not installed")
    listed = subprocess.run(
        [git, "ls-files", "-z"], cwd=CLONE, capture_output=True, text=True, check=False
    )
    if listed.returncode != 0:
        pytest.skip("not in a clone")
    return [CLONE / name for name in listed.stdout.split("\0") if name]


@pytest.mark.parametrize("what", FORBIDDEN)
def test_no_tracked_file_names(what: str) -> None:
    found = []
    for path in tracked_files():
        if not path.is_file():  # removed, and the removal not yet committed
            continue
        content = path.read_bytes()
        if b"\0" in content:  # a picture or a database; both are looked at by eye
            continue
        for number, line in enumerate(content.decode("utf-8").splitlines(), 1):
            if FORBIDDEN[what].search(line):
                found.append(f"{path.relative_to(CLONE)}:{number}: {line.strip()[:120]}")
    assert not found, "\n".join(found)


#: Folders that may hold more modules than a reader takes in at a glance, with the reason.
LARGE_FOLDERS = {
    "smokejournal/inputs": "one floor of its own without rooms: a source and the reading of its lines",
    "smokejournal/journal": "one floor of its own without rooms: the database and its files",
    "smokejournal/journal/migrations/versions": "one file a released schema, for ever",
}
LARGEST_ROOM = 15


def source_modules() -> list[Path]:
    return [p for p in (CLONE / "smokejournal").rglob("*.py") if p.name != "__init__.py"]


def test_a_room_holds_at_most_fifteen_modules() -> None:
    sizes = Counter(path.parent.relative_to(CLONE).as_posix() for path in source_modules())
    assert len(sizes) > 40
    large = {name: size for name, size in sizes.items() if size > LARGEST_ROOM}
    assert not set(large) - set(LARGE_FOLDERS), large


def test_a_public_class_has_a_name_of_its_own() -> None:
    homes: dict[str, list[str]] = {}
    for path in source_modules():
        for node in ast.parse(path.read_text("utf-8")).body:
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                homes.setdefault(node.name, []).append(path.relative_to(CLONE).as_posix())
    assert len(homes) > 300
    shared = {name: where for name, where in homes.items() if len(where) > 1}
    assert not shared, shared


@pytest.mark.parametrize("guide", ["DEVELOPERS.md", "README.md", "tests/reference/README.md"])
def test_every_file_that_a_guide_names_is_there(guide: str) -> None:
    text = (CLONE / guide).read_text("utf-8")
    named = set(re.findall(r"\b[a-z_]+(?:/[a-z_0-9]+)+\.py\b", text))
    homes = (CLONE, CLONE / "smokejournal", CLONE / "tests")
    assert not [name for name in sorted(named) if not any((h / name).is_file() for h in homes)]
