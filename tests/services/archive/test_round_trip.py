"""What goes out in an archive comes in again as the same log, and nothing that is there is touched."""

from __future__ import annotations

import dataclasses
import itertools
import math
import random
import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import closing
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from smokejournal.cook.codec.references import Numbers, renumbered
from smokejournal.cook.log.cook_log import CookLog, holding
from smokejournal.cook.log.entries import (
    AlarmAcknowledged,
    AlarmRaised,
    ChannelSet,
    CookOpened,
    Entry,
    FuelForeseen,
    ItemAdded,
    Note,
    Payload,
    Photo,
    PieceFound,
    PrepStep,
    StepBegun,
    Strike,
    TimesKept,
    Unread,
    Wrap,
)
from smokejournal.cook.log.readings import Channel, Reading
from smokejournal.cook.log.schedule import Schedule
from smokejournal.cook.probes.probe import Calibration, CalibrationPoint, Probe
from smokejournal.cook.stores.lots import Lot
from smokejournal.cook.stores.wares import Ware
from smokejournal.journal import Journal
from smokejournal.services.archive.form import ArchiveProblem
from smokejournal.services.archive.reading import open_archive
from smokejournal.services.archive.taking_in import Intake, look_at, take_in
from smokejournal.services.archive.words import intake_lines
from smokejournal.services.archive.writing import write_archive
from smokejournal.services.demo.build import make_demo
from smokejournal.services.program.program import Program
from smokejournal.services.stores.export import summary_json, summary_text
from tests.cook.codec.test_entries import PAYLOADS
from tests.support.fakes import FixedClock

T0 = 1_780_000_000.0
OPENED = CookOpened("Shoulder", "Europe/Berlin")


@pytest.fixture
def two(tmp_path: Path) -> Iterator[tuple[Journal, Journal]]:
    """A journal with something in it, and another one with a cook of its own."""
    with Journal.open(tmp_path / "one") as one, Journal.open(tmp_path / "other") as other:
        other.new_cook(CookOpened("Mine", "UTC"), T0 - 9e5, T0 - 9e5).result()
        other.append(1, Note("mine"), T0, T0).result()
        yield one, other


def carried(source: Journal, target: Journal, file: Path, cook_id: int | None = None) -> Intake:
    write_archive(source, file, T0, cook_id)
    with open_archive(file) as archive:
        return take_in(archive, target)


def same_numbers(log: CookLog, numbers: Mapping[int, int]) -> list[tuple[object, ...]]:
    """The entries with the numbers of another log; keys made of numbers are looked at by themselves."""
    found: list[tuple[object, ...]] = []
    for entry in log.entries:
        what: Payload = entry.what
        if isinstance(what, Strike):
            what = dataclasses.replace(what, entry_id=numbers[what.entry_id])
        found.append((numbers[entry.id], entry.at_s, entry.recorded_s, what))
    return found


def assert_same_log(one: CookLog, other: CookLog) -> None:
    numbers = {a.id: b.id for a, b in zip(one.entries, other.entries, strict=True)}
    assert same_numbers(one, numbers) == [
        (e.id, e.at_s, e.recorded_s, e.what) for e in other.entries
    ]
    assert list(one.traces) == list(other.traces)
    for key, trace in one.traces.items():
        assert trace.at_s.tobytes() == other.traces[key].at_s.tobytes()
        assert trace.value_c.tobytes() == other.traces[key].value_c.tobytes()
    assert [numbers[e.id] for e in one.holding()] == [e.id for e in other.holding()]


_MOMENTS = st.integers(0, 253_402_300_799_000).map(lambda at_ms: at_ms / 1000)
#: Named by number are cooks and probes that aren't there: what comes of that is tested by itself.
_KINDS = sorted(set(PAYLOADS) - {"strike", "cook_opened", "channel"})
_SAID = st.sampled_from(_KINDS).flatmap(lambda kind: PAYLOADS[kind])
_READINGS = st.dictionaries(
    st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), min_size=1).filter(
        lambda key: bool(key.strip())
    ),
    st.dictionaries(_MOMENTS, st.floats(allow_nan=False, allow_infinity=False), max_size=20),
    max_size=3,
)


