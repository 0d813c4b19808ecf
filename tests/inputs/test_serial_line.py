"""A real serial line: pseudo-terminals stand in for the cable."""

from __future__ import annotations

import os
import sys
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

import pytest

from smokejournal.cook.log.readings import Reading
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.inputs.cell import Column
from smokejournal.inputs.configs import config_from_json
from smokejournal.inputs.line_format import LineFormat
from smokejournal.inputs.ports import list_ports
from smokejournal.inputs.serial_line import SerialConfig, SerialSource
from smokejournal.inputs.source import ReceivedLine

if sys.platform == "win32":
    pytest.skip("pseudo-terminals are POSIX", allow_module_level=True)
import pty
import tty

FORMAT = LineFormat(columns=(Column("1", "pit"), Column("2", "meat")))


class Cable:
    """One pseudo-terminal after another behind the same path."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._far = self._near = -1

    def plug(self) -> None:
        self._far, self._near = pty.openpty()
        tty.setraw(self._far)
        tty.setraw(self._near)
        self.path.unlink(missing_ok=True)
        self.path.symlink_to(os.ttyname(self._near))

    def pull(self) -> None:
        if self._far >= 0:
            os.close(self._far)
            os.close(self._near)
            self._far = self._near = -1
        self.path.unlink(missing_ok=True)

    def send(self, data: bytes) -> None:
        while data:
            data = data[os.write(self._far, data[:1024]) :]


class Basket:
    def __init__(self) -> None:
        self.readings: list[Reading] = []
        self.lines: list[ReceivedLine] = []
        self.batches = 0

    def take(self, readings: Sequence[Reading]) -> None:
        self.readings.extend(readings)
        self.batches += 1

    def received(self, lines: Sequence[ReceivedLine]) -> None:
        self.lines.extend(lines)

    def values(self, channel: str) -> list[float]:
        return [r.value_c for r in self.readings if r.channel == channel]


def until(condition: Callable[[], bool], what: str = "", limit_s: float = 20.0) -> None:
    end = time.monotonic() + limit_s
    while not condition():
        assert time.monotonic() < end, f"never came true: {what}"
        threading.Event().wait(0.005)


@pytest.fixture
def cable(tmp_path: Path) -> Iterator[Cable]:
    cable = Cable(tmp_path / "probe")
    yield cable
    cable.pull()


@pytest.fixture
def open_source(cable: Cable) -> Iterator[Callable[..., tuple[SerialSource, Basket]]]:
    started: list[SerialSource] = []

    def start(form: LineFormat = FORMAT, quiet: bool = True) -> tuple[SerialSource, Basket]:
        source = SerialSource(SerialConfig(str(cable.path), format=form), time.time, reopen_s=0.05)
        basket = Basket()
        source.start(basket)
        started.append(source)
        if quiet:
            until(lambda: source.listening, "listening")
        return source, basket

    yield start
    for source in started:
        source.stop()


def test_partial_lines_come_together(cable, open_source):
    cable.plug()
    source, basket = open_source()
    cable.send(b"107.2,4")
    cable.send(b"5.5\r")
    cable.send(b"\n108.0,46.0\r\n")
    until(lambda: len(basket.readings) == 4)
    assert basket.values("pit") == [107.2, 108.0]
    assert basket.values("meat") == [45.5, 46.0]
    status = source.status()
    assert (status.state, status.lines_good, status.lines_refused) == ("open", 2, 0)
    assert status.readings == 4


def test_garbage_is_counted_with_its_reason_and_gives_no_reading(cable, open_source):
    cable.plug()
    source, basket = open_source()
    cable.send(b"\xff\xfe\x80\n10\x007,2\n107.2,oops\n9e9,-999\n" + b"\x91" * 2000 + b"\n1,2\n")
    until(lambda: len(basket.readings) == 3)
    assert [(r.channel, r.value_c) for r in basket.readings] == [
        ("pit", 107.2),
        ("pit", 1.0),
        ("meat", 2.0),
    ]
    status = source.status()
    counts = {c.reason.split(";")[0]: c.count for c in status.refused}
    assert counts == {
        "no end of line": 3,
        "no thermometer reads this": 2,
        "bytes that are no text": 1,
        "control characters inside": 1,
        "not a number": 1,
    }
    assert status.lines_good == 2
    assert status.lines_refused == 6
    example = next(c for c in status.refused if c.reason == "not a number")
    assert example.example == "2: oops"


class Stream:
    """A port that gives these pieces one by one, and then nothing."""

    def __init__(self, *pieces: bytes) -> None:
        self.pieces = list(pieces)

    def read(self) -> bytes:
        threading.Event().wait(0.001)
        return self.pieces.pop(0) if self.pieces else b""

    def close(self) -> None:
        pass


def test_a_line_that_was_joined_half_way_is_no_reading():
    # "107.2" of which the first character went by before the port was open.
    for pieces, values in (
        ((b"07.2,45.5\n108.0,46.0\n",), [108.0]),
        ((b"", b"107.2,45.5\n108.0,46.0\n"), [107.2, 108.0]),
    ):
        source = SerialSource(
            SerialConfig("x", format=FORMAT), time.time, lambda _, p=pieces: Stream(*p)
        )
        basket = Basket()
        source.start(basket)
        until(lambda: len(basket.lines) == 2)  # noqa: B023
        source.stop()
        assert basket.values("pit") == values


def test_a_flood_loses_nothing_and_comes_in_batches(cable, open_source):
    cable.plug()
    source, basket = open_source()
    begun = time.monotonic()
    for n in range(3000):
        cable.send(b"%d.%d,45.5\n" % (n // 10, n % 10))
    until(lambda: len(basket.readings) == 6000, "all 3,000 lines")
    took = time.monotonic() - begun
    assert basket.values("pit") == [n / 10 for n in range(3000)]
    assert basket.batches <= took / 0.1 + 3
    assert source.status().lines_refused == 0
    stamps = [r.at_s for r in basket.readings]
    assert stamps == sorted(stamps)


def test_the_cable_is_pulled_and_put_back(cable, open_source):
    cable.plug()
    source, basket = open_source()
    cable.send(b"107.2,45.5\n107.3,45")
    until(lambda: len(basket.readings) == 2)
    cable.pull()
    until(lambda: source.status().state == "lost", "lost")
    assert "Put the cable back" in source.status().text or "Is the cable in" in source.status().text
    assert len(basket.readings) == 2
    cable.plug()
    until(lambda: source.listening, "open again")
    cable.send(b"99.0,46.0\n")
    until(lambda: len(basket.readings) == 4)
    assert basket.values("pit") == [107.2, 99.0]
    # The half line was not joined with what came after; it was counted.
    assert [c.reason for c in source.status().refused] == [
        "cut off at its end, because the line was lost"
    ]
    assert source.status().state == "open"


def test_a_port_that_is_not_there_yet_is_waited_for(cable, open_source):
    source, basket = open_source(quiet=False)
    until(lambda: "There is no port" in source.status().text, "told")
    assert source.status().state == "waiting"
    cable.plug()
    until(lambda: source.listening, "listening")
    cable.send(b"107.2,45.5\n")
    until(lambda: len(basket.readings) == 2)


def test_silence_is_said_and_invents_nothing(cable):
    cable.plug()
    shown = [1000.0]
    source = SerialSource(SerialConfig(str(cable.path), format=FORMAT), lambda: shown[0])
    basket = Basket()
    source.start(basket)
    try:
        until(lambda: source.status().state == "open")
        assert "Nothing has come yet" in source.status().text
        until(lambda: source.listening)
        cable.send(b"107.2,45.5\n")
        until(lambda: len(basket.readings) == 2)
        shown[0] = 1600.0
        assert "Silent" in source.status().text
        assert [r.at_s for r in basket.readings] == [1000.0, 1000.0]
    finally:
        source.stop()
    assert source.status().state == "stopped"


def test_a_port_in_use_says_so(cable, open_source):
    cable.plug()
    open_source()
    second, _ = open_source(quiet=False)
    until(lambda: "in use by another program" in second.status().text, "in use")


def test_control_lines_that_a_port_lacks_do_no_harm(cable):
    cable.plug()  # a pseudo-terminal has neither DTR nor RTS
    config = SerialConfig(str(cable.path), dtr=True, rts=False, format=FORMAT)
    source = SerialSource(config, time.time)
    source.start(Basket())
    try:
        until(lambda: source.status().state == "open")
    finally:
        source.stop()


def test_stop_hands_over_what_was_read(cable, open_source):
    cable.plug()
    source, basket = open_source()
    for _ in range(20):
        cable.send(b"107.2,45.5\n")
    until(lambda: source.status().lines_good == 20)
    source.stop()
    assert len(basket.readings) == 40
    source.stop()


def test_written_form():
    config = SerialConfig("/dev/ttyUSB0", 115200, 7, "E", 2.0, True, None, FORMAT)
    assert config_from_json(config.to_json()) == config
    for change, where in (
        ({"port": ""}, "input.port"),
        ({"speed": 1}, "input.speed"),
        ({"parity": "X"}, "input.parity"),
        ({"stop_bits": 1.2}, "input.stop_bits"),
        ({"dtr": "on"}, "input.dtr"),
        ({"format": {"kind": "odd"}}, "input.format.kind"),
    ):
        with pytest.raises(SchemaProblem) as problem:
            config_from_json(config.to_json() | change)
        assert problem.value.where == where


def test_ports_are_listed():
    for port in list_ports():
        assert port.path
