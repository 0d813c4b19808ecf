"""From raw readings to what a fit can stand on.

Probes are pulled, dropped, pushed back at another depth, read in the air before they are put in, lose
their signal and round. What is left out is counted and named; nothing is mended by guess. Readings
that come faster than every `EVERY_S` are brought together first, so that neither the memory nor the
time that a forecast takes grows with how fast an instrument is.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from smokejournal.science.forecast.values import COOK, CookSoFar, FloatArray
from smokejournal.science.numbers.refusals import NOT_BELOW_ZERO, refuses

#: Readings outside can't be of a pit or of meat.
LOWEST_C, HIGHEST_C = -45.0, 450.0
#: No piece of meat warms by this much in 90 s, in its inside.
_JUMP_K = 7.0
_NEAR_K = 12.0
_GAP_S = 600.0
#: One reading of a probe and of the pit in so many seconds says all that the fit, whose steps are half
#: a minute or longer, can take in; a lid or a set point keeps its moment within it.
EVERY_S = 5.0
#: A check probe with fewer readings, or without any for this share of the cook, says too little of it.
_FEW, _SILENT_SHARE = 8, 0.2
#: A probe that was put in again is left out for so long: its lag, and meat that closes around it.
SETTLES_S = 300.0
#: Windows are looked at side by side, this many readings at once (2 MB).
_AT_ONCE = 250_000


@dataclass(frozen=True, slots=True)
class MeatRecord:
    """`time_s`, `probe_c`: readings of the meat, spikes and air left out, each (n,), one in `EVERY_S`.

    `pit_time_s`, `pit_c`: (k,), as means where they came faster. `start_s`: when the meat went in, as
    told or found. `moved_s`: when the probe was last put in at another place. `step_k`: by how much
    the instrument rounds, 0 where it does not show. `last_c`: the median of the last minute, NaN where
    the meat is not read now. `in_air`: the last readings are not of meat. `refused`: readings left
    out; of those that came faster, all for which the one that is left out stood.
    """

    time_s: FloatArray
    probe_c: FloatArray
    pit_time_s: FloatArray
    pit_c: FloatArray
    start_s: float
    first_s: float
    moved_s: float | None
    step_k: float
    noise_k: float
    last_c: float
    in_air: bool
    fresh: bool
    refused: int

    def slope_k_s(self, start_s: float, end_s: float) -> float:
        """How fast it rose between two moments, by a straight line; 0 where there are too few readings."""
        inside = (self.time_s >= start_s) & (self.time_s <= end_s)
        if np.count_nonzero(inside) < 4:
            return 0.0
        times = self.time_s[inside] - start_s
        return float(np.polyfit(times, self.probe_c[inside], 1)[0])


def _series(time_s: FloatArray, value_c: FloatArray, now_s: float) -> tuple[FloatArray, FloatArray]:
    """Finite, possible, in order, one for each moment (the last one given)."""
    time_s = np.asarray(time_s, dtype=np.float64)
    value_c = np.asarray(value_c, dtype=np.float64)
    with np.errstate(invalid="ignore"):
        good = (
            np.isfinite(time_s)
            & np.isfinite(value_c)
            & (time_s <= now_s)
            & (value_c > LOWEST_C)
            & (value_c < HIGHEST_C)
        )
    time_s, value_c = time_s[good], value_c[good]
    order = np.argsort(time_s, kind="stable")
    time_s, value_c = time_s[order], value_c[order]
    if len(time_s):
        last = np.append(np.diff(time_s) > 0, True)
        time_s, value_c = time_s[last], value_c[last]
    return time_s, value_c


@refuses("time_s value", half_s=NOT_BELOW_ZERO)
def running_median(time_s: FloatArray, value: FloatArray, half_s: float) -> FloatArray:
    """Median of the readings within `half_s` of each, (n,)."""
    first = np.searchsorted(time_s, time_s - half_s, side="left")
    last = np.searchsorted(time_s, time_s + half_s, side="right")
    counts = last - first
    widest = int(counts.max(initial=1))
    medians = np.empty(len(value))
    # All windows at once would be a gigabyte for a day of readings every second.
    rows = max(1, _AT_ONCE // widest)
    for begin in range(0, len(value), rows):
        some = slice(begin, begin + rows)
        places = first[some, None] + np.arange(widest)[None, :]
        there = places < last[some, None]
        window = np.where(there, value[np.minimum(places, len(value) - 1)], np.inf)
        window.sort(axis=1)
        row, count = np.arange(len(window)), counts[some]
        medians[some] = (window[row, (count - 1) // 2] + window[row, count // 2]) / 2
    return medians


def _spans(time_s: FloatArray) -> tuple[NDArray[np.intp], FloatArray]:
    """Where each span of `EVERY_S` begins in `time_s` (in order), (k,), and each reading's span, (n,).

    The spans lie on the clock, not on the record: a minute later the same readings share them.
    """
    span = np.floor(time_s / EVERY_S)
    return np.flatnonzero(np.diff(span, prepend=-np.inf)), span


def _means(time_s: FloatArray, value_c: FloatArray) -> tuple[FloatArray, FloatArray]:
    """The mean moment and value of each span: the pit heats by its mean."""
    first, _ = _spans(time_s)
    if len(first) == len(time_s):
        return time_s, value_c
    count = np.diff(first, append=len(time_s))
    # From the first moment on: sums of seconds since 1970 would lose digits.
    since = np.add.reduceat(time_s - time_s[0], first) / count
    return time_s[0] + since, np.add.reduceat(value_c, first) / count


def _middles(
    time_s: FloatArray, value_c: FloatArray
) -> tuple[FloatArray, FloatArray, NDArray[np.intp]]:
    """The middle reading of each span as it was given (a mean would hide by how much the instrument
    rounds), and how many it stands for. Of two middle ones the lower and the higher by turns."""
    first, span = _spans(time_s)
    count = np.diff(first, append=len(time_s))
    if len(first) == len(time_s):
        return time_s, value_c, count
    by_value = np.lexsort((value_c, span))
    odd = np.mod(span[first], 2.0).astype(np.intp)
    middle = by_value[first + (count - 1 + odd) // 2]
    return time_s[middle], value_c[middle], count


@refuses()
def rounding_step(value: FloatArray) -> float:
    """By how much the instrument rounds, K; 0 where no step shows.

    The smallest difference that occurs, if (nearly) all differences are multiples of it.
    """
    if len(value) < 12:
        return 0.0
    differences = np.abs(np.diff(value))
    differences = differences[differences > 1e-6]
    if len(differences) < 4:
        return 0.0
    step = float(np.quantile(differences, 0.02))
    if step < 0.04:
        return 0.0
    multiples = differences / step
    fits = np.mean(np.abs(multiples - np.round(multiples)) < 0.06)
    return step if fits > 0.9 else 0.0


def _pieces(time_s: FloatArray, smooth: FloatArray) -> list[tuple[int, int]]:
    """Runs [a, b) of readings without a jump that meat can't make."""
    if not len(time_s):
        return []
    gap = np.diff(time_s)
    allowed = _JUMP_K + np.maximum(gap - 90.0, 0.0) * (3.0 / 60.0)
    # A jump is seen over three readings as well, lest a filter or a lag spread it out.
    over_one = np.abs(np.diff(smooth)) > allowed
    jump = over_one.copy()
    if len(smooth) > 3:
        span = time_s[3:] - time_s[:-3]
        wide = (np.abs(smooth[3:] - smooth[:-3]) > _JUMP_K) & (span < 100.0)
        for offset in range(3):
            jump[offset : offset + len(wide)] |= wide
    edges = np.flatnonzero(jump) + 1
    bounds = [0, *edges.tolist(), len(time_s)]
    return [(a, b) for a, b in pairwise(bounds) if b > a]


