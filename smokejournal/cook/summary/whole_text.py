"""A whole cook as plain text, for when the journal can't be written: every entry and every reading."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import UTC, datetime

from smokejournal.cook.log.cook_log import CookLog, struck_ids
from smokejournal.cook.log.entries import CookOpened
from smokejournal.cook.log.entry_words import entry_words, names_of
from smokejournal.cook.log.readings import Reading
from smokejournal.cook.text.translate import translate


def whole_text(log: CookLog, waiting: Sequence[Reading] = ()) -> str:
    """Title, log and raw readings [°C], with those that wait to be written. Times are ISO 8601, UTC."""
    return "\n".join(_lines(log, waiting)) + "\n"


def _lines(log: CookLog, waiting: Sequence[Reading]) -> Iterator[str]:
    opened = next((e.what for e in log.entries if isinstance(e.what, CookOpened)), None)
    yield opened.title if opened is not None else str(log.cook_id)
    yield translate("WholeText", "Times are UTC, temperatures °C as the probes gave them.")
    yield ""
    yield translate("WholeText", "Log")
    struck, names = struck_ids(log.entries), names_of(log.entries)
    for entry in sorted(log.entries, key=lambda each: (each.at_s, each.id)):
        words = " ".join(entry_words(entry.what, names=names).split())
        if entry.id in struck:
            words = translate("WholeText", "(struck) {words}").format(words=words)
        yield f"{_moment(entry.at_s)}  {words}"
    yield ""
    yield translate("WholeText", "Readings")
    yield "time,channel,value_c"
    readings = [
        (at_s, key, value_c)
        for key, trace in log.traces.items()
        for at_s, value_c in zip(trace.at_s.tolist(), trace.value_c.tolist(), strict=True)
    ]
    readings += [(reading.at_s, reading.channel, reading.value_c) for reading in waiting]
    for at_s, key, value_c in sorted(readings):
        yield f"{_moment(at_s)},{key},{value_c!r}"


def _moment(at_s: float) -> str:
    return datetime.fromtimestamp(at_s, UTC).isoformat(timespec="milliseconds")
