"""Weather by network under a cook: asked seldom, logged hourly, and never in the way. Nothing here
reaches a network: what fetches is a stand-in."""

from __future__ import annotations

import socket
import threading
from collections.abc import Iterator
from datetime import UTC, datetime
from itertools import pairwise

import pytest

from smokejournal.cook.log.entries import (
    CookClosed,
    Note,
    ScheduleStarted,
    Strike,
    WeatherObserved,
)
from smokejournal.cook.log.entry_words import entry_words
from smokejournal.cook.weather.by_network import NetworkWeather, NoReport, WeatherByNetwork
from smokejournal.services.archive.own_settings import is_of_this_machine
from smokejournal.services.program import settings
from smokejournal.services.program.live import LiveCook
from smokejournal.services.program.program import Program
from smokejournal.services.program.weather_keeper import EVERY_S, LATEST_S, LOOK_S, WeatherKeeper
from tests.support.fakes import FixedClock

NOW_S = datetime(2026, 11, 25, 14, 10, tzinfo=UTC).timestamp()
WANTED = WeatherByNetwork(True, "ZZZZ", "https://a.example/{station}.TXT")


def report(at_s: float, air: int = 3) -> str:
    """A made-up report of this moment."""
    day = datetime.fromtimestamp(at_s, UTC).strftime("%d%H%M")
    return f"ZZZZ {day}Z 24008KT 9999 OVC020 {air:02d}/M01 Q1013"


class World:
    """Airfield and service: reports at 56 minutes past each hour. `answer` overrides."""

    def __init__(self, clock: FixedClock) -> None:
        self.clock = clock
        self.passed_s = 1000.0
        self.answer: str | None = None
        self.trouble = ""
        self.asked: list[tuple[str, float]] = []
        self.threads: set[int] = set()

    def fetch(self, address: str) -> str:
        self.asked.append((address, self.clock.now_s()))
        self.threads.add(threading.get_ident())
        if self.trouble:
            raise NoReport(self.trouble)
        if self.answer is not None:
            return self.answer
        hour_s = self.clock.now_s() // 3600 * 3600
        newest_s = hour_s + 3360 if self.clock.now_s() >= hour_s + 3360 else hour_s - 240
        return report(newest_s)


