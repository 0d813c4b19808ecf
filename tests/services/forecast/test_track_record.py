"""How good the forecasts of a journal were: walked, remembered, cancelled, printed."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from smokejournal.__main__ import main
from smokejournal.cook.log.entries import Note, Strike
from smokejournal.cook.log.readings import Reading, Trace
from smokejournal.journal import Journal
from smokejournal.services.forecast.track_record import Judged, TrackRecord
from smokejournal.services.program.program import Program
from tests.support.fakes import FixedClock
from tests.support.judged_cooks import finished


@pytest.fixture
def record(program: Program) -> Iterator[TrackRecord]:
    record = TrackRecord(program)
    yield record
    record.close()


@pytest.fixture
def read(monkeypatch: pytest.MonkeyPatch) -> list[tuple[int, str]]:
    """Which traces were read, as they are."""
    seen: list[tuple[int, str]] = []
    trace = Journal.trace

    def noting(self: Journal, cook_id: int, channel: str) -> Trace:
        seen.append((cook_id, channel))
        return trace(self, cook_id, channel)

    monkeypatch.setattr(Journal, "trace", noting)
    return seen


def walked(record: TrackRecord) -> Judged:
    judged = record.walk().run()
    assert judged is not None
    return judged


def test_real_and_simulated_cooks_are_never_mixed(
    program: Program, clock: FixedClock, record: TrackRecord
) -> None:
    finished(program, clock)
    finished(program, clock, held=False)
    finished(program, clock, held=False, simulated=True)
    finished(program, clock, said=False)
    program.new_cook("Under way", "UTC")
    judged = walked(record)
    real, simulated = judged.real, judged.simulated
    assert (real.finished, real.cooks, real.no_forecast) == (3, 2, 1)
    assert (simulated.finished, simulated.cooks) == (1, 1)
    quarter, half, three, _ = real.moments
    assert (quarter.judged, quarter.held) == (2, 1)
    assert (simulated.moments[0].judged, simulated.moments[0].held) == (1, 0)
    assert (three.judged, three.none_made) == (0, 2)
    # There after four hours; half an hour too late is a sixth of the three that remained, then a quarter.
    assert quarter.lean is not None
    assert quarter.lean.seconds == pytest.approx(1800.0, abs=1.0)
    assert quarter.lean.share == pytest.approx(1 / 6, abs=1e-4)
    assert half.off is not None
    assert half.off.share == pytest.approx(1 / 4, abs=1e-4)
    assert half.line is not None
    assert half.line.seconds == pytest.approx(0.0, abs=1e-3)


def test_only_the_probe_that_was_forecast_is_read_newest_first_and_once(
    program: Program, clock: FixedClock, record: TrackRecord, read: list[tuple[int, str]]
) -> None:
    first, second = finished(program, clock), finished(program, clock)
    finished(program, clock, said=False)
    before = walked(record)
    assert read == [(second, "meat"), (first, "meat")]
    assert walked(record) == before
    assert len(read) == 2
    # What is added to one has that one read again.
    program.live(first).record(Note("dry")).result()
    assert walked(record) == before
    assert read[2:] == [(first, "meat")]


def test_a_forecast_that_is_struck_and_a_late_reading_count(
    program: Program, clock: FixedClock, record: TrackRecord, read: list[tuple[int, str]]
) -> None:
    cook_id = finished(program, clock)
    assert walked(record).real.moments[0].judged == 1
    entries = program.journal.entries(cook_id)
    made = next(e for e in entries if e.what.kind == "forecast_made")
    program.journal.append(cook_id, Strike(made.id), clock.now_s(), clock.now_s()).result()
    assert walked(record).real.moments[0].judged == 0
    late = [Reading(clock.now_s(), "meat", 60.0)]
    program.journal.append_readings(cook_id, late).result()
    program.journal.flush()
    walked(record)
    assert len(read) == 3


def test_a_walk_tells_how_far_it_is_and_ends_when_told(
    program: Program, clock: FixedClock, record: TrackRecord, read: list[tuple[int, str]]
) -> None:
    for _ in range(3):
        finished(program, clock)
    walk = record.walk()
    assert (walk.done, walk.total) == (0, 0)
    trace = Journal.trace

    def cancelling(self: Journal, cook_id: int, channel: str) -> Trace:
        walk.cancel()
        return trace(self, cook_id, channel)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Journal, "trace", cancelling)
        assert walk.run() is None
    assert (walk.done, walk.total) == (1, 3)
    # The one that was read is known to the next.
    assert walked(record).real.cooks == 3
    assert len(read) == 3


class TestCommand:
    def test_text(
        self, program: Program, clock: FixedClock, capsys: pytest.CaptureFixture[str]
    ) -> None:
        finished(program, clock)
        finished(program, clock, held=False, simulated=True)
        program.journal.flush()
        assert main(["track-record", "--journal", str(program.journal.folder)]) == 0
        out = capsys.readouterr().out
        real, simulated = out.split("Simulated cooks only. They prove nothing about real ones.")
        assert re.search(r"^a quarter +1 of 1 +1 of 1 +17 % +17 % too late +under 1 %$", real, re.M)
        assert re.search(r"^a quarter +1 of 1 +0 of 1 +17 % ", simulated, re.M)
        assert "three quarters  0 of 1  –" in real
        assert "One cook says next to nothing." in " ".join(real.split())
        assert "Wilson's interval" in " ".join(simulated.split())
        assert max(map(len, out.splitlines())) <= 88

    def test_json(
        self, program: Program, clock: FixedClock, capsys: pytest.CaptureFixture[str]
    ) -> None:
        finished(program, clock)
        program.journal.flush()
        assert main(["--journal", str(program.journal.folder), "track-record", "--json"]) == 0
        told = json.loads(capsys.readouterr().out)
        assert told["simulated"]["finished"] == 0
        quarter, _, three, _ = told["real"]["moments"]
        assert quarter["held_range"] == [0.2065, 1.0]
        assert quarter["median_error"]["told_no_time"] == 0
        assert quarter["bias"]["seconds"] == pytest.approx(1800.0, abs=1.0)
        assert quarter["straight_line_median_error"]["share_of_remaining"] == pytest.approx(0.0)
        assert (three["forecasts"], three["median_error"]) == (0, None)

    def test_an_empty_journal(self, program: Program, capsys: pytest.CaptureFixture[str]) -> None:
        assert main(["--journal", str(program.journal.folder), "track-record"]) == 0
        assert capsys.readouterr().out.startswith("Nothing to judge yet.")

    def test_no_journal(self, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        assert main(["--journal", str(tmp_path / "none"), "track-record"]) == 2
        assert capsys.readouterr().err
