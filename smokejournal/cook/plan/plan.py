"""What a cook's log says about its plan: what is cooked, when it is wanted, with which probes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.entries import (
    ChannelSet,
    CookClosed,
    CookOpened,
    CookRenamed,
    FoodClass,
    ItemAdded,
    LeadSet,
    PrepStep,
    ScheduleSet,
    ScheduleStarted,
)
from smokejournal.cook.log.items import in_order
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.log.schedule import Schedule


@dataclass(frozen=True, slots=True)
class Plan:
    """The plan as it holds now. Items and prep steps come with the ids of their entries;
    `channel_entries` are those that describe each channel.

    `margin_s` is how long before `ready_at_s` the cook wants everything to be ready. `lead` and
    `check` are channel keys; `schedule` is empty where none was set.
    """

    title: str = ""
    zone: str = "UTC"
    place: str = ""
    simulated: bool = False
    ready_at_s: float | None = None
    margin_s: float = 0.0
    items: tuple[tuple[int, ItemAdded], ...] = ()
    prep: tuple[tuple[int, PrepStep], ...] = ()
    channels: Mapping[str, Channel] = field(default_factory=dict)
    channel_entries: Mapping[str, tuple[int, ...]] = field(default_factory=dict)
    lead: str | None = None
    check: str | None = None
    schedule: Schedule = field(default_factory=Schedule)
    started: bool = False
    closed: bool = False

    @property
    def is_bare(self) -> bool:
        """Whether nothing is planned yet but a title."""
        return not (self.items or self.prep or self.channels or self.schedule.stages)

    @property
    def foods(self) -> frozenset[FoodClass]:
        """The kinds of food on the plan."""
        return frozenset(item.food for _, item in self.items)


def plan_of(log: CookLog) -> Plan:
    """Read the plan off a log. A later entry wins over an earlier one."""
    title, zone, place, simulated = "", "UTC", "", False
    ready_at_s: float | None = None
    margin_s = 0.0
    lead: str | None = None
    check: str | None = None
    schedule = Schedule()
    items: list[tuple[int, ItemAdded]] = []
    prep: list[tuple[int, PrepStep]] = []
    channels: dict[str, Channel] = {}
    channel_entries: dict[str, tuple[int, ...]] = {}
    started = closed = False
    held = log.holding()
    for entry in in_order(log.entries, held):
        if isinstance(entry.what, ItemAdded):
            items.append((entry.id, entry.what))
        elif isinstance(entry.what, PrepStep):
            prep.append((entry.id, entry.what))
    for entry in held:
        what = entry.what
        match what:
            case CookOpened():
                title, zone, place = what.title, what.zone, what.place
                simulated, ready_at_s = what.simulated, what.ready_at_s
            case CookRenamed():
                title, ready_at_s = what.title, what.ready_at_s
                place = place if what.place is None else what.place
                margin_s = margin_s if what.margin_s is None else what.margin_s
            case ChannelSet():
                key = what.channel.key
                channels[key] = what.channel
                channel_entries[key] = (*channel_entries.get(key, ()), entry.id)
            case LeadSet():
                lead, check = what.lead, what.check
            case ScheduleSet():
                schedule = what.schedule
            case ScheduleStarted():
                started = True
            case CookClosed():
                closed = True
            case _:
                pass
    return Plan(
        title=title,
        zone=zone,
        place=place,
        simulated=simulated,
        ready_at_s=ready_at_s,
        margin_s=margin_s,
        items=tuple(items),
        prep=tuple(prep),
        channels=channels,
        channel_entries=channel_entries,
        lead=lead,
        check=check,
        schedule=schedule,
        started=started,
        closed=closed,
    )


def new_channel_key(plan: Plan) -> str:
    """A key that no channel of the cook has: c1, c2, …"""
    number = len(plan.channels) + 1
    while f"c{number}" in plan.channels:
        number += 1
    return f"c{number}"


def stage_keys(log: CookLog) -> frozenset[str]:
    """Every stage key that the log ever spoke of, struck entries included."""
    return frozenset(
        stage.key
        for entry in log.entries
        if isinstance(entry.what, ScheduleSet)
        for stage in entry.what.schedule.stages
    )


def piece_kg(item: ItemAdded) -> float | None:
    """The mass of one piece [kg]: an item's mass is that of all its pieces."""
    return None if item.mass_kg is None else item.mass_kg / item.pieces


def item_of_probe(
    items: Sequence[tuple[int, ItemAdded]], probe: Channel | None
) -> tuple[tuple[int, ItemAdded] | None, bool]:
    """The item that a probe is in, and whether that was a choice among several.

    In this order: the only item; the one that says so; the one that the probe's name or place names;
    the heaviest piece, since that takes longest and is what people put the lead probe into.
    """
    if len(items) <= 1:
        return (items[0] if items else None), False
    if probe is not None:
        told = [one for one in items if one[1].channel == probe.key]
        if len(told) == 1:
            return told[0], False
        said = f" {probe.name} {probe.place} ".casefold()
        named = [
            one
            for one in items
            if one[1].name.casefold() in said
            or (one[1].label.strip() and one[1].label.casefold() in said)
        ]
        if len(named) == 1:
            return named[0], False
        items = told or named or items
    return max(items, key=lambda one: piece_kg(one[1]) or 0.0), True


def in_one_piece(
    items: Sequence[tuple[int, ItemAdded]], one: Channel, other: Channel
) -> bool | None:
    """Whether two probes are in the same single piece: False where they are in two items, None where
    that isn't said."""
    (first, unsure), (second, also) = item_of_probe(items, one), item_of_probe(items, other)
    if first is None or second is None or unsure or also:
        return None
    if first[0] != second[0]:
        return False
    return True if first[1].pieces == 1 else None


def lead_item(plan: Plan) -> tuple[int, ItemAdded] | None:
    """The item that goes through the schedule: the one that the lead probe is in."""
    return item_of_probe(plan.items, plan.channels.get(plan.lead or ""))[0]
