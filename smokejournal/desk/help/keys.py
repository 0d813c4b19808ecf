"""The keys of a page in words, read off the shortcuts, buttons and widgets that hear them.

Each says its words where it is made (`whatsThis`, or `key_words` of a widget that reads keys itself),
so this list can't fall behind.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QAbstractButton, QWidget

from smokejournal.desk.score.view import ScoreView


class KeyLine(NamedTuple):
    """Keys as they are written on a keyboard, and what they do."""

    keys: str
    words: str


def keys_of(home: QWidget) -> list[KeyLine]:
    """Every key that `home` and what is in it hears, a line for each thing done; not the score's."""
    found: dict[str, list[str]] = {}
    for keys, words in _heard(home):
        into = found.setdefault(words, [])
        if keys not in into:
            into.append(keys)
    return [KeyLine(", ".join(keys), words) for words, keys in found.items()]


def score_of(home: QWidget) -> ScoreView | None:
    """The score on this page, if it has one."""
    return next(iter(home.findChildren(ScoreView)), None)


def score_keys(score: ScoreView) -> list[KeyLine]:
    """The keys of a score that has the focus."""
    return [KeyLine(*line) for line in score.key_words()]


def _heard(home: QWidget) -> Iterator[tuple[str, str]]:
    # The window's own parts are asked one by one: what is on its pages is the pages'.
    deep = Qt.FindChildOption.FindChildrenRecursively
    shallow = Qt.FindChildOption.FindDirectChildrenOnly
    reach = shallow if home.isWindow() else deep
    for shortcut in home.findChildren(QShortcut, options=reach):
        owner = shortcut.parent()
        if isinstance(owner, QWidget) and owner.window() is home.window():
            yield from ((_written(key), shortcut.whatsThis()) for key in shortcut.keys())  # noqa: SIM118
    for action in home.actions():
        yield from ((_written(key), action.text()) for key in action.shortcuts())
    if home.isWindow():
        return
    for widget in home.findChildren(QWidget):
        if isinstance(widget, QAbstractButton):
            key = widget.shortcut()
            # The letter underlined in its text is a shortcut too, and says itself.
            if not key.isEmpty() and key != QKeySequence.mnemonic(widget.text()):
                yield _written(key), widget.whatsThis() or widget.accessibleName() or widget.text()
        elif hasattr(widget, "key_words") and not isinstance(widget, ScoreView):
            yield from widget.key_words()


def _written(key: QKeySequence) -> str:
    return key.toString(QKeySequence.SequenceFormat.NativeText)
