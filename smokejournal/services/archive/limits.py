"""How large an archive may be before it is taken for damage or malice."""

from __future__ import annotations

from typing import Final

#: Of one file in it: three months of readings at ten a second.
LARGEST_BYTES: Final = 1 << 30
#: A larger file in it that is packed to less than one part in so many is no cook.
MOST_TIMES: Final = 200
SMALL_BYTES: Final = 1 << 20
#: Of all files in it.
LARGEST_WHOLE_BYTES: Final = 1 << 36
MOST_MEMBERS: Final = 500_000
