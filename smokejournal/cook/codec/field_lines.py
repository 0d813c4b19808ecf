"""On which line of a JSON text a field stands, so that a person who edits the file finds it."""

from __future__ import annotations

import json
import re
from typing import Final

_STEP: Final = re.compile(r"\[(\d+)\]|([^.\[\]]+)")
_SPACE: Final = re.compile(r"[ \t\r\n]*")
_TEXT: Final = re.compile(r'"(?:[^"\\]|\\.)*"', re.DOTALL)
_DECODER: Final = json.JSONDecoder()


def line_of(text: str, where: str) -> int:
    """The line, from 1, on which the field at `where` ("stages[2].rules[0].target_c") begins.

    Where there is no such field (one that is missing) it is the line of what should hold it. `text`
    must be JSON that can be read, in which no two fields of an object have the same name.
    """
    at = _after_space(text, 0)
    for index, name in _STEP.findall(where):
        inside = _element(text, at, int(index)) if index else _field(text, at, name)
        if inside is None:
            break
        at = inside
    return text.count("\n", 0, at) + 1


def _after_space(text: str, at: int) -> int:
    found = _SPACE.match(text, at)
    assert found is not None
    return found.end()


def _field(text: str, at: int, name: str) -> int | None:
    """Where the value of the field of this name begins; None where the object at `at` has none."""
    if text[at] != "{":
        return None
    at = _after_space(text, at + 1)
    while text[at] != "}":
        key = _TEXT.match(text, at)
        assert key is not None
        value = _after_space(text, _after_space(text, key.end()) + 1)
        if key.group()[1:-1] == name:
            return value
        at = _next(text, value)
    return None


def _element(text: str, at: int, index: int) -> int | None:
    if text[at] != "[":
        return None
    at = _after_space(text, at + 1)
    while text[at] != "]":
        if index == 0:
            return at
        at = _next(text, at)
        index -= 1
    return None


def _next(text: str, at: int) -> int:
    """Where what follows the value at `at` begins: the next one, or the bracket that closes."""
    at = _after_space(text, _DECODER.raw_decode(text, at)[1])
    return _after_space(text, at + 1) if text[at] == "," else at
