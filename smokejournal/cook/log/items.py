"""Items and prep steps through their edits: what stays the same of them, and in which order they stand.

An edit strikes the old entry and writes a new one with the same key. What was said of an item by its
old name is then about the item as it is called now.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

from smokejournal.cook.log.entries import Entry, ItemAdded, PrepStep, item_key, step_key


def lasting_key(entry: Entry) -> str | None:
    """What names an item or a prep step through every edit; None for another kind of entry."""
    match entry.what:
        case ItemAdded():
            return f"item:{item_key(entry.id, entry.what)}"
        case PrepStep():
            return f"step:{step_key(entry.id, entry.what)}"
        case _:
            return None


def in_order(entries: Sequence[Entry], held: Iterable[Entry]) -> list[Entry]:
    """Items and steps of `held` in the order in which each was first written; `entries` are all."""
    first: dict[str, int] = {}
    for place, entry in enumerate(entries):
        key = lasting_key(entry)
        if key is not None:
            first.setdefault(key, place)
    mine = [e for e in held if lasting_key(e) is not None]
    return sorted(mine, key=lambda e: first.get(lasting_key(e) or "", len(entries)))


def with_names_now(entries: Sequence[Entry], held: Sequence[Entry]) -> tuple[Entry, ...]:
    """`held`, where what was said of an item by an earlier name is about its name now.

    `entries` are all, struck ones included. A name that another item has now is that item's.
    """
    now = {item_key(e.id, e.what): e.what.name for e in held if isinstance(e.what, ItemAdded)}
    taken = set(now.values())
    renamed: dict[str, str] = {}
    for entry in entries:
        what = entry.what
        if isinstance(what, ItemAdded) and what.name not in taken:
            current = now.get(item_key(entry.id, what))
            if current is not None:
                renamed[what.name] = current
    if not renamed:
        return tuple(held)
    return tuple(_renamed(entry, renamed) for entry in held)


def _renamed(entry: Entry, renamed: dict[str, str]) -> Entry:
    what: Any = entry.what
    name = getattr(what, "item", None)
    if not isinstance(name, str) or name not in renamed:
        return entry
    return replace(entry, what=replace(what, item=renamed[name]))
