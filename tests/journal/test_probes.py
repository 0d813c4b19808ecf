"""Probes and calibrations are kept with the journal; a calibration is never altered."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from smokejournal.cook.probes.probe import Calibration, CalibrationPoint, Probe
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.journal import Change, Journal
from smokejournal.journal.opening import FILE_NAME

AT_S = 1_780_000_000.0
ICE = CalibrationPoint("ice", 0.8, 0.0, 0.05, 0.1)
BOIL = CalibrationPoint("boil", 99.0, 98.2, 0.05, 0.15)


def test_kept_and_read_again(journal: Journal) -> None:
    thin = journal.stores.save_probe(Probe(0, " Thin one ", "K1", "red cable")).result(10)
    assert thin == Probe(1, "Thin one", "K1", "red cable")
    thick = journal.stores.save_probe(Probe(0, "Thick one")).result(10)
    retired = journal.stores.save_probe(replace(thin, retired=True)).result(10)
    assert journal.stores.probes() == [thick, retired]
    first = journal.stores.add_calibration(Calibration(0, 1, AT_S, (ICE,), "offset")).result(10)
    second = journal.stores.add_calibration(
        Calibration(0, 1, AT_S + 86_400, (ICE, BOIL), "slope", "new battery")
    ).result(10)
    assert journal.stores.calibrations() == [second, first]
    assert second.correction.slope == pytest.approx(98.2 / 98.2)
    assert journal.stores.unread_calibrations() == 0
    assert journal.check() == ()


def test_told_to_those_who_listen(journal: Journal) -> None:
    heard: list[Change] = []
    journal.subscribe(heard.append)
    journal.stores.save_probe(Probe(0, "Thin one")).result(10)
    assert heard == [Change(probes=True)]


def test_what_cannot_be_kept_is_refused(journal: Journal) -> None:
    with pytest.raises(SchemaProblem, match="name: Write something here"):
        journal.stores.save_probe(Probe(0, "  "))
    with pytest.raises(SchemaProblem, match="accuracy_class: Choose one of"):
        journal.stores.save_probe(Probe(0, "a", "gold"))
    with pytest.raises(SchemaProblem, match="not in the journal"):
        journal.stores.save_probe(Probe(9, "a")).result(10)
    with pytest.raises(SchemaProblem, match="not in the journal"):
        journal.stores.add_calibration(Calibration(0, 9, AT_S, (ICE,), "offset")).result(10)
    with pytest.raises(SchemaProblem, match="1 to 50 points"):
        journal.stores.add_calibration(Calibration(0, 1, AT_S, (), "offset"))
    with pytest.raises(SchemaProblem, match="30 °C or more apart"):
        journal.stores.add_calibration(Calibration(0, 1, AT_S, (ICE,), "slope"))
    with pytest.raises(SchemaProblem, match="Point 1 is more than 30 °C off"):
        journal.stores.add_calibration(
            Calibration(0, 1, AT_S, (replace(ICE, reading_c=32.0),), "offset")
        )


def test_a_calibration_is_written_once_and_one_of_a_newer_form_is_counted(folder: Path) -> None:
    with Journal.open(folder) as journal:
        journal.stores.save_probe(Probe(0, "Thin one")).result(10)
        journal.stores.add_calibration(Calibration(0, 1, AT_S, (ICE,), "offset")).result(10)
    with closing(sqlite3.connect(folder / FILE_NAME)) as raw:
        with pytest.raises(sqlite3.IntegrityError, match="never changed"):
            raw.execute("UPDATE calibration SET at_ms = 0")
        with pytest.raises(sqlite3.IntegrityError, match="never changed"):
            raw.execute("DELETE FROM calibration")
        raw.execute(
            "INSERT INTO calibration (probe_id, at_ms, points) VALUES (1, 5, '{\"version\": 2}')"
        )
        raw.commit()
    with Journal.open(folder) as journal:
        assert len(journal.stores.calibrations()) == 1
        assert journal.stores.unread_calibrations() == 1
