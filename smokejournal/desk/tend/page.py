"""Tend: the cook under way. Where it stands, what the probes say, the score, and quick entries."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import Qt, QTimer, Signal, Slot
from PySide6.QtGui import QResizeEvent, QShowEvent
from PySide6.QtWidgets import (
    QFrame,
    QPushButton,
    QScrollArea,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from smokejournal.cook.log.entries import Lid
from smokejournal.cook.log.log_lines import log_lines
from smokejournal.cook.progress.readout import readouts
from smokejournal.cook.progress.sentence import sentence
from smokejournal.cook.progress.standing import Standing
from smokejournal.desk.alarms.strip import AlarmStrip
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.theme import GROUNDS
from smokejournal.desk.base.widgets import new_column, new_row
from smokejournal.desk.entry.weather_line import WeatherLine
from smokejournal.desk.forecast.line import ForecastLine
from smokejournal.desk.fuel.line import FuelLine
from smokejournal.desk.parts.empty_state import EmptyState
from smokejournal.desk.parts.single_keys import SingleKeys
from smokejournal.desk.tend.entry_bar import AFTERWARDS, QUICK, EntryBar
from smokejournal.desk.tend.far_view import FarView
from smokejournal.desk.tend.readings import ReadingsPanel
from smokejournal.desk.tend.score import ScorePanel
from smokejournal.desk.tend.sentence import SentencePanel, StageControls, ToDoLine
from smokejournal.desk.tend.side import SidePane
from smokejournal.desk.tend.stage_acts import StageActs
from smokejournal.desk.tend.writer import TendWriter
from smokejournal.host.sound import SoundPlayer, sound_player
from smokejournal.journal import Change
from smokejournal.services.program.live import LiveCook

#: Readings that come thick and fast are shown together, this often [ms].
SOON_MS = 200
#: Below this height every line counts [px].
LOW_PX = 660
#: From this size on everything grows with the window [px], to so many times its size.
WIDE_PX, HIGH_PX, LARGEST = 1200, 800, 2.0


class TendPage(QWidget):
    """See the module. `taste_asked` carries the cook's id, once it is closed or when it is wanted;
    `far_shown` whether the far view is what is in sight."""

    taste_asked = Signal(object)
    far_shown = Signal(bool)
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
        self._writer = TendWriter(context, self)
        # In the window the strip stands over every page; alone, the page brings its own.
        self._own_strip = strip is None
        self.alarm_strip = strip or AlarmStrip(context, player or sound_player())
        self._sentence = SentencePanel(self)
        self._far = FarView(self)
        self._go_far = QPushButton(self.tr("Far view  V"), self)
        self._to_do = ToDoLine(self)
        self._controls = StageControls(self)
        self._readings = ReadingsPanel(self)
        self._fuel = FuelLine("tend", context, self)
        self._forecast = ForecastLine(context, self)
        self._weather = WeatherLine(context, self)
        self._bar = EntryBar(self)
        self._score = ScorePanel(context, self)
        self._side = SidePane(context, self._writer, self)
        self._acts = StageActs(context, self._writer, self._controls, self)
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
    def is_far(self) -> bool:
        """Whether the far view is what is in sight."""
        return self._pages.currentWidget() is self._far

    @Slot()
    def turn_far(self) -> None:
        """To the far view, and back."""
        self._set_far(not self.is_far)

    @Slot()
    def leave_far(self) -> None:
        """Back from the far view, if that is what is in sight."""
        self._set_far(False)

    def _set_far(self, far: bool) -> None:
        if self._live is None or far == self.is_far:
            return
        # The far view shows what these tell: they go on asking.
        self._forecast.watched = self._fuel.watched = far
        self._pages.setCurrentWidget(self._far if far else self._body)
        self._set_scale()
        self.setFocus()
        self.refresh()
        self.far_shown.emit(far)

    # -- building ----------------------------------------------------------------------------

    def _build(self) -> None:
        middle = new_row(None, (self._score, 5), (self._side, 2), spacing=14)
        # What does not fit a low window scrolls; alarms above and the entry bar below stay in sight.
        room = QWidget(self)
        column = self._column = QVBoxLayout(room)
        self._go_far.setObjectName("tendFar")
        self._go_far.setAccessibleName(self.tr("Far view"))
        self._go_far.setToolTip(
            self.tr("The readings very large, to be read from across the patio")
        )
        self._go_far.setProperty("kind", "quiet")
        self._go_far.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        head = new_row(None, (self._sentence, 1), self._go_far, spacing=14)
        column.addLayout(head)
        column.addWidget(self._forecast)
        do = new_row(None, (self._to_do, 3), (self._fuel, 2), spacing=14)
        column.addLayout(do)
        column.addWidget(self._controls)
        self._rules = (self._rule(), self._rule())
        column.addWidget(self._rules[0])
        column.addWidget(self._readings)
        column.addWidget(self._weather)
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
        new_column(body, (scroll, 1), self._bar, spacing=0, margins=0)
        self._empty.say(
            self.tr("No cook is chosen"),
            self.tr("Choose one on Journal, or plan a new one."),
            self.tr("Plan a cook"),
        )
        self._pages = QStackedWidget(self)
        self._pages.addWidget(self._empty)
        self._pages.addWidget(body)
        self._pages.addWidget(self._far)
        outer = new_column(self, spacing=0, margins=0)
        if self._own_strip:
            outer.addWidget(self.alarm_strip)
        outer.addWidget(self._pages, 1)
        self._body = body
        self._set_scale()

    def _set_scale(self) -> None:
        """A large window is written larger, a low one set closer, so that the score keeps its height."""
        self.alarm_strip.set_scale(self._far.alarm_scale() if self.is_far else 1.0)
        close = self.height() < LOW_PX
        scale = min(max(1.0, min(self.width() / WIDE_PX, self.height() / HIGH_PX)), LARGEST)
        self._sentence.set_scale(scale, close=close)
        self._forecast.set_scale(scale)
        self._readings.set_scale(scale, close=close)
        self._score.set_close(close)
        self._column.setContentsMargins(20, 4 if close else 12, 20, 4)
        self._column.setSpacing(2 if close else 8)
        self._bar.setContentsMargins(20, 2 if close else 4, 20, 6 if close else 10)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Take the scale of the new size."""
        super().resizeEvent(event)
        self._set_scale()
        self._fuel.make_room(round(0.4 * self.width()))
        self._show_standing()

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
        self._fuel.add_changed.connect(self._to_do.set_add)
        self._score.mark_chosen.connect(self._side.log.choose_entry)
        self._writer.changed.connect(self.refresh)
        self._go_far.clicked.connect(self.turn_far)
        self._far.leave_asked.connect(self.leave_far)
        self._to_do.told.connect(self._far.show_to_do)
        self._forecast.told.connect(self._far.show_ready)
        self._forecast.wrap_answered.connect(self._writer.wrap)
        self._side.form_shown.connect(self._show_widget)
        self._side.put_away.connect(self._on_put_away)
        self._side.cook_closed.connect(self._ask_taste)
        self._acts.form_asked.connect(self._open_form)
        self._controls.taste_asked.connect(self._ask_taste)

    def _add_keys(self) -> None:
        self._keys = SingleKeys(self)
        for asks, key in QUICK:
            self._keys.add(key, partial(self._on_asked, asks), self._bar.spoken(asks))
        for key in ("Return", "Enter", "Space"):
            self._keys.add(key, self._acts.go_on, self.tr("Go on to the next stage"))
        self._keys.add("V", self.turn_far, self.tr("Far view, and back"))
        self._keys.add("A", self.alarm_strip.answer, self.tr("Answer the alarm"))
        for key, act, words in (
            ("X", self._controls.open_extend, self.tr("Give the stage more time")),
            ("K", self._acts.skip, self.tr("Skip the stage")),
            ("B", self._controls.open_put_back, self.tr("Go back to an earlier stage")),
            ("T", self._side.bar.button.click, self.tr("Show or hide food safety")),
            ("Ctrl+Z", self._writer.undo, self.tr("Take back your last entry")),
            ("Ctrl+Shift+Z", self._writer.redo, self.tr("Put that entry back")),
        ):
            self._keys.add(key, partial(self._do_near, act), words)

    def _do_near(self, act: Callable[[], object]) -> None:
        """What is done by this can't be seen on the far view."""
        self.leave_far()
        act()

    # -- hearing -----------------------------------------------------------------------------

    @Slot(object)
    def _on_chosen(self, cook_id: int | None) -> None:
        self.leave_far()
        self._live = None if cook_id is None else self._context.live(cook_id)
        self._writer.set_live(self._live)
        self._pages.setCurrentWidget(self._empty if self._live is None else self._body)
        self._acts.set_live(self._live)
        self._side.set_live(self._live)
        self._score.set_live(self._live)
        self.refresh()

    @Slot(object)
    def _on_changed(self, change: Change) -> None:
        if self._live is None or change.cook_id != self._live.cook_id:
            return
        if change.entries:
            self.refresh()
            self._score.refresh()
            self._side.safety.refresh()
        elif not self._soon.isActive():
            self._soon.start()

    @Slot(float)
    def _on_tick(self, _now_s: float) -> None:
        if self.isVisible():
            self._show_standing()
            self._score.refresh()

    @Slot(str)
    def _on_ground(self, name: str) -> None:
        self._side.log.set_ground(GROUNDS[name])

    def showEvent(self, event: QShowEvent) -> None:
        """Bring what may have changed meanwhile, and take the keys."""
        super().showEvent(event)
        self.refresh()
        if self._side.shows_log:
            self.setFocus()

    # -- showing -----------------------------------------------------------------------------

    @Slot()
    def _show_standing(self) -> None:
        if self._live is None:
            return
        units = self._context.units
        self._standing = self._live.standing()
        said = sentence(self._standing, units, self._live.zone)
        self._sentence.show_sentence(said)
        self._to_do.show_sentence(said)
        self._far.show_sentence(said)
        self._controls.show_standing(self._standing, said)
        self._acts.show_standing(self._standing, said)
        self._side.show_standing(self._standing)
        shown = readouts(self._standing, units)
        over = self._standing.phase == "closed"
        if self.is_far:
            self._far.show_readouts(shown, over=over)
        else:
            self._readings.show_readouts(shown)
        # What a probe says once the cook is over is no news of it.
        self._readings.setVisible(not over)
        self._weather.show_zone(None if over else self._live.zone)
        hot = self._standing.phase == "running"
        self._fuel.show_cook(
            self._live.cook_id if hot else None,
            self._standing.schedule,
            simulated=self._live.simulated,
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
        self._side.log.set_lines(log_lines(self._live.log(), units, self._writer.hand_readings()))
        self._side.log.set_undo(*self._writer.undo_words())

    # -- asking ------------------------------------------------------------------------------

    def _on_asked(self, what: str) -> None:
        if self._live is None or (self._standing.phase == "closed" and what not in AFTERWARDS):
            return
        if what == "lid":
            self._writer.say(Lid(self._standing.lid_open_since_s is None))
            return
        self._open_form(what)

    @Slot(str)
    def _open_form(self, name: str) -> None:
        self.leave_far()
        self._side.open_form(name)

    @Slot(object)
    def _show_widget(self, widget: QWidget) -> None:
        self._scroll.ensureWidgetVisible(widget, 0, 8)

    @Slot()
    def _on_put_away(self) -> None:
        self._scroll.verticalScrollBar().setValue(0)
        if self.isVisible():
            self.setFocus()

    @Slot()
    def _ask_taste(self) -> None:
        if self._live is not None:
            self.taste_asked.emit(self._live.cook_id)
