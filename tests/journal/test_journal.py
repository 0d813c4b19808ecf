"""The journal as the program uses it."""

import sqlite3
import threading
from contextlib import closing
from pathlib import Path

import numpy as np
import pytest
from sqlalchemy.exc import IntegrityError

from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.entries import (
    AlarmRaised,
    CookClosed,
    CookOpened,
    CookRenamed,
    FuelAdded,
    ItemAdded,
    Lid,
    NextTime,
    Note,
    ScheduleStarted,
    Strike,
    Tasted,
    Unread,
)
from smokejournal.cook.log.readings import Reading
from smokejournal.cook.log.schedule import Schedule, Stage, UntilTemperature
from smokejournal.cook.stores.lots import Lot
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.journal import Change, Journal, JournalProblem
from smokejournal.journal.opening import FILE_NAME
from smokejournal.journal.sums import entry_sum

AT_S = 1_780_000_000.0
OPENED = CookOpened("Trout over beech", "Europe/Paris", place="yard")


def begin(journal: Journal, title: str = "Trout over beech", at_s: float = AT_S) -> int:
    return journal.new_cook(CookOpened(title, "Europe/Paris"), at_s, at_s).result(10)


def test_what_was_written_is_there_after_opening_again(folder: Path) -> None:
    with Journal.open(folder) as journal:
        cook = journal.new_cook(OPENED, AT_S, AT_S + 1).result(10)
        added = journal.append(cook, Note("wind turns"), AT_S + 5, AT_S + 60).result(10)
        kept = journal.append_readings(
            cook, [Reading(AT_S + 6, "p1", 21.25), Reading(AT_S + 5, "p1", 20.125)]
        ).result(10)
    with Journal.open(folder) as journal:
        log = journal.log(cook)
    assert [entry.what for entry in log.entries] == [OPENED, Note("wind turns")]
    assert log.entries[1] == added
    assert (added.at_s, added.recorded_s) == (AT_S + 5, AT_S + 60)
    assert [reading.at_s for reading in kept] == [AT_S + 6, AT_S + 5]
    np.testing.assert_array_equal(log.traces["p1"].at_s, [AT_S + 5, AT_S + 6])
    np.testing.assert_array_equal(log.traces["p1"].value_c, [20.125, 21.25])


def test_an_entry_is_given_back_as_it_is_kept(journal: Journal) -> None:
    cook = begin(journal)
    entry = journal.append(
        cook, ItemAdded("trout", mass_kg=2), AT_S + 0.123_456, AT_S + 0.999_9
    ).result(10)
    assert entry.at_s == AT_S + 0.123
    assert entry.recorded_s == AT_S + 1.0
    assert journal.entries(cook)[-1] == entry
    assert isinstance(entry.what, ItemAdded)
    assert type(entry.what.mass_kg) is float


def test_entries_together_are_all_there_or_none(journal: Journal) -> None:
    cook = begin(journal)
    added = journal.append_many(cook, [(AT_S + 2, Lid(True)), (AT_S + 3, Lid(False))], AT_S + 9)
    assert [entry.what for entry in added.result(10)] == [Lid(True), Lid(False)]
    failed = journal.append_many(cook, [(AT_S + 4, Note("kept?")), (AT_S, Strike(999))], AT_S + 9)
    with pytest.raises(SchemaProblem):
        failed.result(10)
    assert len(journal.entries(cook)) == 3


def test_what_can_not_stand_is_refused_before_it_is_queued(journal: Journal) -> None:
    cook = begin(journal)
    with pytest.raises(SchemaProblem):
        journal.append(cook, Note(" "), AT_S, AT_S)
    with pytest.raises(SchemaProblem):
        journal.append(cook, Unread("x", {}, "why"), AT_S, AT_S)
    with pytest.raises(SchemaProblem):
        journal.append(cook, Note("when?"), float("nan"), AT_S)
    for reading in (
        Reading(AT_S, "p1", float("nan")),
        Reading(AT_S, "p1", float("inf")),
        Reading(-1.0, "p1", 20.0),
        Reading(AT_S, "", 20.0),
    ):
        with pytest.raises(SchemaProblem):
            journal.append_readings(cook, [Reading(AT_S, "p1", 20.0), reading])
    assert len(journal.entries(cook)) == 1
    assert journal.log(cook).traces == {}


