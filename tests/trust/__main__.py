"""`python -m tests.trust kills --times 500`, `cuts --times 500`, `writes --calls 150`, `day --hours 24`,
`lines --times 10000` (thousands), `alarms` (over all simulated cooks and the demo's).
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.trust", description=__doc__)
    parser.add_argument("what", choices=("kills", "cuts", "writes", "lines", "day", "alarms"))
    parser.add_argument(
        "--times", type=int, default=500, help="kills or power cuts; lines in thousands"
    )
    parser.add_argument("--calls", type=int, default=150, help="that fail, one a run")
    parser.add_argument("--hours", type=int, default=24, help="of the cook")
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    if asked.what == "lines":
        from tests.trust.lines import read_damaged

        read = read_damaged(asked.times * 1000, asked.seed)
        print(
            f"{read.lines:,} damaged lines: {read.values:,} values, {read.refused:,} refusals; "
            f"values that the line doesn't say: {read.made_up}"
        )
        return 1 if read.made_up else 0
    with tempfile.TemporaryDirectory() as folder:
        if asked.what == "alarms":
            return _watch_pits(Path(folder) / "journal")
        if asked.what != "day":
            return _look_often(Path(folder), asked)
        from tests.trust.day import run_a_day

        day = run_a_day(Path(folder) / "journal", asked.hours)
    stalls = sorted(day.stalls_ms)
    print(
        f"memory after the first hour {day.memory_mb[0]:.0f} MB, at the end {day.memory_mb[-1]:.0f} MB "
        f"({100 * (day.memory_mb[-1] / day.memory_mb[0] - 1):+.0f} %); of {len(stalls):,} turns of the "
        f"event loop the slowest took {stalls[-1]:.0f} ms, 999 in 1000 under "
        f"{stalls[int(0.999 * (len(stalls) - 1))]:.0f} ms"
    )
    return 0


def _watch_pits(folder: Path) -> int:
    from tests.simulator import recipes
    from tests.simulator.pit_events import cases
    from tests.trust.alarms import count, count_logs, demo_logs, line

    table = count(cases(recipes.part("all")))
    demo = count_logs(demo_logs(folder))
    for kind, counted in (*table.items(), ("demo", demo)):
        print(line(kind, counted))
    return 0


def _look_often(folder: Path, asked: argparse.Namespace) -> int:
    from tests.trust.cuts import cut_often
    from tests.trust.kills import kill_often
    from tests.trust.record import NoRecorder
    from tests.trust.writes import fail_often

    crashes = 0
    try:
        if asked.what == "kills":
            found = kill_often(folder / "journal", asked.times, asked.seed)
        elif asked.what == "cuts":
            found = cut_often(folder, asked.times, asked.seed)
        else:
            found, crashes = fail_often(folder, asked.calls, asked.seed)
    except NoRecorder as problem:
        print(f"not tried: {problem}", file=sys.stderr)
        return 2
    print(
        f"{asked.what}: looked {found.times:,} times, for {found.readings:,} acknowledged readings and "
        f"{found.notes:,} entries; {found.problems:,} problems said; lost {found.lost}; "
        f"damage found {found.damaged} times; ended without a word {crashes} times"
    )
    unexpected = found.problems if asked.what != "writes" else 0
    return 1 if found.lost or found.damaged or unexpected or crashes else 0


if __name__ == "__main__":
    sys.exit(main())
