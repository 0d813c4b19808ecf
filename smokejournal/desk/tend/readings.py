"""The readings, in figures that can be read from two meters, each with its age and its trend."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QFont, QResizeEvent
from PySide6.QtWidgets import (
    QFrame,
    QGridLayout,
    QLabel,
    QSizePolicy,
    QWidget,
)

from smokejournal.cook.progress.readout import Readout, first_sentence
from smokejournal.desk.base.theme import AIR_PX, LEAD_PX, OTHER_PX, set_kind
from smokejournal.desk.base.widgets import FILL, new_column, new_label, new_row
from smokejournal.desk.parts.short_label import ShortLabel

LEAST_WIDTH_PX = 196
#: How much smaller the figures are in a low window.
CLOSE = 0.75
GAP_PX = 8
MARGIN_PX = 4


class ReadoutView(QFrame):
    """One channel."""

    def __init__(self, key: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName(f"readout_{key}")
        # A view takes its share of the width and asks for none, so that all stay equally wide.
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self._name = ShortLabel(self)
        self._name.setObjectName(f"{self.objectName()}Name")
        self._name.setProperty("kind", "section")
        # "side of trout 1" and "side of trout 2" must not both read "side of t…".
        self._name.cut_in_the_middle()
        self._mark = self._label("Mark", "mark")
        self._figure = self._label("Figure", "big")
        # A figure that changes leaves the others where they are.
        font = self._figure.font()
        font.setFeature(QFont.Tag("tnum"), 1)
        self._figure.setFont(font)
        self._unit = self._label("Unit", "detailfaint")
        self._age = self._label("Age", "detail")
        self._trend = self._label("Trend", "detail", ShortLabel)
        self._words = self._label("Words", "detailfaint")
        self._words.setWordWrap(True)
        self._words.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        head = self._head = new_row(None, self._name, spacing=6)
        # Where there is too little room the name is cut, not what it is to the schedule.
        head.addWidget(self._mark, 1)
        self._size = (0, 0, 0)
        self._row = QWidget(self)
        figure = new_row(self._row, spacing=4, margins=0)
        figure.addWidget(self._figure, 0, Qt.AlignmentFlag.AlignBottom)
        figure.addWidget(self._unit, 0, Qt.AlignmentFlag.AlignBottom)
        figure.addStretch(1)
        facts = self._facts = new_row(None, self._age, (self._trend, 1), spacing=8)
        new_column(
            self,
            head,
            self._row,
            facts,
            self._words,
            FILL,
            spacing=0,
            margins=(0, 0, MARGIN_PX, 0),
        )

    def set_size(self, px: int, row_px: int, text_px: int = 0) -> None:
        """The figure's size, in a row as high as the largest figure: what is below stays level.
        `text_px`: the size of all else; 0 for the usual sizes."""
        if (px, row_px, text_px) == self._size:
            return
        self._size = (px, row_px, text_px)
        sheet = f"font-size: {text_px}px;" if text_px else ""
        for label in (self._name, self._mark, self._unit, self._age, self._trend, self._words):
            label.setStyleSheet(sheet)
        self._head.setSpacing(max(6, text_px // 2))
        self._facts.setSpacing(max(8, text_px // 2))
        self._figure.setStyleSheet(f"font-size: {px}px;")
        self._figure.ensurePolished()
        # Figures have no descenders, and the room for them is a third of a line of text.
        self._figure.setFixedHeight(self._figure.fontMetrics().ascent() + 2)
        self._row.setFixedHeight(row_px)

    def show_readout(self, readout: Readout, *, close: bool = False) -> None:
        """Show it. What is not current is shown faint, with its age and what to do."""
        self._name.setText(readout.name)
        self._mark.setText(self.marks(readout))
        self._figure.setText(readout.figure)
        self._unit.setText(readout.unit)
        self._age.setText(readout.age)
        self._age.setMinimumWidth(self._age.fontMetrics().horizontalAdvance("115 s ago"))
        self._trend.setText(readout.trend)
        words = readout.remark or readout.correction
        # In a low window what is wrong stands here in its first sentence; above it stands in full.
        self._words.setText(first_sentence(words) if close else words)
        set_kind(self._words, "detailproblem" if readout.remark else "detailfaint")
        set_kind(self._figure, "big" if readout.current else "bigfaint")
        self.setAccessibleName(readout.text)

    def marks(self, readout: Readout) -> str:
        """What stands beside the name: what it is to the schedule, and whether it is simulated."""
        marks = [readout.mark, self.tr("SIMULATED") if readout.simulated else ""]
        return " ".join(mark for mark in marks if mark)

    def words_height(self, width: int) -> int:
        """How high the words below are at a width."""
        # What was kept before is no measure of what is needed now.
        self._words.setMinimumHeight(0)
        return self._words.heightForWidth(max(1, width)) if self._words.text() else 0

    def keep_words_height(self, height: int) -> None:
        """Keep this much room for the words below."""
        self._words.setFixedHeight(height)

    def _label(self, name: str, kind: str, sort: type[QLabel] = QLabel) -> QLabel:
        label = sort(self)
        label.setObjectName(f"{self.objectName()}{name}")
        if kind:
            label.setProperty("kind", kind)
        return label


class ReadingsPanel(QWidget):
    """All channels side by side, in as many rows as the width asks for."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("readings")
        self.setAccessibleName(self.tr("Readings"))
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(GAP_PX)
        self._grid.setVerticalSpacing(8)
        self._views: dict[str, ReadoutView] = {}
        self._columns = 0
        self._arranged = False
        self._close = False
        self._scale = 1.0
        self._none = new_label(
            self,
            self.tr("No probe yet. Press R to write down a reading, or set up a probe on Bench."),
            name="readingsNone",
            kind="faint",
            wraps=True,
        )
        self._grid.addWidget(self._none, 0, 0, 1, -1)

    def set_scale(self, scale: float, *, close: bool = False) -> None:
        """Figures so much larger than usual, or `close` in a low window, from the next readouts on."""
        self._scale, self._close = scale, close

    def show_readouts(self, readouts: tuple[Readout, ...]) -> None:
        """Show these, in this order."""
        keys = [readout.key for readout in readouts]
        if keys != list(self._views):
            self._take_channels(keys)
        sizes = [self._figure_px(readout) for readout in readouts]
        row_px = round(1.05 * max(sizes, default=0))
        for readout, px in zip(readouts, sizes, strict=True):
            view = self._views[readout.key]
            view.set_size(px, row_px)
            view.show_readout(readout, close=self._close)
        self._arrange()

    def _figure_px(self, readout: Readout) -> int:
        """The lead is looked at most, the air outside least."""
        scale = self._scale * (CLOSE if self._close else 1.0)
        if readout.leads:
            return round(LEAD_PX * scale)
        return round((AIR_PX if readout.role == "air" else OTHER_PX) * scale)

    def _take_channels(self, keys: list[str]) -> None:
        """Other channels, or the same in another order."""
        before = self._views
        for view in before.values():
            self._grid.removeWidget(view)
        self._views = {key: before.get(key) or ReadoutView(key, self) for key in keys}
        for key, view in before.items():
            if key not in self._views:
                view.setParent(None)
                view.deleteLater()
        self._none.setVisible(not keys)
        self._arranged = False

    def minimumSizeHint(self) -> QSize:
        """Wide enough for one channel: more of them go below each other."""
        return QSize(LEAST_WIDTH_PX, super().minimumSizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Put as many side by side as there is room for."""
        super().resizeEvent(event)
        self._arrange()

    def _arrange(self) -> None:
        if not self._views:
            return
        fitting = max(1, self.width() // LEAST_WIDTH_PX)
        columns = min(fitting, len(self._views))
        if len(self._views) > columns:
            # Rows of one length look calmer than a full one and a rest.
            rows = -(-len(self._views) // columns)
            columns = -(-len(self._views) // rows)
        # The same room below each, so that they stay level; it changes only when a status does.
        width = (self.width() - (columns - 1) * GAP_PX) // columns - MARGIN_PX
        height = max(view.words_height(width) for view in self._views.values())
        for view in self._views.values():
            view.keep_words_height(height)
        if self._arranged and columns == self._columns:
            return
        self._arranged = True
        for column in range(max(columns, self._columns)):
            self._grid.setColumnStretch(column, 1 if column < columns else 0)
        self._columns = columns
        for n, view in enumerate(self._views.values()):
            self._grid.addWidget(view, n // columns, n % columns)
            view.show()
