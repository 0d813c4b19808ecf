"""The printed score: vector, in the reader's units, clear without color, thinned."""

from __future__ import annotations

import re
from itertools import combinations, pairwise
from pathlib import Path

import numpy as np
import pytest
from pypdf import PdfReader
from PySide6.QtCore import QMarginsF, QPointF, QRectF, Qt
from PySide6.QtGui import (
    QColor,
    QFont,
    QImage,
    QPageLayout,
    QPageSize,
    QPainter,
    QPdfWriter,
)
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.readings import Trace
from smokejournal.cook.score.score import Score, ScoreLevel, ScoreMark, ScoreTrace
from smokejournal.cook.text.quantities import METRIC, US, Units
from smokejournal.drawing.frame import Type, frame_of
from smokejournal.drawing.on_paper import SHAPE, draw_score, print_ink
from smokejournal.drawing.picture import ScorePicture, spread
from tests.support.score_examples import START_S, shoulder

pytestmark = pytest.mark.usefixtures("qapp")


def pdf(
    path: Path,
    score: Score,
    units: Units = METRIC,
    size: QPageSize.PageSizeId = QPageSize.A4,
    **more: object,
) -> PdfReader:
    writer = QPdfWriter(str(path))
    writer.setResolution(300)
    writer.setPageSize(QPageSize(size))
    writer.setPageMargins(QMarginsF(18, 18, 18, 18), QPageLayout.Unit.Millimeter)
    painter = QPainter(writer)
    width = float(writer.width())
    draw_score(painter, QRectF(0, 0, width, width * SHAPE), score, units, **more)  # type: ignore[arg-type]
    painter.end()
    return PdfReader(path)


def text_of(reader: PdfReader) -> str:
    text = " ".join(page.extract_text() for page in reader.pages)
    return re.sub(r"\s+", " ", text.replace("ﬁ", "fi"))


def test_the_words_of_the_picture_are_text_and_there_is_no_image(tmp_path: Path) -> None:
    reader = pdf(tmp_path / "score.pdf", shoulder(14.0, 30.0))
    text = text_of(reader)
    for word in (
        "°C", "Grate", "Shoulder, thick end", "lead probe", "check probe", "set to 107 °C", "until 71 °C",
        "Plan", "Stages", "Marks", "Fuel", "Weather", "Smoke", "Wrapped", "Hold", "Rest", "no set length",
        "3.4 ± 0.3 kg", "7 °C, clear", "06:00", "16 May", "CEST",
    ):  # fmt: skip
        assert word in text
    assert "SIMULATED" not in text
    assert not reader.pages[0].images


def test_letter_in_fahrenheit_pounds_and_twelve_hours(tmp_path: Path) -> None:
    text = text_of(
        pdf(tmp_path / "score.pdf", shoulder(14.0, 30.0), US, QPageSize.PageSizeId.Letter)
    )
    for word in ("°F", "set to 225 °F", "until 160 °F", "225", "250", "lb", "6 am", "mph"):
        assert word in text
    assert "°C" not in text
    assert "kg" not in text


def test_a_simulated_cook_says_so_in_the_picture(tmp_path: Path) -> None:
    assert "SIMULATED" in text_of(pdf(tmp_path / "s.pdf", shoulder(6.0, 30.0, simulated=True)))


def test_time_since_the_start(tmp_path: Path) -> None:
    text = text_of(pdf(tmp_path / "s.pdf", shoulder(14.0, 30.0), mode="since_start"))
    assert "since start" in text
    assert "10:00" in text
    assert "CEST" not in text


def _eight(count: int) -> Score:
    at = START_S + np.linspace(0, 86_400.0, count)
    noise = np.random.default_rng(3).normal(0, 0.3, count)
    traces = tuple(
        ScoreTrace(f"k{n}", f"Probe {n}", "meat", (Trace(at, 40.0 + 5 * n + noise),))
        for n in range(8)
    )
    return Score("UTC", START_S, START_S + 86_400.0, None, START_S, traces)


