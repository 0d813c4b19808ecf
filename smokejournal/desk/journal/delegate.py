"""How a cook is drawn in the list: two lines, a small picture of its score, marks as dots."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRect, QRectF, QSize, Qt
from PySide6.QtGui import (
    QColor,
    QFont,
    QFontMetrics,
    QPainter,
    QPen,
    QTextCharFormat,
    QTextLayout,
    QTextOption,
)
from PySide6.QtWidgets import QStyle, QStyledItemDelegate, QStyleOptionViewItem

from smokejournal.desk.base.rows_model import AnyIndex
from smokejournal.desk.base.theme import GROUNDS, Ground
from smokejournal.desk.journal.model import LINE, MARKS, PICTURE, SECOND, WHEN
from smokejournal.desk.journal.pictures import ScorePictures, SmallTrace
from smokejournal.journal import CookLine

ROW_PX = 54
_PAD_PX = 8


class CookDelegate(QStyledItemDelegate):
    """Draws with the colors of a ground; the chosen row is shaded, not filled with ember."""

    def __init__(self, pictures: ScorePictures, parent: object = None) -> None:
        super().__init__(parent)  # type: ignore[arg-type]
        self._pictures = pictures
        self._ground: Ground = GROUNDS["day"]

    def set_ground(self, ground: Ground) -> None:
        """The colors from the next painting on."""
        self._ground = ground

    def sizeHint(self, option: QStyleOptionViewItem, index: AnyIndex) -> QSize:
        """Two lines high."""
        return QSize(super().sizeHint(option, index).width(), ROW_PX)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: AnyIndex) -> None:
        """Draw one cell."""
        ground = self._ground
        rect = option.rect
        state = option.state
        chosen = bool(state & QStyle.StateFlag.State_Selected)
        painter.save()
        if chosen:
            painter.fillRect(rect, QColor(ground.shade or ground.line))
            if index.column() == WHEN:
                painter.fillRect(QRect(rect.left(), rect.top(), 4, rect.height()), ground.ember)
        elif index.row() % 2:
            painter.fillRect(rect, QColor(ground.paper))
        if index.column() == PICTURE:
            line = index.data(LINE)
            if isinstance(line, CookLine):
                self._picture(painter, rect, self._pictures.of(line))
        else:
            # What is faint would be too faint on the shade.
            second = self._ground.ink if chosen else self._ground.faint
            self._words(
                painter, option, index, second, QRect(rect).adjusted(_PAD_PX + 2, 4, -_PAD_PX, -4)
            )
        painter.restore()

    def _words(
        self,
        painter: QPainter,
        option: QStyleOptionViewItem,
        index: AnyIndex,
        second_color: str,
        room: QRect,
    ) -> None:
        first = str(index.data(Qt.ItemDataRole.DisplayRole) or "")
        second = str(index.data(SECOND) or "")
        side = index.data(Qt.ItemDataRole.TextAlignmentRole)
        right = side is not None and bool(Qt.AlignmentFlag(side) & Qt.AlignmentFlag.AlignRight)
        align = Qt.AlignmentFlag.AlignRight if right else Qt.AlignmentFlag.AlignLeft
        large = QFont(index.data(Qt.ItemDataRole.FontRole) or option.font)
        small = QFont(option.font)
        small.setPixelSize(max(11, QFontMetrics(large).height() - 5))
        height = room.height() // 2 if second else room.height()
        for text, font, color, top in (
            (first, large, self._ground.ink, room.top()),
            (second, small, second_color, room.top() + height),
        ):
            if not text:
                continue
            painter.setFont(font)
            painter.setPen(QColor(color))
            line = QRect(room.left(), top, room.width(), height)
            shown = QFontMetrics(font).elidedText(text, Qt.TextElideMode.ElideRight, line.width())
            marks = index.data(MARKS) if text is second else None
            if marks:
                self._marked(painter, line, shown, font, marks)
            else:
                painter.drawText(line, int(align | Qt.AlignmentFlag.AlignVCenter), shown)

    def _marked(
        self, painter: QPainter, room: QRect, text: str, font: QFont, marks: list[tuple[int, int]]
    ) -> None:
        """The text with what was looked for in ink and underlined, which takes no more room."""
        layout = QTextLayout(text, font)
        # Lines are broken nowhere, and nothing in the text is markup.
        option = QTextOption()
        option.setWrapMode(QTextOption.WrapMode.NoWrap)
        layout.setTextOption(option)
        marked = QTextCharFormat()
        marked.setFontUnderline(True)
        marked.setForeground(QColor(self._ground.ink))
        ranges = []
        for at, to in marks:
            one = QTextLayout.FormatRange()
            # Qt counts in halves of 32 bits.
            one.start = len(text[:at].encode("utf-16-le")) // 2
            one.length = len(text[at:to].encode("utf-16-le")) // 2
            one.format = marked
            ranges.append(one)
        layout.setFormats(ranges)
        layout.beginLayout()
        written = layout.createLine()
        written.setLineWidth(room.width())
        layout.endLayout()
        top = room.top() + (room.height() - written.height()) / 2
        layout.draw(painter, QPointF(room.left(), top))

    def _picture(self, painter: QPainter, rect: QRect, traces: tuple[SmallTrace, ...]) -> None:
        room = QRectF(rect).adjusted(_PAD_PX, _PAD_PX, -_PAD_PX, -_PAD_PX)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for trace in traces:
            colors = self._ground.traces
            color, _ = colors[trace.ink % len(colors)]
            painter.setPen(QPen(QColor(color), 1.4))
            xs = room.left() + trace.x * room.width()
            ys = room.top() + trace.y * room.height()
            points = [QPointF(x, y) for x, y in zip(xs.tolist(), ys.tolist(), strict=True)]
            if len(points) > 1:
                painter.drawPolyline(points)
