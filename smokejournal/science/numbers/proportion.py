"""How far a share that was counted in a few trials may be off.

The score interval: those shares that a test by the normal approximation, with the deviation that the
share itself would have, does not reject. It stays within 0 and 1 and is narrow nowhere by accident, as
intervals about the counted share are with few trials.

Source: E. B. Wilson, Journal of the American Statistical Association 22 (1927) 209-212; recommended for
few trials by R. G. Newcombe, Statistics in Medicine 17 (1998) 857-872 (there method 3).
"""

from __future__ import annotations

import math
from statistics import NormalDist

from smokejournal.science.numbers.refusals import refuses


@refuses()
def score_interval(held: int, trials: int, level: float = 0.95) -> tuple[float, float]:
    """The interval (low, high), each 0 to 1, in which the true share lies with confidence `level`.

    `held` of `trials` did. Raises ValueError without a trial, where `held` is not among them, or where
    `level` is not between 0 and 1.
    """
    if trials < 1 or not 0 <= held <= trials:
        raise ValueError(f"{held} of {trials} is no share")
    if not 0.0 < level < 1.0:
        raise ValueError(f"a level of {level} is no share")
    z = NormalDist().inv_cdf(0.5 + level / 2)
    share = held / trials
    room = z * z / trials
    middle = share + room / 2
    half = math.sqrt(share * (1 - share) * room + room * room / 4)
    # The ends are exact where all or none held; rounding must not carry them past it.
    low = 0.0 if held == 0 else (middle - half) / (1 + room)
    high = 1.0 if held == trials else (middle + half) / (1 + room)
    return max(0.0, low), min(1.0, high)
