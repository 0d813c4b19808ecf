"""The private environments that run.py and test.py use. Standard library only.

An environment is a folder .venv/NAME-PYTHON-KEY in the clone; the key is a hash of everything it
depends on (pins, interpreter, place), so a changed pin makes another folder and never alters one
under a running program. A file "ready" is written into it last: without it, an earlier set-up was
interrupted, and the folder is made again. A lock file beside it is held exclusively while it is
made, and shared by whoever uses it, so that two set-ups never meet and no environment in use is
cleared away.
"""

from __future__ import annotations

import contextlib
import ctypes
import hashlib
import importlib.util
import os
import platform
import shutil
import subprocess
import sys
import time
import venv
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import BinaryIO, NoReturn

CLONE = Path(__file__).resolve().parent.parent
ENVIRONMENTS = CLONE / ".venv"
PINS = CLONE / "packaging" / "pins"
RECIPE = "1"  # raise it when the way an environment is made changes
PYTHON = f"{sys.version_info[0]}.{sys.version_info[1]}"
WINDOWS = sys.platform == "win32"

# Debian's package for each library that Qt's wheels expect to find on the system.
QT_LIBRARIES = {
    "libglib-2.0.so.0": "libglib2.0-0",
    "libgthread-2.0.so.0": "libglib2.0-0",
    "libdbus-1.so.3": "libdbus-1-3",
    "libfontconfig.so.1": "libfontconfig1",
    "libfreetype.so.6": "libfreetype6",
    "libEGL.so.1": "libegl1",
    "libGL.so.1": "libgl1",
    "libX11.so.6": "libx11-6",
    "libxkbcommon.so.0": "libxkbcommon0",
}
X11_LIBRARIES = {
    "libxcb-cursor.so.0": "libxcb-cursor0",
    "libxcb-icccm.so.4": "libxcb-icccm4",
    "libxcb-image.so.0": "libxcb-image0",
    "libxcb-keysyms.so.1": "libxcb-keysyms1",
    "libxcb-render-util.so.0": "libxcb-render-util0",
    "libxcb-shape.so.0": "libxcb-shape0",
    "libxcb-xkb.so.1": "libxcb-xkb1",
    "libxkbcommon-x11.so.0": "libxkbcommon-x11-0",
}
WAYLAND_LIBRARIES = {
    "libwayland-cursor.so.0": "libwayland-cursor0",
    "libwayland-egl.so.1": "libwayland-egl1",
}


class SetupProblem(Exception):
    """What went wrong and what to do about it, ready to be read."""


def say(text: str) -> None:
    """Tell the person, on stderr: what the program itself prints may be going into a file."""
    print(text, file=sys.stderr, flush=True)


@contextlib.contextmanager
def problems_told() -> Iterator[None]:
    """End with a sentence instead of a traceback where the trouble is an expected one."""
    try:
        yield
    except SetupProblem as problem:
        say(f"\n{problem}")
        sys.exit(1)
    except KeyboardInterrupt:
        say("\nStopped. Run the same command again to go on; what is half made is made again.")
        sys.exit(130)


class Environment:
    """One private environment that is complete, held against clearing away while this lives."""

    def __init__(self, folder: Path, hold: BinaryIO) -> None:
        self.folder = folder
        self.python = python_in(folder)
        self._hold = hold

    def call(self, *arguments: str, variables: Mapping[str, str] | None = None) -> int:
        """Run this environment's Python in the clone and give back its exit code."""
        command = [str(self.python), *arguments]
        return subprocess.call(command, cwd=CLONE, env={**_clean_variables(), **(variables or {})})

    def become(self, *arguments: str) -> NoReturn:
        """Turn this process into the environment's Python, so that signals reach the program."""
        command = [str(self.python), "-P", *arguments]
        if WINDOWS:  # exec there starts a second process and lets the first one end at once
            sys.exit(subprocess.call(command, env=_clean_variables()))
        os.set_inheritable(self._hold.fileno(), True)
        os.execve(command[0], command, _clean_variables())


