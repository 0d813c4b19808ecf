"""The stages of a schedule as a list: chosen, and put in order by dragging or with Alt and arrows."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRect, QSize, Qt, Signal, Slot
from PySide6.QtGui import (
    QColor,
    QDragMoveEvent,
    QDropEvent,
    QFont,
    QFontMetrics,
    QKeyEvent,
    QPainter,
)
from PySide6.QtWidgets import (
    QAbstractItemView,
    QListWidget,
    QListWidgetItem,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QWidget,
)

from smokejournal.desk.base.theme import GROUNDS

KEY_ROLE = Qt.ItemDataRole.UserRole
WORDS_ROLE = Qt.ItemDataRole.UserRole + 1
MARK_ROLE = Qt.ItemDataRole.UserRole + 2
_PAD = 8


@dataclass(frozen=True, slots=True)
class StageRow:
    """What is shown of a stage: its name, what it does, and a short mark at the right."""

    key: str
    name: str
    words: str
    mark: str = ""


class _LineDelegate(QStyledItemDelegate):
    """Name in bold with its mark, what it does below, wrapped."""

    ground = GROUNDS["day"]

    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionViewItem,
        index: QModelIndex | QPersistentModelIndex,
    ) -> None:
        painter.save()
        state = option.state
        rect: QRect = option.rect
        chosen = bool(state & QStyle.StateFlag.State_Selected)
        ground = self.ground
        raised = QColor(ground.raised)
        painter.fillRect(rect, _mixed(raised, QColor(ground.line), 0.35) if chosen else raised)
        if chosen:
            painter.fillRect(QRect(rect.left(), rect.top(), 4, rect.height()), QColor(ground.ember))
        ink = QColor(ground.ink)
        inner = rect.adjusted(_PAD, 5, -_PAD, -5)
        bold = QFont(option.font)
        bold.setBold(True)
        metrics = QFontMetrics(bold)
        mark = str(index.data(MARK_ROLE) or "")
        painter.setPen(ink if chosen else QColor(ground.ember))
        plain = QFontMetrics(option.font)
        room = inner.width()
        if mark:
            width = plain.horizontalAdvance(mark)
            painter.drawText(inner, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop, mark)
            room -= width + _PAD
        painter.setPen(ink)
        painter.setFont(bold)
        name = str(index.data(Qt.ItemDataRole.DisplayRole) or "")
        shown = metrics.elidedText(name, Qt.TextElideMode.ElideRight, room)
        painter.drawText(inner, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop, shown)
        painter.setFont(option.font)
        painter.setPen(ink if chosen else QColor(ground.faint))
        below = inner.adjusted(0, metrics.height() + 2, 0, 0)
        painter.drawText(below, int(Qt.TextFlag.TextWordWrap), str(index.data(WORDS_ROLE) or ""))
        painter.setPen(QColor(ground.line))
        painter.drawLine(rect.bottomLeft(), rect.bottomRight())
        if state & QStyle.StateFlag.State_HasFocus:
            painter.setPen(QColor(ground.ember))
            painter.drawRect(rect.adjusted(1, 1, -2, -2))
        painter.restore()

    def sizeHint(
        self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> QSize:
        view = self.parent()
        width = view.viewport().width() if isinstance(view, QAbstractItemView) else 240
        metrics = QFontMetrics(option.font)
        words = metrics.boundingRect(
            QRect(0, 0, max(60, width - 2 * _PAD), 10_000),
            int(Qt.TextFlag.TextWordWrap),
            str(index.data(WORDS_ROLE) or ""),
        )
        return QSize(width, metrics.height() + words.height() + 16)


class StageList(QListWidget):
    """`chosen(key)` when another stage is chosen; `move_asked(key, place)` to put it elsewhere.

    `disordered` when a row went that nobody asked to go: show the lines again.
    """

    chosen = Signal(str)
    move_asked = Signal(str, int)
    remove_asked = Signal()
    disordered = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("stageList")
        self.setAccessibleName(self.tr("Stages"))
        self.setDragDropMode(QAbstractItemView.DragDropMode.InternalMove)
        self.setDefaultDropAction(Qt.DropAction.MoveAction)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setResizeMode(QListWidget.ResizeMode.Adjust)
        self._delegate = _LineDelegate(self)
        self.setItemDelegate(self._delegate)
        self._quiet = False
        self.model().rowsRemoved.connect(self._on_rows_removed)
        self.currentRowChanged.connect(self._on_row)

    def set_ground(self, name: str) -> None:
        """Draw on this ground."""
        self._delegate.ground = GROUNDS[name]
        self.viewport().update()

    def show_lines(
        self, lines: Sequence[StageRow], chosen: str, fixed: Collection[str] = ()
    ) -> None:
        """Show these stages and choose one; `fixed` ones can't be dragged."""
        self._quiet = True
        while self.count() > len(lines):
            self.takeItem(self.count() - 1)
        while self.count() < len(lines):
            self.addItem(QListWidgetItem())
        for row, line in enumerate(lines):
            item = self.item(row)
            item.setText(f"{row + 1}  {line.name}")
            item.setData(KEY_ROLE, line.key)
            # A number is not torn from its unit.
            item.setData(WORDS_ROLE, line.words.replace(" °", "\u00a0°"))
            item.setData(MARK_ROLE, line.mark)
            item.setData(
                Qt.ItemDataRole.AccessibleTextRole,
                ", ".join(part for part in (line.name, line.words, line.mark) if part),
            )
            flags = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable
            if line.key not in fixed:
                flags |= Qt.ItemFlag.ItemIsDragEnabled
            item.setFlags(flags)
            if line.key == chosen:
                self.setCurrentRow(row)
        self._quiet = False
        self.doItemsLayout()

    def key(self) -> str:
        """The key of the stage chosen; empty where there is none."""
        item = self.currentItem()
        return "" if item is None else str(item.data(KEY_ROLE))

    def key_words(self) -> tuple[tuple[str, str], ...]:
        """For the list of keys."""
        return (
            ("Alt+Up", self.tr("In the list of stages: move the stage up")),
            ("Alt+Down", self.tr("In the list of stages: move the stage down")),
            ("Del", self.tr("In the list of stages: remove the stage")),
        )

    def keyPressEvent(self, event: QKeyEvent) -> None:
        alt = bool(event.modifiers() & Qt.KeyboardModifier.AltModifier)
        if alt and event.key() in (Qt.Key.Key_Up, Qt.Key.Key_Down) and self.key():
            step = -1 if event.key() == Qt.Key.Key_Up else 1
            self.move_asked.emit(self.key(), self.currentRow() + step)
            return
        if event.key() == Qt.Key.Key_Delete:
            self.remove_asked.emit()
            return
        super().keyPressEvent(event)

    def dropEvent(self, event: QDropEvent) -> None:
        position = event.position().toPoint()
        target = self.itemAt(position)
        place = self.count()
        if target is not None:
            place = self.row(target)
            if position.y() > self.visualItemRect(target).center().y():
                place += 1
        if place > self.currentRow():
            place -= 1
        event.setDropAction(Qt.DropAction.CopyAction)
        event.accept()
        self.move_asked.emit(self.key(), place)

    def dragMoveEvent(self, event: QDragMoveEvent) -> None:
        super().dragMoveEvent(event)
        # The draft moves the stage. Told that it is a copy, Qt leaves the dragged row where it is.
        # (startDrag is left alone: wrapped in Python it would hold up every thread while dragging.)
        if event.isAccepted():
            event.setDropAction(Qt.DropAction.CopyAction)
            event.accept()

    @Slot()
    def _on_rows_removed(self) -> None:
        if not self._quiet:
            self.disordered.emit()

    def resizeEvent(self, event: object) -> None:
        super().resizeEvent(event)  # type: ignore[arg-type]
        self.scheduleDelayedItemsLayout()

    def _on_row(self, _row: int) -> None:
        if not self._quiet:
            self.chosen.emit(self.key())


def _mixed(one: QColor, other: QColor, share: float) -> QColor:
    """`one` with a share of `other`; enough to be seen, not enough to hide the ink."""
    parts = [
        round(a + (b - a) * share)
        for a, b in zip(one.getRgb()[:3], other.getRgb()[:3], strict=True)  # type: ignore[index]
    ]
    return QColor(*parts)
