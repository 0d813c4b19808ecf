"""Which ground a rule asks for: by the time of day, or as the system's own look is."""

from __future__ import annotations

from smokejournal.cook.text.times import local
from smokejournal.services.program.settings import GroundName, Settings


def ground_by_rule(
    kept: Settings, now_s: float, zone: str, system_dark: bool | None
) -> GroundName | None:
    """The ground that is asked for at `now_s` (UTC seconds) where the clock is that of `zone`; None
    where only the hand chooses, or the system doesn't say (`system_dark` None).

    By light it is the one that was chosen, unless that is night: who sits in the sun stays there.
    """
    dark = system_dark
    if kept.ground_by == "time":
        shown = local(now_s, zone)
        if shown is None:
            return None
        dark = _is_within(
            shown.hour * 3600.0 + shown.minute * 60.0 + shown.second,
            kept.night_from_s,
            kept.night_to_s,
        )
    if kept.ground_by == "hand" or dark is None:
        return None
    if dark:
        return "night"
    return "day" if kept.ground == "night" else kept.ground


def _is_within(time_s: float, from_s: float, to_s: float) -> bool:
    """Whether a time of day lies between two others [s after midnight], over midnight where it must."""
    if from_s <= to_s:
        return from_s <= time_s < to_s
    return time_s >= from_s or time_s < to_s
