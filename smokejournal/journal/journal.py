"""The journal: every cook's log, and what else the cook keeps."""

from __future__ import annotations

import json
import logging
import math
import sqlite3
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any, TypeVar, cast

from sqlalchemy import Connection, Engine, delete, func, insert, select, update
from sqlalchemy.dialects.sqlite import insert as insert_or
from sqlalchemy.exc import SQLAlchemyError

from smokejournal.cook.codec.entries import checked
from smokejournal.cook.codec.schedules import (
    schedule_from_json,
    schedule_to_json,
    validate_schedule,
)
from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.entries import CookOpened, Entry, Payload
from smokejournal.cook.log.ranges import LAST_S
from smokejournal.cook.log.readings import EMPTY_TRACE, Reading, Trace
from smokejournal.cook.log.schedule import Schedule
from smokejournal.cook.probes.probe import (
    Calibration,
    Probe,
    validate_calibration,
)
from smokejournal.cook.stores.lots import Lot
from smokejournal.cook.stores.wares import Ware
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.strict import check
from smokejournal.cook.text.translate import translate
from smokejournal.journal import backups, photos, problems
from smokejournal.journal.changes import Change, CookLine
from smokejournal.journal.connections import driver_of, engine_for, uri_of
from smokejournal.journal.copies import JournalCopy, copies_in, says_the_same
from smokejournal.journal.entry_table import add_entries, entries_of, number_of, open_cook
from smokejournal.journal.header import check_links
from smokejournal.journal.line_table import (
    lines_listed,
    lines_off_entries,
    mend_lines,
    spoilt_lines,
)
from smokejournal.journal.lines import UnreadLine
from smokejournal.journal.lock import JournalLock
from smokejournal.journal.models import LineRow, LotRow, PatternRow, SettingRow
from smokejournal.journal.opening import FILE_NAME, faults, prepare, prepare_to_read
from smokejournal.journal.own_file import OwnFile
from smokejournal.journal.private import make_folder
from smokejournal.journal.probe_table import (
    add_calibration,
    calibrations_of,
    keep_probe,
    probes_of,
)
from smokejournal.journal.problems import JournalProblem
from smokejournal.journal.reading_table import ReadingTable, channels_of, trace_of_channel
from smokejournal.journal.restoring import CopyContents, look_into, put_copy_in_place
from smokejournal.journal.ware_table import keep_ware, wares_of
from smokejournal.journal.writer import READ, SAID, Writer

T = TypeVar("T")

_log = logging.getLogger(__name__)

#: Closing waits no longer than this for what is still to be written [s].
LONGEST_CLOSE_S = 10.0


