"""The log as a list: the latest on top, what was struck crossed out and still there to read."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import (
    QAbstractListModel,
    QModelIndex,
    QPersistentModelIndex,
    QRect,
    QSize,
    Qt,
    Signal,
    Slot,
)
from PySide6.QtGui import QColor, QFont, QKeyEvent, QPainter, QPen
from PySide6.QtWidgets import (
    QFrame,
    QListView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QWidget,
)

from smokejournal.cook.log.log_lines import LogLine
from smokejournal.desk.base.theme import GROUNDS, Ground
from smokejournal.desk.base.widgets import new_button, new_column, new_label, new_row

Index = QModelIndex | QPersistentModelIndex
LINE_ROLE = Qt.ItemDataRole.UserRole


class LogModel(QAbstractListModel):
    """Lines of the log for the list."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._lines: tuple[LogLine, ...] = ()

    def set_lines(self, lines: tuple[LogLine, ...]) -> None:
        """Show these lines."""
        self.beginResetModel()
        self._lines = lines
        self.endResetModel()

    def line(self, index: Index) -> LogLine | None:
        """The line at an index."""
        return self._lines[index.row()] if index.isValid() else None

    def row_of(self, key: tuple[int | None, str | None, float]) -> int | None:
        """Where the line with this key stands."""
        return next((n for n, line in enumerate(self._lines) if line.key == key), None)

    def row_of_entry(self, entry_id: int) -> int | None:
        """Where the line of this entry stands."""
        return next((n for n, line in enumerate(self._lines) if line.entry_id == entry_id), None)

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's own signature
        """How many lines there are."""
        return 0 if parent.isValid() else len(self._lines)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """A line as text, and as it is for the delegate."""
        if not index.isValid() or index.row() >= len(self._lines):
            return None
        line = self._lines[index.row()]
        if role == Qt.ItemDataRole.DisplayRole:
            return f"{line.time}  {line.text}"
        if role == Qt.ItemDataRole.ToolTipRole:
            return f"{line.day}, {line.time}\n{line.text}"
        if role == Qt.ItemDataRole.AccessibleTextRole:
            struck = self.tr("struck") if line.struck_by is not None else ""
            return " ".join(part for part in (line.time, line.text, struck) if part)
        return line if role == LINE_ROLE else None


class LineDelegate(QStyledItemDelegate):
    """A line as in a log book: the time in a column of its own, what was said beside it, wrapped."""

    MARGIN = 6
    GAP = 10

    def __init__(self, parent: QListView) -> None:
        super().__init__(parent)
        self.faint = QColor(GROUNDS["day"].faint)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """Draw a line."""
        line = index.data(LINE_ROLE)
        if line is None:
            return
        chosen = bool(option.state & QStyle.StateFlag.State_Selected)
        palette, box = option.palette, option.rect
        painter.save()
        if chosen:
            painter.fillRect(box, palette.highlight())
        inner = box.adjusted(self.MARGIN, 3, -self.MARGIN, -3)
        font = QFont(option.font)
        painter.setFont(font)
        ink = palette.highlightedText() if chosen else palette.text()
        faint = palette.highlightedText().color() if chosen else self.faint
        struck = line.struck_by is not None
        painter.setPen(QPen(faint))
        painter.drawText(inner, self._flags(), line.time)
        font.setStrikeOut(struck)
        painter.setFont(font)
        painter.setPen(QPen(faint if struck else ink.color()))
        words = inner.adjusted(self._time_width(option), 0, 0, 0)
        painter.drawText(words, self._flags(), line.text)
        painter.restore()

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        """As high as its wrapped words."""
        line = index.data(LINE_ROLE)
        view = self.parent()
        width = view.viewport().width() if isinstance(view, QListView) else 300
        room = QRect(0, 0, width - 2 * self.MARGIN - self._time_width(option), 10_000)
        metrics = option.fontMetrics
        text = line.text if line is not None else ""
        height = metrics.boundingRect(room, self._flags(), text).height()
        return QSize(width, max(height, metrics.height()) + 6)

    def _time_width(self, option: QStyleOptionViewItem) -> int:
        metrics = option.fontMetrics
        view = self.parent()
        widest = (view.property("widestTime") if view is not None else None) or "00:00"
        return int(metrics.horizontalAdvance(str(widest))) + self.GAP

    @staticmethod
    def _flags() -> int:
        return (
            Qt.TextFlag.TextWordWrap.value
            | Qt.AlignmentFlag.AlignLeft.value
            | Qt.AlignmentFlag.AlignTop.value
        )


class _LogView(QListView):
    struck = Signal()

    def key_words(self) -> tuple[tuple[str, str], ...]:
        """For the list of keys."""
        return (("Del", self.tr("In the log: strike the chosen line")),)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Delete strikes; letters are not for searching here, they are the page's."""
        if event.key() in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
            self.struck.emit()
        elif event.text() and event.text().isprintable():
            event.ignore()
        else:
            super().keyPressEvent(event)


