"""How far a probe of a stated class may be off when it is new.

Sources: IEC 60584-1 (thermocouples, classes 1 to 3) and ASTM E230/E230M-12 (standard and special
limits); IEC 60751 (platinum, classes AA, A and B; its ranges from memory); FDA Food Code 4-203.11
(food thermometers, ±1 °C). One sheet that goes about prints type T class 1 as 1.0 °C; the standard
says 0.5 °C.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from smokejournal.science.numbers.refusals import NOT_BELOW_ZERO, PARTS, refuses

Rule = Literal["greater", "sum"]


@dataclass(frozen=True, slots=True)
class AccuracyClass:
    """A tolerance [K]: the greater of `fixed_k` and `share` times |t|, or their sum, within a range [°C]."""

    key: str
    standard: str
    name: str
    low_c: float
    high_c: float
    fixed_k: float
    share: float = 0.0
    rule: Rule = "greater"

    def tolerance_k(self, t_c: float) -> float | None:
        """How far it may be off at `t_c` [°C]; None outside the class's range."""
        if not self.low_c <= t_c <= self.high_c:
            return None
        growing = self.share * abs(t_c)
        return self.fixed_k + growing if self.rule == "sum" else max(self.fixed_k, growing)


_IEC, _ASTM, _PT = "IEC 60584-1", "ASTM E230", "IEC 60751"

ACCURACY_CLASSES: dict[str, AccuracyClass] = {
    each.key: each
    for each in (
        AccuracyClass("food", "FDA Food Code 4-203.11", "food thermometer", -40, 300, 1.0),
        AccuracyClass("K1", _IEC, "K, class 1", -40, 1000, 1.5, 0.004),
        AccuracyClass("K2", _IEC, "K, class 2", -40, 1200, 2.5, 0.0075),
        AccuracyClass("K3", _IEC, "K, class 3", -200, 40, 2.5, 0.015),
        AccuracyClass("J1", _IEC, "J, class 1", -40, 750, 1.5, 0.004),
        AccuracyClass("J2", _IEC, "J, class 2", -40, 750, 2.5, 0.0075),
        AccuracyClass("T1", _IEC, "T, class 1", -40, 350, 0.5, 0.004),
        AccuracyClass("T2", _IEC, "T, class 2", -40, 350, 1.0, 0.0075),
        AccuracyClass("T3", _IEC, "T, class 3", -200, 40, 1.0, 0.015),
        AccuracyClass("K-standard", _ASTM, "K, standard", 0, 1260, 2.2, 0.0075),
        AccuracyClass("K-special", _ASTM, "K, special", 0, 1260, 1.1, 0.004),
        AccuracyClass("J-standard", _ASTM, "J, standard", 0, 760, 2.2, 0.0075),
        AccuracyClass("J-special", _ASTM, "J, special", 0, 760, 1.1, 0.004),
        AccuracyClass("T-standard", _ASTM, "T, standard", 0, 370, 1.0, 0.0075),
        AccuracyClass("T-special", _ASTM, "T, special", 0, 370, 0.5, 0.004),
        AccuracyClass("Pt-AA", _PT, "platinum AA", 0, 150, 0.1, 0.0017, "sum"),
        AccuracyClass("Pt-A", _PT, "platinum A", -30, 300, 0.15, 0.002, "sum"),
        AccuracyClass("Pt-B", _PT, "platinum B", -50, 500, 0.3, 0.005, "sum"),
    )
}

Verdict = Literal["within", "outside", "open", "out_of_range"]


@refuses(which=PARTS, expanded_k=NOT_BELOW_ZERO)
def verdict(which: AccuracyClass, error_k: float, at_c: float, expanded_k: float) -> Verdict:
    """Whether an error [K] found at `at_c` [°C] to ± `expanded_k` [K] keeps the class.

    "open" where the uncertainty reaches over the limit, so that the finding decides nothing.
    """
    allowed_k = which.tolerance_k(at_c)
    if allowed_k is None:
        return "out_of_range"
    if abs(error_k) + expanded_k <= allowed_k:
        return "within"
    return "outside" if abs(error_k) - expanded_k > allowed_k else "open"
