"""The configuration of an input, whichever kind it is."""

from __future__ import annotations

from typing import TypeAlias

from smokejournal.cook.log.readings import Channel, ChannelRole
from smokejournal.cook.text.strict import read
from smokejournal.inputs.cell import Column
from smokejournal.inputs.replay_config import ReplayConfig
from smokejournal.inputs.serial_line import SerialConfig
from smokejournal.inputs.simulated import SimulatedConfig

Config: TypeAlias = SerialConfig | ReplayConfig | SimulatedConfig


def config_from_json(data: object, where: str = "input") -> Config:
    """The configuration that `data` is the written form of; SchemaProblem says what is wrong."""
    # The type checker knows no class that stands for several.
    return read(Config, data, where)  # type: ignore[arg-type]


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
