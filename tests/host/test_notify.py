"""Notifications: text stays text, and a way that fails is left out."""

from __future__ import annotations

import sys

import pytest

from smokejournal.host import notify
from smokejournal.host.notify import CommandNotifier, NoNotifier, notifier
from tests.support.fake_programs import Launches


def way(name: str):
    return lambda title, text, urgent: (name, title, text, str(urgent))


def test_it_starts_the_first_way():
    start = Launches()
    assert CommandNotifier([way("a"), way("b")], start).notify("Rest", "is ready", urgent=True)
    assert start.children[0].command == ("a", "Rest", "is ready", "True")


def test_a_way_that_fails_is_left_out():
    start = Launches(missing=("gone",))
    tells = CommandNotifier([way("gone"), way("bad"), way("good")], start)
    assert tells.notify("Rest", "is ready")
    start.children[0].code = 1
    assert tells.notify("Rest", "is ready")
    assert start.children[1].command[0] == "good"
    start.children[1].code = 2
    assert not tells.notify("Rest", "is ready")


@pytest.mark.skipif(sys.platform in ("win32", "darwin"), reason="freedesktop only")
def test_freedesktop_ways_and_text_that_looks_like_markup_or_an_option():
    tells = notifier(lambda name: f"/bin/{name}")
    assert isinstance(tells, CommandNotifier)
    start = Launches()
    tells._start = start
    tells.notify("--help", "<b>it's & done</b>", urgent=True)
    command = start.children[0].command
    assert command[0] == "/bin/notify-send"
    assert command[-3:] == ("--", "--help", "&lt;b&gt;it's &amp; done&lt;/b&gt;")
    start.children[0].code = 1
    tells.notify("it's", "a\\b", urgent=False)
    command = start.children[1].command
    assert command[0] == "/bin/gdbus"
    assert "'it\\'s'" in command
    assert "'a\\\\b'" in command
    assert "{'urgency': <byte 1>}" in command


def test_a_machine_without_any():
    assert isinstance(notifier(lambda name: None), NoNotifier)
    assert not NoNotifier().notify("a", "b")


def test_macos_text_is_an_argument_not_source():
    command = notify._by_osascript("/usr/bin/osascript")('say "x"', 'y" & quit', False)
    assert command[-2:] == ('say "x"', 'y" & quit')
    assert all("quit" not in part for part in command[:-1])
