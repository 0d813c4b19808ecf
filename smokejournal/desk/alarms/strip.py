"""The strip of alarms: what calls, since when there is no answer, and the buttons to answer it."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtWidgets import QFrame, QLabel, QPushButton, QWidget

from smokejournal.cook.log.entries import (
    CookClosed,
    CookOpened,
    ScheduleStarted,
    Strike,
)
from smokejournal.cook.progress.alarms import Alarm
from smokejournal.desk.alarms.sound import AlarmVoice
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.theme import LARGE_PX
from smokejournal.desk.base.widgets import new_button, new_label, new_row
from smokejournal.host.sound import SoundPlayer
from smokejournal.journal import Change

SNOOZES_MIN = (5, 10, 30)
#: Entries after which another cook may be the one under way.
_TURNS = (CookOpened, ScheduleStarted, CookClosed, Strike)


class AlarmStrip(QFrame):
    """Alarms of the chosen cook, of those under way and of plans that call. Hidden without any."""

    shown_changed = Signal(int)

    def __init__(
        self,
        context: DeskContext,
        player: SoundPlayer | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setObjectName("alarmStrip")
        self.setAccessibleName(self.tr("Alarms"))
        self.setProperty("kind", "alarm")
        self.setFrameShape(QFrame.Shape.StyledPanel)
        self._context = context
        self._alarms: list[tuple[int, Alarm]] = []
        self._calling = context.program.called_for()
        self._voice = AlarmVoice(player, self) if player is not None else None
        if self._voice is not None:
            self._voice.unheard.connect(self._on_unheard)
        self._text = new_label(self, name="alarmText", wraps=True)
        self._count = new_label(self, name="alarmCount")
        self._answer = new_button(
            self, self.tr("Answer  A"), name="alarmAnswer", hears=self.tr("Answer this alarm")
        )
        # A click must not take the focus: it would go astray, and Enter with it, once this hides.
        self._answer.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self._answer.clicked.connect(self.answer)
        row = new_row(
            self, (self._text, 1), self._count, self._answer, spacing=6, margins=(14, 6, 10, 6)
        )
        again = new_label(self, self.tr("or again in"), name="alarmAgain")
        row.addWidget(again)
        for minutes in SNOOZES_MIN:
            button = new_button(
                self,
                self.tr("{minutes} min").format(minutes=minutes),
                name=f"alarmSnooze{minutes}",
                hears=self.tr("Call again in {minutes} minutes").format(minutes=minutes),
            )
            button.setProperty("snoozeMin", minutes)
            button.setProperty("kind", "quick")
            button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            button.clicked.connect(self._on_snooze)
            row.addWidget(button)
        self.hide()
        context.ticked.connect(self._on_tick)
        context.cook_chosen.connect(self.refresh)
        context.cook_changed.connect(self._on_change)
        self.refresh()

    def alarms(self) -> tuple[Alarm, ...]:
        """The alarms that nobody has answered, the most pressing first."""
        return tuple(alarm for _, alarm in self._alarms)

    def set_keyed(self, keyed: bool) -> None:
        """Whether the single key answers on the page in sight: only then the button names it."""
        self._answer.setText(self.tr("Answer  A") if keyed else self.tr("Answer"))

    def set_scale(self, scale: float) -> None:
        """Write so many times as large, to be read from afar."""
        sheet = "" if scale == 1.0 else f"font-size: {round(LARGE_PX * scale)}px;"
        for part in (*self.findChildren(QLabel), *self.findChildren(QPushButton)):
            if part.styleSheet() != sheet:
                part.setStyleSheet(sheet)

    def close_voice(self) -> None:
        """Be silent, when the window goes."""
        if self._voice is not None:
            self._voice.close()

    @Slot()
    def answer(self) -> None:
        """The cook has seen the alarm on top."""
        self._record(None)

    @Slot()
    def refresh(self) -> None:
        """Look what calls now."""
        self._look(self._context.now_s())

    @Slot()
    def _on_snooze(self) -> None:
        button = self.sender()
        if button is not None:
            self._record(float(button.property("snoozeMin")) * 60.0)

    def _record(self, snooze_s: float | None) -> None:
        if not self._alarms:
            return
        cook_id, alarm = self._alarms[0]
        self._context.after(self._context.live(cook_id).answer(alarm, snooze_s))
        self.refresh()

    @Slot(float)
    def _on_tick(self, now_s: float) -> None:
        self._look(now_s)

    @Slot(object)
    def _on_change(self, change: Change) -> None:
        if any(isinstance(entry.what, _TURNS) for entry in change.entries):
            self._calling = self._context.program.called_for()
        if change.entries:
            self.refresh()

    def _look(self, now_s: float) -> None:
        found: list[tuple[int, Alarm]] = []
        for cook_id in dict.fromkeys((*self._calling, self._context.chosen)):
            if cook_id is not None:
                found += [(cook_id, a) for a in self._context.live(cook_id).alarms(now_s)]
        found.sort(key=lambda pair: pair[1].level == "chime")
        if found == self._alarms:
            return
        self._alarms = found
        if self._voice is not None:
            self._voice.set_alarms(self.alarms())
        self._show()
        self.shown_changed.emit(len(found))

    def _show(self) -> None:
        self.setVisible(bool(self._alarms))
        if not self._alarms:
            self._text.clear()
            self.setAccessibleDescription("")
            return
        cook_id, alarm = self._alarms[0]
        text = alarm.text
        opened = self._context.live(cook_id).opened
        if cook_id != self._context.chosen and opened is not None:
            # With several cooks going, a call must say where to go.
            text = self.tr("{title}: {alarm}").format(title=opened.title, alarm=text)
        self._text.setText(text)
        self.setAccessibleDescription(text)
        more = len(self._alarms)
        self._count.setText(self.tr("1 of {count}").format(count=more) if more > 1 else "")
        self._count.setVisible(more > 1)

    @Slot(str)
    def _on_unheard(self, problem: str) -> None:
        self._context.tell(
            problem, self.tr("Stay within sight of the screen, or set up its sound.")
        )
