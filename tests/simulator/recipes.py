"""The set of simulated cooks: what was cooked, on what pit, with what probe and what was said of it.

Sizes, times and targets are common practice, no source. Everything is drawn by seed; the numbers were
set so that plateaus and times come out as they do in practice, before any forecaster had been run.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from smokejournal.science.forecast.values import Cut, Wrapping
from tests.simulator.air import PitSpec
from tests.simulator.instrument import ProbeSpec

CUTS: tuple[Cut, ...] = (
    "fish",
    "poultry_pieces",
    "poultry_whole",
    "ribs",
    "loaf",
    "shoulder",
    "brisket",
)
EACH = 27  # cooks of each cut
Told = Literal["planned", "told", "never"]


@dataclass(frozen=True)
class MeatSpec:
    """One piece: see `body.Meat`."""

    round: int
    radius: float
    height: float
    length: float
    start_c: float
    water: float
    fat: float
    squeeze_m2_s: float
    dry_m2_s: float
    loses: tuple[float, float, float]
    change_c: tuple[float, float, float]
    change_k: tuple[float, float, float]
    drip_m_s: float
    seam_per_s: float
    skin: tuple[float, float, float]
    exposed: tuple[float, float, float]
    fibre: float
    bone_r: float = 0.0
    bone_low: float = 0.0
    bone_high: float = 0.0
    hollow: int = 0


@dataclass(frozen=True)
class WrapSpec:
    """Wrapped when the probe comes to `at_probe_c`, off the pit for `away_s`."""

    at_probe_c: float
    material: Wrapping
    told: Told
    away_s: float
    heat_gap: float
    vapour_gap: float


@dataclass(frozen=True)
class CookSpec:
    """One cook, wholly."""

    index: int
    cut: Cut
    target_c: float
    meat_in_s: float
    meat: MeatSpec
    pit: PitSpec
    probe: ProbeSpec
    wrap: WrapSpec | None
    spritz: tuple[tuple[float, float], ...]  # (when, kg/m2)
    pull_k: float  # how far past the target the cook takes it off
    every_s: float
    start_told: bool
    mass_told: bool
    thickness_told: bool
    steps_told: bool  # changes of the set point were planned
    tags: tuple[str, ...]
    family: str = "grid"  # by which equations it cooks: "grid" (`body`) or "plain" (`plain_body`)
    check: ProbeSpec | None = None  # a second probe in the same piece

    @property
    def sealed(self) -> bool:
        """In the part that is never used for any choice."""
        return self.index % 3 == 2


def _log(rng: np.random.Generator, median: float, sd: float) -> float:
    return float(median * np.exp(np.clip(rng.standard_normal(), -2, 2) * sd))


def _shape(cut: Cut, rng: np.random.Generator) -> dict[str, float | int]:
    u = rng.uniform
    if cut == "fish":
        return {
            "round": 0,
            "radius": u(0.05, 0.08),
            "height": u(0.018, 0.034),
            "length": u(0.16, 0.4),
        }
    if cut == "poultry_pieces":
        return {"round": 1, "radius": u(0.035, 0.05), "height": u(0.032, 0.046), "length": 1.0}
    if cut == "poultry_whole":
        mass = u(1.5, 2.3)
        radius = 0.066 * (mass / 1.8) ** (1 / 3) * u(0.95, 1.05)
        # Its cavity takes up about a quarter of the room.
        return {
            "round": 1,
            "radius": radius,
            "height": mass / 0.76 / (1050 * np.pi * radius**2),
            "length": 1.0,
        }
    if cut == "ribs":
        return {
            "round": 0,
            "radius": u(0.055, 0.075),
            "height": u(0.025, 0.036),
            "length": u(0.3, 0.45),
        }
    if cut == "loaf":
        return {
            "round": 0,
            "radius": u(0.05, 0.062),
            "height": u(0.065, 0.085),
            "length": u(0.18, 0.26),
        }
    if cut == "shoulder":
        mass, flat = u(2.5, 4.5), u(0.8, 1.15)
        radius = (mass / 1050 / (2 * np.pi * flat)) ** (1 / 3)
        return {"round": 1, "radius": radius, "height": 2 * radius * flat, "length": 1.0}
    height, width = u(0.062, 0.08), u(0.2, 0.26)
    mass = u(4.6, 6.4)
    return {
        "round": 0,
        "radius": width / 2,
        "height": height,
        "length": mass / (1050 * width * height),
    }


#: water, fat, share of the water let go by each change, where, K per e, squeeze m2/s, skin
_KIND: dict[Cut, tuple] = {
    "fish": (0.68, 0.11, (0.10, 0.10, 0.05), (42, 56, 62), (2.5, 3.5, 4), 6e-9, (0.8, 0.8, 0.15)),
    "poultry_pieces": (
        0.70,
        0.09,
        (0.10, 0.18, 0.10),
        (56, 70, 68),
        (2.5, 4, 4),
        5e-9,
        (0.3, 0.3, 0.45),
    ),
    "poultry_whole": (
        0.69,
        0.10,
        (0.10, 0.18, 0.10),
        (56, 70, 68),
        (2.5, 4, 4),
        5e-9,
        (0.3, 0.4, 0.4),
    ),
    "ribs": (0.60, 0.21, (0.12, 0.22, 0.18), (57, 71, 66), (2.5, 4, 4), 5e-9, (0.75, 0.7, 0.5)),
    "loaf": (0.62, 0.16, (0.10, 0.16, 0.08), (56, 68, 68), (3.0, 4, 4), 7e-9, (0.7, 0.8, 0.4)),
    "shoulder": (
        0.64,
        0.17,
        (0.12, 0.08, 0.14),
        (55, 69, 63),
        (2.5, 4, 4),
        2.0e-8,
        (0.7, 0.6, 0.5),
    ),
    "brisket": (0.64, 0.17, (0.12, 0.08, 0.14), (55, 69, 63), (2.5, 4, 4), 2.0e-8, (0.7, 0.6, 0.5)),
}
_PIT_C: dict[Cut, tuple[float, ...]] = {
    "fish": (82, 88, 93, 99, 107),
    "poultry_pieces": (121, 129, 135, 149),
    "poultry_whole": (107, 121, 129, 135),
    "ribs": (107, 110, 116, 121),
    "loaf": (107, 113, 121),
    "shoulder": (107, 110, 116, 121),
    "brisket": (107, 110, 116, 121),
}
_TARGET_C: dict[Cut, tuple[float, ...]] = {
    "fish": (60, 62, 63),
    "poultry_pieces": (74, 77, 80),
    "poultry_whole": (74, 75),
    "ribs": (88, 91, 93),
    "loaf": (69, 71),
    "shoulder": (93, 94, 95),
    "brisket": (93, 94, 95),
}
#: About how long it takes, to place what happens on the way; h.
_ABOUT_H: dict[Cut, float] = {
    "fish": 1.6,
    "poultry_pieces": 1.3,
    "poultry_whole": 3.0,
    "ribs": 4.5,
    "loaf": 2.7,
    "shoulder": 11.0,
    "brisket": 11.0,
}


def _meat(cut: Cut, rng: np.random.Generator) -> MeatSpec:
    u = rng.uniform
    water, fat, loses, change_c, change_k, squeeze, skin = _KIND[cut]
    shape = _shape(cut, rng)
    fat = float(np.clip(fat * np.exp(0.25 * rng.standard_normal()), 0.03, 0.3))
    shift, more = 1.5 * rng.standard_normal(), _log(rng, 1.0, 0.12)
    bone: dict[str, float | int] = {}
    if cut == "poultry_whole":
        bone = {"bone_r": 0.5 * shape["radius"], "bone_low": 0.02, "bone_high": 0.98, "hollow": 1}
    elif cut == "shoulder" and rng.random() < 0.6:
        bone = {"bone_r": u(0.013, 0.02), "bone_low": 0.0, "bone_high": u(0.4, 0.75)}
    elif cut == "poultry_pieces" and rng.random() < 0.6:
        bone = {"bone_r": u(0.005, 0.007), "bone_low": 0.15, "bone_high": 0.9}
    side, top, bottom = u(0.8, 1.15), u(0.85, 1.15), u(0.55, 1.1)
    through = _log(rng, 1.0, 0.2)
    return MeatSpec(
        **shape,
        start_c=u(2.0, 11.0),
        water=float(water + 0.9 * (_KIND[cut][1] - fat)),
        fat=fat,
        squeeze_m2_s=_log(rng, squeeze, 0.35),
        dry_m2_s=_log(rng, 2e-10, 0.5),
        loses=tuple(min(0.3, share * more) for share in loses),
        change_c=tuple(c + shift for c in change_c),
        change_k=tuple(float(k) for k in change_k),
        drip_m_s=_log(rng, 2e-6, 0.5),
        seam_per_s=1 / _log(rng, 6 * 3600, 0.5),
        skin=tuple(min(1.0, share * through) for share in skin),
        exposed=(side, top, bottom),
        fibre=u(0.9, 1.1),
        **bone,
    )


def _probe(
    cut: Cut,
    rng: np.random.Generator,
    meat_in_s: float,
    about_s: float,
    meat: MeatSpec,
    tags: list[str],
) -> ProbeSpec:
    u = rng.uniform
    r, z = abs(rng.normal(0, 0.15)), 0.5 + float(np.clip(rng.normal(0, 0.07), -0.16, 0.16))
    if cut == "poultry_whole":
        r, z = u(0.7, 0.8), u(0.4, 0.6)  # in the middle of the breast's wall
    if meat.bone_r and not meat.hollow:
        r = meat.bone_r / meat.radius + u(0.1, 0.25)
        if rng.random() < 0.3:
            r = meat.bone_r / meat.radius * 0.9
            z = 0.5 * (meat.bone_low + meat.bone_high)
            tags.append("bone")
    in_s, moved, gaps = meat_in_s, None, ()
    if rng.random() < 0.12:
        in_s = meat_in_s + about_s * u(0.05, 0.2)
        tags.append("late")
    if rng.random() < 0.14:
        shift = (
            float(np.clip(r + u(0.1, 0.25), 0, 0.9)),
            float(np.clip(z + rng.choice([-1, 1]) * u(0.03, 0.12), 0.2, 0.8)),
        )
        if cut == "poultry_whole":
            shift = (u(0.66, 0.84), u(0.35, 0.65))
        moved = (meat_in_s + about_s * u(0.25, 0.8), u(45, 200), *shift)
        tags.append("moved")
    if rng.random() < 0.18:
        gaps = tuple(
            (meat_in_s + about_s * u(0.1, 0.9), u(120, 1500)) for _ in range(rng.integers(1, 4))
        )
        tags.append("gaps")
    step = str(rng.choice(["0.1C", "0.1C", "1F", "1F", "1C"]))
    tags.append(step)
    return ProbeSpec(
        r=min(r, 0.85),
        z=z,
        lag_s=u(4, 20),
        offset_k=float(np.clip(rng.normal(0, 0.7), -1.8, 1.8)),
        stem=u(0, 0.012) if cut != "fish" else u(0, 0.03),
        noise_k=u(0.03, 0.25),
        step=step,
        in_s=in_s,
        moved=moved,
        gaps=gaps,
        lost=float(rng.choice([0, 0, 0.01, 0.04])),
        seed=int(rng.integers(2**31)),
    )


def _check(cut: Cut, index: int, lead: ProbeSpec, meat: MeatSpec) -> ProbeSpec:
    """A second probe, put in along with the first, somewhere else, and left there.

    Drawn by a generator of its own, so that the cook is the same with and without it. Where people put a
    second one is our own guess: meant for the middle as well, but further off it than the first.
    """
    rng = np.random.default_rng([20260117, CUTS.index(cut), index, 2])
    u = rng.uniform
    r, z = abs(rng.normal(0, 0.3)), 0.5 + float(np.clip(rng.normal(0, 0.12), -0.3, 0.3))
    if cut == "poultry_whole":
        r, z = u(0.62, 0.88), u(0.3, 0.7)
    elif meat.bone_r:
        r += meat.bone_r / meat.radius + 0.1
    return ProbeSpec(
        r=min(r, 0.85),
        z=z,
        lag_s=u(4, 20),
        offset_k=float(np.clip(rng.normal(0, 0.7), -1.8, 1.8)),
        stem=u(0, 0.012) if cut != "fish" else u(0, 0.03),
        noise_k=u(0.03, 0.25),
        step=str(rng.choice(["0.1C", "0.1C", "1F", "1F", "1C"])),
        in_s=lead.in_s,
        moved=None,
        gaps=(),
        lost=float(rng.choice([0, 0, 0.01, 0.04])),
        seed=int(rng.integers(2**31)),
    )


def _pit(
    cut: Cut,
    rng: np.random.Generator,
    meat_in_s: float,
    about_s: float,
    tags: list[str],
    lids: list[tuple[float, float]],
) -> tuple[PitSpec, bool]:
    u = rng.uniform
    pit_c = float(rng.choice(_PIT_C[cut]))
    sets: list[tuple[float, float]] = [(0.0, pit_c)]
    planned = False
    draw = rng.random()
    if draw < 0.16:
        planned = draw < 0.08
        step = u(7, 20) * (-1 if rng.random() < (0.35 if cut != "fish" else 0.0) else 1)
        step = max(step, -10.0)
        sets.append((meat_in_s + round(about_s * u(0.25, 0.7), -1), round(pit_c + step)))
        tags.append("step planned" if planned else "step unplanned")
    out = ()
    if rng.random() < 0.07:
        out = ((meat_in_s + about_s * u(0.2, 0.8), u(600, 1800)),)
        tags.append("fuel out")
    for _ in range(rng.poisson(0.25 * about_s / 3600)):
        lids.append((meat_in_s + about_s * u(0.1, 1.0), u(15, 150)))
    return PitSpec(
        outside_c=u(-3, 30),
        humidity=u(0.3, 0.9),
        preheated=bool(meat_in_s > 0 or rng.random() < 0.6),
        warm_up_s=u(350, 700),
        swing_k=u(1, 7),
        period_s=u(180, 900),
        drift_k=u(0.5, 3.5),
        drift_s=u(1800, 7200),
        bias_k=float(rng.normal(0, 2.0)),
        place_k=float(rng.normal(1.5, 2.5)),
        wall_k=u(-6, 8),
        emissivity=u(0.75, 0.95),
        convective=_log(rng, 9.5, 0.2),
        fan=u(0.1, 0.5),
        fire_vapour_pa=_log(rng, 2000, 0.4),
        set_points=tuple(sets),
        lids=tuple(sorted(lids)),
        fuel_out=out,
        seed=int(rng.integers(2**31)),
    ), planned


def _wrap(cut: Cut, rng: np.random.Generator, tags: list[str]) -> WrapSpec | None:
    likely = {"shoulder": 0.55, "brisket": 0.65, "ribs": 0.45}.get(cut, 0.0)
    if rng.random() >= likely:
        return None
    material: Wrapping = "foil" if rng.random() < 0.5 else "paper"
    told: Told = ("planned", "told", "never")[int(rng.choice(3, p=[0.55, 0.28, 0.17]))]
    tags += [material, f"wrap {told}"]
    foil = material == "foil"
    return WrapSpec(
        at_probe_c=float(round(rng.uniform(64, 78))),
        material=material,
        told=told,
        away_s=rng.uniform(120, 480),
        heat_gap=rng.uniform(0.015, 0.045) if foil else rng.uniform(0.004, 0.02),
        vapour_gap=_log(rng, 250, 0.6) if foil else _log(rng, 6.0, 0.4),
    )


def cook_spec(cut: Cut, index: int) -> CookSpec:
    """The cook of this number, by seed."""
    rng = np.random.default_rng([20260117, CUTS.index(cut), index])
    tags: list[str] = []
    about_s = _ABOUT_H[cut] * 3600
    meat_in_s = float(rng.choice([0, 0, 600, 1200])) if rng.random() < 0.6 else 0.0
    meat = _meat(cut, rng)
    lids: list[tuple[float, float]] = []
    spritz: tuple[tuple[float, float], ...] = ()
    if cut in ("ribs", "shoulder", "brisket") and rng.random() < 0.3:
        every = rng.uniform(2400, 5400)
        whens = [meat_in_s + every * (n + 2) for n in range(int(about_s * 0.5 / every))]
        spritz = tuple((at_s, rng.uniform(0.02, 0.06)) for at_s in whens)
        lids += [(at_s, rng.uniform(25, 60)) for at_s in whens]
        tags.append("spritz")
    pit, planned = _pit(cut, rng, meat_in_s, about_s, tags, lids)
    probe = _probe(cut, rng, meat_in_s, about_s, meat, tags)
    wrap = _wrap(cut, rng, tags)
    return CookSpec(
        index=CUTS.index(cut) + len(CUTS) * index,
        cut=cut,
        target_c=float(rng.choice(_TARGET_C[cut])),
        meat_in_s=meat_in_s,
        meat=meat,
        pit=pit,
        probe=probe,
        wrap=wrap,
        spritz=spritz,
        pull_k=rng.uniform(0.2, 1.5),
        every_s=float(rng.choice([15, 30])),
        start_told=bool(rng.random() < 0.85),
        mass_told=bool(rng.random() < 0.5),
        thickness_told=bool(rng.random() < 0.35),
        steps_told=planned,
        tags=tuple(tags),
        check=_check(cut, index, probe, meat),
    )


def all_cooks() -> list[CookSpec]:
    """Every cook, the cuts taking turns."""
    return [cook_spec(cut, index) for index in range(EACH) for cut in CUTS]


def part(name: str) -> list[CookSpec]:
    """`open`, `sealed`, `quick` (28 of the open ones, four of each cut) or `all`."""
    cooks = all_cooks()
    if name == "all":
        return cooks
    if name == "sealed":
        return [cook for cook in cooks if cook.sealed]
    open_ = [cook for cook in cooks if not cook.sealed]
    if name == "open":
        return open_
    if name == "quick":
        return [cook for cut in CUTS for cook in [c for c in open_ if c.cut == cut][:4]]
    raise ValueError(f"there is no part {name}: use open, sealed, quick or all")
