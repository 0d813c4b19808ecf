"""Keeps the machine awake while a cook is under way, and says in the spine whether that works."""

from __future__ import annotations

from PySide6.QtCore import Slot
from PySide6.QtWidgets import QLabel, QWidget

from smokejournal.cook.log.entries import CookClosed, CookOpened, ScheduleStarted, Strike
from smokejournal.desk.base.context import DeskContext
from smokejournal.host.awake import Wakeful, Wakefulness
from smokejournal.journal import Change

#: Entries after which another cook, or none, may be under way.
_TURNS = (CookOpened, ScheduleStarted, CookClosed, Strike)


class AwakeLine(QLabel):
    """Hidden without a cook under way. Until `set_wanted` is called, nothing is held."""

    def __init__(
        self, context: DeskContext, wakeful: Wakeful, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setObjectName("awakeLine")
        self.setProperty("kind", "mark")
        self.setWordWrap(True)
        self.setIndent(12)  # in line with the buttons
        self._context = context
        self._wakeful = wakeful
        self._wanted: bool | None = None
        self._under_way = False
        self._holds = False
        self._told = False
        self.hide()
        context.cook_changed.connect(self._on_change)
        context.ticked.connect(self._look)

    def set_wanted(self, wanted: bool) -> None:
        """Whether the person wants it."""
        self._wanted = wanted
        self._turn()

    def let_go(self) -> None:
        """Give sleep and screen back, for good."""
        self._wanted = None
        self._turn()

    @Slot(object)
    def _on_change(self, change: Change) -> None:
        if any(isinstance(entry.what, _TURNS) for entry in change.entries):
            self._turn()

    def _turn(self) -> None:
        self._under_way = self._wanted is not None and self._context.program.under_way() is not None
        holds = self._under_way and bool(self._wanted)
        if holds and not self._holds:
            self._wakeful.hold()
        elif self._holds and not holds:
            self._wakeful.let_go()
        self._holds = holds
        self._look()

    @Slot()
    def _look(self) -> None:
        if not self._under_way:
            self.hide()
            return
        if not self._holds:
            self._say(
                self.tr("This machine may fall asleep"),
                self.tr(
                    "Keeping this machine awake is switched off in Settings. Asleep, it records nothing "
                    "and calls nobody."
                ),
            )
            return
        held = self._wakeful.look()
        if held.sleep == "asked":
            return
        if held.sleep == "held":
            self._say(self.tr("Kept awake while the cook is under way"), self._limits(held))
            return
        cure = self.tr(
            "Set it to never sleep in its power settings, plug it in, and leave the lid open. Asleep, it "
            "records nothing and calls nobody."
        )
        self._say(self.tr("This machine may fall asleep"), cure)
        if not self._told:
            self._told = True
            self._context.tell(
                self.tr(
                    "This machine may fall asleep: it does not let this program keep it awake."
                ),
                cure,
            )

    def _limits(self, held: Wakefulness) -> str:
        lid = (
            self.tr("Leave the lid open all the same: some machines sleep when it is closed.")
            if held.lid == "held"
            else self.tr("Leave the lid open: closed, this machine sleeps all the same.")
        )
        if held.screen != "refused":
            return lid
        dark = self.tr(
            "The screen may go dark, and the cook goes on. To keep it lit, change that in the power "
            "settings."
        )
        return f"{lid}\n{dark}"

    def _say(self, text: str, more: str) -> None:
        self.setText(text)
        self.setToolTip(more)
        self.setAccessibleDescription(more)
        self.show()
