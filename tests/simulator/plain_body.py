"""Pieces of meat by other equations than `body`: a second family, so that nothing is judged by one alone.

A piece is a body of one direction whose cross-section grows outward as r^(E-1), E from its volume and
surface. No water moves inside it and no protein is followed: what it can give is one store that empties
at a rate of its first order, the faster the warmer the whole piece is (e times for `SOFTER_K`). A share
of that comes to the surface, the rest drips. The film there covers the surface as 1 - exp(-film / 30 g/m²)
and evaporates by the Lewis relation; what has dried lets a twentieth through. Heat capacity follows the
water that is left. The numbers are our own, set so that plateaus and times come out as they do in practice
(common practice, no source), before any forecaster had been run.

Arrays are (cells, cooks) or (cooks,). The interface is that of `body.Bodies`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tests.simulator.body import (
    LEWIS,
    PRESSURE_PA,
    SIGMA,
    WATER_J_KGK,
    Books,
    Meat,
    Surroundings,
    latent_j_kg,
    saturation_pa,
)

Array = NDArray[np.float64]

CELLS = 24
SOFTER_K = 13.0
FILM_KG_M2 = 0.03
DRY_LETS = 0.05
HOLDS_KG_M2 = 0.4


@dataclass
class PlainBodies:
    """The state of many pieces, and how it goes on."""

    meat: Meat

    def __post_init__(self) -> None:
        m = self.meat
        hollow = m.hollow > 0
        half = np.minimum(m.radius, m.height / 2)
        bar = 1 / m.radius + 2 / m.height + 2 / np.maximum(m.length, 1e-3)
        by_volume = np.where(m.round > 0, 2 / m.radius + 2 / m.height, bar)
        # A bird is warmed from outside alone: its cavity is no surface.
        self.radius = np.where(hollow, 0.85 * (m.radius - m.bone_r), half)
        self.shape = np.where(hollow, 1.5, np.clip(self.radius * by_volume, 1.0, 3.0))
        faces = np.linspace(0.0, 1.0, CELLS + 1) ** 0.8
        self.nodes = 0.5 * (faces[1:] + faces[:-1])
        grown = faces[:, None] ** self.shape
        self.share = np.diff(grown, axis=0)
        volume = np.where(
            m.round > 0,
            np.pi * m.radius**2 * m.height,
            2 * m.radius * m.height * np.maximum(m.length, 1e-3),
        )
        self.volume = np.where(hollow, 0.76 * volume, volume)
        self.area = self.volume * self.shape / self.radius
        self.density = 1.0 / (m.water / 997.0 + m.fat / 910.0 + (1 - m.water - m.fat) / 1310.0)
        self.first_kg = self.volume * self.density
        self.solids = self.first_kg * (1 - m.water)
        self.between = (
            self.area * faces[1:-1, None] ** (self.shape - 1) / np.diff(self.nodes)[:, None]
        ) / self.radius
        self.outer = self.area / (self.radius * (1 - self.nodes[-1]))
        self.t = np.repeat(m.start_c[None], CELLS, axis=0)
        self.skin_c = m.start_c.copy()
        self.water = self.first_kg * m.water
        # What may leave in the end, and how much of that comes up to the surface.
        self.store = 1.25 * m.loses.sum(0) * self.water
        self.up = np.clip(m.squeeze_m2_s / (m.squeeze_m2_s + 6e-9), 0.55, 0.9)
        self.empties = 1.0 / (2.6 * 3600.0 * (self.radius / 0.05) ** 0.7)
        # What the outermost millimeter gives at once.
        self.film = np.full(m.radius.shape, 0.35)
        self.exposed = m.exposed.mean(0)
        self.skin = m.skin.mean(0)
        self.books = Books.empty(len(m.radius))

    def mass_kg(self) -> Array:
        """What each piece weighs now."""
        return np.asarray(self.solids + self.water + self.film * self.area)

    def place(self, r: Array, z: Array):
        """Weights of a place in shares of the raw size, as `body.Bodies.place` has them."""
        deep = np.maximum(np.abs(r), np.abs(2 * z - 1))
        wall = np.abs(r - 0.5) / 0.5
        depth = np.clip(np.where(self.meat.hollow > 0, wall, deep), 0.0, self.nodes[-1])
        i = np.clip(np.searchsorted(self.nodes, depth) - 1, 0, CELLS - 2)
        a = np.clip((depth - self.nodes[i]) / (self.nodes[i + 1] - self.nodes[i]), 0, 1)
        return i, a

    def at(self, weights: tuple[NDArray[np.intp], Array]) -> Array:
        """The temperature at a place."""
        i, a = weights
        n = np.arange(len(i))
        return np.asarray((1 - a) * self.t[i, n] + a * self.t[i + 1, n])

    def step(self, around: Surroundings, dt: float) -> None:
        """Go on by `dt`: water first, then heat, implicit in one direction."""
        m = self.meat
        mean = (self.share * self.t).sum(0)
        rate = self.empties * np.exp(np.clip((mean - 65.0) / SOFTER_K, -8.0, 1.2))
        given = self.store * (1 - np.exp(-rate * dt))
        self.store = self.store - given
        self.water = self.water - given
        rose = self.up * given
        self.books.dripped += given - rose
        sprayed = around.spritz_kg_m2 * self.area * 0.7
        self.books.sprayed += sprayed
        spend = self.film + (rose + sprayed) / self.area
        walls = around.walls_c + 273.15
        skin_k = self.skin_c + 273.15
        radiant = around.emissivity * SIGMA * (skin_k**2 + walls**2) * (skin_k + walls)
        radiant = radiant * self.exposed
        convective = around.convective * self.exposed
        damped = 1.0 / (1.0 + around.heat_gap * (convective + radiant))
        convective, radiant = convective * damped, radiant * damped
        mass = around.convective * self.exposed * LEWIS * self.skin / around.vapour_gap
        covered = 1 - np.exp(-spend / FILM_KG_M2)
        covered = covered + (1 - covered) * DRY_LETS
        pressure = np.minimum(saturation_pa(self.skin_c), 0.9 * PRESSURE_PA)
        slope_pa = pressure * 17.625 * 243.04 / (self.skin_c + 243.04) ** 2
        flow = mass * covered * np.log((PRESSURE_PA - around.vapour_pa) / (PRESSURE_PA - pressure))
        most = (spend + DRY_LETS * 0.02) / dt
        limited = flow > most
        flow = np.where(limited, most, flow)
        slope = np.where(limited, 0.0, mass * covered * slope_pa / (PRESSURE_PA - pressure))
        latent = latent_j_kg(self.skin_c)
        left = self.water / (self.water + self.solids)
        conducts = 0.20 + 0.40 * left * (1 + 0.0022 * (self.t - 45.0))
        conducts = conducts * (0.5 + 0.5 * m.fibre)
        capacity = (self.solids * 1900.0 + self.water * WATER_J_KGK) * self.share / dt
        gap = 0.5 * (conducts[1:] + conducts[:-1]) * self.between
        into = conducts[-1] * self.outer
        takes = self.area * (convective + radiant + latent * slope)
        gives = self.area * (
            convective * around.air_c
            + radiant * around.walls_c
            - latent * (flow - slope * self.skin_c)
        )
        whole = takes + into
        diagonal, right = capacity.copy(), capacity * self.t
        diagonal[:-1] += gap
        diagonal[1:] += gap
        diagonal[-1] += into * takes / whole
        right[-1] += into * gives / whole
        for i in range(1, CELLS):
            ratio = gap[i - 1] / diagonal[i - 1]
            diagonal[i] -= ratio * gap[i - 1]
            right[i] += ratio * right[i - 1]
        after = np.empty_like(self.t)
        after[-1] = right[-1] / diagonal[-1]
        for i in range(CELLS - 2, -1, -1):
            after[i] = (right[i] + gap[i] * after[i + 1]) / diagonal[i]
        skin = (gives + into * after[-1]) / whole
        gone = np.minimum(flow + slope * (skin - self.skin_c), spend / dt)
        film = spend - gone * dt
        over = np.maximum(film - HOLDS_KG_M2, 0.0)
        self.film = film - over
        self.books.dripped += over * self.area
        self.books.evaporated += gone * dt * self.area
        self.t, self.skin_c = after, skin

    def taken(self, keep: NDArray[np.bool_]) -> PlainBodies:
        """Only some of the pieces, as they are now."""
        out = object.__new__(PlainBodies)
        for key, value in vars(self).items():
            if isinstance(value, np.ndarray) and key != "nodes":
                value = np.ascontiguousarray(value[..., keep])
            elif isinstance(value, (Meat, Books)):
                value = value.taken(keep)
            setattr(out, key, value)
        return out
