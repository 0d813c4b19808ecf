"""A whole cook as plain text, for when the journal can't be written or opened: plan, log and readings."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime

from smokejournal.cook.log.cook_log import CookLog, struck_ids
from smokejournal.cook.log.entries import Payload, Unread
from smokejournal.cook.log.entry_words import Names, entry_words, names_of
from smokejournal.cook.log.readings import Reading
from smokejournal.cook.plan.plan import Plan, plan_of
from smokejournal.cook.plan.schedule_words import stage_words
from smokejournal.cook.plan.words import item_words, prep_words, probe_words
from smokejournal.cook.text.printable import printable
from smokejournal.cook.text.quantities import METRIC
from smokejournal.cook.text.translate import translate


def whole_text(log: CookLog, waiting: Sequence[Reading] = (), missing: Sequence[str] = ()) -> str:
    """Title, plan, log and raw readings [°C], with those that wait to be written. Times are ISO 8601,
    UTC. `missing`: sentences that say what is or may be missing."""
    return "\n".join(_lines(log, waiting, missing)) + "\n"


def _lines(log: CookLog, waiting: Sequence[Reading], missing: Sequence[str]) -> Iterator[str]:
    plan = plan_of(log)
    yield _one_line(plan.title) or translate("WholeText", "Cook {number}").format(
        number=log.cook_id
    )
    yield translate("WholeText", "Times are UTC, temperatures °C as the probes gave them.")
    if missing:
        yield translate("WholeText", "What is or may be missing is said at the end.")
    yield ""
    yield translate("WholeText", "Plan")
    for line in _plan(plan):
        yield _one_line(line)
    yield ""
    yield translate("WholeText", "Log")
    struck, names = struck_ids(log.entries), names_of(log.entries)
    for entry in sorted(log.entries, key=lambda each: (each.at_s, each.id)):
        words = _words(entry.what, names)
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
    cells = {key: _cell(key) for _, key, _ in readings}
    for at_s, key, value_c in sorted(readings):
        yield f"{_moment(at_s)},{cells[key]},{value_c!r}"
    if missing:
        yield ""
        yield translate("WholeText", "Missing")
        yield from map(_one_line, missing)


def _plan(plan: Plan) -> Iterator[str]:
    if plan.place:
        yield translate("WholeText", "At: {place}").format(place=plan.place)
    if plan.ready_at_s is not None:
        yield translate("WholeText", "Wanted for: {moment}").format(moment=_moment(plan.ready_at_s))
    for _, item in plan.items:
        yield item_words(item, METRIC)
    for _, step in plan.prep:
        yield translate("WholeText", "Before the fire: {step}").format(step=prep_words(step))
    for stage in plan.schedule.stages:
        words = stage_words(stage, METRIC, plan.channels, "UTC")
        yield translate("WholeText", "Stage {stage}: {words}").format(stage=stage.name, words=words)
    for key, channel in plan.channels.items():
        yield translate("WholeText", "Channel {key}: {probe}").format(
            key=key, probe=probe_words(channel, METRIC, plan.lead, plan.check)
        )


def _words(what: Payload, names: Names) -> str:
    words = _one_line(entry_words(what, names=names))
    if not isinstance(what, Unread):
        return words
    raw = what.data.get("text") if what.data.keys() == {"text"} else None
    if not isinstance(raw, str):
        raw = json.dumps(dict(what.data), ensure_ascii=False)
    text = translate("WholeText", "{words} (as it was written: {raw})")
    if what.damaged:
        text = translate("WholeText", "{words} (as it stands now: {raw})")
    return text.format(words=words, raw=_one_line(raw))


def _one_line(text: str) -> str:
    return " ".join(printable(text).split())


def _cell(text: str) -> str:
    """A cell of the table, quoted where it must be (RFC 4180, section 2)."""
    if not any(sign in text for sign in ',"\r\n'):
        return text
    return '"' + text.replace('"', '""') + '"'


def _moment(at_s: float) -> str:
    return datetime.fromtimestamp(at_s, UTC).isoformat(timespec="milliseconds")
