"""The wheel, installed in a fresh environment, runs with its resources inside."""

import os
import subprocess
import sys
import sysconfig
from pathlib import Path

import pytest

from smokejournal import __version__

CLONE = Path(__file__).resolve().parents[2]

pytestmark = [pytest.mark.wheel, pytest.mark.slow]


def run(*command: str | Path, cwd: Path, **variables: str) -> str:
    inherited = {k: v for k, v in os.environ.items() if not k.startswith("PYTHON")}
    done = subprocess.run(
        [str(part) for part in command],
        cwd=cwd,
        env=inherited | variables,
        capture_output=True,
        text=True,
        timeout=110,
        check=False,
    )
    assert done.returncode == 0, f"{done.stdout}\n{done.stderr}"
    return done.stdout


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The scripts folder of an environment with the wheel; dependencies are lent by this one."""
    folder = tmp_path_factory.mktemp("wheel")
    run(sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", folder, cwd=CLONE)
    (wheel,) = folder.glob("smokejournal-*.whl")
    environment = folder / "environment"
    run(sys.executable, "-m", "venv", "--without-pip", environment, cwd=folder)
    scripts = environment / ("Scripts" if os.name == "nt" else "bin")
    python = scripts / "python"
    install = ("install", "--quiet", "--no-deps", "--no-index", wheel)
    run(sys.executable, "-m", "pip", "--python", python, *install, cwd=folder)
    where = "import sysconfig; print(sysconfig.get_path('purelib'))"
    packages = Path(run(python, "-c", where, cwd=folder).strip())
    lent = sysconfig.get_path("purelib")
    packages.joinpath("lent.pth").write_text(f"{lent}\n", encoding="utf-8")
    return scripts


def test_it_tells_its_version(installed: Path, tmp_path: Path) -> None:
    told = run(installed / "smokejournal", "--version", cwd=tmp_path)
    assert told.strip() == f"smokejournal {__version__}"


def test_it_carries_every_resource(installed: Path, tmp_path: Path) -> None:
    code = "from smokejournal.host.resources import resource_folder as f; print(f())"
    folder = Path(run(installed / "python", "-c", code, cwd=tmp_path).strip())
    assert installed.parent.resolve() in folder.resolve().parents
    ours = CLONE / "resources"
    assert {path.relative_to(folder) for path in folder.rglob("*") if path.is_file()} == {
        path.relative_to(ours) for path in ours.rglob("*") if path.is_file()
    }


def test_its_demo_starts(installed: Path, tmp_path: Path) -> None:
    told = run(
        installed / "smokejournal",
        "--demo",
        cwd=tmp_path,
        HOME=str(tmp_path),
        QT_QPA_PLATFORM="offscreen",
        SMOKEJOURNAL_STARTUP_PROBE="1",
    )
    assert told.strip()
