"""Notifications of the desktop, for when the window is not in sight. Never waits, never raises.

They are a help only: an alarm is also seen in the window, heard, and in the log.
"""

from __future__ import annotations

import html
import logging
import shutil
import sys
from collections.abc import Callable, Sequence
from typing import Protocol

from smokejournal.host.launch import Child, Launch, launch

log = logging.getLogger(__name__)

_NAME = "smokejournal"


class Notifier(Protocol):
    """Something that shows a notification."""

    def notify(self, title: str, text: str, urgent: bool = False) -> bool:
        """Show it. False when this machine shows none."""
        ...


class NoNotifier:
    """A machine that shows no notifications."""

    def notify(self, title: str, text: str, urgent: bool = False) -> bool:  # noqa: ARG002
        """Nothing to show it with."""
        return False


Compose = Callable[[str, str, bool], Sequence[str]]


def notifier(find: Callable[[str], str | None] = shutil.which) -> Notifier:
    """The notifier for this machine."""
    if sys.platform == "darwin":
        path = find("osascript")
        return CommandNotifier([_by_osascript(path)]) if path else NoNotifier()
    if sys.platform == "win32":
        return NoNotifier()
    ways: list[Compose] = []
    if path := find("notify-send"):
        ways.append(_by_notify_send(path))
    if path := find("gdbus"):
        ways.append(_by_gdbus(path))
    return CommandNotifier(ways) if ways else NoNotifier()


class CommandNotifier:
    """Notifies by starting a small program; leaves out a way that has failed."""

    def __init__(self, ways: Sequence[Compose], start: Launch = launch) -> None:
        self._ways = list(ways)
        self._start = start
        self._children: list[tuple[Compose, Child]] = []

    def notify(self, title: str, text: str, urgent: bool = False) -> bool:
        """Show it by the first way that has not failed."""
        self._look_at_earlier()
        while self._ways:
            way = self._ways[0]
            try:
                self._children.append((way, self._start(way(title, text, urgent))))
            except OSError as error:
                log.warning("no notification could be shown: %s", error)
                self._ways.pop(0)
                continue
            return True
        return False

    def _look_at_earlier(self) -> None:
        running = []
        for way, child in self._children:
            code = child.poll()
            if code is None:
                running.append((way, child))
            elif code != 0 and way in self._ways:
                log.warning("a notification failed with exit code %s", code)
                self._ways.remove(way)
        self._children = running


def _by_notify_send(path: str) -> Compose:
    def compose(title: str, text: str, urgent: bool) -> Sequence[str]:
        urgency = "critical" if urgent else "normal"
        # The body may be read as markup; what came from a probe or a file must never be.
        body = html.escape(text, quote=False)
        return (path, f"--app-name={_NAME}", f"--urgency={urgency}", "--", title, body)

    return compose


def _by_gdbus(path: str) -> Compose:
    def compose(title: str, text: str, urgent: bool) -> Sequence[str]:
        body = html.escape(text, quote=False)
        return (
            path,
            "call",
            "--session",
            "--timeout=5",
            "--dest=org.freedesktop.Notifications",
            "--object-path=/org/freedesktop/Notifications",
            "--method=org.freedesktop.Notifications.Notify",
            _quoted(_NAME),
            "uint32 0",
            _quoted(""),
            _quoted(title),
            _quoted(body),
            "@as []",
            f"{{'urgency': <byte {2 if urgent else 1}>}}",
            "int32 -1",
        )

    return compose


def _by_osascript(path: str) -> Compose:
    def compose(title: str, text: str, urgent: bool) -> Sequence[str]:  # noqa: ARG001
        # Title and text are arguments of the script, never part of its source.
        script = "display notification (item 2 of argv) with title (item 1 of argv)"
        return (path, "-e", "on run argv", "-e", script, "-e", "end run", "--", title, text)

    return compose


def _quoted(text: str) -> str:
    """`text` as a string of GVariant's text form."""
    escaped = text.replace("\\", "\\\\").replace("'", "\\'").replace("\n", "\\n")
    return f"'{escaped}'"
