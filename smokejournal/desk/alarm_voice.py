"""When an alarm is heard: at once when it is new, then again and louder until somebody answers."""

from __future__ import annotations

from PySide6.QtCore import QObject, QTimer, Signal, Slot
from PySide6.QtWidgets import QApplication

from smokejournal.cook.alarms import Alarm
from smokejournal.host.sound import SoundPlayer

#: Between two sounds [ms]. These are seconds of the person's, not of a clock that runs faster.
INSISTENT_MS = 6_000
CHIME_MS = 60_000
#: Loudness of the first, second, … sound of a call.
LOUDNESS = (0.4, 0.55, 0.7, 0.85, 1.0)


class AlarmVoice(QObject):
    """Sounds for the alarms that nobody has answered."""

    #: The sound cannot be played; the reason, once.
    unheard = Signal(str)

    def __init__(self, player: SoundPlayer, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._player = player
        self._alarms: dict[str, Alarm] = {}
        self._times = 0
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.timeout.connect(self._sound)

    def set_alarms(self, alarms: tuple[Alarm, ...]) -> None:
        """These alarms are unanswered now."""
        now = {alarm.key: alarm for alarm in alarms}
        new = set(now) - set(self._alarms)
        self._alarms = now
        if not now:
            self._timer.stop()
            self._times = 0
            self._player.stop()
        elif new:
            self._times = 0
            self._sound()

    def close(self) -> None:
        """Be silent for good."""
        self._timer.stop()
        self._player.stop()

    @Slot()
    def _sound(self) -> None:
        insistent = any(alarm.level == "insistent" for alarm in self._alarms.values())
        loudness = LOUDNESS[min(self._times, len(LOUDNESS) - 1)]
        self._times += 1
        if not self._player.play("insistent" if insistent else "chime", loudness):
            QApplication.beep()
        problem = self._player.take_problem()
        if problem:
            self.unheard.emit(problem)
        self._timer.start(INSISTENT_MS if insistent else CHIME_MS)
