"""A correction is applied in one place, from the moment it was said, and never hides what can't be."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.correction import corrected, correction_words, sane
from smokejournal.cook.log.entries import ChannelSet, Entry
from smokejournal.cook.log.readings import Channel, Trace, plausible
from smokejournal.cook.progress.believed import believed
from smokejournal.cook.progress.readout import absurd_words
from smokejournal.cook.progress.trust import ChannelTrust
from smokejournal.cook.text.quantities import METRIC, US

PLAIN = Channel("meat", "Shoulder")


@given(st.floats(-100, 500), st.floats(0.5, 2), st.floats(-100, 100))
def test_raw_and_corrected_are_each_others_way_back(
    raw: float, slope: float, offset: float
) -> None:
    channel = Channel("meat", "Shoulder", slope=slope, offset_c=offset)
    assert channel.raw(channel.corrected(raw)) == pytest.approx(raw, abs=1e-9)


def test_a_new_correction_leaves_what_was_read_before_as_it_was() -> None:
    entries = (
        Entry(1, 0.0, 0.0, ChannelSet(Channel("meat", "Shoulder", offset_c=1.0))),
        Entry(2, 100.0, 100.0, ChannelSet(Channel("meat", "Shoulder", offset_c=-2.0, slope=1.1))),
    )
    now = entries[1].what
    assert isinstance(now, ChannelSet)
    at_s, raw_c = np.array([-5.0, 50.0, 99.9, 100.0, 200.0]), np.full(5, 60.0)
    found = corrected(at_s, raw_c, now.channel, entries)
    assert found.tolist() == pytest.approx([61.0, 61.0, 61.0, 64.0, 64.0])


@pytest.mark.parametrize(
    ("raw_c", "slope", "offset_c"), [(124.0, 1.1, 0.0), (-29.0, 1.0, -2.0), (140.0, 0.8, 0.0)]
)
def test_a_correction_carries_nothing_over_the_edge_of_what_can_be_unseen(
    raw_c: float, slope: float, offset_c: float
) -> None:
    channel = Channel("meat", "Shoulder", slope=slope, offset_c=offset_c)
    assert not plausible("meat", raw_c, channel.corrected(raw_c))
    trust = ChannelTrust(channel)
    trust.take(10.0, raw_c)
    assert trust.state(10.0).status == "absurd"
    assert trust.raw_c == raw_c
    log = CookLog(1, (), {"meat": Trace(np.array([10.0]), np.array([raw_c]))})
    found = believed(log, channel, (), 99.0)
    assert (len(found), found.absurd) == (0, 1)


def test_which_of_the_two_cannot_be_is_said() -> None:
    trust = ChannelTrust(Channel("meat", "Shoulder", slope=1.1))
    trust.take(10.0, 124.0)
    assert absurd_words(trust.state(10.0), METRIC) == "124 °C, corrected to 136 °C"
    trust = ChannelTrust(PLAIN)
    trust.take(10.0, 240.0)
    assert absurd_words(trust.state(10.0), METRIC) == "240 °C"


def test_sane_is_the_same_judgment() -> None:
    channel = Channel("meat", "Shoulder", slope=1.1)
    raw_c = np.array([-31.0, -29.0, 20.0, 118.0, 119.0, 131.0])
    value_c = channel.corrected(raw_c)
    wanted = [plausible("meat", r, v) for r, v in zip(raw_c, value_c, strict=True)]
    assert sane(raw_c, value_c, channel).tolist() == wanted


def test_a_correction_in_words() -> None:
    assert correction_words(PLAIN, METRIC) == ""
    assert correction_words(Channel("m", "M", offset_c=-0.4), METRIC) == "−0.4 °C"
    both = Channel("m", "M", slope=0.99, offset_c=0.5)
    assert correction_words(both, METRIC) == "+0.5 °C at 0 °C, −0.5 °C at 100 °C"
    assert correction_words(both, US) == "+0.9 °F at 32 °F, −0.9 °F at 212 °F"
