"""The groups of a METAR or SPECI report: how each is written, and what a whole one says.

Grammar of WMO-No. 306, volume I.1, FM 15, and of FMH-1 (Federal Meteorological Handbook No. 1).
"""

from __future__ import annotations

import re

from smokejournal.cook.log.entries import Sky
from smokejournal.cook.text.translate import translate
from smokejournal.science.air.humid_air import AIR_C, DEW_POINT_LOWEST_C, humidity_of_pct
from smokejournal.science.numbers.units import HPA_PER_INHG, M_S_PER_KMH, M_S_PER_KNOT

TYPE = re.compile(r"METAR|SPECI")
MODIFIER = re.compile(r"AUTO|COR|CC[A-G]|RTD")
STATION = re.compile(r"[A-Z][A-Z0-9]{3}")
TIME = re.compile(r"(\d\d)(\d\d)(\d\d)Z")
#: Two figures only: with three, a figure too many in a light wind would read as a hurricane.
WIND = re.compile(r"(\d\d0|VRB)(\d\d)(?:G(\d\d))?(KT|MPS|KMH)")
WIND_MISSING = re.compile(r"/{3,5}(?:KT|MPS|KMH)")
WIND_BEYOND = re.compile(r"(?:\d\d0|VRB)(?:P?\d{2,3}GP?\d{2,3}|P\d{2,3}|\d{3})(?:KT|MPS|KMH)")
VARIES = re.compile(r"\d\d0V\d\d0")
TEMPERATURE = re.compile(r"(M?\d\d)/(M?\d\d|//)?")
TEMPERATURE_MISSING = re.compile(r"///(?://|M?\d\d)?")
PRESSURE = re.compile(r"Q(\d{4})|A(\d{4})")
PRESSURE_MISSING = re.compile(r"[QA]////")
SKY = re.compile(r"(?:FEW|SCT|BKN|OVC)(?:\d{3}|///)(?:CB|TCU|///)?|VV(?:\d{3}|///)|SKC|CLR|NSC|NCD")
SKY_UNSAID = re.compile(r"/{6,9}|/{6}(?:CB|TCU)|///\d{3}(?:///|CB|TCU)?")
#: WMO-No. 306, code table 4678, and FMH-1, table 8-5: what may stand together in one group.
WEATHER = re.compile(
    r"(?P<how>[-+]|VC)?(?:"
    r"(?<!VC)(?P<like>SH|TS|FZ)?(?P<falls>(?:DZ|RA|SN|SG|IC|PL|GR|GS|UP){1,3})|"
    r"(?P<kind>TS|(?<=VC)SH|(?:MI|BC|PR|FZ)?FG|(?:DR|BL)(?:SN|SA|DU|PY)|"
    r"BR|FU|VA|DU|SA|HZ|PO|SQ|FC|SS|DS))"
)
WEATHER_MISSING = re.compile(r"//")
VISIBILITY = re.compile(r"(\d{4})(?:NDV)?|([MP]?)(\d{1,2} )?(\d{1,2})(?:/(\d{1,2}))?SM")
VISIBILITY_MISSING = re.compile(r"////(?:SM)?")
LEAST_VISIBILITY = re.compile(r"\d{4}[NSEW]{1,2}")
RUNWAY = re.compile(
    r"R\d\d[LCR]?/(?:[MP]?\d{4}(?:V[MP]?\d{4})?(?:FT)?(?:/?[UDN])?|////(?:FT)?|[\d/]{6}|CLRD[\d/]{2})"
)
RECENT = re.compile(r"RE[A-Z]{2,8}|WS|R\d\d[LCR]?|ALL|RWY|W(?:M?\d\d|//)/\S+|NOSIG|BLU|WHT|GRN")
TREND = re.compile(r"TEMPO|BECMG")
TENTHS = re.compile(r"T([01])(\d{3})(?:([01])(\d{3}))?")
NEARLY_TENTHS = re.compile(r"T[\dO/]{3,}")
SEA_LEVEL = re.compile(r"SLP(\d{3})")
#: Below this without a group that says what hides the view, a group is missing [m, statute miles]:
#: WMO-No. 306, 15.8 (mist, haze and smoke up to 5000 m) and FMH-1, chapter 8 (obscurations below
#: 7 miles), both limits from memory.
_HIDDEN_M, _HIDDEN_MILES = 5000, 7.0

#: Inches of mercury times a hundred, and hectopascals, that a barometer at the sea can show.
_INCHES = (2500, 3200)
_HPA = (850, 1090)