def test_a_strike_names_an_entry_of_its_own_cook(journal: Journal) -> None:
    one, other = begin(journal), begin(journal)
    note = journal.append(one, Note("wrong probe"), AT_S, AT_S).result(10)
    with pytest.raises(SchemaProblem):
        journal.append(other, Strike(note.id), AT_S, AT_S).result(10)
    journal.append(one, Strike(note.id), AT_S, AT_S).result(10)
    assert [entry.what.kind for entry in journal.log(one).holding()] == ["cook_opened"]


def test_a_cook_that_is_not_there_is_told(journal: Journal) -> None:
    for ask in (journal.log, journal.entries, lambda cook: journal.trace(cook, "p1")):
        with pytest.raises(JournalProblem, match="no cook 7"):
            ask(7)
    for future in (
        journal.append(7, Note("x"), AT_S, AT_S),
        journal.append_readings(7, [Reading(AT_S, "p1", 1.0)]),
    ):
        with pytest.raises(JournalProblem, match="no cook 7"):
            future.result(10)


def test_a_cook_without_readings_has_an_empty_trace(journal: Journal) -> None:
    cook = begin(journal)
    assert len(journal.trace(cook, "p1")) == 0
    assert journal.log(cook) == CookLog(cook, journal.entries(cook))
    assert journal.append_readings(cook, []).result(10) == ()


def test_the_last_moment_recorded_counts_readings_too(journal: Journal) -> None:
    assert journal.last_recorded_s() is None
    cook = begin(journal)
    assert journal.last_recorded_s() == AT_S
    journal.append_readings(cook, [Reading(AT_S + 50, "p1", 1.0)]).result(10)
    assert journal.last_recorded_s() == AT_S + 50
    journal.append(cook, Note("x"), AT_S, AT_S + 70).result(10)
    assert journal.last_recorded_s() == AT_S + 70


def test_the_list_of_cooks_follows_their_entries(journal: Journal) -> None:
    older = begin(journal, "Ribs", AT_S)
    newer = begin(journal, "Thighs", AT_S + 100)
    assert [line.id for line in journal.cooks()] == [newer, older]
    journal.append(older, ItemAdded("pork ribs", mass_kg=1.2345), AT_S, AT_S)
    journal.append(older, ItemAdded("sausage"), AT_S, AT_S)
    started = journal.append(older, ScheduleStarted(), AT_S + 200, AT_S + 200).result(10)
    line = journal.cooks()[0]
    assert (line.id, line.state, line.started_s) == (older, "under way", AT_S + 200)
    assert line.items == "pork ribs 1.23 kg, sausage"
    assert line.pieces == (("pork ribs", 1.2345), ("sausage", None))
    journal.append(older, Strike(started.id), AT_S + 201, AT_S + 201).result(10)
    line = journal.cooks()[1]
    assert (line.id, line.state, line.started_s) == (older, "planned", None)
    journal.append(newer, CookRenamed("Thighs, crisp"), AT_S + 101, AT_S)
    journal.append(newer, ScheduleStarted(), AT_S + 300, AT_S)
    journal.append(newer, CookClosed(), AT_S + 900, AT_S)
    journal.append(newer, Tasted(marks={"overall": 4, "smoke": 1}), AT_S + 950, AT_S)
    journal.append(newer, Tasted(marks={"overall": 5}, taster="a guest"), AT_S, AT_S).result(10)
    line = journal.cooks()[0]
    assert (line.title, line.state, line.over_s) == ("Thighs, crisp", "finished", AT_S + 900)
    assert line.overall == 4.5
    assert journal.count_cooks() == 2


def test_cooks_come_in_pages(journal: Journal) -> None:
    ids = [begin(journal, f"Cook {n}", AT_S + n) for n in range(5)]
    assert [line.id for line in journal.cooks(limit=2)] == ids[:2:-1]
    assert [line.id for line in journal.cooks(limit=2, offset=2)] == [ids[2], ids[1]]
    assert [line.id for line in journal.cooks(offset=4)] == [ids[0]]


