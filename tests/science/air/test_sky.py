"""Sky cover against the words of a weather report (tests/reference)."""

from __future__ import annotations

from smokejournal.science.air.sky import EIGHTHS, Cover
from tests.reference.tables import rows

WORDS: dict[str, Cover] = {
    "FEW": "few",
    "SCT": "scattered",
    "BKN": "broken",
    "OVC": "overcast",
    "SKC": "clear",
}


def test_words() -> None:
    """FMH-1 table 9-2 and WMO-No. 306, 15.9."""
    checked = 0
    for row in rows("sky_cover_terms"):
        if row["code"] in WORDS:
            checked += 1
            word = WORDS[row["code"]]
            assert EIGHTHS[word] == (int(row["okta_low"]), int(row["okta_high"]))
    assert checked == 5
