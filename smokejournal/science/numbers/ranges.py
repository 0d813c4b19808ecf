"""Refusing what is out of range, with the name of the field and its range.

The message is plain English for the log and for tests; whoever shows it to a person says the same in
their own words from `field`, `low`, `high` and `unit`.
"""

from __future__ import annotations

import math


class OutOfRange(ValueError):
    """`field` [`unit`] was `value`, which is not from `low` to `high`; `asked` says so otherwise.

    `argument` is the name by which the value was given to a function.
    """

    def __init__(
        self,
        field: str,
        value: float,
        low: float,
        high: float,
        unit: str = "",
        *,
        argument: str = "",
        asked: str = "",
    ) -> None:
        self.field, self.value, self.low, self.high, self.unit = field, value, low, high, unit
        asked = asked or f"from {low:g} to {high:g} {unit}".rstrip()
        named = f" ({argument})" if argument else ""
        super().__init__(f"{field}: {asked}, not {value:g}{named}")


def within(
    field: str, value: float, low: float, high: float, unit: str = "", *, argument: str = ""
) -> float:
    """`value`, which must be a number from `low` to `high`; OutOfRange says which field and range."""
    if not (math.isfinite(value) and low <= value <= high):
        raise OutOfRange(field, value, low, high, unit, argument=argument)
    return value
