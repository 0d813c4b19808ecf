"""A window on an empty journal."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from pytestqt.qtbot import QtBot

from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.shell.window import Window
from tests.support.tend_desk import QuietPlayer


@pytest.fixture
def window(qtbot: QtBot, context: DeskContext) -> Iterator[Window]:
    window = Window(context, QuietPlayer())
    window.resize(1024, 600)
    window.show_page("journal")
    window.show()
    qtbot.waitExposed(window)
    window.activateWindow()
    yield window
    window.close_unasked()
    window.deleteLater()
