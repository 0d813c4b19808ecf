"""The plan as read off a log, its words, and its sketch."""

from __future__ import annotations

from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.entries import (
    ChannelSet,
    CookClosed,
    CookOpened,
    CookRenamed,
    Entry,
    ItemAdded,
    LeadSet,
    Payload,
    PrepStep,
    ScheduleSet,
    ScheduleStarted,
    StageConfirmed,
    Strike,
)
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.log.schedule import ForTime, Schedule, Stage, UntilSaid, UntilTemperature
from smokejournal.cook.plan.plan import new_channel_key, plan_of, stage_keys
from smokejournal.cook.plan.schedule_sketch import known_length_s, sketch
from smokejournal.cook.plan.words import item_words, prep_words, probe_words
from smokejournal.cook.progress.progress import fold
from smokejournal.cook.progress.standing import over_and_running
from smokejournal.cook.text.quantities import METRIC, US


def _log(*payloads: Payload) -> CookLog:
    return CookLog(1, tuple(Entry(n, 100.0 * n, 100.0 * n, p) for n, p in enumerate(payloads, 1)))


ONE = Schedule("One", (Stage("s1", "Cook"), Stage("s2", "Rest")))


def test_the_later_entry_wins_and_struck_ones_do_not_count() -> None:
    plan = plan_of(
        _log(
            CookOpened("Trout", "Europe/Berlin", place="Yard", ready_at_s=5.0),
            ItemAdded("trout", "fish"),
            ItemAdded("char", "fish"),
            PrepStep("Brine"),
            ChannelSet(Channel("c1", "Thick")),
            ChannelSet(Channel("c1", "Thick end")),
            LeadSet("c1"),
            ScheduleSet(ONE),
            Strike(2),
            CookRenamed("Char", 9.0),
        )
    )
    assert (plan.title, plan.place, plan.ready_at_s) == ("Char", "Yard", 9.0)
    assert [(key, item.name) for key, item in plan.items] == [(3, "char")]
    assert plan.foods == {"fish"}
    assert plan.channels["c1"].name == "Thick end"
    assert plan.channel_entries["c1"] == (5, 6)
    assert (plan.lead, plan.check) == ("c1", None)
    assert plan.schedule == ONE
    assert not plan.started
    assert new_channel_key(plan) == "c2"


def test_place_is_put_right_with_the_title() -> None:
    log = _log(CookOpened("Trout", "UTC", place="Yard"), CookRenamed("Trout", None, "Terrace"))
    assert plan_of(log).place == "Terrace"


def test_started_closed_and_every_key_ever_given() -> None:
    other = Schedule("", (Stage("s9", "Gone"),))
    log = _log(
        CookOpened("Trout", "UTC"),
        ScheduleSet(other),
        Strike(2),
        ScheduleSet(ONE),
        ScheduleStarted(),
        StageConfirmed("s1"),
    )
    assert plan_of(log).started
    assert stage_keys(log) == {"s1", "s2", "s9"}
    assert over_and_running(fold(log, 700.0)) == (frozenset({"s1"}), "s2")
    assert plan_of(_log(CookOpened("Trout", "UTC"), CookClosed())).closed


def test_pieces_in_words() -> None:
    item = ItemAdded("thighs", "poultry", "free range", 1.2, 0.03, 6, "farm shop", 9.8, "EUR")
    assert item_words(item, METRIC) == (
        "6 × thighs, 1.2 kg in all, 3 cm thick, poultry, labeled “free range”, farm shop, 9.80 EUR"
    )
    assert item_words(ItemAdded("trout", "fish"), US) == "trout, fish"
    assert prep_words(PrepStep("Brine", "5 %", 7200.0)) == "Brine, 2 h: 5 %"
    channel = Channel("c1", "Thick end", offset_c=-1.0, by_hand=True)
    assert probe_words(channel, METRIC, "c1", None) == (
        "Thick end, in the meat, corrected by −1.0 °C, read by hand · lead"
    )
    assert probe_words(channel, METRIC, None, "c1").endswith("· check")


def test_a_length_is_known_only_where_a_plain_time_ends_the_stage() -> None:
    assert known_length_s(Stage("s", "", (ForTime(60.0),))) == 60.0
    assert known_length_s(Stage("s", "", (ForTime(60.0), ForTime(90.0)))) == 60.0
    assert known_length_s(Stage("s", "", (ForTime(60.0), ForTime(90.0)), combine="all")) == 90.0
    assert known_length_s(Stage("s", "", (ForTime(60.0),), ending="waits")) is None
    assert known_length_s(Stage("s", "", (ForTime(60.0, 74.0),))) is None
    assert known_length_s(Stage("s", "", (ForTime(60.0), UntilSaid()))) is None
    assert known_length_s(Stage("s", "", ())) is None


def test_the_sketch_names_what_ends_each_stage() -> None:
    blocks = sketch(
        Schedule(
            "",
            (
                Stage("s1", "Warm", (UntilTemperature(105.0, channel="pit"),), pit_target_c=110.0),
                Stage("s2", "Smoke", (UntilTemperature(74.0),), pit_target_c=110.0),
                Stage("s3", "Hold", (ForTime(1800.0, 74.0), UntilSaid()), combine="all"),
                Stage("s4", "Rest", (UntilTemperature(60.0, "falling"),)),
            ),
        ),
        {"p": Channel("p", "Grate", "pit")},
    )
    assert [b.ends for b in blocks] == [
        "to 105 °C",
        "to 74 °C",
        "30 min from 74 °C and your word",
        "down to 60 °C",
    ]
    assert [b.meat_c for b in blocks] == [None, 74.0, 74.0, 60.0]
    assert [b.least_s for b in blocks] == [60.0, 60.0, 1800.0, 60.0]
