"""A channel's correction in words."""

from __future__ import annotations

from smokejournal.cook.log.readings import PLAUSIBLE_C, Channel
from smokejournal.cook.progress.standing import ChannelState
from smokejournal.cook.text.quantities import Units, temperature, temperature_step
from smokejournal.cook.text.translate import translate

#: Where a correction with a slope is told. Between them it lies between what it is at both.
LOW_C, HIGH_C = 0.0, 100.0


def correction_words(channel: Channel, units: Units) -> str:
    """ "+0.4 °C", or with a slope "+0.4 °C at 0 °C, −0.6 °C at 100 °C". Empty without one."""
    if not channel.is_corrected:
        return ""
    if channel.slope == 1.0:
        return temperature_step(channel.offset_c, units, signed=True)
    text = translate("Correction", "{low_step} at {low}, {high_step} at {high}")
    return text.format(
        low_step=temperature_step(channel.correction_c(LOW_C), units, signed=True),
        low=temperature(LOW_C, units),
        high_step=temperature_step(channel.correction_c(HIGH_C), units, signed=True),
        high=temperature(HIGH_C, units),
    )


def absurd_words(state: ChannelState, units: Units) -> str:
    """What the last reading says that can't be: "240 °C", or what the correction made of it."""
    if state.raw_c is None:
        return ""
    raw = temperature(state.raw_c, units)
    low, high = PLAUSIBLE_C[state.channel.role]
    if state.value_c is None or not low <= state.raw_c <= high or low <= state.value_c <= high:
        return raw
    text = translate("Correction", "{raw}, corrected to {value}")
    return text.format(raw=raw, value=temperature(state.value_c, units))
