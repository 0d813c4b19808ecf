"""The pieces of a plan in words: food, prep steps, probes."""

from __future__ import annotations

from smokejournal.cook.log.correction import correction_words
from smokejournal.cook.log.entries import FoodClass, ItemAdded, PrepSort, PrepStep
from smokejournal.cook.log.readings import Channel, ChannelRole
from smokejournal.cook.text import quantities
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.text.translate import translate


def food_words(food: FoodClass) -> str:
    """A kind of food, as it is chosen from a list."""
    return {
        "red_meat": translate("Food", "beef, veal, lamb or pork, whole"),
        "poultry": translate("Food", "poultry"),
        "ground": translate("Food", "ground meat or sausage"),
        "fish": translate("Food", "fish"),
        "ham": translate("Food", "ham"),
        "other": translate("Food", "something else"),
    }[food]


def role_words(role: ChannelRole) -> str:
    """Where a probe is, as it is chosen from a list."""
    return {
        "meat": translate("Probe", "in the meat"),
        "pit": translate("Probe", "in the pit's air"),
        "air": translate("Probe", "in the outside air"),
        "other": translate("Probe", "somewhere else"),
    }[role]


def item_words(item: ItemAdded, units: Units) -> str:
    """ "2 × chicken thighs, 1.2 kg in all, 3 cm thick, poultry; farm shop, 9.80 EUR"."""
    name = item.name if item.pieces == 1 else f"{item.pieces} × {item.name}"
    parts = [name]
    if item.mass_kg is not None:
        mass = quantities.mass(item.mass_kg, units)
        # Of all pieces together, as the sums take it.
        text = translate("Plan", "{mass} in all") if item.pieces > 1 else "{mass}"
        parts.append(text.format(mass=mass))
    if item.thickness_m is not None:
        parts.append(
            translate("Plan", "{length} thick").format(
                length=quantities.thickness(item.thickness_m, units)
            )
        )
    parts.append(food_words(item.food))
    if item.label:
        parts.append(translate("Plan", "labeled “{label}”").format(label=item.label))
    if item.bought_at:
        parts.append(item.bought_at)
    if item.price is not None:
        parts.append(quantities.money(item.price, item.currency))
    return ", ".join(parts)


def prep_sort_words(sort: PrepSort) -> str:
    """What sort of step it is, as it is chosen from a list; "" is not said."""
    return {
        "": translate("Plan", "not said"),
        "thaw": translate("Plan", "thaw"),
        "brine": translate("Plan", "brine"),
        "dry_salt": translate("Plan", "salt dry"),
        "rinse": translate("Plan", "rinse"),
        "dry": translate("Plan", "dry, uncovered"),
        "rub": translate("Plan", "rub or season"),
        "other": translate("Plan", "something else"),
    }[sort]


def prep_words(step: PrepStep) -> str:
    """ "Dry brine, 12 h: coarse salt, 1 % of the mass"."""
    text = step.step
    if step.duration_s is not None:
        text = f"{text}, {quantities.duration(step.duration_s)}"
    return f"{text}: {step.text}" if step.text else text


def probe_words(channel: Channel, units: Units, lead: str | None, check: str | None) -> str:
    """ "Thick end, in the meat, thickest part, reads 1.0 °C low; leads"."""
    parts = [channel.name or channel.key, role_words(channel.role)]
    if channel.place:
        parts.append(channel.place)
    if channel.is_corrected:
        parts.append(
            translate("Plan", "corrected by {step}").format(step=correction_words(channel, units))
        )
    if channel.by_hand:
        parts.append(translate("Plan", "read by hand"))
    if channel.simulated:
        parts.append(translate("Plan", "SIMULATED"))
    text = ", ".join(parts)
    if channel.key == lead:
        return translate("Plan", "{probe} · lead").format(probe=text)
    if channel.key == check:
        return translate("Plan", "{probe} · check").format(probe=text)
    return text
