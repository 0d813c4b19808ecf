"""What every page shares: the program, the cook that is shown, units, ground, and what has changed.

Changes come from the journal's writer thread. They cross to the painting thread in one place, here,
by a signal to a bound method; pages only ever hear signals of this object.
"""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from concurrent.futures import Future
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Any, Literal, TypeAlias

from PySide6.QtCore import QObject, QTimer, Signal, Slot
from shiboken6 import isValid

from smokejournal.cook.log.schedule import Schedule
from smokejournal.cook.text.quantities import METRIC, Units
from smokejournal.services.feeds.control import FeedControl
from smokejournal.services.program.live import LiveCook
from smokejournal.services.program.program import Program

if TYPE_CHECKING:
    # Loaded when first asked for: the first painted window needs none of it.
    from smokejournal.cook.forecast.cook_so_far import OutlookRecord
    from smokejournal.cook.timetable.timetable import CountedBack
    from smokejournal.desk.forecast.learner import ForecastLearner
    from smokejournal.science.forecast.outlook_types import PitPrior
    from smokejournal.services.forecast.fuel import FuelOutlook
    from smokejournal.services.forecast.learned import ForecastLearned
    from smokejournal.services.forecast.outlook import OutlookDesk
    from smokejournal.services.forecast.track_record import ForecastRecord

log = logging.getLogger(__name__)

#: Counts the plan of a cook (its id) back from the table, by a schedule, in words of these units. Slow.
CountTimes: TypeAlias = "Callable[[int, Schedule, Units], CountedBack]"


@dataclass(frozen=True, slots=True)
class Notice:
    """Something to tell: what happened and what to do about it."""

    text: str
    cure: str = ""
    kind: Literal["trouble", "done"] = "trouble"


