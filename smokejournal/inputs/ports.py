"""Serial ports that this machine knows of. A path that is not listed can be typed all the same."""

from __future__ import annotations

from dataclasses import dataclass

from serial.tools import list_ports as _known


@dataclass(frozen=True, slots=True)
class Port:
    """One port: `path` opens it, `text` describes it."""

    path: str
    text: str


def list_ports() -> tuple[Port, ...]:
    """Ports in the order of their paths; those with a real device behind them first."""
    found = []
    for port in _known.comports():
        words = [str(w) for w in (port.description, port.manufacturer) if w and w != "n/a"]
        found.append(
            (port.hwid in (None, "n/a"), str(port.device), ", ".join(dict.fromkeys(words)))
        )
    return tuple(Port(path, text) for _, path, text in sorted(found))
