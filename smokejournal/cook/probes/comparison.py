"""Two probes of a cook compared over a stretch of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.plan.plan import plan_of
from smokejournal.cook.probes.pairs import Pairs, pairs_of
from smokejournal.cook.progress.believed import believed
from smokejournal.cook.progress.pair_watch import SOUND_PAIR_K
from smokejournal.cook.text.quantities import Units, duration, temperature_step
from smokejournal.cook.text.translate import translate
from smokejournal.science.probes.agreement import FEWEST, Agreement, Lag, agreement, lag

WhyNot = Literal["", "same", "never", "few"]

#: A lag longer than this is worth a word about how they are built or placed [s].
LONG_LAG_S = 60.0


@dataclass(frozen=True, slots=True)
class Comparison:
    """`second` against `first` from `from_s` to `to_s`, corrected readings that can be believed.

    `why` says why there is no agreement: the same probe twice, never heard at the same time, or less
    than three pairs.
    """

    first: Channel
    second: Channel
    pairs: Pairs
    agreement: Agreement | None
    lag: Lag
    why: WhyNot = ""


def compare(log: CookLog, first: str, second: str, from_s: float, to_s: float) -> Comparison:
    """Compare two channels by their keys. KeyError where the cook has no such channel."""
    entries = tuple(log.holding())
    channels = plan_of(log).channels
    one, other = channels[first], channels[second]
    a = believed(log, one, entries, to_s).within(from_s, to_s)
    b = believed(log, other, entries, to_s).within(from_s, to_s)
    # The moments of the one that speaks less often: the other's readings are not counted double.
    swap = len(b) < len(a)
    pairs = pairs_of(b, a) if swap else pairs_of(a, b)
    if swap:
        pairs = Pairs(pairs.at_s, pairs.second_c, pairs.first_c)
    if first == second:
        return Comparison(one, other, pairs, None, Lag(None, why="few"), "same")
    if len(pairs) < FEWEST:
        why: WhyNot = "few" if len(pairs) else "never"
        return Comparison(one, other, pairs, None, Lag(None, why="few"), why)
    return Comparison(
        one,
        other,
        pairs,
        agreement(pairs.first_c, pairs.second_c),
        lag(pairs.at_s, pairs.first_c, pairs.second_c),
    )


def comparison_words(found: Comparison, units: Units) -> tuple[str, ...]:
    """What a comparison says, a sentence each; the first is the one that matters most."""
    first, second = found.first.name or found.first.key, found.second.name or found.second.key
    if found.why == "same":
        return (translate("Comparison", "Choose two different probes."),)
    if found.why == "never":
        return (
            translate(
                "Comparison",
                "The two have no readings at the same time in this stretch. Choose a longer one.",
            ),
        )
    agreed = found.agreement
    if agreed is None:
        return (
            translate("Comparison", "There are fewer than three readings of both in this stretch."),
        )

    def step(value_k: float) -> str:
        return temperature_step(value_k, units, signed=True)

    return (
        _bias_words(agreed, first, second, units),
        translate(
            "Comparison",
            "Of 20 single readings, 19 differ by {low} to {high} (limits of agreement: the mean ± {multiplier} standard deviations of {sd}).",
        ).format(
            low=step(agreed.low.value),
            high=step(agreed.high.value),
            multiplier=f"{agreed.multiplier:g}",
            sd=temperature_step(agreed.sd, units, 2),
        ),
        _lag_words(found.lag, first, second),
        translate(
            "Comparison",
            "{n} pairs. Readings that follow each other say nearly the same, so they count like {effective} independent ones.",
        ).format(n=agreed.n, effective=f"{agreed.effective:.0f}"),
    )


def _bias_words(agreed: Agreement, first: str, second: str, units: Units) -> str:
    bias = agreed.bias
    if bias.low <= 0.0 <= bias.high:
        return translate(
            "Comparison",
            "On average {second} and {first} read the same, to within {most}.",
        ).format(
            second=second,
            first=first,
            most=temperature_step(max(-bias.low, bias.high), units),
        )
    low, high = sorted((abs(bias.low), abs(bias.high)))
    text = (
        translate(
            "Comparison", "{second} reads {bias} higher than {first} ({low} to {high}) on average."
        )
        if bias.value > 0
        else translate(
            "Comparison", "{second} reads {bias} lower than {first} ({low} to {high}) on average."
        )
    )
    return text.format(
        second=second,
        first=first,
        bias=temperature_step(abs(bias.value), units),
        low=temperature_step(low, units),
        high=temperature_step(high, units),
    )


def _lag_words(found: Lag, first: str, second: str) -> str:
    value = found.value
    if value is None:
        reason = {
            "few": translate("Comparison", "there are too few readings"),
            "steady": translate("Comparison", "the temperature hardly moved"),
            "edge": translate("Comparison", "none within a quarter of the stretch fits"),
            "loose": translate(
                "Comparison", "on this course a lag and a plain difference look alike"
            ),
            "": "",
        }[found.why]
        return translate("Comparison", "Which of them lags is unknown: {reason}.").format(
            reason=reason
        )
    if value.low <= 0.0 <= value.high:
        most = duration(max(-value.low, value.high))
        return translate("Comparison", "Neither lags behind the other, to within {most}.").format(
            most=most
        )
    late, early = (second, first) if value.value > 0 else (first, second)
    low, high = sorted((abs(value.low), abs(value.high)))
    return translate("Comparison", "{late} lags {early} by {lag} ({low} to {high}).").format(
        late=late,
        early=early,
        lag=duration(abs(value.value)),
        low=duration(low),
        high=duration(high),
    )


def comparison_warnings(found: Comparison, units: Units) -> Iterator[str]:
    """What to mind about a comparison, a sentence or two each."""
    agreed = found.agreement
    if agreed is None:
        return
    if max(abs(agreed.low.value), abs(agreed.high.value)) > SOUND_PAIR_K:
        yield translate(
            "Comparison",
            "Single readings differ by more than {limit}, more than two good food "
            "thermometers in the same spot do. If they were in the same spot, calibrate "
            "both.",
        ).format(limit=temperature_step(SOUND_PAIR_K, units, 0))
    trend = agreed.trend
    if trend is not None and not trend.low <= 0.0 <= trend.high and abs(trend.value) > 0.01:
        yield translate(
            "Comparison",
            "The difference changes with temperature, by {step} for every {ten}. An offset alone can't put that right; calibrate in ice and in boiling water. A lag is worked out as if the difference were the same everywhere.",
        ).format(
            step=temperature_step(10 * trend.value, units, 2, signed=True),
            ten=temperature_step(10.0, units, 0),
        )
    if found.lag.value is not None and abs(found.lag.value.value) > LONG_LAG_S:
        yield translate(
            "Comparison",
            "Part of the difference comes from the lag while the temperature moves. It says nothing of which of them is right.",
        )
    if found.first.simulated or found.second.simulated:
        yield translate("Comparison", "SIMULATED readings.")


#: More points than this make a picture no clearer.
MOST_POINTS = 1500


@dataclass(frozen=True, slots=True)
class Plotted:
    """What a picture of a comparison shows: points (mean °C, difference K), the lines of low limit,
    bias and high limit [K] with their intervals, and how far the axes go."""

    first: str
    second: str
    points: tuple[tuple[float, float], ...]
    lines: tuple[tuple[float, tuple[float, float]], ...]
    low_c: float
    high_c: float
    low_k: float
    high_k: float


def plotted(found: Comparison) -> Plotted | None:
    """The picture of a comparison; None where nothing could be compared."""
    agreed = found.agreement
    if agreed is None:
        return None
    gaps = found.pairs.second_c - found.pairs.first_c
    means = (found.pairs.second_c + found.pairs.first_c) / 2.0
    every = max(1, -(-means.size // MOST_POINTS))
    lines = tuple(
        (each.value, (each.low, each.high)) for each in (agreed.low, agreed.bias, agreed.high)
    )
    low_k = min(float(gaps.min()), agreed.low.value, 0.0)
    high_k = max(float(gaps.max()), agreed.high.value, 0.0)
    room_k = max(0.25, 0.08 * (high_k - low_k))
    room_c = max(0.5, 0.04 * float(means.max() - means.min()))
    return Plotted(
        found.first.name or found.first.key,
        found.second.name or found.second.key,
        tuple(zip(means[::every].tolist(), gaps[::every].tolist(), strict=True)),
        lines,
        float(means.min()) - room_c,
        float(means.max()) + room_c,
        low_k - room_k,
        high_k + room_k,
    )
