"""What the cook says to the stage. What alters a cook under way is asked back in one line first."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import Any

from PySide6.QtCore import QObject, Qt, Signal, Slot
from PySide6.QtWidgets import QLabel, QWidget

from smokejournal.cook.log.entries import (
    LeadSet,
    Payload,
    ScheduleStarted,
    StageConfirmed,
    StageExtended,
    StagePutBack,
    StageSkipped,
    WeatherObserved,
)
from smokejournal.cook.progress.readout import readouts
from smokejournal.cook.progress.sentence import Sentence
from smokejournal.cook.progress.standing import Standing
from smokejournal.cook.safety.assessment import Safety
from smokejournal.cook.safety.lines import SafetyLine, unmet
from smokejournal.cook.safety.words import SafetyWords
from smokejournal.desk.base.background import in_background
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.widgets import new_label
from smokejournal.desk.parts.ask_dialog import AskDialog
from smokejournal.desk.parts.other_cook_notice import OtherCook
from smokejournal.desk.tend.sentence import StageControls
from smokejournal.desk.tend.writer import TendWriter
from smokejournal.services.program.live import LiveCook


class StageActs(QObject):
    """See the module. `form_asked(name)` when a form is needed to say it."""

    form_asked = Signal(str)

    def __init__(
        self, context: DeskContext, writer: TendWriter, controls: StageControls, page: QWidget
    ) -> None:
        super().__init__(page)
        self._context = context
        self._writer = writer
        self._page = page
        self._live: LiveCook | None = None
        self._standing = Standing(0.0)
        self._said = Sentence("")
        self._asking = False
        controls.begin_asked.connect(self.begin)
        controls.confirm_asked.connect(self.confirm)
        controls.skip_asked.connect(self.skip)
        controls.extend_asked.connect(self.extend)
        controls.put_back_asked.connect(self.put_back)
        controls.lead_asked.connect(self.swap_lead)
        controls.close_asked.connect(self.close_cook)

    def set_live(self, live: LiveCook | None) -> None:
        """Speak to this cook from now on."""
        self._live = live

    def show_standing(self, standing: Standing, said: Sentence) -> None:
        """This is where it stands now."""
        self._standing, self._said = standing, said

    @Slot()
    def go_on(self) -> None:
        """What Enter means: begin, or confirm what waits for the cook's hand."""
        if self._standing.phase == "planned":
            self.begin()
        elif self._said.wants_hand:
            self.confirm()

    @Slot()
    def begin(self) -> None:
        """Begin the schedule; a second cook at the same time is asked back."""
        if self._live is None:
            return
        other = OtherCook(self._context, self._live.cook_id)
        if not other.is_there:
            self._begin_now()
            return
        self._ask(
            self.tr("Begin a second cook?"),
            self.tr("Read this first:"),
            self.tr("Begin it as well"),
            self.tr("Not now"),
            self._begin_now,
            [other],
        )

    @Slot()
    def confirm(self) -> None:
        """The stage is over."""
        self._on_stage(StageConfirmed)

    @Slot()
    def skip(self) -> None:
        """Past this stage; where a published figure isn't met yet, that is said first."""
        run = self._standing.current
        if run is None or self._standing.phase != "running":
            return
        self._unless_unmet(
            self.tr("Skip {stage}?").format(stage=run.stage.name),
            self.tr("Skip it"),
            partial(self._on_stage, StageSkipped),
        )

    @Slot(object)
    def extend(self, by_s: float | None) -> None:
        """More time for the stage [s]; None asks how much."""
        if by_s is None:
            self.form_asked.emit("extend")
        else:
            self._on_stage(partial(StageExtended, by_s=by_s))

    @Slot(str)
    def put_back(self, stage: str) -> None:
        """Back to the stage."""
        self._writer.say(StagePutBack(stage))

    @Slot()
    def swap_lead(self) -> None:
        """Let the check probe lead: it decides from now on when the stage ends."""
        lead, check = self._standing.lead, self._standing.check
        if check is None:
            return
        shown = {r.key: r for r in readouts(self._standing, self._context.units)}
        name = self._standing.channels[check].channel.name
        self._ask(
            self.tr("Let {probe} lead?").format(probe=name),
            self.tr(
                "From now on the stage, its alarms and the forecast follow {probe}, which reads "
                "{value} {unit}. Undo on this page takes it back."
            ).format(
                probe=name,
                value=shown[check].figure if check in shown else self.tr("nothing"),
                unit=shown[check].unit if check in shown else "",
            ),
            self.tr("Let it lead"),
            self.tr("Leave it"),
            partial(self._writer.say, LeadSet(check, lead)),
        )

    @Slot()
    def close_cook(self) -> None:
        """Close the cook; where a published figure isn't met, that is said first."""
        self._unless_unmet(
            self.tr("Close the cook?"),
            self.tr("Close it anyway"),
            partial(self.form_asked.emit, "close"),
        )

    def _begin_now(self) -> None:
        if self._live is None:
            return
        self._writer.say(ScheduleStarted())
        # The start is when the weather is looked at; whoever doesn't care presses Escape.
        if not self._live.log().of(WeatherObserved):
            self.form_asked.emit("weather")

    def _on_stage(self, said_of: Callable[[str], Payload]) -> None:
        run = self._standing.current
        if run is not None and self._standing.phase == "running":
            self._writer.say(said_of(run.stage.key))

    def _unless_unmet(self, title: str, yes: str, then: Callable[[], Any]) -> None:
        """Do it, or ask first where food safety has an open line. The log is read in the background."""
        live = self._live
        if live is None or self._asking:
            return
        self._asking = True

        def found(safety: Safety) -> None:
            self._asking = False
            if live is not self._live:
                return
            words = SafetyWords(safety, self._context.units)
            open_lines = [
                line for food in safety.foods for line in unmet(food.food, words.lines(food))
            ]
            if not open_lines:
                then()
                return
            self._ask(
                title,
                self.tr("Food safety isn't done yet. The decision is yours:"),
                yes,
                self.tr("Go back"),
                then,
                [self._point(line) for line in open_lines],
            )

        def failed(error: BaseException) -> None:
            # A bug, and the one door for bugs is the exception hook. The next press tries again.
            self._asking = False
            raise error

        self._context.after(in_background(live.safety), found, failed, asker=self)

    def _point(self, line: SafetyLine) -> QLabel:
        return new_label(
            self._page, f"{line.title}: {line.state_words}. {line.text}", kind="caution", wraps=True
        )

    def _ask(
        self,
        title: str,
        text: str,
        yes: str,
        no: str,
        then: Callable[[], Any],
        points: Sequence[QWidget] = (),
    ) -> None:
        dialog = AskDialog(title, text, yes, no, points, self._page)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.accepted.connect(then)
        dialog.open()
