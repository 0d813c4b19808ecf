"""A plan that is counted back as a list to tick, on a page or two: what hangs beside the pit."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from smokejournal.cook.log.entries import ItemAdded, TimesKept
from smokejournal.cook.plan.prep_progress import LivedStep
from smokejournal.cook.safety.cautions import cautions_for
from smokejournal.cook.summary.sheet import Block, Paragraph, Section, Sheet, SheetColumn, Table
from smokejournal.cook.text import quantities as q
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.text.translate import translate
from smokejournal.cook.timetable.clock_words import day_words
from smokejournal.cook.timetable.step_cautions import step_cautions
from smokejournal.cook.timetable.timetable import Timetable, TimetableStep
from smokejournal.cook.timetable.words import step_words
from smokejournal.paper.summary_pdf import PageName, sheet_pdf


def checklist_sheet(
    timetable: Timetable,
    title: str,
    place: str,
    units: Units,
    kept: TimesKept | None,
    *,
    lived: Sequence[LivedStep] = (),
    items: Sequence[ItemAdded] = (),
    simulated: bool = False,
) -> Sheet:
    """The list as a sheet: each day's steps that are to come or under way, then what to look at.

    Times are those that are shown on screen, with what was kept of them beside.
    """
    open_steps = [s for s in timetable.steps if s.state in ("to_come", "under_way")]
    by_key = {f"prep:{step.key}": step for step in lived}
    sections = _days(open_steps, timetable, units, kept, by_key)
    look: list[Block] = [
        Paragraph(f"{clash.text} {clash.cure}".strip()) for clash in timetable.clashes
    ]
    look += [Paragraph(text) for text in timetable.unknown]
    if look:
        sections.append(Section("look", translate("Checklist", "Look at this"), tuple(look)))
    cautions = [
        caution
        for step in open_steps
        for caution in step_cautions(step, by_key.get(step.key), items, units)
        if caution.key == "keep_cold"
    ]
    cautions += cautions_for(items, "plan", units, preps=[step.step for step in lived])
    sections.append(
        Section(
            "cautions",
            translate("Sheet", "Cautions"),
            tuple(Paragraph(caution.in_full, "small") for caution in dict.fromkeys(cautions)),
        )
    )
    made = q.date_time(timetable.now_s, timetable.zone, units)
    return Sheet(
        title=title or translate("Sheet", "Cook without a title"),
        lines=_lines(timetable, place, units, len(timetable.steps) - len(open_steps)),
        notice=translate("Checklist", "SIMULATED: this cook is a model’s, not a fire’s.")
        if simulated
        else "",
        made=translate("Checklist", "Counted back on {when}").format(when=made),
        sections=tuple(sections),
        remarks=translate("Checklist", "Remarks"),
    )


def checklist_pdf(sheet: Sheet, units: Units, path: Path, page: PageName = "A4") -> int:
    """Write the list in black on white; its number of pages. OSError as of `sheet_pdf`."""
    return sheet_pdf(sheet, None, units, path, page, color=False)


def _lines(timetable: Timetable, place: str, units: Units, done: int) -> tuple[str, ...]:
    wanted_s = timetable.wanted_s
    lines = [
        translate("Checklist", "When it is wanted is not said yet")
        if wanted_s is None
        else translate("Checklist", "Wanted at the table: {when}").format(
            when=q.date_time(wanted_s, timetable.zone, units)
        )
    ]
    if wanted_s is not None and timetable.margin_s >= 60.0:
        lines.append(
            translate("Checklist", "to be ready {margin} before").format(
                margin=q.duration(timetable.margin_s)
            )
        )
    if place:
        lines.append(place)
    if done == 1:
        lines.append(translate("Checklist", "1 step that is over or skipped is left out"))
    elif done:
        lines.append(
            translate("Checklist", "{n} steps that are over or skipped are left out").format(n=done)
        )
    return tuple(lines)


def _days(
    steps: Sequence[TimetableStep],
    timetable: Timetable,
    units: Units,
    kept: TimesKept | None,
    by_key: Mapping[str, LivedStep],
) -> list[Section]:
    days: list[tuple[str, list[tuple[str, ...]]]] = []
    for step in steps:
        day = (
            translate("Checklist", "Time not known")
            if step.start is None
            else day_words(step.start.planned_s, timetable.zone, units)
        )
        if not days or days[-1][0] != day:
            days.append((day, []))
        words = step_words(step, timetable, units, by_key.get(step.key), kept)
        name = words.name
        if words.dish:
            name = translate("TimesPane", "{step}: {dish}").format(step=name, dish=words.dish)
        days[-1][1].append(
            (
                "",
                _stacked(words.start, words.between),
                _stacked(name, words.note, words.state, words.kept),
                # The interval on a line of its own: as one it would break at any place.
                words.lasts.replace(" (", "\n(", 1) or words.source,
                "" if step.pit_c is None else q.temperature(step.pit_c, units),
            )
        )
    columns = (
        SheetColumn("", 0.045),
        SheetColumn(translate("Checklist", "Start"), 0.24),
        SheetColumn(translate("Checklist", "Step"), 0.315),
        SheetColumn(translate("Checklist", "How long"), 0.30),
        SheetColumn(translate("Checklist", "Pit"), 0.10, "right"),
    )
    return [
        Section(f"day{n}", day, (Table(columns, tuple(rows), ticked=True),))
        for n, (day, rows) in enumerate(days)
    ]


def _stacked(*parts: str) -> str:
    return "\n".join(part for part in parts if part)
