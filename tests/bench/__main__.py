"""Measure smokejournal against yardsticks: python -m tests.bench [--quick] [--json FILE] [NAME...]

Reports and asserts nothing: figures depend on the machine and on what else it does. `forecast` takes
up to an hour and runs only when it is named; so do `learning` (pits that cook twelve times) and
`mutations` (5,000 spoilt records).
"""

from __future__ import annotations

import argparse
import importlib
import os
import sys
import traceback
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from tests.bench.measure import Result, table, write_json

NAMES = ("startup", "journal", "finding", "score", "fold", "page", "ground", "safety")
#: Take long; they run when they are named, and take --part and --jobs.
LONG = ("forecast", "learning", "mutations")


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.bench", description=__doc__)
    parser.add_argument("names", nargs="*", metavar="NAME", help=f"of {', '.join((*NAMES, *LONG))}")
    parser.add_argument("--quick", action="store_true", help="fewer rounds and smaller journals")
    parser.add_argument("--json", type=Path, metavar="FILE", help="write the figures there too")
    parser.add_argument(
        "--jobs", type=int, default=1, help="processes (forecast, learning, mutations)"
    )
    parts = ("open", "sealed", "quick", "all")
    parser.add_argument("--part", choices=parts, help="of the simulated cooks (forecast, learning)")
    asked = parser.parse_args()
    unknown = set(asked.names).difference(NAMES, LONG)
    if unknown:
        parser.error(
            f"there is no bench {', '.join(sorted(unknown))}: use {', '.join((*NAMES, *LONG))}"
        )
    results: list[Result] = []
    missing: dict[str, str] = {}
    for name in asked.names or NAMES:
        print(f"measuring {name}", file=sys.stderr, flush=True)
        try:
            measure = importlib.import_module(f"tests.bench.bench_{name}").measure
            more = (asked.part, asked.jobs) if name in LONG else ()
            results += measure(asked.quick, *more)
        except Exception as problem:  # noqa: BLE001 - told at the end; the other benches go on
            missing[name] = f"{type(problem).__name__}: {problem}"
            traceback.print_exc()
    print(table(results))
    for name, why in missing.items():
        print(f"not measured: {name} ({why})")
    if asked.json is not None:
        write_json(asked.json, results, missing)
    return 1 if missing else 0


if __name__ == "__main__":
    sys.exit(main())
