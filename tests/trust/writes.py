"""One write or sync after the other fails; the program says so, and what it acknowledged is there, also
after a power cut at the end."""

from __future__ import annotations

import errno
import os
import random
import shutil
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from tests.trust.cuts import cut_at
from tests.trust.kills import Found, look
from tests.trust.record import Run, compiled, record, said_in

#: What the system says of a disk that fails, and of one that is full.
ERRORS = (errno.EIO, errno.ENOSPC)
#: A run makes about 150 calls then, the closing included.
BATCHES = 6
#: The writer's exit codes: it ended in order, or could not begin and said why.
_ENDS = (0, 3)


def fail_often(
    folder: Path, calls: int, seed: int, errors: tuple[int, ...] = ERRORS
) -> tuple[Found, int]:
    """Fails each of the first so many calls for the journal's files, once with each error. Gives what
    was found, and how many runs ended otherwise than they should. NoRecorder where nothing can be
    recorded."""
    folder = folder.resolve()
    library = compiled(folder)
    found, chance, crashes = Found(), random.Random(seed), 0

    def fail(error: int, call: int) -> tuple[Path, Run]:
        journal = folder / f"{errno.errorcode[error]}-{call}"
        return journal, record(library, journal, BATCHES, call, error)

    each = [(error, call) for error in errors for call in range(1, calls + 1)]
    with ThreadPoolExecutor(os.cpu_count()) as at_once:
        for journal, run in at_once.map(fail, *zip(*each, strict=True)):
            crashes += _crashed(run, journal.name)
            # The cut first: a look at what the writer left changes nothing in its log.
            cut_at(run.events, journal, [len(run.events)], chance, found)
            look(journal, said_in(run.events), found)
            found.times += 1
            for path in (journal, journal.with_name(f"{journal.name}-cut-0")):
                shutil.rmtree(path)
    return found, crashes


def _crashed(run: Run, name: str) -> bool:
    crashed = run.code not in _ENDS or "Traceback" in run.errors
    if crashed:
        print(f"{name} ended with {run.code}:\n{run.errors}", file=sys.stderr)
    return crashed
