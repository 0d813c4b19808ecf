"""How good the forecasts of the finished cooks were: a table of four moments, with what it means."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt, QTimer, Slot
from PySide6.QtGui import QHideEvent, QResizeEvent
from PySide6.QtWidgets import (
    QCheckBox,
    QLabel,
    QTableWidgetItem,
    QWidget,
)

from smokejournal.cook.learning import track_record_words as words
from smokejournal.cook.learning.came_in import tenths_meaning, tenths_words
from smokejournal.cook.learning.track_record import MOMENTS
from smokejournal.cook.log.entries import AlarmRaised, ClockSet, Computed
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.error_words import cure_of, message_of
from smokejournal.desk.base.refresher import Refresher
from smokejournal.desk.base.tables import FITTED, PlainTable, fit_height
from smokejournal.desk.base.widgets import new_column, new_label, say
from smokejournal.desk.forecast.tenths_picture import TenthsPicture
from smokejournal.services.forecast.track_record import Judged, Walk

SOON_MS = 250
#: How often it is said how far the reading is [ms].
LOOK_MS = 200


class TrackRecordPanel(QWidget):
    """It reads while it is in sight, in the background, and stops when it goes out of sight."""

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("forecastRecord")
        self._context = context
        self._walk: Walk | None = None
        self._judged: Judged | None = None
        column = new_column(self, spacing=8, margins=0)
        self._column = column
        self._label("recordTitle", "section").setText(self.tr("How good the forecasts were"))
        self.progress = self._label("recordProgress", "faint")
        self.above = self._label("recordAbove")
        self._build_table()
        self.tenths = TenthsPicture(self)
        column.addWidget(self.tenths)
        self.tenths_said = self._label("recordTenthsSaid")
        self.simulated = QCheckBox(self.tr("&Simulated cooks (practice and demo) instead"), self)
        self.simulated.setObjectName("recordSimulated")
        self.simulated.setVisible(False)
        self.simulated.toggled.connect(self._show_judged)
        column.addWidget(self.simulated)
        self.missing = self._label("recordNotCounted")
        self.meaning = [self._label(f"recordMeaning{n}", "faint") for n in range(4)]
        for label, text in zip(self.meaning, (tenths_meaning(), *words.meaning()), strict=True):
            label.setText(text)
        column.addStretch(1)
        self._hide_answer()
        self._refresher = Refresher(
            self, context, self._ask, self._on_judged, self._on_failed, soon_ms=SOON_MS
        )
        self._looking = QTimer(self)
        self._looking.setInterval(LOOK_MS)
        self._looking.timeout.connect(self._show_progress)
        context.cook_changed.connect(self._on_changed)

    def _label(self, name: str, kind: str = "") -> QLabel:
        label = new_label(self, name=name, kind=kind, wraps=True)
        self._column.addWidget(label)
        return label

    def _build_table(self) -> None:
        self.table = PlainTable(
            self,
            "recordTable",
            self.tr("How good the forecasts were, by part of the way"),
            words.heads(),
            columns=FITTED,
        )
        self.table.setRowCount(len(MOMENTS))
        self.table.setWordWrap(False)
        # As high as its rows: what it stands in scrolls.
        self.table.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._column.addWidget(self.table)

    # -- asking ------------------------------------------------------------------------------

    def hideEvent(self, event: QHideEvent) -> None:
        """Nobody waits for it any more."""
        super().hideEvent(event)
        if self._walk is not None and not event.spontaneous():
            self._walk.cancel()
            self._refresher.mark()

    @Slot(object)
    def _on_changed(self, change: object) -> None:
        entries = getattr(change, "entries", ())
        if any(not isinstance(entry.what, Computed | AlarmRaised | ClockSet) for entry in entries):
            self._refresher.mark()

    def _ask(self) -> Callable[[], Judged | None]:
        self._walk = self._context.forecasts.track_record.walk()
        self._looking.start()
        self._show_progress()
        return self._walk.run

    def _on_judged(self, judged: Judged | None) -> None:
        self._end_walk()
        if judged is not None:
            self._judged = judged
            self._show_judged()

    def _on_failed(self, error: BaseException) -> None:
        self._end_walk()
        # It is asked again when it is next shown.
        self._refresher.stale = True
        say(self.progress, f"{message_of(error) or ''} {cure_of(error)}".strip())

    def _end_walk(self) -> None:
        self._walk = None
        self._looking.stop()
        self.progress.setVisible(False)

    # -- showing -----------------------------------------------------------------------------

    @Slot()
    def _show_progress(self) -> None:
        walk = self._walk
        # What is shown already stays while it is read again.
        if walk is None or self._judged is not None:
            return
        text = self.tr("Reading the finished cooks…")
        if walk.total:
            text = self.tr("Reading the finished cooks: {n} of {all}").format(
                n=walk.done, all=walk.total
            )
        say(self.progress, text)

    def _hide_answer(self) -> None:
        for widget in (
            self.progress,
            self.above,
            self.table,
            self.tenths,
            self.tenths_said,
            self.missing,
            *self.meaning,
        ):
            widget.setVisible(False)

    @Slot()
    def _show_judged(self) -> None:
        judged = self._judged
        if judged is None:
            return
        self.simulated.setVisible(bool(judged.simulated.finished))
        simulated = self.simulated.isChecked() and bool(judged.simulated.finished)
        record = judged.simulated if simulated else judged.real
        said = [words.simulated_note()] if simulated else []
        said.append(words.above(record))
        if not simulated and not record.cooks and judged.simulated.cooks:
            said.append(self.tr("Check the box to look at the simulated ones."))
        say(self.above, " ".join(said))
        self.table.setVisible(bool(record.cooks))
        for n, moment in enumerate(record.moments):
            for place, text in enumerate(words.row(moment)):
                item = QTableWidgetItem(text)
                item.setFlags(Qt.ItemFlag.ItemIsEnabled)
                item.setTextAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)
                self.table.setItem(n, place, item)
        self._fit()
        self.tenths.show_counts(record.tenths)
        self.tenths.setVisible(any(record.tenths))
        self.tenths_said.setText(tenths_words(record.tenths))
        self.tenths_said.setVisible(bool(record.cooks))
        missing = words.not_counted(record)
        say(self.missing, missing)
        for label in self.meaning:
            label.setVisible(bool(record.cooks))
        self.meaning[0].setVisible(any(record.tenths))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """A narrow table needs room for a bar to scroll with."""
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        """The table just as high as what is in it."""
        self.table.resizeRowsToContents()
        header = self.table.horizontalHeader()
        wide = sum(
            max(self.table.sizeHintForColumn(n), header.sectionSizeHint(n))
            for n in range(header.count())
        )
        fit_height(self.table, wide <= self.table.viewport().width())
