"""A desk context as the program wires it, for tests of widgets."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.forecast.learner import ForecastLearner
from smokejournal.services.feeds.control import FeedControl
from smokejournal.services.forecast.forecasts import Forecasts
from smokejournal.services.program.program import Program


@contextmanager
def desk_context(program: Program) -> Iterator[DeskContext]:
    """The context with inputs, forecasts and learner; all of them are put away at the end."""
    feeds = FeedControl(program)
    forecasts = Forecasts(program)
    context = DeskContext(program, forecasts, feeds)
    context.learner = ForecastLearner(context, context)
    try:
        yield context
    finally:
        feeds.close()
        context.close()
        forecasts.close()
