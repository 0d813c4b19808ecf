"""Calibrations of probes in their table."""

from __future__ import annotations

import logging
from dataclasses import replace

from sqlalchemy import Connection, insert, select

from smokejournal.cook.probes.probe import Calibration, calibration_from, calibration_text
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.translate import translate
from smokejournal.journal.entry_table import number_of
from smokejournal.journal.lines import ms
from smokejournal.journal.tables import CALIBRATIONS, PROBES

_log = logging.getLogger(__name__)


def calibrations_of(connection: Connection) -> tuple[list[Calibration], int]:
    """Every calibration, newest first, and how many this version can't read."""
    table = CALIBRATIONS
    rows = connection.execute(
        select(table).order_by(CALIBRATIONS.c.at_ms.desc(), CALIBRATIONS.c.id.desc())
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
    known = connection.execute(select(PROBES.c.id).where(PROBES.c.id == calibration.probe_id))
    if known.first() is None:
        raise SchemaProblem("probe_id", translate("Journal", "This probe is not in the journal."))
    added = connection.execute(
        insert(CALIBRATIONS).values(
            probe_id=calibration.probe_id, at_ms=at_ms, points=calibration_text(calibration)
        )
    )
    return replace(calibration, id=number_of(added), at_s=at_ms / 1000)