class Journal:
    """One journal, open. Reading is safe from any thread; writing goes through one of its own.

    Every method that writes gives a future that is settled once the write is on disk; a write that
    fails gives it a JournalProblem. Whatever reads raises JournalProblem.
    """

    def __init__(
        self,
        folder: Path,
        engine: Engine,
        *,
        lock: JournalLock | None = None,
        copied_to: Path | None = None,
    ) -> None:
        self.folder = folder
        self.read_only = lock is None
        self.copied_to = copied_to
        """The copy that was made because the journal was brought up to date; None otherwise."""
        self._path = folder / FILE_NAME
        self._engine = engine
        self._lock = lock
        self._readings = ReadingTable()
        self._own_file = None if lock is None else OwnFile(self._path)
        self._closing = threading.Lock()
        self._closed = False
        self._mending = False  # stays so where it failed: it would fail again
        self._lines_spoilt = False
        self._writer = None if lock is None else Writer(engine, self._path, self._readings.forget)

    @classmethod
    def open(cls, folder: Path, *, read_only: bool = False) -> Journal:
        """Opens the journal in `folder`; begins one where there is none.

        With `read_only` it may be open in the program at the same time, and nothing is written.
        JournalProblem where it can't be used, with the file left as it was.
        """
        folder = Path(folder)
        path = folder / FILE_NAME
        if read_only:
            try:
                check_links(folder)
                return cls(folder, engine_for(prepare_to_read(path)))
            except OSError as problem:
                raise problems.unreadable(folder, problem) from problem
        try:
            check_links(folder)
            make_folder(folder, parents=True)
        except OSError as problem:
            raise problems.of_os(problem, folder) from problem
        lock = JournalLock(folder)
        try:
            copied_to = prepare(path)
            engine = engine_for(uri_of(path, read_only=False))
            return cls(folder, engine, lock=lock, copied_to=copied_to)
        except BaseException as problem:
            lock.release()
            if isinstance(problem, OSError):
                raise problems.of_os(problem, folder) from problem
            raise

    def __enter__(self) -> Journal:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    # Reading

    def cooks(self, text: str = "", limit: int | None = None, offset: int = 0) -> list[CookLine]:
        """Cooks, newest first; with `text` those that hold all of its words."""
        words = text.casefold().split()
        if not self._lines_spoilt:
            try:
                with self._reading() as connection:
                    return lines_listed(connection, words, limit, offset)
            except (UnreadLine, JournalProblem) as problem:
                self._check_open()
                _log.warning("The list of cooks can't be read as it stands: %s", problem)
        self._lines_spoilt = True
        # The list says nothing that the entries don't say.
        with self._reading() as connection:
            found = lines_off_entries(connection, words)
        self._mend_lines()
        return found[offset:] if limit is None else found[offset : offset + limit]

    def count_cooks(self) -> int:
        """How many cooks there are."""
        with self._reading() as connection:
            return int(connection.execute(select(func.count(LineRow.cook_id))).scalar_one())

    def log(self, cook_id: int) -> CookLog:
        """Everything that was written about a cook, as of one moment."""
        with self._reading() as connection:
            self._check_cook(connection, cook_id)
            return CookLog(
                cook_id=cook_id,
                entries=entries_of(connection, cook_id),
                traces={
                    key: trace_of_channel(connection, number)
                    for key, number in channels_of(connection, cook_id).items()
                },
            )

    def entries(self, cook_id: int) -> tuple[Entry, ...]:
        """The entries of a cook in the order of writing, struck ones included."""
        with self._reading() as connection:
            self._check_cook(connection, cook_id)
            return entries_of(connection, cook_id)

    def trace(self, cook_id: int, channel: str) -> Trace:
        """All readings of a channel of a cook, struck ones included; empty where there are none."""
        with self._reading() as connection:
            self._check_cook(connection, cook_id)
            number = channels_of(connection, cook_id).get(channel)
            return EMPTY_TRACE if number is None else trace_of_channel(connection, number)

    def last_recorded_s(self) -> float | None:
        """The latest moment that the journal knows of as recorded; None while it is empty."""
        with self._reading() as connection:
            entry_ms = connection.exec_driver_sql(
                "SELECT recorded_ms FROM entry ORDER BY id DESC LIMIT 1"
            ).scalar()
            reading_ms = connection.exec_driver_sql(
                "SELECT max((SELECT max(t_ms) FROM reading WHERE channel_id = channel.id))"
                " FROM channel"
            ).scalar()
        found = [each for each in (entry_ms, reading_ms) if each is not None]
        return max(found) / 1000 if found else None

    def patterns(self) -> list[tuple[str, Schedule]]:
        """The saved schedules by name. Those that can't be read are in `unread_patterns`."""
        return [(name, found) for name, found in self._patterns() if isinstance(found, Schedule)]

    def unread_patterns(self) -> list[tuple[str, str]]:
        """Names of saved schedules that this version can't read, each with the reason."""
        return [
            (name, str(found)) for name, found in self._patterns() if isinstance(found, ValueError)
        ]

    def setting(self, key: str, default: Any = None) -> Any:
        """A setting that belongs to the journal, or `default` where it was never set or can't be read."""
        with self._reading() as connection:
            # Every one is asked for before the window shows, so of the driver itself.
            # As bytes: what isn't text any more can't be read as such.
            found = driver_of(connection).execute(
                "SELECT CAST(value AS BLOB) FROM setting WHERE key = ?", (key,)
            )
            row = found.fetchone()
        if row is None:
            return default
        try:
            return _kept_value(row[0])
        except ValueError as problem:
            _log.warning("The setting %r can't be read: %s", key, problem)
            return default

    def unread_settings(self) -> tuple[str, ...]:
        """The settings that were kept and can't be read; `setting` gives their default."""
        with self._reading() as connection:
            rows = driver_of(connection).execute(
                "SELECT CAST(key AS BLOB), CAST(value AS BLOB) FROM setting ORDER BY key"
            )
            return tuple(key.decode("utf-8", "replace") for key, kept in rows if _is_unread(kept))

    def lots(self) -> list[Lot]:
        """The lots of fuel, newest first."""
        with self._reading() as connection:
            rows = connection.execute(select(LotRow.__table__).order_by(LotRow.id.desc()))
            return [Lot(**{**row, "retired": bool(row["retired"])}) for row in rows.mappings()]

    def wares(self) -> list[Ware]:
        """The salts, woods and rubs of the stores, newest first."""
        with self._reading() as connection:
            return wares_of(connection)

    def probes(self) -> list[Probe]:
        """The probes that the cook owns, newest first."""
        with self._reading() as connection:
            return probes_of(connection)

    def calibrations(self) -> list[Calibration]:
        """Every calibration of every probe, newest first, but for those in `unread_calibrations`."""
        with self._reading() as connection:
            return calibrations_of(connection)[0]

    def unread_calibrations(self) -> int:
        """How many calibrations this version can't read."""
        with self._reading() as connection:
            return calibrations_of(connection)[1]

    def check(self) -> tuple[str, ...]:
        """What a thorough check of the whole file finds wrong; empty if it is sound. May be slow.

        What merely follows from the entries, and doesn't say what they say, is written anew.
        """
        self._check_open()
        self._mend_lines()
        return faults(self._path, lambda: self._closed)

    # Writing

    def new_cook(self, opened: CookOpened, at_s: float, recorded_s: float) -> Future[int]:
        """Begins a cook; the future gives its number."""
        payload = cast(CookOpened, checked(opened))
        _check_moment("at_s", at_s)
        _check_moment("recorded_s", recorded_s)

        def work(connection: Connection) -> tuple[int, Change]:
            cook_id, entry = open_cook(connection, payload, at_s, recorded_s)
            return cook_id, Change(cook_id, (entry,), new_cook=True)

        return self._submit(work)

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

        return self._submit(work)

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

        return self._submit(work, READ)

    def save_pattern(self, name: str, schedule: Schedule) -> Future[None]:
        """Saves a schedule by name, in the place of one of the same name."""
        name = name.strip()
        if not name:
            raise SchemaProblem("name", translate("Journal", "Give the schedule a name."))
        validate_schedule(schedule)
        text = json.dumps(schedule_to_json(schedule), ensure_ascii=False)
        statement = insert_or(PatternRow).values(name=name, schedule=text)
        statement = statement.on_conflict_do_update(
            index_elements=[PatternRow.name], set_={"schedule": text}
        )
        return self._submit(_only(statement, Change(patterns=True)))

    def delete_pattern(self, name: str) -> Future[None]:
        """Forgets a saved schedule; cooks that used it keep theirs."""
        statement = delete(PatternRow).where(PatternRow.name == name)
        return self._submit(_only(statement, Change(patterns=True)))

    def set_setting(self, key: str, value: Any) -> Future[None]:
        """Keeps a setting with the journal; `value` is anything that JSON holds."""
        text = json.dumps(value, ensure_ascii=False, allow_nan=False)
        statement = insert_or(SettingRow).values(key=key, value=text)
        statement = statement.on_conflict_do_update(
            index_elements=[SettingRow.key], set_={"value": text}
        )
        return self._submit(_only(statement, Change(settings=True)))

    def save_lot(self, lot: Lot) -> Future[Lot]:
        """Keeps a lot: a new one where its id is 0. The future gives it with its id."""
        check(lot)
        values = {name: getattr(lot, name) for name in Lot.__slots__ if name != "id"}
        values["retired"] = int(lot.retired)

        def work(connection: Connection) -> tuple[Lot, Change]:
            if lot.id == 0:
                added = connection.execute(insert(LotRow).values(**values))
                number = number_of(added)
            else:
                number = lot.id
                done = connection.execute(
                    update(LotRow).where(LotRow.id == number).values(**values)
                )
                if done.rowcount != 1:
                    raise JournalProblem(
                        translate("Journal", "This lot is not in the journal."),
                        translate("Journal", "Add it as a new one."),
                        self._path,
                    )
            kept = {**{name: getattr(lot, name) for name in Lot.__slots__}, "id": number}
            return Lot(**kept), Change(stores=True)

        return self._submit(work)

    def save_ware(self, ware: Ware) -> Future[Ware]:
        """Keeps a salt, wood or rub: a new one where its id is 0. The future gives it with its id."""
        check(ware)
        return self._submit(lambda connection: (keep_ware(connection, ware), Change(stores=True)))

    def save_probe(self, probe: Probe) -> Future[Probe]:
        """Keeps a probe: a new one where its id is 0. The future gives it with its id."""
        check(probe)
        return self._submit(lambda connection: (keep_probe(connection, probe), Change(probes=True)))

    def add_calibration(self, calibration: Calibration) -> Future[Calibration]:
        """Adds a calibration, which is never altered. The future gives it with its id."""
        validate_calibration(calibration)
        return self._submit(
            lambda connection: (add_calibration(connection, calibration), Change(probes=True))
        )

    def keep_photo(self, source: Path) -> tuple[str, str]:
        """Copies a picture into the journal's folder; gives what a Photo entry needs: its hash and
        the ending of its name."""
        self._check_open(writing=True)
        return photos.keep_photo(self.folder, Path(source))

    def photo_path(self, sha256: str, suffix: str) -> Path:
        """Where a photo is kept."""
        return photos.photo_path(self.folder, sha256, suffix)

    def back_up(self, now_s: float, stop: threading.Event | None = None) -> Path:
        """Copies the journal as it stands into the folder `backups`; gives the copy's path.

        Slow, and on the caller's thread; whoever reads or writes isn't held up. Copies that are no
        longer worth their place are removed. CopyStopped once `stop` is set.
        """
        self._check_open(writing=True)
        self.flush()
        if self.is_gone():
            return self.save_what_was_open(now_s)
        return backups.keep_copy(self._path, now_s, stop or threading.Event())

    @staticmethod
    def copies(folder: Path) -> list[JournalCopy]:
        """The copies of the journal in `folder`, newest first. Callable while it is open or damaged."""
        try:
            return copies_in(folder)
        except OSError as problem:
            raise problems.unreadable(folder, problem) from problem

    @staticmethod
    def look_into(copy: JournalCopy) -> CopyContents:
        """What is in a copy. Slow; JournalProblem where it can't be used."""
        return look_into(copy.path)

    @staticmethod
    def restore(folder: Path, copy: JournalCopy, now_s: float) -> Path | None:
        """Puts a copy in the place of the journal in `folder`, which must be closed.

        What was there is kept under another name, which is given; None where nothing was there.
        JournalProblem where it can't be done; the journal is then as it was.
        """
        lock = JournalLock(folder)
        try:
            return put_copy_in_place(folder / FILE_NAME, copy.path, now_s)
        finally:
            lock.release()

    def is_in(self, copy: JournalCopy) -> bool:
        """Whether a copy holds all that the journal holds."""
        self._check_open()
        return says_the_same(
            uri_of(self._path, read_only=True), f"{uri_of(copy.path, read_only=True)}&immutable=1"
        )

    # Around

    def subscribe(self, callback: Callable[[Change], None]) -> Callable[[], None]:
        """Has `callback` called on the writer's thread after each commit; gives the way out.

        It must not wait for a write. In a journal that is read only it is never called.
        """
        return (lambda: None) if self._writer is None else self._writer.subscribe(callback)

    def is_gone(self) -> bool:
        """Whether the file was removed, renamed or replaced since it was opened. Quick."""
        return self._own_file is not None and not self._closed and self._own_file.gone()

    def save_what_was_open(self, now_s: float) -> Path:
        """Copies what the file holds that was opened, with all that was written since, into `backups`;
        gives the copy's path. Slow, from any thread. It is made anew when the journal is closed.
        """
        assert self._own_file is not None
        try:
            return self._own_file.save(now_s)
        except OSError as problem:
            raise problems.of_os(problem, self.folder) from problem
        except sqlite3.Error as problem:
            raise problems.of_sqlite(problem, self._path) or problems.damaged(
                self._path
            ) from problem

    def flush(self, timeout_s: float = 10) -> None:
        """Waits until everything written so far is on disk. JournalProblem after `timeout_s`."""
        if self._writer is not None:
            self._writer.flush(timeout_s)

    def close(self) -> None:
        """Writes what is queued and lets the journal go. Once is enough, twice does no harm.

        What can't be written within ten seconds is given up.
        """
        with self._closing:
            if self._closed:
                return
            gone = self.is_gone()
            self._closed = True
            if self._writer is not None:
                if not self._writer.close(LONGEST_CLOSE_S):
                    _log.error("The disk hangs: what waited to be written is not in the journal")
                    return
                if gone:
                    self._save_at_the_end()
                else:
                    self._tidy()
            if self._own_file is not None:
                self._own_file.close()
            self._engine.dispose()
            if self._lock is not None:
                self._lock.release()

    def _save_at_the_end(self) -> None:
        try:
            path = self.save_what_was_open(time.time())
        except JournalProblem as problem:
            _log.error("What was written is gone with the journal's file: %s", problem)
        else:
            _log.warning("The journal's file was taken away; everything is in %s", path)

    def _tidy(self) -> None:
        """Empties the log into the file. What fails here is done at the next start by itself."""
        with suppress(SQLAlchemyError, sqlite3.Error), self._engine.connect() as connection:
            driver_of(connection).execute("PRAGMA optimize")
            driver_of(connection).execute("PRAGMA wal_checkpoint(TRUNCATE)")

    def _mend_lines(self) -> None:
        """Has the lines of cooks that are spoilt written anew; nobody waits for it."""
        if self.read_only or self._mending:
            return
        self._mending = True
        try:
            with self._reading() as connection:
                spoilt = spoilt_lines(connection)
        except JournalProblem as problem:
            _log.warning("The lines of cooks could not be compared: %s", problem)
            return
        if not spoilt:
            self._mending = self._lines_spoilt = False
            return
        _log.warning("The lines of the cooks %s are read off their entries anew", spoilt)

        def work(connection: Connection) -> tuple[None, Change]:
            mend_lines(connection, spoilt)
            return None, Change()

        def told(done: Future[None]) -> None:
            if (problem := done.exception()) is not None:
                _log.error("The lines of cooks could not be mended: %s", problem)
            else:
                self._mending = self._lines_spoilt = False

        self._submit(work).add_done_callback(told)

    def _submit(
        self, work: Callable[[Connection], tuple[T, Change]], rank: int = SAID
    ) -> Future[T]:
        self._check_open(writing=True)
        assert self._writer is not None
        return self._writer.submit(work, rank)

    def _check_open(self, *, writing: bool = False) -> None:
        if self._closed:
            raise problems.closed(self._path)
        if writing and self.read_only:
            raise problems.read_only(self._path)

    @contextmanager
    def _reading(self) -> Iterator[Connection]:
        self._check_open()
        try:
            with self._engine.connect() as connection, connection.begin():
                yield connection
        except Exception as problem:
            trouble = problems.of_sqlite(problem, self._path)
            if trouble is None:
                raise
            raise trouble from problem

    def _check_cook(self, connection: Connection, cook_id: int) -> None:
        # Asked before each reading is written, so of the driver itself.
        found = driver_of(connection).execute("SELECT 1 FROM cook WHERE id = ?", (cook_id,))
        if found.fetchone() is None:
            raise JournalProblem(
                translate("Journal", "There is no cook {number} in this journal.").format(
                    number=cook_id
                ),
                translate("Journal", "Choose one from the list of cooks."),
                self._path,
            )

    def _patterns(self) -> list[tuple[str, Schedule | ValueError]]:
        with self._reading() as connection:
            rows = connection.execute(
                select(PatternRow.name, PatternRow.schedule).order_by(
                    func.lower(PatternRow.name), PatternRow.name
                )
            ).all()
        found: list[tuple[str, Schedule | ValueError]] = []
        for name, text in rows:
            try:
                found.append((name, schedule_from_json(json.loads(text))))
            except ValueError as problem:
                _log.warning("The saved schedule %r can't be read: %s", name, problem)
                found.append((name, problem))
        return found


def _kept_value(kept: bytes) -> Any:
    """What a setting holds. ValueError where the bytes are no JSON."""
    try:
        return json.loads(kept.decode("utf-8"))
    except RecursionError as problem:
        raise ValueError(str(problem)) from problem


def _is_unread(kept: bytes) -> bool:
    try:
        _kept_value(kept)
    except ValueError:
        return True
    return False


def _only(statement: Any, change: Change) -> Callable[[Connection], tuple[None, Change]]:
    """Work that is one statement."""

    def work(connection: Connection) -> tuple[None, Change]:
        connection.execute(statement)
        return None, change

    return work


def _check_moment(where: str, at_s: float) -> None:
    if not (math.isfinite(at_s) and 0 <= at_s <= LAST_S):
        raise SchemaProblem(where, translate("Journal", "Give a date from 1970 to 9999."))


def _check_reading(reading: Reading) -> None:
    _check_moment("at_s", reading.at_s)
    if not reading.channel.strip():
        raise SchemaProblem("channel", translate("Journal", "Name the channel of the reading."))
    if not math.isfinite(reading.value_c):
        raise SchemaProblem("value_c", translate("Journal", "Give a temperature as a number."))
