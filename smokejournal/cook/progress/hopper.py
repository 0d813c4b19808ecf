"""The hopper's story: what lay in it, what burned, from which lot and what it cost.

Fuel lies in layers and the auger takes it from the bottom, so the oldest layer burns first. Only
readings of the level tell what burned: between two of them it is the first, plus what was added, less
the second. What no reading tells stays unknown, with the reason.

"Emptied" (a level of exactly nothing) means that the cook took the rest out. Right after a level was
read, that rest did not burn; otherwise nobody knows how much of it did.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

from smokejournal.cook.log.cook_log import holding
from smokejournal.cook.log.entries import CookClosed, Entry, FuelAdded, FuelLevel, ScheduleStarted
from smokejournal.science.numbers.uncertainty import Sum, measured, total

NEAR_S = 600.0
"""A level read within this of the fire's beginning or end counts as read at it."""

WhyUnknown = Literal[
    "",
    "nothing_logged",
    "never_read",
    "not_read_before",
    "not_read_after",
    "emptied_unweighed",
    "more_than_added",
    "burned_since",
    "no_price",
    "no_time",
]

LEFT_FROM_BEFORE = ""
"""The name of what lay in the hopper before anything was added: no lot is known for it."""


@dataclass(frozen=True, slots=True)
class Amount:
    """A number with its standard deviation; None where it can't be known, and then `why`."""

    value: float | None
    sd: float | None = None
    why: WhyUnknown = ""

    @classmethod
    def of(cls, known: Sum) -> Amount:
        """The amount that a sum of measured ones comes to."""
        return cls(known.value, known.sd)


@dataclass(frozen=True, slots=True)
class HopperLayer:
    """One layer in the hopper [kg]."""

    lot: str
    mass_kg: float
    sd_kg: float


@dataclass(frozen=True, slots=True)
class LotUse:
    """What burned of one lot [kg] and what it cost."""

    lot: str
    used_kg: Amount
    cost: Amount
    currency: str


@dataclass(frozen=True, slots=True)
class HopperStory:
    """All that the log tells of the fuel.

    `used_kg` is for the whole fire; `between_kg` for the time from the first reading of the level to
    the last, which may be known when the whole is not; `by_lot` and `costs` (by currency) are for
    that time too. `unpriced` are the lots that burned and whose price is not known: the costs are
    without them. `layers` from the bottom up, as they lay when the level was last known, and
    `last_level_kg` what they came to: the last reading with what was added since.
    """

    level_kg: Amount
    layers: tuple[HopperLayer, ...] = ()
    used_kg: Amount = Amount(None, why="nothing_logged")
    between_kg: Amount = Amount(None, why="nothing_logged")
    between_s: tuple[float, float] | None = None
    rate_kg_per_h: Amount = Amount(None, why="nothing_logged")
    by_lot: tuple[LotUse, ...] = ()
    costs: tuple[tuple[str, Amount], ...] = ()
    unpriced: tuple[str, ...] = ()
    added_kg: Amount = Amount(0.0, 0.0)
    taken_out_kg: Amount = Amount(0.0, 0.0)
    last_level_at_s: float | None = None
    last_level_kg: Amount = Amount(None, why="nothing_logged")
    logged: bool = False


@dataclass(slots=True)
class _Layer:
    lot: str
    mass: Sum
    price_per_kg: float | None
    currency: str
    used: Sum = field(default_factory=Sum)


def hopper(
    entries: Sequence[Entry],
    now_s: float,
    fire_s: tuple[float | None, float | None] | None = None,
) -> HopperStory:
    """The story of the fuel up to `now_s` (UTC seconds).

    `fire_s` is when something began to burn and when nothing did any more (None: not yet). Without it
    they are taken from the start of the schedule and the closing of the cook.
    """
    held = [e for e in holding(entries) if e.at_s <= now_s]
    layers = _Layers(*(fire_s if fire_s is not None else _fire_of(held)))
    for entry in held:
        if isinstance(entry.what, FuelAdded):
            layers.add(entry.at_s, entry.what, entry.id)
        elif isinstance(entry.what, FuelLevel):
            layers.read(entry.at_s, entry.what, entry.id)
    return layers.story(now_s)


