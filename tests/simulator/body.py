"""Pieces of meat that heat, lose water and shrink, many at once, on a grid in two directions.

A piece is a cylinder (radius and height) or a long bar (width and thickness), whole from its under
side to its top. Energy and water are kept by the balance of each cell, so neither is ever made.

Water moves down the gradient of what is held above the water-holding capacity (Darcy's law with an
elastic pressure), which falls as proteins denature by rates of their own. At the surface it goes as
vapour, by an isotherm (Oswin's form) and the Lewis relation, or drips. Steps are implicit in each
direction in turn; what a step of the water finds other than that of the heat took for granted is
settled in the energy at once.

Arrays are (nr, nz, cooks); those of the round face (nz, cooks), of the top and bottom (nr, cooks).
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

NR, NZ = 10, 20
PRESSURE_PA = 101_325.0
WATER_J_KGK = 4180.0
SIGMA = 5.670e-8
#: Mass over heat transfer: ratio of molar masses / (heat of air x Lewis number ** 2/3), kgK/J.
LEWIS = 0.622 / (1008.0 * 0.86 ** (2 / 3))
FACES = ("side", "top", "bottom")


def saturation_pa(t_c: Array) -> Array:
    """Magnus' formula."""
    return np.asarray(610.94 * np.exp(17.625 * t_c / (t_c + 243.04)))


def latent_j_kg(t_c: Array) -> Array:
    return 2.501e6 - 2390.0 * t_c


@dataclass
class Meat:
    """What the pieces are: arrays of shape (cooks,). Lengths in m, of the raw piece."""

    round: Array  # 1 cylinder, 0 bar
    radius: Array  # or half of the width
    height: Array  # or thickness
    length: Array  # of a bar
    start_c: Array
    water: Array  # share of mass
    fat: Array
    squeeze_m2_s: Array  # how fast what is not held any more flows
    dry_m2_s: Array  # how fast water follows into what has dried
    loses: Array  # shares of the water let go by three changes, (3, cooks)
    change_c: Array  # where each runs at 1/900, 1/1800 and 1/7200 per second, (3, cooks)
    change_k: Array  # K that make it e times as fast, (3, cooks)
    drip_m_s: Array  # how fast a puddle runs off side and bottom
    seam_per_s: Array  # how fast juice that is let go finds its way out along seams, and falls
    skin: Array  # what of the mass transfer the skin lets through: side, top, bottom, (3, cooks)
    exposed: Array  # what of the air's heat comes to each face, (3, cooks)
    fibre: Array  # conductivity across over along
    bone_r: Array  # radius of the bone, 0 for none
    bone_low: Array  # where it begins and ends, shares of the height
    bone_high: Array
    hollow: Array  # 1: the 'bone' is a cavity

    def taken(self, keep: NDArray[np.bool_]) -> Meat:
        return Meat(**{key: value[..., keep] for key, value in vars(self).items()})


@dataclass
class Surroundings:
    """What is around the pieces for a step: arrays of shape (cooks,)."""

    air_c: Array
    walls_c: Array
    convective: Array  # W/m2K
    emissivity: Array
    vapour_pa: Array
    heat_gap: Array  # m2K/W of a wrap
    vapour_gap: Array  # how many times harder for vapour; 1 for none
    spritz_kg_m2: Array  # on top and side in this step


@dataclass
class Books:
    """What went in and out of each piece since the start: J and kg, (cooks,)."""

    heat_in: Array
    latent: Array
    carried: Array  # heat of the water that came (+) and went (-), as liquid
    evaporated: Array
    dripped: Array
    sprayed: Array

    @classmethod
    def empty(cls, n: int) -> Books:
        return cls(*(np.zeros(n) for _ in range(6)))

    def taken(self, keep: NDArray[np.bool_]) -> Books:
        return Books(**{key: value[keep] for key, value in vars(self).items()})


