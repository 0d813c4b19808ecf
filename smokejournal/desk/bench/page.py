"""Bench: where readings come from, with a look at what arrives, and the probes of the cook."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from PySide6.QtCore import QTimer
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QButtonGroup,
    QStackedWidget,
    QWidget,
)

from smokejournal.cook.log.entries import Payload
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.plan.plan import plan_of
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.desk.base.background import in_background
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.error_words import cure_of, why_of
from smokejournal.desk.base.widgets import new_button, new_column, new_label, new_row
from smokejournal.desk.bench.feed_strip import FeedStrip
from smokejournal.desk.bench.probes import BenchProbes
from smokejournal.desk.calibration.calibrate import BenchCalibrate
from smokejournal.desk.calibration.compare import BenchCompare
from smokejournal.desk.input_setup.setup import BenchInput
from smokejournal.desk.parts.empty_state import EmptyState
from smokejournal.inputs.configs import Config


class BenchPage(QWidget):
    """See the module."""

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("benchPage")
        self.title = self.tr("Bench")
        self._context = context
        self._stale = True
        self._starting: Config | None = None
        self._build()
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(100)
        self._timer.timeout.connect(self._if_shown)
        context.cook_chosen.connect(self._on_chosen)
        context.cook_changed.connect(self._on_changed)
        context.units_changed.connect(self._on_units)
        context.ticked.connect(self._on_tick)
        self._on_units()
        self._on_chosen(context.chosen)

    def _build(self) -> None:
        self._sides = QButtonGroup(self)
        row = new_row(None, spacing=4)
        for index, (name, words) in enumerate(
            (
                ("benchInputSide", self.tr("&Input")),
                ("benchProbesSide", self.tr("&Probes")),
                ("benchCalibrateSide", self.tr("Cali&brate")),
                ("benchCompareSide", self.tr("Co&mpare")),
            )
        ):
            button = new_button(self, words, name=name)
            button.setCheckable(True)
            self._sides.addButton(button, index)
            row.addWidget(button)
        self._sides.idClicked.connect(self._show_side)
        self._for = new_label(self, name="benchFor", kind="faint")
        row.addStretch(1)
        row.addWidget(self._for)
        self.strip = FeedStrip(self)
        self.strip.stop_asked.connect(self._on_stop)
        self.input = BenchInput(self._context, self)
        self.input.use_asked.connect(self._on_use)
        self.input.probes_asked.connect(partial(self._show_side, 1))
        self.probes = BenchProbes(self)
        self.probes.wanted.connect(self._on_wanted)
        self._no_cook = EmptyState("benchNoCook", self)
        self._no_cook.say(
            self.tr("No cook is chosen"),
            self.tr("Probes belong to a cook. Open one in the Journal, then come back here."),
        )
        self.calibrate = BenchCalibrate(self._context, self.input.to_listen, self)
        self.compare = BenchCompare(self._context, self)
        self._stack = QStackedWidget(self)
        for widget in (self.input, self.probes, self.calibrate, self.compare, self._no_cook):
            self._stack.addWidget(widget)
        new_column(self, row, self.strip, (self._stack, 1), spacing=10, margins=(16, 14, 16, 12))
        self._show_side(0)

    # what is shown

    def refresh(self) -> None:
        """Show what the chosen cook's log says of its probes."""
        self._stale = False
        chosen = self._context.chosen
        plan = None if chosen is None else plan_of(self._context.live(chosen).log())
        self.input.show_plan(plan)
        if plan is not None:
            self.probes.show_probes(tuple(plan.channels.values()), plan.lead, plan.check)
        self.calibrate.refresh()
        self._for.setText(
            self.tr("Cook: {title}").format(title=plan.title)
            if plan is not None
            else self.tr("No cook is chosen")
        )
        self._show_side(self._sides.checkedId())
        self._show_status()

    def _show_side(self, side: int) -> None:
        button = self._sides.button(max(0, side))
        button.setChecked(True)
        if side in (2, 3):
            self._stack.setCurrentWidget(self.calibrate if side == 2 else self.compare)
        elif side == 1:
            chosen = self._context.chosen
            self._stack.setCurrentWidget(self._no_cook if chosen is None else self.probes)
            writable = not self._context.program.journal.read_only
            self.probes.setEnabled(writable)
        else:
            self._stack.setCurrentWidget(self.input)

    def _show_status(self) -> None:
        feeds = self._context.feeds
        if feeds is None:
            return
        status = feeds.status()
        title = ""
        if status.cook_id is not None:
            title = self._context.live(status.cook_id).title
        self.strip.show_status(status, title, self._context.now_s())

    # what the person does

    def _on_use(self, config: Config, channels: Sequence[Channel]) -> None:
        feeds, chosen = self._context.feeds, self._context.chosen
        if feeds is None or chosen is None:
            return
        self.input.use.setEnabled(False)
        self._starting = config
        self._context.after(
            in_background(lambda: feeds.start(chosen, config, channels)),
            self._on_started,
            self._on_not_started,
        )

    def _on_started(self, _: object) -> None:
        self._context.tell(self.tr("The input is running."), kind="done")
        self._show_status()
        self.refresh()
        if self._starting is not None:
            self.input.show_used(self._starting)
            self._starting = None

    def _on_not_started(self, error: BaseException) -> None:
        self.refresh()
        if isinstance(error, SchemaProblem):
            self.input.show_problem(error.message)
            return
        self._context.tell(
            self.tr("The input was not started: {why}").format(why=why_of(error)),
            cure_of(error),
        )

    def _on_stop(self) -> None:
        feeds = self._context.feeds
        if feeds is not None:
            self._context.after(in_background(feeds.stop), self._on_stopped)

    def _on_stopped(self, _: object) -> None:
        self._context.tell(self.tr("The input is stopped."), kind="done")
        self.refresh()

    def _on_wanted(self, payload: Payload) -> None:
        chosen = self._context.chosen
        if chosen is None:
            return
        try:
            future = self._context.live(chosen).record(payload)
        except SchemaProblem as problem:
            self._context.tell(problem.message)
            return
        self._context.after(future)

    # what others did

    def _on_chosen(self, cook_id: object) -> None:
        feeds = self._context.feeds
        if feeds is not None and isinstance(cook_id, int):
            simulated = self._context.live(cook_id).simulated
            self.input.show_config(feeds.config(cook_id), simulated=simulated)
            self.compare.choose(cook_id)
        self.refresh()

    def _on_changed(self, change: object) -> None:
        mine = getattr(change, "cook_id", None) == self._context.chosen
        if mine and getattr(change, "entries", ()):
            self._stale = True
            self._timer.start()

    def _on_units(self) -> None:
        self.probes.set_units(self._context.units)
        self.calibrate.set_units()
        self.compare.set_units()
        self.refresh()

    def _on_tick(self, _: float) -> None:
        if self.isVisible():
            self._show_status()

    def _if_shown(self) -> None:
        if self._stale and self.isVisible():
            self.refresh()

    def showEvent(self, event: QShowEvent) -> None:
        """Catch up with what was written while another page was shown."""
        super().showEvent(event)
        self._if_shown()
