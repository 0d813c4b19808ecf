"""The clock for practice: a pace kept in the journal, so that a restart goes on in the same time."""

from __future__ import annotations

import time
from contextlib import suppress

from smokejournal.journal import Journal
from smokejournal.services.program.clock import Clock, PacedClock
from smokejournal.services.program.clock_watch import steady_clock

SETTING = "practice.clock"


def clock_for(journal: Journal, pace: float | None) -> Clock:
    """The machine's clock held steady, or with a pace the practice clock of this journal.

    A journal that practised before goes on where its practice time is by now; with another pace it
    goes on from the same moment at the new one.
    """
    if pace is None:
        return steady_clock(journal)
    real_s = time.time()
    shown_s = max(real_s, journal.last_recorded_s() or real_s)
    before = _kept(journal)
    if before is not None:
        if before.pace == pace:
            return before
        shown_s = max(shown_s, before.now_s())
    journal.set_setting(SETTING, {"pace": pace, "real_s": real_s, "shown_s": shown_s}).result()
    return PacedClock(pace, real_s, shown_s)


def clock_read_only(journal: Journal) -> Clock:
    """The clock by which this journal is kept: its practice clock where it has one."""
    return _kept(journal) or steady_clock(journal)


def _kept(journal: Journal) -> PacedClock | None:
    kept = journal.setting(SETTING)
    if isinstance(kept, dict) and {"pace", "real_s", "shown_s"} <= kept.keys():
        with suppress(TypeError, ValueError):  # no numbers any more: practice begins anew
            return PacedClock(float(kept["pace"]), float(kept["real_s"]), float(kept["shown_s"]))
    return None
