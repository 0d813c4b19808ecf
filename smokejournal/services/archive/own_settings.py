"""Which settings are of one machine and never leave it."""

from __future__ import annotations

from smokejournal.services.program.practice import SETTING


def is_of_this_machine(key: str) -> bool:
    """Whether a setting names ports, files or clocks of the machine, or lets it into the network: inputs,
    the clock of practice, weather by network. Nobody's archive may switch that on for another."""
    return key == SETTING or key.startswith(("feed.", "weather."))
