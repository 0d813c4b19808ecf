"""Where everything in the picture is: the traces come first in a low one."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QRectF
from PySide6.QtWidgets import QApplication

from smokejournal.drawing.frame import ScoreFrame, Type, frame_of

NAMES = ["Plan", "Stages", "Marks", "Fuel", "Weather"]


def frame(height: float, em: float = 11.0) -> ScoreFrame:
    return frame_of(QRectF(0, 0, 600, height), Type("", em), NAMES, ["pit", "shoulder"])


@pytest.mark.parametrize("height", [156.0, 170.0, 200.0, 260.0, 400.0])
def test_traces_keep_a_third_of_the_height(qapp: QApplication, height: float) -> None:
    found = frame(height)
    assert found.traces.height() >= height / 3 - 0.5
    # What is going on now and what was done never fold away.
    assert not found.stages.isEmpty()
    assert not found.marks.isEmpty()


def test_a_picture_with_room_folds_nothing(qapp: QApplication) -> None:
    assert not any(lane.isEmpty() for lane in frame(420.0).lanes)


@given(st.floats(150, 900), st.floats(9, 16))
def test_lanes_are_in_order_and_inside(qapp: QApplication, height: float, em: float) -> None:
    found = frame(height, em)
    below = found.traces.bottom()
    for lane in found.lanes:
        assert lane.top() >= below - 1e-6
        below = max(below, lane.bottom())
    assert found.axis.top() >= below - 1e-6
