"""Bytes to lines. Whatever comes, lines come out, and what is no line says why."""

from __future__ import annotations

from dataclasses import dataclass

from smokejournal.cook.text.translate import translate

LONGEST_LINE = 512
_TAIL_MARK = 120


@dataclass(frozen=True, slots=True)
class Frame:
    """One line without its end. `problem` is empty for one that may be read."""

    text: str
    problem: str = ""


def _reasons() -> dict[str, str]:
    return {
        "cut": translate("Inputs", "cut off at its start, because listening began in its middle"),
        "long": translate("Inputs", "no end of line; is the speed right?"),
        "utf8": translate("Inputs", "bytes that are no text; is the speed right?"),
        "control": translate("Inputs", "control characters inside; is the speed right?"),
    }


class LineFramer:
    """Cuts a stream of bytes into lines at CR, LF or CRLF. Empty lines are passed over.

    A line longer than `longest` bytes is refused once per `longest` bytes, so that a device at the
    wrong speed is seen and fills no memory; what follows up to its end is refused with it, because
    the tail of a line could read like another number.
    """

    def __init__(self, longest: int = LONGEST_LINE) -> None:
        self._longest = longest
        self._held = bytearray()
        self._overlong = False
        self._cut = False

    def begin(self, in_the_middle: bool) -> None:
        """A stream begins. When it may begin in the middle of a line, the first one is refused."""
        self._held.clear()
        self._overlong = False
        self._cut = in_the_middle

    def feed(self, data: bytes) -> list[Frame]:
        """Lines that `data` completes."""
        frames: list[Frame] = []
        pieces = data.replace(b"\r", b"\n").split(b"\n")
        for n, piece in enumerate(pieces):
            self._hold(piece, frames)
            if n < len(pieces) - 1:
                self._end(frames)
        return frames

    def rest(self) -> int:
        """How many bytes of an unfinished line are held."""
        return len(self._held)

    def _hold(self, piece: bytes, frames: list[Frame]) -> None:
        while len(self._held) + len(piece) > self._longest:
            take = self._longest - len(self._held)
            self._held += piece[:take]
            piece = piece[take:]
            frames.append(Frame(_text(bytes(self._held[:_TAIL_MARK])), _reasons()["long"]))
            self._held.clear()
            self._overlong = True
        self._held += piece

    def _end(self, frames: list[Frame]) -> None:
        data = bytes(self._held)
        self._held.clear()
        overlong, self._overlong = self._overlong, False
        cut, self._cut = self._cut, False
        if overlong or not data:
            return  # the beginning of an overlong line was refused already
        frames.append(Frame(_text(data), _reasons()["cut"]) if cut else frame(data))


def frame(data: bytes) -> Frame:
    """The line that `data` is, without its end."""
    text = _text(data)
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return Frame(text, _reasons()["utf8"])
    if any(ord(c) < 32 and c != "\t" for c in text) or "\x7f" in text:
        return Frame(text, _reasons()["control"])
    return Frame(text)


def _text(data: bytes) -> str:
    return data.decode("utf-8", "replace")
