"""What a computed forecast says of the cook on the desk, in words."""

from __future__ import annotations

from smokejournal.cook.forecast.clock_words import ForecastClock
from smokejournal.cook.forecast.serving import clock_only_words, ready_by_the_clock
from smokejournal.cook.forecast.words import ForecastWords, forecast_words, why_words
from smokejournal.cook.forecast.wrap_question import asked_wrap_s
from smokejournal.cook.plan.plan import plan_of
from smokejournal.cook.text.quantities import Units
from smokejournal.desk.base.context import DeskContext
from smokejournal.services.forecast.finish import ForecastResult
from smokejournal.services.program.live import LiveCook


def words_of(result: ForecastResult, live: LiveCook, units: Units) -> ForecastWords:
    """What was computed, in words; why there is none, where there is none."""
    if result.why is not None and result.why.why == "past":
        standing = live.standing()
        ready_s = ready_by_the_clock(standing)
        if ready_s is not None:
            said = clock_only_words(ready_s, ForecastClock(standing.at_s, None, units, live.zone))
            return ForecastWords(said, headline=said)
    if result.forecast is None or result.record is None:
        return ForecastWords(why_words(result.why.why) if result.why is not None else "")
    wanted_s = plan_of(live.log()).ready_at_s
    return forecast_words(result.forecast, result.record, units, live.zone, wanted_s)


def asked_of(context: DeskContext, result: ForecastResult | None, live: LiveCook) -> float | None:
    """When it may have been wrapped without a word [UTC seconds], if that is still to be asked."""
    if result is None or result.forecast is None or result.forecast.untold_wrap_s is None:
        return None
    # What can't be written isn't asked.
    if context.program.journal.read_only:
        return None
    return asked_wrap_s(result.forecast, live.log().holding())