def test_a_day_of_readings_makes_no_larger_a_page(tmp_path: Path) -> None:
    pdf(tmp_path / "long.pdf", _eight(86_400))
    pdf(tmp_path / "short.pdf", _eight(2_000))
    assert (tmp_path / "long.pdf").stat().st_size < 1.5 * (tmp_path / "short.pdf").stat().st_size


def image(score: Score, color: bool) -> QImage:
    picture = QImage(1400, round(1400 * SHAPE), QImage.Format.Format_RGB32)
    picture.fill(QColor("white"))
    painter = QPainter(picture)
    draw_score(painter, QRectF(picture.rect()), score, METRIC, color=color)
    painter.end()
    return picture


def test_without_color_there_is_none() -> None:
    picture = image(shoulder(14.0, 30.0), color=False)
    for x in range(0, picture.width(), 3):
        for y in range(0, picture.height(), 3):
            shade = picture.pixelColor(x, y)
            assert shade.red() == shade.green() == shade.blue()


def test_the_gap_stays_white_between_the_traces() -> None:
    score = shoulder(14.0, 30.0)
    bare = Score(score.zone, score.from_s, score.to_s, None, score.started_at_s, score.traces)
    full = image(bare, color=True)
    none = image(
        Score(score.zone, score.from_s, score.to_s, None, score.started_at_s, tuple(
            ScoreTrace(t.key, t.label, t.role, ()) for t in score.traces
        )), color=True,
    )  # fmt: skip
    assert full != none
    ink = {QColor(c).rgb() for c in ("#882255", "#332288", "#117733")}
    columns = [
        x
        for x in range(full.width())
        if any(full.pixel(x, y) in ink for y in range(int(0.5 * full.height())))
    ]
    # The cable was out for almost half an hour of fourteen and a half: some thirty columns.
    assert max(np.diff(columns[: -len(columns) // 5])) > 20


def test_nothing_is_drawn_outside_the_rectangle(qtbot: QtBot) -> None:
    picture = QImage(800, 600, QImage.Format.Format_RGB32)
    picture.fill(QColor("white"))
    painter = QPainter(picture)
    rect = QRectF(100, 100, 500, 320)
    draw_score(painter, rect, shoulder(14.0, 60.0), METRIC)
    painter.end()
    white = QColor("white").rgb()
    for x in range(picture.width()):
        for y in range(picture.height()):
            if not rect.adjusted(-1, -1, 1, 1).contains(float(x), float(y)):
                assert picture.pixel(x, y) == white


def test_an_empty_score_and_one_of_a_single_moment_can_be_drawn() -> None:
    one = ScoreTrace("k", "Probe", "meat", (Trace(np.array([START_S]), np.array([50.0])),))
    for traces in ((), (one,)):
        drawn = image(Score("UTC", START_S, START_S, None, None, traces), color=True)
        assert not drawn.isNull()


def test_labels_are_spread_and_stay_inside() -> None:
    placed = spread([10.0, 11.0, 12.0, 90.0], [5.0, 5.0, 5.0, 5.0], 0.0, 100.0)
    assert all(b - a >= 5.0 - 1e-9 for a, b in pairwise(placed))
    assert placed[3] == 90.0
    assert spread([98.0, 99.0], [5.0, 5.0], 0.0, 100.0) == [90.0, 95.0]
    assert spread([0.0, 0.0], [5.0, 5.0], 0.0, 100.0) == [0.0, 5.0]


@pytest.mark.parametrize(("width", "height"), [(360, 260), (700, 296), (1280, 720), (2560, 1440)])
def test_lanes_and_traces_share_their_edges_and_do_not_overlap(width: int, height: int) -> None:
    whole = QRectF(0, 0, width, height)
    frame = frame_of(whole, Type("", 12.0), ["Weather"], ["A probe with quite a long name"])
    rows = [frame.top, frame.traces, *frame.lanes, frame.axis]
    for rect in (frame.traces, *frame.lanes, frame.axis):
        assert rect.left() == frame.left
        assert rect.right() == frame.right
        assert rect.width() > 0.4 * width
    for upper, lower in pairwise(rows):
        assert lower.top() >= upper.bottom() - 1e-6
    assert frame.axis.bottom() <= height + 1e-6
    assert frame.traces.height() >= 0.25 * height


def test_an_alarm_is_seen_among_many_other_marks() -> None:
    lids = [
        ScoreMark(START_S + 60.0 * n, START_S + 60.0 * n + 20, "lid", "Lid open", n)
        for n in range(400)
    ]
    alarm = ScoreMark(START_S + 12_000.0, None, "alarm", "Look", 999)
    marks = tuple(sorted([*lids, alarm], key=lambda mark: mark.at_s))
    score = Score("UTC", START_S, START_S + 24_000.0, None, START_S, marks=marks)
    picture = image(score, color=True)
    accent = QColor("#9a3412").rgb()
    seen = [
        x
        for x in range(picture.width())
        for y in range(picture.height())
        if picture.pixel(x, y) == accent
    ]
    assert seen
    assert max(seen) - min(seen) < 40


class _Overheard(Type):
    """Type that remembers what is written and where, in picture units."""

    def __init__(self, em: float) -> None:
        super().__init__("", em)
        self.said: list[tuple[str, QRectF]] = []

    def write(  # type: ignore[override]
        self,
        painter: QPainter,
        at: QPointF,
        text: str,
        font: QFont,
        color: QColor,
        align: Qt.AlignmentFlag = Qt.AlignmentFlag.AlignLeft,
    ) -> None:
        super().write(painter, at, text, font, color, align)
        width = self.width(text, font)
        shift = {Qt.AlignmentFlag.AlignRight: width, Qt.AlignmentFlag.AlignHCenter: width / 2}
        left = at.x() - shift.get(align, 0.0)
        self.said.append((text, QRectF(left, at.y() - 0.4 * self.em, width, 0.8 * self.em)))


def overhear(score: Score, width: float, height: float, em: float) -> list[tuple[str, QRectF]]:
    """Every text of a picture with its place."""
    canvas = QImage(round(width), round(height), QImage.Format.Format_RGB32)
    type_ = _Overheard(em)
    whole = QRectF(0, 0, width, height)
    picture = ScorePicture(
        score, whole, METRIC, print_ink(em, color=True), type_, score.from_s, score.to_s
    )
    painter = QPainter(canvas)
    picture.paint_under(painter)
    picture.paint_over(painter)
    painter.end()
    return type_.said


def test_what_the_hopper_held_at_the_very_start_does_not_cover_the_lane_s_name() -> None:
    fuel = (
        ScoreLevel(START_S, 2.2, 0.2, False, True),
        ScoreLevel(START_S + 60.0, 6.2, 0.2, True, True),
        ScoreLevel(START_S + 3600.0, 5.0, 0.2, True, True),
    )
    score = Score("UTC", START_S, START_S + 18_000.0, None, START_S, fuel=fuel)
    said = overhear(score, 760, 420, 12.0)
    name = next(rect for text, rect in said if text == "Fuel")
    figures = [rect for text, rect in said if text.endswith("kg")]
    assert figures
    assert all(rect.left() > name.right() for rect in figures)
    for one, other in combinations(figures, 2):
        assert not one.intersects(other)


@pytest.mark.parametrize("em", [11.0, 12.0, 12.7, 14.0, 15.6, 16.4, 18.0, 20.8])
def test_end_labels_are_whole_where_there_is_room(em: float) -> None:
    at = np.array([START_S, START_S + 3600.0])
    names = ("Thick end", "Pit", "Thin end, left")
    traces = tuple(
        ScoreTrace(name, name, "meat", (Trace(at, np.array([20.0, 30.0 + n])),), part=part)
        for n, (name, part) in enumerate(zip(names, ("lead", "check", ""), strict=True))
    )
    score = Score("UTC", START_S, START_S + 3600.0, None, START_S, traces)
    said = overhear(score, 1300.0, 640.0, em)
    written = [text for text, _ in said]
    assert set(names) | {"lead probe", "check probe"} <= set(written)
    assert all(rect.right() <= 1300.0 for text, rect in said if text in (*names, "check probe"))