def environment(name: str) -> Environment:
    """The environment for packaging/pins/NAME.txt, made now if it is not there.

    Raises SetupProblem when it cannot be made.
    """
    pins = PINS / f"{name}.txt"
    folder = ENVIRONMENTS / f"{name}-{PYTHON}-{_key(pins)}"
    try:
        ENVIRONMENTS.mkdir(exist_ok=True)
        while True:
            hold = _take(folder, exclusive=False)
            if (folder / "ready").exists() and python_in(folder).exists():
                _clear_old(name, folder)
                return Environment(folder, hold)
            hold.close()
            with _take(folder, exclusive=True) as hold:
                if not (folder / "ready").exists() or not python_in(folder).exists():
                    _make(name, folder, pins, hold)
    except OSError as error:
        raise SetupProblem(
            f"The private environment in {ENVIRONMENTS} could not be made: {error}.\n"
            "Look whether the disk is full and whether you may write in this folder, then run the "
            "same command again."
        ) from error


def python_in(folder: Path) -> Path:
    return folder / ("Scripts/python.exe" if WINDOWS else "bin/python")


def _key(pins: Path) -> str:
    interpreter = os.path.realpath(getattr(sys, "_base_executable", sys.executable))
    version = f"{platform.python_implementation()} {platform.python_version()}"
    parts = (RECIPE, version, platform.machine(), interpreter, str(CLONE))
    digest = hashlib.sha256(pins.read_bytes())
    digest.update("\0".join(parts).encode())
    return digest.hexdigest()[:12]


def _clean_variables() -> dict[str, str]:
    """This process's variables without those that would let other packages in."""
    return {k: v for k, v in os.environ.items() if k not in ("PYTHONHOME", "PYTHONPATH")}


def _make(name: str, folder: Path, pins: Path, hold: BinaryIO) -> None:
    started_s = time.monotonic()
    if folder.exists():
        say("An earlier set-up was interrupted; starting it afresh.")
        shutil.rmtree(folder)
    say(f"Setting up a private environment for Python {PYTHON} in {folder}")
    _need_ensurepip()
    say("[1/2] Making the environment")
    # Copying keeps it alive on Windows; elsewhere links are what the interpreter expects.
    venv.EnvBuilder(symlinks=not WINDOWS).create(folder)
    # Both steps run as child processes holding the lock: one that outlives this script (killed,
    # say) still keeps the next set-up waiting until it has ended.
    shared = () if WINDOWS else (hold.fileno(),)
    python = str(python_in(folder))
    command = [python, "-Im", "ensurepip", "--upgrade", "--default-pip"]
    _child(command, shared, _PIP_MISSING, quiet=True)
    say("[2/2] Fetching and installing the pinned packages (some 120 MB the first time)")
    install = ["install", "--disable-pip-version-check", "--no-input", "--require-hashes"]
    install += ["--only-binary", ":all:", "--requirement", str(pins)]
    _child([python, "-Im", "pip", *install], shared, _PIP_FAILED)
    _site_packages(folder).joinpath("this_clone.pth").write_text(f"{CLONE}\n", encoding="utf-8")
    (folder / "ready").write_text(f"{name} {PYTHON}\n", encoding="utf-8")
    say(f"The environment is ready after {time.monotonic() - started_s:.0f} s.\n")


_PIP_MISSING = "pip could not be put into the new environment; the reason is above."
_PIP_FAILED = (
    "The pinned packages could not be installed; pip's own reason is above.\n"
    "If it speaks of a connection or a time-out, look at the network (or the proxy) and run the "
    "same command again: what was fetched is kept. If it finds no matching version, this Python "
    f"({PYTHON}) or this kind of machine has no ready-made package yet: use Python 3.11 to 3.14."
)


def _child(
    command: list[str], shared: tuple[int, ...], problem: str, *, quiet: bool = False
) -> None:
    # pip's progress belongs with ours: stdout is the program's.
    out = subprocess.DEVNULL if quiet else sys.stderr
    code = subprocess.call(command, stdout=out, env=_clean_variables(), pass_fds=shared)
    if code != 0:
        raise SetupProblem(problem)


def _site_packages(folder: Path) -> Path:
    if WINDOWS:
        return folder / "Lib" / "site-packages"
    return folder / "lib" / f"python{PYTHON}" / "site-packages"


