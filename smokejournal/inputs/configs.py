"""The configuration of an input, whichever kind it is."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypeAlias

from smokejournal.cook.log.readings import Channel, ChannelRole
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.translate import translate
from smokejournal.inputs.cell import Column
from smokejournal.inputs.replay_config import ReplayConfig, replay_from_json
from smokejournal.inputs.serial_line import SerialConfig, serial_from_json
from smokejournal.inputs.simulated import SimulatedConfig, simulated_from_json

Config: TypeAlias = SerialConfig | ReplayConfig | SimulatedConfig

KINDS = ("serial", "replay", "simulated")


def config_from_json(data: object, where: str = "input") -> Config:
    """The configuration that `data` is the written form of; SchemaProblem says what is wrong."""
    kind = data.get("kind") if isinstance(data, Mapping) else None
    if kind == "serial":
        return serial_from_json(data, where)
    if kind == "replay":
        return replay_from_json(data, where)
    if kind == "simulated":
        return simulated_from_json(data, where)
    raise SchemaProblem(
        f"{where}.kind",
        translate("Inputs", "This must be one of: {kinds}.").format(kinds=", ".join(KINDS)),
    )


def channels_of(config: Config) -> tuple[Channel, ...]:
    """The channels that it feeds, as far as it can describe them."""
    if isinstance(config, SimulatedConfig):
        return config.channels()
    columns = config.format.columns if isinstance(config, SerialConfig) else config.columns
    return tuple(
        Channel(column.channel, column.label or column.channel, role_of(column))
        for column in columns
        if column.channel
    )


def role_of(column: Column) -> ChannelRole:
    """What a column most likely measures, by its name. To be shown and put right."""
    name = f"{column.channel} {column.label} {column.source}".lower()
    if any(word in name for word in ("pit", "grate", "chamber")):
        return "pit"
    if any(word in name for word in ("air", "ambient", "outside")):
        return "air"
    return "meat"
