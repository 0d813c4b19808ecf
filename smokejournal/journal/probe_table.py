"""Probes and their calibrations in their tables."""

from __future__ import annotations

import logging

from sqlalchemy import Connection, insert, select, update

from smokejournal.cook.probes.probe import Calibration, Probe, calibration_from, calibration_text
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.translate import translate
from smokejournal.journal.entry_table import number_of
from smokejournal.journal.lines import ms
from smokejournal.journal.models import CalibrationRow, ProbeRow

_log = logging.getLogger(__name__)


def probes_of(connection: Connection) -> list[Probe]:
    """Every probe, newest first."""
    rows = connection.execute(select(ProbeRow.__table__).order_by(ProbeRow.id.desc()))
    return [Probe(**{**row, "retired": bool(row["retired"])}) for row in rows.mappings()]


def keep_probe(connection: Connection, probe: Probe) -> Probe:
    """Keeps a probe, a new one where its id is 0; gives it with its id. SchemaProblem if it's gone."""
    values = {
        "name": probe.name.strip(),
        "accuracy_class": probe.accuracy_class,
        "note": probe.note,
        "retired": int(probe.retired),
    }
    if probe.id == 0:
        number = number_of(connection.execute(insert(ProbeRow).values(**values)))
    else:
        number = probe.id
        done = connection.execute(update(ProbeRow).where(ProbeRow.id == number).values(**values))
        if done.rowcount != 1:
            raise SchemaProblem("id", translate("Journal", "This probe is not in the journal."))
    return Probe(**{**values, "id": number, "retired": probe.retired})  # type: ignore[arg-type]


def calibrations_of(connection: Connection) -> tuple[list[Calibration], int]:
    """Every calibration, newest first, and how many this version can't read."""
    table = CalibrationRow.__table__
    rows = connection.execute(
        select(table).order_by(CalibrationRow.at_ms.desc(), CalibrationRow.id.desc())
    )
    found: list[Calibration] = []
    unread = 0
    for row in rows.mappings():
        try:
            found.append(
                calibration_from(row["id"], row["probe_id"], row["at_ms"] / 1000, row["points"])
            )
        except SchemaProblem as problem:
            unread += 1
            _log.warning("Calibration %s can't be read: %s", row["id"], problem)
    return found, unread


def add_calibration(connection: Connection, calibration: Calibration) -> Calibration:
    """Adds a calibration; gives it as it was kept."""
    at_ms = ms(calibration.at_s)
    known = connection.execute(select(ProbeRow.id).where(ProbeRow.id == calibration.probe_id))
    if known.first() is None:
        raise SchemaProblem("probe_id", translate("Journal", "This probe is not in the journal."))
    added = connection.execute(
        insert(CalibrationRow).values(
            probe_id=calibration.probe_id, at_ms=at_ms, points=calibration_text(calibration)
        )
    )
    return Calibration(
        number_of(added),
        calibration.probe_id,
        at_ms / 1000,
        calibration.points,
        calibration.model,
        calibration.note,
    )
