"""The score on Tend: read off the log away from the painting thread, and shown when it is ready."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtWidgets import QPushButton, QWidget

from smokejournal.cook.progress.standing import over_and_running
from smokejournal.cook.score.ahead import ahead_of
from smokejournal.cook.score.fan import fan_of
from smokejournal.cook.score.score import Score
from smokejournal.cook.text.quantities import Units
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.refresher import Refresher
from smokejournal.desk.base.theme import GROUNDS
from smokejournal.desk.base.widgets import new_button, new_column, new_label, new_row
from smokejournal.desk.parts.single_keys import KEEPS_ENTER
from smokejournal.desk.score.view import ScoreView
from smokejournal.services.program.live import LiveCook

if TYPE_CHECKING:
    from smokejournal.services.forecast.finish import FinishForecasts

#: A forecast that is older than this is no longer drawn [s]: the line above says how old it is.
OLD_S = 900.0


class ScorePanel(QWidget):
    """The picture, and buttons for the whole cook and for the kind of time."""

    mark_chosen = Signal(int)

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("scorePanel")
        self.setAccessibleName(self.tr("Score"))
        self._context = context
        self._live: LiveCook | None = None
        self._refresher = Refresher(self, context, self._ask, self._show)
        self.view = ScoreView(self)
        self.view.setObjectName("scoreView")
        self.view.setProperty(KEEPS_ENTER, True)
        self.set_close(False)
        self.view.mark_chosen.connect(self.mark_chosen)
        title = new_label(self, self.tr("Score"), kind="section")
        self._whole = self._button("scoreWhole", self.tr("Whole cook"))
        self._whole.clicked.connect(self.view.show_all)
        self._mode = self._button("scoreTime", self.tr("Time since start"))
        self._mode.setCheckable(True)
        self._mode.toggled.connect(self._on_mode)
        head = new_row(None, (title, 1), self._whole, self._mode, spacing=2)
        new_column(self, head, (self.view, 1), spacing=2, margins=0)
        context.units_changed.connect(self._on_units)
        context.ground_changed.connect(self._on_ground)
        self._on_units()
        self._on_ground(context.ground)

    def set_close(self, close: bool) -> None:
        """In a low window the picture gives way before anything scrolls."""
        self.view.setMinimumSize(360, 156 if close else 200)

    def set_live(self, live: LiveCook | None) -> None:
        """Show this cook."""
        self._live = live
        self.view.set_score(None)
        self.refresh()

    @Slot()
    def refresh(self) -> None:
        """Read the score again; while that goes on, once more afterwards."""
        self._refresher.refresh()

    def _ask(self) -> Callable[[], tuple[LiveCook, Score]] | None:
        live, forecast, units = self._live, self._context.forecasts.finish, self._context.units
        if live is None:
            return None
        return lambda: (live, _read(live, forecast, units))

    def _show(self, read: tuple[LiveCook, Score]) -> None:
        live, score = read
        if live is self._live:
            self.view.set_score(score)

    def _button(self, name: str, text: str) -> QPushButton:
        button = new_button(self, text, name=name, kind="quiet", hears=text)
        button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        return button

    @Slot()
    def _on_units(self) -> None:
        self.view.set_units(self._context.units)
        self.refresh()

    @Slot(str)
    def _on_ground(self, name: str) -> None:
        self.view.set_ground(GROUNDS[name])

    @Slot(bool)
    def _on_mode(self, since_start: bool) -> None:
        self.view.set_time_mode("since_start" if since_start else "clock")


def _read(live: LiveCook, forecast: FinishForecasts, units: Units) -> Score:
    """In the background: the score, with what was forecast last while that is news."""
    score = live.score()
    result = forecast.last(live.cook_id)
    if result is None or score.now_s is None or abs(score.now_s - result.now_s) > OLD_S:
        return score
    return replace(
        score,
        fans=fan_of(result.forecast, result.record, units, live.zone),
        ahead=ahead_of(result.forecast, result.record, over_and_running(live.standing())[0]),
    )
