"""The scales on which a cook is tasted: our own, five steps each, both ends in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from smokejournal.cook.text.translate import translate

LOWEST, HIGHEST = 1, 5

ScaleKey = Literal["smoke", "moisture", "salt", "tenderness", "surface", "overall"]


@dataclass(frozen=True, slots=True)
class Scale:
    """One scale from LOWEST to HIGHEST. On smoke, salt and tenderness the best is in the middle."""

    key: ScaleKey

    @property
    def name(self) -> str:
        """What is judged."""
        return {
            "smoke": translate("Tasting", "Smoke"),
            "moisture": translate("Tasting", "Moisture"),
            "salt": translate("Tasting", "Salt"),
            "tenderness": translate("Tasting", "Tenderness"),
            "surface": translate("Tasting", "Surface"),
            "overall": translate("Tasting", "Overall"),
        }[self.key]

    @property
    def low(self) -> str:
        """What the lowest mark says."""
        return {
            "smoke": translate("Tasting", "hardly any"),
            "moisture": translate("Tasting", "dry"),
            "salt": translate("Tasting", "too little"),
            "tenderness": translate("Tasting", "tough"),
            "surface": translate("Tasting", "soft and pale"),
            "overall": translate("Tasting", "not again"),
        }[self.key]

    @property
    def high(self) -> str:
        """What the highest mark says."""
        return {
            "smoke": translate("Tasting", "too much"),
            "moisture": translate("Tasting", "juicy"),
            "salt": translate("Tasting", "too much"),
            "tenderness": translate("Tasting", "falls apart"),
            "surface": translate("Tasting", "dark and crisp"),
            "overall": translate("Tasting", "just like this again"),
        }[self.key]


SCALES: tuple[Scale, ...] = (
    Scale("smoke"),
    Scale("moisture"),
    Scale("salt"),
    Scale("tenderness"),
    Scale("surface"),
    Scale("overall"),
)


def scale(key: str) -> Scale | None:
    """The scale with this key, or None for one that this version does not know."""
    return next((found for found in SCALES if found.key == key), None)


def dots(mark: float) -> str:
    """A mark as dots, filled as far as it goes, to the half: "●●●◐○"."""
    halves = round(2 * min(max(mark, 0.0), HIGHEST))
    full, half = divmod(halves, 2)
    return "●" * full + "◐" * half + "○" * (HIGHEST - full - half)
