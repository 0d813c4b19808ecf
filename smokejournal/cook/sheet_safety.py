"""The part of the sheet about food safety: each line with how it stands, and what it doesn't cover."""

from __future__ import annotations

from smokejournal.cook.quantities import Units
from smokejournal.cook.safety import FoodSafety
from smokejournal.cook.safety_lines import food_name, taken_against
from smokejournal.cook.safety_words import SafetyWords
from smokejournal.cook.sheet import Block, Column, Paragraph, Section, Table
from smokejournal.cook.sheet_probes import when
from smokejournal.cook.summary import Summary
from smokejournal.cook.words import translate


def safety_section(summary: Summary, units: Units) -> Section | None:
    """What the log says beside published figures; None before the fire and where no food is named."""
    safety = summary.safety
    if safety is None or not safety.begun or not summary.items:
        return None
    words = SafetyWords(safety, units, lambda at_s: when(summary, at_s, units))
    blocks: list[Block] = [
        Paragraph(
            translate(
                "Sheet",
                "What was measured, beside published figures. Nothing here promises that food is safe.",
            )
            + " "
            + taken_against(),
            "faint",
        )
    ]
    several = len(safety.foods) > 1
    for food in safety.foods:
        blocks += _food(food, words, several)
    return Section("safety", translate("Sheet", "Food safety"), tuple(blocks))


def _food(food: FoodSafety, words: SafetyWords, several: bool) -> list[Block]:
    lines = words.lines(food)
    blocks: list[Block] = []
    if several:
        blocks.append(Paragraph(food_name(food.food, food.names), "strong"))
    columns = (Column("", 0.19), Column("", 0.14), Column("", 0.67))
    rows = tuple(
        (line.title, line.state_words, f"{line.text} {line.detail}".strip()) for line in lines
    )
    blocks.append(Table(columns, rows))
    blocks += [Paragraph(line.caveat, "small") for line in lines if line.caveat]
    sources = [f"{line.title}: {line.source}" for line in lines if line.source]
    blocks.append(
        Paragraph(
            translate("Sheet", "Published by: {sources}.").format(sources="; ".join(sources)),
            "small",
        )
    )
    return blocks
