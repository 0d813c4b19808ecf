"""Keeps the screen lit over the session bus until its input ends: a small program of its own.

The desktop takes an inhibition back when the connection that asked for it ends (freedesktop idle
inhibition interface). So a program that asks and ends, as gdbus and dbus-send do, is of no use; and Qt
holds Python's lock while it connects, so that a bus that hangs would freeze the window, on whatever
thread.
"""

from __future__ import annotations

import signal
import sys
from typing import Any

_NAME = "org.freedesktop.ScreenSaver"
_PATHS = ("/org/freedesktop/ScreenSaver", "/ScreenSaver")
#: So long the bus and the desktop together are waited for, and for one answer [s, ms].
_PATIENCE_S, _ANSWER_MS = 20, 5000


def main() -> int:
    """Say a line once the screen is held; end when the input does, or at once where it can't be held."""
    signal.alarm(_PATIENCE_S)  # which ends the process even where Python isn't let in
    try:
        from PySide6 import QtDBus
        from PySide6.QtCore import QCoreApplication
    except ImportError:
        return 1
    app = QCoreApplication(sys.argv)
    kind = QtDBus.QDBusConnection.BusType.SessionBus
    connection = QtDBus.QDBusConnection.connectToBus(kind, "screen")
    held = connection.isConnected() and any(_ask(QtDBus, connection, path) for path in _PATHS)
    if held:
        signal.alarm(0)
        sys.stdout.write("held\n")
        sys.stdout.flush()
        sys.stdin.buffer.read()
    QtDBus.QDBusConnection.disconnectFromBus("screen")
    del app
    return 0 if held else 1


def _ask(bus: Any, connection: Any, path: str) -> bool:
    message = bus.QDBusMessage.createMethodCall(_NAME, path, _NAME, "Inhibit")
    message.setArguments(["smokejournal", "A cook is under way"])
    reply = connection.call(message, bus.QDBus.CallMode.Block, _ANSWER_MS)
    return bool(reply.type() == bus.QDBusMessage.MessageType.ReplyMessage)


if __name__ == "__main__":
    sys.exit(main())
