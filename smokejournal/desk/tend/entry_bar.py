"""The bar of quick entries: a button each, with the single key that does the same written on it."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt, Signal, Slot
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QGridLayout, QPushButton, QSizePolicy, QWidget

from smokejournal.cook.text.quantities import duration
from smokejournal.desk.base.theme import set_kind
from smokejournal.desk.base.widgets import new_button

#: What is asked for, and the single key that asks for it, in the order of the buttons.
QUICK: tuple[tuple[str, str], ...] = (
    ("lid", "L"),
    ("reading", "R"),
    ("wrap", "W"),
    ("spritz", "S"),
    ("fuel", "F"),
    ("hopper", "H"),
    ("store", "U"),
    ("probe", "P"),
    ("weather", "E"),
    ("note", "N"),
)

#: What is still written down after the cook: how much fuel is left, how it was.
AFTERWARDS = ("hopper", "store", "weather", "note")


class EntryBar(QWidget):
    """Buttons that ask for an entry, in two rows where their words don't fit into one. They never take the
    focus by a click, so that keys go on."""

    asked = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("entryBar")
        self.setAccessibleName(self.tr("Quick entries"))
        self._grid = QGridLayout(self)
        self._grid.setSpacing(6)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._in_a_row = len(QUICK)
        self._buttons: dict[str, QPushButton] = {}
        words = self._words()
        for asks, key in QUICK:
            shown, spoken = words[asks]
            button = new_button(self, "", name=f"entry_{asks}", hears=spoken)
            button.setAccessibleDescription(self.tr("Key {key}").format(key=key))
            button.setProperty("asks", asks)
            button.setProperty("kind", "quick")
            button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            button.setText(self._labeled(shown, key))
            button.clicked.connect(self._on_clicked)
            self._buttons[asks] = button
            self._grid.addWidget(button, 0, len(self._buttons) - 1)
        self.set_lid(None)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._lay_out()

    def minimumSizeHint(self) -> QSize:
        """As narrow as two rows allow."""
        widest = max(button.sizeHint().width() for button in self._buttons.values())
        half = len(self._buttons) // 2
        edges = self.contentsMargins()
        width = half * widest + (half - 1) * self._grid.spacing() + edges.left() + edges.right()
        return QSize(width, super().minimumSizeHint().height())

    def _lay_out(self) -> None:
        """One row where all words fit into it, else two."""
        room = self.contentsRect().width() - (len(self._buttons) - 1) * self._grid.spacing()
        fits = sum(button.sizeHint().width() for button in self._buttons.values()) <= room
        in_a_row = len(self._buttons) if fits else len(self._buttons) // 2
        if in_a_row == self._in_a_row:
            return
        self._in_a_row = in_a_row
        for place, button in enumerate(self._buttons.values()):
            self._grid.addWidget(button, place // in_a_row, place % in_a_row)
        self.updateGeometry()

    def _words(self) -> dict[str, tuple[str, str]]:
        return {
            "lid": (self.tr("Lid"), self.tr("Lid opened or closed")),
            "reading": (self.tr("Reading"), self.tr("Reading by hand")),
            "wrap": (self.tr("Wrap"), self.tr("Wrapped or unwrapped")),
            "spritz": (self.tr("Spritz"), self.tr("Spritzed")),
            "fuel": (self.tr("Fuel"), self.tr("Fuel added")),
            "hopper": (self.tr("Hopper"), self.tr("Hopper level or emptied")),
            "store": (self.tr("Used"), self.tr("Used from the stores")),
            "probe": (self.tr("Probe"), self.tr("Probe moved or put back")),
            "weather": (self.tr("Weather"), self.tr("Weather observed")),
            "note": (self.tr("Note"), self.tr("Note")),
        }

    def spoken(self, asks: str) -> str:
        """What is asked for, in words of its own."""
        return self._words()[asks][1]

    def set_lid(self, open_s: float | None) -> None:
        """How long the lid has been open [s]; None while it is closed."""
        button = self._buttons["lid"]
        if open_s is None:
            words = self.tr("Open lid")
        else:
            words = self.tr("Close lid, {duration}").format(duration=duration(open_s))
            button.setAccessibleDescription(
                self.tr("Open for {duration}. Key L").format(duration=duration(open_s))
            )
        button.setText(self._labeled(words, "L"))
        set_kind(button, "quick" if open_s is None else "ember")
        self._lay_out()

    def set_over(self, over: bool) -> None:
        """A cook that is over takes no more of what happens on the fire."""
        for asks, button in self._buttons.items():
            button.setEnabled(not over or asks in AFTERWARDS)

    @staticmethod
    def _labeled(words: str, key: str) -> str:
        return f"{words}  {key}".replace("&", "&&")

    @Slot()
    def _on_clicked(self) -> None:
        button = self.sender()
        if button is not None:
            self.asked.emit(str(button.property("asks")))
