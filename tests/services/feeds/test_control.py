"""An input wired to a cook: recorded, resumed, never mixed, and looked at without recording."""

from __future__ import annotations

import os
import queue
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from smokejournal.cook.log.entries import (
    ChannelSet,
    CookClosed,
    LeadSet,
    Lid,
    ScheduleSet,
    ScheduleStarted,
    WeatherObserved,
    Wrap,
)
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.log.schedule import ForTime, Schedule, Stage
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.inputs.cell import Column
from smokejournal.inputs.line_format import LineFormat
from smokejournal.inputs.pit import Hands, Outside
from smokejournal.inputs.replay_config import ReplayConfig
from smokejournal.inputs.serial_line import ByteStream, SerialConfig, StreamLost
from smokejournal.inputs.simulated import practice
from smokejournal.journal import Journal
from smokejournal.services.feeds.control import FeedControl
from smokejournal.services.feeds.log_hands import LogHands
from smokejournal.services.program.program import Program
from tests.support.fakes import FixedClock, dead_disk

FORMAT = LineFormat(columns=(Column("1", "grate", label="grate"), Column("2", "meat", "F")))
LINE = SerialConfig("probe", format=FORMAT)


class Wire(ByteStream):
    """A port that is a queue; `None` on it is the cable pulled."""

    def __init__(self) -> None:
        self.bytes: queue.Queue[bytes | None] = queue.Queue()
        self.quiet = threading.Event()
        self.opened = 0

    def __call__(self, config: SerialConfig) -> ByteStream:
        self.opened += 1
        return self

    def read(self) -> bytes:
        try:
            data = self.bytes.get(timeout=0.01)
        except queue.Empty:
            self.quiet.set()
            return b""
        if data is None:
            raise StreamLost("gone")
        return data

    def close(self) -> None:
        pass


