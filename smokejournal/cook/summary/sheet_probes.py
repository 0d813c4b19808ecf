"""The parts of the sheet about stages and probes, in words."""

from __future__ import annotations

from collections.abc import Iterator

from smokejournal.cook.log.correction import correction_words
from smokejournal.cook.plan.schedule_words import stage_words
from smokejournal.cook.probes.facts import Extremes, PitFact, TargetReached
from smokejournal.cook.summary.sheet import Block, Paragraph, SheetColumn, Table
from smokejournal.cook.summary.stage_lines import StageLine
from smokejournal.cook.summary.summary import Summary
from smokejournal.cook.text import quantities as q
from smokejournal.cook.text.quantities import DASH, Units
from smokejournal.cook.text.translate import translate


def when(summary: Summary, at_s: float | None, units: Units) -> str:
    """The clock; with the day where the clock alone could be taken for another moment.

    Alone it means the day on which the cook began, or the 24 hours from its beginning.
    """
    if at_s is None:
        return DASH
    clock = q.clock_time(at_s, summary.zone, units)
    began_s = summary.started_s if summary.started_s is not None else summary.made_at_s
    day = q.date(at_s, summary.zone)
    if day == q.date(began_s, summary.zone) or 0.0 <= at_s - began_s < 86400.0:
        return clock
    return with_day(summary, at_s, units)


def with_day(summary: Summary, at_s: float, units: Units) -> str:
    """The clock with its day: "26 Nov, 02:10"."""
    clock, day = q.clock_time(at_s, summary.zone, units), q.day(at_s, summary.zone, units)
    return translate("Sheet", "{day}, {clock}").format(day=day, clock=clock)


def schedule_blocks(summary: Summary, units: Units) -> Iterator[Block]:
    """Each stage: what was planned, from when to when it ran, how it ended, how the pit held."""
    if not summary.stages:
        return
    columns = (
        SheetColumn(translate("Sheet", "Stage"), 0.13),
        SheetColumn(translate("Sheet", "Plan"), 0.24),
        SheetColumn(translate("Sheet", "From – to"), 0.21),
        SheetColumn(translate("Sheet", "Took"), 0.14),
        SheetColumn(translate("Sheet", "Ended"), 0.11),
        SheetColumn(translate("Sheet", "Pit was"), 0.17, "right"),
    )
    yield Table(columns, tuple(_stage_row(summary, line, units) for line in summary.stages))
    notes = [note for line in summary.stages for note in _stage_notes(line)]
    if notes:
        yield Paragraph("\n".join(notes))
    if any(line.pit is not None for line in summary.stages):
        text = translate("Sheet", "Pit: mean ± standard deviation of its readings in the stage.")
        yield Paragraph(text, "faint")


def _stage_row(summary: Summary, line: StageLine, units: Units) -> tuple[str, ...]:
    plan = stage_words(line.stage, units, summary.channels, summary.zone)
    took = DASH if line.length_s is None else q.duration(line.length_s)
    if line.planned_s is not None:
        took += "\n" + translate("Sheet", "plan {time}").format(time=q.duration(line.planned_s))
    ran = DASH
    if line.began_s is not None:
        to = when(summary, line.ended_s, units) if line.ended_s is not None else "…"
        ran = f"{when(summary, line.began_s, units)} – {to}"
    if line.planned_begin_s is not None:
        begin = when(summary, line.planned_begin_s, units)
        ran += "\n" + translate("Sheet", "plan {time}").format(time=begin)
    return (line.stage.name, plan, ran, took, how_words(line), _pit(line.pit, units))


def how_words(line: StageLine) -> str:
    """How a stage ended, or where it stands."""
    if line.state != "over" or line.how is None:
        return {
            "over": translate("Sheet", "over"),
            "under_way": translate("Sheet", "under way"),
            "to_come": translate("Sheet", "to come"),
            "skipped": translate("Sheet", "skipped"),
            "not_reached": translate("Sheet", "not reached"),
        }[line.state]
    return {
        "rule": translate("Sheet", "by its rule"),
        "confirmed": translate("Sheet", "when you confirmed"),
        "skipped": translate("Sheet", "skipped"),
        "put_back": translate("Sheet", "put back"),
        "closed": translate("Sheet", "cook closed"),
    }[line.how]


def _pit(fact: PitFact | None, units: Units) -> str:
    if fact is None:
        return DASH
    if fact.sd_c is None:
        return q.temperature(fact.mean_c, units, 1)
    number = q.temperature_number(fact.mean_c, units, 1)
    return f"{number} ± {q.temperature_step(fact.sd_c, units)}"


def _stage_notes(line: StageLine) -> Iterator[str]:
    name = line.stage.name
    if line.credited_s is not None and line.needed_s is not None:
        text = translate("Sheet", "{stage}: {counted} of {needed} counted at temperature.")
        if line.restarts:
            text = translate(
                "Sheet",
                "{stage}: {counted} of {needed} counted at temperature, started over {n} times.",
            )
        yield text.format(
            stage=name,
            counted=q.duration(line.credited_s),
            needed=q.duration(line.needed_s),
            n=line.restarts,
        )
    if line.extended_s:
        text = translate("Sheet", "{stage}: given {time} more.")
        yield text.format(stage=name, time=q.duration(line.extended_s))


