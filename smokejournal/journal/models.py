"""The tables. What stands here, and what the migrations make, is the same: a test compares them.

Every table is STRICT, so only INTEGER, REAL, TEXT and BLOB occur. Times are UTC milliseconds
(`*_ms`). Entries, readings and calibrations are written once: triggers refuse to change or to delete
them.
"""

from __future__ import annotations

from typing import Any

from sqlalchemy import (
    DDL,
    REAL,
    CheckConstraint,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    Table,
    Text,
    UniqueConstraint,
    event,
)
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column

#: The newest migration. A new journal is made from the models and stamped with it.
REVISION = "0003"


class Base(DeclarativeBase):
    """Names of constraints are fixed from the first day: migrations in batches need them."""

    metadata = MetaData(
        naming_convention={
            "ix": "ix_%(table_name)s_%(column_0_N_name)s",
            "uq": "uq_%(table_name)s_%(column_0_N_name)s",
            "ck": "ck_%(table_name)s_%(constraint_name)s",
            "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
            "pk": "pk_%(table_name)s",
        }
    )
    type_annotation_map = {int: Integer, str: Text, float: REAL}


def _flag(name: str) -> CheckConstraint:
    return CheckConstraint(f"{name} IN (0, 1)", name=name)


STRICT: dict[str, Any] = {"sqlite_strict": True}
COUNTED: dict[str, Any] = {"sqlite_strict": True, "sqlite_autoincrement": True}


class CookRow(Base):
    """A cook. All that is known of it is in its entries."""

    __tablename__ = "cook"
    __table_args__ = (COUNTED,)
    id: Mapped[int] = mapped_column(primary_key=True)
    opened_ms: Mapped[int]


class EntryRow(Base):
    """One entry. `payload` is JSON in the form of `cook/codec/entries`, `version` that of the form."""

    __tablename__ = "entry"
    __table_args__ = (Index(None, "cook_id", "id"), COUNTED)
    id: Mapped[int] = mapped_column(primary_key=True)
    cook_id: Mapped[int] = mapped_column(ForeignKey("cook.id"))
    at_ms: Mapped[int]
    recorded_ms: Mapped[int]
    kind: Mapped[str]
    payload: Mapped[str]
    version: Mapped[int]


class ChannelRow(Base):
    """The number under which the readings of one channel of one cook are kept."""

    __tablename__ = "channel"
    __table_args__ = (UniqueConstraint("cook_id", "key"), STRICT)
    id: Mapped[int] = mapped_column(primary_key=True)
    cook_id: Mapped[int] = mapped_column(ForeignKey("cook.id"))
    key: Mapped[str]


class ReadingRow(Base):
    """One raw reading in °C. Ordered on disk by channel and time: half the size, twice the speed."""

    __tablename__ = "reading"
    __table_args__ = ({"sqlite_strict": True, "sqlite_with_rowid": False},)
    channel_id: Mapped[int] = mapped_column(ForeignKey("channel.id"), primary_key=True)
    t_ms: Mapped[int] = mapped_column(primary_key=True)
    value: Mapped[float]


class LineRow(Base):
    """A cook as the list shows it. Read off its entries in the transaction that writes them."""

    __tablename__ = "cook_line"
    __table_args__ = (Index(None, "sort_ms", "cook_id"), _flag("simulated"), STRICT)
    cook_id: Mapped[int] = mapped_column(ForeignKey("cook.id"), primary_key=True)
    sort_ms: Mapped[int]
    opened_ms: Mapped[int]
    started_ms: Mapped[int | None]
    closed_ms: Mapped[int | None]
    title: Mapped[str]
    zone: Mapped[str]
    place: Mapped[str]
    simulated: Mapped[int]
    state: Mapped[str]
    items: Mapped[str]
    pieces: Mapped[str]
    overall: Mapped[float | None]
    search: Mapped[str]


class PatternRow(Base):
    """A schedule saved by name."""

    __tablename__ = "pattern"
    __table_args__ = (STRICT,)
    name: Mapped[str] = mapped_column(primary_key=True)
    schedule: Mapped[str]


class SettingRow(Base):
    """A setting that belongs to the journal; `value` is JSON."""

    __tablename__ = "setting"
    __table_args__ = (STRICT,)
    key: Mapped[str] = mapped_column(primary_key=True)
    value: Mapped[str]


class LotRow(Base):
    """A lot of fuel."""

    __tablename__ = "lot"
    __table_args__ = (_flag("retired"), COUNTED)
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str]
    bag_kg: Mapped[float | None]
    price: Mapped[float | None]
    currency: Mapped[str]
    bags_bought: Mapped[float]
    wood: Mapped[str]
    note: Mapped[str]
    retired: Mapped[int]
    # An older version keeps lots without these: so they may be left out.
    label: Mapped[str] = mapped_column(server_default="")
    moisture_pct: Mapped[float | None]
    net_mj_kg: Mapped[float | None]
    low_below_kg: Mapped[float | None]


class WareRow(Base):
    """A salt, a wood or a rub of the stores."""

    __tablename__ = "ware"
    __table_args__ = (UniqueConstraint("sort", "name"), _flag("retired"), COUNTED)
    id: Mapped[int] = mapped_column(primary_key=True)
    sort: Mapped[str]
    name: Mapped[str]
    bought_kg: Mapped[float | None]
    bought_count: Mapped[float | None]
    price: Mapped[float | None]
    currency: Mapped[str]
    low_below: Mapped[float | None]
    grain: Mapped[str]
    cup_g: Mapped[float | None]
    form: Mapped[str]
    recipe: Mapped[str]
    salt_pct: Mapped[float | None]
    note: Mapped[str]
    retired: Mapped[int]


class ProbeRow(Base):
    """A probe that the cook owns."""

    __tablename__ = "probe"
    __table_args__ = (_flag("retired"), COUNTED)
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str]
    accuracy_class: Mapped[str]
    note: Mapped[str]
    retired: Mapped[int]


class CalibrationRow(Base):
    """One calibration of a probe. `points` is JSON in the form of `cook/probes`."""

    __tablename__ = "calibration"
    __table_args__ = (Index(None, "probe_id", "at_ms"), COUNTED)
    id: Mapped[int] = mapped_column(primary_key=True)
    probe_id: Mapped[int] = mapped_column(ForeignKey("probe.id"))
    at_ms: Mapped[int]
    points: Mapped[str]


def _write_once(table: Table, doing: str) -> None:
    """A trigger that refuses UPDATE or DELETE on a table."""
    event.listen(
        table,
        "after_create",
        DDL(  # type: ignore[no-untyped-call]
            f"CREATE TRIGGER {table.name}_no_{doing.lower()} BEFORE {doing} ON {table.name}"
            f" BEGIN SELECT RAISE(ABORT, 'what is in {table.name} is never changed'); END"
        ),
    )


for _model in (EntryRow, ReadingRow, CalibrationRow):
    for _doing in ("UPDATE", "DELETE"):
        _write_once(Base.metadata.tables[_model.__tablename__], _doing)
