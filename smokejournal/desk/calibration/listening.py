"""Hearing what probes say now: from the input that feeds the chosen cook, or from one that is only
set up. Nothing of it is recorded."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from PySide6.QtCore import QObject, QTimer, Signal

from smokejournal.desk.base.background import in_background
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.error_words import why_of
from smokejournal.inputs.configs import Config
from smokejournal.inputs.line_format import LineFormat
from smokejournal.services.feeds.calibration import readings_in_lines, readings_in_log
from smokejournal.services.feeds.preview import LinePreview

LOOK_MS = 500


class Listening(QObject):
    """`heard(tuple[Heard], listening, running)` twice a second while it is on; `trouble(text)` where
    nothing can be heard.

    `to_listen` gives the input as it is set up and how its lines are read; None where it can't be
    heard.
    """

    received = Signal(object, bool, bool)
    trouble = Signal(str)

    def __init__(
        self,
        context: DeskContext,
        to_listen: Callable[[], tuple[Config, LineFormat | None] | None],
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._context = context
        self._to_listen = to_listen
        self._names: Mapping[str, str] = {}
        self._form: LineFormat | None = None
        self._look: LinePreview | None = None
        self._on = False
        self._timer = QTimer(self)
        self._timer.setInterval(LOOK_MS)
        self._timer.timeout.connect(self.look)

    def set_names(self, names: Mapping[str, str]) -> None:
        """What the channels of the chosen cook are called."""
        self._names = names

    def turn_on(self) -> None:
        """Look at what is heard from now on."""
        self._on = True
        self._timer.start()
        self.look()

    def turn_off(self) -> None:
        """Nobody looks: give the port back."""
        self._on = False
        self._timer.stop()
        self.stop()

    def is_listening(self) -> bool:
        """Whether the input is held open here."""
        return self._look is not None

    def listen(self) -> None:
        """Hear the input as it is set up; where that is done already, stop."""
        if self._look is not None:
            self.stop()
            return
        feeds, asked = self._context.feeds, self._to_listen()
        if feeds is None or asked is None:
            self.trouble.emit(
                self.tr("Set up the input on the Input side first, or type what the probe shows.")
            )
            return
        config, self._form = asked
        self._context.after(
            in_background(lambda: feeds.preview(config)), self._on_listening, self._on_not_heard
        )

    def stop(self) -> None:
        """Give the port back. It may take a moment, so it is not done here."""
        look, self._look = self._look, None
        if look is not None:
            self._context.after(in_background(look.stop))
        self.look()

    def look(self) -> None:
        """Tell what is heard now."""
        chosen, feeds = self._context.chosen, self._context.feeds
        running = feeds is not None and chosen is not None and feeds.status().cook_id == chosen
        if running and chosen is not None:
            log = self._context.live(chosen).log()
            received = readings_in_log(log, self._names, self._context.now_s())
        elif self._look is not None:
            lines = self._look.lines()
            if lines and self._form is not None and not self._form.columns:
                # Nothing was set up yet: read what looks like temperatures, by column.
                self._form = self._look.guess()
                self._look.set_format(self._form)
                lines = self._look.lines()
            received = readings_in_lines(lines, self._names)
        else:
            received = ()
        self.received.emit(received, self._look is not None, running)

    def _on_listening(self, look: LinePreview) -> None:
        if not self._on or self._look is not None:
            self._context.after(in_background(look.stop))
            return
        self._look = look
        if self._form is not None:
            look.set_format(self._form)
        self.look()

    def _on_not_heard(self, error: BaseException) -> None:
        self.trouble.emit(why_of(error))
