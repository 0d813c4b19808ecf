"""Makes history.csv: invented readings of a small cook, by the simulated pit, the same every time.

    python -m tests.e2e.make_history

Two hours and twenty minutes with a side of trout: the pit at 107 °C, two openings of the lid, a stretch in
which the lead probe says nothing, and a check probe that reads 2.2 °C low. Columns: time_s, pit_c,
meat_c, check_c; blank where a probe said nothing.
"""

from __future__ import annotations

import csv
from pathlib import Path

from smokejournal.inputs.pit import Hands, Outside, Piece, SimulatedPit, SimulatedProbe

HERE = Path(__file__).parent
WARM_UP_S = 2400.0
LENGTH_S = 8400.0
EVERY_S = 5.0
LIDS = ((1500.0, 1530.0), (3300.0, 3360.0))
SILENT = (2100.0, 2500.0)


def hands(at_s: float) -> Hands:
    """What the cook does at a moment counted from when the meat goes on."""
    at_s -= WARM_UP_S
    silent = frozenset({"meat"}) if SILENT[0] <= at_s < SILENT[1] else frozenset()
    return Hands(
        target_c=107.0,
        lid_open=any(begin <= at_s < end for begin, end in LIDS),
        where="grate" if at_s >= 0 else "aside",
        silent=silent,
    )


def main() -> None:
    """Write the file."""
    pit = SimulatedPit(
        (Piece("trout side", "slab", 0.013, 0.7),),
        (
            SimulatedProbe("pit", "pit"),
            SimulatedProbe("meat", "meat"),
            SimulatedProbe("check", "meat", offset_c=-2.2),
        ),
        Outside(air_c=11.0, wind_m_s=2.0, humidity_pct=70.0),
        7,
        0.0,
        EVERY_S,
    )
    rows: dict[float, dict[str, float]] = {}
    for reading in pit.advance(WARM_UP_S + LENGTH_S, hands):
        if reading.at_s > WARM_UP_S:
            rows.setdefault(round(reading.at_s - WARM_UP_S, 1), {})[reading.channel] = (
                reading.value_c
            )
    with (HERE / "history.csv").open("w", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(["time_s", "pit_c", "meat_c", "check_c"])
        for at_s, row in sorted(rows.items()):
            cells = [f"{row[key]:.1f}" if key in row else "" for key in ("pit", "meat", "check")]
            writer.writerow([f"{at_s:g}", *cells])


if __name__ == "__main__":
    main()
