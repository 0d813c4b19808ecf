"""How a bench measures and tells: medians, always of two things measured in turn."""

from __future__ import annotations

import json
import statistics
import time
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Result:
    """One line of the table. `against` None: the aim is one of `ours` itself."""

    what: str
    unit: str
    ours: float
    against: float | None = None
    than: str = ""
    aim: str = ""

    @property
    def ratio(self) -> float | None:
        return self.ours / self.against if self.against else None


def in_turn(times: int, *acts: Callable[[], float]) -> list[float]:
    """The median of each act's own figure. They take turns, so that a busy spell hits them alike."""
    figures: list[list[float]] = [[] for _ in acts]
    for _ in range(times):
        for kept, act in zip(figures, acts, strict=True):
            kept.append(act())
    return [statistics.median(kept) for kept in figures]


def milliseconds(act: Callable[[], object]) -> float:
    """How long it takes, once."""
    started_s = time.perf_counter()
    act()
    return (time.perf_counter() - started_s) * 1000


def table(results: Sequence[Result]) -> str:
    rows = [("what", "ours", "against", "ratio", "aim")]
    for result in results:
        against = "" if result.against is None else f"{_figure(result.against)} {result.than}"
        ratio = "" if result.ratio is None else f"{result.ratio:.2f}"
        ours = f"{_figure(result.ours)} {result.unit}"
        rows.append((result.what, ours, against, ratio, result.aim))
    widths = [max(len(row[column]) for row in rows) for column in range(5)]
    return "\n".join(
        "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
        for row in rows
    )


def _figure(value: float) -> str:
    return f"{value:,.0f}" if value >= 100 else f"{value:.3g}"


def write_json(path: Path, results: Sequence[Result], missing: dict[str, str]) -> None:
    told = {
        "results": [asdict(result) | {"ratio": result.ratio} for result in results],
        "not_measured": missing,
    }
    path.write_text(json.dumps(told, indent=2) + "\n", encoding="utf-8")
