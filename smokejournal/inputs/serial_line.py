"""Readings over a serial line: a thread that reads, reopens the port when it is gone, and never
invents anything."""

from __future__ import annotations

import sys
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Annotated, Any, ClassVar, Protocol, TypeAlias

import serial

from smokejournal.cook.text.strict import OneOf, Range, TextSize, written
from smokejournal.cook.text.translate import translate
from smokejournal.inputs.framing import Frame, LineFramer
from smokejournal.inputs.line_format import LineFormat
from smokejournal.inputs.source import Now, ReceivedLine, RefusedLine
from smokejournal.inputs.worker import BATCH_S, Worker

_TERMINAL: tuple[type[Exception], ...] = ()
if sys.platform != "win32":
    import termios

    _TERMINAL = (termios.error,)

#: What pyserial lets through when a port can't be used or is gone.
_TROUBLE = (serial.SerialException, OSError, *_TERMINAL)

BYTE_SIZES = (5, 6, 7, 8)
PARITIES = ("N", "E", "O", "M", "S")
STOP_BITS = (1.0, 1.5, 2.0)

REOPEN_S = 1.0
READ_TIMEOUT_S = 0.05


@dataclass(frozen=True, slots=True)
class SerialConfig:
    """How a port is opened and read. `dtr` and `rts`: set on, set off, or None to leave them be."""

    kind: ClassVar[str] = "serial"
    newest: ClassVar[int] = 1
    port: Annotated[str, TextSize(1, 1000, nul=True)]
    speed: Annotated[int, Range(50, 4_000_000)] = 9600
    byte_size: Annotated[int, OneOf(BYTE_SIZES)] = 8
    parity: Annotated[str, OneOf(PARITIES)] = "N"
    stop_bits: Annotated[float, OneOf(STOP_BITS)] = 1.0
    dtr: bool | None = None
    rts: bool | None = None
    format: LineFormat = field(default_factory=LineFormat)

    def to_json(self) -> dict[str, Any]:
        """Its written form."""
        return {"kind": self.kind, "version": self.newest, **written(self, in_full=True)}


class StreamLost(Exception):
    """The stream can't be opened or is gone. The message says why, for people."""


class ByteStream(Protocol):
    """Bytes that come in, from a port or from a test."""

    def read(self) -> bytes:
        """What has come; waits a moment for it. Empty when nothing came; StreamLost when gone."""
        ...

    def close(self) -> None:
        """Give it back. Never raises."""
        ...


Opener: TypeAlias = Callable[[SerialConfig], ByteStream]


class _Port:
    def __init__(self, port: serial.Serial) -> None:
        self._port = port

    def read(self) -> bytes:
        try:
            first = self._port.read(1)
            waiting = self._port.in_waiting if first else 0
            return bytes(first + self._port.read(waiting)) if waiting else bytes(first)
        except (*_TROUBLE, TypeError) as trouble:  # TypeError: gone between two calls
            raise StreamLost(str(trouble)) from trouble

    def close(self) -> None:
        try:
            self._port.close()
        except _TROUBLE:
            return  # it is gone already, which is what closing wants


def open_port(config: SerialConfig) -> ByteStream:
    """Open the port for this program alone. StreamLost when it can't be."""
    try:
        port = serial.Serial()
        port.port = config.port
        port.baudrate = config.speed
        port.bytesize = config.byte_size
        port.parity = config.parity
        port.stopbits = int(config.stop_bits) if config.stop_bits != 1.5 else 1.5
        port.timeout = READ_TIMEOUT_S
        port.exclusive = True
        if config.dtr is not None:
            port.dtr = config.dtr
        if config.rts is not None:
            port.rts = config.rts
        port.open()
    except (*_TROUBLE, ValueError) as trouble:
        raise StreamLost(_why(config.port, trouble)) from trouble
    return _Port(port)


def _why(path: str, trouble: Exception) -> str:
    number = getattr(trouble, "errno", None)
    text = str(trouble)
    if number == 2 or "FileNotFoundError" in text:
        return translate("Inputs", "There is no port {port}. Is the cable in?").format(port=path)
    if number == 13 or "PermissionError" in text or "Permission denied" in text:
        return translate(
            "Inputs",
            "Port {port} may not be opened. On Linux, add yourself to the group that owns it "
            "(often “dialout”) and log in again.",
        ).format(port=path)
    if number in (11, 16) or "exclusively lock" in text or "busy" in text:
        return translate(
            "Inputs", "Port {port} is in use by another program. Close that one."
        ).format(port=path)
    return translate("Inputs", "Port {port} can't be opened: {why}").format(port=path, why=text)


class SerialSource(Worker):
    """Reads a port until it is stopped; opens it again a second after it was lost."""

    def __init__(
        self,
        config: SerialConfig,
        now: Now,
        opener: Opener = open_port,
        reopen_s: float = REOPEN_S,
        batch_s: float = BATCH_S,
    ) -> None:
        super().__init__(now, batch_s)
        self.config = config
        self._opener = opener
        self._reopen_s = reopen_s
        self._framer = LineFramer()
        self._listening = threading.Event()

    @property
    def listening(self) -> bool:
        """True once the port was heard to be quiet, or lines come: from then on none is cut off."""
        return self._listening.is_set()

    def work(self) -> None:
        """Open, read until it is lost, wait, open again."""
        opened_before = False
        while not self.stopping:
            try:
                stream = self._opener(self.config)
            except StreamLost as lost:
                again = translate("Inputs", "Trying again every second.")
                self.say("lost" if opened_before else "waiting", f"{lost} {again}")
                self.pause(self._reopen_s)
                continue
            opened_before = True
            self.say(
                "open", translate("Inputs", "Port {port} is open.").format(port=self.config.port)
            )
            gone = False
            try:
                self._read(stream)
            except StreamLost:
                gone = True
            finally:
                self._listening.clear()
                stream.close()
                self.pass_on(everything=True)
            if gone:
                self._lost()
                self.pause(self._reopen_s)

    def _read(self, stream: ByteStream) -> None:
        quiet = begun = False
        while not self.stopping:
            data = stream.read()
            if not data:
                quiet = True
                self._listening.set()
                self.pass_on()
                continue
            at_s = self.now()
            if not begun:
                # Without a moment of quiet before it, the first line may have been joined half way.
                self._framer.begin(in_the_middle=not quiet)
                begun = True
                self._listening.set()
            self.hand_over([self._received(frame, at_s) for frame in self._framer.feed(data)])

    def _lost(self) -> None:
        cut = self._framer.rest()
        self._framer.begin(False)
        if cut:
            reason = translate("Inputs", "cut off at its end, because the line was lost")
            text = translate("Inputs", "({count} bytes)").format(count=cut)
            refused = (RefusedLine(reason, text),)
            self.hand_over([ReceivedLine(self.now(), text, (), refused, whole=False)])
        self.pass_on(everything=True)
        self.say(
            "lost",
            translate(
                "Inputs", "Port {port} is gone. Put the cable back; it is opened again by itself."
            ).format(port=self.config.port),
        )

    def _received(self, frame: Frame, at_s: float) -> ReceivedLine:
        if frame.problem:
            refused = (RefusedLine(frame.problem, frame.text),)
            return ReceivedLine(at_s, frame.text, (), refused, whole=False)
        parsed = self.config.format.parse(frame.text)
        return ReceivedLine(at_s, frame.text, parsed.values, parsed.refused)
