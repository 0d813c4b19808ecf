"""A cook whose names steer a terminal or turn what is read, written before such names were refused."""

import json
import re
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from smokejournal.__main__ import main
from smokejournal.cook.log.entries import ChannelSet, ItemAdded, Note, ScheduleSet, ScheduleStarted
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.log.schedule import Schedule, Stage
from smokejournal.cook.plan.plan import plan_of
from smokejournal.journal import Journal
from smokejournal.journal.opening import FILE_NAME
from smokejournal.journal.sums import entry_sum
from smokejournal.services.program.program import Program
from tests.support.fakes import FixedClock

HOSTILE = "Ribs\n\x1b]0;owned\x07\x1b[2J\u202eevil\x9b31m"


@pytest.fixture
def cook(folder: Path) -> Path:
    """The folder of a journal that an earlier version wrote, with one cook."""
    with Journal.open(folder) as journal:
        program = Program(journal, FixedClock())
        live = program.live(program.new_cook("NAME", "UTC"))
        live.record(ItemAdded("NAME")).result()
        live.record(ChannelSet(Channel("c1", "NAME"))).result()
        live.record(ScheduleSet(Schedule("NAME", (Stage("s1", "NAME"),)))).result()
        live.record(Note("NAME")).result()
        live.record(ScheduleStarted()).result()
        program.close()
    with closing(sqlite3.connect(folder / FILE_NAME)) as connection:
        connection.execute("DROP TRIGGER entry_no_update")
        connection.execute(
            "UPDATE entry SET payload = replace(payload, 'NAME', ?)", (json.dumps(HOSTILE)[1:-1],)
        )
        connection.create_function("entry_sum", 6, entry_sum)
        connection.execute(
            "UPDATE entry SET sum = entry_sum(cook_id, at_ms, recorded_ms, CAST(kind AS BLOB),"
            " CAST(payload AS BLOB), version)"
        )
        connection.execute("UPDATE cook_line SET title = ?", (HOSTILE,))
        connection.commit()
    return folder


def test_it_is_read_as_it_is_and_planned_again_without(cook: Path) -> None:
    with Journal.open(cook) as journal:
        program = Program(journal, FixedClock())
        before = plan_of(program.live(1).log())
        assert before.title == HOSTILE
        assert before.items[0][1].name == HOSTILE
        assert before.schedule.stages[0].name == HOSTILE
        again = plan_of(program.live(program.plan_again(1)).log())
        program.close()
    clean = "Ribs ]0;owned [2J evil 31m"
    assert again.title == clean
    assert again.items[0][1].name == clean
    assert again.channels["c1"].name == clean
    assert again.schedule.stages[0].name == clean


@pytest.mark.parametrize(
    "command",
    [["cooks"], ["where", "1"], ["summary", "1"], ["track-record"], ["forecast", "--cook", "1"]],
)
def test_nothing_that_is_printed_steers_the_terminal(
    cook: Path, command: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    main([*command, "--journal", str(cook)])
    told = capsys.readouterr()
    assert not re.search(
        "[\0-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]", told.out + told.err
    )
    assert told.out + told.err
    if command == ["cooks"]:
        assert len(told.out.splitlines()) == 1


def test_every_command_prints_by_the_one_way() -> None:
    # 'say' takes out what steers the terminal; print doesn't.
    folder = Path(main.__globals__["__file__"]).parent / "cli"
    printing = [
        path.name
        for path in folder.glob("*.py")
        if re.search(r"(?<!\w)print\(|\.write\(", path.read_text(encoding="utf-8"))
    ]
    assert printing == ["say.py"]
