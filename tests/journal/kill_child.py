"""Writes a journal as fast as it can and says what was acknowledged, until it is killed.

One process imports everything once and then forks a writer for each line it is given:
    python kill_child.py FOLDER
"""

import os
import sys
import threading
from pathlib import Path

from smokejournal.cook.log.entries import CookOpened, Note
from smokejournal.cook.log.readings import Reading
from smokejournal.journal import Journal

AT_S = 1_780_000_000.0


def tell(line: str) -> None:
    # One write of less than a pipe's buffer arrives whole or not at all.
    os.write(1, f"{line}\n".encode())


def write(folder: Path) -> None:
    journal = Journal.open(folder)
    cook = journal.new_cook(CookOpened("Ribs", "UTC"), AT_S, AT_S).result()
    tell(f"cook {cook}")

    def read() -> None:
        n = 0
        while True:
            batch = [Reading(AT_S + n + k, f"p{k % 3}", n + k / 7) for k in range(20)]
            for reading in journal.append_readings(cook, batch).result():
                tell(f"reading {cook} {reading.channel} {reading.at_s!r} {reading.value_c!r}")
            n += 20

    threading.Thread(target=read, daemon=True).start()
    n = 0
    while True:
        n += 1
        # Some alone, some waiting together for one commit.
        waiting = [journal.append(cook, Note(f"{n}.{k}"), AT_S, AT_S) for k in range(n % 4 + 1)]
        for k, future in enumerate(waiting):
            tell(f"entry {cook} {future.result().id} {n}.{k}")


def main() -> None:
    folder = Path(sys.argv[1])
    tell("ready")
    for _ in sys.stdin:
        child = os.fork()
        if child == 0:
            write(folder)
        tell(f"pid {child}")
        os.waitpid(child, 0)
        tell("gone")


if __name__ == "__main__":
    main()