class Desk:
    """A program on a journal of its own, with one cook."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.clock = FixedClock()
        self.wire = Wire()
        self.start()
        self.cook = self.program.new_cook("practice", "Europe/Rome")

    def start(self) -> None:
        self.journal = Journal.open(self.folder)
        self.program = Program(self.journal, self.clock)
        self.feeds = FeedControl(self.program, self.wire)

    def end(self) -> None:
        self.feeds.close()
        self.program.close()
        self.journal.close()

    def readings(self, channel: str) -> list[float]:
        return self.journal.trace(self.cook, channel).value_c.tolist()

    def send(self, text: str) -> None:
        # Only after a moment of quiet is it sure that a line begins where listening began.
        self.wire.quiet.clear()
        assert self.wire.quiet.wait(10)
        self.wire.bytes.put(text.encode())


def until(condition: Callable[[], object], limit_s: float = 20.0) -> None:
    end = time.monotonic() + limit_s
    while not condition():
        assert time.monotonic() < end
        threading.Event().wait(0.005)


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    desk = Desk(tmp_path / "journal")
    yield desk
    desk.end()


def test_a_line_becomes_readings_and_channels(desk):
    desk.feeds.start(desk.cook, LINE)
    desk.send("107.2,150\n")
    until(lambda: len(desk.readings("meat")) == 1)
    assert desk.readings("grate") == [107.2]
    assert desk.readings("meat") == [pytest.approx(65.556, abs=1e-3)]
    log = desk.program.live(desk.cook).log()
    assert [
        (c.channel.key, c.channel.role, c.channel.simulated) for _, c in log.of(ChannelSet)
    ] == [
        ("grate", "pit", False),
        ("meat", "meat", False),
    ]
    assert [lead.lead for _, lead in log.of(LeadSet)] == ["meat"]
    status = desk.feeds.status()
    assert (status.cook_id, status.kind, status.simulated) == (desk.cook, "serial", False)
    assert status.source is not None
    assert status.source.lines_good == 1


def test_channels_as_described_and_known_ones_stay(desk):
    live = desk.program.live(desk.cook)
    live.record(ChannelSet(Channel("meat", "loin", "meat", offset_c=1.5))).result()
    live.record(LeadSet("meat")).result()
    desk.feeds.start(desk.cook, LINE, [Channel("grate", "lower grate", "air", probe="P1")])
    log = live.log()
    assert [(c.channel.name, c.channel.role) for _, c in log.of(ChannelSet)] == [
        ("loin", "meat"),
        ("lower grate", "air"),
    ]
    assert len(log.of(LeadSet)) == 1
    desk.feeds.start(desk.cook, LINE)
    assert len(live.log().of(ChannelSet)) == 2  # nothing new to say


def test_killed_and_started_again_it_goes_on(desk):
    desk.feeds.start(desk.cook, LINE)
    desk.send("107.2,150\n")
    until(lambda: desk.readings("meat"))
    desk.end()
    desk.clock.forward(500)
    desk.start()
    assert desk.feeds.resume()
    desk.send("108.0,151\n")
    until(lambda: len(desk.readings("meat")) == 2)
    times = desk.journal.trace(desk.cook, "meat").at_s
    assert times[1] - times[0] == pytest.approx(500)


def test_stopped_it_stays_stopped_and_keeps_its_configuration(desk):
    desk.feeds.start(desk.cook, LINE)
    desk.feeds.stop()
    assert desk.feeds.status().source is None
    desk.end()
    desk.start()
    assert not desk.feeds.resume()
    assert desk.feeds.config(desk.cook) == LINE


def test_a_closed_cook_needs_no_feed(desk):
    desk.feeds.start(desk.cook, LINE)
    desk.program.live(desk.cook).record(CookClosed()).result()
    until(lambda: desk.feeds.status().source.state == "stopped")
    desk.journal.flush()
    desk.end()
    desk.start()
    assert not desk.feeds.resume()


def test_the_cable_pulled_leaves_a_gap(desk):
    desk.feeds.start(desk.cook, LINE)
    desk.send("107.2,150\n")
    until(lambda: desk.readings("meat"))
    desk.wire.bytes.put(None)
    until(lambda: desk.feeds.status().source.state == "lost")
    desk.clock.forward(300)
    until(lambda: desk.wire.opened == 2)
    desk.send("107.5,151\n")
    until(lambda: len(desk.readings("meat")) == 2)
    assert desk.feeds.status().source.state == "open"


def test_what_cannot_be_written_waits_and_is_written_by_itself(desk):
    desk.feeds.start(desk.cook, LINE)
    live = desk.program.live(desk.cook)
    with dead_disk(desk.journal):
        desk.send("107.2,150\n")
        until(lambda: desk.feeds.status().unwritten == 2)
        status = desk.feeds.status()
        assert status.trouble.startswith("There is no room left on the disk")
        assert status.cure.startswith("Make room")
        # The probes are not silent: looking at their plugs would be the wrong thing to do.
        states = live.standing(desk.clock.now_s()).channels
        assert {key: state.status for key, state in states.items()} == {
            "grate": "held",
            "meat": "held",
        }
    # No other line comes.
    until(lambda: len(desk.readings("meat")) == 1)
    until(lambda: desk.feeds.status().trouble == "")
    assert desk.readings("grate") == [107.2]
    assert desk.feeds.status().unwritten == 0
    assert live.standing(desk.clock.now_s()).channels["meat"].status == "good"


def test_what_waits_is_tried_once_more_at_the_end(desk):
    desk.feeds.start(desk.cook, LINE)
    with dead_disk(desk.journal):
        desk.send("107.2,150\n")
        until(lambda: desk.feeds.status().unwritten == 2)
    desk.feeds.stop()
    desk.journal.flush()
    assert desk.readings("grate") == [107.2]


def test_a_wrong_configuration_changes_nothing(desk):
    desk.feeds.start(desk.cook, LINE)
    with pytest.raises(SchemaProblem):
        desk.feeds.start(desk.cook, {"kind": "serial", "port": ""})
    with pytest.raises(SchemaProblem) as problem:
        desk.feeds.start(desk.cook, {"kind": "dragon"})
    assert problem.value.where == "input.kind"
    desk.send("107.2,150\n")
    until(lambda: desk.readings("meat"))


def test_a_kept_configuration_that_cannot_be_used_is_said(desk):
    desk.journal.set_setting("feed.current", desk.cook).result()
    bad = {"on": True, "config": {"kind": "serial", "port": 7}}
    desk.journal.set_setting(f"feed.{desk.cook}", bad).result()
    assert not desk.feeds.resume()
    assert "Set it up on Bench" in desk.feeds.status().trouble
    assert desk.feeds.config(desk.cook) is None


def test_simulated_readings_are_marked_and_never_mixed(desk):
    desk.feeds.start(desk.cook, practice())
    live = desk.program.live(desk.cook)
    assert all(c.channel.simulated for _, c in live.log().of(ChannelSet))
    desk.clock.forward(60)
    until(lambda: len(desk.readings("pit")) >= 12)
    assert desk.feeds.status().simulated
    assert "SIMULATED" in desk.feeds.status().source.text
    with pytest.raises(SchemaProblem, match="simulated"):
        desk.feeds.start(
            desk.cook, SerialConfig("probe", format=LineFormat(columns=(Column("1", "pit"),)))
        )


@pytest.mark.parametrize("by_hand", [False, True])
def test_a_simulated_pit_taken_up_again_is_as_it_would_be(desk, by_hand):
    live = desk.program.live(desk.cook)
    schedule = Schedule("", (Stage("s1", "smoke", (ForTime(86400.0),), pit_target_c=107.0),))
    live.record(ScheduleSet(schedule)).result()
    live.record(ScheduleStarted()).result()
    desk.feeds.start(desk.cook, practice())
    desk.clock.forward(3600)
    until(lambda: len(desk.readings("pit")) >= 720)
    if by_hand:
        desk.feeds.stop()
        desk.clock.forward(1800)
        desk.feeds.start(desk.cook, practice())
    else:
        desk.end()
        desk.clock.forward(1800)
        desk.start()
        assert desk.feeds.resume()
    until(lambda: desk.feeds.status().source.state == "open")
    desk.clock.forward(600)
    until(lambda: len(desk.readings("meat1")) >= 840)
    trace = desk.journal.trace(desk.cook, "meat1")
    gap = max(b - a for a, b in zip(trace.at_s, trace.at_s[1:], strict=False))
    assert 1790 <= gap <= 1810  # the time away is a gap
    # and what comes then is what would have come without it
    pit = practice().pit(float(trace.at_s[0]) - 5.0)
    whole = pit.advance(float(trace.at_s[-1]), lambda _: Hands(107.0))
    expected = {r.at_s: r.value_c for r in whole if r.channel == "meat1"}
    for at_s, value_c in zip(trace.at_s.tolist(), trace.value_c.tolist(), strict=True):
        assert value_c == pytest.approx(expected[at_s], abs=1e-6)


def test_hands_follow_the_log(desk):
    start = desk.clock.now_s()
    live = desk.program.live(desk.cook)
    live.load()
    stages = (
        Stage("a", "light", (ForTime(100.0),)),
        Stage("b", "smoke", (ForTime(1000.0),), pit_target_c=107.0),
        Stage("c", "rest", (ForTime(500.0),)),
    )
    for at_s, what in (
        (0.0, ScheduleSet(Schedule("", stages))),
        (0.0, ScheduleStarted()),
        (200.0, Lid(True)),
        (230.0, Lid(False)),
        (300.0, WeatherObserved(air_c=-4.0)),
        (400.0, Wrap("foil")),
    ):
        live.record(what, start + at_s).result()
    desk.clock.forward(2000)
    hands = LogHands(live, Outside(15.0, 3.0, 50.0))
    assert (hands(start + 50).where, hands(start + 50).target_c) == ("aside", None)
    smoke = hands(start + 210)
    assert (smoke.where, smoke.target_c, smoke.lid_open, smoke.wrap) == (
        "grate",
        107.0,
        True,
        "none",
    )
    later = hands(start + 450)
    assert (later.lid_open, later.wrap, later.outside) == (False, "foil", Outside(-4.0, 3.0, 50.0))
    assert (hands(start + 1200).where, hands(start + 1200).target_c) == ("rest", None)
    assert hands(start + 1900).where == "rest"


def test_a_replay_feeds_a_cook(desk, tmp_path):
    table = tmp_path / "cook.csv"
    table.write_text("s,pit\n0,107\n10,108\n20,x\n")
    config = ReplayConfig(str(table), "s", columns=(Column("pit", "pit"),))
    desk.feeds.start(desk.cook, config)
    desk.clock.forward(100)
    until(lambda: desk.feeds.status().source.state == "stopped")
    until(lambda: desk.readings("pit") == [107.0, 108.0])
    assert desk.feeds.status().source.refused[0].example == "4: pit: x"


def test_a_preview_records_nothing(desk):
    preview = desk.feeds.preview(LINE)
    desk.send("225,150\n226,bad\n\xff")
    until(lambda: len(preview.lines()) == 2)
    assert [v.value_c for v in preview.lines()[0].values] == [
        225.0,
        pytest.approx(65.556, abs=1e-3),
    ]
    assert preview.lines()[1].refused[0].reason == "not a number"
    assert preview.guess().width == 2
    assert "unusual in °C" in preview.hints(FORMAT, {"grate": "pit"})[0]
    preview.set_format(LineFormat(columns=(Column("1", "grate", "F"),)))
    assert [v.value_c for v in preview.lines()[0].values] == [pytest.approx(107.222, abs=1e-3)]
    preview.stop()
    assert desk.readings("grate") == []
    assert desk.program.live(desk.cook).log().of(ChannelSet) == []


def test_a_port_in_use_is_looked_at_where_it_is(desk):
    desk.feeds.start(desk.cook, LINE)
    preview = desk.feeds.preview(LINE)
    assert desk.wire.opened <= 1
    desk.send("107.2,150\n")
    until(lambda: preview.lines())
    assert preview.status().lines_good == 1
    preview.stop()
    desk.send("107.4,150\n")
    until(lambda: len(desk.readings("grate")) == 2)
    assert len(preview.lines()) == 1
    assert desk.wire.opened == 1


def test_a_preview_keeps_the_last_lines(desk):
    preview = desk.feeds.preview(LINE)
    desk.send("".join(f"{n},1\n" for n in range(500)))
    until(lambda: preview.status().lines_good == 500)
    preview.stop()
    assert len(preview.lines()) == 200
    assert preview.lines()[-1].raw == "499,1"


@pytest.mark.skipif(not hasattr(os, "openpty"), reason="needs pseudo-terminals")
def test_over_a_real_pseudo_terminal(tmp_path):
    import pty
    import tty

    far, near = pty.openpty()
    tty.setraw(near)
    journal = Journal.open(tmp_path / "journal")
    program = Program(journal, FixedClock())
    feeds = FeedControl(program)
    try:
        cook = program.new_cook("real", "UTC")
        feeds.start(cook, SerialConfig(os.ttyname(near), format=FORMAT))
        until(lambda: feeds._source.listening)
        os.write(far, b"107.2,150\r\n")
        until(lambda: len(journal.trace(cook, "grate")) == 1)
    finally:
        feeds.close()
        program.close()
        journal.close()
        os.close(far)
        os.close(near)