class Poster(QObject):
    """Runs callables on the thread in which it was made."""

    _asked = Signal(object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._asked.connect(self._run)

    def post(self, work: Callable[[], None]) -> None:
        """Have `work()` run on the owning thread, soon; in order. Callable from any thread."""
        self._asked.emit(work)

    @Slot(object)
    def _run(self, work: Callable[[], None]) -> None:
        work()


class DeskContext(QObject):
    """See the module. `cook_changed` carries a journal Change, `cook_chosen` a cook id or None."""

    cook_changed = Signal(object)
    cook_chosen = Signal(object)
    units_changed = Signal()
    ground_changed = Signal(str)
    ticked = Signal(float)
    notice_given = Signal(object)

    def __init__(
        self, program: Program, feeds: FeedControl | None = None, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self.program = program
        self.feeds = feeds
        self.units: Units = METRIC
        self.ground: str = "day"
        self.chosen: int | None = None
        self._fuel: FuelOutlook | None = None
        self._outlook: OutlookDesk | None = None
        self._forecast_record: ForecastRecord | None = None
        self._learned: ForecastLearned | None = None
        self._learner: ForecastLearner | None = None
        #: None: nothing counts times back, and no page offers them.
        self.count_times: CountTimes | None = None
        self._making = threading.Lock()
        self._poster = Poster(self)
        self._unsubscribe = program.subscribe(self._change_written)
        self._timer = QTimer(self)
        self._timer.setInterval(1000)
        self._timer.timeout.connect(self._tick)

    def start_ticking(self) -> None:
        """Begin the one-second tick that ages readings and looks for alarms."""
        self._timer.start()

    def close(self) -> None:
        """Stop hearing and ticking. Safe to call twice."""
        self._timer.stop()
        self._unsubscribe()
        if self._fuel is not None:
            self._fuel.close()
            self._fuel = None
        if self._forecast_record is not None:
            self._forecast_record.close()
            self._forecast_record = None
        if self._learned is not None:
            self._learned.close()
            self._learned = None

    def now_s(self) -> float:
        """UTC seconds by the program's clock."""
        return self.program.clock.now_s()

    def live(self, cook_id: int) -> LiveCook:
        """The cook with this id, kept up with its log."""
        return self.program.live(cook_id)

    @property
    def fuel(self) -> FuelOutlook:
        """What fuel to expect; made when first asked for, and then the same for every page."""
        if self._fuel is None:
            from smokejournal.services.forecast.fuel import FuelOutlook

            self._fuel = FuelOutlook(self.program)
        return self._fuel

    @property
    def outlook(self) -> OutlookDesk:
        """When each cook will be done; made when first asked for, and then the same for every page."""
        if self._outlook is None:
            from smokejournal.services.forecast.outlook import OutlookDesk

            self._outlook = OutlookDesk(self.program, taught=self._taught)
        return self._outlook

    @property
    def forecast_record(self) -> ForecastRecord:
        """How good forecasts were; made when first asked for, so that what was read is kept."""
        if self._forecast_record is None:
            from smokejournal.services.forecast.track_record import ForecastRecord

            self._forecast_record = ForecastRecord(self.program)
        return self._forecast_record

    def use_outlook(self, outlook: OutlookDesk) -> None:
        """Forecast with this one from now on."""
        self._outlook = outlook

    @property
    def learned(self) -> ForecastLearned:
        """What finished cooks teach the forecast; made when first asked for, on any thread."""
        with self._making:
            if self._learned is None:
                from smokejournal.services.forecast.learned import ForecastLearned

                self._learned = ForecastLearned(self.program)
            return self._learned

    def _taught(self, cook_id: int, record: OutlookRecord) -> PitPrior | None:
        # Asked away from the painting thread, which would wait for what is loaded here.
        return self.learned.taught(cook_id, record)

    def use_learned(self, learned: ForecastLearned) -> None:
        """Learn with this one from now on; before anything was learned."""
        self._learned = learned

    @property
    def learner(self) -> ForecastLearner:
        """Who reads finished cooks; made when first asked for."""
        if self._learner is None:
            from smokejournal.desk.forecast.learner import ForecastLearner

            self._learner = ForecastLearner(self, self)
        return self._learner

    def start_learning(self) -> None:
        """Learn from every cook that is closed from now on."""
        self.learner.listen()

    def choose(self, cook_id: int | None) -> None:
        """Show this cook on the pages."""
        if cook_id != self.chosen:
            self.chosen = cook_id
            self.cook_chosen.emit(cook_id)

    def set_units(self, units: Units) -> None:
        """Show every quantity in these units from now on."""
        if units != self.units:
            self.units = units
            self.units_changed.emit()

    def set_ground(self, name: str) -> None:
        """Tell everyone that the ground is now this one (the theme itself is applied by the app)."""
        if name != self.ground:
            self.ground = name
            self.ground_changed.emit(name)

    def tell(self, text: str, cure: str = "", kind: Literal["trouble", "done"] = "trouble") -> None:
        """Show a notice."""
        self.notice_given.emit(Notice(text, cure, kind))

    def post(self, work: Callable[[], None]) -> None:
        """Have `work()` run on the painting thread. Callable from any thread."""
        self._poster.post(work)

    def after(
        self,
        future: Future[Any],
        done: Callable[[Any], None] | None = None,
        failed: Callable[[BaseException], None] | None = None,
        asker: QObject | None = None,
    ) -> None:
        """Call `done(result)` or `failed(error)` on the painting thread once the future is settled.

        Without `failed` the trouble becomes a notice: with the error's own cure where it has one.
        Whoever asked may be gone by then (a dialog closed, a window put away): `asker`, or whose bound
        method it is. Then nobody is there to be answered, and only trouble is still told.
        """

        def settle() -> None:
            error = future.exception()
            if error is None:
                if done is not None and _is_there(asker, done):
                    done(future.result())
            elif failed is not None and _is_there(asker, failed):
                failed(error)
            else:
                self.tell(getattr(error, "message", None) or str(error), getattr(error, "cure", ""))

        future.add_done_callback(lambda _: self._poster.post(settle))

    def _change_written(self, change: object) -> None:
        self._poster.post(lambda: self.cook_changed.emit(change))

    @Slot()
    def _tick(self) -> None:
        now_s = self.now_s()
        self.program.look_for_alarms(now_s)
        self.ticked.emit(now_s)


def _is_there(asker: QObject | None, answer: Callable[..., None]) -> bool:
    """Whether the Qt object that is to be answered still exists."""
    while isinstance(answer, partial):
        answer = answer.func
    owners = (asker, getattr(answer, "__self__", None))
    return all(isValid(owner) for owner in owners if isinstance(owner, QObject))
