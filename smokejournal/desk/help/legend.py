"""The legend of the score: each shape, painted as the score paints it, with its word."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any, Literal, get_args

import numpy as np
from PySide6.QtCore import QRectF
from PySide6.QtGui import QFontInfo, QPainter, QPaintEvent
from PySide6.QtWidgets import QGridLayout, QWidget

from smokejournal.cook.log.readings import Trace
from smokejournal.cook.score.score import (
    Score,
    ScoreAhead,
    ScoreBar,
    ScoreFan,
    ScoreLevel,
    ScoreMark,
    ScoreTarget,
    ScoreTrace,
    Symbol,
)
from smokejournal.cook.text.quantities import METRIC
from smokejournal.desk.base.theme import Ground
from smokejournal.desk.base.widgets import new_label
from smokejournal.desk.score.fan import paint_fans
from smokejournal.desk.score.layers import ink_of
from smokejournal.drawing.frame import ScoreAxes, ScoreFrame, Type
from smokejournal.drawing.lanes import Lanes
from smokejournal.drawing.picture import ScorePicture

Lane = Literal["traces", "plan", "stages", "marks", "fuel"]

WIDTH, HEIGHT = 64, 26
#: A piece of a score is painted over this time [s] and up to this temperature [°C].
_SPAN_S, _TOP_C = 100.0, 100.0


class Sample(QWidget):
    """A piece of a score in one lane, painted by the score's own code."""

    def __init__(self, lane: Lane, ground: Ground, parent: QWidget, **piece: Any) -> None:
        super().__init__(parent)
        self.setFixedSize(WIDTH, HEIGHT)
        self._lane, self._ink = lane, ink_of(ground)
        self._score = Score("UTC", 0.0, _SPAN_S, None, None, **piece)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002
        """Paint it."""
        em = float(QFontInfo(self.font()).pixelSize())
        type_ = Type(self.font().family(), em)
        room = QRectF(self.rect()).adjusted(2, 3, -2, -3)
        if self._lane == "marks":
            # The shapes stand at the head of their lane, over their words.
            room.setTop(room.center().y() - 0.65 * em)
        places = {
            name: room if name == self._lane else QRectF()
            for name in ("top", "traces", "plan", "stages", "marks", "fuel", "weather", "axis")
        }
        picture = ScorePicture(
            self._score, room, METRIC, self._ink, type_, 0.0, _SPAN_S, temperatures=(0.0, _TOP_C)
        )
        picture.frame = ScoreFrame(whole=room, **places)
        picture.span = ScoreAxes(0.0, _SPAN_S, 0.0, _TOP_C, room)
        painter = QPainter(self)
        try:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            if self._lane == "traces":
                picture.paint_target_lines(painter)
                paint_fans(painter, picture)
                if not self._score.fans:
                    picture.paint_traces(painter, 1.0)
            else:
                Lanes(
                    painter, self._score, picture.frame, picture.span, self._ink, type_, METRIC
                ).draw()
        finally:
            painter.end()


class Legend(QWidget):
    """All of them, in two columns."""

    def __init__(self, ground: Ground, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("legend")
        self._ground = ground
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(10)
        grid.setVerticalSpacing(2)
        grid.setColumnStretch(1, 1)
        for row, (sample, words) in enumerate(self._samples()):
            label = new_label(self, words, wraps=True)
            grid.addWidget(sample, row, 0)
            grid.addWidget(label, row, 1)

    def _samples(self) -> Iterator[tuple[Sample, str]]:
        yield from self._traces()
        yield from self._lanes()
        for symbol in get_args(Symbol):
            lasts = 85.0 if symbol in ("lid", "alarm") else None
            at_s = 15.0 if lasts else 50.0
            yield (
                self._sample("marks", marks=(ScoreMark(at_s, lasts, symbol, "", 0),)),
                self._mark_words()[symbol],
            )

    def _sample(self, lane: Lane, **piece: Any) -> Sample:
        return Sample(lane, self._ground, self, **piece)

    def _traces(self) -> Iterator[tuple[Sample, str]]:
        def trace(ink: int, *pieces: tuple[float, float], **kind: Any) -> ScoreTrace:
            lines = []
            for from_s, to_s in pieces:
                at_s = np.linspace(from_s, to_s, 5)
                lines.append(Trace(at_s, 20.0 + 0.6 * at_s))
            return ScoreTrace("x", "", "meat", tuple(lines), ink=ink, **kind)

        whole = (4.0, 96.0)
        part: Callable[..., Sample] = lambda *traces: self._sample("traces", traces=traces)  # noqa: E731
        yield part(trace(0, whole, part="lead")), self.tr("Lead probe, the heavier line")
        yield part(trace(1, whole, part="check")), self.tr("Check probe and every other channel")
        yield part(trace(2, whole, by_hand=True)), self.tr("Readings taken by hand")
        yield part(trace(0, (4.0, 35.0), (65.0, 96.0))), self.tr("A gap: no readings came")
        for what, rule, words in (
            ("pit", "set", self.tr("What the pit is set to")),
            ("meat", "rising", self.tr("The temperature that ends the stage")),
        ):
            target = ScoreTarget(4.0, 96.0, 50.0, what, rule)  # type: ignore[arg-type]
            yield self._sample("traces", targets=(target,)), words
        at_s = np.linspace(4.0, 96.0, 8)
        middle_c, half_c = 15.0 + 0.6 * at_s, 0.25 * at_s
        fan = ScoreFan("x", at_s, middle_c - half_c, middle_c, middle_c + half_c)
        yield (
            self._sample("traces", traces=(trace(0, whole),), fans=(fan,)),
            self.tr("Forecast: the middle, and the band it lies in 8 times out of 10"),
        )

    def _lanes(self) -> Iterator[tuple[Sample, str]]:
        def bar(row: str, to_s: float | None = 92.0, **kind: Any) -> tuple[ScoreBar, ...]:
            return (ScoreBar(6.0, to_s, "", row, "x", **kind),)  # type: ignore[arg-type]

        yield self._sample("plan", bars=bar("planned")), self.tr("Stage as planned")
        yield (
            self._sample("plan", bars=bar("planned", None)),
            self.tr("Planned, with no set length"),
        )
        yield self._sample("stages", bars=bar("actual")), self.tr("Stage as it was")
        yield self._sample("stages", bars=bar("running")), self.tr("Stage under way")
        yield (
            self._sample("stages", bars=bar("actual", 45.0, skipped=True)),
            self.tr("Skipped stage"),
        )
        ahead = ScoreAhead(6.0, 40.0, 65.0, 92.0, "", "y")
        yield (
            self._sample("stages", ahead=(ahead,)),
            self.tr("Stage to come; below, from when to when it ends 8 times out of 10"),
        )
        # The last one is out of sight, and with it the words, for which a sample has no room.
        levels = (ScoreLevel(6.0, 8.0, 0.6, read=False), ScoreLevel(140.0, 2.0, 2.6, read=False))
        yield self._sample("fuel", fuel=levels), self.tr("Fuel left, with how sure it is")

    def _mark_words(self) -> dict[Symbol, str]:
        return {
            "lid": self.tr("Lid opened; the bar lasts until it was closed"),
            "wrap": self.tr("Wrapped or unwrapped"),
            "spritz": self.tr("Spritzed"),
            "fuel": self.tr("Fuel added"),
            "probe": self.tr("Probe moved, made lead, or its readings struck"),
            "note": self.tr("Note"),
            "photo": self.tr("Photo"),
            "alarm": self.tr("Alarm; the bar lasts until it was answered"),
            "stage": self.tr("Start or end of the cook, or a change of stage"),
        }