def _clear_old(name: str, current: Path) -> None:
    """Remove this Python's earlier environments of the same name that nobody uses."""
    if WINDOWS:  # no shared locks there, so nobody knows whether one is in use
        return
    for folder in ENVIRONMENTS.glob(f"{name}-{PYTHON}-*/"):
        if folder == current:
            continue
        hold = _try_lock(_lock_file(folder), exclusive=True)
        if hold is not None:
            with hold:
                say(f"Removing the earlier environment {folder.name}.")
                shutil.rmtree(folder, ignore_errors=True)
                _lock_file(folder).unlink(missing_ok=True)


# Locks


def _lock_file(folder: Path) -> Path:
    return folder.with_name(folder.name + ".lock")


def _take(folder: Path, *, exclusive: bool) -> BinaryIO:
    """Open and lock the folder's lock file, waiting for others. Closing it lets go."""
    told = False
    while True:
        hold = _try_lock(_lock_file(folder), exclusive=exclusive)
        if hold is not None:
            return hold
        if not told:
            say("Another set-up of the same environment is under way; waiting for it to end.")
            told = True
        time.sleep(0.5)


def _try_lock(path: Path, *, exclusive: bool) -> BinaryIO | None:
    hold = path.open("a+b")
    try:
        if sys.platform == "win32":
            import msvcrt

            msvcrt.locking(hold.fileno(), msvcrt.LK_NBLCK, 1)
            if not exclusive:  # a shared lock is not to be had: do not keep the others out
                msvcrt.locking(hold.fileno(), msvcrt.LK_UNLCK, 1)
        else:
            import fcntl

            how = fcntl.LOCK_EX if exclusive else fcntl.LOCK_SH
            fcntl.flock(hold.fileno(), how | fcntl.LOCK_NB)
            # The file may have been removed, and made again by another, between open and lock.
            if not path.exists() or not os.path.samestat(os.fstat(hold.fileno()), path.stat()):
                raise BlockingIOError
    except (BlockingIOError, PermissionError):
        hold.close()
        return None
    return hold


# What the system has to bring


def need_qt_libraries(*, window: bool) -> None:
    """Install the system libraries that Qt misses, or say how. Goes on in either case."""
    if not sys.platform.startswith("linux"):
        return
    wanted = dict(QT_LIBRARIES)
    if window and os.environ.get("QT_QPA_PLATFORM", "") in ("", "xcb", "wayland"):
        wanted |= X11_LIBRARIES if os.environ.get("DISPLAY") else {}
        wanted |= WAYLAND_LIBRARIES if os.environ.get("WAYLAND_DISPLAY") else {}
    missing = [library for library in wanted if not _loads(library)]
    if not missing:
        return
    say(f"Qt needs system libraries that are not here: {', '.join(missing)}.")
    packages = sorted({wanted[library] for library in missing})
    if _apt_install(packages):
        missing = [library for library in missing if not _loads(library)]
        if not missing:
            return
        say(f"Still missing: {', '.join(missing)}.")
    else:
        say(f"Install them, on Debian or Ubuntu with:\n  {_apt_command(packages)}")
    say("Going on without them; the window may not open.")


def _loads(library: str) -> bool:
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True


def _need_ensurepip() -> None:
    if importlib.util.find_spec("ensurepip") is not None:
        return
    package = f"python{PYTHON}-venv"
    say(f"This Python comes without ensurepip, which Debian keeps in {package}.")
    if _apt_install([package]):
        importlib.invalidate_caches()
        if importlib.util.find_spec("ensurepip") is not None:
            return
    raise SetupProblem(
        "A private environment cannot be made without ensurepip. Install it, then run the same "
        f"command again. On Debian or Ubuntu:\n  {_apt_command([package])}"
    )


def _apt_command(packages: list[str]) -> str:
    install = f"apt-get install --no-install-recommends {' '.join(packages)}"
    return f"sudo apt-get update && sudo {install}"


def _apt_install(packages: list[str]) -> bool:
    """Install Debian packages if this is root on a Debian-like system; tell whether it worked."""
    if shutil.which("apt-get") is None or not hasattr(os, "geteuid") or os.geteuid() != 0:
        return False
    say(f"Installing {' '.join(packages)} with apt-get.")
    variables = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    # A failed update is no reason to stop: the lists that are there may do.
    subprocess.call(["apt-get", "update", "-q"], stdout=sys.stderr, env=variables)
    install = ["apt-get", "install", "-y", "-q", "--no-install-recommends", *packages]
    return subprocess.call(install, stdout=sys.stderr, env=variables) == 0
