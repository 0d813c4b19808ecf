"""Compare: the chosen cooks side by side, and what all finished cooks say."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import Any

from PySide6.QtCore import Slot
from PySide6.QtGui import QHideEvent
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QStackedWidget,
    QTabBar,
    QWidget,
)

from smokejournal.cook.comparing.alignment import FEWEST, ComparedCook
from smokejournal.cook.comparing.facts import CookFacts
from smokejournal.cook.comparing.words import choose_words
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.error_words import words_of
from smokejournal.desk.base.refresher import Refresher
from smokejournal.desk.base.widgets import FILL, new_column, new_label, new_row, say
from smokejournal.desk.comparing.all_cooks_panel import AllCooksPanel
from smokejournal.desk.comparing.side_by_side import SideBySide
from smokejournal.desk.parts.tall_scroll import TallScroll
from smokejournal.services.comparing.all_cooks import AllCooks, FactsWalk
from smokejournal.services.forecast.track_record import Judged, Walk

WIDTH, HEIGHT = 980, 700
SOON_MS = 400

Told = tuple[tuple[CookFacts, ...], Judged]


class CompareWindow(QDialog):
    """Reads while it is in sight, in the background; what it reads is kept in `cooks`."""

    def __init__(
        self,
        context: DeskContext,
        cooks: AllCooks,
        chosen: Sequence[int],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setObjectName("compareWindow")
        self.setWindowTitle(self.tr("Compare cooks"))
        self._context, self._cooks, self._chosen = context, cooks, tuple(chosen)
        self._walks: tuple[FactsWalk | Walk, ...] = ()
        self.tabs = QTabBar(self)
        self.tabs.setObjectName("compareTabs")
        self.tabs.setAccessibleName(self.tr("Side by side, or all cooks"))
        self.tabs.setExpanding(False)
        self.tabs.setDrawBase(False)
        self.tabs.addTab(self.tr("Side by side"))
        self.tabs.addTab(self.tr("All cooks"))
        self.side = SideBySide(context, self)
        self.every = AllCooksPanel(context, self)
        self.said = new_label(self, name="compareSaid", wraps=True)
        wrong = choose_words(len(self._chosen))
        self.said.setText(wrong or self.tr("Reading the cooks…"))
        self._can = not wrong
        self.side.setVisible(False)
        first = QWidget(self)
        column = new_column(first, self.said, (self.side, 1), margins=0)
        if wrong:
            column.addStretch(1)
        self._stack = QStackedWidget(self)
        for n, part in enumerate((first, self.every)):
            scroll = TallScroll(self.tabs.tabText(n), self)
            scroll.set_content(part)
            self._stack.addWidget(scroll)
        self.tabs.currentChanged.connect(self._stack.setCurrentIndex)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close, self)
        buttons.rejected.connect(self.reject)
        outer = new_column(self, spacing=10, margins=(18, 12, 18, 14))
        top = new_row(None, self.tabs, FILL)
        outer.addLayout(top)
        outer.addWidget(self._stack, 1)
        outer.addWidget(buttons)
        self.resize(WIDTH, HEIGHT)
        if len(self._chosen) < FEWEST:
            self.tabs.setCurrentIndex(1)
        self.reading_chosen = Refresher(
            self, context, self._ask_chosen, self._show_chosen, self._not_read, soon_ms=SOON_MS
        )
        self.reading_every = Refresher(
            self, context, self._ask_every, self._show_every, self._every_not_read, soon_ms=SOON_MS
        )
        context.cook_changed.connect(self._on_changed)
        context.units_changed.connect(self._on_look)
        context.ground_changed.connect(self._on_look)

    def hideEvent(self, event: QHideEvent) -> None:
        """Nobody waits for it any more."""
        super().hideEvent(event)
        if not event.spontaneous():
            for walk in self._walks:
                walk.cancel()

    # -- reading -----------------------------------------------------------------------------

    def _ask_chosen(self) -> Callable[[], Any] | None:
        return partial(self._cooks.chosen, self._chosen) if self._can else None

    def _show_chosen(self, cooks: tuple[ComparedCook, ...]) -> None:
        self.said.setVisible(False)
        self.side.setVisible(True)
        self.side.show_cooks(cooks)

    def _not_read(self, error: BaseException) -> None:
        say(self.said, words_of(error))

    def _ask_every(self) -> Callable[[], Any]:
        facts, record = self._cooks.walk(), self._context.forecasts.track_record.walk()
        self._walks = (facts, record)
        return partial(_read, facts, record)

    def _show_every(self, told: Told | None) -> None:
        if told is None:
            # It went out of sight meanwhile: read on when it is shown again.
            self.reading_every.mark()
            return
        every, judged = told
        self.side.show_every(every)
        self.every.show_every(every, judged)

    def _every_not_read(self, error: BaseException) -> None:
        self.every.say(words_of(error))
        self.side.say(words_of(error))

    @Slot(object)
    def _on_changed(self, change: object) -> None:
        # Readings alone, which come by the second, wait for the next entry: a whole cook is read again.
        if not (getattr(change, "entries", ()) or getattr(change, "reread", False)):
            return
        if getattr(change, "cook_id", None) in self._chosen:
            self.reading_chosen.mark()
        self.reading_every.mark()

    @Slot()
    def _on_look(self) -> None:
        self.side.refresh()
        self.every.refresh()


def _read(facts: FactsWalk, record: Walk) -> Told | None:
    """For a worker: the facts of all finished cooks and how good their forecasts were."""
    every = facts.run()
    judged = None if every is None else record.run()
    return None if every is None or judged is None else (every, judged)