def test_cooks_are_found_by_all_words_in_any_of_their_texts(journal: Journal) -> None:
    trout = journal.new_cook(OPENED, AT_S, AT_S).result(10)
    ribs = begin(journal, "Ribs 100%_done")
    journal.append(trout, FuelAdded("Érable, spring", 3.0, 0.1), AT_S, AT_S)
    journal.append(trout, NextTime("less SALT"), AT_S, AT_S)
    note = journal.append(ribs, Note("bark like Leather"), AT_S, AT_S).result(10)

    def found(text: str) -> list[int]:
        return [line.id for line in journal.cooks(text)]

    assert found("salt") == [trout]
    assert found("éRABLE yard") == [trout]
    assert found("salt leather") == []
    assert found("leather") == [ribs]
    assert found("100%_d") == [ribs]
    assert found("1%d") == []
    assert found("  ") == [ribs, trout]
    journal.append(ribs, Strike(note.id), AT_S, AT_S).result(10)
    assert found("leather") == []


def test_listeners_hear_what_is_on_disk_before_the_future_is_settled(journal: Journal) -> None:
    heard: list[tuple[Change, int]] = []
    threads = set()

    def listen(change: Change) -> None:
        threads.add(threading.current_thread())
        assert change.cook_id is not None
        heard.append((change, len(journal.entries(change.cook_id))))

    leave = journal.subscribe(listen)
    cook = begin(journal)
    entry = journal.append(cook, Note("x"), AT_S, AT_S).result(10)
    assert [change.new_cook for change, _ in heard] == [True, False]
    assert heard[1] == (Change(cook, (entry,)), 2)
    readings = journal.append_readings(cook, [Reading(AT_S, "p1", 1.0)]).result(10)
    assert heard[2][0] == Change(cook, readings=readings)
    assert threading.current_thread() not in threads
    leave()
    journal.append(cook, Note("y"), AT_S, AT_S).result(10)
    assert len(heard) == 3


def test_what_is_written_once_can_not_be_altered(folder: Path) -> None:
    with Journal.open(folder) as journal:
        cook = begin(journal)
        journal.append_readings(cook, [Reading(AT_S, "p1", 1.0)]).result(10)
        with journal._engine.connect() as connection:
            for statement in (
                "UPDATE entry SET payload = '{}'",
                "DELETE FROM entry",
                "INSERT OR REPLACE INTO entry SELECT * FROM entry",
                "UPDATE reading SET value = 2",
                "DELETE FROM reading",
                "INSERT OR REPLACE INTO reading SELECT channel_id, t_ms, 2.0 FROM reading",
                "DELETE FROM cook",
            ):
                with pytest.raises(IntegrityError):
                    connection.exec_driver_sql(statement)
                connection.rollback()
    with closing(sqlite3.connect(folder / FILE_NAME)) as plain:
        for statement in ("UPDATE entry SET kind = 'x'", "DELETE FROM reading"):
            with pytest.raises(sqlite3.IntegrityError, match="never changed"):
                plain.execute(statement)


def test_connections_commit_to_disk_and_trust_nothing(journal: Journal) -> None:
    def ask(name: str) -> object:
        with journal._engine.connect() as connection:
            return connection.exec_driver_sql(f"PRAGMA {name}").scalar()

    names = ("journal_mode", "synchronous", "foreign_keys", "trusted_schema", "busy_timeout")
    assert [ask(name) for name in names] == ["wal", 3, 1, 0, 5000]


def test_an_entry_that_this_version_can_not_read_is_shown_and_harms_nothing(folder: Path) -> None:
    with Journal.open(folder) as journal:
        cook = begin(journal)
    with closing(sqlite3.connect(folder / FILE_NAME)) as plain:
        for kind, payload, form in (
            ("basted", '{"with": "butter"}', 1),
            ("note", "{", 1),
            ("note", '{"text": "?"}', 2),
        ):
            row = (cook, 5, 6, kind, payload, form)
            plain.execute(
                "INSERT INTO entry (cook_id, at_ms, recorded_ms, kind, payload, version, sum)"
                " VALUES (?, ?, ?, ?, ?, ?, ?)",
                (*row, entry_sum(cook, 5, 6, kind.encode(), payload.encode(), form)),
            )
        plain.commit()
    with Journal.open(folder) as journal:
        journal.append(cook, Note("goes on"), AT_S, AT_S).result(10)
        _, basted, broken, newer, note = journal.entries(cook)
    assert basted.what == Unread(
        "basted", {"with": "butter"}, "This version doesn't know this kind of entry."
    )
    assert isinstance(broken.what, Unread)
    assert broken.what.data == {"text": "{"}
    assert isinstance(newer.what, Unread)
    assert "newer version" in newer.what.why
    assert note.what == Note("goes on")


