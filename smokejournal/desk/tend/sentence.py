"""Where the cook stands, in words, and what the cook may say to the stage."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal, SignalInstance, Slot
from PySide6.QtWidgets import (
    QMenu,
    QPushButton,
    QSizePolicy,
    QWidget,
)

from smokejournal.cook.progress.sentence import Sentence
from smokejournal.cook.progress.standing import Standing
from smokejournal.desk.base.theme import SENTENCE_PX, TITLE_PX, set_kind
from smokejournal.desk.base.widgets import FILL, new_button, new_column, new_row, say
from smokejournal.desk.parts.short_label import ShortLabel
from smokejournal.desk.parts.single_keys import plain_text
from smokejournal.desk.tend.fit_label import FitLabel

EXTENSIONS_MIN = (5, 10, 30)


class SentencePanel(QWidget):
    """Where the cook stands: one line that keeps its height, whatever it says."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("sentence")
        self._head = FitLabel(self)
        self._head.setObjectName("sentenceHead")
        self.set_scale(1.0)
        new_column(self, self._head, margins=0)

    def set_scale(self, scale: float, *, close: bool = False) -> None:
        """Write larger in a large window, `close` in a low one."""
        self._head.set_size(round((TITLE_PX if close else SENTENCE_PX) * scale))

    def show_sentence(self, said: Sentence) -> None:
        """Show it."""
        if self._head.text() != said.head:
            self._head.setText(said.head)
        self.setAccessibleName(said.text)


class ToDoLine(QWidget):
    """What to do now, one thing, and behind it what comes next. It keeps its height too.

    What is wrong comes first, then what the stage waits for, then fuel, then what the stage asks.
    `told(words, wrong)` carries the one thing whenever it is shown.
    """

    told = Signal(str, bool)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("toDo")
        self.setAccessibleName(self.tr("What to do now"))
        self._said = Sentence("")
        self._add = ""
        self._do = self._label("toDoNow", "section")
        self._do.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Preferred)
        self._next = self._label("toDoNext", "faint")
        self._next.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        new_row(self, self._do, (self._next, 1), spacing=12, margins=0)

    def show_sentence(self, said: Sentence) -> None:
        """What the stage has to say."""
        self._said = said
        self._show()

    @Slot(str)
    def set_add(self, words: str) -> None:
        """What fuel to add; empty: none."""
        self._add = words
        self._show()

    def _show(self) -> None:
        said = self._said
        asked = (said.instruction, self._add) if said.wants_hand else (self._add, said.instruction)
        first = next((text for text in (said.trouble, *asked) if text), "")
        set_kind(self._do, "problem" if said.trouble else "section")
        say(self._do, first)
        self.told.emit(first, bool(said.trouble))
        # As wide as its text in the font that it has now: the time stands at its end.
        self._do.ensurePolished()
        wide = self._do.fontMetrics().horizontalAdvance(first) + 2
        self._do.setMinimumWidth(min(wide, max(0, self.width() - 40)))
        rest = [text for text in (said.since, *asked, said.next) if text and text != first]
        say(self._next, " ".join(rest))

    def _label(self, name: str, kind: str) -> ShortLabel:
        label = ShortLabel(self)
        label.setObjectName(name)
        label.setProperty("kind", kind)
        return label


