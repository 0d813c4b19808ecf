"""What is said when the machine's clock was set, or it slept, while a cook is under way."""

from __future__ import annotations

from smokejournal.cook.text.quantities import Units, clock_time, date_time, duration
from smokejournal.cook.text.translate import translate
from smokejournal.services.program.clock_watch import JUMP_S, ClockMoved
from smokejournal.services.program.sleep_watch import Slept

#: From so long on [s] two times of day don't say which day they are of.
_DAY_S = 86_400.0


def clock_words(moved: ClockMoved) -> tuple[str, str]:
    """What happened, and what to do about it (empty: nothing)."""
    by = duration(abs(moved.by_s))
    if moved.by_s >= 0:
        happened = translate("Clock", "The computer's clock was set ahead by {by}.").format(by=by)
    else:
        happened = translate("Clock", "The computer's clock was set back by {by}.").format(by=by)
    off = duration(abs(moved.ahead_s))
    if abs(moved.ahead_s) < JUMP_S:
        return translate("Clock", "{happened} It agrees with this cook's times again.").format(
            happened=happened
        ), ""
    if moved.ahead_s > 0:
        text = translate(
            "Clock",
            "{happened} This cook keeps the time it began in, so every hold lasts as long as it "
            "should. Its times are now {off} behind the computer's clock.",
        )
    else:
        text = translate(
            "Clock",
            "{happened} This cook keeps the time it began in, so every hold lasts as long as it "
            "should. Its times are now {off} ahead of the computer's clock.",
        )
    return text.format(happened=happened, off=off), translate(
        "Clock", "If you gave a time to eat, set it again on Plan in this cook's time."
    )


def sleep_words(slept: Slept, zone: str, units: Units) -> tuple[str, str]:
    """What happened, fit for the log of a cook in this zone, and what to do about it."""
    words = clock_time if slept.to_s - slept.from_s < _DAY_S else date_time
    happened = translate(
        "Clock", "The machine slept from {begin} to {end}. Nothing was recorded in that time."
    ).format(begin=words(slept.from_s, zone, units), end=words(slept.to_s, zone, units))
    return happened, translate(
        "Clock",
        "Look at the pit and the food now. No hold at a temperature is credited over this gap. So that "
        "it stays awake: plug it in, leave the lid open, and set it to never sleep.",
    )
