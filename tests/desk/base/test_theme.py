"""Every text of every ground stands out from what is behind it.

Contrast is computed as W3C's WCAG 2.2 defines it (relative luminance and contrast ratio); its least
ratio for text, success criterion 1.4.3, is 4.5:1.
"""

from __future__ import annotations

import pytest
from PySide6.QtGui import QColor

from smokejournal.desk.base.theme import GROUNDS, Ground

LEAST = 4.5


def luminance(color: str) -> float:
    parts = []
    for part in QColor(color).getRgbF()[:3]:
        parts.append(part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4)
    return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]


def contrast(one: str, other: str) -> float:
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_the_reckoning_agrees_with_the_two_ends_of_the_scale() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#777777", "#777777") == pytest.approx(1.0)
    # The gray that W3C's own techniques give as just enough on white.
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)


@pytest.mark.parametrize("ground", GROUNDS.values(), ids=list(GROUNDS))
def test_texts_are_readable(ground: Ground) -> None:
    shade = ground.shade or ground.line
    for text, behind in (
        (ground.ink, ground.paper),
        (ground.ink, ground.raised),
        (ground.faint, ground.paper),
        (ground.faint, ground.raised),
        (ground.ember, ground.paper),
        (ground.ember, ground.raised),
        (ground.ember_ink, ground.ember),
        (ground.good, ground.paper),
        (ground.ink, shade),
    ):
        assert contrast(text, behind) >= LEAST, (text, behind)
