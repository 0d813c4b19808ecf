"""What a cook of the demo journal is made of, with the lots and schedules that several share."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from smokejournal.cook.log.entries import (
    FoodClass,
    ItemAdded,
    Precipitation,
    PrepStep,
    Sky,
    StoreUsed,
    WrapMaterial,
)
from smokejournal.cook.log.schedule import PIT, ForTime, Schedule, Stage, UntilTemperature
from smokejournal.cook.stores.lots import Lot
from smokejournal.cook.stores.wares import Ware
from smokejournal.inputs.pit import Piece

CURRENCY = "EUR"
HOPPER_KG = 9.0
ZONE = "Europe/Berlin"
PLACE = "Behind the shed"

#: Three lots, named as a cook would name bags.
LOTS = (
    Lot(
        0,
        "Beech, bag A",
        15.0,
        8.9,
        CURRENCY,
        3,
        "beech",
        "Burns evenly, mild smoke.",
        label="Heating pellets, beech, class A1",
        moisture_pct=6.8,
        net_mj_kg=17.3,
    ),
    Lot(
        0,
        "Oak and cherry, bag B",
        10.0,
        11.5,
        CURRENCY,
        3,
        "oak, cherry",
        "Dark color.",
        label="Barbecue pellets, oak 70, cherry 30",
        moisture_pct=8.0,
    ),
    Lot(
        0, "Apple, bag C", 9.0, 12.4, CURRENCY, 2, "apple", "Sweet, light; some dust at the bottom."
    ),
)


#: What else lies in the stores, invented.
WARES = (
    Ware(0, "salt", "Coarse sea salt, jar", 3.0, None, 3.6, CURRENCY, grain="dense", cup_g=228.0),
    Ware(0, "salt", "Flake salt, box", 1.0, None, 5.2, CURRENCY, grain="flake", cup_g=141.0),
    Ware(
        0,
        "wood",
        "Plum, from the garden",
        bought_count=24.0,
        form="chunks",
        low_below=4.0,
        note="Split in spring, dry since autumn.",
    ),
    Ware(0, "wood", "Alder chips", 1.5, None, 6.5, CURRENCY, form="chips"),
    Ware(
        0,
        "rub",
        "Shoulder rub",
        0.6,
        recipe="240 g salt, 180 g brown sugar, 120 g pepper, 60 g paprika",
        salt_pct=40.0,
        low_below=0.1,
    ),
)

#: What was used of it, by the title of the cook.
USED: dict[str, tuple[StoreUsed, ...]] = {
    "Hot-smoked trout": (
        StoreUsed("salt", "Coarse sea salt, jar", 0.16),
        StoreUsed("wood", "Alder chips", 0.12),
    ),
    "Pork shoulder for twelve": (
        StoreUsed("rub", "Shoulder rub", 0.19),
        StoreUsed("wood", "Plum, from the garden", count=6.0),
    ),
    "Turkey crown": (StoreUsed("salt", "Coarse sea salt, jar", 0.3),),
    "Brisket flat": (
        StoreUsed("wood", "Plum, from the garden", count=8.0),
        StoreUsed("salt", "Flake salt, box", 0.036),
    ),
    "Trout sides, thicker cut": (
        StoreUsed("salt", "Coarse sea salt, jar", 0.2),
        StoreUsed("wood", "Alder chips"),
    ),
    "Pork shoulder for the neighbors": (
        StoreUsed("rub", "Shoulder rub", 0.35),
        StoreUsed("wood", "Plum, from the garden", count=5.0),
    ),
}


@dataclass(frozen=True, slots=True)
class Deed:
    """Something the cook does: `after_min` into the stage `stage` (or the cook), and not before the
    lead probe reads `lead_c`. The lid is open for `lid_s` while it is done."""

    what: Literal["lid", "spritz", "wrap", "note", "fuel", "gap"]
    after_min: float = 0.0
    stage: str = ""
    lead_c: float | None = None
    text: str = ""
    wrap: WrapMaterial = "foil"
    lid_s: float = 0.0
    lot: str = ""
    mass_kg: float = 0.0
    gap_min: float = 0.0


@dataclass(frozen=True, slots=True)
class DemoCook:
    """One invented cook. `days_ago` and `clock` say when its fire was lit; prep counts back in hours
    from that; shares are of the mass before."""

    title: str
    days_ago: int
    clock: str
    item: ItemAdded
    piece: Piece
    schedule: Schedule
    prep: tuple[tuple[float, PrepStep], ...] = ()
    deeds: tuple[Deed, ...] = ()
    sky: Sky = "few"
    precipitation: Precipitation = "none"
    wind_m_s: float = 2.0
    warmer_c: float = 0.0
    humidity_pct: float = 65.0
    pressure_hpa: float = 1015.0
    fuel: tuple[tuple[str, float], ...] = ()
    confirm_min: float = 2.0
    prep_share: float = 1.0
    drip_share: float = 0.06
    served_share: float = 0.92
    marks: dict[str, int] = field(default_factory=dict)
    tasted: str = ""
    next_time: str = ""
    interval_s: float = 10.0


HOUR = 3600.0


def light(target_c: float) -> Stage:
    """Wait for the pit; the food is still aside."""
    return Stage(
        "light",
        "Light the fire",
        (UntilTemperature(target_c - 3.0, prove_s=120.0, channel=PIT),),
        pit_target_c=target_c,
        instruction="Wait for thin, almost invisible smoke before the food goes on.",
        ending="waits",
        purpose="warm_up",
    )


def smoke(target_c: float, meat_c: float, **more: object) -> Stage:
    """Smoke at `target_c` until the lead probe is at `meat_c`."""
    return Stage(
        "smoke",
        "Smoke",
        (UntilTemperature(meat_c),),
        pit_target_c=target_c,
        **more,  # type: ignore[arg-type]
        purpose="cook",
    )


def rest(minutes: float, text: str = "Take it off and cover it loosely.") -> Stage:
    """Off the fire for some minutes."""
    return Stage("rest", "Rest", (ForTime(minutes * 60),), instruction=text, purpose="rest")


TROUT_SCHEDULE = Schedule(
    "Hot-smoked trout",
    (
        light(82.0),
        smoke(82.0, 65.0, instruction="Skin side down, space between the sides."),
        Stage(
            "hold",
            "Hold",
            (ForTime(30 * 60, at_least_c=63.0, dip_c=0.5),),
            pit_target_c=82.0,
            alert="insistent",
            purpose="hold",
        ),
        rest(15, "Slide the sides off the skin while warm."),
    ),
)

SHOULDER_SCHEDULE = Schedule(
    "Pork shoulder with a wrap",
    (
        light(110.0),
        smoke(
            110.0,
            70.0,
            ending="waits",
            instruction="When the bark is set, wrap it.",
            guard_s=9 * HOUR,
        ),
        Stage(
            "wrapped",
            "Wrapped",
            (UntilTemperature(93.0, prove_s=300.0),),
            pit_target_c=121.0,
            alert="insistent",
            instruction="It is ready when the blade bone turns.",
            guard_s=8 * HOUR,
            purpose="wrap",
        ),
        rest(60, "Leave it wrapped in a dry cooler box."),
    ),
)


def trout(thickness_m: float, mass_kg: float, pieces: int, start_c: float = 6.0) -> Piece:
    """Sides of trout with hot air above and below."""
    return Piece(
        "side of trout",
        "slab",
        thickness_m / 2,
        mass_kg / pieces,
        start_c,
        pieces,
        juice_share=0.02,
    )


def item(
    name: str,
    food: FoodClass,
    mass_kg: float,
    label: str = "",
    thickness_m: float | None = None,
    pieces: int = 1,
    bought_at: str = "",
    price: float | None = None,
) -> ItemAdded:
    """One item, with its price in the currency of the demo."""
    return ItemAdded(
        name, food, label, mass_kg, thickness_m, pieces, bought_at, price, CURRENCY if price else ""
    )


def wrapping(stage: str, lead_c: float, material: WrapMaterial) -> Deed:
    """Wrap at the beginning of a stage."""
    return Deed("wrap", 1, stage, lead_c, wrap=material, lid_s=150)
