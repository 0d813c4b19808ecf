"""How good forecasts were, in words: for the desk and for the command line."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Final

from smokejournal.cook.learning.track_record import (
    LINE_S,
    MEANT,
    NEAR_S,
    NEAR_SHARE,
    Lean,
    MomentRecord,
    Off,
    Record,
)
from smokejournal.cook.text import quantities as q
from smokejournal.cook.text.numbers import fmt
from smokejournal.cook.text.quantities import DASH
from smokejournal.cook.text.translate import translate

#: With fewer cooks than this the words say that they say little. Even ten of which eight held leave
#: room from a half to nearly all (`science/proportion.py`).
FEW: Final = 10
#: More than this [%] is said to be over it.
MOST_PCT: Final = 1000.0
#: The moment that the sentence is about, where there are as many cooks at each: half way first.
_TOLD_FIRST: Final = (0.5, 0.75, 0.25, 0.9)


def heads() -> tuple[str, ...]:
    """What stands above the columns of `row`; a line break where it may be broken."""
    return (
        translate("TrackRecord", "Of the way"),
        translate("TrackRecord", "Cooks"),
        translate("TrackRecord", "Held,\nmeant: {share}").format(share=q.percent(100 * MEANT)),
        translate("TrackRecord", "Half off\nby up to"),
        translate("TrackRecord", "Leaned"),
        translate("TrackRecord", "Straight\nline"),
    )


def row(moment: MomentRecord) -> tuple[str, ...]:
    """One moment: a cell for each of `heads`, of one to three lines."""
    return (
        part_of_way(moment.share),
        _made(moment),
        _held(moment),
        _off(moment.off, moment.judged),
        _lean(moment.lean),
        _off(moment.line, moment.judged),
    )


def part_of_way(share: float) -> str:
    """ "a quarter", "half" and so on."""
    names: Mapping[float, str] = {
        0.25: translate("TrackRecord", "a quarter"),
        0.5: translate("TrackRecord", "half"),
        0.75: translate("TrackRecord", "three quarters"),
        0.9: translate("TrackRecord", "nine tenths"),
    }
    return names[share]


def above(record: Record) -> str:
    """What the table says, in a few sentences."""
    if not record.finished:
        return translate(
            "TrackRecord",
            "Nothing to judge yet. Forecasts are compared with what happened once a cook is "
            "finished.",
        )
    if not record.cooks:
        return translate(
            "TrackRecord",
            "Nothing to judge yet: none of the finished cooks has a forecast that can be "
            "compared with what happened.",
        )
    moment = max(
        record.moments, key=lambda each: (each.judged, -_TOLD_FIRST.index(each.share))
    )  # fmt: skip
    said = [_cooks(record.cooks)]
    if moment.judged:
        said.append(_at(moment))
    if record.cooks < FEW:
        said.append(_few(record.cooks))
    return " ".join(said)


def simulated_note() -> str:
    """What stands before anything that is said of simulated cooks."""
    return translate("TrackRecord", "Simulated cooks only. They prove nothing about real ones.")


def not_counted(record: Record) -> str:
    """Which finished cooks are not in the table, and why; empty where all are."""
    reasons = (
        (record.no_forecast, translate("TrackRecord", "no forecast gave a time: {n}")),
        (record.never_came, translate("TrackRecord", "the target was not reached: {n}")),
        (record.not_heard, translate("TrackRecord", "no readings of the probe: {n}")),
    )
    told = [text.format(n=n) for n, text in reasons if n]
    if not told:
        return ""
    return translate("TrackRecord", "Finished cooks that are not counted: {reasons}.").format(
        reasons="; ".join(told)
    )


def meaning() -> tuple[str, ...]:
    """How the table is to be read."""
    return (
        translate(
            "TrackRecord",
            "The way goes from when the meat was in to when its probe was at the target (the median of a "
            "minute's readings). It is taken to be in when the schedule is started, or after the stage "
            "that warms up the pit. Of each cook the forecast nearest to the moment counts, within {near} "
            "and {share} of the way; under Cooks stands in how many there was one. Where probe or target "
            "were changed, only forecasts of the last target that came count.",
        ).format(near=q.duration(NEAR_S), share=_percent(NEAR_SHARE, 1)),
        translate(
            "TrackRecord",
            "Held: it came between the two ends of the forecast. The range below that is where the true "
            "share may lie, 19 times in 20 (Wilson's interval). Off by: in percent of what remained, and "
            "in minutes; telling no time counts as further off than any time told. Leaned: the middle of "
            "those that told a time; too late means that it came sooner than expected.",
        ),
        translate(
            "TrackRecord",
            "The straight line goes through the readings of the {time} before each forecast and on to "
            "the target, as with a ruler; half of its answers were off by up to what stands there.",
        ).format(time=q.duration(LINE_S)),
    )


# -- sentences -------------------------------------------------------------------------------


def _cooks(n: int) -> str:
    if n == 1:
        return translate("TrackRecord", "One finished cook can be judged.")
    return translate("TrackRecord", "{n} finished cooks can be judged.").format(n=n)


def _few(n: int) -> str:
    if n == 1:
        return translate("TrackRecord", "One cook says next to nothing.")
    return translate(
        "TrackRecord", "{n} cooks say little: the next one may change every figure."
    ).format(n=n)


def _at(moment: MomentRecord) -> str:
    where = {
        0.25: translate("TrackRecord", "A quarter of the way along"),
        0.5: translate("TrackRecord", "Half way"),
        0.75: translate("TrackRecord", "Three quarters of the way along"),
        0.9: translate("TrackRecord", "Nine tenths of the way along"),
    }[moment.share]
    said = [
        translate(
            "TrackRecord",
            "{where}, the range held in {held} of {n}; it should in 8 of 10.",
        ).format(where=where, held=moment.held, n=moment.judged)
    ]
    if moment.off is not None and math.isfinite(moment.off.share):
        said.append(_against_line(moment.off.share, moment.line, alone=moment.judged == 1))
    return " ".join(said)


def _against_line(share: float, line: Off | None, *, alone: bool) -> str:
    """How far off the forecasts were, beside the straight lines; of one cook there is no half."""
    if line is not None and math.isfinite(line.share):
        text = (
            translate(
                "TrackRecord",
                "It was off by {share} of what remained; a straight line, by {line}.",
            )
            if alone
            else translate(
                "TrackRecord",
                "Half were off by {share} of what remained, or less; of straight lines, by {line}.",
            )
        )
        return text.format(share=_percent(share), line=_percent(line.share))
    text = (
        translate(
            "TrackRecord",
            "It was off by {share} of what remained; a straight line gave no time.",
        )
        if alone
        else translate(
            "TrackRecord",
            "Half were off by {share} of what remained, or less; half or more of the "
            "straight lines gave no time.",
        )
    )
    return text.format(share=_percent(share))


# -- cells -----------------------------------------------------------------------------------


def _made(moment: MomentRecord) -> str:
    return translate("TrackRecord", "{n} of {cooks}").format(
        n=moment.judged, cooks=moment.judged + moment.none_made
    )


def _held(moment: MomentRecord) -> str:
    if moment.low is None or moment.high is None:
        return DASH
    return translate("TrackRecord", "{held} of {n}\n{low} – {high}").format(
        held=moment.held,
        n=moment.judged,
        low=fmt(100 * moment.low, 0),
        high=q.percent(100 * moment.high),
    )


def _off(off: Off | None, judged: int) -> str:
    if off is None:
        return DASH
    lines = []
    if math.isfinite(off.share):
        lines += [_percent(off.share), _minutes(off.seconds)]
    if off.told_none:
        lines.append(
            translate("TrackRecord", "no time in {n} of {all}").format(n=off.told_none, all=judged)
        )
    return "\n".join(lines)


def _lean(lean: Lean | None) -> str:
    if lean is None:
        return DASH
    share = _side(lean.share, _percent(abs(lean.share)))
    minutes = _minutes(abs(lean.seconds))
    # Their middles need not lie on the same side.
    same = lean.share * lean.seconds > 0
    return f"{share}\n{minutes if same else _side(lean.seconds, minutes)}"


def _side(value: float, text: str) -> str:
    if not value:
        return text
    late = translate("TrackRecord", "{amount} too late")
    early = translate("TrackRecord", "{amount} too early")
    return (late if value > 0 else early).format(amount=text)


def _percent(share: float, digits: int = 0) -> str:
    if 100 * share > MOST_PCT:
        return translate("TrackRecord", "over {most}").format(most=q.percent(MOST_PCT))
    if 100 * share < 0.5:
        return translate("TrackRecord", "under {least}").format(least=q.percent(1))
    return q.percent(100 * share, digits)


def _minutes(duration_s: float) -> str:
    """Whole minutes: readings tell no more."""
    if duration_s < 30.0:
        return translate("TrackRecord", "under 1 min")
    if duration_s < 120.0:
        return translate("TrackRecord", "{n} min").format(n=round(duration_s / 60.0))
    return q.duration(60.0 * round(duration_s / 60.0))