def _fire_of(held: Sequence[Entry]) -> tuple[float | None, float | None]:
    begin_s = next((e.at_s for e in held if isinstance(e.what, ScheduleStarted)), None)
    end_s = next((e.at_s for e in reversed(held) if isinstance(e.what, CookClosed)), None)
    return begin_s, end_s


class _Layers:
    """Walks through what was logged of the fuel, in order of time."""

    def __init__(self, begin_s: float | None, end_s: float | None) -> None:
        self.begin_s, self.end_s = begin_s, end_s
        self.layers: list[_Layer] = []
        self.burned: list[_Layer] = []
        self.added: list[Sum] = []
        self.first_s: float | None = None
        self.last_s: float | None = None
        self.last_change_s: float | None = None
        self.used = Sum()
        self.taken_out = Sum()
        self.why: WhyUnknown = ""

    def add(self, at_s: float, what: FuelAdded, number: int) -> None:
        mass = measured(number, what.mass_kg, what.mass_sd_kg)
        self.added.append(mass)
        self.layers.append(_Layer(what.lot, mass, what.price_per_kg, what.currency))
        self.last_change_s = at_s

    def read(self, at_s: float, what: FuelLevel, number: int) -> None:
        level = measured(number, what.mass_kg, what.mass_sd_kg)
        if self.first_s is None:
            self._read_first(level)
            self.first_s = at_s
        elif what.emptied:
            self._empty(at_s)
        else:
            self._burn_to(level)
        self.last_s = self.last_change_s = at_s

    def _read_first(self, level: Sum) -> None:
        known = total(layer.mass for layer in self.layers)
        below = level - known
        if below.value > 0 and below.value > 2 * below.sd:
            # There was fuel at the bottom before the first that was written down.
            self.layers.insert(0, _Layer(LEFT_FROM_BEFORE, below, None, ""))
        elif self.layers:
            # What is missing burned before anything was read, or the masses are that uncertain:
            # the lowest layers are smaller by it, and none of it counts as burned since.
            self._take_from_bottom(known - level, count=False)
        elif level.value or level.terms[min(level.terms)][1]:
            self.layers.append(_Layer(LEFT_FROM_BEFORE, level, None, ""))

    def _burn_to(self, level: Sum) -> None:
        burned = total(layer.mass for layer in self.layers) - level
        if burned.value < -2 * burned.sd:
            self.why = self.why or "more_than_added"
            self.layers.append(_Layer(LEFT_FROM_BEFORE, burned.times(-1.0), None, ""))
            return
        self.used += burned
        self._take_from_bottom(burned, count=True)

    def _empty(self, at_s: float) -> None:
        assert self.last_s is not None
        rest = total(layer.mass for layer in self.layers)
        just_read = self.last_change_s == self.last_s and at_s - self.last_s <= NEAR_S
        # The fire was not lit yet: nothing can have burned.
        before_fire = self.begin_s is None or at_s <= self.begin_s
        if not just_read and not before_fire and rest.value > 0:
            self.why = self.why or "emptied_unweighed"
        self.taken_out += rest
        self.burned += self.layers
        self.layers = []

    def _take_from_bottom(self, amount: Sum, *, count: bool) -> None:
        """Take an amount out of the lowest layers; less than nothing goes back to the lowest."""
        rest = amount
        while self.layers:
            layer = self.layers[0]
            whole = rest.value >= layer.mass.value
            taken = layer.mass if whole and len(self.layers) > 1 else rest
            layer.mass -= taken
            rest -= taken
            if count:
                layer.used += taken
            if not whole or len(self.layers) == 1:
                return
            self.burned.append(self.layers.pop(0))
        if count and rest.value:
            # Nothing lay there and yet there is some: within what the readings can be off.
            self.layers.append(_Layer(LEFT_FROM_BEFORE, rest.times(-1.0), None, "", used=rest))

    # -- the story ---------------------------------------------------------------------------

    def story(self, now_s: float) -> HopperStory:
        if not self.added and self.first_s is None:
            return HopperStory(Amount(None, why="nothing_logged"))
        between, why_whole = self._between(), self._why_whole()
        return HopperStory(
            level_kg=self._level(now_s),
            layers=tuple(
                HopperLayer(layer.lot, layer.mass.value, layer.mass.sd) for layer in self.layers
            ),
            used_kg=Amount(None, why=why_whole) if why_whole else between,
            between_kg=between,
            between_s=(
                (self.first_s, self.last_s)
                if self.first_s is not None and self.last_s is not None
                else None
            ),
            rate_kg_per_h=self._rate(between),
            by_lot=self._by_lot(between.why),
            costs=() if between.why else self._costs(),
            unpriced=tuple(
                dict.fromkeys(p.lot for p in self._all() if p.used.value and p.price_per_kg is None)
            ),
            added_kg=Amount.of(total(self.added)),
            taken_out_kg=Amount.of(self.taken_out),
            last_level_at_s=self.last_s,
            last_level_kg=self._last_level(),
            logged=True,
        )

    def _between(self) -> Amount:
        if self.last_s is None:
            return Amount(None, why="never_read")
        why = self.why
        if self.begin_s is not None and (
            self.last_s == self.first_s or self.last_s <= self.begin_s
        ):
            # Before the fire nothing burns, however often the level is read.
            why = self._why_whole() or "not_read_after"
        return Amount(None, why=why) if why else Amount.of(self.used)

    def _why_whole(self) -> WhyUnknown:
        if self.first_s is None or self.last_s is None:
            return "never_read"
        if self.why or self.begin_s is None:
            return self.why
        if self.first_s > self.begin_s + NEAR_S:
            return "not_read_before"
        if self.end_s is None or self.last_s < self.end_s - NEAR_S:
            return "not_read_after"
        return ""

    def _level(self, now_s: float) -> Amount:
        if self.last_s is not None and now_s - self.last_s > NEAR_S:
            unlit = self.begin_s is None or self.begin_s >= now_s
            out = self.end_s is not None and self.last_s >= self.end_s - NEAR_S
            if not unlit and not out:
                return Amount(None, why="burned_since")
        return self._last_level()

    def _last_level(self) -> Amount:
        if self.last_s is None:
            return Amount(None, why="never_read")
        return Amount.of(total(layer.mass for layer in self.layers))

    def _rate(self, between: Amount) -> Amount:
        if between.value is None or between.sd is None:
            return between
        assert self.first_s is not None
        assert self.last_s is not None
        from_s = self.first_s if self.begin_s is None else max(self.first_s, self.begin_s)
        to_s = self.last_s if self.end_s is None else min(self.last_s, self.end_s)
        hours = (to_s - from_s) / 3600.0
        if hours <= NEAR_S / 3600.0:
            return Amount(None, why="no_time")
        return Amount(between.value / hours, between.sd / hours)

    def _all(self) -> list[_Layer]:
        return [*self.burned, *self.layers]

    def _by_lot(self, why: WhyUnknown) -> tuple[LotUse, ...]:
        found: dict[tuple[str, str], list[_Layer]] = {}
        for layer in self._all():
            found.setdefault((layer.lot, layer.currency), []).append(layer)
        uses = []
        for (lot, currency), layers in found.items():
            if why:
                uses.append(LotUse(lot, Amount(None, why=why), Amount(None, why=why), currency))
                continue
            used = Amount.of(total(layer.used for layer in layers))
            uses.append(LotUse(lot, used, _cost(layers), currency))
        return tuple(uses)

    def _costs(self) -> tuple[tuple[str, Amount], ...]:
        """Of all that has a price. Computed from the readings: the lots share their errors."""
        found: dict[str, Sum] = {}
        for layer in self._all():
            if layer.price_per_kg is not None and layer.used.value:
                before = found.get(layer.currency, Sum())
                found[layer.currency] = before + layer.used.times(layer.price_per_kg)
        return tuple((currency, Amount.of(cost)) for currency, cost in found.items())


def _cost(layers: Sequence[_Layer]) -> Amount:
    parts = []
    for layer in layers:
        if layer.price_per_kg is not None:
            parts.append(layer.used.times(layer.price_per_kg))
        elif layer.used.value:
            return Amount(None, why="no_price")
    return Amount.of(total(parts))
