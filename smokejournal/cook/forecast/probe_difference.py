"""Two probes in one piece that differ: by how much, how well that is known, and what it does to the
finish, in words."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from smokejournal.cook.forecast.change_words import effect_words
from smokejournal.cook.forecast.cook_so_far import ForecastInput, items_in
from smokejournal.cook.forecast.intervals import TimeInterval
from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.plan.plan import in_one_piece
from smokejournal.cook.probes.comparison import compare
from smokejournal.cook.progress.pair_watch import TAKEN_K, apart_k, known_k
from smokejournal.cook.text import quantities as q
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.text.translate import translate
from smokejournal.science.forecast.finish_shift import FinishShift
from smokejournal.science.forecast.values import Forecast
from smokejournal.science.probes.agreement import MULTIPLIER

#: The two are compared over the last ten minutes, or over half an hour where one is seldom read [s].
COMPARED_S = (600.0, 1800.0)
#: Of a difference of which there are less than three pairs; our own judgment [K].
_FEW_SD_K = 0.25
#: Half a 95 % interval in standard deviations, as `Channel.uncertainty_c` has it.
_COVERAGE = 2.0


@dataclass(frozen=True, slots=True)
class ProbePair:
    """The probe that is followed and another in the same piece, corrected readings.

    `higher_k` is by how much the followed one reads higher (negative: lower), to `noise_sd_k` as far as
    the readings tell; `other_c` is what the other said last.
    """

    followed: Channel
    other: Channel
    higher_k: float
    noise_sd_k: float
    other_c: float

    @property
    def known_k(self) -> float:
        """How well the difference is known by what the two probes may be off [K, 95 %]."""
        return known_k(self.followed, self.other)

    @property
    def sd_k(self) -> float:
        """Standard deviation of the difference, readings and probes together [K]."""
        return math.hypot(self.known_k / _COVERAGE, self.noise_sd_k)

    @property
    def apart(self) -> bool:
        """Whether they differ by more than two probes in the same spot do."""
        return abs(self.higher_k) > apart_k(self.followed, self.other)


@dataclass(frozen=True, slots=True)
class PairShift:
    """A pair and what it does to the finish. `course`: the forecast by the other probe's own readings,
    where the two lie so far apart that both may be right."""

    pair: ProbePair
    shift: FinishShift
    course: Forecast | None = None


def pair_of(log: CookLog, record: ForecastInput, other: ForecastInput) -> ProbePair | None:
    """The probe that is followed beside that of `other` (`record_of` with `lead`).

    None where they are in two items by their names, or were not heard together of late.
    """
    now_s = record.cook.now_s
    items = items_in([e for e in log.holding() if e.at_s <= now_s])
    if in_one_piece(items, record.lead, other.lead) is False:
        return None
    for past_s in COMPARED_S:
        found = compare(log, record.lead.key, other.lead.key, now_s - past_s, now_s)
        if found.agreement is not None:
            break
    if found.why == "same" or not len(found.pairs):
        return None
    gaps = found.pairs.first_c - found.pairs.second_c
    noise_k = _FEW_SD_K
    if found.agreement is not None:
        bias = found.agreement.bias
        noise_k = (bias.high - bias.low) / 2.0 / MULTIPLIER
    return ProbePair(
        record.lead,
        other.lead,
        float(np.mean(gaps)),
        noise_k,
        float(found.pairs.second_c[-1]),
    )


def pair_words(found: PairShift, target_c: float, units: Units) -> str:
    """What the two say, what that means for the finish, and how well the probes are known."""
    pair = found.pair
    said = [_difference(pair, units), _meaning(found, target_c, units)]
    if found.shift.span_s is not None:
        said.append(_known(pair, units))
    if pair.apart:
        said.append(
            translate(
                "ProbePair",
                "This far apart they are probably not in the same spot, and both may be right.",
            )
        )
    return " ".join(said)


def _name(channel: Channel) -> str:
    return channel.name or channel.key


def _difference(pair: ProbePair, units: Units) -> str:
    step = q.temperature_step(abs(pair.higher_k), units)
    if step == q.temperature_step(0.0, units):
        text = translate("ProbePair", "{lead} and {other} read the same.")
    elif pair.higher_k > 0.0:
        text = translate("ProbePair", "{lead} reads {step} above {other}.")
    else:
        text = translate("ProbePair", "{lead} reads {step} below {other}.")
    return text.format(lead=_name(pair.followed), other=_name(pair.other), step=step)


def _meaning(found: PairShift, target_c: float, units: Units) -> str:
    target, other = q.temperature(target_c, units), _name(found.pair.other)
    span_s = found.shift.span_s
    if found.pair.other_c >= target_c:
        text = translate("ProbePair", "If {other} is right, it is at {target} already.")
        return text.format(other=other, target=target)
    if span_s is not None:
        text = translate("ProbePair", "If {other} is right, it is done {effect}.")
        return text.format(other=other, effect=effect_words(TimeInterval(*span_s)))
    if found.shift.why == "flat":
        text = translate(
            "ProbePair",
            "How many minutes that makes can't be estimated: near {target} the temperature "
            "hardly rises.",
        )
    else:
        text = translate(
            "ProbePair",
            "How many minutes that makes can't be estimated: in this pit it may not get "
            "past {target}.",
        )
    return text.format(target=target)


def _known(pair: ProbePair, units: Units) -> str:
    """How well the probes themselves are known; what to do where that isn't known."""
    known = q.temperature_step(pair.known_k, units)
    bare = [_name(c) for c in (pair.followed, pair.other) if c.uncertainty_c is None]
    if not bare:
        text = translate("ProbePair", "Together the probes are known to ± {known}.")
        return text.format(known=known)
    taken = q.temperature_step(TAKEN_K, units)
    if len(bare) == 1:
        return translate(
            "ProbePair",
            "Together the probes are known to ± {known}, with ± {taken} assumed for "
            "{probe}, which isn't calibrated. Calibrate it on Bench.",
        ).format(known=known, taken=taken, probe=bare[0])
    return translate(
        "ProbePair",
        "Neither is calibrated, so ± {taken} is assumed for each. Calibrate them on Bench.",
    ).format(taken=taken)
