"""What no sum can mean, refused at its door with the argument's name.

`@refuses()` reads each argument's quantity off the end of its name, as every number here carries its
unit there: `air_c` is a temperature above absolute zero, `mass_kg` is above zero, `at_s` never falls.
Every number must be finite. What a function allows besides, or asks for besides, is said where it is
decorated: `@refuses("at_s value", salt_kg=NOT_BELOW_ZERO, crossing_s=ENDLESS)`, where the strings name
arrays that must be of one length. Where a sum holds is its own affair (`ranges.within`).
"""

from __future__ import annotations

import inspect
import math
import re
import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass, replace
from functools import cache, wraps
from typing import Any, ParamSpec, TypeVar

import numpy as np

from smokejournal.science.numbers.ranges import OutOfRange

P = ParamSpec("P")
R = TypeVar("R")

_LARGEST = sys.float_info.max
ABSOLUTE_ZERO_C = -273.15
#: A conversion there and back costs some 1e-13 °C.
_COLDEST_C = ABSOLUTE_ZERO_C - 1e-9


@dataclass(frozen=True, slots=True)
class Rule:
    """What a number, or each of many, may be: finite and from `low` to `high`, or above `low` (`beyond`).

    `endless` lets plus infinity pass, `rising` refuses what falls from one to the next. `field` is
    what `OutOfRange` calls it; without, the argument's name without its unit.
    """

    low: float = -_LARGEST
    high: float = _LARGEST
    beyond: bool = False
    endless: bool = False
    rising: bool = False
    unit: str = ""
    field: str = ""

    def check(self, argument: str, value: Any) -> None:
        """OutOfRange, or ValueError for times that fall, naming the argument. None passes."""
        if isinstance(value, float | int):
            if self.low < value <= self.high or (value == self.low and not self.beyond):
                return
            if not (self.endless and value == math.inf):
                self._refuse(argument, value)
        elif (least := getattr(value, "low", None)) is not None:
            self.check(argument, least)  # a `Spread`, whose ends are finite and in order
            self.check(argument, value.high)
        elif isinstance(value, Mapping):
            for key, each in value.items():
                self.check(f"{argument}[{key!r}]", each)
        elif isinstance(value, tuple) and any(isinstance(each, Mapping) for each in value):
            for n, each in enumerate(value):
                self.check(f"{argument}[{n}]", each)
        elif value is not None:
            many = np.asarray(value, dtype=np.float64)
            # Comparisons with what is no number are false, so it never counts as sound.
            sound = (many > self.low) if self.beyond else (many >= self.low)
            if not self.endless:
                sound &= many <= self.high
            if not sound.all():
                self._refuse(argument, float(many[~sound].flat[0]))
            if self.rising and many.ndim and np.any(np.diff(many) < 0.0):
                raise ValueError(f"{argument}: times must not fall")

    def _refuse(self, argument: str, value: float) -> None:
        low = self.low if self.low > -_LARGEST else -math.inf
        high = self.high if self.high < _LARGEST else math.inf
        asked = ""
        if high == math.inf:
            bound = f"{low:g} {self.unit}".rstrip()
            asked = f"above {bound}" if self.beyond else f"from {bound} up"
            asked = "a number" if low == -math.inf else asked
        field = self.field or spoken(argument)
        raise OutOfRange(field, value, low, high, self.unit, argument=argument, asked=asked)

    def said(self, field: str) -> Rule:
        """The same by another name for `OutOfRange`."""
        return replace(self, field=field)


NUMBER = Rule()
NOT_BELOW_ZERO = Rule(0.0)
ABOVE_ZERO = Rule(0.0, beyond=True)
ENDLESS = Rule(endless=True)
CELSIUS = Rule(_COLDEST_C, unit="°C")
TIMES = Rule(rising=True, unit="s")


def between(field: str, low: float, high: float, unit: str = "") -> Rule:
    """From `low` to `high` and nothing else; `field` is what `OutOfRange` calls it."""
    return Rule(low, high, unit=unit, field=field)