def test_any_log_comes_back_as_it_was(two: tuple[Journal, Journal], tmp_path: Path) -> None:
    one, other = two
    moments = itertools.count(T0)

    @settings(
        max_examples=50,
        deadline=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(
        st.lists(st.tuples(_MOMENTS, _MOMENTS, _SAID | st.integers(0, 40)), max_size=12),
        _READINGS,
    )
    def holds(said: list, readings: dict) -> None:
        # Begun at a moment of its own: cooks that differ in forecasts alone are the same cook.
        opened_s = next(moments)
        cook_id = one.new_cook(OPENED, opened_s, opened_s).result()
        for at_s, recorded_s, what in said:
            if isinstance(what, int):
                # Strikes, strikes of strikes, and so on.
                known = one.entries(cook_id)
                what = Strike(known[what % len(known)].id, "so")
            one.append(cook_id, what, at_s, recorded_s).result()
        for channel, values in readings.items():
            one.append_readings(
                cook_id, [Reading(at_s, channel, value) for at_s, value in values.items()]
            ).result()
        intake = carried(one, other, tmp_path / "a.zip", cook_id)
        (new_id,) = intake.ids.values()
        assert_same_log(one.log(cook_id), other.log(new_id))
        before = other.count_cooks()
        again = carried(one, other, tmp_path / "a.zip", cook_id)
        assert again.ids == {cook_id: new_id}
        assert other.count_cooks() == before
        # And out of the other journal it is still the same cook.
        back = carried(other, one, tmp_path / "b.zip", new_id)
        assert not back.fresh

    holds()
    assert one.check() == other.check() == ()
    assert [entry.what for entry in other.entries(1)][1] == Note("mine")


def test_the_demo_journal_comes_back_whole(tmp_path: Path) -> None:
    make_demo(tmp_path / "demo", T0)
    with (
        Journal.open(tmp_path / "demo", read_only=True) as demo,
        Journal.open(tmp_path / "empty") as empty,
    ):
        intake = carried(demo, empty, tmp_path / "demo.zip")
        assert intake.plain
        assert len(intake.ids) == demo.count_cooks()
        clock = FixedClock(T0)
        before, after = Program(demo, clock), Program(empty, clock)
        for old, new in intake.ids.items():
            assert_same_log(demo.log(old), empty.log(new))
            was, now = before.live(old).summary(), after.live(new).summary()
            assert summary_text(was) == summary_text(now)
            assert _without_numbers(summary_json(was)) == _without_numbers(summary_json(now))
        for shelf in ("lots", "wares", "probes", "calibrations"):
            assert getattr(demo.stores, shelf)() == getattr(empty.stores, shelf)()
        assert demo.schedules.saved() == empty.schedules.saved()
        titles = [line.title for line in demo.cooks()]
        assert [line.title for line in empty.cooks()] == titles
        before.close()
        after.close()


def _without_numbers(told: object) -> object:
    if isinstance(told, dict):
        return {k: _without_numbers(v) for k, v in told.items() if k not in ("id", "entry_id")}
    return [_without_numbers(each) for each in told] if isinstance(told, list) else told


def test_readings_come_back_bit_for_bit(two: tuple[Journal, Journal], tmp_path: Path) -> None:
    one, other = two
    cook_id = one.new_cook(OPENED, T0, T0).result()
    values = [0.1 + 0.2, math.pi, 5e-324, 1.7976931348623157e308, -40.0, 1 / 3]
    values += [random.Random(1).uniform(-50, 300) for _ in range(500)]
    one.append_readings(
        cook_id, [Reading(T0 + n * 0.001, "meat", value) for n, value in enumerate(values)]
    ).result()
    intake = carried(one, other, tmp_path / "a.zip")
    trace = other.log(intake.ids[cook_id]).traces["meat"]
    assert trace.value_c.tobytes() == np.array(values).tobytes()
    assert trace.at_s.tobytes() == one.trace(cook_id, "meat").at_s.tobytes()


def test_what_names_an_entry_names_the_same_one(
    two: tuple[Journal, Journal], tmp_path: Path
) -> None:
    one, other = two
    cook_id = one.new_cook(OPENED, T0, T0).result()

    def say(what: Payload) -> int:
        return one.append(cook_id, what, T0, T0).result().id

    item = say(ItemAdded("shoulder", "red_meat"))
    step = say(PrepStep("Brine"))
    say(Wrap("foil", "shoulder"))
    say(Strike(item))
    say(ItemAdded("pork shoulder", "red_meat", key=f"{item}"))
    say(StepBegun(f"e{step}"))
    say(TimesKept({f"on:{item}": T0, f"rest:{item}": T0, f"prep:e{step}": T0, "warm": T0}, T0))
    fuel = say(FuelForeseen(T0, T0, T0))
    for kind in (AlarmRaised, AlarmAcknowledged):
        rest = ("look",) if kind is AlarmRaised else ()
        say(kind(f"fuel_low:{fuel}", *rest))
        say(kind(f"step_over:e{step}:1780000000", *rest))
        say(kind(f"silent:e{step}:1780000000", *rest))
    new_id = carried(one, other, tmp_path / "a.zip").ids[cook_id]
    numbers = {a.id: b.id for a, b in zip(one.entries(cook_id), other.entries(new_id), strict=True)}
    assert numbers[item] != item
    said = [entry.what for entry in other.entries(new_id)]
    item_now, step_now, fuel_now = numbers[item], numbers[step], numbers[fuel]
    assert ItemAdded("pork shoulder", "red_meat", key=f"{item_now}") in said
    assert StepBegun(f"e{step_now}") in said
    (times,) = [what for what in said if isinstance(what, TimesKept)]
    assert list(times.starts) == [
        f"on:{item_now}", f"rest:{item_now}", f"prep:e{step_now}", "warm"
    ]  # fmt: skip
    keys = [what.key for what in said if isinstance(what, AlarmRaised)]
    assert keys == [
        f"fuel_low:{fuel_now}",
        f"step_over:e{step_now}:1780000000",
        f"silent:e{step}:1780000000",
    ]
    assert keys == [what.key for what in said if isinstance(what, AlarmAcknowledged)]
    # What was said of the item follows its new name.
    assert Wrap("foil", "pork shoulder") in [e.what for e in holding(other.entries(new_id))]


def test_a_number_that_is_none_of_the_cook_stays() -> None:
    numbers = Numbers({3: 30}, {}, {})
    assert renumbered("item", {"name": "x", "key": "4"}, numbers)["key"] == "4"
    assert renumbered("item", {"name": "x", "key": "3"}, numbers)["key"] == "30"
    assert renumbered("item", {"name": "x", "key": "03"}, numbers)["key"] == "03"
    assert renumbered("note", {"text": "3"}, numbers) == {"text": "3"}


def test_links_to_cooks_and_probes_are_kept_or_counted(
    two: tuple[Journal, Journal], tmp_path: Path
) -> None:
    one, other = two
    probe = one.stores.save_probe(Probe(0, "Thin one", "", "a note")).result()
    one.stores.save_probe(Probe(0, "In no cook")).result()
    points = (CalibrationPoint("ice", 0.5, 0.0, 0.1, 0.05),)
    one.stores.add_calibration(Calibration(0, probe.id, T0, points, "offset", "ice")).result()
    first = one.new_cook(OPENED, T0, T0).result()
    channel = Channel("meat", "Meat", probe_id=probe.id)
    one.append(first, ChannelSet(channel), T0, T0).result()
    again = one.new_cook(dataclasses.replace(OPENED, again_of=first), T0 + 1, T0 + 1).result()
    alone = carried(one, other, tmp_path / "a.zip", again)
    assert alone.unlinked == 1
    assert any("Links" in line for line in intake_lines(alone))
    (opened,) = [e.what for e in other.entries(alone.ids[again])]
    assert opened == OPENED
    both = carried(one, other, tmp_path / "b.zip", first)
    assert both.plain
    # A probe that the cook names comes along with its calibrations, and no other.
    (mine,) = other.stores.probes()
    assert dataclasses.replace(mine, id=probe.id) == probe
    assert [each.points for each in other.stores.calibrations()] == [points]
    said = [e.what for e in other.entries(both.ids[first])]
    assert ChannelSet(dataclasses.replace(channel, probe_id=mine.id)) in said
    with Journal.open(tmp_path / "third") as third:
        third.new_cook(OPENED, T0 - 50, T0).result()
        ids = carried(one, third, tmp_path / "c.zip").ids
        opened = third.entries(ids[again])[0].what
        assert isinstance(opened, CookOpened)
        assert opened.again_of == ids[first] != first


def test_what_is_here_otherwise_stays_and_is_counted(
    two: tuple[Journal, Journal], tmp_path: Path
) -> None:
    one, other = two
    for journal, note in ((one, "theirs"), (other, "mine")):
        journal.stores.save_lot(Lot(0, "Oak", bag_kg=10.0, note=note)).result()
        journal.stores.save_lot(Lot(0, "Same", bag_kg=10.0)).result()
        journal.stores.save_ware(Ware(0, "salt", "Fine", note=note)).result()
        probe = journal.stores.save_probe(Probe(0, "P", note=note)).result()
        points = (CalibrationPoint("ice", 0.5, 0.0, 0.1, 0.05),)
        journal.stores.add_calibration(
            Calibration(0, probe.id, T0, points, "offset", note)
        ).result()
        journal.schedules.save("Slow", Schedule(note)).result()
        journal.set_setting("place", note).result()
        journal.set_setting("plan_patterns", {"P": note, note: "1"}).result()
    one.stores.save_lot(Lot(0, "New")).result()
    one.set_setting("feed.1", {"port": "of this machine"}).result()
    one.set_setting("practice.clock", {"pace": 60}).result()
    write_archive(one, tmp_path / "a.zip", T0)
    with open_archive(tmp_path / "a.zip") as archive:
        before = look_at(archive, other)
        assert "New" not in [lot.name for lot in other.stores.lots()]
        intake = take_in(archive, other)
    assert before.tallies == intake.tallies
    assert not intake.plain
    tallies = {
        sort: (tally.new, tally.here, tally.other, tally.refused)
        for sort, tally in intake.tallies.items()
    }
    assert tallies == {
        "cooks": (0, 0, 0, 0),
        "photos": (0, 0, 0, 0),
        "probes": (0, 0, 1, 0),
        "calibrations": (0, 0, 1, 0),
        "lots": (1, 1, 1, 0),
        "wares": (0, 0, 1, 0),
        "schedules": (0, 0, 1, 0),
        "settings": (0, 0, 1, 0),
        "patterns": (1, 0, 1, 0),
    }
    assert {lot.name: lot.note for lot in other.stores.lots()} == {
        "Oak": "mine", "Same": "", "New": ""
    }  # fmt: skip
    assert other.setting("place") == "mine"
    assert other.setting("plan_patterns") == {"P": "mine", "mine": "1", "theirs": "1"}
    assert "feed.1" not in other.settings()
    assert "practice.clock" not in other.settings()
    assert sum("Yours stay" in line for line in intake_lines(intake)) == 7


def test_photos_come_along_once(two: tuple[Journal, Journal], tmp_path: Path) -> None:
    one, other = two
    picture = tmp_path / "bark.jpg"
    picture.write_bytes(b"not looked into" * 1000)
    sha256, suffix = one.keep_photo(picture)
    cook_id = one.new_cook(OPENED, T0, T0).result()
    one.append(cook_id, Photo(sha256, suffix, "Bark"), T0, T0).result()
    one.append(cook_id, Photo("0" * 64, ".jpg", "Gone"), T0, T0).result()
    intake = carried(one, other, tmp_path / "a.zip")
    assert other.photo_path(sha256, suffix).read_bytes() == picture.read_bytes()
    assert intake.tallies["photos"].new == 1
    assert any("missing or damaged: 1" in line for line in intake_lines(intake))
    assert not intake.plain


def test_what_the_program_computes_makes_no_other_cook(
    two: tuple[Journal, Journal], tmp_path: Path
) -> None:
    one, other = two
    cook_id = one.new_cook(OPENED, T0, T0).result()
    new_id = carried(one, other, tmp_path / "a.zip").ids[cook_id]
    found = other.append(new_id, PieceFound(1, why="too short"), T0, T0).result()
    other.append(new_id, Strike(found.id), T0, T0).result()
    assert carried(one, other, tmp_path / "a.zip").ids == {cook_id: new_id}
    # What a person says does, and that is said.
    one.append(cook_id, Note("more"), T0, T0).result()
    more = carried(one, other, tmp_path / "b.zip")
    assert more.ids[cook_id] != new_id
    assert more.alike == 1
    assert any("hold something else" in line for line in intake_lines(more))


def test_entries_that_cannot_be_read_are_kept(tmp_path: Path) -> None:
    with Journal.open(tmp_path / "one") as one:
        cook_id = one.new_cook(OPENED, T0, T0).result()
        one.append(cook_id, Note("whole"), T0, T0).result()
        one.append(cook_id, Note("spoilt"), T0, T0).result()
    from smokejournal.journal.sums import entry_sum

    strange = [
        ("from_the_future", '{"a":1}', 1),
        ("note", '{"text":"newer"}', 2),
        ("note", '{"text": "blanks", "x": NaN}', 1),
        ("note", '"\\ud800"', 1),
        ("no\0te", "\0", 1),
        ("strike", '{"entry_id":[]}', 1),
    ]
    with closing(sqlite3.connect(tmp_path / "one" / "journal.sqlite")) as raw, raw:
        raw.execute("DROP TRIGGER entry_no_update")
        raw.execute('UPDATE entry SET payload = \'{"text":"spoiled"}\' WHERE id = 3')
        raw.execute(
            "CREATE TRIGGER entry_no_update BEFORE UPDATE ON entry"
            " BEGIN SELECT RAISE(ABORT, 'what is in entry is never changed'); END"
        )
        for kind, payload, form in strange:
            at_ms = int(T0 * 1000)
            total = entry_sum(cook_id, at_ms, at_ms, kind.encode(), payload.encode(), form)
            raw.execute(
                "INSERT INTO entry (cook_id, at_ms, recorded_ms, kind, payload, version, sum)"
                " VALUES (?, ?, ?, ?, ?, ?, ?)",
                (cook_id, at_ms, at_ms, kind, payload, form, total),
            )
    with Journal.open(tmp_path / "one") as one, Journal.open(tmp_path / "two") as two:
        intake = carried(one, two, tmp_path / "a.zip")
        assert intake.unread == 7
        assert any("Damaged entries of Shoulder" in line for line in intake_lines(intake))
        was = one.written_cook(cook_id).entries
        now = two.written_cook(intake.ids[cook_id]).entries
        assert [(e.kind, e.payload, e.form) for e in was] == [
            (e.kind, e.payload, e.form) for e in now
        ]
        read: list[Entry] = list(two.entries(intake.ids[cook_id]))
        assert [isinstance(e.what, Unread) for e in read] == [False, False, *[True] * 7]
        assert carried(one, two, tmp_path / "a.zip").fresh == []


def test_a_cook_comes_in_whole_or_not_at_all(
    two: tuple[Journal, Journal], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    one, other = two
    for n in range(2):
        cook_id = one.new_cook(OPENED, T0 + n, T0).result()
        one.append_readings(cook_id, [Reading(T0, "a", 1.0), Reading(T0, f"b{n}", 2.0)]).result()
    from smokejournal.journal import problems, transfer

    whole = transfer.add_channel

    def full(connection: object, cook_id: int, channel: str, *rest: object) -> None:
        if channel == "b1":
            raise problems.no_room(other.path)
        whole(connection, cook_id, channel, *rest)  # type: ignore[arg-type]

    with monkeypatch.context() as patch:
        patch.setattr(transfer, "add_channel", full)
        with pytest.raises(ArchiveProblem, match="1 of 2 cooks came in") as told:
            carried(one, other, tmp_path / "a.zip")
    assert "again" in told.value.cure
    assert other.count_cooks() == 2
    assert other.check() == ()
    again = carried(one, other, tmp_path / "a.zip")
    assert (len(again.here), len(again.fresh)) == (1, 1)
    for old, new in again.ids.items():
        assert_same_log(one.log(old), other.log(new))


def test_damaged_readings_are_left_out_and_said(tmp_path: Path) -> None:
    with Journal.open(tmp_path / "one") as one:
        cook_id = one.new_cook(OPENED, T0, T0).result()
        one.append_readings(
            cook_id, [Reading(T0 + 60 * n, "meat", 20.0 + n) for n in range(10)]
        ).result()
    with closing(sqlite3.connect(tmp_path / "one" / "journal.sqlite")) as raw, raw:
        (trigger,) = raw.execute(
            "SELECT sql FROM sqlite_schema WHERE name = 'reading_no_update'"
        ).fetchone()
        raw.execute("DROP TRIGGER reading_no_update")
        raw.execute("UPDATE reading SET value = 99 WHERE value = 25")
        # The list of cooks is no help here: the cook is whole without its line.
        raw.execute("DELETE FROM cook_line")
        raw.execute(trigger)
    with (
        Journal.open(tmp_path / "one", read_only=True) as one,
        Journal.open(tmp_path / "two") as two,
    ):
        intake = carried(one, two, tmp_path / "a.zip")
        (new_id,) = intake.ids.values()
        assert len(two.trace(new_id, "meat")) == 9
        assert any("left out: about 1." in line for line in intake_lines(intake))
        assert not intake.plain
