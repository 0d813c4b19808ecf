"""From where in a log a cook teaches, what is kept of it, and what revokes it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.forecast.cook_so_far import ForecastInput, NoForecast
from smokejournal.cook.learning.lessons import (
    came_s,
    found_of,
    lesson_of,
    look_back,
    on_the_way,
    outcome_of,
    too_short,
)
from smokejournal.cook.log.entries import (
    AlarmRaised,
    CookClosed,
    Entry,
    ForecastMade,
    ForecastOutcome,
    ItemAdded,
    LeadSet,
    Note,
    Payload,
    PieceFound,
    ReadingsStruck,
    SeenDirection,
    StageConfirmed,
    StageSkipped,
    Strike,
    Tasted,
    Wrap,
)
from smokejournal.cook.log.schedule import ForTime, Stage, UntilSaid, UntilTemperature
from smokejournal.science.forecast.heating_learned import MODEL
from smokejournal.science.forecast.recalibration import SCORES
from smokejournal.science.forecast.values import (
    Fell,
    Finding,
    Forecast,
    Recalibration,
    Wrapped,
)
from tests.support.logs import T0, cook_log, ramp

H = 3600.0
SMOKE = Stage("s", "Smoke", (UntilTemperature(70.0),), pit_target_c=110.0)
SAID = Stage("a", "Smoke", (UntilTemperature(70.0),), pit_target_c=110.0, ending="waits")
REST = Stage("r", "Rest", (ForTime(H),))
SHOULDER = ItemAdded("pork shoulder", "red_meat", mass_kg=3.0)
#: At 70 °C after 2 h, then on to 90 °C.
READINGS = (*ramp("pit", 0, 4 * H, 110.0, 110.0, 60.0), *ramp("meat", 0, 3 * H, 10.0, 100.0, 60.0))
FOUND = PieceFound(
    MODEL,
    "meat",
    "brisket",
    sd={"ln_h": 0.25},
    directions=(SeenDirection({"ln_h": 4.0}, 2.9),),
)


def back(stages: list[Stage], *said: tuple[float, Payload]) -> ForecastInput | NoForecast:
    return look_back(cook_log(stages, [*said, (4 * H, CookClosed())], READINGS))


class TestLookBack:
    def test_up_to_when_the_probe_was_there(self) -> None:
        record = back([SMOKE, REST], (-60.0, SHOULDER), (H, Wrap("foil")))
        assert isinstance(record, ForecastInput)
        cook = record.cook
        assert cook.now_s == pytest.approx(T0 + 2 * H, abs=90.0)
        assert np.nanmax(cook.time_s) <= cook.now_s
        assert (cook.cut, cook.mass_kg, cook.legs, cook.prior) == ("shoulder", 3.0, (), None)
        assert cook.wraps == (Wrapped(T0 + H, "foil"),)

    def test_what_was_read_while_it_waited_for_a_word_is_left_out(self) -> None:
        record = back([SAID, REST], (2.8 * H, StageConfirmed("a")))
        assert isinstance(record, ForecastInput)
        assert record.cook.now_s == pytest.approx(T0 + 2 * H, abs=90.0)

    def test_a_target_that_was_never_reached_is_left_at_the_end_of_its_stage(self) -> None:
        record = back([SMOKE, REST], (1.5 * H, StageSkipped("s")))
        assert isinstance(record, ForecastInput)
        assert record.cook.now_s == pytest.approx(T0 + 1.5 * H, abs=2.0)

    def test_the_last_stage_that_waits_for_the_probe_counts(self) -> None:
        finish = Stage("f", "Finish", (UntilTemperature(85.0),), pit_target_c=110.0)
        record = back([SMOKE, finish, REST])
        assert isinstance(record, ForecastInput)
        assert record.cook.target_c == 85.0
        assert record.cook.now_s == pytest.approx(T0 + 2.5 * H, abs=90.0)

    @pytest.mark.parametrize(
        ("stages", "said", "why"),
        [
            ([Stage("s", "Smoke", (ForTime(H),), pit_target_c=110.0)], (), "no_target"),
            ([Stage("s", "Smoke", (UntilSaid(),), pit_target_c=110.0)], (), "no_target"),
            ([SMOKE], ((10.0, LeadSet("gone")),), "no_lead"),
        ],
    )
    def test_why_nothing_can_be_learned(self, stages, said, why) -> None:
        assert back(list(stages), *said) == NoForecast(why)

    def test_a_cook_that_is_not_closed_or_never_began(self) -> None:
        assert look_back(cook_log([SMOKE], (), READINGS)) == NoForecast("not_begun")
        idle = cook_log([SMOKE], [(4 * H, CookClosed())], READINGS, start=None)
        assert look_back(idle) == NoForecast("not_begun")

    def test_a_few_minutes_are_too_short(self) -> None:
        record = back([SMOKE])
        assert not too_short(record)
        assert too_short(back([SMOKE], (600.0, StageSkipped("s"))))
        assert not too_short(NoForecast("no_lead"))


class TestFound:
    FOUND = Finding("brisket", ({"ln_h": 4.0, "loss": -1.0},), (0.5,), {"ln_h": 0.25, "loss": 0.06})
    FORECAST = Forecast("reached", 0.0, noticed=("moved",), found=FOUND)
    OUTCOME = ForecastOutcome(0.5, 0.3)

    def record(self, cut: str) -> ForecastInput:
        record = back([SMOKE])
        assert isinstance(record, ForecastInput)
        return replace(record, cook=replace(record.cook, cut=cut))  # type: ignore[arg-type]

    def test_what_was_seen_and_how_forecasts_came_out(self) -> None:
        found = found_of(self.record("brisket"), self.FORECAST, [self.OUTCOME])
        assert found == PieceFound(
            MODEL,
            "meat",
            "brisket",
            sd=self.FOUND.sd,
            noticed=("moved",),
            directions=(SeenDirection({"ln_h": 4.0, "loss": -1.0}, 0.5),),
            outcomes=(self.OUTCOME,),
        )
        lesson = lesson_of(entries(CookClosed(), found))
        assert lesson.finding == self.FOUND
        assert lesson.fell == (Fell("brisket", 0.5, 0.3),)

    @pytest.mark.parametrize("standing", ["in_air", "no_readings", "too_early"])
    def test_a_record_that_tells_nothing(self, standing) -> None:
        found = found_of(self.record("fish"), replace(self.FORECAST, standing=standing))
        assert (found.directions, found.sd, found.why) == ((), {}, standing)

    def test_without_a_record_or_a_forecast(self) -> None:
        assert found_of(NoForecast("no_pit"), None) == PieceFound(MODEL, why="no_pit")
        assert found_of(self.record("fish"), None).why == "too_early"
        bare = replace(self.FORECAST, found=None)
        assert found_of(self.record("fish"), bare).why == "reached"
        nothing = replace(self.FORECAST, found=Finding("fish"))
        assert found_of(self.record("fish"), nothing, [self.OUTCOME]).why == "no_readings"

    def test_the_score_is_that_of_the_members_themselves(self) -> None:
        """Of a forecast that was corrected, what counts is where it fell before the correction."""
        remaining_s = np.asarray(np.exp(8.0 + 0.2 * SCORES))
        plain = Forecast("forecast", 0.0, remaining_s)
        came = float(np.exp(8.0 + 0.2 * 0.7))
        assert outcome_of(0.5, plain, came) == ForecastOutcome(0.5, pytest.approx(0.7, abs=1e-3))
        by = Recalibration(-0.2, 0.5, 3)
        moved = replace(
            plain,
            remaining_s=np.asarray(np.exp(8.0 + 0.2 * (-0.2 + 0.5 * SCORES))),
            recalibration=by,
        )
        assert outcome_of(0.5, moved, came) == ForecastOutcome(0.5, pytest.approx(0.7, abs=1e-3))
        assert outcome_of(0.5, replace(plain, standing="in_air"), came) is None
        assert outcome_of(0.5, Forecast("forecast", 0.0), came) is None

    def test_what_was_known_on_the_way(self) -> None:
        log = cook_log([SMOKE, REST], [(4 * H, CookClosed())], READINGS)
        answer = look_back(log)
        assert isinstance(answer, ForecastInput)
        end_s = came_s(log, answer)
        assert end_s == answer.cook.now_s
        found = on_the_way(log, answer)
        assert [way for way, _ in found] == [0.25, 0.5, 0.75, 0.9]
        for way, record in found:
            assert record.cook.now_s == pytest.approx(T0 + way * (end_s - T0), abs=120.0)
            assert record.cook.time_s.max() <= record.cook.now_s
            assert record.cook.legs
        never = cook_log([SMOKE], [(1.5 * H, StageSkipped("s")), (4 * H, CookClosed())], READINGS)
        record = look_back(never)
        assert isinstance(record, ForecastInput)
        assert came_s(never, record) is None
        assert on_the_way(never, record) == []


def entries(*said: Payload) -> list[Entry]:
    return [Entry(n, T0 + n, T0 + n, what) for n, what in enumerate(said, start=1)]


class TestLesson:
    def test_what_was_found_teaches(self) -> None:
        lesson = lesson_of(entries(CookClosed(), FOUND, Note("good"), Tasted("good")))
        assert lesson.state == "learned"
        assert lesson.finding is not None
        assert lesson.finding == Finding("brisket", ({"ln_h": 4.0},), (2.9,), {"ln_h": 0.25})

    def test_struck_it_is_left_out_and_taken_in_again(self) -> None:
        said = [CookClosed(), FOUND, Strike(2)]
        assert lesson_of(entries(*said)).state == "left_out"
        assert lesson_of(entries(*said)).finding is None
        assert lesson_of(entries(*said, Strike(3))).state == "learned"

    def test_of_two_the_newest_counts(self) -> None:
        newer = replace(FOUND, directions=(SeenDirection({"ln_h": 4.0}, 3.0),))
        assert lesson_of(entries(FOUND, Strike(1), newer)).what == newer

    def test_one_that_runs_unlike_any_other_counts_only_if_asked(self) -> None:
        far = replace(FOUND, noticed=("far_from_any_prior",))
        assert lesson_of(entries(far)).state == "far"
        assert lesson_of(entries(far)).finding is None
        assert lesson_of(entries(replace(far, asked=True))).state == "learned"

    def test_nothing_and_never(self) -> None:
        assert lesson_of(entries(PieceFound(MODEL, why="no_lead"))).state == "nothing"
        assert lesson_of(entries(CookClosed())).state == "unread"

    def test_another_model_is_read_anew_but_stays_left_out(self) -> None:
        older = replace(FOUND, model=MODEL + 1)
        assert lesson_of(entries(older)).state == "unread"
        assert lesson_of(entries(older)).finding is None
        assert lesson_of(entries(older, Strike(1))).state == "left_out"

    @pytest.mark.parametrize(
        "what",
        [SHOULDER, Wrap("foil"), ReadingsStruck("meat", T0, T0 + 1), CookClosed(), Strike(1)],
    )
    def test_what_changes_the_record_makes_it_out_of_date(self, what: Payload) -> None:
        assert lesson_of(entries(CookClosed(), FOUND, what)).state == "unread"

    @given(
        st.lists(
            st.sampled_from([
                Note("x"), AlarmRaised("k", "t"), ForecastMade("meat", 70.0), Tasted("x"),
            ]),
            max_size=4,
        )
    )  # fmt: skip
    def test_what_says_nothing_of_the_record_leaves_it(self, more: list[Payload]) -> None:
        said = entries(CookClosed(), FOUND, *more)
        said += [Entry(100 + n, T0, T0, Strike(3 + n)) for n in range(len(more))]
        assert lesson_of(said).state == "learned"
