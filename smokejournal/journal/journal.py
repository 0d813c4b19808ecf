"""The journal: every cook's log, and what else the cook keeps."""

from __future__ import annotations

import logging
import math
import threading
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import Future
from functools import cached_property
from typing import Any, cast

from sqlalchemy import Connection, func, select

from smokejournal.cook.codec.entries import checked
from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.entries import CookOpened, Entry, Payload
from smokejournal.cook.log.ranges import LAST_S
from smokejournal.cook.log.readings import EMPTY_TRACE, Reading, Trace
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.translate import translate
from smokejournal.journal import problems
from smokejournal.journal.changes import Change, CookLine
from smokejournal.journal.connections import driver_of
from smokejournal.journal.entry_table import (
    add_entries,
    damaged_entries,
    entries_of,
    open_cook,
    write_line,
)
from smokejournal.journal.finding import CookFilter
from smokejournal.journal.journal_file import JournalFile
from smokejournal.journal.line_table import (
    lines_listed,
    mend_lines,
    spoilt_lines,
    zone_of,
)
from smokejournal.journal.lines import UnreadLine
from smokejournal.journal.opening import faults
from smokejournal.journal.problems import JournalProblem
from smokejournal.journal.reading_table import channels_of, trace_of_channel
from smokejournal.journal.schedules import ScheduleShelf
from smokejournal.journal.searching import cooks_found, cooks_looked_through, lots_used
from smokejournal.journal.setting_table import (
    keep_setting,
    setting_of,
    settings_of,
    unread_settings_of,
)
from smokejournal.journal.stores import StoreShelf
from smokejournal.journal.sums import SpoiltReadings
from smokejournal.journal.tables import COOKS, LINES
from smokejournal.journal.text_table import can_index, cooks_behind, is_current, make_index
from smokejournal.journal.transfer import (
    Renumber,
    WrittenCook,
    add_written_cook,
    written_cook,
)
from smokejournal.journal.words import AskedWords
from smokejournal.journal.writer import READ

_log = logging.getLogger(__name__)