def _is_air(
    time_s: FloatArray, value_c: FloatArray, pit_at: FloatArray, before_c: float | None
) -> bool:
    """True where a run of readings is rather of air than of meat."""
    near_pit = float(np.median(np.abs(value_c - pit_at)))
    swing = float(np.std(np.diff(value_c))) if len(value_c) > 3 else 0.0
    if np.isfinite(near_pit) and near_pit < 5.0 and float(np.median(value_c)) > 45.0:
        return True
    if before_c is None:
        return False
    away = float(value_c[0]) - before_c
    short = time_s[-1] - time_s[0] < 900.0
    return (abs(away) > _NEAR_K and short) or swing > 4.0


@refuses(cook=COOK)
def clean(cook: CookSoFar) -> MeatRecord | None:
    """The record of the meat, or None where there is no reading of it at all."""
    now_s = cook.now_s
    pit_time, pit = _means(*_series(cook.time_s, cook.pit_c, now_s))
    time_s, raw, stand_for = _middles(*_series(cook.time_s, cook.probe_c, now_s))
    given = int(np.count_nonzero(~np.isnan(np.asarray(cook.probe_c, dtype=np.float64))))
    if not len(time_s):
        return None
    smooth = running_median(time_s, raw, 46.0)
    near = running_median(time_s, raw, 180.0)
    steep = np.abs(np.gradient(near)) if len(near) > 1 else np.zeros(len(near))
    kept = np.abs(raw - near) <= 4.0 + 0.02 * steep * 60.0
    pit_at = np.interp(time_s, pit_time, pit) if len(pit_time) else np.full(len(time_s), np.nan)
    meat: list[tuple[int, int]] = []
    moved: float | None = None
    earlier: tuple[int, int] | None = None
    runs = [run for run in _pieces(time_s, smooth) if run[1] - run[0] >= 2] or [(0, len(time_s))]
    for n, (a, b) in enumerate(runs):
        before = None if earlier is None else float(smooth[earlier[1] - 1])
        air = _is_air(time_s[a:b], smooth[a:b], pit_at[a:b], before)
        if earlier is None and n + 1 < len(runs):
            # Read in the air and then put in: the next run starts well below this one's end.
            following = runs[n + 1]
            falls = float(smooth[b - 1]) - float(smooth[following[0]])
            air = air or falls > _JUMP_K
        if air:
            continue
        if earlier is not None and abs(float(smooth[a]) - float(smooth[earlier[1] - 1])) > 2.5:
            moved = float(time_s[a])
        meat.append((a, b))
        earlier = (a, b)
    mask: NDArray[np.bool_] = np.zeros(len(time_s), dtype=bool)
    for a, b in meat:
        mask[a:b] = True
    mask &= kept
    at, value, stand_for = time_s[mask], smooth[mask], stand_for[mask]
    if cook.start_s is not None:
        told = float(cook.start_s)
        early = at < told - 60.0
        at, value, stand_for = at[~early], value[~early], stand_for[~early]
    if moved is not None and len(at) and moved <= at[0]:
        moved = None
    shifted = _shift(at, value)
    if shifted is not None and (moved is None or shifted > moved):
        moved = shifted
    recent = time_s > now_s - 300.0
    fresh = bool((time_s > now_s - 600.0).any())
    last_minute = at > now_s - 75.0
    in_air = bool(recent.any()) and np.count_nonzero(at > now_s - 300.0) < 0.4 * np.count_nonzero(
        recent
    )
    if in_air or not last_minute.any():
        last_c = float("nan")
    else:
        last_c = float(np.median(raw[mask][-int(np.count_nonzero(last_minute)) :]))
    step = rounding_step(raw[mask])
    if cook.start_s is not None:
        start = float(cook.start_s)
    else:
        start = float(at[0]) if len(at) else float(time_s[-1])
    return MeatRecord(
        time_s=at,
        probe_c=value,
        pit_time_s=pit_time,
        pit_c=pit,
        start_s=min(start, now_s),
        first_s=float(at[0]) if len(at) else now_s,
        moved_s=moved,
        step_k=step,
        noise_k=_flicker(at, value, step),
        last_c=last_c,
        in_air=bool(in_air),
        fresh=fresh,
        refused=given - int(stand_for.sum()),
    )


