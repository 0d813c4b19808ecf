"""A wrap that nobody told of: noticed with its moment, and not again once the cook has answered."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from smokejournal.science.forecast.forecast import forecast
from smokejournal.science.forecast.heating import Heating, probe_weights
from smokejournal.science.forecast.heating_prior import INDEX, NAMES, bodies_of, prior_of
from smokejournal.science.forecast.values import (
    WRAP_ANSWER_HOLDS_S,
    CookSoFar,
    FloatArray,
    Forecast,
    SetPoint,
    Wrapped,
)

PIT_C = 115.0
STEP_S = 60.0


def shoulder(wraps_at_c: float, hours: float) -> tuple[FloatArray, FloatArray, FloatArray, float]:
    """Times, pit and probe of a shoulder that is wrapped in foil on its plateau, and when it is."""
    values = prior_of("shoulder", 3.0, None, 5.0, 1.0, "foil").values(np.zeros((len(NAMES), 1)))
    # A moist piece, whose plateau is plain to see, in foil that lies close.
    values[INDEX["ln_supply"]] = np.log(0.17)
    values[INDEX["ln_crust"]] = np.log(1.6e-4)
    values[INDEX["ln_film"]] = np.log(0.12)
    values[INDEX["ln_h"]] = np.log(17.0)
    values[INDEX["ln_lag"]] = np.log(9000.0)
    pieces, weights = Heating(bodies_of(values)), probe_weights(values[INDEX["depth"]])
    bare, h_wrap, wet_wrap = np.ones(1), np.full(1, 0.9), np.full(1, 0.02)
    rng = np.random.default_rng(2)
    time_s = STEP_S * np.arange(1, int(hours * 3600 / STEP_S) + 1)
    pit = np.empty(time_s.size)
    probe = np.empty(time_s.size)
    wrapped_s = np.inf
    for n, at_s in enumerate(time_s):
        if np.isinf(wrapped_s) and n and probe[n - 1] >= wraps_at_c:
            wrapped_s = float(at_s)
        # The lid is open for some minutes while it is wrapped.
        pit[n] = PIT_C + rng.normal(0.0, 1.0) - 35.0 * (0.0 <= at_s - wrapped_s < 300.0)
        on = at_s >= wrapped_s
        pieces.step(float(pit[n]), STEP_S, h_wrap if on else bare, wet_wrap if on else bare)
        probe[n] = pieces.at(weights)[0]
    return time_s, pit, np.round(probe + rng.normal(0.0, 0.05, time_s.size), 1), wrapped_s


@pytest.fixture(scope="module")
def untold() -> tuple[CookSoFar, float, Forecast]:
    """A cook an hour and a half after a wrap that nobody told of, when that was, and its forecast."""
    time_s, pit, probe, wrapped_s = shoulder(68.0, 9.0)
    now_s = wrapped_s + 5400.0
    past = time_s <= now_s
    cook = CookSoFar(
        time_s[past],
        pit[past],
        probe[past],
        now_s,
        93.0,
        cut="shoulder",
        mass_kg=3.0,
        start_s=0.0,
        set_points=(SetPoint(0.0, PIT_C),),
    )
    return cook, wrapped_s, forecast(cook)


def test_it_is_noticed_with_its_moment(untold: tuple[CookSoFar, float, Forecast]) -> None:
    _, wrapped_s, found = untold
    assert "wrap_untold" in found.noticed
    assert found.untold_wrap_s == pytest.approx(wrapped_s, abs=180.0)


def test_yes_is_not_asked_again_and_forecasts_as_the_guess_did(
    untold: tuple[CookSoFar, float, Forecast],
) -> None:
    cook, _, guessed = untold
    assert guessed.untold_wrap_s is not None
    told = forecast(replace(cook, wraps=(Wrapped(guessed.untold_wrap_s, "foil"),)))
    assert told.untold_wrap_s is None
    assert "wrap_untold" not in told.noticed
    assert told.remaining_s is not None
    assert told.remaining_s == pytest.approx(guessed.remaining_s)


def test_no_is_believed_but_a_later_one_is_asked_about(
    untold: tuple[CookSoFar, float, Forecast],
) -> None:
    cook, wrapped_s, guessed = untold
    assert guessed.untold_wrap_s is not None
    answered = forecast(replace(cook, wraps=(Wrapped(guessed.untold_wrap_s, None),)))
    assert answered.untold_wrap_s is None
    assert "wrap_untold" not in answered.noticed
    assert answered.standing == "forecast"
    # Without the wrap the fit has to explain the faster rise otherwise: it follows less well.
    assert answered.residual_k is not None
    assert guessed.residual_k is not None
    assert answered.residual_k > guessed.residual_k
    earlier = wrapped_s - 2 * WRAP_ANSWER_HOLDS_S
    later = forecast(replace(cook, wraps=(Wrapped(earlier, None),)))
    assert later.untold_wrap_s == pytest.approx(wrapped_s, abs=180.0)
