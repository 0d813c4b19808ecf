"""An earlier cook beside the plan: what came of it, to take over piece by piece.

At first the one the plan was made from, else the newest with the same food; any finished one can be chosen.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import TypeAlias

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QGridLayout, QLabel, QPushButton, QWidget

from smokejournal.cook.log.cook_log import holding
from smokejournal.cook.log.entries import CookOpened, Note, Payload, ScheduleSet
from smokejournal.cook.plan.plan import plan_of
from smokejournal.cook.plan.prep_progress import LivedStep, prep_progress
from smokejournal.cook.summary.last_time import LastTimeLine, LastTimePart, last_time
from smokejournal.cook.summary.open_points import OpenPoint, open_points
from smokejournal.cook.summary.summary import Summary, summarize
from smokejournal.cook.text.quantities import date
from smokejournal.desk.base.background import in_background
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.error_words import why_of
from smokejournal.desk.base.widgets import FILL, new_button, new_column, new_label, new_row
from smokejournal.desk.parts.choice_box import ChoiceBox
from smokejournal.desk.parts.tall_scroll import TallScroll
from smokejournal.services.program.live import LiveCook

#: So many of the newest cooks are looked through.
MOST = 300
#: In so many of the like, the newest, it is looked for what is still open.
MOST_LIKE = 40

#: What is read of earlier cooks.
_Found: TypeAlias = tuple[Summary, tuple[LivedStep, ...], tuple[OpenPoint, ...]]


def _words(name: str) -> set[str]:
    """What a food is called, without its amounts and small words."""
    return {word for word in name.casefold().split() if len(word) > 3}


class LastTimePane(QWidget):
    """`said(payloads)`: these are to be written. `undo_asked`: take back what was written last."""

    said = Signal(object)
    undo_asked = Signal()

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("lastTimePane")
        self.setAccessibleName(self.tr("Last time"))
        self._context = context
        self._live: LiveCook | None = None
        self._read: tuple[int, Summary, tuple[LivedStep, ...], tuple[OpenPoint, ...]] | None = None
        self._asking: int | None = None
        self._like: tuple[int, ...] = ()
        self._typed = False
        self._taken = 0
        self._shown: tuple[tuple[LastTimePart, ...], bool] | None = None
        self.choice = ChoiceBox(self, name="lastTimeChoice", hears=self.tr("Earlier cook"))
        self.choice.activated.connect(self._on_chosen)
        self.title = self._label("lastTimeTitle", "section")
        self.trouble = self._label("lastTimeTrouble", "problem")
        self.undo = new_button(
            self, self.tr("Undo"), self._on_undo, name="lastTimeUndo", kind="quick"
        )
        self.undo.hide()
        self._scroll = TallScroll(self.tr("Last time"), self)
        foot = new_row(None, FILL, self.undo)
        new_column(
            self,
            self.choice,
            self.title,
            self.trouble,
            (self._scroll, 1),
            foot,
            spacing=8,
            margins=0,
        )
        context.units_changed.connect(self._show)

    def show_cook(self, live: LiveCook, *, typed: bool) -> bool:
        """Show an earlier cook; False where there is none. `typed`: there is a schedule that isn't
        saved yet, so that none can be taken over.
        """
        if live is not self._live:
            self._live, self._read, self._asking, self._taken = live, None, None, 0
            self.trouble.hide()
            self._offer(live)
        elif self._before() is None:
            self._offer(live)  # a food was added meanwhile, or a cook was closed
        self._typed = typed
        self._show()
        return self.choice.count() > 0

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._show()

    # -- inside -----------------------------------------------------------------------------

    def _before(self) -> int | None:
        chosen = self.choice.currentData()
        return chosen if isinstance(chosen, int) else None

    def _offer(self, live: LiveCook) -> None:
        """Every earlier cook that can be chosen, and the likeliest one chosen."""
        opened = live.opened
        again = None if opened is None else opened.again_of
        lines = [
            line
            for line in self._context.program.cooks(limit=MOST)
            if line.id != live.cook_id and (line.state == "finished" or line.id == again)
        ]
        self.choice.clear()
        for line in lines:
            day = date(line.day_s, line.zone, self._context.units)
            self.choice.addItem(
                self.tr("{title}, {day}").format(title=line.title, day=day), line.id
            )
        foods = {word for _, item in plan_of(live.log()).items for word in _words(item.name)}
        like = [
            line.id
            for line in lines
            if foods & {w for name, _ in line.pieces for w in _words(name)}
        ]
        self._like = tuple(like[:MOST_LIKE])
        likeliest = again if again is not None else next(iter(like), None)
        self.choice.setCurrentIndex(-1 if likeliest is None else self.choice.findData(likeliest))
        self.choice.setPlaceholderText(self.tr("Choose an earlier cook"))

    @Slot()
    def _on_chosen(self) -> None:
        self._read, self._asking, self._shown = None, None, None
        self._show()

    @Slot()
    def _show(self) -> None:
        live, before = self._live, self._before()
        if live is None or not self.isVisible():
            return
        if before is None:
            self.title.setText("")
            self._fill(())
            return
        if self._read is None:
            self._ask(before)
            return
        _, summary, prep, points = self._read
        day = (
            date(summary.started_s, summary.zone, self._context.units)
            if summary.started_s is not None
            else ""
        )
        self.title.setText(
            self.tr("{title}, {day}").format(title=summary.title, day=day)
            if day
            else self.tr(
                "{title} was never started, so there is nothing to take over. Choose another one."
            ).format(title=summary.title)
        )
        log = live.log()
        parts = last_time(summary, prep, plan_of(log), log.holding(), self._context.units, points)
        self.undo.setVisible(self._taken > 0)
        self._fill(parts)

    def _ask(self, before: int) -> None:
        if self._asking == before:
            return
        self._asking = before
        self.title.setText(self.tr("Reading the earlier cook …"))
        self._fill(())
        self._context.after(
            in_background(partial(self._look, before, self._like)),
            partial(self._on_read, before),
            self._on_failed,
            asker=self,
        )

    def _look(self, before: int, like: Sequence[int]) -> _Found:
        log = self._context.live(before).log()
        journal = self._context.program.journal
        # The newest are listed first, and points are answered by what came after.
        cooks = []
        for cook_id in reversed(like):
            entries = holding(journal.entries(cook_id))
            opened = next((e.what for e in entries if isinstance(e.what, CookOpened)), None)
            cooks.append(("" if opened is None else opened.title, entries))
        summary = summarize(log, self._context.now_s())
        return summary, prep_progress(log.holding()), open_points(cooks)

    def _on_read(self, before: int, found: _Found) -> None:
        if self._asking == before:
            self._read = (before, *found)
            self._show()

    def _on_failed(self, error: BaseException) -> None:
        self._asking = None
        self.title.setText("")
        self.trouble.setText(
            self.tr("The earlier cook could not be read: {why}").format(why=why_of(error))
        )
        self.trouble.show()

    def _fill(self, parts: tuple[LastTimePart, ...]) -> None:
        if (parts, self._typed) == self._shown:
            return
        self._shown = parts, self._typed
        inside = QWidget(self._scroll)
        grid = QGridLayout(inside)
        grid.setContentsMargins(0, 0, 10, 0)
        grid.setHorizontalSpacing(12)
        grid.setVerticalSpacing(6)
        grid.setColumnStretch(0, 1)
        row = 0
        for part in parts:
            head = self._label(f"lastTimePart{row}", "faint")
            head.setText(part.title)
            grid.addWidget(head, row, 0, 1, 3)
            row += 1
            for line in part.lines:
                words = new_column(None, spacing=0)
                for name, text, kind in (
                    ("Text", line.text, ""),
                    ("More", line.more, "faint"),
                ):
                    if text:
                        label = self._label(f"last_{line.key}_{name}", kind)
                        label.setText(text)
                        words.addWidget(label)
                grid.addLayout(words, row, 0)
                if line.payloads:
                    grid.addWidget(self._button(line), row, 1, Qt.AlignmentFlag.AlignTop)
                if line.let_go:
                    grid.addWidget(self._let_go(line), row, 2, Qt.AlignmentFlag.AlignTop)
                row += 1
        grid.setRowStretch(row, 1)
        self._scroll.set_content(inside)

    def _button(self, line: LastTimeLine) -> QPushButton:
        button = new_button(
            self,
            self.tr("Take over"),
            name=f"take_{line.key}",
            kind="quick",
            hears=self.tr("Take over: {text}").format(text=line.text),
        )
        button.clicked.connect(partial(self._on_take, line.payloads))
        waits = self._typed and any(isinstance(payload, ScheduleSet) for payload in line.payloads)
        button.setEnabled(not waits)
        if waits:
            button.setToolTip(self.tr("Save the plan first: its schedule has changes."))
        elif any(isinstance(payload, Note) for payload in line.payloads):
            button.setToolTip(self.tr("It is noted in the log of this cook"))
        else:
            button.setToolTip(self.tr("This plan then says so too"))
        return button

    def _let_go(self, line: LastTimeLine) -> QPushButton:
        button = new_button(
            self,
            self.tr("No longer"),
            name=f"letGo_{line.key}",
            kind="quick",
            hears=self.tr("No longer wanted: {text}").format(text=line.text),
            tip=self.tr("It isn't shown to later plans"),
        )
        button.clicked.connect(partial(self._on_take, line.let_go))
        return button

    def _on_take(self, payloads: tuple[Payload, ...]) -> None:
        self._taken += 1
        self.said.emit(payloads)

    @Slot()
    def _on_undo(self) -> None:
        self._taken -= 1
        self.undo_asked.emit()

    def _label(self, name: str, kind: str) -> QLabel:
        label = new_label(self, name=name, kind=kind, wraps=True)
        label.setTextFormat(Qt.TextFormat.PlainText)
        return label
