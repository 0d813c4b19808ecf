"""The forecast in full: what it says, what it rests on, and what would change it."""

from __future__ import annotations

from PySide6.QtCore import Qt, QTimer, Signal, Slot
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFrame,
    QLabel,
    QScrollArea,
    QWidget,
)

from smokejournal.cook.forecast.change_words import shift_words
from smokejournal.cook.forecast.cook_so_far import ForecastInput
from smokejournal.cook.forecast.probe_difference import pair_words
from smokejournal.cook.forecast.serving import late_words, serving
from smokejournal.cook.plan.plan import plan_of
from smokejournal.cook.progress.standing import Standing
from smokejournal.desk.base.background import in_background
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.error_words import message_of
from smokejournal.desk.base.widgets import new_button, new_column, new_label
from smokejournal.desk.forecast.words import asked_of, words_of
from smokejournal.desk.forecast.wrap_question import WrapQuestion
from smokejournal.science.forecast.values import Forecast
from smokejournal.services.forecast.finish import Answer, ForecastResult, WhatIf
from smokejournal.services.forecast.what_ifs import worth_asking
from smokejournal.services.program.live import LiveCook

WIDTH = 620
HIGHEST = 520
#: Room for a bar to scroll with [px].
BAR = 16


class ForecastDialog(QDialog):
    """What-ifs are asked one after the other, so that the first answer is there soon.

    `wrap_answered` is as in `WrapQuestion`. All else that is said rests on it, so it closes then.
    """

    wrap_answered = Signal(float, str)

    def __init__(
        self,
        context: DeskContext,
        live: LiveCook,
        standing: Standing,
        result: ForecastResult,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setObjectName("forecastDialog")
        self.setWindowTitle(self.tr("When it will be done"))
        self._context = context
        self._live = live
        self._asks = list(worth_asking(result, standing, context.units))
        self._labels: dict[WhatIf, QLabel] = {}
        self.asking = False
        inside = QWidget(self)
        self._column = new_column(inside, spacing=8, margins=0)
        self._build(result)
        self._scroll = QScrollArea(self)
        self._scroll.setAccessibleName(self.tr("Forecast"))
        self._scroll.setWidgetResizable(True)
        self._scroll.setFrameShape(QFrame.Shape.NoFrame)
        self._scroll.setWidget(inside)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close, self)
        buttons.rejected.connect(self.reject)
        self.taught = new_button(
            self,
            self.tr("What earlier cooks &taught…"),
            self._on_taught,
            name="forecastTaught",
            kind="quiet",
            auto=False,
        )
        buttons.addButton(self.taught, QDialogButtonBox.ButtonRole.ResetRole)
        self._outer = new_column(self, (self._scroll, 1), buttons, spacing=12)
        self._inside = inside
        self._buttons = buttons
        self.resize(WIDTH, HIGHEST)
        QTimer.singleShot(0, self, self._ask)

    def _build(self, result: ForecastResult) -> None:
        words = words_of(result, self._live, self._context.units)
        self._line(words.headline or words.line, "forecastWhen", "sentence")
        asked_s = asked_of(self._context, result, self._live)
        if asked_s is not None:
            question = WrapQuestion(self)
            question.ask(asked_s, self._context.units, self._live.zone)
            question.answered.connect(self.wrap_answered)
            question.answered.connect(self.accept)
            self._column.addWidget(question)
        line = words.line if words.headline not in ("", words.line) else ""
        for n, text in enumerate(
            (*words.noticed, words.wanted, *words.to_do, line, *words.after, words.peak)
        ):
            if text:
                self._line(text, f"forecastMore{n}")
        if self._asks:
            self._line(self.tr("What if"), "forecastAsks", "section")
        for n, (what, title) in enumerate(self._asks):
            text = self.tr("{change}: being computed…").format(change=title)
            self._labels[what] = self._line(text, f"forecastAsk{n}")
        basis = [text for text in (words.rests_on, *words.assumed) if text]
        for n, text in enumerate(basis):
            self._line(text, f"forecastBasis{n}", "faint")
        self._column.addStretch(1)

    def _line(self, text: str, name: str, kind: str = "") -> QLabel:
        label = new_label(self, text, name=name, kind=kind, wraps=True)
        self._column.addWidget(label)
        return label

    def showEvent(self, event: QShowEvent) -> None:
        """As high as what is said needs; Enter closes it."""
        super().showEvent(event)
        if event.spontaneous():
            return
        self._buttons.button(QDialogButtonBox.StandardButton.Close).setFocus()
        self.resize(WIDTH, self._high())

    def _high(self) -> int:
        """As high as what is said needs, up to a limit; from there on it scrolls."""
        margins = self._outer.contentsMargins()
        width = WIDTH - margins.left() - margins.right() - BAR
        high = self._inside.heightForWidth(width) + self._buttons.sizeHint().height()
        return min(HIGHEST, high + margins.top() + margins.bottom() + 2 * BAR)

    @Slot()
    def _on_taught(self) -> None:
        from smokejournal.desk.forecast.history_dialog import HistoryDialog

        dialog = HistoryDialog(self._context, self._live.simulated, self)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.open()

    @Slot()
    def _ask(self) -> None:
        if self.asking or not self._asks or not self.isVisible():
            return
        self.asking = True
        what = self._asks[0][0]
        forecast, cook_id = self._context.forecasts.finish, self._live.cook_id
        self._context.after(
            in_background(lambda: forecast.look(cook_id, (what,))),
            self._on_result,
            self._on_failed,
            asker=self,
        )

    def _on_result(self, result: ForecastResult) -> None:
        self.asking = False
        what, title = self._asks.pop(0)
        after = dict(result.what_ifs).get(what)
        self._labels[what].setText(self._answer(title, result, after))
        # An answer may take more lines than the promise of one. What the cook made larger stays so.
        self.resize(self.width(), max(self.height(), self._high()))
        self._ask()

    def _answer(self, title: str, result: ForecastResult, after: Answer | None) -> str:
        if after is None or result.forecast is None or result.record is None:
            return self.tr("{change}: can't be estimated.").format(change=title)
        if isinstance(after, Forecast):
            return self._shift(title, result.forecast, result.record, after)
        text = pair_words(after, result.record.cook.target_c, self._context.units)
        if after.course is None:
            return text
        return f"{text} {shift_words(title, result.forecast, after.course)}"

    def _shift(self, title: str, before: Forecast, record: ForecastInput, after: Forecast) -> str:
        """What the change does, and to the time at which it is wanted."""
        text = shift_words(title, before, after)
        wanted_s = plan_of(self._live.log()).ready_at_s
        now = None if wanted_s is None else serving(before, record, wanted_s)
        if wanted_s is None or now is None or now.verdict not in ("late", "even"):
            return text
        return f"{text} {late_words(after, record, wanted_s)}".strip()

    def _on_failed(self, error: BaseException) -> None:
        self.asking = False
        message = message_of(error)
        problem = message or self.tr("it could not be estimated.")
        for what, title in self._asks:
            self._labels[what].setText(
                self.tr("{change}: {problem}").format(change=title, problem=problem)
            )
        self._asks = []
        if message is None:
            # A bug, and the one door for bugs is the exception hook.
            raise error