def probe_blocks(summary: Summary, units: Units) -> Iterator[Block]:
    """When each probe got to each target, how far apart they were, highest and lowest, gaps."""
    if not summary.extremes:
        return
    if summary.reaches:
        yield _reach_table(summary, units)
        text = translate(
            "Sheet",
            "First reading at or past the target; proven when the probe had stayed there as long as its rule asks.",
        )
        yield Paragraph(text, "faint")
    yield from map(Paragraph, _differences(summary, units))
    yield _extremes_table(summary, units)
    yield from map(Paragraph, _troubles(summary))


def _reach_table(summary: Summary, units: Units) -> Table:
    columns = (
        SheetColumn(translate("Sheet", "Target"), 0.16),
        SheetColumn(translate("Sheet", "Probe"), 0.28),
        SheetColumn(translate("Sheet", "Reached"), 0.15),
        SheetColumn(translate("Sheet", "After"), 0.14, "right"),
        SheetColumn(translate("Sheet", "Proven"), 0.13, "right"),
        SheetColumn(translate("Sheet", "Against lead"), 0.18, "right"),
    )
    order = {(t.target_c, t.direction): n for n, t in enumerate(summary.targets)}
    rows = []
    last = ""
    for r in sorted(
        summary.reaches, key=lambda r: order.get((r.target_c, r.direction), len(order))
    ):
        target = q.temperature(r.target_c, units)
        if r.direction == "falling":
            target = translate("Sheet", "down to {t}").format(t=target)
        reached = translate("Sheet", "not reached")
        if r.first_at_s is not None:
            reached = when(summary, r.first_at_s, units)
        rows.append(
            (
                "" if target == last else target,
                summary.channel_name(r.channel),
                reached,
                DASH if r.minute is None else q.duration(60.0 * round(r.minute)),
                when(summary, r.proven_at_s, units),
                _against(summary, r),
            )
        )
        last = target
    return Table(columns, tuple(rows))


def _against(summary: Summary, r: TargetReached) -> str:
    for gap in summary.apart:
        if (gap.second, gap.target_c, gap.direction) == (r.channel, r.target_c, r.direction):
            if gap.first != summary.lead:
                continue
            if gap.later_s == 0:
                return translate("Sheet", "together")
            text = (
                translate("Sheet", "{time} later")
                if gap.later_s > 0
                else translate("Sheet", "{time} sooner")
            )
            return text.format(time=q.duration(abs(gap.later_s)))
    if r.channel == summary.lead:
        return translate("Sheet", "leads")
    return DASH


def _differences(summary: Summary, units: Units) -> Iterator[str]:
    for found in summary.differences:
        mean = q.temperature_step(abs(found.mean_k), units)
        if mean == q.temperature_step(0.0, units):
            text = translate("Sheet", "{b} and {a} read the same on average")
        elif found.mean_k < 0:
            text = translate("Sheet", "{b} read {mean} lower than {a} on average")
        else:
            text = translate("Sheet", "{b} read {mean} higher than {a} on average")
        text = text.format(
            a=summary.channel_name(found.first),
            b=summary.channel_name(found.second),
            mean=mean,
        )
        if found.sd_k is None:
            more = translate("Sheet", "({n} reading heard together).")
        else:
            more = translate("Sheet", "(standard deviation {sd}, {n} readings heard together).")
        sd = "" if found.sd_k is None else q.temperature_step(found.sd_k, units)
        yield f"{text} {more.format(sd=sd, n=found.n)}"


def _extremes_table(summary: Summary, units: Units) -> Table:
    columns = (
        SheetColumn(translate("Sheet", "Channel"), 0.30),
        SheetColumn(translate("Sheet", "Highest"), 0.25),
        SheetColumn(translate("Sheet", "Lowest"), 0.25),
        SheetColumn(translate("Sheet", "Readings"), 0.20, "right"),
    )
    return Table(columns, tuple(_extremes_row(summary, fact, units) for fact in summary.extremes))


def _extremes_row(summary: Summary, fact: Extremes, units: Units) -> tuple[str, ...]:
    name = summary.channel_name(fact.channel)
    channel = summary.channels.get(fact.channel)
    if channel is not None and channel.is_corrected:
        step = correction_words(channel, units)
        name = translate("Sheet", "{name} (corrected {step})").format(name=name, step=step)

    def at(value_c: float | None, at_s: float | None) -> str:
        if value_c is None:
            return q.unknown(translate("Sheet", "no reading could be used"))
        text = translate("Sheet", "{t} at {clock}")
        return text.format(t=q.temperature(value_c, units, 1), clock=when(summary, at_s, units))

    return (
        name,
        at(fact.highest_c, fact.highest_at_s),
        at(fact.lowest_c, fact.lowest_at_s),
        str(fact.readings),
    )


def _troubles(summary: Summary) -> Iterator[str]:
    for gap in summary.gaps:
        text = translate("Sheet", "{name}: {n} gaps in the readings, the longest {longest}.")
        if gap.count == 1:
            text = translate("Sheet", "{name}: 1 gap in the readings, {longest}.")
        yield text.format(
            name=summary.channel_name(gap.channel),
            n=gap.count,
            longest=q.duration(gap.longest_s),
        )
    for fact in summary.extremes:
        if fact.absurd or fact.jumped:
            text = translate(
                "Sheet",
                "{name}: left out were {absurd} readings that can be no temperature there and {jumped} while the probe was out.",
            )
            yield text.format(
                name=summary.channel_name(fact.channel), absurd=fact.absurd, jumped=fact.jumped
            )
