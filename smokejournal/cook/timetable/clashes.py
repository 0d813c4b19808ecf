"""Several dishes on one pit: what clashes in a plan that is counted back, in words, and what helps."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

from smokejournal.cook.log.entries import ItemAdded
from smokejournal.cook.plan.plan import Plan, lead_item
from smokejournal.cook.text import quantities as q
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.text.translate import translate
from smokejournal.cook.timetable.steps import Node
from smokejournal.cook.timetable.timetable import Clash, Lateness, TimetableStep

#: Dishes share a pit whose set points are no further apart than this [K]: a pit swings by as much
#: (common practice, no source).
SAME_PIT_K = 10.0
#: So often may a dish be ready longer before its time than it can be held (our own judgment).
OVER_HOLD = 0.2
#: Planned starts are told to the minute: what is less than this in the past is now [s].
JUST_NOW_S = 60.0


@dataclass(frozen=True, slots=True)
class OnPit:
    """A stretch of time [UTC s] for which a dish is to be on the pit, as planned."""

    item: str
    key: str
    from_s: float
    to_s: float
    pit_c: float


def on_the_pit(steps: Sequence[TimetableStep]) -> Iterator[OnPit]:
    """Every stretch on the pit that has times."""
    for step in steps:
        if step.kind not in ("dish", "stage") or step.pit_c is None or step.state == "skipped":
            continue
        if step.start is None or step.end is None:
            continue
        yield OnPit(
            step.item or step.name,
            step.key,
            step.start.planned_s,
            step.end.planned_s,
            step.pit_c,
        )


def order_of(steps: Sequence[TimetableStep]) -> tuple[str, ...]:
    """The dishes in the order in which they go on; those of which no time is told are left out."""
    first: dict[str, float] = {}
    for stretch in on_the_pit(steps):
        first[stretch.item] = min(stretch.from_s, first.get(stretch.item, stretch.from_s))
    return tuple(sorted(first, key=lambda name: first[name]))


def clashes_of(
    plan: Plan,
    nodes: Sequence[Node],
    steps: Sequence[TimetableStep],
    now_s: float,
    lateness: Lateness | None,
    units: Units,
) -> tuple[Clash, ...]:
    """Everything that can't be as it is planned, what is most pressing first."""
    return (
        *_past(nodes, steps, now_s),
        *_two_pits(plan, steps, units),
        *_probes(plan, steps),
        *_too_long(nodes, steps, now_s),
        *_rest(lateness),
    )


def _past(nodes: Sequence[Node], steps: Sequence[TimetableStep], now_s: float) -> Iterator[Clash]:
    waiting = {node.key for node in nodes if node.waits and node.state == "to_come"}
    gone = [
        s
        for s in steps
        if s.key in waiting and s.start is not None and s.start.planned_s < now_s - JUST_NOW_S
    ]
    if not gone:
        return
    first = gone[0]
    assert first.start is not None
    yield Clash(
        "past",
        translate("Dishes", "{step} should have begun {time} ago.").format(
            step=first.name, time=q.duration(_minutes(now_s - first.start.planned_s))
        ),
        translate("Dishes", "Begin now, shorten a step, or let the table wait."),
        tuple(s.key for s in gone),
    )


def _two_pits(plan: Plan, steps: Sequence[TimetableStep], units: Units) -> list[Clash]:
    hold = {item.name: item.hold_s or 0.0 for _, item in plan.items}
    told: set[frozenset[str]] = set()
    # Dishes that want the same two pits clash in one sentence.
    by_pits: dict[tuple[str, str], list[tuple[OnPit, OnPit, float]]] = {}
    for a, b in combinations(on_the_pit(steps), 2):
        pair = frozenset((a.item, b.item))
        if a.item == b.item or pair in told or abs(a.pit_c - b.pit_c) <= SAME_PIT_K:
            continue
        together_s = min(a.to_s, b.to_s) - max(a.from_s, b.from_s)
        if together_s <= 0.0:
            continue
        told.add(pair)
        # What can be held hot the longer goes first: it waits while the other one is on.
        first, second = sorted((a, b), key=lambda s: (-hold.get(s.item, 0.0), s.from_s))
        pits = (q.temperature(first.pit_c, units, 0), q.temperature(second.pit_c, units, 0))
        known = (pits[1], pits[0]) if (pits[1], pits[0]) in by_pits else pits
        ordered = (first, second) if known == pits else (second, first)
        by_pits.setdefault(known, []).append((*ordered, together_s))
    return [_pit_clash(pits, found) for pits, found in by_pits.items()]


