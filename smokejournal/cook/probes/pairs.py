"""Two probes side by side: what both said at the same moments."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from smokejournal.cook.log.readings import FloatArray
from smokejournal.cook.progress.believed import BelievedTrace


@dataclass(frozen=True, slots=True)
class Pairs:
    """Moments [s] and what both probes said then [°C], each of shape (n,)."""

    at_s: FloatArray
    first_c: FloatArray
    second_c: FloatArray

    def __len__(self) -> int:
        return int(self.at_s.size)


def pairs_of(first: BelievedTrace, second: BelievedTrace) -> Pairs:
    """What both said at the first one's moments.

    The second is taken between its two neighboring readings, where no gap lies between them.
    """
    if not len(first) or not len(second):
        empty = np.empty(0)
        return Pairs(empty, empty, empty)
    at = first.at_s
    after = np.searchsorted(second.at_s, at, side="left")
    inside = after < len(second)
    exact = np.zeros(at.size, dtype=np.bool_)
    exact[inside] = second.at_s[after[inside]] == at[inside]
    between = inside & (after > 0)
    between[between] = second.unbroken[after[between]]
    both = exact | between
    return Pairs(at[both], first.value_c[both], np.interp(at[both], second.at_s, second.value_c))
