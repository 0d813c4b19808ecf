"""The log as lines: newest first, struck ones told apart, hand readings among them."""

from __future__ import annotations

import numpy as np

from smokejournal.cook.log import entries as e
from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.log_lines import log_lines
from smokejournal.cook.log.readings import Channel, Trace
from smokejournal.cook.text.quantities import METRIC

T0 = 1_790_000_000.0


def log_of(*said, **traces) -> CookLog:
    entries = tuple(e.Entry(n + 1, T0 + 60 * n, T0 + 60 * n, what) for n, what in enumerate(said))
    return CookLog(1, entries, traces)


OPENED = e.CookOpened("Ribs", "Europe/Berlin")


def test_latest_first_and_strikes_are_no_lines():
    lines = log_lines(log_of(OPENED, e.Lid(open=True), e.Spritz(), e.Strike(2)), METRIC)
    assert [line.text for line in lines] == ["Spritzed", "Lid opened", "Cook opened: Ribs"]
    assert [line.struck_by for line in lines] == [None, 4, None]
    assert lines[-1].fixed
    assert lines[0].time == "16:15"


def test_a_struck_strike_brings_back():
    lines = log_lines(log_of(OPENED, e.Lid(open=True), e.Strike(2), e.Strike(3)), METRIC)
    assert lines[0].struck_by is None


def test_hand_readings_are_lines_and_can_be_struck():
    by_hand = e.ChannelSet(Channel("thick", "Thick end", by_hand=True))
    serial = e.ChannelSet(Channel("grate", "Grate", role="pit"))
    traces = {
        "thick": Trace(np.array([T0 + 500.0, T0 + 900.0]), np.array([40.0, 45.5])),
        "grate": Trace(np.array([T0 + 600.0, T0 + 700.0]), np.array([100.0, 101.0])),
    }
    log = log_of(OPENED, by_hand, serial, e.ReadingsStruck("thick", T0 + 500, T0 + 500), **traces)
    lines = log_lines(log, METRIC, by_hand=[("grate", T0 + 700.0), ("grate", T0 + 1.0)])
    read = [(line.text, line.struck_by) for line in lines if line.channel]
    assert read == [
        ("Thick end read: 45.5 °C", None),
        ("Grate read: 101.0 °C", None),
        ("Thick end read: 40.0 °C", 4),
    ]
