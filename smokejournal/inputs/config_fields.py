"""Strict reading of a written configuration: what is wrong is named with its place."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any, Final

from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.translate import translate

NEEDED: Final = object()


class Fields:
    """Named fields of a written configuration. Unknown ones are refused at once."""

    def __init__(self, data: object, where: str, known: Sequence[str]) -> None:
        if not isinstance(data, Mapping):
            raise SchemaProblem(where, translate("Inputs", "This must be a set of named fields."))
        for name in data:
            if name not in known:
                raise SchemaProblem(
                    f"{where}.{name}",
                    translate("Inputs", "This field is not known to this version."),
                )
        self.data: Mapping[str, Any] = data
        self.where = where

    def version(self, newest: int) -> int:
        """The version it was written in, from 1 to `newest`."""
        version = self.data.get("version", 1)
        if isinstance(version, bool) or not isinstance(version, int) or not 1 <= version <= newest:
            raise SchemaProblem(
                self._at("version"),
                translate("Inputs", "This was written by a newer version. Set it up again."),
            )
        return version

    def text(self, name: str, shortest: int, longest: int, default: object = NEEDED) -> str:
        """Text of `shortest` to `longest` characters."""
        value = self._get(name, default)
        if not isinstance(value, str) or not shortest <= len(value) <= longest:
            raise SchemaProblem(
                self._at(name),
                translate("Inputs", "This must be text of {low} to {high} characters.").format(
                    low=shortest, high=longest
                ),
            )
        return value

    def choice(self, name: str, allowed: Sequence[str], default: object = NEEDED) -> str:
        """One of `allowed`."""
        value = self._get(name, default)
        if not isinstance(value, str) or value not in allowed:
            shown = ", ".join(repr(a) if not a.strip() else a for a in allowed)
            raise SchemaProblem(
                self._at(name),
                translate("Inputs", "This must be one of: {allowed}.").format(allowed=shown),
            )
        return value

    def number(self, name: str, low: float, high: float, default: object = NEEDED) -> float:
        """A number from `low` to `high`."""
        value = self._get(name, default)
        wrong = isinstance(value, bool) or not isinstance(value, int | float)
        if wrong or not low <= value <= high or not math.isfinite(value):
            raise SchemaProblem(
                self._at(name),
                translate("Inputs", "This must be a number from {low} to {high}.").format(
                    low=f"{low:g}", high=f"{high:g}"
                ),
            )
        return float(value)

    def number_or_none(self, name: str, low: float, high: float) -> float | None:
        """A number from `low` to `high`, or None where it is not given."""
        return None if self.data.get(name) is None else self.number(name, low, high)

    def whole(self, name: str, low: int, high: int, default: object = NEEDED) -> int | None:
        """A whole number from `low` to `high`; None where that is the default."""
        value = self._get(name, default)
        if value is None and default is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
            raise SchemaProblem(
                self._at(name),
                translate("Inputs", "This must be a whole number from {low} to {high}.").format(
                    low=low, high=high
                ),
            )
        return value

    def flag(self, name: str, default: object = NEEDED) -> bool | None:
        """True or false; None where that is the default."""
        value = self._get(name, default)
        if value is None and default is None:
            return None
        if not isinstance(value, bool):
            raise SchemaProblem(self._at(name), translate("Inputs", "This must be yes or no."))
        return value

    def items(self, name: str, most: int) -> list[object]:
        """A list of `most` items at most."""
        value = self._get(name, [])
        if not isinstance(value, Sequence) or isinstance(value, str | bytes) or len(value) > most:
            raise SchemaProblem(
                self._at(name),
                translate("Inputs", "This must be a list of {most} at most.").format(most=most),
            )
        return list(value)

    def _get(self, name: str, default: object) -> Any:
        value = self.data.get(name, default)
        if value is NEEDED:
            raise SchemaProblem(self._at(name), translate("Inputs", "This field is missing."))
        return value

    def _at(self, name: str) -> str:
        return f"{self.where}.{name}" if self.where else name
