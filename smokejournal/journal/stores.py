"""What the cook owns: lots of fuel, wares, probes and their calibrations."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future
from dataclasses import replace
from typing import TypeVar

from sqlalchemy import Connection, Table, insert, select, update

from smokejournal.cook.probes.probe import Calibration, Probe, validate_calibration
from smokejournal.cook.stores.lots import Lot
from smokejournal.cook.stores.wares import Ware
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.strict import check
from smokejournal.cook.text.translate import translate
from smokejournal.journal.calibration_table import add_calibration, calibrations_of
from smokejournal.journal.changes import Change
from smokejournal.journal.entry_table import number_of
from smokejournal.journal.journal_file import JournalFile
from smokejournal.journal.problems import JournalProblem
from smokejournal.journal.tables import LOTS, PROBES, WARES

Owned = TypeVar("Owned", Lot, Ware, Probe)


class StoreShelf:
    """The stores of a journal. What writes and what reads tells of problems as Journal does.

    What is saved is a new one where its id is 0; the future gives it with its id.
    """

    def __init__(self, file: JournalFile) -> None:
        self._file = file

    def lots(self) -> list[Lot]:
        """The lots of fuel, newest first."""
        return self._all(LOTS, Lot)

    def wares(self) -> list[Ware]:
        """The salts, woods and rubs of the stores, newest first."""
        return self._all(WARES, Ware)

    def probes(self) -> list[Probe]:
        """The probes that the cook owns, newest first."""
        return self._all(PROBES, Probe)

    def calibrations(self) -> list[Calibration]:
        """Every calibration of every probe, newest first, but for those in `unread_calibrations`."""
        with self._file.reading() as connection:
            return calibrations_of(connection)[0]

    def unread_calibrations(self) -> int:
        """How many calibrations this version can't read."""
        with self._file.reading() as connection:
            return calibrations_of(connection)[1]

    def save_lot(self, lot: Lot) -> Future[Lot]:
        """Keeps a lot. JournalProblem from the future where it is gone."""
        check(lot)
        gone = JournalProblem(
            translate("Journal", "This lot is not in the journal."),
            translate("Journal", "Add it as a new one."),
            self._file.path,
        )
        return self._file.submit(lambda c: (_keep(c, LOTS, lot, gone), Change(stores=True)))

    def save_ware(self, ware: Ware) -> Future[Ware]:
        """Keeps a salt, wood or rub. SchemaProblem from the future where it is gone, or where there is
        another of its name."""
        check(ware)
        gone = SchemaProblem("id", translate("Journal", "This is not in the journal."))

        def work(connection: Connection) -> tuple[Ware, Change]:
            same = select(WARES.c.id).where(
                WARES.c.sort == ware.sort, WARES.c.name == ware.name, WARES.c.id != ware.id
            )
            if connection.execute(same).first() is not None:
                raise SchemaProblem(
                    "name",
                    translate("Journal", "There is one of this name already. Choose another."),
                )
            return _keep(connection, WARES, ware, gone), Change(stores=True)

        return self._file.submit(work)

    def save_probe(self, probe: Probe) -> Future[Probe]:
        """Keeps a probe. SchemaProblem from the future where it is gone."""
        check(probe)
        named = replace(probe, name=probe.name.strip())
        gone = SchemaProblem("id", translate("Journal", "This probe is not in the journal."))
        return self._file.submit(lambda c: (_keep(c, PROBES, named, gone), Change(probes=True)))

    def add_calibration(self, calibration: Calibration) -> Future[Calibration]:
        """Adds a calibration, which is never altered. The future gives it with its id."""
        validate_calibration(calibration)
        return self._file.submit(
            lambda connection: (add_calibration(connection, calibration), Change(probes=True))
        )

    def _all(self, table: Table, made: Callable[..., Owned]) -> list[Owned]:
        with self._file.reading() as connection:
            rows = connection.execute(select(table).order_by(table.c.id.desc()))
            return [made(**{**row, "retired": bool(row["retired"])}) for row in rows.mappings()]


def _keep(connection: Connection, table: Table, owned: Owned, gone: Exception) -> Owned:
    """Adds it, or alters it where it has an id; gives it with its id. Raises `gone` where it isn't there."""
    values = {name: getattr(owned, name) for name in owned.__slots__ if name != "id"}
    values["retired"] = int(owned.retired)
    if owned.id == 0:
        return replace(owned, id=number_of(connection.execute(insert(table).values(**values))))
    done = connection.execute(update(table).where(table.c.id == owned.id).values(**values))
    if done.rowcount != 1:
        raise gone
    return owned
