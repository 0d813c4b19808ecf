"""Alarms on Tend: seen, heard until answered, put off, and in the log."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QPushButton
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.entries import (
    AlarmAcknowledged,
    AlarmRaised,
    ScheduleStarted,
    StageSkipped,
)
from smokejournal.cook.progress.alarms import Alarm
from smokejournal.cook.progress.machine_watch import Battery
from smokejournal.desk.alarms import sound as alarm_voice
from smokejournal.desk.alarms.sound import AlarmVoice, insistence
from smokejournal.host.tones import RATE_HZ, samples
from smokejournal.services.program.machine_watch import EVERY_S, MachineWatch
from tests.support.tend_desk import QuietPlayer, TendDesk, tend  # noqa: F401 - a fixture


def silent_lead(tend: TendDesk) -> None:  # noqa: F811
    tend.begin()
    tend.show()
    tend.pass_time(300)
    tend.qtbot.waitUntil(lambda: tend.page.alarm_strip.isVisible())


def answered(tend: TendDesk) -> bool:  # noqa: F811
    return bool(tend.entries(AlarmAcknowledged)) and not tend.page.alarm_strip.isVisible()


def test_there_is_no_strip_without_an_alarm(tend: TendDesk):  # noqa: F811
    tend.begin()
    tend.show()
    assert not tend.page.alarm_strip.isVisible()
    assert tend.player.played == []


def test_a_silent_lead_is_seen_heard_and_in_the_log(tend: TendDesk):  # noqa: F811
    silent_lead(tend)
    assert "Thick end is silent" in tend.text("alarmText")
    assert tend.player.played[0][0] == "insistent"
    tend.qtbot.waitUntil(lambda: bool(tend.entries(AlarmRaised)))
    tend.settle()


def test_the_key_answers_and_it_is_quiet(tend: TendDesk):  # noqa: F811
    silent_lead(tend)
    stops = tend.player.stops
    tend.key("a")
    tend.qtbot.waitUntil(lambda: answered(tend))
    assert tend.player.stops > stops
    tend.pass_time(3600)
    assert not tend.page.alarm_strip.isVisible()
    tend.settle()


def test_put_off_it_comes_again(tend: TendDesk):  # noqa: F811
    silent_lead(tend)
    tend.press("alarmSnooze5")
    tend.qtbot.waitUntil(lambda: answered(tend))
    what = tend.entries(AlarmAcknowledged)[0]
    assert isinstance(what, AlarmAcknowledged)
    assert what.snooze_s == 300.0
    tend.pass_time(200)
    assert not tend.page.alarm_strip.isVisible()
    tend.pass_time(101)
    assert tend.page.alarm_strip.isVisible()
    tend.settle()


def test_answering_by_mouse_leaves_the_keys_with_the_page(tend: TendDesk):  # noqa: F811
    silent_lead(tend)
    tend.page.setFocus()
    tend.qtbot.waitUntil(tend.page.hasFocus)
    tend.qtbot.mouseClick(tend.widget(QPushButton, "alarmSnooze5"), Qt.MouseButton.LeftButton)
    tend.qtbot.waitUntil(lambda: not tend.page.alarm_strip.isVisible())
    assert tend.page.hasFocus()
    tend.settle()


def test_an_alarm_that_is_over_goes_by_itself(tend: TendDesk):  # noqa: F811
    silent_lead(tend)
    tend.read(left=60.0, right=61.0)
    tend.pass_time(1)
    assert not tend.page.alarm_strip.isVisible()
    tend.settle()


def test_a_stage_that_waits_chimes(tend: TendDesk):  # noqa: F811
    tend.begin()
    tend.say(StageSkipped("s1"))
    tend.say(StageSkipped("s2"))
    tend.show()
    tend.pass_time(1300)
    assert "Rest is done" in tend.text("alarmText")
    assert tend.player.played[0][0] == "chime"
    tend.qtbot.mouseClick(tend.widget(QPushButton, "alarmAnswer"), Qt.MouseButton.LeftButton)
    tend.qtbot.waitUntil(lambda: answered(tend))
    tend.settle()


def test_another_cook_on_the_page_does_not_hide_the_alarm(tend: TendDesk):  # noqa: F811
    tend.begin()
    tend.show()
    tend.context.choose(tend.context.program.new_cook("Ribs", "UTC"))
    tend.pass_time(300)
    assert "Thick end is silent" in tend.text("alarmText")
    tend.settle()


def test_of_two_cooks_under_way_each_calls_by_its_name(tend: TendDesk):  # noqa: F811
    tend.begin()
    tend.show()
    program = tend.context.program
    title = program.live(tend.cook_id).opened.title
    second = program.new_cook("Ribs", "UTC")
    program.live(second).record(ScheduleStarted()).result()
    tend.context.choose(program.new_cook("Next week", "UTC"))
    tend.pass_time(300)
    assert "Thick end is silent" in tend.text("alarmText")
    assert tend.text("alarmText").startswith(f"{title}: ")
    tend.settle()


def test_no_sound_is_told_once(tend: TendDesk):  # noqa: F811
    notices = []
    tend.context.notice_given.connect(notices.append)
    tend.player.heard = False
    tend.player.problem = "This machine cannot play the alarm sound."
    silent_lead(tend)
    assert [n.text for n in notices] == ["This machine cannot play the alarm sound."]
    tend.settle()


def test_the_steps_of_an_insistent_call():
    steps = [insistence(times) for times in range(1000)]
    loudness, pauses = [loud for loud, _ in steps], [pause for _, pause in steps]
    # Plainly audible from the first: 8 dB below the loudest (our own judgment, no source).
    assert loudness[0] == pytest.approx(10 ** (-8 / 20), abs=0.01)
    assert loudness == sorted(loudness)
    assert pauses == sorted(pauses, reverse=True)
    # As loud and as often as it gets within the first minutes, and then without end.
    loudest = loudness.index(1.0)
    assert loudest >= 4
    assert sum(pauses[:loudest]) < 120_000
    assert len(set(loudness[: loudest + 1])) == loudest + 1
    assert set(steps[loudest:]) == {(1.0, alarm_voice.PAUSES_MS[-1])}
    # A sound is over before the next begins.
    assert min(pauses) > 1000 * samples("insistent").size / RATE_HZ


def test_putting_off_is_quiet_at_once(tend: TendDesk):  # noqa: F811
    silent_lead(tend)
    stops, played = tend.player.stops, len(tend.player.played)
    tend.press("alarmSnooze10")
    assert tend.player.stops == stops + 1
    assert len(tend.player.played) == played
    tend.settle()


def test_an_insistent_call_grows_louder_and_comes_sooner_until_it_is_answered(
    qtbot: QtBot, monkeypatch
):
    pauses = alarm_voice.PAUSES_MS
    assert list(pauses) == sorted(pauses, reverse=True)
    assert pauses[0] > pauses[-1] > 0
    monkeypatch.setattr(alarm_voice, "PAUSES_MS", (5, 4, 3))
    player = QuietPlayer()
    voice = AlarmVoice(player)
    voice.set_alarms((Alarm("one", "insistent", "Thick end is silent."),))
    qtbot.waitUntil(lambda: len(player.played) >= 6)
    loudness = [loud for _, loud in player.played]
    assert loudness == sorted(loudness)
    assert loudness[-1] == 1.0
    voice.set_alarms(())
    count = len(player.played)
    assert player.stops == 1
    assert not voice._timer.isActive()
    # Come anew, it begins softly again.
    voice.set_alarms((Alarm("two", "insistent", "Thick end is silent."),))
    assert len(player.played) == count + 1
    assert player.played[-1] == ("insistent", alarm_voice.LOUDNESS[0])
    voice.close()


def test_a_chime_sounds_once_and_not_again_beside_another(qtbot: QtBot):
    player = QuietPlayer()
    voice = AlarmVoice(player)
    chime = Alarm("ready", "chime", "Smoke is done and waits for you.")
    voice.set_alarms((chime,))
    assert [sound for sound, _ in player.played] == ["chime"]
    assert not voice._timer.isActive()
    silent = Alarm("silent", "insistent", "Thick end is silent.")
    voice.set_alarms((silent, chime))
    assert [sound for sound, _ in player.played] == ["chime", "insistent"]
    assert voice._timer.isActive()
    # The insistent one is answered: the chime has had its say.
    voice.set_alarms((chime,))
    assert not voice._timer.isActive()
    assert len(player.played) == 2
    voice.close()


def test_an_empty_battery_is_seen_heard_and_followed(tend: TendDesk):  # noqa: F811
    charge = Battery(9.4, True, 600.0)
    passed_s = 0.0
    watch = MachineWatch(tend.context.program, lambda: charge, lambda _: 10**11, lambda: passed_s)
    tend.begin()
    tend.show()
    watch.look()
    watch.settle()
    tend.pass_time(1.0)
    assert "almost empty (9 %, 10 min by its own figure)" in tend.text("alarmText")
    assert [sound for sound, _ in tend.player.played] == ["insistent"]
    # The figure goes on, and that is no other call.
    charge, passed_s = Battery(7.6, True, 480.0), EVERY_S
    watch.look()
    watch.settle()
    tend.pass_time(1.0)
    assert "(8 %, 8 min by its own figure)" in tend.text("alarmText")
    assert [sound for sound, _ in tend.player.played] == ["insistent"]
    tend.key("a")
    tend.qtbot.waitUntil(lambda: answered(tend))
    watch.close()
    tend.settle()
