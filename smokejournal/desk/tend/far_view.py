"""Tend from across the patio: where the cook stands, when it is ready, what the probes say, what to do.

It shows what Tend shows, as large as the window allows, and asks nothing of its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from PySide6.QtCore import QRect, QSize, Qt, Signal, Slot
from PySide6.QtGui import QFont, QFontMetrics, QResizeEvent
from PySide6.QtWidgets import QFrame, QSizePolicy, QWidget

from smokejournal.cook.progress.readout import Readout
from smokejournal.cook.progress.sentence import Sentence
from smokejournal.desk.base.theme import FAR_LEAST_PX, FAR_PX, set_kind
from smokejournal.desk.base.widgets import new_button, new_column, new_row
from smokejournal.desk.parts.single_keys import SingleKeys
from smokejournal.desk.tend.fit_label import FitLabel
from smokejournal.desk.tend.readings import GAP_PX, MARGIN_PX, ReadingsPanel

#: The window in which everything has its least size [px].
LEAST_WIDTH_PX, LEAST_HEIGHT_PX = 1024, 600
#: Alarms, against their usual size, in that window.
ALARM_SCALE = 1.25
#: A reading's text against its figure, and every other figure against the lead's, at most.
TEXT_SHARE, OTHER_SHARE = 0.27, 0.75
#: With so few others the lead has half the width, else a third.
FEW = 3
#: When it is ready against the sentence, which is longer.
READY_SHARE = 1.4
#: So much of a name is never cut off.
NAME_LETTERS = 14
#: Room for the longest figures, ages and trends, so that nothing changes size as they do.
WIDEST_FIGURE, WIDEST_FACTS = "000.0", "115 s ago   down 20 °C/h"


class FarReadings(ReadingsPanel):
    """The lead at the left, the others beside it, each as large as there is room for."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("farReadings")
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        self._shown: tuple[Readout, ...] = ()
        self._placed: tuple[object, ...] = ()

    def minimumSizeHint(self) -> QSize:
        """It takes what is left."""
        return QSize(0, 0)

    def show_readouts(self, readouts: tuple[Readout, ...]) -> None:
        """Show these, in this order; what was corrected is said nearby."""
        self._shown = tuple(replace(readout, correction="") for readout in readouts)
        keys = [readout.key for readout in readouts]
        if keys != list(self._views):
            self._take_channels(keys)
        self._arrange()
        for readout in self._shown:
            self._views[readout.key].show_readout(readout)

    def _arrange(self) -> None:
        # Whatever a figure, an age or a trend says, all stays where it is.
        placed = (self.size(), *((r.key, r.remark, r.leads) for r in self._shown))
        if not self._shown or placed == self._placed:
            return
        self._placed = placed
        lead = [readout for readout in self._shown if readout.leads]
        others = [readout for readout in self._shown if not readout.leads]
        side = self.width() // (2 if len(others) <= FEW else 3) if lead and others else 0
        gap = max(GAP_PX, self.width() // 50)
        self._grid.setHorizontalSpacing(gap)
        self._grid.setVerticalSpacing(gap)
        lead_width = side - gap if side else self.width()
        lead_px = self._largest(lead, lead_width, self.height())
        columns, px = 1, 0
        for count in range(1, len(others) + 1):
            rows = -(-len(others) // count)
            width = (self.width() - side) // count - gap
            found = self._largest(others, width, self.height() // rows - gap)
            if found > px:
                columns, px = count, found
        if lead:
            px = min(px, round(OTHER_SHARE * lead_px))
        width = (self.width() - side) // columns - gap
        self._place(
            lead,
            others,
            columns,
            (lead_px, self._text_px(lead, lead_px, lead_width)),
            (px, self._text_px(others, px, width)),
        )

    def _place(
        self,
        lead: Sequence[Readout],
        others: Sequence[Readout],
        columns: int,
        lead_px: tuple[int, int],
        other_px: tuple[int, int],
    ) -> None:
        """Sizes are those of the figure and of its text [px]."""
        rows = max(1, -(-len(others) // columns))
        for n in range(max(self._grid.columnCount(), columns + 1)):
            self._grid.setColumnStretch(n, 0)
        for n in range(max(self._grid.rowCount(), rows)):
            self._grid.setRowStretch(n, 1 if n < rows else 0)
        for readout in lead:
            self._grid.addWidget(self._views[readout.key], 0, 0, rows, 1)
            self._grid.setColumnStretch(0, columns)
        for n, readout in enumerate(others):
            row, column = n // columns, n % columns + len(lead)
            self._grid.addWidget(self._views[readout.key], row, column)
            self._grid.setColumnStretch(column, 1)
        for readout in (*lead, *others):
            view = self._views[readout.key]
            px, text_px = lead_px if readout.leads else other_px
            view.set_size(px, round(1.05 * px), text_px)
            view.show_readout(readout)
            view.keep_words_height(view.words_height(view.width() - MARGIN_PX))
            view.show()

    def _largest(self, readouts: Sequence[Readout], width: int, height: int) -> int:
        """The largest figure [px] with which each of these has room in so much; the least at least."""
        low, high = FAR_LEAST_PX, max(FAR_LEAST_PX, height)
        while readouts and low < high:
            middle = (low + high + 1) // 2
            text_px = self._text_px(readouts, middle, width)
            if all(self._fits(readout, middle, text_px, width, height) for readout in readouts):
                low = middle
            else:
                high = middle - 1
        return low

    def _text_px(self, readouts: Sequence[Readout], px: int, width: int) -> int:
        """How large the text of figures of `px` is in so much width, the same for all of these."""
        text = QFontMetrics(_bold(self.font(), px))
        widest = max((self._widest(readout, text) for readout in readouts), default=1)
        return max(FAR_LEAST_PX, int(px * min(TEXT_SHARE, (width - MARGIN_PX) / widest)))

    def _widest(self, readout: Readout, text: QFontMetrics) -> int:
        """What the name with its marks, the age and the trend need [px]."""
        named = f"{readout.name[:NAME_LETTERS]}   {self._views[readout.key].marks(readout)}"
        return max(text.horizontalAdvance(words) for words in (named, WIDEST_FACTS))

    def _fits(self, readout: Readout, px: int, text_px: int, width: int, height: int) -> bool:
        figure = QFontMetrics(_bold(self.font(), px))
        text = QFontMetrics(_bold(self.font(), text_px))
        room = width - MARGIN_PX
        wide = figure.horizontalAdvance(WIDEST_FIGURE) + text.horizontalAdvance(f" {readout.unit}")
        if max(wide, self._widest(readout, text)) > room:
            return False
        words = text.boundingRect(
            QRect(0, 0, room, 10_000), int(Qt.TextFlag.TextWordWrap), readout.remark
        )
        below = words.height() if readout.remark else 0
        return round(1.05 * px) + 2 * text.height() + below + 4 <= height


def _bold(font: QFont, px: int) -> QFont:
    bold = QFont(font)
    bold.setPixelSize(px)
    bold.setWeight(QFont.Weight.DemiBold)
    return bold


class FarView(QFrame):
    """See the module. `leave_asked` by Escape or the button."""

    leave_asked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("farView")
        self.setAccessibleName(self.tr("Far view"))
        self._head = self._label("farHead", self.tr("Where the cook stands"), "")
        self._ready = self._label("farReady", self.tr("When it is ready"), "ready")
        self._readings = FarReadings(self)
        self._do = self._label("farToDo", self.tr("What to do now"), "section")
        self._back = new_button(
            self, self.tr("Back to Tend  Esc"), name="farBack", hears=self.tr("Back to Tend")
        )
        self._back.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self._back.clicked.connect(self.leave_asked)
        SingleKeys(self).add("Escape", self.leave_asked.emit, self.tr("Leave the far view"))
        self._column = new_column(self, self._head, self._ready, (self._readings, 1))
        row = self._row = new_row(None, (self._do, 1))
        row.addWidget(self._back, 0, Qt.AlignmentFlag.AlignBottom)
        self._column.addLayout(row)
        self._set_scale()

    def alarm_scale(self) -> float:
        """How many times as large alarms are written above it."""
        return ALARM_SCALE * self._scale()

    def show_sentence(self, said: Sentence) -> None:
        """Where the cook stands."""
        _set(self._head, said.head)

    @Slot(str, str)
    def show_ready(self, ready: str, rest: str) -> None:
        """When it is ready, with its interval, and below it that against when it is wanted."""
        _set(self._ready, "\n".join(line for line in (ready, rest) if line))

    @Slot(str, bool)
    def show_to_do(self, words: str, wrong: bool) -> None:
        """The one thing to do; `wrong` where it is about something that is."""
        set_kind(self._do, "problem" if wrong else "section")
        _set(self._do, words)

    def show_readouts(self, readouts: tuple[Readout, ...], *, over: bool) -> None:
        """What the probes say; nothing once the cook is `over`."""
        self._readings.show_readouts(() if over else readouts)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Write as large as the new size allows."""
        super().resizeEvent(event)
        self._set_scale()

    def _scale(self) -> float:
        window = self.window()
        return max(1.0, min(window.width() / LEAST_WIDTH_PX, window.height() / LEAST_HEIGHT_PX))

    def _set_scale(self) -> None:
        scale = self._scale()
        px, edge = round(FAR_PX * scale), round(16 * scale)
        self._head.set_size(px, 2)
        self._ready.set_size(round(READY_SHARE * px))
        self._do.set_size(px, 2)
        self._back.setStyleSheet(
            f"font-size: {round(px / 2)}px; padding: {round(px / 4)}px {round(px / 2)}px;"
        )
        self._column.setContentsMargins(edge, round(edge / 2), edge, round(edge / 2))
        self._column.setSpacing(round(edge / 2))
        self._row.setSpacing(edge)

    def _label(self, name: str, spoken: str, kind: str) -> FitLabel:
        label = FitLabel(self)
        label.setObjectName(name)
        label.setAccessibleName(spoken)
        label.setProperty("kind", kind)
        return label


def _set(label: FitLabel, text: str) -> None:
    if label.text() != text:
        label.setText(text)
        label.setAccessibleDescription(text)
