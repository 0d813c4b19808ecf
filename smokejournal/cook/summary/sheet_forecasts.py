"""The parts of the sheet about time: every forecast against what came, and what made it last."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from smokejournal.cook.forecast.intervals import TimeInterval, rounded
from smokejournal.cook.learning.lasted_words import meaning, part_lines, whole_words
from smokejournal.cook.learning.outcomes import ForecastFact, score_forecasts
from smokejournal.cook.summary.sheet import Block, Paragraph, SheetColumn, Table
from smokejournal.cook.summary.sheet_probes import when
from smokejournal.cook.summary.summary import Summary
from smokejournal.cook.text import quantities as q
from smokejournal.cook.text.quantities import DASH, Units
from smokejournal.cook.text.translate import translate

#: So many rows stand below each other before a second column of them saves the paper.
ONE_COLUMN = 10


def forecast_blocks(summary: Summary, units: Units) -> Iterator[Block]:
    """The forecasts of each probe and target; nothing where none was made."""
    if not summary.forecasts:
        return
    groups: dict[tuple[str, float], list[ForecastFact]] = {}
    for fact in summary.forecasts:
        groups.setdefault((fact.made.channel, fact.made.target_c), []).append(fact)
    for (channel, target_c), facts in groups.items():
        text = translate("Sheet", "{probe} at {target}").format(
            probe=summary.channel_name(channel), target=q.temperature(target_c, units)
        )
        yield Paragraph(text, "strong")
        yield Paragraph(_against(summary, facts, units))
        yield _table(summary, facts, units)
    text = translate(
        "Sheet",
        "Each range should hold 8 times in 10. The time it came is the first at which "
        "the median of a minute's readings was at the temperature.",
    )
    yield Paragraph(text, "faint")


def lasted_blocks(summary: Summary, units: Units) -> Iterator[Block]:
    """What made it last, where that was worked out and is kept; nothing where not."""
    for found in summary.explained:
        yield Paragraph(whole_words(found), "strong")
        yield Paragraph("\n".join(part_lines(found, units)))
    if summary.explained:
        yield Paragraph(meaning(), "faint")


def _against(summary: Summary, facts: Sequence[ForecastFact], units: Units) -> str:
    came = [fact.came_s for fact in facts if fact.came_s is not None]
    if came:
        text = translate("Sheet", "It came at {time}.")
        if len(set(came)) > 1:
            text = translate("Sheet", "It came at {time}, and once more later.")
        said = [text.format(time=when(summary, came[0], units))]
    else:
        said = [translate("Sheet", "It has not come so far.")]
    score = score_forecasts(facts)
    if score.judged:
        text = translate("Sheet", "The range held in {held} of {n}.")
        said.append(text.format(held=score.held, n=score.judged))
    if score.median_off_s is not None:
        text = translate("Sheet", "Half of them were off by {time} or less.")
        said.append(text.format(time=_minutes(score.median_off_s)))
    return " ".join(said)


def _table(summary: Summary, facts: Sequence[ForecastFact], units: Units) -> Table:
    rows = [_row(summary, fact, units) for fact in facts]
    heads = (
        translate("Sheet", "Said at"),
        translate("Sheet", "Expected"),
        translate("Sheet", "Was"),
    )
    if len(rows) <= ONE_COLUMN:
        columns = tuple(
            SheetColumn(head, share) for head, share in zip(heads, (0.2, 0.5, 0.3), strict=True)
        )
        return Table(columns, tuple(rows))
    half = (len(rows) + 1) // 2
    left, right = rows[:half], [*rows[half:], *[("", "", "")] * (2 * half - len(rows))]
    shares = (0.08, 0.25, 0.17)
    columns = tuple(
        SheetColumn(head, share) for head, share in zip(heads * 2, shares * 2, strict=True)
    )
    return Table(columns, tuple((*a, *b) for a, b in zip(left, right, strict=True)))


def _row(summary: Summary, fact: ForecastFact, units: Units) -> tuple[str, str, str]:
    return (when(summary, fact.made_s, units), _expected(summary, fact, units), _off(fact))


def _expected(summary: Summary, fact: ForecastFact, units: Units) -> str:
    made = fact.made
    moments = [math.inf if s is None else s for s in (made.low_s, made.mid_s, made.high_s)]
    span = rounded(TimeInterval(*moments), fact.made_s)
    later = translate("Sheet", "later")
    if not math.isfinite(span.low):
        return translate("Sheet", "perhaps never")
    low, mid, high = (
        when(summary, at_s, units) if math.isfinite(at_s) else later
        for at_s in (span.low, span.mid, span.high)
    )
    if not math.isfinite(span.mid):
        return translate("Sheet", "perhaps never ({low} – later)").format(low=low)
    return q.interval(mid, low, high)


def _off(fact: ForecastFact) -> str:
    if fact.held is None:
        return DASH
    if fact.off_s is None:
        return _held(fact)
    minutes = _minutes(abs(fact.off_s))
    if abs(fact.off_s) < 30.0:
        text = translate("Sheet", "right")
    elif fact.off_s < 0:
        text = translate("Sheet", "{time} too early").format(time=minutes)
    else:
        text = translate("Sheet", "{time} too late").format(time=minutes)
    return text if fact.held else f"{text}, {_held(fact)}"


def _held(fact: ForecastFact) -> str:
    return translate("Sheet", "within") if fact.held else translate("Sheet", "outside")


def _minutes(duration_s: float) -> str:
    """Whole minutes: readings tell no more."""
    return q.duration(max(1, round(duration_s / 60.0)) * 60.0) if duration_s >= 120 else (
        translate("Sheet", "{n} min").format(n=max(1, round(duration_s / 60.0)))
    )  # fmt: skip
