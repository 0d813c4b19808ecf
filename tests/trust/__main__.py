"""`python -m tests.trust kills`, `… day --hours 24`, `… lines --times 10000` (10 million)."""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.trust", description=__doc__)
    parser.add_argument("what", choices=("kills", "day", "lines"))
    parser.add_argument("--times", type=int, default=500, help="kills; lines in thousands")
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
        if asked.what == "kills":
            from tests.trust.kills import kill_often

            found = kill_often(Path(folder) / "journal", asked.times, asked.seed)
            print(
                f"{found.kills} kills; acknowledged {found.readings:,} readings and {found.notes:,} "
                f"entries; lost {found.lost}; damage found {found.damaged} times"
            )
            return 1 if found.lost or found.damaged else 0
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


if __name__ == "__main__":
    sys.exit(main())
