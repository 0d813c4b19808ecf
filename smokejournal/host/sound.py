"""Making oneself heard through whatever player the machine has. Never waits, never raises."""

from __future__ import annotations

import importlib
import logging
import shutil
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Protocol

from smokejournal.cook.text.translate import translate
from smokejournal.host.launch import Child, Launch, launch
from smokejournal.host.tones import Sound, write_wav

log = logging.getLogger(__name__)

#: Players by system, the best first; the file's path is put behind.
PLAYERS: dict[str, tuple[tuple[str, ...], ...]] = {
    "linux": (("pw-play",), ("paplay",), ("aplay", "-q")),
    "darwin": (("afplay",),),
}


class SoundPlayer(Protocol):
    """Something that can be heard."""

    def play(self, sound: Sound, loudness: float = 1.0) -> bool:
        """Begin to play, in place of what plays now. False when nothing will be heard."""
        ...

    def stop(self) -> None:
        """Be silent."""
        ...

    def take_problem(self) -> str:
        """Why nothing can be heard, told once; empty when there is nothing to tell."""
        ...


def sound_player() -> SoundPlayer:
    """The player for this machine."""
    if sys.platform == "win32":
        return WindowsSound()
    system = "darwin" if sys.platform == "darwin" else "linux"
    found = [
        (path, *rest) for name, *rest in PLAYERS[system] if (path := shutil.which(name)) is not None
    ]
    return CommandSound(found)


class _Files:
    """The sounds as files in a folder of our own, written when first wanted and gone at the end."""

    def __init__(self) -> None:
        self._folder: tempfile.TemporaryDirectory[str] | None = None

    def path(self, sound: Sound, loudness: float) -> Path:
        """The file of a sound. Raises OSError where none can be written."""
        if self._folder is None:
            self._folder = tempfile.TemporaryDirectory(prefix="smokejournal-sound-")
        percent = max(1, min(100, round(loudness * 100)))
        path = Path(self._folder.name) / f"{sound}-{percent}.wav"
        if not path.exists():
            part = path.with_suffix(".part")
            try:
                write_wav(part, sound, percent / 100)
                part.replace(path)
            except OSError:
                # Half of a sound must not be taken for one when there is room again.
                part.unlink(missing_ok=True)
                raise
        return path


class _TellsOnce:
    """Keeps one problem until it is taken, and never tells the same one again."""

    def __init__(self) -> None:
        self._problem = ""
        self._told: set[str] = set()

    def tell(self, problem: str) -> None:
        if problem not in self._told:
            self._told.add(problem)
            self._problem = problem

    def take(self) -> str:
        problem, self._problem = self._problem, ""
        return problem


def _no_sound() -> str:
    return translate(
        "Sound", "This machine cannot play the alarm sound, so alarms only beep and show."
    )


def _no_file(error: OSError) -> str:
    return translate(
        "Sound",
        "The alarm sound can't be written to the temporary folder ({why}), so alarms only beep and show. "
        "Make room on its disk.",
    ).format(why=error.strerror or error)


class CommandSound:
    """Plays by starting one of the machine's players; goes on to the next when one fails."""

    def __init__(self, players: Sequence[tuple[str, ...]], start: Launch = launch) -> None:
        self._players = list(players)
        self._start = start
        self._files = _Files()
        self._child: Child | None = None
        self._once = _TellsOnce()

    def play(self, sound: Sound, loudness: float = 1.0) -> bool:
        """Begin to play, in place of what plays now."""
        self._look_at_last()
        self.stop()
        while self._players:
            try:
                path = self._files.path(sound, loudness)
            except OSError as error:
                log.warning("no sound file could be written: %s", error)
                self._once.tell(_no_file(error))
                return False
            try:
                self._child = self._start((*self._players[0], str(path)))
            except OSError as error:
                self._give_up_player(str(error))
                continue
            return True
        self._once.tell(_no_sound())
        return False

    def stop(self) -> None:
        """Be silent."""
        if self._child is not None and self._child.poll() is None:
            self._child.terminate()
        self._child = None

    def take_problem(self) -> str:
        """Why nothing can be heard, told once."""
        self._look_at_last()
        return self._once.take()

    def _look_at_last(self) -> None:
        """A player that ended with an error was not heard."""
        if self._child is None:
            return
        code = self._child.poll()
        if code is None:
            return
        self._child = None
        if code > 0:
            self._give_up_player(f"exit code {code}")

    def _give_up_player(self, why: str) -> None:
        player = self._players.pop(0)
        log.warning("the player %s failed: %s", player[0], why)
        if not self._players:
            self._once.tell(_no_sound())


class WindowsSound:
    """Plays through the system's own call, which returns at once."""

    _ASYNC, _NO_DEFAULT, _FILE = 0x0001, 0x0002, 0x20000

    def __init__(self) -> None:
        self._files = _Files()
        self._once = _TellsOnce()

    def play(self, sound: Sound, loudness: float = 1.0) -> bool:
        """Begin to play, in place of what plays now."""
        try:
            path = self._files.path(sound, loudness)
            self._call(str(path), self._FILE | self._ASYNC | self._NO_DEFAULT)
        except (OSError, RuntimeError, ImportError) as error:
            log.warning("the sound could not be played: %s", error)
            self._once.tell(_no_sound())
            return False
        return True

    def stop(self) -> None:
        """Be silent."""
        try:
            self._call(None, self._ASYNC)
        except (RuntimeError, ImportError) as error:
            log.warning("the sound could not be stopped: %s", error)

    def take_problem(self) -> str:
        """Why nothing can be heard, told once."""
        return self._once.take()

    @staticmethod
    def _call(path: str | None, flags: int) -> None:
        importlib.import_module("winsound").PlaySound(path, flags)