class StageControls(QWidget):
    """Begin, confirm, more time, skip, put back, let the check probe lead, close."""

    begin_asked = Signal()
    confirm_asked = Signal()
    extend_asked = Signal(object)
    skip_asked = Signal()
    put_back_asked = Signal(str)
    lead_asked = Signal()
    close_asked = Signal()
    taste_asked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("stageControls")
        self.setAccessibleName(self.tr("Stage"))
        begin, lead = self.tr("Begin the cook  Enter"), self.tr("Let the check probe lead")
        self._begin = self._button("stageBegin", begin, self.begin_asked)
        set_kind(self._begin, "ember")
        self._confirm = self._button("stageConfirm", self.tr("Confirm  Enter"), self.confirm_asked)
        self._extend = self._button("stageExtend", self.tr("More time  X"))
        self._skip = self._button("stageSkip", self.tr("Skip  K"), self.skip_asked)
        self._back = self._button("stagePutBack", self.tr("Put back  B"))
        self._lead = self._button("stageLead", lead, self.lead_asked)
        self._close = self._button("stageClose", self.tr("Close the cook"), self.close_asked)
        self._taste = self._button("stageTaste", self.tr("Go to Taste"), self.taste_asked)
        self._extend_menu = QMenu(self._extend)
        for minutes in EXTENSIONS_MIN:
            action = self._extend_menu.addAction(
                self.tr("{minutes} min")
                .format(minutes=minutes)
                .replace(str(minutes), f"&{minutes}")
            )
            action.setData(minutes * 60.0)
        self._extend_menu.addAction(self.tr("&Other")).setData(None)
        self._extend_menu.triggered.connect(self._on_extend)
        self._extend.setMenu(self._extend_menu)
        self._back_menu = QMenu(self._back)
        self._back_menu.triggered.connect(self._on_back)
        self._back.setMenu(self._back_menu)
        self._back_to: tuple[tuple[str, str], ...] = ()
        at_hand = (self._begin, self._confirm, self._extend, self._skip, self._back, self._lead)
        # Closing is away from the others: it is wanted once, and never by mistake.
        new_row(self, *at_hand, self._taste, FILL, self._close, spacing=6, margins=0)

    def show_standing(self, standing: Standing, said: Sentence) -> None:
        """Offer what may be said now; what needs the hand most is in ember."""
        run = standing.current
        running = standing.phase == "running" and run is not None
        self._begin.setVisible(standing.phase == "planned")
        self._confirm.setVisible(running)
        self._confirm.setText(
            self.tr("Confirm  Enter") if said.wants_hand else self.tr("End this stage now")
        )
        set_kind(self._confirm, "ember" if said.wants_hand else "quick")
        self._extend.setVisible(running)
        self._skip.setVisible(running)
        earlier = [past.stage for past in standing.runs[: -1 if running else None]]
        self._offer_back(
            tuple(dict.fromkeys((stage.key, stage.name) for stage in reversed(earlier)))
            if standing.phase in ("running", "done")
            else ()
        )
        self._offer_check(standing)
        self._close.setVisible(standing.phase in ("running", "done"))
        set_kind(self._close, "ember" if standing.phase == "done" else "quick")
        self._taste.setVisible(standing.phase == "closed")

    def open_extend(self) -> None:
        """Show the choices of more time."""
        if self._extend.isVisible():
            self._extend.showMenu()

    def open_put_back(self) -> None:
        """Show the stages that can be gone back to."""
        if self._back.isVisible():
            self._back.showMenu()

    def _offer_back(self, stages: tuple[tuple[str, str], ...]) -> None:
        self._back.setVisible(bool(stages))
        if stages == self._back_to:
            return
        self._back_to = stages
        self._back_menu.clear()
        for n, (key, name) in enumerate(stages):
            digit = f"&{n + 1}  " if n < 9 else ""
            self._back_menu.addAction(digit + plain_text(name)).setData(key)

    def _offer_check(self, standing: Standing) -> None:
        lead = standing.channels.get(standing.lead) if standing.lead else None
        check = standing.channels.get(standing.check) if standing.check else None
        offered = (
            standing.phase == "running"
            and check is not None
            and check.status == "good"
            and (lead is None or lead.status != "good")
        )
        self._lead.setVisible(offered)
        if offered and check is not None:
            text = self.tr("Let {probe} lead").format(probe=check.channel.name)
            self._lead.setText(plain_text(text))
            self._lead.setAccessibleName(text)

    def _button(self, name: str, text: str, on: SignalInstance | None = None) -> QPushButton:
        button = new_button(self, text, on, name=name, hears=text)
        button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        button.hide()
        return button

    @Slot(object)
    def _on_extend(self, action: object) -> None:
        self.extend_asked.emit(getattr(action, "data", lambda: None)())

    @Slot(object)
    def _on_back(self, action: object) -> None:
        self.put_back_asked.emit(str(getattr(action, "data", lambda: "")()))
