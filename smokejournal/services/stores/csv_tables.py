"""A cook's readings and entries as two CSV tables, for a spreadsheet or a program.

RFC 4180: commas, CRLF, quotes around text; UTF-8 with a byte order mark, by which spreadsheets know it.
Moments are ISO 8601 in UTC, with the seconds since the fire was lit beside (blank where it never was);
numbers are plain, SI with °C.

A text that a spreadsheet would run as a formula gets an apostrophe before it, as OWASP advises in "CSV
Injection" (owasp.org/www-community/attacks/CSV_Injection: = + - @, tab, CR, LF and their full-width
forms); blanks before such a sign don't hide it. Numbers are never touched.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Sequence
from datetime import UTC, datetime

import numpy as np

from smokejournal.cook.codec.entries import encode
from smokejournal.cook.log.cook_log import CookLog, struck_ids
from smokejournal.cook.log.correction import corrected
from smokejournal.cook.log.entries import ReadingsStruck
from smokejournal.cook.log.entry_words import entry_words, names_of
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.plan.plan import plan_of
from smokejournal.cook.text.quantities import METRIC, Units

READINGS = (
    "time_utc", "seconds_since_start", "channel", "name", "role", "raw_c", "corrected_c", "struck", "simulated",
)  # fmt: skip
ENTRIES = (
    "id",
    "time_utc",
    "seconds_since_start",
    "written_utc",
    "kind",
    "text",
    "struck",
    "data_json",
)

_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")


def readings_csv(log: CookLog, started_s: float | None) -> bytes:
    """Every reading in order of time, with the correction that was in force then.

    Those that were struck are there as well and say so: 1 in `struck`.
    """
    plan, entries = plan_of(log), log.holding()
    struck = [what for _, what in log.of(ReadingsStruck)]
    rows: list[tuple[float, list[object]]] = []
    for key, trace in log.traces.items():
        channel = plan.channels.get(key) or Channel(key, key, role="other")
        value_c = corrected(trace.at_s, trace.value_c, channel, entries)
        away = np.zeros(len(trace), dtype=np.bool_)
        for one in struck:
            if one.channel == key:
                away |= (trace.at_s >= one.from_s) & (trace.at_s <= one.to_s)
        simulated = int(plan.simulated or channel.simulated)
        for at_s, raw_c, c, gone in zip(
            trace.at_s.tolist(),
            trace.value_c.tolist(),
            value_c.tolist(),
            away.tolist(),
            strict=True,
        ):
            words = (key, channel.name, channel.role)
            cells = [*_when(at_s, started_s), *words, _Number(raw_c), _Number(c), gone, simulated]
            rows.append((at_s, cells))
    rows.sort(key=lambda row: row[0])
    return _written(READINGS, (row for _, row in rows))


def entries_csv(log: CookLog, started_s: float | None, units: Units = METRIC) -> bytes:
    """Every entry in order of time: in words in these units, and as the journal holds it, as JSON.

    Those that were struck are there as well and say so: 1 in `struck`.
    """
    struck, names = struck_ids(log.entries), names_of(log.entries)
    rows: list[Sequence[object]] = []
    for entry in sorted(log.entries, key=lambda each: (each.at_s, each.id)):
        kind, data = encode(entry.what)
        when = _when(entry.at_s, started_s)
        words = entry_words(entry.what, units, names)
        held = json.dumps(data, ensure_ascii=False)
        rows.append(
            (entry.id, *when, _iso(entry.recorded_s), kind, words, entry.id in struck, held)
        )
    return _written(ENTRIES, rows)


class _Number(float):
    """Written as it is held, without an exponent."""

    def __str__(self) -> str:
        return np.format_float_positional(float(self), trim="-")


def _when(at_s: float, started_s: float | None) -> tuple[object, object]:
    since = "" if started_s is None else _Number(round(at_s - started_s, 3))
    return _iso(at_s), since


def _iso(at_s: float) -> str:
    moment = datetime.fromtimestamp(at_s, UTC)
    return moment.isoformat(timespec="milliseconds").replace("+00:00", "Z")


def disarmed(text: str) -> str:
    """The text as no spreadsheet runs it: see the module."""
    risky = text.startswith(_FORMULA) or text.lstrip().startswith(_FORMULA)
    return f"'{text}" if risky else text


def _written(head: Sequence[str], rows: Iterable[Sequence[object]]) -> bytes:
    out = io.StringIO(newline="")
    # Text stands in quotes, numbers don't; a separator within a text can then begin no cell.
    writer = csv.writer(out, quoting=csv.QUOTE_NONNUMERIC, lineterminator="\r\n")
    writer.writerow(head)
    for row in rows:
        writer.writerow([_cell(value) for value in row])
    return out.getvalue().encode("utf-8-sig", "replace")


def _cell(value: object) -> object:
    if isinstance(value, str):
        return disarmed(value.replace("\0", "\ufffd"))
    return int(value) if isinstance(value, bool) else value
