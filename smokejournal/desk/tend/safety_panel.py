"""Food safety on Tend: one line that folds it, and the lines when it is open.

What is shown is read off the log away from the painting thread. No figure stands here without what it
doesn't cover.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QFrame,
    QLabel,
    QScrollArea,
    QWidget,
)

from smokejournal.cook.safety.assessment import Safety
from smokejournal.cook.safety.facts import State
from smokejournal.cook.safety.lines import SafetyLine, food_name, headline, taken_against
from smokejournal.cook.safety.words import SafetyWords
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.refresher import Refresher
from smokejournal.desk.base.theme import set_kind
from smokejournal.desk.base.widgets import FILL, new_button, new_column, new_label, new_row, say
from smokejournal.desk.parts.short_label import ShortLabel
from smokejournal.services.program.live import LiveCook

#: Every so many seconds it is looked at again, open and folded.
EVERY_OPEN, EVERY_FOLDED = 3, 15

_KINDS: dict[State, str] = {
    "met": "good",
    "not_yet": "faint",
    "over": "problem",
    "unknown": "faint",
    "idle": "faint",
}


class SafetyBar(QWidget):
    """The one line: a button that opens and folds, and how many lines stand how. No figure."""

    toggled = Signal(bool)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("safetyBar")
        self.setAccessibleName(self.tr("Food safety"))
        self.button = new_button(self, "", name="safetyOpen", kind="quiet")
        self.button.setCheckable(True)
        self.button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.button.toggled.connect(self._on_toggled)
        self._words = ShortLabel(self)
        self._words.setObjectName("safetyHeadline")
        new_row(self, self.button, (self._words, 1), spacing=6, margins=0)
        self._on_toggled(False)

    def show_lines(self, lines: Sequence[SafetyLine]) -> None:
        """Tell how the lines stand."""
        self._words.setText(headline(lines))
        over = any(line.state == "over" for line in lines)
        set_kind(self._words, "problem" if over else "faint")

    @Slot(bool)
    def _on_toggled(self, opened: bool) -> None:
        text = self.tr("Fold food safety  T") if opened else self.tr("Food safety  T")
        self.button.setText(text)
        self.button.setAccessibleName(text.removesuffix("T").strip())
        self.toggled.emit(opened)


class LineView(QWidget):
    """One line: title, how it stands, what is known, what it doesn't cover, who published it."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName(name)
        self._title = self._label("Title", "section")
        self._state = self._label("State", "faint")
        self._text = self._label("Text", "")
        self._caveat = self._label("Caveat", "caution")
        self._detail = self._label("Detail", "faint")
        self._source = self._label("Source", "mark")
        below = (self._text, self._caveat, self._detail, self._source)
        for label in below:
            label.setWordWrap(True)
        head = new_row(None, self._title, FILL, self._state)
        column = new_column(self, head, spacing=2, margins=(0, 0, 0, 6))
        for label in below:
            column.addWidget(label)

    def show_line(self, line: SafetyLine) -> None:
        """Show it."""
        self._title.setText(line.title)
        self._state.setText(line.state_words)
        set_kind(self._state, _KINDS[line.state])
        self._text.setText(line.text)
        say(self._caveat, line.caveat)
        say(self._detail, line.detail)
        say(self._source, line.source)
        self.setAccessibleName(
            f"{line.title}, {line.state_words}. {line.text} {line.caveat} {line.detail}".strip()
        )

    def _label(self, part: str, kind: str) -> QLabel:
        label = new_label(self, name=f"{self.objectName()}{part}", kind=kind)
        return label


