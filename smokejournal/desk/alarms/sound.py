"""When an alarm is heard: a chime once, an insistent one louder and sooner until somebody answers."""

from __future__ import annotations

from PySide6.QtCore import QObject, QTimer, Signal, Slot
from PySide6.QtWidgets import QApplication

from smokejournal.cook.progress.alarms import Alarm
from smokejournal.host.sound import SoundPlayer
from smokejournal.host.tones import Sound

#: After the first, second, … sound of an insistent call, so long until the next; the last one goes
#: on [ms]. These are seconds of the person's, not of a clock that runs faster.
PAUSES_MS = (15_000, 12_000, 9_000, 7_000, 5_000)
#: Loudness of the first, second, … sound of a call.
LOUDNESS = (0.4, 0.55, 0.7, 0.85, 1.0)
#: A chime has only one chance to be heard.
CHIME_LOUDNESS = 0.7


def insistence(times: int) -> tuple[float, int]:
    """How loud (above 0 up to 1) an insistent call sounds that has sounded `times` before, and how long
    until the next [ms]. It never ends by itself."""
    return LOUDNESS[min(times, len(LOUDNESS) - 1)], PAUSES_MS[min(times, len(PAUSES_MS) - 1)]


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
        self._timer.timeout.connect(self._insist)

    def set_alarms(self, alarms: tuple[Alarm, ...]) -> None:
        """These alarms are unanswered now."""
        now = {alarm.key: alarm for alarm in alarms}
        new = [alarm for key, alarm in now.items() if key not in self._alarms]
        self._alarms = now
        if not any(alarm.level == "insistent" for alarm in alarms):
            if self._timer.isActive() or not now:
                self._player.stop()
            self._timer.stop()
            self._times = 0
        if any(alarm.level == "insistent" for alarm in new):
            self._insist()
        elif new and not self._timer.isActive():
            # Under an insistent call nobody would hear it, and the strip shows it.
            self._sound("chime", CHIME_LOUDNESS)

    def close(self) -> None:
        """Be silent for good."""
        self._timer.stop()
        self._player.stop()

    @Slot()
    def _insist(self) -> None:
        loudness, pause_ms = insistence(self._times)
        self._times += 1
        self._sound("insistent", loudness)
        self._timer.start(pause_ms)

    def _sound(self, sound: Sound, loudness: float) -> None:
        if not self._player.play(sound, loudness):
            QApplication.beep()
        problem = self._player.take_problem()
        if problem:
            self.unheard.emit(problem)