#: Each kind, how it is written, and how it is where the station couldn't tell.
KINDS: tuple[tuple[str, re.Pattern[str], re.Pattern[str] | None], ...] = (
    ("wind", WIND, WIND_MISSING),
    ("temperature", TEMPERATURE, TEMPERATURE_MISSING),
    ("pressure", PRESSURE, PRESSURE_MISSING),
    ("visibility", VISIBILITY, VISIBILITY_MISSING),
    ("sky", SKY, SKY_UNSAID),
    ("weather", WEATHER, WEATHER_MISSING),
)
#: What else may stand before the pressure and after it.
BEFORE = (VARIES, LEAST_VISIBILITY, RUNWAY)
AFTER = (RUNWAY, RECENT)
#: What is damaged, but can have been nothing else.
NEARLY = (
    ("wind", re.compile(r"[\dVRBGPO/]+(?:KT|MPS|KMH)")),
    ("temperature", re.compile(r"(?:M )?M?\d{1,3}/M?\d{1,3}")),
    ("pressure", re.compile(r"[QA][\dO]{3,6}")),
)
COVERS: tuple[tuple[str, Sky], ...] = (
    ("FEW", "few"),
    ("SCT", "scattered"),
    ("BKN", "broken"),
    ("OVC", "overcast"),
    ("VV", "overcast"),
    ("SKC", "clear"),
    ("CLR", "clear"),
)
#: Low drifting and blowing: it lay on the ground before and doesn't fall.
LIFTED = ("DR", "BL")
#: What stands in the place of all layers. No significant cloud and none detected tell no amount.
ALONE = frozenset({"CAVOK", "SKC", "CLR", "NSC", "NCD"})
#: From the least cover to the most.
MORE: tuple[Sky, ...] = ("clear", "few", "scattered", "broken", "overcast", "fog")


def weather_parts(group: str) -> tuple[str, str, tuple[str, ...]]:
    """A whole weather group apart: "-", "+", "VC" or ""; its descriptor or ""; what falls or is there."""
    match = WEATHER.fullmatch(group)
    if match is None:
        raise ValueError(f"{group!r} is no weather group")
    how, like, body = match["how"] or "", match["like"] or "", match["falls"] or match["kind"]
    if len(body) == 4 and not match["falls"]:
        like, body = body[:2], body[2:]
    elif body in ("TS", "SH"):
        like, body = body, ""
    return how, like, tuple(re.findall("..", body))


def speed_m_s(figures: str, unit: str) -> float:
    """A speed [m/s] from its figures and the unit that they are in: KT, MPS or KMH."""
    return round(int(figures) * {"KT": M_S_PER_KNOT, "MPS": 1.0, "KMH": M_S_PER_KMH}[unit], 2)


def wind_trouble(group: str) -> str:
    """Why a wind that is whole can't be; empty where it can."""
    match = WIND.fullmatch(group)
    assert match is not None
    if match[1] != "VRB" and int(match[1]) > 360:
        return translate("Report", "a direction goes from 0 to 360 degrees")
    if (match[1] == "000") != (int(match[2]) == 0):
        # WMO-No. 306, 15.5: calm is 00000, and only calm has that direction.
        return translate("Report", "a calm has the direction 000, a wind another")
    if match[3] is not None and int(match[3]) < int(match[2]):
        return translate("Report", "the gusts are weaker than the wind")
    return ""


def altimeter_hpa(group: str) -> float:
    """The altimeter setting [hPa] of a group in hectopascals (Q) or hundredths of an inch (A)."""
    return float(group[1:]) if group[0] == "Q" else int(group[1:]) * HPA_PER_INHG / 100


def pressure_trouble(group: str) -> str:
    """Why an altimeter setting that is whole can't be; empty where it can."""
    low, high = _HPA if group[0] == "Q" else _INCHES
    if low <= int(group[1:]) <= high:
        return ""
    return translate("Report", "from {low} to {high} is a pressure at the sea").format(
        low=f"{group[0]}{low:04d}", high=f"{group[0]}{high:04d}"
    )


def degrees(text: str | None) -> float | None:
    """Whole degrees [°C], None where they are missing; WMO-No. 306, 15.11: M00 is -0.5 to 0 °C, which is taken as 0."""
    if text is None or text == "//":
        return None
    return 0.0 - float(text[1:]) if text.startswith("M") else float(text)


def tenths(sign: str | None, figures: str | None) -> float | None:
    """Degrees and tenths [°C], None where they are missing; FMH-1 12.7.2: 1 stands for minus."""
    if sign is None or figures is None:
        return None
    return (0.0 - int(figures) if sign == "1" else int(figures)) / 10


def humidity_ends(air_c: float, dew_c: float, off_k: float) -> tuple[float, float]:
    """The least and the most humidity [%] where both temperatures may be off by this [K]."""
    warm_c, cold_c = min(AIR_C[1], air_c + off_k), max(AIR_C[0], air_c - off_k)
    dry_c, damp_c = max(DEW_POINT_LOWEST_C, dew_c - off_k), min(cold_c, dew_c + off_k)
    # Saturated air may come out above by the last bit.
    return humidity_of_pct(warm_c, dry_c), min(100.0, humidity_of_pct(cold_c, damp_c))


def hidden(view: str) -> bool:
    """True for a visibility so short that a weather group must say why."""
    match = VISIBILITY.fullmatch(view)
    if match is None:
        return False
    if match[1]:
        return int(match[1]) < _HIDDEN_M
    if match[2] == "P":
        return False
    part = int(match[4]) / int(match[5] or 1) if int(match[5] or 1) else 0.0
    return part + float(match[3] or 0) < _HIDDEN_MILES