@pytest.fixture(autouse=True)
def no_network(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise AssertionError("a test reached for the network")

    monkeypatch.setattr(socket.socket, "connect", refuse)


@pytest.fixture
def clock() -> FixedClock:
    return FixedClock(NOW_S)


@pytest.fixture
def world(clock: FixedClock) -> World:
    return World(clock)


@pytest.fixture
def keeper(program: Program, world: World) -> Iterator[WeatherKeeper]:
    keeper = WeatherKeeper(program, world.fetch, lambda: world.passed_s)
    yield keeper
    keeper.close()


def started(program: Program, *, simulated: bool = False) -> LiveCook:
    live = program.live(program.new_cook("Ribs", "Europe/Berlin", simulated=simulated))
    live.record(ScheduleStarted()).result(10)
    return live


def go_on(
    keeper: WeatherKeeper, world: World, for_s: float = LOOK_S, step_s: float = LOOK_S
) -> None:
    """Let time pass, and look as each second does."""
    keeper.look()
    keeper.settle()
    for _ in range(int(for_s // step_s)):
        world.passed_s += step_s
        world.clock.forward(step_s)
        keeper.look()
        keeper.settle()


def logged(live: LiveCook) -> list[tuple[float, WeatherObserved]]:
    live._journal.flush()
    found = [(e.at_s, e.what) for e in live.log().entries]
    return [(at, what) for at, what in found if isinstance(what, WeatherObserved)]


def test_while_it_is_off_nobody_is_asked(
    program: Program, keeper: WeatherKeeper, world: World
) -> None:
    live = started(program)
    go_on(keeper, world, 3 * 3600.0, 60.0)
    keeper.want(WeatherByNetwork(on=False, station="ZZZZ"))
    go_on(keeper, world, 3 * 3600.0, 60.0)
    keeper.want(WeatherByNetwork(on=True, station=""))
    go_on(keeper, world, 3 * 3600.0, 60.0)
    assert world.asked == []
    assert logged(live) == []
    assert keeper.seen() == NetworkWeather()


def test_off_is_how_every_journal_begins(program: Program) -> None:
    assert not settings.load(program.journal).settings.weather.on


def test_without_a_cook_under_way_nobody_is_asked(
    program: Program, keeper: WeatherKeeper, world: World
) -> None:
    keeper.want(WANTED)
    program.new_cook("Later", "UTC")
    closed = started(program)
    closed.record(CookClosed()).result(10)
    go_on(keeper, world, 3600.0, 60.0)
    assert world.asked == []


def test_a_simulated_cook_gets_no_real_weather(
    program: Program, keeper: WeatherKeeper, world: World
) -> None:
    keeper.want(WANTED)
    live = started(program, simulated=True)
    go_on(keeper, world, 3600.0, 60.0)
    assert world.asked == []
    assert logged(live) == []


def test_the_newest_report_is_logged_hourly_with_its_source(
    program: Program, keeper: WeatherKeeper, world: World
) -> None:
    keeper.want(WANTED)
    live = started(program)
    go_on(keeper, world, 3 * 3600.0, 60.0)
    found = logged(live)
    assert [at for at, _ in found] == [NOW_S - 840 + n * 3600 for n in range(4)]
    for _, what in found:
        assert (what.air_c, what.fetched_from) == (3.0, "a.example")
        assert what.report.startswith("ZZZZ ")
        assert entry_words(what).startswith("Weather, fetched from a.example: 3 °C")
    assert {address for address, _ in world.asked} == {"https://a.example/ZZZZ.TXT"}
    assert threading.get_ident() not in world.threads


def test_a_service_is_asked_every_twenty_minutes_at_most(
    program: Program, keeper: WeatherKeeper, world: World
) -> None:
    keeper.want(WANTED)
    started(program)
    go_on(keeper, world, 4 * 3600.0, LOOK_S)
    moments = [at for _, at in world.asked]
    assert len(moments) == 13
    assert min(b - a for a, b in pairwise(moments)) >= EVERY_S
    # Switching it off and on is no way around that.
    keeper.want(WeatherByNetwork())
    keeper.want(WANTED)
    go_on(keeper, world, 60.0)
    assert len(world.asked) == 13


def test_after_errors_it_is_asked_ever_more_seldom_and_says_since_when(
    program: Program, keeper: WeatherKeeper, world: World
) -> None:
    keeper.want(WANTED)
    live = started(program)
    world.trouble = "no connection"
    go_on(keeper, world, 9 * 3600.0, 60.0)
    moments = [at for _, at in world.asked]
    waits = [b - a for a, b in pairwise(moments)]
    assert waits[:4] == [EVERY_S, 2 * EVERY_S, 4 * EVERY_S, LATEST_S]
    assert max(waits) == LATEST_S
    seen = keeper.seen()
    assert (seen.failing_since_s, seen.why) == (NOW_S, "no connection")
    assert logged(live) == []
    world.trouble = ""
    go_on(keeper, world, LATEST_S, 60.0)
    assert keeper.seen().failing_since_s is None
    assert len(logged(live)) >= 1


def test_what_came_before_stays_with_its_age_while_nothing_comes(
    program: Program, keeper: WeatherKeeper, world: World
) -> None:
    keeper.want(WANTED)
    started(program)
    go_on(keeper, world)
    world.answer = "<html>moved</html>"
    go_on(keeper, world, EVERY_S, 60.0)
    seen = keeper.seen()
    assert seen.report is not None
    assert seen.report.at_s == NOW_S - 840
    assert "web page" in seen.why


@pytest.mark.parametrize(
    "answer",
    [
        "",
        "garbage \x00\x07",
        "<html><b>ZZZZ</b></html>",
        "ZZZZ 251356Z NIL",
        "[]" * 1000,
        report(0)[:4],
    ],
)
def test_what_is_no_report_is_never_logged(
    program: Program, keeper: WeatherKeeper, world: World, answer: str
) -> None:
    keeper.want(WANTED)
    live = started(program)
    world.answer = answer
    go_on(keeper, world)
    assert len(world.asked) == 1
    assert keeper.seen().why
    assert logged(live) == []


def test_an_old_report_is_not_logged(program: Program, keeper: WeatherKeeper, world: World) -> None:
    keeper.want(WANTED)
    live = started(program)
    world.answer = report(NOW_S - 4 * 3600.0)
    go_on(keeper, world)
    assert keeper.seen().report is not None
    assert logged(live) == []


def test_the_same_report_is_logged_once_over_a_restart_and_a_strike(
    program: Program, keeper: WeatherKeeper, world: World
) -> None:
    keeper.want(WANTED)
    live = started(program)
    go_on(keeper, world)
    (entry,) = [e for e in live.log().entries if isinstance(e.what, WeatherObserved)]
    live.strike(entry.id).result(10)
    again = WeatherKeeper(program, world.fetch, lambda: world.passed_s)
    again.want(WANTED)
    go_on(again, world, 600.0)
    again.close()
    assert len(logged(live)) == 1


def test_one_that_the_person_pasted_is_not_logged_again(
    program: Program, keeper: WeatherKeeper, world: World
) -> None:
    keeper.want(WANTED)
    live = started(program)
    text = report(NOW_S - 840)
    live.record(WeatherObserved(air_c=3.0, report=text), NOW_S - 840).result(10)
    go_on(keeper, world)
    assert len(logged(live)) == 1


def test_undo_passes_over_it(program: Program, keeper: WeatherKeeper, world: World) -> None:
    keeper.want(WANTED)
    live = started(program)
    note = live.record(Note("Smells good")).result(10)
    go_on(keeper, world)
    assert len(logged(live)) == 1
    last = live.can_undo()
    assert last is not None
    assert last.id == note.id
    undone = live.undo()
    assert undone is not None
    strike = undone.result(10)
    assert strike.what == Strike(note.id, "undo")
    world.clock.forward(4000.0)
    world.passed_s += 4000.0
    go_on(keeper, world)
    # Nor does a report that comes meanwhile take redo away.
    assert len(logged(live)) == 2
    assert live.can_redo() is not None


def test_a_service_that_hangs_holds_up_nothing(program: Program, world: World) -> None:
    go, hangs = threading.Event(), threading.Event()

    def fetch(_: str) -> str:
        hangs.set()
        go.wait(10.0)
        return report(NOW_S - 840)

    keeper = WeatherKeeper(program, fetch, lambda: world.passed_s)
    keeper.want(WANTED)
    live = started(program)
    keeper.look()
    assert hangs.wait(10.0)
    for _ in range(5):
        world.passed_s += LOOK_S
        keeper.look()
    live.record(Note("goes on")).result(10)
    # Switched off meanwhile, what comes too late is dropped.
    keeper.want(WeatherByNetwork())
    go.set()
    keeper.settle()
    assert logged(live) == []
    assert keeper.seen() == NetworkWeather()
    keeper.close()


def test_another_station_is_asked_at_once(
    program: Program, keeper: WeatherKeeper, world: World
) -> None:
    keeper.want(WANTED)
    started(program)
    go_on(keeper, world)
    keeper.want(WeatherByNetwork(True, "YYYY", WANTED.address))
    go_on(keeper, world)
    assert [address for address, _ in world.asked] == [
        "https://a.example/ZZZZ.TXT",
        "https://a.example/YYYY.TXT",
    ]
    # Its answer is of another airfield, and is not taken for this one's.
    assert keeper.seen().why == "no report of YYYY came"


def test_trying_it_says_what_came_or_why_nothing_did(keeper: WeatherKeeper, world: World) -> None:
    assert keeper.report(WANTED).seen.air_c == 3.0
    world.trouble = "no answer in time"
    with pytest.raises(NoReport, match="no answer in time"):
        keeper.report(WANTED)


def test_closed_it_asks_no_more(program: Program, keeper: WeatherKeeper, world: World) -> None:
    keeper.want(WANTED)
    started(program)
    keeper.close()
    go_on(keeper, world, 3600.0, 60.0)
    assert world.asked == []


def test_nobodys_archive_switches_it_on() -> None:
    assert all(
        is_of_this_machine(key) for key in ("weather.on", "weather.station", "weather.address")
    )
