"""Readings in their table: none lost, none in two places at once."""

from collections.abc import Iterator

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.log.entries import CookOpened
from smokejournal.cook.log.readings import Reading
from smokejournal.journal import Journal

AT_S = 1_780_000_000.0
OPENED = CookOpened("Ribs", "UTC")


@pytest.fixture(scope="module")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Journal]:
    with Journal.open(tmp_path_factory.mktemp("journal")) as journal:
        yield journal


readings = st.builds(
    Reading,
    at_s=st.integers(0, 12).map(lambda ms: AT_S + ms / 1000),
    channel=st.sampled_from(["p1", "p2"]),
    value_c=st.floats(allow_nan=False, allow_infinity=False),
)


@given(st.lists(st.lists(readings, max_size=8), max_size=5), st.data())
def test_every_reading_is_kept_at_its_time_or_just_after(
    shared: Journal, batches: list[list[Reading]], data: st.DataObject
) -> None:
    cook = shared.new_cook(OPENED, AT_S, AT_S).result(10)
    kept: list[Reading] = []
    for batch in batches:
        if data.draw(st.booleans()):
            shared._readings.forget()  # as after a start, or a write that came to nothing
        stored = shared.append_readings(cook, batch).result(10)
        assert len(stored) == len(batch)
        for given_, got in zip(batch, stored, strict=True):
            assert (got.channel, got.value_c) == (given_.channel, given_.value_c)
            assert got.at_s >= given_.at_s - 0.0005
        kept.extend(stored)
    for channel in ("p1", "p2"):
        mine = sorted((r.at_s, r.value_c) for r in kept if r.channel == channel)
        assert len({at_s for at_s, _ in mine}) == len(mine)
        trace = shared.trace(cook, channel)
        assert list(zip(trace.at_s.tolist(), trace.value_c.tolist(), strict=True)) == mine


def test_a_reading_moves_by_no_more_than_it_must(shared: Journal) -> None:
    cook = shared.new_cook(OPENED, AT_S, AT_S).result(10)
    shared.append_readings(cook, [Reading(AT_S + 0.001, "p1", 1.0)]).result(10)
    kept = shared.append_readings(
        cook, [Reading(AT_S, "p1", 2.0), Reading(AT_S, "p1", 3.0), Reading(AT_S, "p2", 4.0)]
    ).result(10)
    assert [reading.at_s for reading in kept] == [AT_S, AT_S + 0.002, AT_S]


def test_a_flood_in_one_millisecond_is_kept_without_delay(shared: Journal) -> None:
    cook = shared.new_cook(OPENED, AT_S, AT_S).result(10)
    flood = [Reading(AT_S, "p1", float(n)) for n in range(20_000)]
    for _ in range(2):
        shared.append_readings(cook, flood).result(10)
    trace = shared.trace(cook, "p1")
    np.testing.assert_array_equal(np.round(np.diff(trace.at_s), 3), 0.001)
    assert len(trace) == 40_000
