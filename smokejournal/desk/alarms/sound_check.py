"""The sound check: hear an alarm as loud as it gets, before anyone goes to sleep by it."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt, QTimer, Slot
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QApplication,
    QDialog,
    QPushButton,
    QWidget,
)

from smokejournal.cook.log.entries import Note
from smokejournal.desk.alarms.sound import LOUDNESS
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.widgets import FILL, new_button, new_column, new_label, new_row
from smokejournal.host.sound import SoundPlayer

#: So often it is played, this long from one beginning to the next [ms]. The sound itself lasts 2 s.
TIMES, PAUSE_MS = 3, 2400
WIDTH = 520


class SoundCheckDialog(QDialog):
    """Plays when it is shown and asks whether it was heard; the answer goes into the logs of the cooks
    under way."""

    def __init__(
        self, context: DeskContext, player: SoundPlayer, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setObjectName("soundCheckDialog")
        self.setWindowTitle(self.tr("Sound check"))
        self._context = context
        self._player = player
        self._played = 0
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(PAUSE_MS)
        self._timer.timeout.connect(self._go_on)
        self._text = new_label(self, name="soundCheckText", wraps=True)
        self._problem = new_label(self, name="soundCheckProblem", kind="problem", wraps=True)
        self._ask = new_label(self, name="soundCheckAsk", kind="section", wraps=True)
        self._advice = new_label(self, name="soundCheckAdvice", wraps=True)
        self._log = new_label(self, name="soundCheckLog", kind="faint", wraps=True)
        self._again = self._button("soundCheckAgain", self.tr("&Play it again"), self._begin)
        self._no = self._button("soundCheckNo", self.tr("&No"), self._on_no)
        self._yes = self._button("soundCheckYes", self.tr("&Yes"), self._on_yes)
        self._close = self._button("soundCheckClose", self.tr("&Close"), self.reject)
        row = new_row(None, self._again, FILL, self._yes, self._no, self._close)
        labels = (self._text, self._problem, self._advice, self._ask, self._log)
        self._column = new_column(self, *labels, spacing=10, margins=(18, 16, 18, 14))
        self._column.addSpacing(6)
        self._column.addLayout(row)
        self.finished.connect(self._be_quiet)

    def _button(self, name: str, text: str, on: Callable[[], None]) -> QPushButton:
        # Enter by mistake must not say that it was heard.
        return new_button(self, text, on, name=name, auto=False)

    def showEvent(self, event: QShowEvent) -> None:
        """Begin to play."""
        super().showEvent(event)
        if not event.spontaneous():
            self._begin()

    @Slot()
    def _begin(self) -> None:
        self._played = 0
        self._problem.hide()
        self._text.setText(
            self.tr(
                "The alarm plays {count} times now, as loud as it gets when nobody answers. Stand where "
                "you will be, or lie down, and close the door."
            ).format(count=TIMES)
        )
        self._ask.setText(self.tr("Did you hear it?"))
        self._log.setText(
            self.tr("Your answer goes into the log.")
            if self._context.program.under_way() is not None
            else self.tr("No cook is under way, so your answer is not written down.")
        )
        self._show(asking=True)
        self._play()

    def _show(self, *, asking: bool) -> None:
        for part in (self._text, self._ask, self._log, self._no, self._yes):
            part.setVisible(asking)
        for part in (self._advice, self._close):
            part.setVisible(not asking)
        self._fit()

    def _fit(self) -> None:
        """As high as the words need."""
        self._column.activate()
        self.setFixedSize(WIDTH, self._column.totalHeightForWidth(WIDTH))

    @Slot()
    def _go_on(self) -> None:
        if self._played < TIMES:
            self._play()
        else:
            self._look(heard=True)

    def _play(self) -> None:
        self._played += 1
        heard = self._player.play("insistent", LOUDNESS[-1])
        if not heard:
            QApplication.beep()  # as an alarm does then
        self._look(heard)
        self._timer.start()

    def _look(self, heard: bool) -> None:
        problem = self._player.take_problem()
        if heard and not problem:
            return
        self._problem.setText(
            problem
            or self.tr("This machine cannot play the alarm sound, so alarms only beep and show.")
        )
        self._problem.setVisible(not self._ask.isHidden())
        self._fit()

    @Slot()
    def _be_quiet(self) -> None:
        self._timer.stop()
        self._player.stop()

    @Slot()
    def _on_yes(self) -> None:
        self._write(self.tr("Sound check: heard"))
        self.accept()

    @Slot()
    def _on_no(self) -> None:
        self._be_quiet()
        self._write(self.tr("Sound check: not heard"))
        self._problem.hide()
        self._advice.setText(
            "\n\n".join(
                (
                    self.tr("Turn the volume of this machine up, and see that it is not muted."),
                    self.tr(
                        "Look where its sound goes. Headphones or a speaker in another room, plugged in "
                        "or paired, take it away from this machine."
                    ),
                    self.tr(
                        "Bring the machine nearer, or connect a louder speaker. Then play it again."
                    ),
                )
            )
        )
        self._show(asking=False)
        self._again.setFocus(Qt.FocusReason.OtherFocusReason)

    def _write(self, text: str) -> None:
        for cook_id in self._context.program.all_under_way():
            self._context.after(self._context.live(cook_id).record(Note(text)))
