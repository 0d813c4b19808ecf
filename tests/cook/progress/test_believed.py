"""The fast judgment of a whole trace is the same as the one reading by reading."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.entries import ChannelSet, Entry, Payload, ProbeMoved
from smokejournal.cook.log.readings import Channel, Trace
from smokejournal.cook.progress.believed import believed
from smokejournal.cook.progress.trust import ChannelTrust

steps = st.lists(
    st.tuples(
        st.sampled_from([1.0, 5.0, 10.0, 29.0, 31.0, 400.0]),
        st.sampled_from([0.0, 0.1, -0.1, 2.0, -2.0, 7.0, -7.0, 30.0, -30.0, 300.0, -300.0]),
    ),
    min_size=1,
    max_size=40,
)
told = st.lists(
    st.tuples(st.integers(0, 39), st.sampled_from(["moved", "shift", "slope", "back"])), max_size=3
)


@given(steps, told)
def test_same_as_reading_by_reading(
    walk: list[tuple[float, float]], changes: list[tuple[int, str]]
) -> None:
    at_s = np.cumsum([gap for gap, _ in walk])
    raw_c = 40.0 + np.cumsum([step for _, step in walk])
    channel = Channel("meat", "Meat")
    shifted = {
        "shift": Channel("meat", "Meat", offset_c=1.5),
        "slope": Channel("meat", "Meat", offset_c=-0.5, slope=1.02),
        "back": channel,
    }
    payloads: list[tuple[float, Payload]] = [(0.0, ChannelSet(channel))]
    for n, what in changes:
        if n < at_s.size:
            said: Payload = ProbeMoved("meat")
            if what != "moved":
                said = ChannelSet(shifted[what])
            payloads.append((float(at_s[n]) - 0.5, said))
    payloads.sort(key=lambda pair: pair[0])
    entries = tuple(Entry(n, at, at, what) for n, (at, what) in enumerate(payloads, start=1))
    last = next(e.what.channel for e in reversed(entries) if isinstance(e.what, ChannelSet))

    trust = ChannelTrust(channel)
    wanted = []
    waiting = list(payloads[1:])
    for moment, value in zip(at_s.tolist(), raw_c.tolist(), strict=True):
        while waiting and waiting[0][0] <= moment:
            what = waiting.pop(0)[1]
            if isinstance(what, ChannelSet):
                trust.describe(what.channel)
            else:
                trust.believe()
        trust.take(moment, value)
        if trust.trusted:
            wanted.append((moment, trust.value_c))

    found = believed(CookLog(1, entries, {"meat": Trace(at_s, raw_c)}), last, entries, 1e9)
    assert list(zip(found.at_s.tolist(), found.value_c.tolist(), strict=True)) == wanted
    assert len(found) + found.absurd + found.jumped == at_s.size