_SIZES = "kg g m m2 m3 pa hpa kg_m3 kg_h mj_kg ohm m2_s w_mk j_m3k"
#: By the end of the name; the longest that fits counts.
_BY_END: dict[str, Rule] = {
    "_c": CELSIUS,
    "_kg_m2": replace(NOT_BELOW_ZERO, unit="kg/m²"),
    "sd_k": replace(NOT_BELOW_ZERO, unit="K"),
    "_sd": NOT_BELOW_ZERO,
    "_m_s": replace(NUMBER, unit="m/s"),
    "_kg_m2_s": NUMBER,
    "_k_s": NUMBER,
    "_k": replace(NUMBER, unit="K"),
    "_s": replace(NUMBER, unit="s"),
    "_pct": replace(NUMBER, unit="%"),
    **{f"_{unit}": ABOVE_ZERO for unit in _SIZES.split()},
    **{f"_{unit}": replace(ABOVE_ZERO, unit=unit) for unit in ("kg", "g", "m", "ohm")},
    "_pa": replace(ABOVE_ZERO, unit="Pa"),
    "_hpa": replace(ABOVE_ZERO, unit="hPa"),
}
_ENDS = sorted(_BY_END, key=len, reverse=True)
_NUMERIC = re.compile(r"\b(float|int|FloatArray|ArrayLike|Spread)\b")


def _end_of(name: str) -> str:
    return next((end for end in _ENDS if name.endswith(end)), "")


def rule_of(name: str, annotation: str) -> Rule | None:
    """The rule for an argument or a field by its name; None where it isn't annotated as a number."""
    if not _NUMERIC.search(annotation) or "Callable" in annotation:
        return None
    if name in ("at_s", "time_s"):
        return TIMES
    return _BY_END.get(_end_of(name), NUMBER)


def spoken(argument: str) -> str:
    """What `OutOfRange` calls an argument: "cooker.length_m" is "length", "points[0].t_c" "t 1"."""
    name = argument.rsplit(".", 1)[-1]
    number = re.search(r"\[(\d+)\]", argument)
    words = re.sub(r"\[.*\]", "", name).removesuffix(_end_of(name)).replace("_", " ")
    return f"{words} {int(number[1]) + 1}" if number else words


class Parts:
    """The rule for an argument that is a dataclass, or several: each field by its own.

    `own` are the rules of fields whose names don't say enough; None: anything.
    """

    def __init__(self, *alike: str, **own: Rule | Parts | None) -> None:
        self._alike = [each.split() for each in alike]
        self._own = own

    def check(self, argument: str, value: Any) -> None:
        """As `Rule.check`. What is neither a dataclass nor holds any passes."""
        if is_dataclass(value):
            kind: Any = type(value)
            for name, by_name in _rules_of(kind):
                rule = self._own.get(name, by_name)
                if rule is not None:
                    rule.check(f"{argument}.{name}", getattr(value, name))
            for names in self._alike:
                _check_alike([(f"{argument}.{name}", getattr(value, name)) for name in names])
        elif isinstance(value, Sequence) and not isinstance(value, str):
            for n, each in enumerate(value):
                self.check(f"{argument}[{n}]", each)


PARTS = Parts()


@cache
def _rules_of(kind: type[Any]) -> tuple[tuple[str, Rule | Parts], ...]:
    return tuple(
        (field.name, rule_of(field.name, str(field.type)) or PARTS) for field in fields(kind)
    )


def _check_alike(given: Sequence[tuple[str, Any]]) -> None:
    many = [
        (name, np.shape(value)) for name, value in given if np.ndim(value) and value is not None
    ]
    for name, shape in many[1:]:
        if shape != many[0][1]:
            raise ValueError(f"{name}: as many as of {many[0][0]}, {many[0][1]} and not {shape}")


def refuses(*alike: str, **own: Rule | Parts | None) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """A decorator that refuses what the function can't mean, with ValueError naming the argument.

    `alike`: names, parted by spaces, of arrays that must have one shape (single numbers and None
    pass). `own`: rules for arguments whose names don't say enough, or that are dataclasses (`PARTS`);
    None: anything. Values that aren't given, and so are the function's own, aren't looked at.
    """

    def at_the_door(function: Callable[P, R]) -> Callable[P, R]:
        parameters = inspect.signature(function).parameters
        groups = [each.split() for each in alike]
        if unknown := {*own, *(name for names in groups for name in names)} - {*parameters}:
            raise TypeError(f"{function.__name__} has no {', '.join(sorted(unknown))}")
        rules = {
            name: own[name] if name in own else rule_of(name, str(each.annotation))
            for name, each in parameters.items()
        }
        in_order = tuple(rules.items())

        @wraps(function)
        def door(*args: P.args, **kwargs: P.kwargs) -> R:
            for (name, rule), value in zip(in_order, args, strict=False):
                if rule is not None:
                    rule.check(name, value)
            for name, value in kwargs.items():
                rule = rules.get(name)
                if rule is not None:
                    rule.check(name, value)
            if groups:
                given: dict[str, Any] = {**dict(zip(rules, args, strict=False)), **kwargs}
                for names in groups:
                    _check_alike([(name, given.get(name)) for name in names])
            return function(*args, **kwargs)

        return door

    return at_the_door
