"""The sheet of a cook, put together from its summary."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from smokejournal.cook.log.entries import FoodClass, ItemAdded, Lid, MassStage
from smokejournal.cook.log.entry_words import (
    Names,
    entry_words,
    seen_words,
)
from smokejournal.cook.progress.lids import lid_spans
from smokejournal.cook.safety.cautions import Caution
from smokejournal.cook.summary.costs import Costs
from smokejournal.cook.summary.faults import fault_words
from smokejournal.cook.summary.sheet import (
    Block,
    Marks,
    Paragraph,
    Section,
    Sheet,
    SheetColumn,
    Table,
    TastingMark,
)
from smokejournal.cook.summary.sheet_forecasts import forecast_blocks, lasted_blocks
from smokejournal.cook.summary.sheet_fuel import fuel_blocks, lot_words
from smokejournal.cook.summary.sheet_probes import probe_blocks, schedule_blocks, when, with_day
from smokejournal.cook.summary.sheet_safety import safety_blocks
from smokejournal.cook.summary.summary import Summary, WeatherFact
from smokejournal.cook.summary.tasting import HIGHEST, scale
from smokejournal.cook.summary.yields import YieldLine, Yields, YieldStep
from smokejournal.cook.text import quantities as q
from smokejournal.cook.text.quantities import DASH, Units
from smokejournal.cook.text.translate import translate

#: Keys of the sections in their order; the picture of the score stands before them all. The first ones
#: are the sheet for the kitchen wall: how it was, what to change, and what to mind with this food.
WALL = ("taste", "next", "yield", "care")
ORDER = (
    *WALL, "items", "prep", "weather", "schedule", "probes", "lasted", "forecasts", "safety", "log", "fuel",
    "missing", "cautions",
)  # fmt: skip


def sheet_of(summary: Summary, units: Units) -> Sheet:
    """The whole sheet in these units. Sections of which nothing was written down are named as such."""
    care = [c for c in summary.cautions(units) if c.key == "minimum"]
    titled: list[tuple[str, str, Iterable[Block]]] = [
        ("taste", translate("Sheet", "How it tasted"), _taste(summary)),
        (
            "next",
            translate("Sheet", "Next time"),
            [Paragraph(text, "strong") for _, text in summary.next_time],
        ),
        ("yield", _yield_title(summary), _yield(summary, units)),
        ("care", translate("Sheet", "Keep in mind"), _cautions(care)),
        ("items", translate("Sheet", "On the grate"), _items(summary, units)),
        ("prep", translate("Sheet", "Prep"), _prep(summary, units)),
        ("weather", translate("Sheet", "Weather"), _weather(summary, units)),
        ("schedule", translate("Sheet", "Schedule"), schedule_blocks(summary, units)),
        ("probes", translate("Sheet", "Probes"), probe_blocks(summary, units)),
        ("lasted", translate("Sheet", "What made it last"), lasted_blocks(summary, units)),
        ("forecasts", translate("Sheet", "Forecasts"), forecast_blocks(summary, units)),
        ("safety", translate("Sheet", "Food safety"), safety_blocks(summary, units)),
        ("log", translate("Sheet", "At the pit"), _log(summary, units)),
        ("fuel", translate("Sheet", "Fuel"), fuel_blocks(summary, units)),
    ]
    found = [Section(key, title, tuple(blocks)) for key, title, blocks in titled]
    there = {section.key for section in found if section.blocks}
    # What belongs to this food is in "care"; what belongs to every cook comes last of all.
    every = [c for c in summary.cautions(units) if c not in care]
    found += [
        Section("missing", translate("Sheet", "Left open"), tuple(_missing(there))),
        Section("cautions", translate("Sheet", "Cautions"), tuple(_cautions(every))),
    ]
    return Sheet(
        title=summary.title or translate("Sheet", "Cook without a title"),
        lines=_lines(summary, units),
        notice=_notice(summary),
        made=translate("Sheet", "From the log, {when}").format(
            when=q.date_time(summary.made_at_s, summary.zone, units)
        ),
        sections=tuple(section for section in found if section.blocks),
        first_page=len(there.intersection(WALL)) if there & {"taste", "next"} else 0,
    )


def _notice(summary: Summary) -> str:
    if not summary.simulated:
        return ""
    return translate("Sheet", "SIMULATED: these readings come from a model, not from a fire.")


def _lines(summary: Summary, units: Units) -> tuple[str, ...]:
    parts = []
    if summary.started_s is not None:
        begin = q.date_time(summary.started_s, summary.zone, units)
        if summary.ended_s is not None:
            text = translate("Sheet", "{begin} – {end}, {time}")
            end = q.clock_time(summary.ended_s, summary.zone, units)
            if q.date(summary.ended_s, summary.zone) != q.date(summary.started_s, summary.zone):
                end = with_day(summary, summary.ended_s, units)
        else:
            text, end = translate("Sheet", "Begun {begin}, under way for {time}"), ""
        parts.append(text.format(begin=begin, end=end, time=q.duration(summary.length_s or 0.0)))
    else:
        parts.append(translate("Sheet", "Planned, not begun"))
    if summary.ready_at_s is not None:
        text = translate("Sheet", "wanted for {when}")
        parts.append(text.format(when=when(summary, summary.ready_at_s, units)) + _off(summary))
    if summary.place:
        parts.append(summary.place)
    parts.append(translate("Sheet", "times as in {zone}").format(zone=summary.zone))
    return tuple(parts)


def _off(summary: Summary) -> str:
    """How far off the wanted time the last stage was over; under five minutes nobody minds."""
    if summary.ended_s is None or summary.ready_at_s is None:
        return ""
    off_s = summary.ended_s - summary.ready_at_s
    if abs(off_s) < 300.0:
        return translate("Sheet", ", done in time")
    text = (
        translate("Sheet", ", done {time} later")
        if off_s > 0
        else translate("Sheet", ", done {time} earlier")
    )
    return text.format(time=q.duration(abs(off_s)))


def food_words(food: FoodClass) -> str:
    """The kind of food in words."""
    return {
        "red_meat": translate("Sheet", "whole cut"),
        "poultry": translate("Sheet", "poultry"),
        "ground": translate("Sheet", "ground meat"),
        "fish": translate("Sheet", "fish"),
        "ham": translate("Sheet", "ham"),
        "other": translate("Sheet", "other"),
    }[food]


def _items(summary: Summary, units: Units) -> Iterator[Block]:
    if not summary.items:
        return
    columns = (
        SheetColumn(translate("Sheet", "Item"), 0.40),
        SheetColumn(translate("Sheet", "Mass"), 0.15, "right"),
        SheetColumn(translate("Sheet", "Thickness"), 0.15, "right"),
        SheetColumn(translate("Sheet", "Bought"), 0.30),
    )
    yield Table(columns, tuple(_item(item, units) for item in summary.items))


def _item(item: ItemAdded, units: Units) -> tuple[str, ...]:
    name = f"{item.pieces} × {item.name}" if item.pieces != 1 else item.name
    name = f"{name} ({food_words(item.food)})"
    if item.label and item.label != item.name:
        name += "\n" + translate("Sheet", "labeled “{label}”").format(label=item.label)
    bought = [item.bought_at] if item.bought_at else []
    if item.price is not None:
        bought.append(q.money(item.price, item.currency))
    return (
        name,
        q.mass(item.mass_kg, units) if item.mass_kg is not None else DASH,
        q.thickness(item.thickness_m, units) if item.thickness_m is not None else DASH,
        ", ".join(bought) or DASH,
    )


def _timed(rows: list[tuple[str, str]]) -> Iterator[Block]:
    if rows:
        yield Table((SheetColumn("", 0.16), SheetColumn("", 0.84)), tuple(rows))


def _prep(summary: Summary, units: Units) -> Iterator[Block]:
    rows = []
    for at_s, step in summary.prep:
        lasted = q.duration(step.duration_s) if step.duration_s is not None else ""
        text = ", ".join(part for part in (step.step, lasted, step.text) if part)
        rows.append((when(summary, at_s, units), text))
    return _timed(rows)


def _weather(summary: Summary, units: Units) -> Iterator[Block]:
    return _timed(
        [(when(summary, fact.at_s, units), weather_words(fact, units)) for fact in summary.weather]
    )


def weather_words(fact: WeatherFact, units: Units) -> str:
    """One observation in words, with what the air felt like where that is defined."""
    found = seen_words(fact.seen, units)
    if felt := _felt(fact, units) if "air" in found else "":
        found["air"] += f", {felt}"
    if "humidity" in found:
        text = translate("Sheet", "humidity {percent}")
        found["humidity"] = text.format(percent=found["humidity"])
        if fact.dew_point_c is not None:
            text = translate("Sheet", "dew point {temperature}")
            dew_point = text.format(temperature=q.temperature(fact.dew_point_c, units))
            found["humidity"] += f", {dew_point}"
    return ", ".join(found.values()) or translate("Sheet", "nothing was noted")


def _felt(fact: WeatherFact, units: Units) -> str:
    feels = fact.feels
    if feels.value_c is not None:
        text = {
            "wind_chill": translate("Sheet", "feels like {t} (wind chill)"),
            "heat_index": translate("Sheet", "feels like {t} (heat index)"),
            "none": "{t}",
        }[feels.by]
        return text.format(t=q.temperature(feels.value_c, units))
    reason = {
        "no_wind": translate("Sheet", "no wind was noted"),
        "no_humidity": translate("Sheet", "no humidity was noted"),
        "beyond": translate("Sheet", "beyond the published heat index"),
    }.get(feels.why)
    if reason is None:
        return ""
    return translate("Sheet", "what it felt like is {unknown}").format(unknown=q.unknown(reason))


def _log(summary: Summary, units: Units) -> Iterator[Block]:
    lid = summary.lid
    if lid.count:
        text = translate("Sheet", "Lid opened {n} times, {total} in all, {longest} at the longest.")
        if lid.count == 1:
            text = translate("Sheet", "Lid opened once, for {total}.")
        said = text.format(
            n=lid.count, total=q.duration(lid.open_s), longest=q.duration(lid.longest_s)
        )
        if lid.open_now:
            said += " " + translate("Sheet", "It was not closed.")
        yield Paragraph(said)
    yield from _timed(_told(summary, units))
    counted = []
    if summary.struck:
        text = translate("Sheet", "Entries struck and left out here: {n}.")
        counted.append(text.format(n=summary.struck))
    if summary.unread:
        text = translate("Sheet", "Entries that can't be read: {n}.")
        counted.append(text.format(n=summary.unread))
    if counted:
        yield Paragraph(" ".join(counted), "faint")


def _told(summary: Summary, units: Units) -> list[tuple[str, str]]:
    names = Names(
        {key: channel.name for key, channel in summary.channels.items()},
        {line.stage.key: line.stage.name for line in summary.stages},
        summary.zone,
    )
    spans = {span.opened_id: span for span in lid_spans(summary.told)}
    ends = {span.closed_id for span in spans.values()}
    rows: list[tuple[str, str]] = []
    for entry in summary.told:
        words = entry_words(entry.what, units, names)
        if isinstance(entry.what, Lid):
            span = spans.get(entry.id)
            if span is None and (entry.what.open or entry.id in ends):
                # Open already, or told with its opening.
                continue
            if span is not None and span.to_s is not None:
                text = translate("Sheet", "Lid opened for {time}")
                words = text.format(time=q.duration(span.length_s(span.to_s)))
        rows.append((when(summary, entry.at_s, units), words))
    return rows


def step_words(step: MassStage) -> str:
    """A step on the way from shop to plate."""
    return {
        "raw": translate("Sheet", "Raw"),
        "prepared": translate("Sheet", "Prepared"),
        "cooked": translate("Sheet", "Cooked"),
        "served": translate("Sheet", "Served"),
    }[step]


def _yield_title(summary: Summary) -> str:
    return translate("Sheet", "Yield") if summary.yields.known else translate("Sheet", "Cost")


def _yield(summary: Summary, units: Units) -> Iterator[Block]:
    if summary.yields.known:
        yield from _weighed(summary.yields, units)
    yield from (Paragraph(text) for text in cost_lines(summary.costs))


def _weighed(found: Yields, units: Units) -> Iterator[Block]:
    steps = [step.step for step in found.whole.steps]
    columns = (
        SheetColumn("", 0.28),
        *(SheetColumn(step_words(step), 0.18, "right") for step in steps),
    )
    lines = [*found.items, found.whole] if len(found.items) > 1 else [found.whole]
    yield Table(columns, tuple(_yield_row(line, units) for line in lines))
    text = translate("Sheet", "Percentages are of the raw mass.")
    if any(step.why == "not_every_item" for step in found.whole.steps):
        text += " " + translate("Sheet", "Not every item was weighed, so the sum is not known.")
    if found.weighed_again:
        more = translate("Sheet", "Weighed again: {n} times; the last weighing counts.")
        text += " " + more.format(n=found.weighed_again)
    yield Paragraph(text, "faint")


def cost_lines(costs: Costs | None) -> list[str]:
    """What it cost, in sentences; none where no price is known."""
    if costs is None:
        return []
    currency = costs.currency
    named = (
        (translate("Sheet", "food {money}"), costs.food, 0.0),
        (translate("Sheet", "pellets {money}"), costs.pellets, costs.pellets_sd),
        (translate("Sheet", "the rest {money}"), costs.rest, 0.0),
    )
    parts = [
        words.format(money=q.money(part, currency, sd))
        for words, part, sd in named
        if part is not None
    ]
    total = q.money(costs.total, currency, costs.pellets_sd)
    text = translate("Sheet", "Cost: {parts}; {total} in all.")
    lines = [text.format(parts=", ".join(parts), total=total)]
    if costs.per_serving is not None:
        each = q.money(costs.per_serving, currency, costs.pellets_sd / (costs.servings or 1))
        text = (
            translate("Sheet", "{each} for the one serving.")
            if costs.servings == 1
            else translate("Sheet", "{each} for each of {count} servings.")
        )
        lines[0] += " " + text.format(each=each, count=costs.servings)
    if costs.unpriced:
        names = ", ".join(f"“{lot_words(name)}”" for name in costs.unpriced)
        text = translate("Sheet", "Without {names}, for which no price was noted.")
        lines.append(text.format(names=names))
    if costs.other_currencies:
        text = translate("Sheet", "Not converted and left out: what was paid in {currencies}.")
        lines.append(text.format(currencies=", ".join(costs.other_currencies)))
    return lines


def _yield_row(line: YieldLine, units: Units) -> tuple[str, ...]:
    name = line.item or translate("Sheet", "All of it")
    return (name, *(_yield_cell(step, units) for step in line.steps))


def _yield_cell(step: YieldStep, units: Units) -> str:
    if step.mass_kg is None:
        return translate("Sheet", "unknown") if step.why == "not_every_item" else DASH
    text = q.mass(step.mass_kg, units)
    if step.share_pct is None or step.step == "raw":
        return text
    return f"{text} ({q.percent(step.share_pct)})"


def _taste(summary: Summary) -> Iterator[Block]:
    marks = []
    for key, (value, count) in summary.marks().items():
        known = scale(key)
        if known is not None:
            marks.append(TastingMark(known.name, known.low, known.high, value, count))
        else:
            marks.append(TastingMark(key, "", "", value, count))
    if marks:
        yield Marks(tuple(marks))
    for _, tasted in summary.tasted:
        if tasted.text:
            lead = f"{tasted.taster}: " if tasted.taster else ""
            yield Paragraph(lead + tasted.text)
    seen = dict.fromkeys(key for _, tasted in summary.tasted for key in tasted.faults)
    for name, causes in fault_words(seen):
        text = translate("Sheet", "{fault}. Often: {causes}") if causes else "{fault}."
        yield Paragraph(text.format(fault=name, causes=causes))
    if seen:
        yield Paragraph(translate("Sheet", "Causes are common practice: places to look."), "faint")


def mark_words(mark: TastingMark) -> str:
    """ "3.5 of 5", and of how many tastings where there were several."""
    text = translate("Sheet", "{value} of {highest}").format(
        value=f"{mark.value:g}", highest=HIGHEST
    )
    if mark.count > 1:
        text = translate("Sheet", "{value} of {highest}, mean of {n}").format(
            value=f"{round(mark.value, 1):g}", highest=HIGHEST, n=mark.count
        )
    return text


def _missing(there: set[str]) -> Iterator[Block]:
    names = {
        "items": translate("Sheet", "what was on the grate"),
        "prep": translate("Sheet", "prep"),
        "weather": translate("Sheet", "weather"),
        "schedule": translate("Sheet", "a schedule"),
        "probes": translate("Sheet", "readings"),
        "fuel": translate("Sheet", "fuel"),
        "yield": translate("Sheet", "yield"),
        "taste": translate("Sheet", "taste"),
        "next": translate("Sheet", "what to change next time"),
    }
    absent = [name for key, name in names.items() if key not in there]
    if absent:
        text = translate("Sheet", "Not in the log: {things}.")
        yield Paragraph(text.format(things=", ".join(absent)), "faint")


def _cautions(cautions: Sequence[Caution]) -> list[Block]:
    return [Paragraph(caution.in_full, "small") for caution in cautions]
