"""When something happened, as the cook types it: nothing for now, "-10" for ten minutes ago, "18:40"."""

from __future__ import annotations

from smokejournal.cook.text.numbers import plain
from smokejournal.cook.text.quantities import QuantityError, parse_clock, parse_duration
from smokejournal.cook.text.translate import translate

#: How far behind the clock an entry may be dated [s]: a cook and its prep, not last year's.
FARTHEST_BACK_S = 14 * 86400.0
#: A clock time shows whole minutes, so the minute that has begun is not the future.
_SLACK_S = 60.0


def parse_when(text: str, zone: str, now_s: float, field: str) -> float:
    """The moment [UTC s] that `text` means. Raises QuantityError where it means none in the past.

    A bare clock time is the latest such time, so that "23:50" typed at 00:10 is twenty minutes ago.
    """
    said = plain(text)
    if not said:
        return now_s
    if said.startswith("-"):
        return now_s - parse_duration(said[1:].strip(), field, 0.0, FARTHEST_BACK_S)
    try:
        at_s = parse_clock(said, zone, now_s, field)
        if at_s > now_s + _SLACK_S:
            at_s = parse_clock(said, zone, at_s - 86400.0, field)
    except QuantityError:
        wanted = translate(
            "When", "nothing for now, -10 for ten minutes ago, or a time of day such as 18:40"
        )
        raise QuantityError(field, wanted) from None
    return min(at_s, now_s)
