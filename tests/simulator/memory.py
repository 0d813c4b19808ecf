"""Pits that cook twelve times: what learning and calibration are judged by.

A pit keeps what is its own (how its air and walls heat, its vapor, what its probe reads), and so does
the person (the kind of meat that is bought and how big, how it is wrapped, how often the lid is opened,
where the probe goes and how far it is off); the day and the piece differ. Every third pit cooks by the
equations of `plain_body`. How much of the spread is the pit's or person's own is our own guess, made before any
forecaster was run: from half to four fifths. Every third pit (`sealed`) is used for no choice.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from smokejournal.science.forecast.values import Cut
from tests.simulator.recipes import CUTS, CookSpec, MeatSpec, cook_spec

COOKS = 12
PITS = 24


def sealed(pit: int) -> bool:
    """Whether this pit is in the part that is never used for a choice."""
    return pit % 3 == 2


def family(pit: int) -> str:
    """By which equations this pit's meat cooks: a third of them, in each part, by the plain ones."""
    return "plain" if (pit // 3) % 3 == 1 else "grid"


def pits(part: str) -> list[int]:
    """The numbers of the pits of a part: `open`, `sealed`, `quick` (two open ones)."""
    if part == "sealed":
        return [n for n in range(PITS) if sealed(n)]
    open_ = [n for n in range(PITS) if not sealed(n)]
    if part == "quick":
        return [0, 3]
    if part == "open":
        return open_
    raise ValueError(f"there is no part {part}: use open, sealed or quick")


def _near(own: float, day: float, share: float) -> float:
    """A value by the share that is the pit's own; the rest is the day's. Positive values."""
    return float(own**share * day ** (1 - share))


def _mix(own: float, day: float, share: float) -> float:
    return share * own + (1 - share) * day


def _meat(own: MeatSpec, day: MeatSpec) -> MeatSpec:
    """Bought at one place, by one person: much alike, never the same."""
    return replace(
        day,
        radius=_near(own.radius, day.radius, 0.6),
        height=_near(own.height, day.height, 0.6),
        length=_near(own.length, day.length, 0.6),
        start_c=_mix(own.start_c, day.start_c, 0.5),
        squeeze_m2_s=_near(own.squeeze_m2_s, day.squeeze_m2_s, 0.5),
        dry_m2_s=_near(own.dry_m2_s, day.dry_m2_s, 0.5),
        loses=tuple(_near(a, b, 0.5) for a, b in zip(own.loses, day.loses, strict=True)),
        change_c=tuple(_mix(a, b, 0.5) for a, b in zip(own.change_c, day.change_c, strict=True)),
        skin=tuple(_near(a, b, 0.6) for a, b in zip(own.skin, day.skin, strict=True)),
        seam_per_s=_near(own.seam_per_s, day.seam_per_s, 0.5),
        # Bone and cavity go with the piece, in proportion.
        bone_r=day.bone_r * _near(own.radius, day.radius, 0.6) / day.radius,
    )


def history(pit: int) -> list[CookSpec]:
    """The twelve cooks of a pit, in order; of two or three kinds of meat."""
    rng = np.random.default_rng([20261130, pit])
    kinds: list[Cut] = [CUTS[k] for k in rng.permutation(len(CUTS))[: rng.integers(2, 4)]]
    habit = {cut: cook_spec(cut, 1000 + pit) for cut in CUTS}
    own = habit[kinds[0]]
    wraps = {cut: habit[cut].wrap for cut in kinds}
    out = []
    for n in range(COOKS):
        cut = kinds[int(rng.integers(len(kinds)))] if n else kinds[0]
        day = cook_spec(cut, 2000 + pit * COOKS + n)
        like = habit[cut]
        air = replace(
            day.pit,
            convective=_near(own.pit.convective, day.pit.convective, 0.8),
            fan=own.pit.fan,
            emissivity=_mix(own.pit.emissivity, day.pit.emissivity, 0.8),
            fire_vapour_pa=_near(own.pit.fire_vapour_pa, day.pit.fire_vapour_pa, 0.7),
            place_k=_mix(own.pit.place_k, day.pit.place_k, 0.75),
            wall_k=_mix(own.pit.wall_k, day.pit.wall_k, 0.75),
            bias_k=_mix(own.pit.bias_k, day.pit.bias_k, 0.75),
            swing_k=own.pit.swing_k,
            period_s=own.pit.period_s,
            warm_up_s=own.pit.warm_up_s,
        )
        usual = wraps[cut]
        wrap = usual
        if usual is not None and day.wrap is not None:
            wrap = replace(
                usual,
                at_probe_c=float(round(_mix(usual.at_probe_c, day.wrap.at_probe_c, 0.8))),
                away_s=day.wrap.away_s,
                heat_gap=_near(usual.heat_gap, day.wrap.heat_gap, 0.7),
                vapour_gap=_near(usual.vapour_gap, day.wrap.vapour_gap, 0.7),
            )
        probe = replace(
            day.probe,
            lag_s=own.probe.lag_s,
            offset_k=own.probe.offset_k,
            stem=min(own.probe.stem, 0.012) if cut != "fish" else own.probe.stem,
            noise_k=own.probe.noise_k,
            step=own.probe.step,
            r=min(0.85, _mix(like.probe.r, day.probe.r, 0.5)),
            z=_mix(like.probe.z, day.probe.z, 0.5),
        )
        out.append(
            replace(
                day,
                index=100 * pit + n,
                meat=_meat(like.meat, day.meat),
                pit=air,
                probe=probe,
                wrap=wrap,
                target_c=like.target_c,
                every_s=own.every_s,
                start_told=own.start_told,
                mass_told=own.mass_told,
                thickness_told=own.thickness_told,
                family=family(pit),
            )
        )
    return out
