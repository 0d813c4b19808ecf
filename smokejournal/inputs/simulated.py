"""The simulated pit as a source of readings. All of its channels are marked as simulated, for ever."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass, field, fields, replace
from typing import Any, get_args

from smokejournal.cook.log.readings import Channel, ChannelRole
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.translate import translate
from smokejournal.inputs.config_fields import Fields
from smokejournal.inputs.pit import Hands, Outside, Piece, Sees, SimulatedPit, SimulatedProbe
from smokejournal.inputs.source import Now, ReceivedLine, Value
from smokejournal.inputs.worker import BATCH_S, Worker
from smokejournal.science.heat.conduction_series import Shape

_POLL_S = 0.1

#: A replayed past longer than this [s] is not simulated again step by step at a start.
LONGEST_S = 3 * 86400.0


@dataclass(frozen=True, slots=True)
class SimulatedConfig:
    """What is simulated. The same dice, start and deeds of the cook give the same readings."""

    pieces: tuple[Piece, ...]
    probes: tuple[SimulatedProbe, ...]
    outside: Outside = field(default_factory=Outside)
    dice: int = 1
    interval_s: float = 5.0
    start_s: float | None = None

    def to_json(self) -> dict[str, Any]:
        """Its written form."""
        return {
            "kind": "simulated",
            "version": 1,
            "dice": self.dice,
            "interval_s": self.interval_s,
            "start_s": self.start_s,
            "outside": _plain(self.outside),
            "pieces": [_plain(piece) for piece in self.pieces],
            "probes": [_plain(probe) for probe in self.probes],
        }

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


def _plain(thing: Piece | SimulatedProbe | Outside) -> dict[str, Any]:
    return {f.name: getattr(thing, f.name) for f in fields(thing)}


def simulated_from_json(data: object, where: str = "input") -> SimulatedConfig:
    """The configuration that `data` is the written form of."""
    known = ("kind", "version", "dice", "interval_s", "start_s", "outside", "pieces", "probes")
    given = Fields(data, where, known)
    given.version(1)
    pieces = tuple(
        _piece(Fields(item, f"{where}.pieces[{n}]", [f.name for f in fields(Piece)]))
        for n, item in enumerate(given.items("pieces", 12))
    )
    probes = tuple(
        _probe(
            Fields(item, f"{where}.probes[{n}]", [f.name for f in fields(SimulatedProbe)]), pieces
        )
        for n, item in enumerate(given.items("probes", 16))
    )
    if not probes:
        raise SchemaProblem(f"{where}.probes", translate("Inputs", "Give at least one probe."))
    if len({probe.channel for probe in probes}) < len(probes):
        raise SchemaProblem(
            f"{where}.probes", translate("Inputs", "Two probes can't feed the same channel.")
        )
    around = Fields(
        given.data.get("outside", {}), f"{where}.outside", [f.name for f in fields(Outside)]
    )
    return SimulatedConfig(
        pieces=pieces,
        probes=probes,
        outside=Outside(
            around.number("air_c", -40, 50, 15.0),
            around.number("wind_m_s", 0, 40, 1.5),
            around.number("humidity_pct", 0, 100, 65.0),
        ),
        dice=given.whole("dice", 0, 2**53, 1) or 0,
        interval_s=given.number("interval_s", 0.5, 600, 5.0),
        start_s=given.number_or_none("start_s", 0.0, 1e11),
    )


def _piece(given: Fields) -> Piece:
    return Piece(
        name=given.text("name", 1, 200),
        shape=given.choice("shape", get_args(Shape)),  # type: ignore[arg-type]
        radius_m=given.number("radius_m", 0.002, 0.3),
        mass_kg=given.number("mass_kg", 0.005, 200),
        start_c=given.number("start_c", -5, 40, 5.0),
        pieces=given.whole("pieces", 1, 200, 1) or 1,
        film_kg_m2=given.number("film_kg_m2", 0, 1, 0.05),
        diffusivity_m2_s=given.number("diffusivity_m2_s", 0, 1e-8, 1e-10),
        juice_share=given.number("juice_share", 0, 0.5, 0.05),
        skin=given.number("skin", 0, 1, 0.8),
    )


def _probe(given: Fields, pieces: tuple[Piece, ...]) -> SimulatedProbe:
    probe = SimulatedProbe(
        channel=given.text("channel", 1, 200),
        sees=given.choice("sees", get_args(Sees), "meat"),  # type: ignore[arg-type]
        piece=given.whole("piece", 0, 11, 0) or 0,
        place=given.number("place", 0, 1, 0.0),
        offset_c=given.number("offset_c", -30, 30, 0.0),
        noise_c=given.number("noise_c", 0, 20, 0.08),
        quantum_c=given.number("quantum_c", 0, 5, 0.1),
        lag_s=given.number("lag_s", 0, 600, 15.0),
    )
    if probe.sees == "meat" and probe.piece >= len(pieces):
        raise SchemaProblem(
            f"{given.where}.piece", translate("Inputs", "There is no such piece of meat.")
        )
    return probe


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
        self.say("waiting", translate("Inputs", "The simulated pit catches up with the clock."))
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


def started_at(config: SimulatedConfig, start_s: float) -> SimulatedConfig:
    """The same, beginning at `start_s`."""
    return replace(config, start_s=start_s)
