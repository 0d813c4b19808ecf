"""Which settings are of one machine and never leave it."""

from __future__ import annotations

from smokejournal.services.program.practice import SETTING


def is_of_this_machine(key: str) -> bool:
    """Whether a setting names ports, files or clocks of the machine: inputs, and the clock of practice."""
    return key == SETTING or key.startswith("feed.")
