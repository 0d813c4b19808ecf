"""Twenty-four hours of a cook in the real window at a clock that runs ahead: memory, and stalls."""

from __future__ import annotations

import math
import resource
import sys
import time
from array import array
from dataclasses import dataclass, field
from pathlib import Path

from PySide6.QtCore import QCoreApplication, QEvent, QThreadPool
from PySide6.QtWidgets import QApplication

from smokejournal.cook.log.entries import ChannelSet, LeadSet, ScheduleSet, ScheduleStarted
from smokejournal.cook.log.readings import Channel, Reading
from smokejournal.cook.log.schedule import Schedule, Stage, UntilTemperature
from smokejournal.desk.base.painting_turns import PaintingTurns
from smokejournal.desk.base.theme import apply_ground
from smokejournal.desk.shell.window import Window
from smokejournal.host.free_memory import give_back, keep_one_heap
from smokejournal.journal import Journal
from smokejournal.services.program.program import Program
from tests.support.contexts import desk_context
from tests.support.fakes import FixedClock

HOUR_S = 3600
CHANNELS = 8


@dataclass
class Day:
    """Resident memory [MB] after each hour, and every gap [ms] between two turns of the event loop."""

    memory_mb: list[float] = field(default_factory=list)
    stalls_ms: array[float] = field(default_factory=lambda: array("d"))


def resident_mb() -> float:
    """Memory that the process holds now [MB]."""
    status = Path("/proc/self/status")
    if status.exists():
        for line in status.read_text().splitlines():
            if line.startswith("VmRSS:"):
                return int(line.split()[1]) / 1024
    scale = 2**20 if sys.platform == "darwin" else 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / scale


def run_a_day(folder: Path, hours: int) -> Day:
    """A cook with eight channels at 1 Hz on Tend, a tick of the program for each ten seconds."""
    keep_one_heap()  # as the program has it
    app = QApplication.instance() or QApplication(["trust"])
    assert isinstance(app, QApplication)
    clock, day = FixedClock(), Day()
    with Journal.open(folder) as journal:
        program = Program(journal, clock)
        with desk_context(program) as context:
            apply_ground(app, "night")
            context.set_ground("night")
            window = Window(context)
            turns = PaintingTurns(window)  # as the program has it
            turns.start()
            window.resize(1280, 800)
            cook = program.new_cook("Shoulder", "UTC")
            live = program.live(cook)
            keys = ["pit", *(f"meat{n}" for n in range(1, CHANNELS))]
            live.record_many(
                [
                    *(
                        (
                            clock.now_s(),
                            ChannelSet(Channel(key, key, role="pit" if key == "pit" else "meat")),
                        )
                        for key in keys
                    ),
                    (clock.now_s(), LeadSet("meat1", "meat2")),
                    (
                        clock.now_s(),
                        ScheduleSet(
                            Schedule(
                                "",
                                (
                                    Stage(
                                        "s", "Smoke", (UntilTemperature(95.0),), pit_target_c=110.0
                                    ),
                                ),
                            )
                        ),
                    ),
                    (clock.now_s(), ScheduleStarted()),
                ]
            ).result(30)
            context.choose(cook)
            window.show_page("tend")
            window.show()
            app.processEvents()  # the first painting, which is part of the start
            began_s = clock.now_s()
            for hour in range(hours):
                for _ in range(HOUR_S // 10):
                    batch = []
                    for _ in range(10):
                        clock.forward(1.0)
                        now_s = clock.now_s()
                        share = (now_s - began_s) / (24 * HOUR_S)
                        batch += [
                            Reading(now_s, key, 110.0 + math.sin(now_s / 90))
                            if key == "pit"
                            else Reading(
                                now_s, key, 5.0 + 85.0 * (1 - math.exp(-3 * share)) + n / 10
                            )
                            for n, key in enumerate(keys)
                        ]
                    live.record_readings(batch).result(30)
                    context.ticked.emit(clock.now_s())
                    for _ in range(3):
                        before_s = time.perf_counter()
                        app.processEvents()
                        # Which the event loop does by itself, and this call of it doesn't.
                        QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)
                        day.stalls_ms.append(1000 * (time.perf_counter() - before_s))
                # What a forecast holds while it is computed is no growth; at this pace one nearly always is.
                QThreadPool.globalInstance().waitForDone()
                app.processEvents()
                give_back()
                day.memory_mb.append(resident_mb())
                print(f"hour {hour + 1}: {day.memory_mb[-1]:.0f} MB", file=sys.stderr, flush=True)
            turns.stop()
            window.close_unasked()
            window.deleteLater()
            QThreadPool.globalInstance().waitForDone()  # A forecast answers to the context.
        program.close()
    return day
