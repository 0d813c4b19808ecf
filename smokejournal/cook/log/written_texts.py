"""What a person wrote in a cook, piece by piece: what a search looks through, and what each is called."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal

from smokejournal.cook.log import entries as e
from smokejournal.cook.log.entries import Entry, Payload
from smokejournal.cook.text.translate import translate

TextSort = Literal[
    "title",
    "place",
    "food",
    "label",
    "shop",
    "prep",
    "brine",
    "probe",
    "schedule",
    "stage",
    "instruction",
    "spritz",
    "fuel",
    "store",
    "photo",
    "tasting",
    "taster",
    "note",
    "next_time",
    "report",
    "struck",
]


def written_texts(what: Payload) -> Iterator[tuple[TextSort, str]]:
    """Every text of an entry that a person wrote, always in the same order; empty ones too."""
    match what:
        case e.CookOpened(title=title, place=place):
            yield from (("title", title), ("place", place))
        case e.CookRenamed(title=title, place=place):
            yield from (("title", title), ("place", place or ""))
        case e.ItemAdded(name=name, label=label, bought_at=bought_at):
            yield from (("food", name), ("label", label), ("shop", bought_at))
        case e.PrepStep(step=step, text=text, brine=brine):
            yield from (("prep", step), ("prep", text))
            yield ("brine", brine.line if brine is not None else "")
        case e.ChannelSet(channel=channel):
            yield from (("probe", channel.name), ("probe", channel.place))
        case e.ProbeMoved(place=place):
            yield ("probe", place)
        case e.ScheduleSet(schedule=schedule):
            yield ("schedule", schedule.name)
            for stage in schedule.stages:
                yield from (("stage", stage.name), ("instruction", stage.instruction))
        case e.Spritz(liquid=liquid):
            yield ("spritz", liquid)
        case e.FuelAdded(lot=lot):
            yield ("fuel", lot)
        case e.StoreUsed(name=name):
            yield ("store", name)
        case e.Photo(caption=caption):
            yield ("photo", caption)
        case e.Tasted(text=text, taster=taster, faults=faults):
            yield from (("tasting", text), ("taster", taster))
            # By their keys, which are plain words: what they are called is up to the reader's language.
            yield ("tasting", ", ".join(faults).replace("_", " "))
        case e.Note(text=text):
            yield ("note", text)
        case e.NextTime(text=text):
            yield ("next_time", text)
        case e.WeatherObserved(report=report):
            yield ("report", report)
        case e.ReadingsStruck(reason=reason):
            yield ("struck", reason)
        case _:
            pass


#: The kinds of entries that hold such texts.
TEXT_KINDS: tuple[str, ...] = tuple(
    kind.kind
    for kind in (
        e.CookOpened,
        e.CookRenamed,
        e.ItemAdded,
        e.PrepStep,
        e.ChannelSet,
        e.ProbeMoved,
        e.ScheduleSet,
        e.Spritz,
        e.FuelAdded,
        e.StoreUsed,
        e.Photo,
        e.Tasted,
        e.Note,
        e.NextTime,
        e.WeatherObserved,
        e.ReadingsStruck,
    )
)


def texts_in(entries: Sequence[Entry]) -> list[tuple[Entry, int, TextSort, str]]:
    """The texts of entries that hold, each with its entry and its number among those of that entry.

    What is said again in the same sort stands here once, where it was said last. Of several schedules
    only the last one counts: each of them is the whole.
    """
    last = next((one.id for one in reversed(entries) if isinstance(one.what, e.ScheduleSet)), None)
    found: dict[tuple[TextSort, str], tuple[Entry, int, TextSort, str]] = {}
    for entry in entries:
        if isinstance(entry.what, e.ScheduleSet) and entry.id != last:
            continue
        for number, (sort, text) in enumerate(written_texts(entry.what)):
            if text.strip():
                found[sort, text] = (entry, number, sort, text)
    return list(found.values())


def sort_words(sort: TextSort) -> str:
    """What a text of this sort is called on screen."""
    return {
        "title": translate("Written", "Title"),
        "place": translate("Written", "Place"),
        "food": translate("Written", "Food"),
        "label": translate("Written", "Label"),
        "shop": translate("Written", "Bought at"),
        "prep": translate("Written", "Prep"),
        "brine": translate("Written", "Brine"),
        "probe": translate("Written", "Probe"),
        "schedule": translate("Written", "Schedule"),
        "stage": translate("Written", "Stage"),
        "instruction": translate("Written", "Instruction"),
        "spritz": translate("Written", "Spritz"),
        "fuel": translate("Written", "Pellets"),
        "store": translate("Written", "Used"),
        "photo": translate("Written", "Photo"),
        "tasting": translate("Written", "Tasting"),
        "taster": translate("Written", "Taster"),
        "note": translate("Written", "Note"),
        "next_time": translate("Written", "Next time"),
        "report": translate("Written", "Weather report"),
        "struck": translate("Written", "Readings struck"),
    }[sort]
