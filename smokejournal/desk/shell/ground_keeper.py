"""Keeps the ground that the person chose, or that the time of day or the system asks for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from PySide6.QtCore import QObject, Qt, Slot
from PySide6.QtGui import QGuiApplication

from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.parts.zone_box import machine_zone
from smokejournal.services.program.ground import ground_by_rule
from smokejournal.services.program.settings import GroundName, Settings


def system_dark() -> bool | None:
    """Whether the system's own look is dark; None where it doesn't say."""
    scheme = QGuiApplication.styleHints().colorScheme()
    return {Qt.ColorScheme.Dark: True, Qt.ColorScheme.Light: False}.get(scheme)


class GroundKeeper(QObject):
    """Calls `show(name)` when another ground is due. A ground that was chosen by hand stays until what
    the rule asks for changes."""

    def __init__(
        self,
        context: DeskContext,
        show: Callable[[GroundName], None],
        dark: Callable[[], bool | None] = system_dark,
    ) -> None:
        super().__init__(context)
        self._context = context
        self._show = show
        self._dark = dark
        self._kept: Settings | None = None
        #: What the rule asked for when it was looked at last.
        self._asked: GroundName | None = None
        context.ticked.connect(self._on_tick)

    def keep(self, kept: Settings) -> None:
        """Go by these settings. Where they say of grounds what they said before, nothing changes."""
        before, self._kept = self._kept, kept
        if before is not None and _of_grounds(before) == _of_grounds(kept):
            return
        self._asked = self._rule(kept)
        self._show(self._asked or kept.ground)

    def choose(self, name: GroundName) -> None:
        """The person wants this one now."""
        if self._kept is not None:
            self._kept = replace(self._kept, ground=name)
        self._show(name)

    def _rule(self, kept: Settings) -> GroundName | None:
        zone = kept.zone or machine_zone()
        return ground_by_rule(kept, self._context.now_s(), zone, self._dark())

    @Slot(float)
    def _on_tick(self, _now_s: float) -> None:
        if self._kept is None or self._kept.ground_by == "hand":
            return
        asked = self._rule(self._kept)
        dark = asked == "night"
        # A sunny ground in place of a plain one was the hand's doing, and no change of the rule's.
        if asked is None or (self._asked is not None and dark == (self._asked == "night")):
            return
        self._asked = asked
        self._show(asked)


def _of_grounds(kept: Settings) -> tuple[object, ...]:
    return kept.ground, kept.ground_by, kept.night_from_s, kept.night_to_s, kept.zone