def _widths(half: Array, cells: int, skin_m: float = 0.001) -> Array:
    """Widths from the middle out, (cells, cooks): the outermost about a millimeter thick."""
    low, high = np.full_like(half, 1.0 + 1e-9), np.full_like(half, 2.5)
    powers = np.arange(cells)[:, None]
    for _ in range(50):
        mid = 0.5 * (low + high)
        over = (mid**powers).sum(0) * skin_m > half
        high, low = np.where(over, mid, high), np.where(over, low, mid)
    widths = low[None] ** powers[::-1]
    return np.asarray(widths * half / widths.sum(0))


def _tridiagonal(lower: Array, diag: Array, upper: Array, right: Array, axis: int) -> Array:
    """Thomas' rule along axis 0 or 1. lower[0] and upper[-1] are not looked at."""
    if axis == 1:
        turned = [np.swapaxes(a, 0, 1) for a in (lower, diag, upper, right)]
        return np.swapaxes(_tridiagonal(*turned, 0), 0, 1)
    n = len(diag)
    c = [upper[0] / diag[0]]
    d = [right[0] / diag[0]]
    for i in range(1, n):
        under = 1.0 / (diag[i] - lower[i] * c[-1])
        c.append(upper[i] * under)
        d.append((right[i] - lower[i] * d[-1]) * under)
    out = np.empty_like(right)
    out[n - 1] = d[n - 1]
    for i in range(n - 2, -1, -1):
        out[i] = d[i] - c[i] * out[i + 1]
    return out