def _pit_clash(pits: tuple[str, str], found: Sequence[tuple[OnPit, OnPit, float]]) -> Clash:
    firsts = ", ".join(dict.fromkeys(first.item for first, _, _ in found))
    seconds = ", ".join(dict.fromkeys(second.item for _, second, _ in found))
    keys = dict.fromkeys(stretch.key for first, second, _ in found for stretch in (first, second))
    if len(found) == 1:
        text = translate(
            "Dishes",
            "{first} needs the pit at {first_c} and {second} needs it at {second_c}, for "
            "{time} at once.",
        )
    else:
        text = translate(
            "Dishes",
            "The pit is needed at {first_c} and {second_c} at once, for up to {time}: for "
            "{first}, and for {second}.",
        )
    cure = translate(
        "Dishes",
        "Do {first} first and keep it hot, then set the pit to {second_c} for {second}. "
        "Or give both the same pit temperature.",
    )
    says = {
        "first": firsts,
        "second": seconds,
        "first_c": pits[0],
        "second_c": pits[1],
        "time": q.duration(_minutes(max(together_s for _, _, together_s in found))),
    }
    return Clash("two_pits", text.format(**says), cure.format(**says), tuple(keys))


def _probes(plan: Plan, steps: Sequence[TimetableStep]) -> Iterator[Clash]:
    lead = lead_item(plan)
    stretches: dict[str, tuple[float, float]] = {}
    for one in on_the_pit(steps):
        low, high = stretches.get(one.item, (one.from_s, one.to_s))
        stretches[one.item] = min(low, one.from_s), max(high, one.to_s)

    def probe(key: int, item: ItemAdded) -> str:
        if item.channel:
            return item.channel
        return plan.lead or "" if lead is not None and key == lead[0] else ""

    probed = [(item, probe(key, item)) for key, item in plan.items]
    for item, channel in probed:
        if item.target_c is not None and channel not in plan.channels:
            yield Clash(
                "no_probe",
                translate(
                    "Dishes", "{dish} needs a probe: it has a target and none of its own."
                ).format(dish=item.name),
                translate("Dishes", "Give it one under Food, or look at it by hand in time."),
            )
    for (a, a_probe), (b, b_probe) in combinations(probed, 2):
        if not a_probe or a_probe != b_probe or a_probe not in plan.channels:
            continue
        times = stretches.get(a.name), stretches.get(b.name)
        if times[0] is None or times[1] is None:
            continue
        if min(times[0][1], times[1][1]) > max(times[0][0], times[1][0]):
            yield Clash(
                "probes",
                translate(
                    "Dishes", "{probe} is meant for {first} and {second} at the same time."
                ).format(probe=plan.channels[a_probe].name, first=a.name, second=b.name),
                translate("Dishes", "Give one of them another probe."),
            )
    there = sum(channel.role == "meat" for channel in plan.channels.values())
    most = _most_at_once(
        [stretches[i.name] for i, _ in probed if i.target_c and i.name in stretches]
    )
    if there and most > there:
        yield Clash(
            "probes",
            translate(
                "Dishes", "{count} dishes need a probe at once, and there are {there}."
            ).format(count=most, there=there),
            translate("Dishes", "Move a probe once its dish is off, or stagger the dishes."),
        )


def _most_at_once(stretches: Sequence[tuple[float, float]]) -> int:
    turns = sorted([(s, 1) for s, _ in stretches] + [(e, -1) for _, e in stretches])
    most = at_once = 0
    for _, turn in turns:
        at_once += turn
        most = max(most, at_once)
    return most


def _too_long(
    nodes: Sequence[Node], steps: Sequence[TimetableStep], now_s: float
) -> Iterator[Clash]:
    """A step under way that would outlast what it may, until what comes next can begin."""
    by_key = {step.key: step for step in steps}
    for node in nodes:
        left_s = node.length.longest_s
        if node.state != "under_way" or left_s is None:
            continue
        following = [by_key[other.key].start for other in nodes if node.key in other.needs]
        planned = [when.planned_s for when in following if when is not None]
        if planned and min(planned) > now_s + left_s + JUST_NOW_S:
            yield Clash(
                "too_long",
                translate("Dishes", "{step} would go past its limit.").format(step=node.name),
                translate("Dishes", "End it in time and keep the food cold until it goes on."),
                (node.key,),
            )


def _rest(lateness: Lateness | None) -> Iterator[Clash]:
    if lateness is None or lateness.hold_s is None or (lateness.over_hold or 0.0) <= OVER_HOLD:
        return
    yield Clash(
        "rest_too_long",
        translate(
            "Dishes",
            "If it goes fast, it is ready {early} before it is wanted; you said {hold}.",
        ).format(
            early=q.duration(_minutes(lateness.early.high)),
            hold=q.duration(_minutes(lateness.hold_s)),
        ),
        translate("Dishes", "Begin later, or say how it can be held hot for longer."),
    )


def _minutes(length_s: float) -> float:
    return round(length_s / 60.0) * 60.0
