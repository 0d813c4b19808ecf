"""Every kind of entry has words."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from smokejournal.cook.log import entries as e
from smokejournal.cook.log.entry_words import Names, entry_words, names_of
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.log.schedule import Schedule, Stage
from smokejournal.cook.text.quantities import METRIC, US
from tests.cook.codec.test_entries import PAYLOADS

NAMES = Names({"left": "Left shoulder"}, {"s1": "Smoke"}, "Europe/Berlin")


@pytest.mark.parametrize("kind", sorted(PAYLOADS))
@given(st.data())
@settings(max_examples=10)
def test_every_kind_has_words(kind: str, data: st.DataObject):
    assert entry_words(data.draw(PAYLOADS[kind])) is not None


@pytest.mark.parametrize(
    ("what", "words"),
    [
        (e.Lid(open=True), "Lid opened"),
        (e.Wrap("paper", "left one"), "Wrapped in paper, left one"),
        (e.Spritz("cider"), "Spritzed with cider"),
        (e.ProbeMoved("left"), "Probe moved: Left shoulder"),
        (e.Refrigerator(True, "left one"), "Taken out of the refrigerator, left one"),
        (e.Refrigerator(False), "Put into the refrigerator"),
        (e.SafetySet("red_meat"), "Compared with: the table for this food"),
        (e.SafetySet("ground"), "Compared with: no table"),
        (
            e.SafetySet("poultry", "turkey", 4.5, ("left",), 0.5),
            "Compared with: turkey table, 7 log10, fat 4.5 %, Left shoulder, ± 0.5 °C",
        ),
        (e.StageExtended("s1", 600.0), "Smoke extended by 10 min"),
        (e.StagePutBack("gone"), "Put back to gone"),
        (e.FuelAdded("Oak 2026", 2.0, 0.1), "Fuel added: 2 kg ± 100 g, Oak 2026"),
        (e.StoreUsed("rub", "red", 0.12), "Used rub: red, 120 g"),
        (e.StoreUsed("wood", "plum", count=3.0), "Used wood: plum, 3 pieces"),
        (e.StoreUsed("salt", "jar"), "Used salt: jar"),
        (e.Served(1), "Served: 1 serving"),
        (e.Served(6, 4.5, "EUR"), "Served: 6 servings, the rest cost 4.50 EUR"),
        (e.CookPutAway(True), "Cook put away"),
        (e.CookPutAway(False), "Cook taken back"),
        (
            e.ClockSet(3600.0),
            "The computer's clock was set: it is now 1 h ahead of these times",
        ),
        (
            e.ClockSet(-90.0),
            "The computer's clock was set: it is now 90 s behind these times",
        ),
        (e.FuelLevel(0.0, 0.0), "Hopper emptied"),
        (e.FuelLevel(3.0, 0.3, 50.0), "Hopper holds 3 kg ± 300 g, 50 %"),
        (
            e.WeatherObserved(sky="overcast", air_c=4.0, wind_m_s=3.0, exposure="shade"),
            "Weather: 4 °C, overcast, wind 3 m/s, in the shade",
        ),
        (e.AlarmAcknowledged("lid", 300.0), "Alarm put off for 5 min"),
        (e.ChannelSet(Channel("a", "Air", offset_c=-1.5)), "Channel Air, corrected by −1.5 °C"),
        (e.CookOpened("Ribs", "UTC", simulated=True), "Cook opened: Ribs, simulated"),
    ],
)
def test_words(what, words):
    assert entry_words(what, METRIC, NAMES) == words


def test_units():
    assert entry_words(e.FuelLevel(1.0, 0.0), US, NAMES) == "Hopper holds 2 lb 3 oz"


def test_names_are_the_latest():
    entries = (
        e.Entry(1, 0.0, 0.0, e.CookOpened("Ribs", "Europe/Berlin")),
        e.Entry(2, 1.0, 1.0, e.ChannelSet(Channel("a", "Left"))),
        e.Entry(3, 2.0, 2.0, e.ChannelSet(Channel("a", "Thick end"))),
        e.Entry(4, 3.0, 3.0, e.ScheduleSet(Schedule("", (Stage("s1", "Smoke"),)))),
    )
    names = names_of(entries)
    assert names.channel("a") == "Thick end"
    assert names.stage("s1") == "Smoke"
    assert names.zone == "Europe/Berlin"
    assert names.stage("s9") == "s9"