@refuses(cook=COOK)
def check_of(cook: CookSoFar, record: MeatRecord) -> tuple[MeatRecord | None, bool]:
    """The check probe's record where it can be used beside the lead's `record`, and whether it can't be
    for a reason that is worth saying: it is in the air.

    Only what it read where it is now counts: before it was moved it was at another depth. One that says
    nothing, or has not for a long while, is none.
    """
    if cook.check_c is None:
        return None, False
    check = clean(replace(cook, probe_c=cook.check_c, check_c=None))
    if check is None:
        return None, False
    if check.in_air:
        return None, True
    from_s = record.start_s
    if check.moved_s is not None:
        from_s = max(from_s, check.moved_s + SETTLES_S)
    since = check.time_s >= from_s
    check = replace(check, time_s=check.time_s[since], probe_c=check.probe_c[since])
    silent_s = max(_GAP_S, _SILENT_SHARE * (cook.now_s - record.start_s))
    if len(check.time_s) < _FEW or cook.now_s - check.time_s[-1] > silent_s:
        return None, False
    return check, False


def _flicker(time_s: FloatArray, value_c: FloatArray, step_k: float) -> float:
    """Spread of the median over a minute about its course, K, over the last hour and a half.

    By second differences over five minutes, which a straight course leaves at zero; the part that is
    rounding is taken off. It is their mean square that tells both apart: differences of a reading that is
    rounded to whole steps are whole steps too, so that a median of theirs is none of them or one.
    """
    lag = 300.0
    recent = time_s[(time_s > time_s[-1] - 5400.0)] if len(time_s) else time_s
    inner = (
        recent[(recent > time_s[0] + lag) & (recent < time_s[-1] - lag)] if len(recent) else recent
    )
    if len(inner) < 8:
        return 0.1
    bent = (
        np.interp(inner - lag, time_s, value_c)
        - 2.0 * np.interp(inner, time_s, value_c)
        + np.interp(inner + lag, time_s, value_c)
    )
    off = np.abs(bent - np.median(bent))
    # What is much further out is the course's own bend.
    most = 2.5 * max(1.4826 * float(np.median(off)), step_k)
    variance = float(np.mean(np.minimum(off, most) ** 2)) / 6.0
    return min(math.sqrt(max(variance - step_k**2 / 12.0, 0.0)), 1.5)


