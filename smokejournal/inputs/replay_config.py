"""How a recorded table (CSV) is replayed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Annotated, Any, ClassVar, Literal

from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.strict import OneOf, Range, TextSize, Zone, written
from smokejournal.cook.text.translate import translate
from smokejournal.inputs.cell import NEWEST, Columns, Decimal, version_of

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

    kind: ClassVar[str] = "replay"
    newest: ClassVar[int] = NEWEST
    path: Annotated[str, TextSize(1, 4000, nul=True)]
    time_column: Annotated[str, TextSize(1, 200, nul=True)] = "1"
    time_kind: TimeKind = "seconds"
    columns: Columns = ()
    delimiter: Annotated[str, OneOf((",", ";", "\t", "|"))] = ","
    decimal: Decimal = "."
    heading: bool = True
    zone: Zone = "UTC"
    day: Annotated[str, TextSize(longest=10, nul=True)] = ""
    pace: Annotated[float, Range(0.01, FASTEST)] | None = 1.0
    stamps: Stamps = "arrival"
    begun_at_s: Annotated[float, Range(0, 1e11, "s")] | None = None

    def to_json(self) -> dict[str, Any]:
        """Its written form."""
        head = {"kind": self.kind, "version": version_of(self.columns)}
        return head | written(self, in_full=True)

    def check_together(self) -> None:
        """SchemaProblem where the times can't be told."""
        if self.day:
            try:
                date.fromisoformat(self.day)
            except ValueError:
                raise SchemaProblem(
                    "day", translate("Inputs", "Type the day like 2026-03-21.")
                ) from None
        if self.pace is None and self.stamps == "arrival":
            raise SchemaProblem(
                "pace",
                translate(
                    "Inputs", "All at once goes only with the times that stand in the table."
                ),
            )
        if self.stamps == "written":
            if self.time_kind == "clock" and not self.day:
                raise SchemaProblem(
                    "day", translate("Inputs", "Give the day on which the times of day began.")
                )
            if self.time_kind == "seconds" and self.begun_at_s is None:
                raise SchemaProblem(
                    "begun_at_s",
                    translate("Inputs", "Give the moment at which the seconds began."),
                )
