"""Every forecast that was made, against what came: judged, counted and put on the sheet."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.learning.outcomes import forecast_facts, reached_s, score_forecasts
from smokejournal.cook.log.entries import ForecastMade, Payload, Strike
from smokejournal.cook.log.schedule import Stage, UntilTemperature
from smokejournal.cook.progress.believed import BelievedTrace
from smokejournal.cook.summary.sheet import Paragraph, Section, Table
from smokejournal.cook.summary.sheet_sections import ORDER, sheet_of
from smokejournal.cook.summary.summary import Summary, summarize
from smokejournal.cook.text.quantities import METRIC, US
from tests.support.logs import MEAT, T0, cook_log, ramp

H = 3600.0
COOK = Stage("s1", "Cook", (UntilTemperature(74.0),), pit_target_c=107.0)
#: At 74 °C after exactly four hours: 20:26:40 + 4 h.
READINGS = ramp("meat", 0, 5 * H, 6.0, 91.0)


def made(
    low_h: float | None, mid_h: float | None, high_h: float | None, **more: object
) -> ForecastMade:
    moments = [None if h is None else T0 + h * H for h in (low_h, mid_h, high_h)]
    return ForecastMade("meat", 74.0, "forecast", *moments, **more)  # type: ignore[arg-type]


def summary(
    said: Sequence[tuple[float, Payload]], now: float = 5 * H, readings=READINGS
) -> Summary:
    return summarize(cook_log([COOK], said, readings), T0 + now)


def text_of(section: Section | None) -> str:
    assert section is not None
    said: list[str] = []
    for block in section.blocks:
        if isinstance(block, Paragraph):
            said.append(block.text)
        elif isinstance(block, Table):
            said += [" | ".join(row) for row in block.rows]
    return "\n".join(said)


class TestFacts:
    def test_held_and_not(self) -> None:
        facts = summary(
            [(H, made(3.0, 3.9, 4.5)), (2 * H, made(4.5, 5.0, 6.0)), (3 * H, made(3.2, 3.5, 3.8))]
        ).forecasts
        assert [fact.held for fact in facts] == [True, False, False]
        came_s = facts[0].came_s
        assert came_s is not None
        assert came_s == pytest.approx(T0 + 4 * H, abs=60.0)
        assert facts[0].off_s == pytest.approx(-0.1 * H, abs=60.0)
        assert facts[1].off_s == pytest.approx(1.0 * H, abs=60.0)
        score = score_forecasts(facts)
        assert (score.judged, score.held) == (3, 1)
        assert score.median_off_s == pytest.approx(0.5 * H, abs=60.0)

    def test_what_has_not_come_is_not_judged_until_it_can_no_longer_hold(self) -> None:
        short = ramp("meat", 0, 2 * H, 6.0, 40.0)
        facts = summary(
            [(H, made(1.2, 1.5, 1.8)), (H, made(3.0, 4.0, 5.0)), (H, made(3.0, None, None))],
            2 * H,
            short,
        ).forecasts
        assert [fact.held for fact in facts] == [False, None, None]
        assert all(fact.came_s is None for fact in facts)

    def test_an_open_end_holds(self) -> None:
        (fact,) = summary([(H, made(3.0, None, None))]).forecasts
        assert fact.held is True
        assert fact.off_s is None

    def test_reached_and_struck_ones_are_none(self) -> None:
        said = [(4.5 * H, ForecastMade("meat", 74.0, "reached")), (H, made(3.0, 4.0, 5.0))]
        assert len(summary(said).forecasts) == 1
        log = cook_log([COOK], said, READINGS)
        written = next(e for e in log.entries if e.what == said[1][1])
        assert summary([*said, (5 * H, Strike(written.id))]).forecasts == ()

    def test_a_probe_that_was_never_heard(self) -> None:
        (fact,) = summary([(H, ForecastMade("gone", 74.0, "forecast", T0, T0, T0))]).forecasts
        assert (fact.came_s, fact.held) == (None, None)

    def test_one_reading_alone_is_not_there(self) -> None:
        """A spike above the target is no arrival; half a minute of readings above it is."""
        readings = [*ramp("meat", 0, H, 60.0, 70.0), (H + 10, "meat", 75.0)]
        readings += ramp("meat", H + 20, 2 * H + 20, 70.0, 80.0)
        (fact,) = summary([(60.0, made(0.5, 1.0, 2.0))], 2 * H + 20, readings).forecasts
        assert fact.came_s is not None
        assert fact.came_s > T0 + H + 600.0

    @given(
        st.lists(
            st.tuples(st.integers(0, 600), st.sampled_from([73.0, 73.9, 74.0, 74.1, 80.0])),
            max_size=60,
            unique_by=lambda pair: pair[0],
        )
    )
    def test_the_median_of_a_minute_decides(self, pairs: list[tuple[int, float]]) -> None:
        pairs = sorted(pairs)
        at_s = np.array([float(t) for t, _ in pairs])
        value_c = np.array([v for _, v in pairs])
        heard = BelievedTrace(MEAT, at_s, value_c, np.zeros(at_s.size, dtype=np.bool_), at_s)
        expected = [
            t for t in at_s.tolist() if np.median(value_c[(at_s > t - 60.0) & (at_s <= t)]) >= 74.0
        ]
        assert reached_s(heard, 74.0).tolist() == expected

    def test_nothing_was_forecast(self) -> None:
        assert forecast_facts((), {}) == ()
        assert score_forecasts(()).median_off_s is None


class TestSheet:
    def test_each_forecast_with_what_came(self) -> None:
        found = sheet_of(
            summary([(H, made(3.0, 3.9, 4.5)), (3 * H, made(4.5, 5.0, 6.0))]), METRIC
        ).section("forecasts")
        text = text_of(found)
        assert "Shoulder at 74 °C" in text
        assert "The range held in 1 of 2." in text
        assert "21:26 | 00:20 (23:25 – 01:00) | 6 min too early" in text
        assert "23:26 | 01:25 (00:55 – 02:30) | 1 h too late, outside" in text

    def test_not_come_so_far(self) -> None:
        short = ramp("meat", 0, 2 * H, 6.0, 40.0)
        said = [(H, made(3.0, 4.0, None)), (H, made(None, None, None)), (H, made(3.0, None, None))]
        text = text_of(sheet_of(summary(said, 2 * H, short), US).section("forecasts"))
        assert "Shoulder at 165 °F" in text
        assert "It has not come so far." in text
        assert "– later) | –" in text
        assert "perhaps never" in text

    def test_many_stand_in_two_columns_and_none_is_left_out(self) -> None:
        said = [(600.0 * n, made(3.0, 4.0, 5.0)) for n in range(1, 24)]
        found = sheet_of(summary(said), METRIC).section("forecasts")
        assert found is not None
        (table,) = [block for block in found.blocks if isinstance(block, Table)]
        assert len(table.columns) == 6
        assert sum(column.share for column in table.columns) == pytest.approx(1.0)
        assert len(table.rows) == 12
        assert sum(bool(cell) for row in table.rows for cell in (row[0], row[3])) == 23

    def test_without_forecasts_there_is_no_section(self) -> None:
        sheet = sheet_of(summary([]), METRIC)
        assert sheet.section("forecasts") is None
        assert "forecasts" in ORDER

    def test_the_order_holds(self) -> None:
        sheet = sheet_of(summary([(H, made(3.0, 3.9, 4.5))]), METRIC)
        keys = [section.key for section in sheet.sections]
        assert keys == [key for key in ORDER if key in keys]
