"""The line on Tend that says when it will be done, with a button to what-ifs.

It is computed in the background: at most once a minute, and after an entry that may change it.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtGui import QResizeEvent, QShowEvent
from PySide6.QtWidgets import QGridLayout, QSizePolicy, QWidget

from smokejournal.cook.progress.standing import Standing
from smokejournal.cook.text import quantities
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.error_words import message_of
from smokejournal.desk.base.refresher import Refresher
from smokejournal.desk.base.theme import READY_PX
from smokejournal.desk.base.widgets import new_button, new_label, say
from smokejournal.desk.forecast.words import asked_of, words_of
from smokejournal.desk.forecast.wrap_question import WrapQuestion
from smokejournal.desk.parts.short_label import ShortLabel

if TYPE_CHECKING:
    # The first painted window needs none of it; it is loaded when a cook is under way.
    from smokejournal.desk.forecast.dialog import ForecastDialog
    from smokejournal.services.forecast.finish import ForecastResult
    from smokejournal.services.program.live import LiveCook

#: Older than this, a forecast is told with its age [s].
OLD_S = 150.0
#: After trouble it is tried again no sooner than this [s].
AGAIN_S = 60.0
SOON_MS = 250


class ForecastLine(QWidget):
    """`show_cook` says for which cook. It asks only while that is under way and it can be seen.

    `wrap_answered` carries what the cook says to `WrapQuestion`, here or in the dialog. `told` carries
    what must not be cut off of what it says: when it is ready, and that against when it is wanted.
    """

    wrap_answered = Signal(float, str)
    told = Signal(str, str)

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("tendForecastLine")
        self._context = context
        #: Whether what it tells is in sight elsewhere: then it asks although it can't be seen.
        self.watched = False
        self._live: LiveCook | None = None
        self._standing = Standing(0.0)
        self._result: ForecastResult | None = None
        self._problem = ""
        self._not_before_s = 0.0
        self._dialog: ForecastDialog | None = None
        self.headline = new_label(
            self, name="tendReady", kind="ready", hears=self.tr("When it is ready")
        )
        self.label = ShortLabel(self)
        self.label.setObjectName("tendForecast")
        self.label.setAccessibleName(self.tr("Forecast"))
        self.label.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.more = new_button(
            self,
            self.tr("What if…"),
            name="tendForecastMore",
            kind="quiet",
            hears=self.tr("Forecast in full, and what would change it"),
            tip=self.tr("What the forecast is based on, and what would change it"),
        )
        # No higher than its line: every line counts on Tend.
        self.more.setFixedHeight(self.more.fontMetrics().height() + 6)
        self.more.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.more.clicked.connect(self._on_more)
        self.question = WrapQuestion(self)
        self.question.answered.connect(self.wrap_answered)
        #: As much of what it says as must not be cut off: the time with its interval.
        self._whole = ""
        self._below = False
        grid = self._grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(12)
        grid.setVerticalSpacing(0)
        grid.setColumnStretch(1, 1)
        grid.addWidget(self.headline, 0, 0)
        grid.addWidget(self.label, 0, 1)
        grid.addWidget(self.question, 0, 2)
        grid.addWidget(self.more, 0, 3)
        self._refresher = Refresher(
            self,
            context,
            self._ask,
            self._on_result,
            self._on_failed,
            soon_ms=SOON_MS,
            in_sight=self._in_sight,
        )
        context.cook_changed.connect(self._on_changed)
        context.ticked.connect(self._on_tick)
        context.units_changed.connect(self._show)
        self.setVisible(False)

    def set_scale(self, scale: float) -> None:
        """Write the time larger in a large window."""
        self.headline.setStyleSheet(f"font-size: {round(READY_PX * scale)}px;")

    # -- for the page ------------------------------------------------------------------------

    def show_cook(self, live: LiveCook | None, standing: Standing) -> None:
        """Tell of this cook, which is under way; of none with None."""
        self._standing = standing
        if live is self._live:
            return
        self._live = live
        self._result = None if live is None else self._context.forecasts.finish.last(live.cook_id)
        self._problem = ""
        self._not_before_s = 0.0
        self._show()
        if live is not None:
            self._refresher.mark()

    # -- asking ------------------------------------------------------------------------------

    @Slot(object)
    def _on_changed(self, change: object) -> None:
        live = self._live
        mine = live is not None and getattr(change, "cook_id", None) == live.cook_id
        if mine and getattr(change, "entries", ()):
            self._show()
            self._refresher.mark()

    @Slot(float)
    def _on_tick(self, _now_s: float) -> None:
        if self._live is not None and self._in_sight():
            self._show()
            self._refresher.refresh()

    def showEvent(self, event: QShowEvent) -> None:
        """Catch up with what came while it was not in sight."""
        super().showEvent(event)
        self._show()
        self._refresher.mark()

    def _in_sight(self) -> bool:
        return self.watched or self.isVisible()

    def _ask(self) -> Callable[[], ForecastResult] | None:
        live = self._live
        if live is None:
            return None
        # One after the other: the dialog's questions go first while they are being answered.
        if self._dialog is not None and self._dialog.asking:
            return None
        forecast, cook_id = self._context.forecasts.finish, live.cook_id
        if abs(self._context.now_s() - self._not_before_s) < AGAIN_S or not forecast.due(cook_id):
            return None
        return lambda: forecast.look(cook_id)

    def _on_result(self, result: ForecastResult) -> None:
        self._problem = ""
        self._take(result)

    def _on_failed(self, error: BaseException) -> None:
        self._not_before_s = self._context.now_s()
        self._problem = message_of(error) or self.tr(
            "something went wrong. It will be tried again in a minute."
        )
        if self._live is not None:
            self._result = self._context.forecasts.finish.last(self._live.cook_id)
        self._show()

    def _take(self, result: ForecastResult) -> None:
        """Show what was computed, if it is of this cook still."""
        if self._live is None:
            return
        if result.cook_id == self._live.cook_id:
            self._result = result
            self._show()
        else:
            self._refresher.mark()

    # -- showing -----------------------------------------------------------------------------

    @Slot()
    def _show(self) -> None:
        live = self._live
        if live is not None:
            self._say(live)
            self.question.ask(
                asked_of(self._context, self._result, live), self._context.units, live.zone
            )
        else:
            self.told.emit("", "")
        self.more.setEnabled(self._result is not None)
        self.setVisible(self._live is not None)
        self._arrange()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The question goes below where the forecast would be cut off beside it."""
        super().resizeEvent(event)
        self._arrange()

    def _arrange(self) -> None:
        asking, headed = not self.question.isHidden(), not self.headline.isHidden()
        gaps = 3 * self._grid.horizontalSpacing()
        beside = self.question.sizeHint().width() + self.more.sizeHint().width() + gaps
        detail = self.label.fontMetrics().horizontalAdvance(self._whole)
        said = self.headline.sizeHint().width() if headed else detail
        # The question comes before what the headline says already, in other words.
        self.label.setVisible(not (asking and headed and said + detail + beside > self.width()))
        below = asking and said + beside > self.width()
        if below != self._below:
            self._below = below
            self._grid.removeWidget(self.question)
            if below:
                self._grid.addWidget(self.question, 1, 0, 1, 4)
            else:
                self._grid.addWidget(self.question, 0, 2)

    def _say(self, live: LiveCook) -> None:
        headline, wanted, parts, self._whole = "", "", [], ""
        result = self._result
        if self._problem:
            parts.append(self.tr("Forecast: {problem}").format(problem=self._problem))
        elif result is None:
            parts.append(self.tr("The forecast is being computed."))
        if result is not None:
            parts += self._age(result, live)
            words = words_of(result, live, self._context.units)
            headline = words.headline
            line = words.line if words.line != headline else ""
            # What must not be cut off: the end may be, since the dialog says it too.
            self._whole = " ".join([*parts, words.wanted or line])
            wanted = " ".join(part for part in (*parts, words.wanted) if part)
            parts += [words.wanted, *words.noticed, line]
        say(self.headline, headline)
        self.label.setText(" ".join(part for part in parts if part))
        self.told.emit(headline, wanted if headline else self._whole)

    def _age(self, result: ForecastResult, live: LiveCook) -> list[str]:
        """How old it is, where that is worth a word."""
        age_s = self._context.now_s() - result.now_s
        if abs(age_s) <= OLD_S:
            return []
        # A clock that was set back makes it one from the future: its time says it either way.
        if age_s < 0:
            time = quantities.clock_time(result.now_s, live.zone, self._context.units)
            return [self.tr("As of {time}:").format(time=time)]
        return [self.tr("As of {ago}:").format(ago=quantities.ago(age_s))]

    # -- the dialog --------------------------------------------------------------------------

    @Slot()
    def _on_more(self) -> None:
        if self._live is None or self._result is None or self._dialog is not None:
            return
        from smokejournal.desk.forecast.dialog import ForecastDialog

        dialog = ForecastDialog(self._context, self._live, self._standing, self._result, self)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.wrap_answered.connect(self.wrap_answered)
        dialog.finished.connect(self._on_closed)
        self._dialog = dialog
        dialog.open()

    @Slot()
    def _on_closed(self) -> None:
        self._dialog = None
        if self._live is not None:
            self._refresher.mark()