SCHEDULE = Schedule("Low", (Stage("s1", "Smoke", (UntilTemperature(74.0),), pit_target_c=107.0),))


def test_schedules_are_saved_by_name(journal: Journal) -> None:
    heard: list[Change] = []
    journal.subscribe(heard.append)
    journal.schedules.save(" low and slow ", SCHEDULE).result(10)
    journal.schedules.save("Bare", Schedule()).result(10)
    assert journal.schedules.saved() == [("Bare", Schedule()), ("low and slow", SCHEDULE)]
    journal.schedules.save("Bare", SCHEDULE).result(10)
    journal.schedules.forget("low and slow").result(10)
    assert journal.schedules.saved() == [("Bare", SCHEDULE)]
    assert heard == [Change(patterns=True)] * 4
    with pytest.raises(SchemaProblem):
        journal.schedules.save("  ", SCHEDULE)
    with pytest.raises(SchemaProblem):
        journal.schedules.save("x", Schedule("x", (Stage("s1", "", (UntilTemperature(1e9),)),)))


def test_a_saved_schedule_that_can_not_be_read_is_told(folder: Path) -> None:
    with Journal.open(folder) as journal:
        journal.schedules.save("good", SCHEDULE).result(10)
    with closing(sqlite3.connect(folder / FILE_NAME)) as plain:
        plain.execute("INSERT INTO pattern VALUES ('odd', '{\"mood\": 1}'), ('cut', '{')")
        plain.commit()
    with Journal.open(folder) as journal:
        assert journal.schedules.saved() == [("good", SCHEDULE)]
        assert [name for name, _ in journal.schedules.unread()] == ["cut", "odd"]
        assert "mood" in dict(journal.schedules.unread())["odd"]


def test_settings_hold_what_json_holds(journal: Journal) -> None:
    assert journal.setting("feed.1") is None
    assert journal.setting("feed.1", 7) == 7
    journal.set_setting("feed.1", {"port": "é", "columns": [1, None, 2.5]}).result(10)
    assert journal.setting("feed.1") == {"port": "é", "columns": [1, None, 2.5]}
    journal.set_setting("feed.1", None).result(10)
    assert journal.setting("feed.1", 7) is None
    with pytest.raises(ValueError):
        journal.set_setting("x", float("nan"))


def test_lots_are_kept_and_changed(journal: Journal) -> None:
    heard: list[Change] = []
    journal.subscribe(heard.append)
    beech = journal.stores.save_lot(Lot(0, "Beech", bag_kg=8.0, price=12.0, currency="EUR")).result(
        10
    )
    oak = journal.stores.save_lot(Lot(0, "Oak", bags_bought=2)).result(10)
    assert journal.stores.lots() == [oak, beech]
    used_up = Lot(beech.id, "Beech", bag_kg=8.0, retired=True)
    assert journal.stores.save_lot(used_up).result(10) == used_up
    assert journal.stores.lots() == [oak, used_up]
    assert heard == [Change(stores=True)] * 3
    with pytest.raises(JournalProblem, match="not in the journal"):
        journal.stores.save_lot(Lot(99, "Gone")).result(10)
    with pytest.raises(SchemaProblem):
        journal.stores.save_lot(Lot(0, ""))


def test_alarms_leave_the_line_of_a_cook_alone(
    journal: Journal, monkeypatch: pytest.MonkeyPatch
) -> None:
    cook = begin(journal)
    monkeypatch.setattr("smokejournal.journal.entry_table.write_line", None)
    journal.append(cook, AlarmRaised("silent:p1", "The probe is silent."), AT_S, AT_S).result(10)


def test_a_closed_journal_says_so(folder: Path) -> None:
    journal = Journal.open(folder)
    cook = begin(journal)
    pending = [journal.append(cook, Note(f"{n}"), AT_S, AT_S) for n in range(50)]
    journal.close()
    journal.close()
    assert all(future.done() and future.exception() is None for future in pending)
    for ask in (
        journal.cooks,
        journal.count_cooks,
        lambda: journal.append(cook, Note("late"), AT_S, AT_S),
        lambda: journal.set_setting("a", 1),
        journal.flush,
    ):
        with pytest.raises(JournalProblem, match="closed"):
            ask()
    assert sorted(path.name for path in folder.iterdir()) == ["journal.lock", FILE_NAME]