class Journal(JournalFile):
    """One journal, open. Reading is safe from any thread; writing goes through one of its own.

    Every method that writes gives a future that is settled once the write is on disk; a write that
    fails gives it a JournalProblem. Whatever reads raises JournalProblem. Here is what is said of
    cooks, and settings; `stores` and `schedules` hold the rest.
    """

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self._spoilt_lock = threading.Lock()
        self._spoilt: set[tuple[int, SpoiltReadings]] = set()
        self._unsaid: list[JournalProblem] = []
        self._say: Callable[[JournalProblem], None] | None = None
        if not self.read_only:
            self._catch_up()

    _mending = False  # stays true where it failed: it would fail again
    _lines_spoilt = False

    @cached_property
    def stores(self) -> StoreShelf:
        """Lots, wares, probes and their calibrations."""
        return StoreShelf(self)

    @cached_property
    def schedules(self) -> ScheduleShelf:
        """Schedules that are saved by name."""
        return ScheduleShelf(self)

    # Reading

    def cooks(
        self,
        text: str = "",
        limit: int | None = None,
        offset: int = 0,
        *,
        away: bool = True,
        narrowed: CookFilter = CookFilter(),  # noqa: B008 - frozen
    ) -> list[CookLine]:
        """Cooks, newest first; with `text` those in which all of its words are written, the last one
        at least begun. "Two words" in quotes stand together, -without leaves out.

        With `narrowed` those that pass the filter. Without `away` none that were put away.
        """
        asked = AskedWords.read(text)
        if not self._lines_spoilt:
            try:
                with self.reading() as connection:
                    if not asked and not narrowed:
                        return lines_listed(connection, limit, offset, away=away)
                    return cooks_found(connection, asked, narrowed, limit, offset, away=away)
            except (UnreadLine, JournalProblem) as problem:
                self.check_open()
                _log.warning("The list of cooks can't be read as it stands: %s", problem)
        self._lines_spoilt = True
        # The list says nothing that the entries don't say.
        with self.reading() as connection:
            found = cooks_looked_through(
                connection, asked, narrowed, limit, offset, away=away, trusting=False
            )
        self._mend_lines()
        return found

    def lots_used(self) -> list[str]:
        """The names of all pellets that cooks say were put in, in order."""
        with self.reading() as connection:
            return lots_used(connection)

    @cached_property
    def searches_slowly(self) -> bool:
        """Whether there is no full-text search here, so that every cook is looked through."""
        with self.reading() as connection:
            return not can_index(connection)

    def count_cooks(self, *, away: bool = False) -> int:
        """How many cooks there are; with `away` only those that were put away."""
        query = select(func.count(LINES.c.cook_id))
        if away:
            query = query.where(LINES.c.away == 1)
        with self.reading() as connection:
            return int(connection.execute(query).scalar_one())

    def log(self, cook_id: int) -> CookLog:
        """Everything that was written about a cook, as of one moment."""
        with self.reading() as connection:
            self._check_cook(connection, cook_id)
            entries = entries_of(connection, cook_id)
            found = {
                key: trace_of_channel(connection, cook_id, key, number)
                for key, number in channels_of(connection, cook_id).items()
            }
        self._say_spoilt(cook_id, [spoilt for _, spoilt in found.values()])
        return CookLog(cook_id, entries, {key: trace for key, (trace, _) in found.items()})

    def entries(self, cook_id: int) -> tuple[Entry, ...]:
        """The entries of a cook in the order of writing, struck ones included."""
        with self.reading() as connection:
            self._check_cook(connection, cook_id)
            return entries_of(connection, cook_id)

    def trace(self, cook_id: int, channel: str) -> Trace:
        """All readings of a channel of a cook, struck ones included; empty where there are none."""
        with self.reading() as connection:
            self._check_cook(connection, cook_id)
            number = channels_of(connection, cook_id).get(channel)
            if number is None:
                return EMPTY_TRACE
            trace, spoilt = trace_of_channel(connection, cook_id, channel, number)
        self._say_spoilt(cook_id, [spoilt])
        return trace

    def written_cook(self, cook_id: int) -> WrittenCook:
        """A cook as it stands in the tables, as of one moment."""
        with self.reading() as connection:
            self._check_cook(connection, cook_id)
            return written_cook(connection, cook_id)

    def cook_numbers(self, opened_ms: int | None = None) -> tuple[int, ...]:
        """The numbers of all cooks, oldest first, or of those begun on paper at this moment [ms]."""
        query = select(COOKS.c.id).order_by(COOKS.c.id)
        if opened_ms is not None:
            query = query.where(COOKS.c.opened_ms == opened_ms)
        with self.reading() as connection:
            return tuple(connection.execute(query).scalars())

    def on_spoilt(self, say: Callable[[JournalProblem], None]) -> None:
        """Has `say` called with readings that are found to be damaged and are left out, once each, on
        the thread that reads them; at once with those that were found before."""
        with self._spoilt_lock:
            self._say = say
            before, self._unsaid = self._unsaid, []
        for problem in before:
            say(problem)

    def _say_spoilt(self, cook_id: int, each_channel: Sequence[SpoiltReadings | None]) -> None:
        found = [spoilt for spoilt in each_channel if spoilt is not None]
        if not found:
            return
        with self.reading() as connection:
            zone = zone_of(connection, cook_id)
        for each in found:
            problem = problems.readings_spoilt(self.path, each, zone)
            with self._spoilt_lock:
                if (cook_id, each) in self._spoilt:
                    continue
                self._spoilt.add((cook_id, each))
                say = self._say
                if say is None:
                    self._unsaid.append(problem)
            _log.error("Cook %d: %s", cook_id, problem)
            if say is not None:
                say(problem)

    def last_recorded_s(self) -> float | None:
        """The latest moment that the journal knows of as recorded; None while it is empty."""
        with self.reading() as connection:
            entry_ms = connection.exec_driver_sql(
                "SELECT recorded_ms FROM entry ORDER BY id DESC LIMIT 1"
            ).scalar()
            reading_ms = connection.exec_driver_sql(
                "SELECT max((SELECT max(t_ms) FROM reading WHERE channel_id = channel.id))"
                " FROM channel"
            ).scalar()
        found = [each for each in (entry_ms, reading_ms) if each is not None]
        return max(found) / 1000 if found else None

    def check(self) -> tuple[str, ...]:
        """What a thorough check of the whole file finds wrong; empty if it is sound. May be slow.

        What merely follows from the entries, and doesn't say what they say, is written anew.
        """
        self.check_open()
        self._mend_lines()
        found = faults(self.path, lambda: self._closed)
        try:
            with self.reading() as connection:
                damaged = damaged_entries(connection)
        except JournalProblem as problem:
            return found if self._closed else (*found, str(problem))
        return (*found, *(f"entry {number} isn't as it was written" for number in damaged))

    # Writing

    def new_cook(self, opened: CookOpened, at_s: float, recorded_s: float) -> Future[int]:
        """Begins a cook; the future gives its number."""
        payload = cast(CookOpened, checked(opened))
        _check_moment("at_s", at_s)
        _check_moment("recorded_s", recorded_s)

        def work(connection: Connection) -> tuple[int, Change]:
            cook_id, entry = open_cook(connection, payload, at_s, recorded_s)
            return cook_id, Change(cook_id, (entry,), new_cook=True)

        return self.submit(work)

    def add_written_cook(self, cook: WrittenCook, renumber: Renumber) -> Future[int]:
        """Adds a cook that another journal held, all of it or nothing; the future gives its number.

        `renumber` is called on the writer's thread. What is written isn't looked at: the caller did.
        """

        def work(connection: Connection) -> tuple[int, Change]:
            cook_id = add_written_cook(connection, cook, renumber)
            return cook_id, Change(cook_id, entries_of(connection, cook_id), new_cook=True)

        return self.submit(work, READ)

    def append(
        self, cook_id: int, payload: Payload, at_s: float, recorded_s: float
    ) -> Future[Entry]:
        """Adds an entry to a cook. SchemaProblem at once where it can't stand as it is."""
        written = self.append_many(cook_id, [(at_s, payload)], recorded_s)
        single: Future[Entry] = Future()
        single.set_running_or_notify_cancel()

        def settle(done: Future[tuple[Entry, ...]]) -> None:
            problem = done.exception()
            if problem is None:
                single.set_result(done.result()[0])
            else:
                single.set_exception(problem)

        written.add_done_callback(settle)
        return single

    def append_many(
        self, cook_id: int, items: Sequence[tuple[float, Payload]], recorded_s: float
    ) -> Future[tuple[Entry, ...]]:
        """Adds entries (when it happened, what was said) to a cook: all of them or none."""
        ready = [(at_s, checked(payload)) for at_s, payload in items]
        _check_moment("recorded_s", recorded_s)
        for at_s, _ in ready:
            _check_moment("at_s", at_s)

        def work(connection: Connection) -> tuple[tuple[Entry, ...], Change]:
            self._check_cook(connection, cook_id)
            added = add_entries(connection, cook_id, ready, recorded_s)
            return added, Change(cook_id, added)

        return self.submit(work)

    def append_readings(
        self, cook_id: int, readings: Sequence[Reading]
    ) -> Future[tuple[Reading, ...]]:
        """Adds readings to a cook, all or none; gives them as kept.

        Times are kept to the millisecond. A reading whose millisecond is taken in its channel goes
        to the next free one.
        """
        given = tuple(readings)
        for reading in given:
            _check_reading(reading)

        def work(connection: Connection) -> tuple[tuple[Reading, ...], Change]:
            if not given:
                return (), Change()
            self._check_cook(connection, cook_id)
            kept = self._readings.add(connection, cook_id, given)
            return kept, Change(cook_id, readings=kept)

        return self.submit(work, READ)

    def take_in(
        self,
        cook: int | tuple[float, CookOpened],
        items: Sequence[tuple[float, Payload]],
        batches: Callable[[], Iterable[Sequence[Reading]]],
        recorded_s: float,
    ) -> Future[int]:
        """Adds entries and many readings to a cook, or to a new one that was opened (when, how): all of
        it or nothing. The future gives the cook's number.

        `batches` is called on the writer's thread, again if the write is tried again; what it raises
        takes everything back and is what the future raises. Nothing else is written meanwhile.
        """
        if not isinstance(cook, int):
            _check_moment("at_s", cook[0])
            cook = cook[0], cast(CookOpened, checked(cook[1]))
        ready = [(at_s, checked(payload)) for at_s, payload in items]
        for at_s in (recorded_s, *(at_s for at_s, _ in ready)):
            _check_moment("at_s", at_s)

        def work(connection: Connection) -> tuple[int, Change]:
            entries: tuple[Entry, ...] = ()
            if isinstance(cook, int):
                number = cook
                self._check_cook(connection, number)
            else:
                number, opened = open_cook(connection, cook[1], cook[0], recorded_s)
                entries = (opened,)
            entries += add_entries(connection, number, ready, recorded_s)
            for batch in batches():
                for reading in batch:
                    _check_reading(reading)
                self._readings.add(connection, number, batch)
            new = not isinstance(cook, int)
            return number, Change(number, entries, new_cook=new, reread=True)

        return self.submit(work, READ)

    def setting(self, key: str, default: Any = None) -> Any:
        """A setting that belongs to the journal, or `default` where it was never set or can't be read."""
        with self.reading() as connection:
            return setting_of(connection, key, default)

    def settings(self) -> dict[str, Any]:
        """Every setting that was ever set and can be read, by its key."""
        with self.reading() as connection:
            return settings_of(connection)

    def unread_settings(self) -> tuple[str, ...]:
        """The settings that were kept and can't be read; `setting` gives their default."""
        with self.reading() as connection:
            return unread_settings_of(connection)

    def set_setting(self, key: str, value: Any) -> Future[None]:
        """Keeps a setting with the journal; `value` is anything that JSON holds."""
        return self.execute(keep_setting(key, value), Change(settings=True))

    def _catch_up(self) -> None:
        """Has what searches look at brought up to date, some cooks at a time; nobody waits for it."""
        try:
            with self.reading() as connection:
                if is_current(connection) or not (
                    cooks_behind(connection, 1) or can_index(connection)
                ):
                    return
            self.submit(_catch_up, READ).add_done_callback(self._caught_up)
        except JournalProblem as problem:
            _log.warning("Searches look through every cook: %s", problem)

    def _caught_up(self, done: Future[bool]) -> None:
        if (problem := done.exception()) is not None:
            _log.warning("Searches look through every cook: %s", problem)
        elif done.result() and not self._closed:
            self._catch_up()

    def _mend_lines(self) -> None:
        """Has the lines of cooks that are spoilt written anew; nobody waits for it."""
        if self.read_only or self._mending:
            return
        self._mending = True
        try:
            with self.reading() as connection:
                spoilt = spoilt_lines(connection)
        except JournalProblem as problem:
            _log.warning("The lines of cooks could not be compared: %s", problem)
            return
        if spoilt:
            _log.warning("The lines of the cooks %s are read off their entries anew", spoilt)

        def work(connection: Connection) -> tuple[None, Change]:
            mend_lines(connection, spoilt)
            return None, Change()

        def told(done: Future[None]) -> None:
            if (problem := done.exception()) is not None:
                _log.error("The lines of cooks could not be mended: %s", problem)
            else:
                self._mending = self._lines_spoilt = False

        self.submit(work).add_done_callback(told)

    def _check_cook(self, connection: Connection, cook_id: int) -> None:
        # Asked before each reading is written, so of the driver itself.
        found = driver_of(connection).execute("SELECT 1 FROM cook WHERE id = ?", (cook_id,))
        if found.fetchone() is None:
            raise JournalProblem(
                translate("Journal", "There is no cook {number} in this journal.").format(
                    number=cook_id
                ),
                translate("Journal", "Choose one from the list of cooks."),
                self.path,
            )


#: Cooks whose texts are brought up to date in one commit, so that nobody waits long behind it.
_AT_ONCE = 50


def _catch_up(connection: Connection) -> tuple[bool, Change]:
    behind = cooks_behind(connection, _AT_ONCE)
    for number in behind:
        write_line(connection, number)
    more = len(behind) == _AT_ONCE
    if not more and not is_current(connection):
        make_index(connection)
    return more, Change()


def _check_moment(where: str, at_s: float) -> None:
    if not (math.isfinite(at_s) and 0 <= at_s <= LAST_S):
        raise SchemaProblem(where, translate("Journal", "Give a date from 1970 to 9999."))


def _check_reading(reading: Reading) -> None:
    _check_moment("at_s", reading.at_s)
    if not reading.channel.strip():
        raise SchemaProblem("channel", translate("Journal", "Name the channel of the reading."))
    if not math.isfinite(reading.value_c):
        raise SchemaProblem("value_c", translate("Journal", "Give a temperature as a number."))
