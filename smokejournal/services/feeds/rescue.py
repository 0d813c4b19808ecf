"""Readings that could not be written to the journal, written as a table instead."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Sequence
from datetime import UTC, datetime
from pathlib import Path

from smokejournal.cook.log.readings import Reading


def rescue(readings: Sequence[Reading], name: str, folders: Iterable[Path]) -> Path:
    """Write these readings as a table (CSV) into the first of the folders that takes it.

    A row for each moment (ISO 8601, UTC), a column for each channel [°C]; Bench reads it in again.
    The file is new, never another's. OSError where no folder takes it, the last one's.
    """
    problem = OSError("no folder was given")
    for folder in folders:
        path = _free(folder, name)
        try:
            _write(path, readings)
        except OSError as found:
            problem = found
            continue
        return path
    raise problem


def _free(folder: Path, name: str) -> Path:
    number = 1
    while (path := folder / f"{name}{f'-{number}' if number > 1 else ''}.csv").exists():
        number += 1
    return path


def _write(path: Path, readings: Sequence[Reading]) -> None:
    channels = list(dict.fromkeys(reading.channel for reading in readings))
    rows: dict[float, dict[str, float]] = {}
    for reading in readings:
        rows.setdefault(reading.at_s, {})[reading.channel] = reading.value_c
    try:
        with path.open("x", encoding="utf-8", newline="") as file:
            table = csv.DictWriter(file, ["time", *channels], restval="")
            table.writeheader()
            for at_s, values in sorted(rows.items()):
                at = datetime.fromtimestamp(at_s, UTC).isoformat(timespec="milliseconds")
                table.writerow({"time": at, **values})
    except FileExistsError:
        raise
    except OSError:
        path.unlink(missing_ok=True)
        raise
