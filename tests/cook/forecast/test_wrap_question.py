"""When the cook is asked about a wrap, and when that is answered."""

from __future__ import annotations

import pytest

from smokejournal.cook.forecast.wrap_question import asked_wrap_s, wrap_question
from smokejournal.cook.log.entries import Payload, Wrap
from smokejournal.cook.text.quantities import METRIC, US
from smokejournal.science.forecast.values import WRAP_ANSWER_HOLDS_S, Forecast
from tests.support.logs import T0, cook_log

AT_S = T0 + 7200.0
NOTICED = Forecast("forecast", T0 + 10_000.0, noticed=("wrap_untold",), untold_wrap_s=AT_S)


@pytest.mark.parametrize(
    ("said", "asked"),
    [
        ([], True),
        ([(7200.0, Wrap("foil"))], False),
        ([(7200.0, Wrap("none"))], False),
        # Told by hand, and not to the minute.
        ([(6000.0, Wrap("paper"))], False),
        ([(7200.0 - WRAP_ANSWER_HOLDS_S, Wrap("none"))], False),
        ([(7199.0 - WRAP_ANSWER_HOLDS_S, Wrap("none"))], True),
        ([(3600.0, Wrap("foil")), (4000.0, Wrap("none"))], True),
    ],
)
def test_open_until_it_is_answered(said: list[tuple[float, Payload]], asked: bool) -> None:
    entries = tuple(cook_log((), said).holding())
    assert asked_wrap_s(NOTICED, entries) == (AT_S if asked else None)


def test_nothing_noticed_nothing_asked() -> None:
    assert asked_wrap_s(Forecast("forecast", T0), ()) is None


def test_the_words() -> None:
    fourteen_twenty = (T0 // 86400) * 86400 + 14 * 3600 + 1200
    assert wrap_question(fourteen_twenty, METRIC, "UTC") == "Did you wrap it at about 14:20?"
    assert wrap_question(fourteen_twenty, US, "UTC") == "Did you wrap it at about 2:20 pm?"