def _shift(time_s: FloatArray, value_c: FloatArray) -> float | None:
    """When the probe was last pushed to another depth: two straight lines of 3.5 min that disagree
    where they meet. The curve of the first minutes is no shift, hence the allowance for slope.
    """
    if len(time_s) < 16 or time_s[-1] - time_s[0] < 1800.0:
        return None
    half = 210.0
    minutes = np.unique(np.floor((time_s - time_s[0]) / 60.0)) * 60.0 + time_s[0]
    centers = minutes[(minutes > time_s[0] + 900.0) & (minutes < time_s[-1] - half)]
    if not len(centers):
        return None
    left, left_slope, enough = _lines(time_s, value_c, centers, -half, -20.0)
    right, right_slope, also = _lines(time_s, value_c, centers, 20.0, half)
    apart = np.abs(right - left)
    allowed = 2.5 + 60.0 * np.abs(left_slope) + 60.0 * np.abs(right_slope)
    moved = np.flatnonzero(enough & also & (apart > allowed))
    if not len(moved):
        return None
    # The last run of moments that disagree is one shift; it happened where they disagree most.
    begins = moved[0]
    for before, after in pairwise(moved):
        if centers[after] - centers[before] > 600.0:
            begins = after
    last = moved[moved >= begins]
    return float(centers[last[np.argmax(apart[last])]])


def _lines(
    time_s: FloatArray, value_c: FloatArray, centers: FloatArray, start_s: float, end_s: float
) -> tuple[FloatArray, FloatArray, NDArray[np.bool_]]:
    """Straight lines through the readings from `start_s` to `end_s` beside each center: their value
    there, their slope, and whether there are four readings or more; each of the centers' shape.
    """
    first = np.searchsorted(time_s, centers + start_s)
    last = np.searchsorted(time_s, centers + end_s)
    t = time_s - time_s[0]
    y = value_c - float(np.mean(value_c))

    def within(values: FloatArray) -> FloatArray:
        running = np.concatenate([[0.0], np.cumsum(values)])
        return np.asarray(running[last] - running[first])

    count = np.maximum(last - first, 1)
    mean_t, mean_y = within(t) / count, within(y) / count
    spread = within(t * t) / count - mean_t**2
    slope = (within(t * y) / count - mean_t * mean_y) / np.maximum(spread, 1.0)
    at_center = mean_y + slope * (centers - time_s[0] - mean_t) + float(np.mean(value_c))
    return at_center, slope, (last - first >= 4) & (spread > 1.0)


@refuses()
def thin(record: MeatRecord, count: int = 44) -> tuple[FloatArray, FloatArray]:
    """About `count` readings: two thirds evenly over the whole, the rest in its last fifth."""
    time_s, value = record.time_s, record.probe_c
    if len(time_s) <= count:
        return time_s, value
    first, last = time_s[0], time_s[-1]
    even = np.linspace(first, last, int(count * 0.65))
    late = np.linspace(last - 0.2 * (last - first), last, count - len(even) + 1)[1:]
    wanted = np.unique(np.concatenate([even, late]))
    places = np.unique(np.clip(np.searchsorted(time_s, wanted), 0, len(time_s) - 1))
    return time_s[places], value[places]
