"""Sky cover against WMO code table 0501 and the words of a weather report (tests/reference)."""

from __future__ import annotations

import re

import pytest

from smokejournal.science.air.sky import EIGHTHS, Cover, cover_of_eighths, eighths_of_tenths
from smokejournal.science.numbers.ranges import OutOfRange
from tests.reference.tables import rows

WORDS: dict[str, Cover] = {
    "FEW": "few",
    "SCT": "scattered",
    "BKN": "broken",
    "OVC": "overcast",
    "SKC": "clear",
}


def test_tenths_and_eighths() -> None:
    """WMO code table 0501: every row that names whole tenths."""
    checked = 0
    for row in rows("okta_tenths_wmo_code_0501"):
        eighths = re.match(r"\d+", row["oktas"])
        for tenths in re.findall(r"(\d+)/10", row["tenths"]):
            if eighths is not None and not row["tenths"].startswith("<"):
                checked += 1
                assert eighths_of_tenths(int(tenths)) == int(eighths[0])
    assert checked == 11
    assert eighths_of_tenths(0) == 0


def test_words() -> None:
    """FMH-1 table 9-2 and WMO-No. 306, 15.9."""
    checked = 0
    for row in rows("sky_cover_terms"):
        if row["code"] in WORDS:
            checked += 1
            word = WORDS[row["code"]]
            assert EIGHTHS[word] == (int(row["okta_low"]), int(row["okta_high"]))
            for eighths in range(int(row["okta_low"]), int(row["okta_high"]) + 1):
                assert cover_of_eighths(eighths) == word
    assert checked == 5


@pytest.mark.parametrize("wrong", [-1, 9])
def test_refuses_eighths(wrong: int) -> None:
    with pytest.raises(OutOfRange, match="sky cover: from 0 to 8 eighths"):
        cover_of_eighths(wrong)


def test_refuses_tenths() -> None:
    with pytest.raises(OutOfRange, match="sky cover: from 0 to 10 tenths, not 11"):
        eighths_of_tenths(11)
