"""Tend: the cook under way. Where it stands, what the probes say, the score, and quick entries."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from PySide6.QtCore import Qt, QTimer, Signal, Slot
from PySide6.QtGui import QResizeEvent, QShowEvent
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLabel,
    QScrollArea,
    QSizePolicy,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from smokejournal.cook.log.entries import FoodClass, WeatherObserved
from smokejournal.cook.log.log_lines import LogLine, log_lines
from smokejournal.cook.progress.readout import readouts
from smokejournal.cook.progress.sentence import Sentence, sentence
from smokejournal.cook.progress.standing import Standing
from smokejournal.desk.alarms.strip import AlarmStrip
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.theme import GROUNDS
from smokejournal.desk.entry.entry_form import EntryForm, Said
from smokejournal.desk.forecast.line import ForecastLine
from smokejournal.desk.fuel.line import FuelLine
from smokejournal.desk.parts.ask_dialog import AskDialog
from smokejournal.desk.parts.empty_state import EmptyState
from smokejournal.desk.parts.other_cook_notice import OtherCook
from smokejournal.desk.parts.single_keys import SingleKeys
from smokejournal.desk.tend.entry_bar import AFTERWARDS, QUICK, EntryBar
from smokejournal.desk.tend.forms import TendForms
from smokejournal.desk.tend.log_list import LogList
from smokejournal.desk.tend.readings import ReadingsPanel
from smokejournal.desk.tend.safety_panel import SafetyBar, SafetyPanel
from smokejournal.desk.tend.score import ScorePanel
from smokejournal.desk.tend.sentence import SentencePanel, StageControls
from smokejournal.desk.tend.writer import TendWriter
from smokejournal.host.sound import SoundPlayer, sound_player
from smokejournal.journal import Change
from smokejournal.services.program.live import LiveCook

#: Readings that come thick and fast are shown together, this often [ms].
SOON_MS = 200
#: Below this height every line counts [px].
LOW_PX = 660


class TendPage(QWidget):
    """See the module. `taste_asked` carries the cook's id, once it is closed or when it is wanted."""

    taste_asked = Signal(object)
    plan_asked = Signal()

    def __init__(
        self,
        context: DeskContext,
        parent: QWidget | None = None,
        *,
        player: SoundPlayer | None = None,
        strip: AlarmStrip | None = None,
    ) -> None:
        super().__init__(parent)
        self.title = self.tr("Tend")
        self.setObjectName("tend_page")
        self.setAccessibleName(self.title)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._context = context
        self._live: LiveCook | None = None
        self._standing = Standing(0.0)
        self._said = Sentence("")
        self._writer = TendWriter(context, self)
        # In the window the strip stands over every page; alone, the page brings its own.
        self._own_strip = strip is None
        self._alarms = strip or AlarmStrip(context, player or sound_player())
        self._sentence = SentencePanel(self)
        self._controls = StageControls(self)
        self._readings = ReadingsPanel(self)
        self._fuel = FuelLine("tend", context, self)
        self._forecast = ForecastLine(context, self)
        self._log = LogList(self)
        self._bar = EntryBar(self)
        self._forms = TendForms(context.now_s, self)
        self._score = ScorePanel(context, self)
        self._safety = SafetyPanel(context, self)
        self._safety_bar = SafetyBar(self)
        self._empty = EmptyState("tendEmpty", self)
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(SOON_MS)
        self._build()
        self._connect()
        self._add_keys()
        self._on_chosen(context.chosen)

    # -- what is asked of it -----------------------------------------------------------------

    @Slot()
    def refresh(self) -> None:
        """Show everything again."""
        self._show_log()
        self._show_standing()

    @property
    def alarm_strip(self) -> AlarmStrip:
        """The strip of alarms, which sounds too."""
        return self._alarms

    # -- building ----------------------------------------------------------------------------

    def _build(self) -> None:
        self._side = QStackedWidget(self)
        self._side.setObjectName("tendSide")
        # A long log takes the height that is left, and asks for none.
        self._side.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Ignored)
        self._side.addWidget(self._log)
        self._side.addWidget(self._safety)
        for form in self._forms.forms.values():
            self._side.addWidget(form)
        # What was written last is told whether the log is in sight or a form.
        self._status = QLabel(self)
        self._status.setObjectName("logStatus")
        self._status.setProperty("kind", "faint")
        self._status.setWordWrap(True)
        self._status.setTextFormat(Qt.TextFormat.PlainText)
        self._status.setMinimumHeight(self._status.fontMetrics().height())
        side = QWidget(self)
        side.setMinimumWidth(300)
        side.setMaximumWidth(420)
        side_column = QVBoxLayout(side)
        side_column.setContentsMargins(0, 0, 0, 0)
        side_column.setSpacing(4)
        side_column.addWidget(self._safety_bar)
        side_column.addWidget(self._side, 1)
        side_column.addWidget(self._status)
        middle = QHBoxLayout()
        middle.setSpacing(14)
        middle.addWidget(self._score, 5)
        middle.addWidget(side, 2)
        # What does not fit a low window scrolls; alarms above and the entry bar below stay in sight.
        room = QWidget(self)
        column = self._column = QVBoxLayout(room)
        column.addWidget(self._sentence)
        column.addWidget(self._forecast)
        column.addWidget(self._controls)
        self._rules = (self._rule(), self._rule())
        column.addWidget(self._rules[0])
        column.addWidget(self._readings)
        column.addWidget(self._fuel)
        column.addWidget(self._rules[1])
        column.addLayout(middle, 1)
        scroll = self._scroll = QScrollArea(self)
        scroll.setObjectName("tendScroll")
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setWidget(room)
        body = QWidget(self)
        whole = QVBoxLayout(body)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(0)
        whole.addWidget(scroll, 1)
        whole.addWidget(self._bar)
        self._empty.say(
            self.tr("No cook is chosen"),
            self.tr("Choose one on Journal, or plan a new one."),
            self.tr("Plan a cook"),
        )
        self._pages = QStackedWidget(self)
        self._pages.addWidget(self._empty)
        self._pages.addWidget(body)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.setSpacing(0)
        if self._own_strip:
            outer.addWidget(self._alarms)
        outer.addWidget(self._pages, 1)
        self._body = body
        self._set_close(False)

    def _set_close(self, close: bool) -> None:
        """Set a low window closer, so that the score keeps its height."""
        self._column.setContentsMargins(20, 4 if close else 12, 20, 4)
        self._column.setSpacing(2 if close else 8)
        self._bar.setContentsMargins(20, 2 if close else 4, 20, 6 if close else 10)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """A low window is set closer."""
        super().resizeEvent(event)
        self._set_close(self.height() < LOW_PX)

    def _rule(self) -> QFrame:
        rule = QFrame(self)
        rule.setProperty("kind", "rule")
        rule.setFixedHeight(1)
        return rule

    def _connect(self) -> None:
        context = self._context
        context.cook_chosen.connect(self._on_chosen)
        context.cook_changed.connect(self._on_changed)
        context.units_changed.connect(self.refresh)
        context.ticked.connect(self._on_tick)
        context.ground_changed.connect(self._on_ground)
        self._on_ground(context.ground)
        self._soon.timeout.connect(self._show_standing)
        self._empty.asked.connect(self.plan_asked)
        self._bar.asked.connect(self._on_asked)
        self._forms.said.connect(self._on_form_said)
        self._forms.cancelled.connect(self._on_form_cancelled)
        self._log.strike_asked.connect(self._on_strike)
        self._log.restore_asked.connect(self._on_restore)
        self._log.undo_asked.connect(self._writer.undo)
        self._log.redo_asked.connect(self._writer.redo)
        self._score.mark_chosen.connect(self._log.choose_entry)
        self._writer.told.connect(self._status.setText)
        self._writer.changed.connect(self.refresh)
        self._safety.told.connect(self._safety_bar.show_lines)
        self._safety.table_asked.connect(self._choose_table)
        self._safety.refrigerator_asked.connect(self._ask_refrigerator)
        self._safety.folded.connect(self._safety_bar.button.click)
        self._safety_bar.toggled.connect(self._on_safety_open)
        self._forecast.wrap_answered.connect(self._writer.wrap)
        controls = self._controls
        controls.begin_asked.connect(self._begin)
        controls.confirm_asked.connect(self._confirm)
        controls.skip_asked.connect(self._skip)
        controls.extend_asked.connect(self._extend)
        controls.put_back_asked.connect(self._writer.put_back)
        controls.lead_asked.connect(self._swap_lead)
        controls.close_asked.connect(self._ask_close)
        controls.taste_asked.connect(self._ask_taste)

    def _add_keys(self) -> None:
        self._keys = SingleKeys(self)
        for asks, key in QUICK:
            self._keys.add(key, partial(self._on_asked, asks))
        for key in ("Return", "Enter", "Space"):
            self._keys.add(key, self._on_enter)
        self._keys.add("X", self._controls.open_extend)
        self._keys.add("K", self._skip)
        self._keys.add("B", self._controls.open_put_back)
        self._keys.add("A", self._alarms.answer)
        self._keys.add("T", self._safety_bar.button.click)
        self._keys.add("Ctrl+Z", self._writer.undo)
        self._keys.add("Ctrl+Shift+Z", self._writer.redo)

    # -- hearing -----------------------------------------------------------------------------

    @Slot(object)
    def _on_chosen(self, cook_id: int | None) -> None:
        self._live = None if cook_id is None else self._context.live(cook_id)
        self._writer.set_live(self._live)
        self._pages.setCurrentWidget(self._empty if self._live is None else self._body)
        self._close_form()
        self._status.clear()
        self._score.set_live(self._live)
        self._safety.set_live(self._live)
        self.refresh()

    @Slot(object)
    def _on_changed(self, change: Change) -> None:
        if self._live is None or change.cook_id != self._live.cook_id:
            return
        if change.entries:
            self.refresh()
            self._score.refresh()
            self._safety.refresh()
        elif not self._soon.isActive():
            self._soon.start()

    @Slot(float)
    def _on_tick(self, _now_s: float) -> None:
        if self.isVisible():
            self._show_standing()
            self._score.refresh()

    @Slot(str)
    def _on_ground(self, name: str) -> None:
        self._log.set_ground(GROUNDS[name])

    def showEvent(self, event: QShowEvent) -> None:
        """Bring what may have changed meanwhile, and take the keys."""
        super().showEvent(event)
        self.refresh()
        if self._side.currentWidget() is self._log:
            self.setFocus()

    # -- showing -----------------------------------------------------------------------------

    @Slot()
    def _show_standing(self) -> None:
        if self._live is None:
            return
        units = self._context.units
        self._standing = self._live.standing()
        self._said = sentence(self._standing, units, self._live.zone)
        self._sentence.show_sentence(self._said)
        self._controls.show_standing(self._standing, self._said)
        self._readings.show_readouts(readouts(self._standing, units))
        over = self._standing.phase == "closed"
        # What a probe says once the cook is over is no news of it.
        self._readings.setVisible(not over)
        hot = self._standing.phase == "running"
        opened = self._live.opened
        self._fuel.show_cook(
            self._live.cook_id if hot else None,
            self._standing.schedule,
            simulated=opened is not None and opened.simulated,
        )
        self._forecast.show_cook(self._live if hot else None, self._standing)
        self._rules[0].setVisible(not over)
        self._bar.set_over(over)
        since_s = None if over else self._standing.lid_open_since_s
        self._bar.set_lid(None if since_s is None else max(0.0, self._standing.at_s - since_s))

    @Slot()
    def _show_log(self) -> None:
        if self._live is None:
            return
        units = self._context.units
        self._log.set_lines(log_lines(self._live.log(), units, self._writer.hand_readings()))
        self._log.set_undo(*self._writer.undo_words())

    # -- asking ------------------------------------------------------------------------------

    def _on_asked(self, what: str) -> None:
        if self._live is None or (self._standing.phase == "closed" and what not in AFTERWARDS):
            return
        if what == "lid":
            self._writer.lid(self._standing.lid_open_since_s is None)
            return
        self._open_form(what)

    def _open_form(self, name: str) -> None:
        if self._live is None:
            return
        form = self._forms.ready(name, self._live, self._standing, self._context)
        self._side.setCurrentWidget(form)
        form.open()
        # Once it is laid out: in a low window its button may be below the edge.
        QTimer.singleShot(0, self._show_form)

    @Slot()
    def _show_form(self) -> None:
        form = self._side.currentWidget()
        if isinstance(form, EntryForm):
            self._scroll.ensureWidgetVisible(form.record, 0, 8)

    @Slot()
    def _close_form(self) -> None:
        opened = self._safety_bar.button.isChecked()
        self._side.setCurrentWidget(self._safety if opened else self._log)
        self._scroll.verticalScrollBar().setValue(0)
        if self.isVisible():
            self.setFocus()

    @Slot(bool)
    def _on_safety_open(self, opened: bool) -> None:
        if not isinstance(self._side.currentWidget(), EntryForm):
            self._close_form()
        if opened:
            self._safety.setFocus()

    @Slot(str)
    def _choose_table(self, food: FoodClass) -> None:
        if self._live is not None:
            self._forms.choose_food(food, self._live)
            self._open_form("safety")

    @Slot()
    def _ask_refrigerator(self) -> None:
        self._open_form("refrigerator")

    @Slot()
    def _on_form_cancelled(self) -> None:
        form = self._side.currentWidget()
        self._close_form()
        if isinstance(form, EntryForm) and form.waits():
            self._status.setText(self.tr("Not recorded yet: your note waits where you left it."))

    @Slot(object, object)
    def _on_form_said(self, form: EntryForm, said: Said) -> None:
        self._writer.write(said, partial(self._form_written, form), form.failed)

    def _form_written(self, form: EntryForm) -> None:
        form.written()
        if form is self._forms.forms["close"]:
            self._close_form()
            self._ask_taste()
        elif self._side.currentWidget() is form:
            self._close_form()

    @Slot()
    def _on_enter(self) -> None:
        if self._standing.phase == "planned":
            self._begin()
        elif self._said.wants_hand:
            self._confirm()

    @Slot()
    def _begin(self) -> None:
        if self._live is None:
            return
        other = OtherCook(self._context, self._live.cook_id)
        if not other.is_there:
            self._begin_now()
            return
        dialog = AskDialog(
            self.tr("Begin a second cook?"),
            self.tr("Read this first:"),
            self.tr("Begin it as well"),
            self.tr("Not now"),
            [other],
            self,
        )
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.accepted.connect(self._begin_now)
        dialog.open()

    @Slot()
    def _begin_now(self) -> None:
        if self._live is None:
            return
        self._writer.begin()
        # The start is when the weather is looked at; whoever doesn't care presses Escape.
        if not self._live.log().of(WeatherObserved):
            self._open_form("weather")

    @Slot()
    def _confirm(self) -> None:
        self._on_stage(self._writer.confirm)

    @Slot()
    def _skip(self) -> None:
        self._on_stage(self._writer.skip)

    @Slot(object)
    def _extend(self, by_s: float | None) -> None:
        if by_s is None:
            self._open_form("extend")
        else:
            self._on_stage(partial(self._writer.extend, by_s=by_s))

    def _on_stage(self, act: Callable[[str], Any]) -> None:
        run = self._standing.current
        if run is not None and self._standing.phase == "running":
            act(run.stage.key)

    @Slot()
    def _swap_lead(self) -> None:
        if self._standing.check is not None:
            self._writer.lead(self._standing.check, self._standing.lead)

    @Slot()
    def _ask_close(self) -> None:
        self._open_form("close")

    @Slot()
    def _ask_taste(self) -> None:
        if self._live is not None:
            self.taste_asked.emit(self._live.cook_id)

    @Slot(object)
    def _on_strike(self, line: LogLine) -> None:
        self._writer.strike(line)

    @Slot(object)
    def _on_restore(self, line: LogLine) -> None:
        self._writer.restore(line)
