"""What the painting thread gets of the interpreter while the window is open, and gives back after."""

from __future__ import annotations

import gc
import sys

import pytest
from pytestqt.qtbot import QtBot

from smokejournal.desk.base.painting_turns import TURN_S, PaintingTurns


class Ring:
    """Garbage that only the collector finds."""

    collected = 0

    def __init__(self) -> None:
        self.ring = self

    def __del__(self) -> None:
        Ring.collected += 1


def test_garbage_is_collected_and_turns_are_short_until_the_window_closes(qtbot: QtBot) -> None:
    usual_s = sys.getswitchinterval()
    turns = PaintingTurns()
    turns.start()
    try:
        assert not gc.isenabled()
        assert sys.getswitchinterval() == pytest.approx(TURN_S)
        rings = [Ring() for _ in range(gc.get_threshold()[0] + 100)]
        made = len(rings)
        del rings
        qtbot.waitUntil(lambda: Ring.collected == made)
    finally:
        turns.stop()
    assert gc.isenabled()
    assert sys.getswitchinterval() == pytest.approx(usual_s)
