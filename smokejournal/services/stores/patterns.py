"""Patterns kept in the journal and in files: plans to begin other cooks from."""

from __future__ import annotations

from concurrent.futures import Future
from pathlib import Path
from typing import Any

from smokejournal.cook.codec.patterns import (
    LARGEST_BYTES,
    PatternProblem,
    pattern_text,
    read_pattern,
)
from smokejournal.cook.plan.pattern import Pattern, payloads_of
from smokejournal.cook.text.translate import translate
from smokejournal.services.program.program import Program
from smokejournal.services.stores.files import write_whole

KEY = "plan_patterns"
SUFFIX = ".pattern.json"


class Patterns:
    """See the module. The journal holds each as the text of its file."""

    def __init__(self, program: Program) -> None:
        self._program = program

    def names(self) -> tuple[str, ...]:
        """The names of the patterns that are kept, in order."""
        return tuple(sorted(self._kept(), key=str.casefold))

    def get(self, name: str) -> Pattern | None:
        """The pattern of this name; None where there is none. PatternProblem where it can't be read."""
        written = self._kept().get(name)
        return None if written is None else read_pattern(written.encode())

    def keep(self, pattern: Pattern) -> Future[Any]:
        """Keep a pattern in the journal, in place of one of the same name. SchemaProblem at once."""
        return self._write({**self._kept(), pattern.name: pattern_text(pattern)})

    def forget(self, name: str) -> Future[Any]:
        """Keep it no longer. Cooks that were begun from it stay as they are."""
        return self._write({n: text for n, text in self._kept().items() if n != name})

    def begin(self, pattern: Pattern, zone: str, place: str, hopper_kg: float | None) -> int:
        """Open a cook from a pattern and return its id once all of it is on disk."""
        cook_id = self._program.new_cook(pattern.name, zone, place=place, hopper_kg=hopper_kg)
        now_s = self._program.clock.now_s()
        written = [(now_s, payload) for payload in payloads_of(pattern)]
        if written:
            self._program.live(cook_id).record_many(written).result()
        return cook_id

    def _kept(self) -> dict[str, str]:
        found = self._program.journal.setting(KEY, {})
        if not isinstance(found, dict):
            return {}
        return {name: text for name, text in found.items() if isinstance(text, str)}

    def _write(self, kept: dict[str, str]) -> Future[Any]:
        return self._program.journal.set_setting(KEY, kept)


def pattern_from_file(path: Path) -> Pattern:
    """The pattern in a file. PatternProblem says what is wrong with it; OSError where it can't be read."""
    with path.open("rb") as file:
        # One byte more than may be there: enough to tell, and no flood.
        content = file.read(LARGEST_BYTES + 1)
    if len(content) > LARGEST_BYTES:
        raise PatternProblem(
            translate("Pattern", "This file is larger than any pattern: it is something else.")
        )
    return read_pattern(content)


def pattern_to_file(pattern: Pattern, path: Path) -> Path:
    """Write a pattern; gives the path. One that was there stays until the new one is whole.

    Raises OSError where it can't be written, and where something else than a file is there.
    """
    return write_whole(pattern_text(pattern).encode(), path)
