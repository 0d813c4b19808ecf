"""Published reports damaged at random: no value may come out that the whole report doesn't give.

Digits have no check digit: a figure in another's place, or a layer that is gone altogether, leaves a
report that is as whole as the first. What is whole is decided here by a grammar of its own, group by
group after WMO-No. 306, FM 15; such a report is another one, and is left out.
"""

from __future__ import annotations

import random
import re
from datetime import UTC, datetime

import pytest

from smokejournal.cook.weather.report import WeatherReport, read_report
from tests.reference.tables import rows

NOW = datetime(2026, 11, 30, 12, tzinfo=UTC).timestamp()
LETTERS = "ABCDEFGHIKLMNOPQRSTUVWXYZ0123456789/+- "
SAMPLES = [row["raw_report"] for row in rows("metar_samples_decoded")]

_FALLS = r"(DZ|RA|SN|SG|IC|PL|GR|GS|UP){1,3}"
_OTHER = r"FG|BR|FU|VA|DU|SA|HZ|PO|SQ|FC|SS|DS|TS"
_GROUPS = {
    "type": r"METAR|SPECI",
    "auto": r"AUTO|COR",
    "time": r"\d{6}Z",
    "wind": r"(\d\d0|VRB)\d\d(G\d\d)?KT",
    "varies": r"\d{3}V\d{3}",
    "view": r"\d{4}|(\d |\d_\d/)?\d{1,2}SM|\d_\d/\d{1,2}SM|CAVOK",
    "runway": r"R\d\d[LCR]?/[MP]?\d{4}(V[MP]?\d{4})?(FT)?[UDN]?",
    "weather": rf"[-+]?(SH|TS|FZ)?{_FALLS}|[-+]?(MI|BC|PR|FZ|DR|BL)?({_OTHER}|SN)|VC(TS|SH|FG)",
    "sky": r"(FEW|SCT|BKN|OVC)\d{3}(CB|TCU)?|VV\d{3}|SKC|CLR|NSC|NCD|/{6,9}",
    "air": r"M?\d\d/(M?\d\d)?",
    "pressure": r"Q(0[89]|10)\d\d|A(2[5-9]|3[01])\d\d",
    "trend": r"NOSIG|RE[A-Z]{2,4}",
    "station": r"[A-Z]{4}",
}


def kinds(report: str) -> list[str]:
    """The kind of each group before the remarks; "?" for what is no whole group."""
    body = re.sub(r"\b(\d) (\d/\d{1,2}SM)", r"\1_\2", report.partition(" RMK")[0])
    return [
        next((kind for kind, how in _GROUPS.items() if re.fullmatch(how, group)), "?")
        for group in body.split()
    ]


def another(report: str, whole: str) -> bool:
    """True where it is a report of its own: the same groups, but for weather, layers and remarks."""
    now, then = kinds(report), kinds(whole)
    drop = ("weather", "sky", "varies", "runway", "trend", "type", "auto")
    must, had = ([kind for kind in groups if kind not in drop] for groups in (now, then))
    return "?" not in now and must == had and ("sky" in now or "CAVOK" in report)


def damaged(whole: str, chance: random.Random) -> str:
    """One letter dropped, put in or replaced, one group dropped, or two swapped."""
    how = chance.randrange(5)
    place = chance.randrange(len(whole))
    if how == 0:
        return whole[:place] + whole[place + 1 :]
    if how == 1:
        return whole[:place] + chance.choice(LETTERS) + whole[place:]
    if how == 2:
        return whole[:place] + chance.choice(LETTERS) + whole[place + 1 :]
    groups = whole.split()
    one, two = chance.sample(range(len(groups)), 2)
    if how == 3:
        del groups[one]
    else:
        groups[one], groups[two] = groups[two], groups[one]
    return " ".join(groups)


def false_values(got: WeatherReport, whole: WeatherReport) -> list[str]:
    """What it says otherwise than the whole report does; what it leaves unknown is not false."""
    false = []
    for name in ("wind_m_s", "gust_m_s", "sky", "precipitation"):
        value = getattr(got.seen, name)
        if value is not None and value != getattr(whole.seen, name):
            false.append(name)
    air_c = got.seen.air_c
    # Whole degrees stand for half a degree either way.
    if air_c is not None and (whole.seen.air_c is None or abs(air_c - whole.seen.air_c) > 0.5):
        false.append("air_c")
    if got.humidity_pct is not None:
        ends = whole.humidity_pct
        if ends is None or got.humidity_pct[0] > ends[1] or ends[0] > got.humidity_pct[1]:
            false.append("humidity_pct")
    # That it was found among the remarks is said.
    same = got.pressure_by == whole.pressure_by
    if same and got.seen.sea_level_hpa != whole.seen.sea_level_hpa:
        false.append("sea_level_hpa")
    if got.usable and got.at_s != whole.at_s:
        false.append("at_s")
    return false


def search(whole: str, count: int, seed: int) -> tuple[list[str], int, int]:
    """What came out false, how many were damaged, and how many were reports of their own."""
    chance = random.Random(seed)
    intact = read_report(whole, NOW)
    found, others = [], 0
    for _ in range(count):
        report = damaged(whole, chance)
        if another(report, whole):
            others += 1
            continue
        got = read_report(report, NOW)
        false = false_values(got, intact)
        if false:
            marked = "refused" if got.refused else "UNMARKED"
            found.append(f"{marked} {', '.join(false)}: {report}")
    return found, count - others, others


@pytest.mark.parametrize("whole", SAMPLES, ids=lambda text: text[:24])
def test_no_false_value(whole: str) -> None:
    assert read_report(whole, NOW).refused == ()
    assert "?" not in kinds(whole)
    found, looked_at, _ = search(whole, 150, seed=20261130)
    assert looked_at > 50
    assert found == []
