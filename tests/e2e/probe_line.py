"""A box with probes at the other end of a serial line: a process of its own that writes lines.

    python -m tests.e2e.probe_line LINK HISTORY PACE PULL_AT_S PULL_FOR_S

It opens a pseudo-terminal, puts a link to it at LINK, and writes the history as 'pit,meat,check' lines at
PACE times the speed of life. At PULL_AT_S (history time) the cable is pulled: the terminal is closed and
the link goes; after PULL_FOR_S (history time as well) it is put back, as another terminal. What it wrote
is told on standard output: 'sent TIME_S' a line, 'pulled' and 'back'. It ends when its input is closed.
"""

from __future__ import annotations

import csv
import os
import sys
import threading
import time
import tty
from pathlib import Path


class Line:
    """One end of a pseudo-terminal with a link to the other."""

    def __init__(self, link: Path) -> None:
        self._link = link
        self.master, slave = os.openpty()
        tty.setraw(slave)
        self._slave = slave
        os.set_blocking(self.master, False)
        fresh = link.with_suffix(".new")
        fresh.symlink_to(os.ttyname(slave))
        fresh.replace(link)

    def write(self, text: str) -> bool:
        """Write; False when nobody has read for so long that there is no room."""
        try:
            return os.write(self.master, text.encode()) == len(text)
        except BlockingIOError:
            return False

    def pull(self) -> None:
        """Take the cable away."""
        self._link.unlink()
        os.close(self._slave)
        os.close(self.master)


def main() -> None:
    """See the module."""
    link, history = Path(sys.argv[1]), Path(sys.argv[2])
    pace, pull_at_s, pull_for_s = (float(text) for text in sys.argv[3:6])
    with history.open(newline="") as file:
        rows = list(csv.DictReader(file))
    line: Line | None = Line(link)
    print("ready", flush=True)
    sys.stdin.readline()
    # When whoever started this is gone, so is this.
    threading.Thread(target=lambda: (sys.stdin.read(), os._exit(0)), daemon=True).start()
    started = time.monotonic()
    pulled = False
    blanks = 0
    for row in rows:
        at_s = float(row["time_s"])
        if list(row.values()).count("") != blanks:
            # A breath, so that lines with and without a column do not arrive in one handful.
            blanks = list(row.values()).count("")
            time.sleep(0.3)
        time.sleep(max(0.0, started + at_s / pace - time.monotonic()))
        if line is not None and not pulled and at_s >= pull_at_s:
            line.pull()
            line, pulled = None, True
            print("pulled", flush=True)
        if line is None and at_s >= pull_at_s + pull_for_s:
            line = Line(link)
            print("back", flush=True)
        if line is not None and line.write(f"{row['pit_c']},{row['meat_c']},{row['check_c']}\r\n"):
            print(f"sent {row['time_s']}", flush=True)
    print("end", flush=True)
    threading.Event().wait()


if __name__ == "__main__":
    main()
