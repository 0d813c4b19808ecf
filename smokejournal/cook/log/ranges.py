"""What amounts, moments and lengths of a log may be, said once for all entries."""

from __future__ import annotations

from typing import Annotated, TypeAlias

from smokejournal.cook.text.strict import Range

#: The last second of the year 9999: the last moment that a calendar date can be made of.
LAST_S = 253_402_300_799.0
MAX_MASS_KG = 5_000.0
MAX_DURATION_S = 366 * 86_400.0

Mass: TypeAlias = Annotated[float, Range(0, MAX_MASS_KG, "kg", above=True)]
MassOrNoneLeft: TypeAlias = Annotated[float, Range(0, MAX_MASS_KG, "kg")]
Thickness: TypeAlias = Annotated[float, Range(0, 2, "m", above=True)]
Moment: TypeAlias = Annotated[float, Range(0, LAST_S, "s")]
Duration: TypeAlias = Annotated[float, Range(0, MAX_DURATION_S, "s")]
DurationAbove0: TypeAlias = Annotated[float, Range(0, MAX_DURATION_S, "s", above=True)]
Percent: TypeAlias = Annotated[float, Range(0, 100, "%")]
Chance: TypeAlias = Annotated[float, Range(0, 1)]
Money: TypeAlias = Annotated[float, Range(0, 1e9)]
#: A number by which the journal keeps something.
KeptId: TypeAlias = Annotated[int, Range(1, 2**53)]