class LogList(QFrame):
    """The list with its buttons: undo, redo, strike or bring back."""

    strike_asked = Signal(object)
    restore_asked = Signal(object)
    undo_asked = Signal()
    redo_asked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("logList")
        self.setAccessibleName(self.tr("Log"))
        self._model = LogModel(self)
        self._view = _LogView(self)
        self._view.setObjectName("logView")
        self._view.setAccessibleName(self.tr("Log, latest first"))
        self._view.setModel(self._model)
        self._view.setWordWrap(True)
        self._view.setUniformItemSizes(False)
        self._view.setLayoutMode(QListView.LayoutMode.Batched)
        self._view.setBatchSize(40)
        self._view.setResizeMode(QListView.ResizeMode.Adjust)
        self._view.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._view.setTextElideMode(Qt.TextElideMode.ElideNone)
        self._delegate = LineDelegate(self._view)
        self._view.setItemDelegate(self._delegate)
        self._view.setMinimumHeight(60)
        self._view.struck.connect(self._strike)
        self._view.selectionModel().selectionChanged.connect(self._show_buttons)
        self._title = new_label(self, self.tr("Log"), kind="section")
        self._undo = new_button(
            self, self.tr("Undo"), name="logUndo", kind="quiet", hears=self.tr("Undo (Ctrl+Z)")
        )
        self._redo = new_button(
            self,
            self.tr("Redo"),
            name="logRedo",
            kind="quiet",
            hears=self.tr("Redo (Ctrl+Shift+Z)"),
        )
        self._strike_button = new_button(
            self,
            self.tr("Strike"),
            name="logStrike",
            kind="quiet",
            hears=self.tr("Strike (Delete)"),
        )
        # As wide as the longer of its two names, so that nothing moves when it changes.
        self._strike_button.setText(self.tr("Bring back"))
        self._strike_button.setMinimumWidth(self._strike_button.sizeHint().width())
        self._strike_button.setText(self.tr("Strike"))
        self._undo.clicked.connect(self.undo_asked)
        self._redo.clicked.connect(self.redo_asked)
        self._strike_button.clicked.connect(self._strike)
        head = new_row(
            None, (self._title, 1), self._strike_button, self._undo, self._redo, spacing=2
        )
        new_column(self, head, (self._view, 1), spacing=4, margins=0)
        self.set_undo("", "")
        self._show_buttons()

    def set_lines(self, lines: tuple[LogLine, ...]) -> None:
        """Show these lines, with the same one chosen as before."""
        chosen = self._chosen()
        at = self._view.verticalScrollBar().value()
        widest = "12:00 pm" if lines and lines[0].units.hours == "12" else "00:00"
        self._view.setProperty("widestTime", widest)
        self._model.set_lines(lines)
        row = self._model.row_of(chosen.key) if chosen is not None else None
        if row is not None:
            self._view.setCurrentIndex(self._model.index(row))
        self._view.verticalScrollBar().setValue(at)
        self._show_buttons()

    def set_undo(self, undo: str, redo: str) -> None:
        """What undo and redo would do, in words; empty where there is nothing."""
        for button, words in ((self._undo, undo), (self._redo, redo)):
            button.setEnabled(bool(words))
            button.setAccessibleDescription(words)
        self._undo.setToolTip(self.tr("Undo: {what}").format(what=undo) if undo else "")
        self._redo.setToolTip(self.tr("Redo: {what}").format(what=redo) if redo else "")

    def set_ground(self, ground: Ground) -> None:
        """Draw on this ground."""
        self._delegate.faint = QColor(ground.faint)
        self._view.viewport().update()

    @Slot(int)
    def choose_entry(self, entry_id: int) -> None:
        """Choose the line of an entry and bring it into sight."""
        row = self._model.row_of_entry(entry_id)
        if row is not None:
            self._view.setCurrentIndex(self._model.index(row))
            self._view.scrollTo(self._model.index(row))

    def _chosen(self) -> LogLine | None:
        """The line that is seen to be chosen. Focus alone makes a line the current one, unseen."""
        return next((self._model.line(i) for i in self._view.selectedIndexes()), None)

    @Slot()
    def _strike(self) -> None:
        line = self._chosen()
        if line is None or line.fixed:
            return
        if line.struck_by is None:
            self.strike_asked.emit(line)
        else:
            self.restore_asked.emit(line)

    @Slot()
    def _show_buttons(self) -> None:
        line = self._chosen()
        self._strike_button.setEnabled(line is not None and not line.fixed)
        back = line is not None and line.struck_by is not None
        self._strike_button.setText(self.tr("Bring back") if back else self.tr("Strike"))
