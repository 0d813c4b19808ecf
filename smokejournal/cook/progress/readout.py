"""What is shown of each channel on Tend: the figure, how old it is, where it tends, what to do.

`current` is false whenever the figure must not be taken for the temperature now.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from smokejournal.cook.log.readings import PLAUSIBLE_C, ChannelRole
from smokejournal.cook.progress.standing import ChannelState, ChannelStatus, Standing, channel_for
from smokejournal.cook.text.quantities import (
    Units,
    ago,
    temperature,
    temperature_number,
    temperature_step,
    temperature_unit,
)
from smokejournal.cook.text.translate import translate

NO_FIGURE = "–"
#: A trend smaller than this [°C/h] is called steady: it is less than what a probe's noise makes.
STEADY_C_PER_H = 0.5


@dataclass(frozen=True, slots=True)
class Readout:
    """One channel's reading, ready to show. Texts are empty where there is nothing to say."""

    key: str
    name: str
    mark: str
    figure: str
    unit: str
    status: ChannelStatus
    age: str = ""
    trend: str = ""
    correction: str = ""
    remark: str = ""
    simulated: bool = False
    role: ChannelRole = "meat"
    leads: bool = False

    @property
    def current(self) -> bool:
        """True when the figure is the temperature now, as well as the probe knows it."""
        return self.status == "good"

    @property
    def text(self) -> str:
        """The whole readout in one line, for a reader of screens."""
        what = f"{self.figure} {self.unit}" if self.figure != NO_FIGURE else ""
        said = [self.name, self.mark, what, self.age, self.trend, self.remark, self.correction]
        return ", ".join(part for part in said if part)


def readouts(standing: Standing, units: Units) -> tuple[Readout, ...]:
    """A readout per channel: the lead first, then the check probe, then the others as they came.

    What to do is told once: where several lack the same, the others only say what they lack.
    """
    ahead = [key for key in (standing.lead, standing.check) if key in standing.channels]
    keys = list(dict.fromkeys([*ahead, *standing.channels]))
    found: list[Readout] = []
    for key in keys:
        one = _readout(standing, standing.channels[str(key)], units)
        if one.remark and any(one.remark == other.remark for other in found):
            one = replace(one, remark=first_sentence(one.remark))
        found.append(one)
    return tuple(found)


def first_sentence(text: str) -> str:
    """Of several sentences the first."""
    return text.split(". ")[0].rstrip(".") + "." if text else ""


def _readout(standing: Standing, state: ChannelState, units: Units) -> Readout:
    channel = state.channel
    figure = NO_FIGURE
    if state.value_c is not None and state.status != "absurd":
        digits = 1 if channel.role == "meat" else 0
        figure = temperature_number(state.value_c, units, digits)
    age = "" if state.at_s is None else ago(max(0.0, standing.at_s - state.at_s))
    return Readout(
        key=channel.key,
        name=channel.name or channel.key,
        mark=_mark(standing, state),
        figure=figure,
        unit=temperature_unit(units),
        status=state.status,
        age=age,
        trend=_trend(state, units),
        correction=_correction(state, units),
        remark=_remark(state, units),
        simulated=channel.simulated,
        role=channel.role,
        leads=channel.key == standing.lead,
    )


def _mark(standing: Standing, state: ChannelState) -> str:
    if state.channel.key == standing.lead:
        return translate("Readout", "lead")
    if state.channel.key == standing.check:
        return translate("Readout", "check")
    pit = channel_for(standing, "pit")
    if pit is not None and pit.channel.key == state.channel.key:
        mark = translate("Readout", "pit")
        # "pit pit" says nothing more.
        return "" if state.channel.name.casefold() == mark.casefold() else mark
    return ""


def _trend(state: ChannelState, units: Units) -> str:
    if state.status != "good" or state.trend_c_per_h is None:
        return ""
    rate = state.trend_c_per_h
    if abs(rate) < STEADY_C_PER_H:
        return translate("Readout", "steady")
    step = temperature_step(abs(rate), units, 0 if abs(rate) >= 10 else 1)
    text = (
        translate("Readout", "up {step}/h") if rate > 0 else translate("Readout", "down {step}/h")
    )
    return text.format(step=step)


def _correction(state: ChannelState, units: Units) -> str:
    channel = state.channel
    if not channel.is_corrected or state.status == "none":
        return ""
    offset = channel.offset_c
    if channel.slope != 1.0 and state.raw_c is not None:
        offset = channel.correction_c(state.raw_c)
    sign = "+" if offset > 0 else "−"
    return translate("Readout", "corrected by {sign}{step}").format(
        sign=sign, step=temperature_step(abs(offset), units)
    )


def _remark(state: ChannelState, units: Units) -> str:
    if state.channel.by_hand and state.status == "none":
        return translate("Readout", "Not read yet.")
    if state.channel.by_hand and state.status == "silent":
        return translate("Readout", "Old. Read it again.")
    return {
        "good": "",
        "none": translate("Readout", "No reading yet. Look at Bench."),
        "silent": translate("Readout", "Silent. Look at plug and cable."),
        "held": translate("Readout", "Readings arrive but can't be written. See the top."),
        "absurd": translate("Readout", "Says {raw}, which can't be. Look at the plug."),
        "jumped": translate("Readout", "Jumped, as if pulled out. Put it back, then press Probe."),
    }[state.status].format(raw=absurd_words(state, units))


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
