"""Published tables as rows."""

from __future__ import annotations

import csv
from pathlib import Path

HERE = Path(__file__).parent


def rows(name: str) -> list[dict[str, str]]:
    """The rows of a table by the names in its heading."""
    with (HERE / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))