class FoodView(QWidget):
    """All lines of one kind of food, with the button that chooses its table."""

    table_asked = Signal(str)

    def __init__(self, food: str, keys: Sequence[str], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName(f"safety_{food}")
        self._food = food
        self._name = new_label(self, name=f"safetyName_{food}", kind="section", wraps=True)
        self.choose = new_button(
            self, self.tr("Table and probes"), name=f"safetyChoose_{food}", kind="quick"
        )
        self.choose.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.choose.clicked.connect(self._on_choose)
        head = new_row(None, (self._name, 1))
        head.addWidget(self.choose, 0, Qt.AlignmentFlag.AlignTop)
        column = new_column(self, head, spacing=6, margins=(0, 0, 0, 8))
        self._views = {key: LineView(f"safetyLine_{food}_{key}", self) for key in keys}
        for view in self._views.values():
            column.addWidget(view)

    def show_food(self, name: str, lines: Sequence[SafetyLine]) -> None:
        """Show its lines."""
        self._name.setText(name)
        self.choose.setAccessibleName(self.tr("Table and probes for {food}").format(food=name))
        for line in lines:
            self._views[line.key].show_line(line)

    @Slot()
    def _on_choose(self) -> None:
        self.table_asked.emit(self._food)


class SafetyPanel(QWidget):
    """The open lines. `told` carries all lines, whether it is open or not."""

    told = Signal(object)
    table_asked = Signal(str)
    refrigerator_asked = Signal()
    folded = Signal()

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("safetyPanel")
        self.setAccessibleName(self.tr("Food safety"))
        self._context = context
        self._live: LiveCook | None = None
        self._safety: Safety | None = None
        # Open or folded: what it says is told on the folded line as well.
        self._refresher = Refresher(
            self, context, self._ask, self._on_safety, in_sight=lambda: self._live is not None
        )
        self._ticks = 0
        self._foods: dict[str, FoodView] = {}
        self._keys: tuple[tuple[str, tuple[str, ...]], ...] = ()
        self._note = new_label(self, name="safetyNote", kind="faint", wraps=True)
        self._simulated = new_label(
            self, self.tr("SIMULATED: no real readings"), name="safetySimulated", kind="problem"
        )
        self._cold = new_button(
            self, self.tr("Out of the refrigerator, or put away"), name="safetyRefrigerator"
        )
        self._cold.setAccessibleName(self._cold.text())
        self._cold.setProperty("kind", "quick")
        self._cold.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self._cold.clicked.connect(self.refrigerator_asked)
        room = QWidget(self)
        self._column = new_column(
            room, self._simulated, self._cold, self._note, FILL, spacing=4, margins=(0, 0, 8, 0)
        )
        scroll = QScrollArea(self)
        scroll.setObjectName("safetyScroll")
        scroll.setAccessibleName(self.tr("Lines about food safety"))
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        # Arrow keys scroll it: nothing else in it takes them.
        scroll.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        scroll.setWidget(room)
        # What was made before its frame is passed over by Tab.
        QWidget.setTabOrder(scroll, self._cold)
        self.setFocusProxy(scroll)
        new_column(self, scroll, margins=0)
        context.units_changed.connect(self._show)
        context.ticked.connect(self._on_tick)
        self._show()

    def set_live(self, live: LiveCook | None) -> None:
        """Tell of this cook."""
        self._live = live
        self._safety = None
        self._show()
        self.refresh()

    @Slot()
    def refresh(self) -> None:
        """Read the log again; while that goes on, once more afterwards."""
        self._ticks = 0
        self._refresher.refresh()

    def _ask(self) -> Callable[[], tuple[LiveCook, Safety]] | None:
        live = self._live
        return None if live is None else lambda: (live, live.safety())

    def _on_safety(self, found: tuple[LiveCook, Safety]) -> None:
        live, safety = found
        if live is self._live:
            self._safety = safety
            self._show()

    @Slot(float)
    def _on_tick(self, _now_s: float) -> None:
        self._ticks += 1
        if self._ticks >= (EVERY_OPEN if self.isVisible() else EVERY_FOLDED):
            self.refresh()

    @Slot()
    def _show(self) -> None:
        safety = self._safety
        self._simulated.setVisible(safety is not None and safety.simulated)
        self._note.setText(
            self.tr("What was measured, beside published figures. It promises nothing.")
            + " "
            + taken_against()
        )
        if safety is None:
            self._take_foods(())
            self.told.emit(())
            return
        words = SafetyWords(safety, self._context.units)
        found = [(food, words.lines(food)) for food in safety.foods]
        self._take_foods(
            tuple((food.food, tuple(line.key for line in lines)) for food, lines in found)
        )
        for food, lines in found:
            self._foods[food.food].show_food(food_name(food.food, food.names), lines)
        self.told.emit(tuple(line for _, lines in found for line in lines))

    def _take_foods(self, keys: tuple[tuple[str, tuple[str, ...]], ...]) -> None:
        """Other kinds of food, or other lines of the same."""
        if keys == self._keys:
            return
        self._keys = keys
        for view in self._foods.values():
            self._column.removeWidget(view)
            view.setParent(None)
            view.deleteLater()
        self._foods = {}
        for n, (food, lines) in enumerate(keys):
            view = FoodView(food, lines, self)
            view.table_asked.connect(self.table_asked)
            self._foods[food] = view
            self._column.insertWidget(1 + n, view)
            view.show()

    def key_words(self) -> tuple[tuple[str, str], ...]:
        """For the list of keys."""
        return (("Esc", self.tr("Hide food safety again")),)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Escape folds it."""
        if event.key() == Qt.Key.Key_Escape:
            self.folded.emit()
        else:
            super().keyPressEvent(event)

    def showEvent(self, event: Any) -> None:
        """What came meanwhile."""
        super().showEvent(event)
        self.refresh()
