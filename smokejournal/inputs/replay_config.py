"""How a recorded table (CSV) is replayed."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Any, Literal, get_args
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.translate import translate
from smokejournal.inputs.cell import Column, Decimal
from smokejournal.inputs.config_fields import Fields
from smokejournal.inputs.line_format import (
    DECIMALS,
    MOST_COLUMNS,
    NEWEST,
    columns_from_json,
    columns_to_json,
    version_of,
)

TimeKind = Literal["seconds", "epoch", "iso", "clock"]
Stamps = Literal["arrival", "written"]

FASTEST = 1e6


@dataclass(frozen=True, slots=True)
class ReplayConfig:
    """How a recorded table is replayed.

    Columns are named by their heading, or by their number from 1 where there is none. Times are
    seconds since any start, seconds since 1970, ISO 8601, or the time of day; those without a zone
    are in `zone`. `stamps` "arrival" records a row when it is due, `pace` times as fast as it was
    taken; "written" records the time that stands in the table, and `pace` None then takes all at
    once. `begun_at_s`: when the first row was due, or, for "written" seconds, was taken.
    """

    path: str
    time_column: str = "1"
    time_kind: TimeKind = "seconds"
    columns: tuple[Column, ...] = field(default=())
    delimiter: str = ","
    decimal: Decimal = "."
    heading: bool = True
    zone: str = "UTC"
    day: str = ""
    pace: float | None = 1.0
    stamps: Stamps = "arrival"
    begun_at_s: float | None = None

    def to_json(self) -> dict[str, Any]:
        """Its written form."""
        return {
            "kind": "replay",
            "version": version_of(self.columns),
            "path": self.path,
            "time_column": self.time_column,
            "time_kind": self.time_kind,
            "columns": [columns_to_json(column) for column in self.columns],
            "delimiter": self.delimiter,
            "decimal": self.decimal,
            "heading": self.heading,
            "zone": self.zone,
            "day": self.day,
            "pace": self.pace,
            "stamps": self.stamps,
            "begun_at_s": self.begun_at_s,
        }


def replay_from_json(data: object, where: str = "input") -> ReplayConfig:
    """The configuration that `data` is the written form of."""
    known = ("kind", "version", "path", "time_column", "time_kind", "columns", "delimiter")
    more = ("decimal", "heading", "zone", "day", "pace", "stamps", "begun_at_s")
    given = Fields(data, where, (*known, *more))
    given.version(NEWEST)
    config = ReplayConfig(
        path=given.text("path", 1, 4000),
        time_column=given.text("time_column", 1, 200, "1"),
        time_kind=given.choice("time_kind", get_args(TimeKind), "seconds"),  # type: ignore[arg-type]
        columns=columns_from_json(given.items("columns", MOST_COLUMNS), f"{where}.columns"),
        delimiter=given.choice("delimiter", (",", ";", "\t", "|"), ","),
        decimal=given.choice("decimal", DECIMALS, "."),  # type: ignore[arg-type]
        heading=bool(given.flag("heading", True)),
        zone=given.text("zone", 1, 100, "UTC"),
        day=given.text("day", 0, 10, ""),
        pace=None
        if given.data.get("pace", 1.0) is None
        else given.number("pace", 0.01, FASTEST, 1),
        stamps=given.choice("stamps", get_args(Stamps), "arrival"),  # type: ignore[arg-type]
        begun_at_s=given.number_or_none("begun_at_s", 0.0, 1e11),
    )
    _check(config, where)
    return config


def _check(config: ReplayConfig, where: str) -> None:
    try:
        ZoneInfo(config.zone)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise SchemaProblem(
            f"{where}.zone", translate("Inputs", "There is no time zone of this name.")
        ) from None
    if config.day:
        try:
            date.fromisoformat(config.day)
        except ValueError:
            raise SchemaProblem(
                f"{where}.day", translate("Inputs", "Type the day like 2026-03-21.")
            ) from None
    if config.pace is None and config.stamps == "arrival":
        raise SchemaProblem(
            f"{where}.pace",
            translate("Inputs", "All at once goes only with the times that stand in the table."),
        )
    if config.stamps == "written":
        if config.time_kind == "clock" and not config.day:
            raise SchemaProblem(
                f"{where}.day", translate("Inputs", "Give the day on which the times of day began.")
            )
        if config.time_kind == "seconds" and config.begun_at_s is None:
            raise SchemaProblem(
                f"{where}.begun_at_s",
                translate("Inputs", "Give the moment at which the seconds began."),
            )
