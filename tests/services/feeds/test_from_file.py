from __future__ import annotations

import numpy as np
import pytest

from smokejournal.cook.log.entries import CookClosed, Note
from smokejournal.cook.log.readings import Channel, Reading
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.inputs.recorded.form import WrittenColumn
from smokejournal.inputs.recorded.read import FileReadings
from smokejournal.journal import Change
from smokejournal.services.feeds import from_file
from smokejournal.services.feeds.from_file import (
    FileChannel,
    FileIntake,
    IntakeStopped,
    PastCook,
    TakenIn,
)
from smokejournal.services.program.program import Program

START_S = 1_770_000_000.0
PIT, MEAT = Channel("pit1", "Pit", "pit"), Channel("meat1", "Meat")
NEW = PastCook("Ribs from the logger", "Europe/Berlin")


def file_of(at_s: list[float], pit: list[float], meat: list[float]) -> FileReadings:
    columns = (WrittenColumn(1, "Pit", "C"), WrittenColumn(2, "Meat", "C"))
    values = np.array([pit, meat]).T
    return FileReadings(columns, np.array(at_s), values, np.arange(len(at_s)), len(at_s))


def intake(
    program: Program, read: FileReadings, cook: int | PastCook = NEW, *, fresh: bool = True
) -> FileIntake:
    channels = [FileChannel(0, PIT, fresh), FileChannel(1, MEAT, fresh)]
    return FileIntake(program, read, channels, cook, lambda told: f"{told.readings} came in.")


THREE = file_of([START_S, START_S + 60, START_S + 120], [100.0, 101.0, np.nan], [5.0, 6.0, 7.0])


def test_a_new_cook_is_opened_with_the_first_reading_and_closed_with_the_last(
    program: Program,
) -> None:
    told = intake(program, THREE).run()
    assert told == TakenIn(1, 5, 0, 0)
    (line,) = program.cooks()
    assert (line.title, line.state) == ("Ribs from the logger", "finished")
    assert (line.opened_s, line.started_s, line.over_s) == (START_S, START_S, START_S + 120)
    log = program.live(1).log()
    assert log.trace("pit1").value_c.tolist() == [100.0, 101.0]
    assert log.trace("meat1").at_s.tolist() == [START_S, START_S + 60, START_S + 120]
    assert [what.text for _, what in log.of(Note)] == ["5 came in."]
    assert len(log.of(CookClosed)) == 1
    assert program.live(1).standing().channels["meat1"].value_c == 7.0
    assert program.live(1).summary() is not None
    assert program.live(1).alarms(START_S + 130) == ()


def test_what_is_there_already_is_not_doubled_and_is_counted(program: Program) -> None:
    intake(program, THREE).run()
    live = program.live(1)
    assert intake(program, THREE, 1, fresh=False).run() == TakenIn(None, 0, 5, 0)
    more = file_of([START_S + 60, START_S + 90, START_S + 60], [101.0, 3.0, 9.0], [6.0, 4.0, 6.0])
    # In the file itself one reading of the meat is said twice, and the pit has two at one moment.
    assert intake(program, more, 1, fresh=False).run() == TakenIn(1, 3, 3, 1)
    trace = live.log().trace("pit1")
    assert trace.at_s.tolist() == [START_S, START_S + 60, START_S + 60.001, START_S + 90]
    assert trace.value_c.tolist() == [100.0, 101.0, 9.0, 3.0]
    assert intake(program, more, 1, fresh=False).run().readings == 0
    assert {what.text for _, what in live.log().of(Note)} == {"5 came in.", "3 came in."}


def test_a_cook_that_is_shown_hears_of_it_once(program: Program) -> None:
    intake(program, THREE).run()
    live = program.live(1)
    heard: list[Change] = []
    live.subscribe(lambda _, change: heard.append(change))
    live.record_readings([Reading(START_S + 200, "meat1", 9.0)]).result()
    later = file_of([START_S + 30, START_S + 300], [1.0, 2.0], [3.0, 4.0])
    intake(program, later, 1, fresh=False).run()
    assert [change.reread for change in heard] == [False, True]
    assert live.log().trace("meat1").value_c.tolist() == [5.0, 3.0, 6.0, 7.0, 9.0, 4.0]
    assert live.standing(START_S + 300).channels["meat1"].value_c == 4.0


def test_cancelled_between_batches_nothing_is_left(
    program: Program, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(from_file, "BATCH", 2)
    coming = intake(program, THREE)
    add = program.journal._readings.add

    def then_cancel(*given: object) -> object:
        coming.cancel()
        return add(*given)  # type: ignore[arg-type]

    monkeypatch.setattr(program.journal._readings, "add", then_cancel)
    with pytest.raises(IntakeStopped):
        coming.run()
    assert program.cooks() == []
    monkeypatch.undo()
    assert intake(program, THREE).run().readings == 5
    assert program.live(program.cooks()[0].id).log().trace("meat1").value_c.size == 3
    assert program.journal.check() == ()


def test_readings_to_come_are_refused(program: Program) -> None:
    later = file_of([START_S, 1_790_000_000.0], [1.0, 2.0], [3.0, 4.0])
    with pytest.raises(SchemaProblem, match="still to come"):
        intake(program, later).run()
    assert program.cooks() == []


def test_a_bad_title_writes_nothing(program: Program) -> None:
    with pytest.raises(SchemaProblem):
        intake(program, THREE, PastCook("", "Europe/Berlin")).run()
    assert program.cooks() == []
