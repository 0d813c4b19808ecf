"""A temporary folder that is full, or gone: the cook goes on, and one sentence says what is missing."""

from __future__ import annotations

import errno
import os
import sqlite3
import tempfile
import wave
from pathlib import Path

import pytest

from smokejournal.cook.log.entries import CookOpened, Note
from smokejournal.cook.log.readings import Reading
from smokejournal.host import sound as host_sound
from smokejournal.host.sound import CommandSound
from smokejournal.host.tones import write_wav
from smokejournal.journal import Journal
from smokejournal.journal.connections import engine_for
from tests.support.fake_programs import Launches


def test_alarms_beep_and_say_why_until_there_is_room(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    full = True

    def half(path: Path, sound, loudness: float = 1.0) -> None:
        if full:
            path.write_bytes(b"RIFF half of a sound")
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        write_wav(path, sound, loudness)

    monkeypatch.setattr(host_sound, "write_wav", half)
    start = Launches()
    player = CommandSound([("player",)], start)
    assert not player.play("insistent")
    told = player.take_problem()
    assert os.strerror(errno.ENOSPC) in told
    assert "only beep and show" in told
    assert not player.play("insistent")
    assert player.take_problem() == ""
    assert start.children == []
    full = False
    assert player.play("insistent")
    with wave.open(start.children[-1].command[-1]) as whole:
        assert whole.getnframes() > 1000


def test_no_temporary_folder_at_all(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "gone"))
    player = CommandSound([("player",)], Launches())
    assert not player.play("chime")
    assert "temporary folder" in player.take_problem()


def test_the_journal_needs_no_temporary_folder(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """SQLite looks for its own at each need: there is none here, and nothing asks for one."""
    monkeypatch.setenv("SQLITE_TMPDIR", str(tmp_path / "gone"))
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "gone"))
    with Journal.open(tmp_path / "journal") as journal:
        cook = journal.new_cook(CookOpened("Ribs", "UTC"), 1000.0, 1000.0).result()
        journal.append(cook, Note("sorted in memory"), 1001.0, 1001.0).result()
        journal.append_readings(
            cook, [Reading(1000.0 + n, f"probe{n % 7}", float(n % 90)) for n in range(20_000)]
        ).result()
        assert len(journal.trace(cook, "probe3")) == 2857
        assert [line.title for line in journal.cooks("memory")] == ["Ribs"]
        assert journal.check() == ()


def test_what_is_sorted_stays_in_memory(tmp_path: Path) -> None:
    path = tmp_path / "some.db"
    sqlite3.connect(path).close()
    engine = engine_for(f"file:{path}")
    try:
        with engine.connect() as connection:
            # 2 is MEMORY (sqlite.org/pragma.html, temp_store).
            assert connection.exec_driver_sql("PRAGMA temp_store").scalar() == 2
    finally:
        engine.dispose()
