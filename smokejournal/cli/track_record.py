"""The command 'track-record': how good the forecasts of the finished cooks were, as text or JSON."""

from __future__ import annotations

import json
import math
import textwrap
from typing import Any

from smokejournal.cook.learning import track_record_words as words
from smokejournal.cook.learning.track_record import MEANT, Lean, MomentRecord, Off, Record
from smokejournal.services.forecast.track_record import Judged, TrackRecord
from smokejournal.services.program.program import Program

GAP = "  "
#: Sentences are broken at this many characters.
WIDTH = 88


def track_record(program: Program, as_json: bool) -> str:
    """What is to be printed. Raises JournalProblem."""
    record = TrackRecord(program)
    try:
        judged = record.walk().run()
    finally:
        record.close()
    assert judged is not None  # nobody cancels it
    return json.dumps(_json(judged), indent=1, allow_nan=False) if as_json else _text(judged)


def _text(judged: Judged) -> str:
    parts = [_record_text(judged.real)]
    if judged.simulated.finished:
        parts.append(_record_text(judged.simulated, words.simulated_note()))
    if judged.real.cooks or judged.simulated.cooks:
        parts += [textwrap.fill(text, WIDTH) for text in words.meaning()]
    return "\n\n".join(parts)


def _record_text(record: Record, note: str = "") -> str:
    lines = [textwrap.fill(f"{note} {words.above(record)}".strip(), WIDTH)]
    if record.cooks:
        lines += ["", *_table(record), ""]
    missing = textwrap.fill(words.not_counted(record), WIDTH)
    return "\n".join([*lines, missing] if missing else lines).rstrip()


def _table(record: Record) -> list[str]:
    """Aligned columns of as many lines as the cells have."""
    rows = [words.heads(), *(words.row(moment) for moment in record.moments)]
    cells = [[cell.split("\n") for cell in row] for row in rows]
    widths = [max(len(line) for row in cells for line in row[n]) for n in range(len(rows[0]))]
    lines = []
    for row in cells:
        for n in range(max(map(len, row))):
            parts = (cell[n] if n < len(cell) else "" for cell in row)
            padded = (part.ljust(width) for part, width in zip(parts, widths, strict=True))
            lines.append(GAP.join(padded).rstrip())
    return lines


def _json(judged: Judged) -> dict[str, Any]:
    return {
        "meant_to_hold": MEANT,
        "real": _record_json(judged.real),
        "simulated": _record_json(judged.simulated),
    }


def _record_json(record: Record) -> dict[str, Any]:
    return {
        "finished": record.finished,
        "judged": record.cooks,
        "no_forecast": record.no_forecast,
        "never_came": record.never_came,
        "not_heard": record.not_heard,
        "moments": [_moment_json(moment) for moment in record.moments],
    }


def _moment_json(moment: MomentRecord) -> dict[str, Any]:
    held_range = None
    if moment.low is not None and moment.high is not None:
        held_range = [round(moment.low, 4), round(moment.high, 4)]
    return {
        "of_the_way": moment.share,
        "forecasts": moment.judged,
        "none_made": moment.none_made,
        "held": moment.held,
        "held_range": held_range,
        "median_error": _off_json(moment.off),
        "bias": _lean_json(moment.lean),
        "straight_line_median_error": _off_json(moment.line),
    }


def _off_json(off: Off | None) -> dict[str, Any] | None:
    """JSON has no infinity: null where half or more told no time."""
    if off is None:
        return None
    told = math.isfinite(off.share)
    return {
        "share_of_remaining": round(off.share, 4) if told else None,
        "seconds": round(off.seconds, 1) if told else None,
        "told_no_time": off.told_none,
    }


def _lean_json(lean: Lean | None) -> dict[str, Any] | None:
    if lean is None:
        return None
    return {"share_of_remaining": round(lean.share, 4), "seconds": round(lean.seconds, 1)}
