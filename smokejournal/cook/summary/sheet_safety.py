"""The part of the sheet about food safety: each line with how it stands, and what it doesn't cover."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from smokejournal.cook.safety.lines import SafetyLine, food_name, taken_against
from smokejournal.cook.safety.words import SafetyWords
from smokejournal.cook.summary.sheet import Block, Paragraph, SheetColumn, Table
from smokejournal.cook.summary.sheet_probes import when
from smokejournal.cook.summary.summary import Summary
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.text.translate import translate

_COLUMNS = (SheetColumn("", 0.21), SheetColumn("", 0.16), SheetColumn("", 0.63))


def safety_blocks(summary: Summary, units: Units) -> Iterator[Block]:
    """What the log says beside published figures; nothing before the fire and where no food is named."""
    safety = summary.safety
    if safety is None or not safety.begun or not summary.items:
        return
    words = SafetyWords(safety, units, lambda at_s: when(summary, at_s, units))
    text = translate(
        "Sheet",
        "What was measured, beside published figures. Nothing here promises that food is safe.",
    )
    yield Paragraph(f"{text} {taken_against()}", "faint")
    several = len(safety.foods) > 1
    sources: dict[str, None] = {}
    for food in safety.foods:
        lines = words.lines(food)
        if several:
            yield Paragraph(food_name(food.food, food.names), "strong")
        yield from _lines(lines)
        sources |= {f"{line.title}: {line.source}": None for line in lines if line.source}
    text = translate("Sheet", "Published by: {sources}.")
    yield Paragraph(text.format(sources="; ".join(sources)), "small")


def _lines(lines: Sequence[SafetyLine]) -> Iterator[Block]:
    """The lines as rows; what one doesn't cover stands right below it."""
    rows: list[tuple[str, ...]] = []
    for line in lines:
        rows.append((line.title, line.state_words, f"{line.text} {line.detail}".strip()))
        if line.caveat:
            yield Table(_COLUMNS, tuple(rows))
            yield Paragraph(line.caveat, "small")
            rows = []
    if rows:
        yield Table(_COLUMNS, tuple(rows))
