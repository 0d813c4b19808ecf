"""What the machine says of its battery. Never raises: what can't be read is unknown."""

from __future__ import annotations

import ctypes
import logging
import re
import subprocess
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

from smokejournal.cook.progress.machine_watch import Battery

log = logging.getLogger(__name__)

SUPPLIES = Path("/sys/class/power_supply")
_PMSET = "/usr/bin/pmset"
#: So long the machine's own program may take [s].
_PATIENCE_S = 5.0
#: A file of the kernel holds a word or a number; what is longer is none of them [bytes].
_LONGEST = 200
#: Longer than this no battery lasts [s]: such a figure is a way to say that it isn't known.
_LONGEST_S = 7 * 86_400.0

_RUNS = {"Discharging": True, "Charging": False, "Full": False, "Not charging": False}


def read_battery() -> Battery | None:
    """The battery that this machine runs on, all of them taken together; None without one. May take
    seconds: not for the thread that paints."""
    if sys.platform == "win32":
        return _windows_battery()
    if sys.platform == "darwin":
        return mac_battery(_run)
    return linux_battery(SUPPLIES)


def linux_battery(supplies: Path) -> Battery | None:
    """As the kernel tells it (Linux, Documentation/ABI/testing/sysfs-class-power; from memory): energies
    in µWh with µW, or charges in µAh with µA."""
    try:
        folders = sorted(supplies.iterdir())
    except OSError:
        return None
    # A mouse or a phone has a battery too, of the scope "Device".
    own = [f for f in folders if _word(f, "type") == "Battery" and _word(f, "scope") != "Device"]
    own = [f for f in own if _word(f, "present") != "0"]
    if not own:
        return None
    runs = [_RUNS.get(_word(f, "status")) for f in own]
    draining: bool | None = None
    if True in runs:
        # One of two may charge the other's way round; emptier they get only when none is charged.
        draining = "Charging" not in [_word(f, "status") for f in own]
    elif None not in runs:
        draining = False
    else:
        mains = [_word(f, "online") for f in folders if _word(f, "type") in ("Mains", "USB")]
        if "1" in mains:
            draining = False
        elif "0" in mains:
            draining = True
    return Battery(_charge_pct(own), draining, _left_s(own) if draining else None)


def _word(folder: Path, name: str) -> str:
    try:
        with (folder / name).open("rb") as file:
            return file.read(_LONGEST).decode("ascii", "replace").strip()
    except OSError:
        return ""


def _number(folder: Path, name: str) -> float | None:
    word = _word(folder, name)
    # A driver may give a current as negative while it flows out.
    return abs(float(word)) if re.fullmatch(r"-?\d{1,15}", word) else None


def _amounts(own: Sequence[Path], what: str) -> tuple[float, float] | None:
    """What is in all of them and what would fit, by energy or charge; None where one doesn't say."""
    now = [_number(f, f"{what}_now") for f in own]
    full = [_number(f, f"{what}_full") for f in own]
    if None in now or None in full:
        return None
    inside, room = (sum(x for x in each if x is not None) for each in (now, full))
    return (inside, room) if room > 0.0 and inside <= 1.5 * room else None


def _charge_pct(own: Sequence[Path]) -> float | None:
    if len(own) == 1:
        capacity = _number(own[0], "capacity")
        if capacity is not None and not _word(own[0], "capacity").startswith("-"):
            return capacity if capacity <= 100.0 else None
    for what in ("energy", "charge"):
        amounts = _amounts(own, what)
        if amounts is not None:
            return min(100.0, 100.0 * amounts[0] / amounts[1])
    return None


def _left_s(own: Sequence[Path]) -> float | None:
    for what, flow in (("energy", "power_now"), ("charge", "current_now")):
        amounts = _amounts(own, what)
        flows = [x for x in (_number(f, flow) for f in own) if x is not None]
        if amounts is not None and flows and sum(flows) > 0.0:
            return _believed_s(3600.0 * amounts[0] / sum(flows))
    return None


def _believed_s(left_s: float) -> float | None:
    return left_s if 0.0 <= left_s <= _LONGEST_S else None


def mac_battery(run: Callable[[Sequence[str]], str]) -> Battery | None:
    """As `pmset -g batt` prints it (the form of its lines is from memory):
    `-InternalBattery-0 (id=1)	55%; discharging; 3:21 remaining present: true`."""
    line = next((x for x in run((_PMSET, "-g", "batt")).splitlines() if "InternalBattery" in x), "")
    if not line or "present: false" in line:
        return None
    charge = re.search(r"\b(\d{1,3})%", line)
    parts = [part.strip().lower() for part in line.split(";")]
    words = parts[1] if len(parts) > 1 else ""
    draining: bool | None = None
    if words == "discharging":
        draining = True
    elif words in ("charging", "charged", "finishing charge", "ac attached"):
        draining = False
    left = re.search(r"\b(\d{1,3}):([0-5]\d) remaining", line)
    pct = float(charge[1]) if charge else None
    return Battery(
        pct if pct is None or pct <= 100.0 else None,
        draining,
        # 0:00 stands where there is no estimate yet.
        (int(left[1]) * 3600.0 + int(left[2]) * 60.0 or None) if draining and left else None,
    )


def _run(command: Sequence[str]) -> str:
    try:
        done = subprocess.run(
            list(command),
            stdin=subprocess.DEVNULL,
            capture_output=True,
            timeout=_PATIENCE_S,
            check=False,
        )
    except (OSError, subprocess.SubprocessError) as error:
        log.info("The battery can't be asked after: %s", error)
        return ""
    return done.stdout[:10_000].decode("utf-8", "replace")


class _PowerStatus(ctypes.Structure):
    """SYSTEM_POWER_STATUS (winbase.h; from memory)."""

    _fields_ = (
        ("line", ctypes.c_ubyte),
        ("flag", ctypes.c_ubyte),
        ("percent", ctypes.c_ubyte),
        ("saver", ctypes.c_ubyte),
        ("left_s", ctypes.c_uint32),
        ("full_s", ctypes.c_uint32),
    )


def windows_battery(line: int, flag: int, charge: int, left_s: int) -> Battery | None:
    """As GetSystemPowerStatus gives it: line 0 unplugged, 1 plugged in; flag 128 no battery, 8 charging;
    255, and all bits set in the time, are unknown."""
    if flag != 255 and flag & 128:
        return None
    if flag != 255 and flag & 8:
        draining: bool | None = False
    else:
        draining = {0: True, 1: False}.get(line)
    left = _believed_s(float(left_s)) if draining and left_s != 0xFFFFFFFF else None
    return Battery(float(charge) if charge <= 100 else None, draining, left)


def _windows_battery() -> Battery | None:
    status = _PowerStatus()
    try:
        told = ctypes.WinDLL("kernel32").GetSystemPowerStatus(ctypes.byref(status))  # type: ignore[attr-defined, unused-ignore]
    except (OSError, AttributeError) as error:
        log.info("The battery can't be asked after: %s", error)
        return None
    if not told:
        return None
    return windows_battery(status.line, status.flag, status.percent, status.left_s)
