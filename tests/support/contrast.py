"""Contrast of two colors, as W3C defines it.

W3C, Web Content Accessibility Guidelines (WCAG) 2.2, section 6, "relative luminance" and "contrast
ratio"; formula from memory, checked against the ends of its scale and W3C's own least gray on white.
"""

from __future__ import annotations

from PySide6.QtGui import QColor

#: WCAG 2.2, success criteria 1.4.3 (text), 1.4.11 (graphics) and 1.4.6 (text, enhanced).
TEXT, GRAPHICS, ENHANCED = 4.5, 3.0, 7.0


def luminance(color: str) -> float:
    """Relative luminance of #rrggbb, 0 (black) to 1 (white)."""
    parts = []
    for part in QColor(color).getRgbF()[:3]:
        parts.append(part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4)
    return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colors, 1 to 21."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def over(color: QColor, behind: str) -> str:
    """What a color that lets some of it through looks like on another."""
    share, ground = color.alphaF(), QColor(behind)
    mixed = (
        share * top + (1 - share) * below
        for top, below in zip(color.getRgbF()[:3], ground.getRgbF()[:3], strict=True)
    )
    return QColor.fromRgbF(*mixed).name()
