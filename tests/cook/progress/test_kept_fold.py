"""A fold that is kept answers as one from the beginning, wherever time goes."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.entries import (
    Entry,
    Lid,
    Note,
    Payload,
    ReadingsStruck,
    ScheduleSet,
    Strike,
    Wrap,
)
from smokejournal.cook.log.readings import Reading
from smokejournal.cook.log.schedule import ForTime, Schedule, Stage, UntilTemperature
from smokejournal.cook.progress import progress as folding
from smokejournal.cook.progress.kept_fold import MOST, KeptFold
from smokejournal.cook.progress.progress import Progress, fold
from tests.cook.progress.test_progress import STAGES, payloads, raw_readings
from tests.support.logs import T0, cook_log, ramp, trace_of

END_S = T0 + 10_000
CHANGED = Schedule("", (Stage("s1", "Smoke", (UntilTemperature(67.0, prove_s=20.0),)), *STAGES[1:]))


@dataclass
class Growing:
    """A log that is added to, with the fold that is told of it."""

    log: CookLog
    kept: KeptFold = field(default_factory=KeptFold)

    def write(self, at_s: float, what: Payload) -> None:
        number = self.log.entries[-1].id + 1
        entry = Entry(number, at_s, at_s, what)
        self.kept.changed(self.log.entries, [entry], [])
        self.log = CookLog(1, (*self.log.entries, entry), self.log.traces)

    def hear(self, reading: Reading) -> None:
        self.kept.changed(self.log.entries, [], [reading])
        held = self.log.traces.get(reading.channel, trace_of([]))
        pairs = dict(zip(held.at_s.tolist(), held.value_c.tolist(), strict=True))
        pairs.setdefault(reading.at_s, reading.value_c)
        trace = trace_of(Reading(at_s, reading.channel, v) for at_s, v in pairs.items())
        self.log = CookLog(1, self.log.entries, {**self.log.traces, reading.channel: trace})


moments = st.integers(-100, 4000).map(lambda at: T0 + at)
channels = st.sampled_from(["meat", "other", "pit", "new"])
temperatures_c = st.sampled_from([60.0, 67.5, 70.0, 72.0, 999.0])
more = st.sampled_from([Lid(True), Lid(False), Wrap("foil"), Note("x"), ScheduleSet(CHANGED)])
steps = st.lists(
    st.one_of(
        moments,  # asked where the cook stood then
        st.tuples(moments, st.one_of(payloads, more, st.integers(5, 40).map(Strike))),
        st.builds(Reading, moments, channels, temperatures_c),
    ),
    min_size=1,
    max_size=14,
)


@pytest.mark.parametrize(("apart", "most"), [(1, 64), (5, 4), (10_000, 64)])
@given(readings=raw_readings, steps=steps, read_first=st.booleans())
def test_it_equals_a_fold_from_the_beginning(
    apart: int,
    most: int,
    readings: list[tuple[float, str, float]],
    steps: list[float | tuple[float, Payload] | Reading],
    read_first: bool,
) -> None:
    # One reading a moment and channel, as the journal keeps them.
    unique = list({(at, channel): (at, channel, value) for at, channel, value in readings}.values())
    growing = Growing(cook_log(STAGES, [], unique), KeptFold(apart, most))
    with pytest.MonkeyPatch.context() as small:
        small.setattr(folding, "STEP", 3)
        if read_first:
            growing.kept.read(growing.log)
        for step in steps:
            if isinstance(step, Reading):
                growing.hear(step)
            elif isinstance(step, tuple):
                growing.write(*step)
            else:
                assert growing.kept.standing(growing.log, step) == fold(growing.log, step)
        for at_s in (T0 + 1000.0, T0 + 4000.0, T0 + 500.0):
            assert growing.kept.standing(growing.log, at_s) == fold(growing.log, at_s)


@pytest.fixture
def fed(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """The moments of the readings that any fold takes in from now on."""
    moments_s: list[float] = []
    take = Progress._take_reading

    def noted(self: Progress, at_s: float, channel: str, value_c: float) -> None:
        moments_s.append(at_s)
        take(self, at_s, channel, value_c)

    monkeypatch.setattr(Progress, "_take_reading", noted)
    return moments_s


@pytest.fixture
def day(monkeypatch: pytest.MonkeyPatch) -> Growing:
    """Ten thousand readings, read once."""
    monkeypatch.setattr(folding, "STEP", 50)
    stage = Stage("s1", "Smoke", (ForTime(1e6),))
    growing = Growing(
        cook_log([stage], [], ramp("meat", 1, 10_000, 20, 90, every_s=1.0)), KeptFold(apart=100)
    )
    growing.kept.read(growing.log)
    return growing


def test_what_is_late_is_read_on_from_a_copy_before_it(day: Growing, fed: list[float]) -> None:
    for written, what, back_to_s in (
        (END_S - 500, Lid(True), 500),
        (END_S, Strike(8), 500),
        (END_S, Strike(9), 500),  # the lid was open after all
        (END_S, ReadingsStruck("meat", END_S - 300, END_S - 200), 300),
        (END_S, Strike(11), 300),
    ):
        day.write(written, what)
        fed.clear()
        standing = day.kept.standing(day.log, END_S)
        # At most what lies between two of the copies is read besides.
        assert len(fed) <= back_to_s + 2 * 10_000 / MOST
        assert standing == fold(day.log, END_S)
    assert standing.lid_open_since_s == END_S - 500


def test_the_copies_stay_about_evenly_apart(day: Growing) -> None:
    read = [0, *(kept.readings for kept in day.kept._kept), 10_000]
    assert len(read) <= MOST + 2
    assert max(np.diff(read)) <= 2.5 * 10_000 / MOST
    # A moment ago is near a copy.
    assert read[-1] - read[-3] <= 300


def test_what_tells_nothing_has_nothing_read_again(day: Growing, fed: list[float]) -> None:
    day.write(T0 + 5.0, Note("came late"))
    day.write(END_S, Strike(day.log.entries[-1].id))
    day.kept.standing(day.log, END_S)
    assert fed == []


def test_a_clock_set_back_has_little_read_and_each_moment_once(
    day: Growing, fed: list[float]
) -> None:
    back_s = T0 + 6400.5
    for second in range(20):
        day.hear(Reading(back_s + second, "meat", 70.0))
        for _ in range(3):
            day.kept.standing(day.log, back_s + second)
    # Once from the copy before it; then the new reading of each second and the one that was there.
    assert len(fed) <= 200 + 2 * 20


def test_few_copies_are_kept_and_the_newest_lie_closest(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(folding, "STEP", 10)
    growing = Growing(
        cook_log([], [], ramp("meat", 1, 5000, 20, 90, every_s=1.0)), KeptFold(apart=10, most=16)
    )
    growing.kept.read(growing.log)
    kept = [state.readings for state in growing.kept._kept]
    assert len(kept) <= 16
    assert kept == sorted(kept)
    assert kept[-4:] == [4970, 4980, 4990, 5000]
