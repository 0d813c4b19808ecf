"""Text for a terminal: nothing that somebody wrote into a note or a title may steer it."""

from __future__ import annotations

import unicodedata


def printable(text: str) -> str:
    """The text with its lines, every tab as blanks and every other control character, escape sequence
    or turn of the reading direction as a mark that something stood there."""
    return "".join(_shown(ch) for ch in text.replace("\r\n", "\n").replace("\t", "    "))


def _shown(ch: str) -> str:
    if ch == "\n" or ch.isprintable() or unicodedata.category(ch) == "Zs":
        return ch
    return "\n" if ch in "\r\v\f\u2028\u2029" else "\ufffd"