@dataclass
class Bodies:
    """The state of many pieces, and how it goes on."""

    meat: Meat
    dry: bool = False  # no water moves or evaporates, properties stand: for exact cases
    conductivity: float | None = None  # fixed, W/mK, for exact cases
    books: Books = field(init=False)

    def __post_init__(self) -> None:
        m, n = self.meat, len(self.meat.radius)
        dr = _widths(m.radius, NR)
        half = _widths(m.height / 2, NZ // 2)
        dz = np.concatenate([half[::-1], half])
        rf = np.concatenate([np.zeros((1, n)), np.cumsum(dr, 0)])
        zf = np.concatenate([np.zeros((1, n)), np.cumsum(dz, 0)])
        rf[-1], zf[-1] = m.radius, m.height
        self.rc, self.zc = 0.5 * (rf[1:] + rf[:-1]), 0.5 * (zf[1:] + zf[:-1])
        p = m.round
        about = np.where(p > 0, 2 * np.pi, 2 * m.length)
        ring = about * (rf[1:] ** (p + 1) - rf[:-1] ** (p + 1)) / (p + 1)
        self.volume = ring[:, None] * dz[None]
        self.area_r = (about * rf[1:] ** p)[:, None] * dz[None]  # outer face of each cell
        self.area_z = np.broadcast_to(ring[:, None], self.volume.shape)
        self.dr, self.dz = dr, dz
        self.half_r = 0.5 * np.broadcast_to(dr[:, None], self.volume.shape)
        self.half_z = 0.5 * np.broadcast_to(dz[None], self.volume.shape)
        density = 1.0 / (m.water / 997.0 + m.fat / 910.0 + (1 - m.water - m.fat) / 1310.0)
        inside = (
            (self.rc[:, None] < m.bone_r)
            & (self.zc[None] > m.bone_low * m.height)
            & (self.zc[None] < m.bone_high * m.height)
        )
        self.bone = inside & (m.hollow == 0)
        self.hollow = inside & (m.hollow > 0)
        self.solids = density * (1 - m.water) * self.volume
        self.solids = np.where(self.hollow, 0.08 * self.solids, self.solids)
        self.solids = np.where(self.bone, 1350.0 * 0.8 * self.volume, self.solids)
        self.fat_share = np.broadcast_to(m.fat / (1 - m.water), self.volume.shape)
        self.fat_share = np.where(self.bone, 0.1, self.fat_share)
        self.x0 = np.broadcast_to(m.water / (1 - m.water), self.volume.shape)
        self.x0 = np.where(self.bone, 0.25, self.x0)
        self.still = inside
        self.x = self.x0.copy()
        self.t = np.broadcast_to(m.start_c, self.volume.shape).copy()
        self.changed = np.zeros((3, *self.volume.shape))
        self.energy = self._enthalpy(self.t)
        self.skin_c = {
            face: np.broadcast_to(m.start_c, (k, n)).copy()
            for face, k in (("side", NZ), ("top", NR), ("bottom", NR))
        }
        self.books = Books.empty(n)
        self.first_kg = self.mass_kg()

    # what it is made of

    def _enthalpy(self, t: Array) -> Array:
        """J of each cell above 0 °C: solids, fat that melts about 33 °C, water."""
        fat = self.fat_share
        solid = (1 - fat) * (2000.0 * t + 0.6 * t * t) + fat * 2050.0 * t
        if not self.dry:
            solid = solid + fat * 6.0e4 / (1 + np.exp(-(t - 33.0) / 4.0))
        return np.asarray(self.solids * (solid + self.x * WATER_J_KGK * t))

    def _capacity(self, t: Array) -> Array:
        fat = self.fat_share
        solid = (1 - fat) * (2000.0 + 1.2 * t) + fat * 2050.0
        if not self.dry:
            melt = np.exp(-np.abs(t - 33.0) / 4.0)
            solid = solid + fat * 1.5e4 * melt / (1 + melt) ** 2
        return np.asarray(self.solids * (solid + self.x * WATER_J_KGK))

    def _conductivity(self) -> Array:
        """Of components side by side, by their volumes."""
        if self.conductivity is not None:
            return np.full_like(self.t, self.conductivity)
        t = np.minimum(self.t, 100.0)
        fat, water = self.fat_share / 910.0, self.x / 990.0
        protein = (1 - self.fat_share) / 1310.0
        k = water * (0.571 + 1.76e-3 * t - 6.7e-6 * t * t)
        k += protein * (0.179 + 1.2e-3 * t - 2.7e-6 * t * t) + fat * (0.181 - 2.8e-4 * t)
        k /= fat + water + protein
        k = np.where(self.hollow, 0.12, k)
        return np.where(self.bone, 0.55, k)

    def _settle(self) -> None:
        """Temperatures from the energies: one Newton step; what is left over stays in the books."""
        self.t = self.t + (self.energy - self._enthalpy(self.t)) / self._capacity(self.t)

    def water_kg(self) -> Array:
        return np.asarray((self.solids * self.x).sum((0, 1)))

    def mass_kg(self) -> Array:
        return np.asarray(self.solids.sum((0, 1)) + self.water_kg())

    def energy_j(self) -> Array:
        return np.asarray(self._enthalpy(self.t).sum((0, 1)))

    def shrunk(self) -> Array:
        """Lengths over those of the raw piece: nine tenths of the water's volume is taken up."""
        if self.dry:
            return np.ones(self.volume.shape[-1])
        lost = np.clip((self.solids * (self.x0 - self.x)).sum((0, 1)), 0.0, None) / 990.0
        return np.asarray((1 - 0.9 * lost / self.volume.sum((0, 1))) ** (1 / 3))

    def at(self, weights: tuple[NDArray[np.intp], NDArray[np.intp], Array, Array]) -> Array:
        """Temperature between the middles of cells: (i, j, share of i+1, share of j+1)."""
        i, j, a, b = weights
        n = np.arange(len(i))
        i2, j2 = np.minimum(i + 1, NR - 1), np.minimum(j + 1, NZ - 1)
        low = (1 - a) * self.t[i, j, n] + a * self.t[i2, j, n]
        high = (1 - a) * self.t[i, j2, n] + a * self.t[i2, j2, n]
        return np.asarray((1 - b) * low + b * high)

    def place(self, r: Array, z: Array):
        """Weights of a place: r from the axis, z from the under side, in shares of the raw size."""
        r_m, z_m = r * self.meat.radius, z * self.meat.height
        i = np.clip((self.rc < r_m).sum(0) - 1, 0, NR - 2)
        j = np.clip((self.zc < z_m).sum(0) - 1, 0, NZ - 2)
        n = np.arange(len(r_m))
        a = np.clip((r_m - self.rc[i, n]) / (self.rc[i + 1, n] - self.rc[i, n]), 0, 1)
        b = np.clip((z_m - self.zc[j, n]) / (self.zc[j + 1, n] - self.zc[j, n]), 0, 1)
        return i, j, a, b

    # a step

    def step(self, around: Surroundings, dt: float) -> None:
        s = self.shrunk()
        if not self.dry:
            self._denature(dt)
            self._spray(around)
        held = self._held()
        if not self.dry:
            self._fall(held, dt)
        k = self._conductivity()
        flow = None if self.dry else self._mobility()
        for axis in (0, 1):
            faces = ("side",) if axis == 0 else ("bottom", "top")
            taken = self._heat(axis, faces, k, around, s, dt)
            if flow is not None:
                self._water(axis, faces, flow, held, taken, s, dt)
            self._settle()

    def _edge(self, a: Array, face: str) -> Array:
        return a[-1] if face == "side" else a[:, -1 if face == "top" else 0]

    def _face(self, face: str, around: Surroundings, s: Array):
        """Area m2, heat transfer to air and to walls W/m2K, mass transfer kg/m2s of a face."""
        row = FACES.index(face)
        area = (self._edge(self.area_r if face == "side" else self.area_z, face)) * s * s
        skin_k, walls_k = self.skin_c[face] + 273.15, around.walls_c + 273.15
        radiant = around.emissivity * SIGMA * (skin_k**2 + walls_k**2) * (skin_k + walls_k)
        convective = around.convective * self.meat.exposed[row]
        radiant = radiant * self.meat.exposed[row]
        damped = 1.0 / (1.0 + around.heat_gap * (convective + radiant))
        mass = convective * LEWIS * self.meat.skin[row] / around.vapour_gap
        return area, convective * damped, radiant * damped, mass

    def _activity(self, x: Array, face: str) -> Array:
        lean = x / (1 - self._edge(self.fat_share, face))
        return np.asarray(1.0 / (1.0 + (0.11 / np.maximum(lean, 1e-9)) ** 2.3))

    def _heat(
        self, axis: int, faces: tuple[str, ...], k: Array, around: Surroundings, s: Array, dt: float
    ):
        half = self.half_r if axis == 0 else self.half_z
        area = self.area_r if axis == 0 else self.area_z
        if axis == 0:
            k = k * self.meat.fibre
        resist = half / k
        if axis == 0:
            between = s * area[:-1] / (resist[:-1] + resist[1:])
        else:
            between = s * area[:, :-1] / (resist[:, :-1] + resist[:, 1:])
        capacity = self._capacity(self.t) / dt
        lower, upper, diag = self._rows(between, axis)
        diag = diag + capacity
        right = capacity * self.t + (self.energy - self._enthalpy(self.t)) / dt
        kept = {}
        for face in faces:
            spread, to_air, to_walls, mass = self._face(face, around, s)
            skin = self.skin_c[face]
            into = self._edge(k / half, face) / s
            if self.dry:
                vapour = slope = np.zeros_like(skin)
            else:
                aw = self._activity(self._edge(self.x, face), face)
                pressure = np.minimum(aw * saturation_pa(skin), 0.9 * PRESSURE_PA)
                vapour = mass * np.log((PRESSURE_PA - around.vapour_pa) / (PRESSURE_PA - pressure))
                rise = 17.625 * 243.04 / (skin + 243.04) ** 2
                slope = mass * rise * pressure / (PRESSURE_PA - pressure)
            latent = latent_j_kg(skin)
            under = to_air + to_walls + latent * slope + into
            fixed = (
                to_air * around.air_c + to_walls * around.walls_c - latent * (vapour - slope * skin)
            ) / under
            share = into / under
            self._edge(diag, face)[...] += spread * into * (1 - share)
            self._edge(right, face)[...] += spread * into * fixed
            kept[face] = (spread, into, fixed, share, vapour, slope, latent, skin, mass)
        t = _tridiagonal(lower, diag, upper, right, axis)
        gain = np.zeros_like(t)
        if axis == 0:
            moved = between * (t[:-1] - t[1:])
            gain[:-1] -= moved
            gain[1:] += moved
        else:
            moved = between * (t[:, :-1] - t[:, 1:])
            gain[:, :-1] -= moved
            gain[:, 1:] += moved
        taken = {}
        for face in faces:
            spread, into, fixed, share, vapour, slope, latent, skin, mass = kept[face]
            edge = self._edge(t, face)
            new = fixed + share * edge
            came = spread * into * (new - edge)
            self._edge(gain, face)[...] += came
            gone = vapour + slope * (new - skin)  # what the heat took for granted
            self.books.heat_in += (came + spread * latent * gone).sum(0) * dt
            self.skin_c[face] = new
            pv = around.vapour_pa
            taken[face] = (spread, gone, latent, mass, pv)
        self.energy = self.energy + gain * dt
        self.t = t
        return taken

    def _rows(self, between: Array, axis: int) -> tuple[Array, Array, Array]:
        lower, upper, diag = (np.zeros_like(self.t) for _ in range(3))
        if axis == 0:
            lower[1:], upper[:-1] = -between, -between
            diag[1:] += between
            diag[:-1] += between
        else:
            lower[:, 1:], upper[:, :-1] = -between, -between
            diag[:, 1:] += between
            diag[:, :-1] += between
        return lower, upper, diag

    # water

    def _denature(self, dt: float) -> None:
        for n, slowest in enumerate((900.0, 1800.0, 7200.0)):
            power = np.clip((self.t - self.meat.change_c[n]) / self.meat.change_k[n], -30.0, 6.0)
            self.changed[n] = 1 - (1 - self.changed[n]) * np.exp(-dt / slowest * np.exp(power))

    def _held(self) -> Array:
        """What the cell holds now by itself, kg per kg of solids."""
        lost = sum(self.meat.loses[n] * self.changed[n] for n in range(3))
        return np.asarray(np.where(self.still, self.x0, self.x0 * (1 - lost)))

    def _mobility(self) -> Array:
        """m2/s: fast while more is there than is held, slow and slower as it dries."""
        over = 1.0 / (1.0 + np.exp(-np.clip((self.x - self._held()) / 0.04, -30, 30)))
        dry = self.meat.dry_m2_s * self.x / (self.x + 0.25)
        warmth = 1.0 + 0.02 * np.clip(self.t - 50.0, -40.0, 40.0)
        flow = (dry + (self.meat.squeeze_m2_s - dry) * over) * warmth
        return np.asarray(np.where(self.still, 0.0, flow))

    def _passage(self, axis: int, flow: Array, held: Array) -> Array:
        """kg/s between neighbors for each unit of what they hold too much, raw size.

        What flows has the mobility of where it comes from: juice that is let go inside gets through a
        dried rind, and the rind is not what decides.
        """
        over = self.x - held
        solid = self.solids / self.volume
        half = self.half_r if axis == 0 else self.half_z
        area = self.area_r if axis == 0 else self.area_z
        parts = [a if axis == 0 else np.swapaxes(a, 0, 1) for a in (over, flow, solid, half, area)]
        over, flow, solid, half, area = parts
        mobility = np.where(over[:-1] > over[1:], flow[:-1], flow[1:])
        mobility = np.where((flow[:-1] > 0) & (flow[1:] > 0), mobility, 0.0)
        out = area[:-1] * mobility * np.minimum(solid[:-1], solid[1:]) / (half[:-1] + half[1:])
        return np.asarray(out if axis == 0 else np.swapaxes(out, 0, 1))

    def _spray(self, around: Surroundings) -> None:
        if not around.spritz_kg_m2.any():
            return
        for face in ("side", "top"):
            area = self._edge(self.area_r if face == "side" else self.area_z, face)
            kg = area * around.spritz_kg_m2
            self._edge(self.x, face)[...] += kg / self._edge(self.solids, face)
            self._edge(self.energy, face)[...] += kg * WATER_J_KGK * 25.0
            self.books.sprayed += kg.sum(0)
            self.books.carried += kg.sum(0) * WATER_J_KGK * 25.0
        self._settle()

    def _water(
        self,
        axis: int,
        faces: tuple[str, ...],
        flow: Array,
        held: Array,
        taken,
        s: Array,
        dt: float,
    ) -> None:
        between = s * self._passage(axis, flow, held)
        lower, upper, diag = self._rows(between, axis)
        store = self.solids / dt
        diag = diag + store
        right = store * (self.x - held)  # unknown: what is there over what is held
        sinks = {}
        for face in faces:
            spread, gone, latent, mass, pv = taken[face]
            x, keeps = self._edge(self.x, face), self._edge(held, face)
            pressure = np.minimum(
                self._activity(x, face) * saturation_pa(self.skin_c[face]), 0.9 * PRESSURE_PA
            )
            out = mass * np.log(PRESSURE_PA / (PRESSURE_PA - pressure))
            back = mass * np.log(PRESSURE_PA / (PRESSURE_PA - pv))
            drips = np.zeros_like(x)
            if face != "top":
                drips = spread * self.meat.drip_m_s * 300.0 * np.maximum(x - keeps, 0.0)
            # In proportion to what will be there at the end of the step: it cannot go below nothing.
            drips = drips / np.maximum(x, 1e-12)
            rate = spread * out / np.maximum(x, 1e-12)
            self._edge(diag, face)[...] += rate + drips
            self._edge(right, face)[...] += spread * back - (rate + drips) * keeps
            sinks[face] = (rate, back, drips)
        over = _tridiagonal(lower, diag, upper, right, axis)
        x_new = over + held
        for face in faces:
            spread, gone, latent, _mass, _pv = taken[face]
            rate, back, drips = sinks[face]
            edge_t = self._edge(self.t, face)
            away = rate * self._edge(x_new, face) - spread * back
            drip = drips * self._edge(x_new, face)
            settled = latent * (spread * gone - away) - (away + drip) * WATER_J_KGK * edge_t
            self._edge(self.energy, face)[...] += settled * dt
            self.books.latent += (latent * away).sum(0) * dt
            self.books.carried -= ((away + drip) * WATER_J_KGK * edge_t).sum(0) * dt
            self.books.evaporated += away.sum(0) * dt
            self.books.dripped += drip.sum(0) * dt
        warm = self.t * WATER_J_KGK * dt
        if axis == 0:
            moved = between * (over[:-1] - over[1:])
            heat = moved * np.where(moved > 0, warm[:-1], warm[1:])
            self.energy[:-1] -= heat
            self.energy[1:] += heat
        else:
            moved = between * (over[:, :-1] - over[:, 1:])
            heat = moved * np.where(moved > 0, warm[:, :-1], warm[:, 1:])
            self.energy[:, :-1] -= heat
            self.energy[:, 1:] += heat
        self.x = x_new

    def _fall(self, held: Array, dt: float) -> None:
        """Juice leaves along seams as liquid, as warm as the meat that it leaves."""
        share = 1 - np.exp(-dt * self.meat.seam_per_s)
        out = share * np.maximum(self.x - held, 0.0) * np.where(self.still, 0.0, self.solids)
        heat = out * WATER_J_KGK * self.t
        self.x = self.x - out / self.solids
        self.energy = self.energy - heat
        self.books.dripped += out.sum((0, 1))
        self.books.carried -= heat.sum((0, 1))

    def taken(self, keep: NDArray[np.bool_]) -> Bodies:
        """Only some of the pieces, as they are now."""
        out = object.__new__(Bodies)
        for key, value in vars(self).items():
            if isinstance(value, np.ndarray):
                value = np.ascontiguousarray(value[..., keep])
            elif isinstance(value, (Meat, Books)):
                value = value.taken(keep)
            elif isinstance(value, dict):
                value = {face: a[..., keep].copy() for face, a in value.items()}
            setattr(out, key, value)
        return out
