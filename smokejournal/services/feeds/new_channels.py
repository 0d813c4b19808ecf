"""Channels for the columns of an input that feed none yet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import get_args

from smokejournal.cook.log.readings import HAND_GAP_S, Channel, ChannelRole
from smokejournal.cook.text.translate import translate
from smokejournal.inputs.cell import Column

#: How a column says that it wants a channel of its own: "new:meat", "new:pit", "new:air".
NEW = "new:"


def usual_name(role: ChannelRole, number: int = 1) -> str:
    """What a probe of this role is called until the cook says otherwise."""
    name = {
        "meat": translate("Channels", "Meat"),
        "pit": translate("Channels", "Pit"),
        "air": translate("Channels", "Outside air"),
        "other": translate("Channels", "Probe"),
    }[role]
    return name if number == 1 else f"{name} {number}"


def new_channel(
    role: ChannelRole, taken: Sequence[Channel], *, name: str = "", by_hand: bool = False
) -> Channel:
    """A channel with a key that none of `taken` has, and a name that none has either."""
    keys = {channel.key for channel in taken}
    names = {channel.name for channel in taken}
    number = 1
    while f"{role}{number}" in keys:
        number += 1
    if not name:
        count = 1
        while usual_name(role, count) in names:
            count += 1
        name = usual_name(role, count)
    channel = Channel(f"{role}{number}", name, role, by_hand=by_hand)
    return replace(channel, gap_s=HAND_GAP_S) if by_hand else channel


def with_new_channels(
    columns: Sequence[Column], taken: Sequence[Channel]
) -> tuple[tuple[Column, ...], tuple[Channel, ...]]:
    """The columns with keys in the place of every "new:…", and the channels made for them."""
    made: list[Channel] = []
    ready: list[Column] = []
    roles: dict[str, ChannelRole] = {f"{NEW}{role}": role for role in get_args(ChannelRole)}
    for column in columns:
        role = roles.get(column.channel)
        if role is not None:
            channel = new_channel(role, [*taken, *made])
            made.append(channel)
            column = replace(column, channel=channel.key)
        ready.append(column)
    return tuple(ready), tuple(made)
