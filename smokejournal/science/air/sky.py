"""How much of the sky is covered: eighths for the few words of a weather report.

Source: WMO-No. 306, Manual on Codes, volume I.1: regulation 15.9.1.1 (FEW, SCT, BKN, OVC).
"""

from __future__ import annotations

from typing import Literal

Cover = Literal["clear", "few", "scattered", "broken", "overcast"]

#: Eighths that each word stands for. A trace counts as "few", a small opening as "broken".
EIGHTHS: dict[Cover, tuple[int, int]] = {
    "clear": (0, 0),
    "few": (1, 2),
    "scattered": (3, 4),
    "broken": (5, 7),
    "overcast": (8, 8),
}
