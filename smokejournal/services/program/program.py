"""What the program does, said once for the screen and for the command line."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import replace

from smokejournal.cook.log.entries import (
    ChannelSet,
    CookOpened,
    LeadSet,
    Payload,
    ScheduleSet,
)
from smokejournal.cook.plan.plan import plan_of
from smokejournal.cook.progress.alarms import Alarm, Called
from smokejournal.cook.text.strict import as_name, renamed
from smokejournal.journal import Change, CookFilter, CookLine, Journal
from smokejournal.services.program.clock import Clock, SteadyClock, SystemClock, slept_s
from smokejournal.services.program.clock_watch import ClockMoved, ClockWatch, cooks_under_way
from smokejournal.services.program.live import LiveCook
from smokejournal.services.program.sleep_watch import SleepWatch, Slept

#: A plan of before this [s] calls nobody, nor do more plans at a time.
PLANNED_S, MOST_PLANNED = 21 * 86_400.0, 5


class Program:
    """The journal, the clock, and the cooks that are open."""

    def __init__(
        self,
        journal: Journal,
        clock: Clock | None = None,
        slept_s: Callable[[], float] = slept_s,
    ) -> None:
        """`slept_s`: how long the machine has slept since it was started [s]."""
        self.journal = journal
        self.clock: Clock = clock if clock is not None else SystemClock()
        self._clock_watch = (
            ClockWatch(journal, self.clock) if isinstance(self.clock, SteadyClock) else None
        )
        self._sleep_watch = SleepWatch(journal, self.clock, slept_s)
        #: How the person wants to be called, by the settings.
        self.called = Called()
        #: What calls a cook (its id) for causes that are in no log, such as an empty battery.
        self.beside: Callable[[int, Called], tuple[Alarm, ...]] = lambda _, __: ()
        self._lives: dict[int, LiveCook] = {}
        self._lock = threading.Lock()
        self._listeners: list[Callable[[Change], None]] = []
        self._alarm_listeners: list[Callable[[int, Alarm], None]] = []
        self._unsubscribe = journal.subscribe(self._written)

    def close(self) -> None:
        """Stop hearing the journal. The journal itself is closed by whoever opened it."""
        self._unsubscribe()

    def subscribe(self, listener: Callable[[Change], None]) -> Callable[[], None]:
        """Hear of every change, on the thread that wrote it, after open cooks have taken it in."""
        self._listeners.append(listener)
        return lambda: self._listeners.remove(listener)

    def on_alarm(self, listener: Callable[[int, Alarm], None]) -> Callable[[], None]:
        """Hear of each alarm (cook id, alarm) when it comes to hold."""
        self._alarm_listeners.append(listener)
        return lambda: self._alarm_listeners.remove(listener)

    def cooks(
        self,
        text: str = "",
        limit: int | None = None,
        offset: int = 0,
        *,
        away: bool = True,
        narrowed: CookFilter = CookFilter(),  # noqa: B008 - frozen
    ) -> list[CookLine]:
        """Every cook, newest first, or those that are searched for; see `Journal.cooks`."""
        return self.journal.cooks(text, limit, offset, away=away, narrowed=narrowed)

    def live(self, cook_id: int) -> LiveCook:
        """The cook with this id, kept up with its log; the same object every time.

        Slow the first time for a long cook. Callable from any thread.
        """
        with self._lock:
            found = self._lives.get(cook_id)
            if found is None:
                # Known before it is loaded, so that no commit falls between the two.
                found = self._lives[cook_id] = LiveCook(self.journal, self.clock, cook_id)
                found.called = lambda: self.called
                found.beside = lambda called: self.beside(cook_id, called)
        found.load()
        return found

    def under_way(self) -> int | None:
        """The cook that is started and not closed: the newest, or None."""
        return next(iter(self.all_under_way()), None)

    def all_under_way(self) -> tuple[int, ...]:
        """Every cook that is started and not closed, newest first, of the last fifty."""
        return cooks_under_way(self.journal)

    def called_for(self) -> tuple[int, ...]:
        """Cooks that may call: those under way, and the latest planned ones for their steps."""
        lines = self.journal.cooks(limit=50)
        fresh_s = self.clock.now_s() - PLANNED_S
        planned = [x.id for x in lines if x.state == "planned" and x.opened_s >= fresh_s]
        return (*(x.id for x in lines if x.state == "under way"), *planned[:MOST_PLANNED])

    def new_cook(
        self,
        title: str,
        zone: str,
        *,
        simulated: bool = False,
        place: str = "",
        ready_at_s: float | None = None,
        hopper_kg: float | None = None,
        again_of: int | None = None,
    ) -> int:
        """Open a cook and return its id once it is on disk. `again_of`: the one it is planned from."""
        now_s = self.clock.now_s()
        opened = CookOpened(
            title=title,
            zone=zone,
            simulated=simulated,
            place=place,
            ready_at_s=ready_at_s,
            hopper_kg=hopper_kg,
            again_of=again_of,
        )
        return self.journal.new_cook(opened, now_s, now_s).result()

    def plan_again(self, cook_id: int) -> int:
        """Open a cook with the items, prep, channels and schedule of an earlier one; its id.

        Names that can't be written any more are carried without what stands against them.
        """
        before = self.live(cook_id)
        opened = before.opened
        if opened is None:
            raise ValueError(f"cook {cook_id} has no opening entry")
        log = before.log()
        plan = plan_of(log)
        fresh = self.new_cook(
            as_name(plan.title),
            plan.zone,
            place=plan.place,
            hopper_kg=opened.hopper_kg,
            again_of=cook_id,
        )
        now_s = self.clock.now_s()
        carried: list[tuple[float, Payload]] = [
            (now_s, replace(item, key="", ready_at_s=None)) for _, item in plan.items
        ]
        carried += [(now_s, replace(step, key="")) for _, step in plan.prep]
        # Simulated readings came in on them; the next cook's come from a real fire until it says so.
        for channel in plan.channels.values():
            carried.append((now_s, ChannelSet(replace(channel, simulated=False))))
        if plan.lead is not None:
            carried.append((now_s, LeadSet(plan.lead, plan.check)))
        carried.append((now_s, ScheduleSet(plan.schedule)))
        self.live(fresh).record_many([(at_s, renamed(what)) for at_s, what in carried]).result()
        return fresh

    def look_for_alarms(self, now_s: float) -> None:
        """Let every open cook that is under way raise what alarms have come to hold."""
        with self._lock:
            lives = [live for live in self._lives.values() if live.loaded]
        for live in lives:
            for alarm in live.raise_alarms(now_s):
                for listener in tuple(self._alarm_listeners):
                    listener(live.cook_id, alarm)

    def look_at_clock(self) -> tuple[ClockMoved, ...]:
        """Each cook under way in which the machine's clock was set since the last look.

        Raises JournalProblem. Asked each second, on one thread.
        """
        return self._clock_watch.look() if self._clock_watch is not None else ()

    def look_at_sleep(self) -> Slept | None:
        """Whether the machine slept since the last look while a cook is under way.

        Raises JournalProblem. Asked each second, on one thread.
        """
        return self._sleep_watch.look()

    def _written(self, change: Change) -> None:
        if change.cook_id is not None:
            with self._lock:
                live = self._lives.get(change.cook_id)
            if live is not None:
                live.take(change)
        for listener in tuple(self._listeners):
            listener(change)
