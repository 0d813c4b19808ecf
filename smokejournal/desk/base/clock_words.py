"""What is said when the machine's clock was set while a cook is under way."""

from __future__ import annotations

from smokejournal.cook.text.quantities import duration
from smokejournal.cook.text.translate import translate
from smokejournal.services.program.clock_watch import JUMP_S, ClockMoved


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
