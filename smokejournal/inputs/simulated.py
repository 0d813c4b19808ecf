"""The simulated pit as a source of readings. All of its channels are marked as simulated, for ever."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Annotated, Any, ClassVar

from smokejournal.cook.log.readings import Channel, ChannelRole
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.strict import AtMost, Range, written
from smokejournal.cook.text.translate import translate
from smokejournal.inputs.pit import Hands, Outside, Piece, SimulatedPit, SimulatedProbe
from smokejournal.inputs.source import Now, ReceivedLine, Value
from smokejournal.inputs.worker import BATCH_S, Worker

_POLL_S = 0.1

#: A replayed past longer than this [s] is not simulated again step by step at a start.
LONGEST_S = 3 * 86400.0


@dataclass(frozen=True, slots=True)
class SimulatedConfig:
    """What is simulated. The same dice, start and deeds of the cook give the same readings."""

    kind: ClassVar[str] = "simulated"
    newest: ClassVar[int] = 1
    pieces: Annotated[tuple[Piece, ...], AtMost(12)]
    probes: Annotated[tuple[SimulatedProbe, ...], AtMost(16)]
    outside: Outside = field(default_factory=Outside)
    dice: Annotated[int, Range(0, 2**53)] = 1
    interval_s: Annotated[float, Range(0.5, 600, "s")] = 5.0
    start_s: Annotated[float, Range(0, 1e11, "s")] | None = None

    def check_together(self) -> None:
        """SchemaProblem where the probes can't be told apart or have nothing to be in."""
        if not self.probes:
            raise SchemaProblem("probes", translate("Inputs", "Give at least one probe."))
        if len({probe.channel for probe in self.probes}) < len(self.probes):
            raise SchemaProblem(
                "probes", translate("Inputs", "Two probes can't feed the same channel.")
            )
        for n, probe in enumerate(self.probes):
            if probe.sees == "meat" and probe.piece >= len(self.pieces):
                raise SchemaProblem(
                    f"probes[{n}].piece",
                    translate("Inputs", "There is no such piece of meat."),
                )

    def to_json(self) -> dict[str, Any]:
        """Its written form."""
        data = {"kind": self.kind, "version": self.newest, **written(self, in_full=True)}
        return data | {name: data.pop(name) for name in ("outside", "pieces", "probes")}

    def channels(self) -> tuple[Channel, ...]:
        """The channels that it feeds."""
        found = []
        for probe in self.probes:
            role: ChannelRole = probe.sees
            name = {
                "pit": translate("Inputs", "pit"),
                "air": translate("Inputs", "outside air"),
                "meat": self.pieces[probe.piece].name if probe.sees == "meat" else "",
            }[probe.sees]
            same = [p for p in self.probes if p.sees == probe.sees and p.piece == probe.piece]
            if probe.sees == "meat" and len(same) > 1:
                name = f"{name} {same.index(probe) + 1}"
            found.append(
                Channel(
                    probe.channel,
                    name,
                    role,
                    gap_s=max(60.0, 4 * self.interval_s),
                    simulated=True,
                )
            )
        return tuple(found)

    def pit(self, start_s: float) -> SimulatedPit:
        """The pit, cold, with the meat aside."""
        return SimulatedPit(
            self.pieces, self.probes, self.outside, self.dice, start_s, self.interval_s
        )


def practice(dice: int = 1) -> SimulatedConfig:
    """A pit to practise with: a pork loin with two probes in it, of which one reads 2 °C low."""
    return SimulatedConfig(
        pieces=(Piece(translate("Inputs", "pork loin"), "cylinder", 0.038, 1.6, juice_share=0.1),),
        probes=(
            SimulatedProbe("pit", "pit", noise_c=0.3, lag_s=30.0),
            SimulatedProbe("meat1", "meat", place=0.05),
            SimulatedProbe("meat2", "meat", place=0.15, offset_c=-2.0),
            SimulatedProbe("air", "air"),
        ),
        dice=dice,
    )


class SimulatedSource(Worker):
    """Runs the pit by the program's clock, in one step or a thousand, as the clock says.

    `hands` tells what the cook was doing at a moment. A source that begins with a start in the past
    goes through that past first, so that the meat is as warm as it would be, and records nothing
    of it: the gap stays a gap.
    """

    def __init__(
        self,
        config: SimulatedConfig,
        now: Now,
        hands: Callable[[float], Hands],
        batch_s: float = BATCH_S,
        poll_s: float = _POLL_S,
    ) -> None:
        super().__init__(now, batch_s)
        self.config = config
        self._hands = hands
        self._poll_s = poll_s
        self._burned = threading.Lock()
        self._burned_kg = 0.0

    @property
    def burned_kg(self) -> float:
        """Fuel that the fire has burned so far."""
        with self._burned:
            return self._burned_kg

    def work(self) -> None:
        """Follow the clock."""
        begun_s = self.now()
        start_s = self.config.start_s if self.config.start_s is not None else begun_s
        start_s = max(start_s, begun_s - LONGEST_S)
        pit = self.config.pit(start_s)
        self.say("waiting", translate("Inputs", "The simulated pit is catching up with the clock."))
        while not self.stopping and pit.at_s < begun_s - 600:
            pit.advance(min(begun_s, pit.at_s + 600), self._hands)
        if not self.stopping:
            pit.advance(begun_s, self._hands)
        self.say("open", translate("Inputs", "SIMULATED pit and meat. Nothing of it is real."))
        while not self.stopping:
            readings = pit.advance(self.now(), self._hands)
            with self._burned:
                self._burned_kg = pit.burned_kg
            by_moment: dict[float, list[Value]] = {}
            for reading in readings:
                value = Value(
                    reading.channel, reading.channel, f"{reading.value_c:g}", reading.value_c
                )
                by_moment.setdefault(reading.at_s, []).append(value)
            self.hand_over(
                [
                    ReceivedLine(
                        at_s, " ".join(f"{v.source}={v.text}" for v in values), tuple(values)
                    )
                    for at_s, values in by_moment.items()
                ]
            )
            self.pass_on()
            self.pause(self._poll_s)
