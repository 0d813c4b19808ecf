"""What every page shares: the program, the cook that is shown, units, ground, and what has changed.

Changes come from the journal's writer thread. They cross to the painting thread in one place, here,
by a signal to a bound method; pages only ever hear signals of this object.
"""

from __future__ import annotations

import itertools
import logging
from collections.abc import Callable, Iterable
from concurrent.futures import Future
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Any, Literal, NamedTuple, Protocol, TypeAlias

from PySide6.QtCore import QObject, QTimer, Signal, Slot
from shiboken6 import isValid

from smokejournal.cook.log.entries import Note
from smokejournal.cook.log.schedule import Schedule
from smokejournal.cook.text.quantities import METRIC, Units
from smokejournal.desk.base.clock_words import clock_words, sleep_words
from smokejournal.desk.base.error_words import cure_of, why_of
from smokejournal.journal import JournalProblem
from smokejournal.services.feeds.control import FeedControl
from smokejournal.services.forecast.forecasts import Forecasts
from smokejournal.services.program.live import LiveCook
from smokejournal.services.program.program import Program

if TYPE_CHECKING:
    # Loaded when first asked for: the first painted window needs none of it.
    from smokejournal.cook.timetable.timetable import Timetable
    from smokejournal.services.program.weather_keeper import WeatherKeeper

#: Which page shows a cook best, by its state.
PAGE_FOR_STATE = {"planned": "plan", "under way": "tend", "finished": "taste"}

log = logging.getLogger(__name__)

#: Counts the plan of a cook (its id) back from the table, by a schedule, in words of these units. Slow.
MakeTimetable: TypeAlias = "Callable[[int, Schedule, Units], Timetable]"


@dataclass(frozen=True, slots=True)
class Notice:
    """Something to tell: what happened and what to do about it."""

    text: str
    cure: str = ""
    kind: Literal["trouble", "done"] = "trouble"


class Learner(Protocol):
    """Reads finished cooks in the background, for what they teach the forecast."""

    moved_on: Any
    read: int
    wanted: int

    @property
    def busy(self) -> bool:
        """Whether a cook is being read."""

    def learn_from(self, cook_ids: Iterable[int]) -> None:
        """Read these cooks, after those that wait already."""

    def stop(self) -> None:
        """Read no more after the one that is being read."""


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


class _Asked(NamedTuple):
    """Who waits for a future."""

    done: Callable[[Any], None] | None
    failed: Callable[[BaseException], None] | None
    asker: QObject | None


class DeskContext(QObject):
    """See the module. `cook_changed` carries a journal Change, `cook_chosen` a cook id or None."""

    cook_changed = Signal(object)
    cook_chosen = Signal(object)
    units_changed = Signal()
    ground_changed = Signal(str)
    ticked = Signal(float)
    notice_given = Signal(object)
    #: Set once, by whoever wires the program together.
    learner: Learner
    #: None where weather by network can't be had.
    weather: WeatherKeeper | None = None

    def __init__(
        self,
        program: Program,
        forecasts: Forecasts,
        feeds: FeedControl | None = None,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self.program = program
        self.forecasts = forecasts
        self.feeds = feeds
        self.units: Units = METRIC
        self.ground: str = "day"
        self.chosen: int | None = None
        #: Counts a plan back. Made when first asked: much is loaded for it that a start need not wait for.
        self.make_timetable: MakeTimetable = lambda *asked: forecasts.timetables.make(*asked)
        self._poster = Poster(self)
        self._numbers = itertools.count()
        self._asked: dict[int, _Asked] = {}
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
        self._unsubscribe = lambda: None

    def now_s(self) -> float:
        """UTC seconds by the program's clock."""
        return self.program.clock.now_s()

    def live(self, cook_id: int) -> LiveCook:
        """The cook with this id, kept up with its log."""
        return self.program.live(cook_id)

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

        number = next(self._numbers)
        # Kept here, and the future handed in: a future that is held by its own callback is garbage
        # that only the collector finds, with the whole result; and whoever lets go of a widget last
        # takes it apart, so that must be this thread and not the one that settled the future.
        self._asked[number] = _Asked(done, failed, asker)
        settle, post = self._settle, self._poster.post
        future.add_done_callback(lambda settled: post(partial(settle, number, settled)))

    def _settle(self, number: int, future: Future[Any]) -> None:
        asked = self._asked.pop(number)
        error = future.exception()
        if error is None:
            if asked.done is not None and _is_there(asked.asker, asked.done):
                asked.done(future.result())
        elif asked.failed is not None and _is_there(asked.asker, asked.failed):
            asked.failed(error)
        else:
            self.tell(why_of(error), cure_of(error))

    def _change_written(self, change: object) -> None:
        self._poster.post(lambda: self.cook_changed.emit(change))

    @Slot()
    def _tick(self) -> None:
        self._look_at_clock()
        self._look_at_sleep()
        now_s = self.now_s()
        self.program.look_for_alarms(now_s)
        self.ticked.emit(now_s)

    def _look_at_clock(self) -> None:
        try:
            moved = self.program.look_at_clock()
        except (
            JournalProblem
        ) as problem:  # the strip for recording says so; the next tick looks again
            log.warning("Whether the clock was set can't be looked at: %s", problem)
            return
        for each in moved[:1]:
            self.tell(*clock_words(each))

    def _look_at_sleep(self) -> None:
        try:
            slept = self.program.look_at_sleep()
            if slept is None:
                return
            lives = [self.live(cook_id) for cook_id in slept.cook_ids]
        except JournalProblem as problem:
            log.warning("Whether the machine slept can't be looked at: %s", problem)
            return
        for number, live in enumerate(lives):
            happened, cure = sleep_words(slept, live.zone, self.units)
            self.after(live.record(Note(happened), slept.to_s))
            if number == 0:
                self.tell(happened, cure)


def _is_there(asker: QObject | None, answer: Callable[..., None]) -> bool:
    """Whether the Qt object that is to be answered still exists."""
    while isinstance(answer, partial):
        answer = answer.func
    owners = (asker, getattr(answer, "__self__", None))
    return all(isValid(owner) for owner in owners if isinstance(owner, QObject))
