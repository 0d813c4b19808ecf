"""Salts, woods and rubs in their table."""

from __future__ import annotations

from sqlalchemy import Connection, insert, select, update

from smokejournal.cook.stores.wares import Ware
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.translate import translate
from smokejournal.journal.entry_table import number_of
from smokejournal.journal.models import WareRow


def wares_of(connection: Connection) -> list[Ware]:
    """Every ware, newest first."""
    rows = connection.execute(select(WareRow.__table__).order_by(WareRow.id.desc()))
    return [Ware(**{**row, "retired": bool(row["retired"])}) for row in rows.mappings()]


def keep_ware(connection: Connection, ware: Ware) -> Ware:
    """Keeps a ware, a new one where its id is 0; gives it with its id. SchemaProblem if it's gone, or
    where there is another of this name."""
    values = {name: getattr(ware, name) for name in Ware.__slots__ if name != "id"}
    values["retired"] = int(ware.retired)
    same = connection.execute(
        select(WareRow.id).where(
            WareRow.sort == ware.sort, WareRow.name == ware.name, WareRow.id != ware.id
        )
    )
    if same.first() is not None:
        raise SchemaProblem(
            "name", translate("Journal", "There is one of this name already. Choose another.")
        )
    if ware.id == 0:
        number = number_of(connection.execute(insert(WareRow).values(**values)))
    else:
        number = ware.id
        done = connection.execute(update(WareRow).where(WareRow.id == number).values(**values))
        if done.rowcount != 1:
            raise SchemaProblem("id", translate("Journal", "This is not in the journal."))
    return Ware(**{**values, "id": number, "retired": ware.retired})
