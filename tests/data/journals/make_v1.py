"""Makes v1.sqlite, a small journal of the first schema. It was run once, and the file stays as it is:

    python -m tests.data.journals.make_v1

Once the schema has moved on this would make another file: then it is only here to be read.
"""

import math
import shutil
import tempfile
import time
from pathlib import Path

from smokejournal.cook.log import entries as kinds
from smokejournal.cook.log.entries import Payload
from smokejournal.cook.log.readings import Channel, Reading
from smokejournal.cook.log.schedule import (
    ForTime,
    Schedule,
    Stage,
    UntilClock,
    UntilSaid,
    UntilTemperature,
)
from smokejournal.cook.stores.lots import Lot
from smokejournal.journal import Journal

AT_S = 1_761_998_400.0  # 1 November 2025, noon in UTC
SCHEDULE = Schedule(
    "Trout, warm",
    (
        Stage("s1", "Dry", (ForTime(1800.0),), pit_target_c=50.0, instruction="Leave the lid ajar"),
        Stage(
            "s2",
            "Smoke",
            (UntilTemperature(63.0, prove_s=120.0), UntilClock(AT_S + 4 * 3600)),
            pit_target_c=85.0,
            guard_s=4 * 3600.0,
        ),
        Stage(
            "s3",
            "Hold",
            (
                ForTime(900.0, at_least_c=62.0, dip_c=0.5, dip_mode="start_over", dip_s=60.0),
                UntilSaid(),
            ),
            combine="all",
            alert="insistent",
            ending="waits",
        ),
    ),
)


def cook_entries(note: int) -> list[tuple[float, Payload]]:
    """One of every kind but the first; `note` is the number of an entry to strike."""
    return [
        (60.0, kinds.CookRenamed("Trout over alder", ready_at_s=AT_S + 14_400)),
        (
            61.0,
            kinds.ItemAdded("trout", "fish", "two sides", 1.35, 0.021, 2, "market", 31.5, "EUR"),
        ),
        (62.0, kinds.PrepStep("brine", "80 g of salt a litre", 5400.0)),
        (63.0, kinds.ChannelSet(Channel("p1", "Left", "meat", "no. 1", "thick end", offset_c=0.4))),
        (64.0, kinds.ChannelSet(Channel("pit", "Grate", "pit", gap_s=90.0, simulated=True))),
        (65.0, kinds.LeadSet("p1", "pit")),
        (66.0, kinds.ScheduleSet(SCHEDULE)),
        (67.0, kinds.FuelAdded("Alder, first bag", 4.0, 0.05, "bags", 1.9, "EUR")),
        (
            68.0,
            kinds.WeatherObserved("broken", 11.5, 70.0, 3.0, 6.5, 1012.0, "none", "shade", 14.0),
        ),
        (120.0, kinds.ScheduleStarted()),
        (300.0, kinds.Lid(True)),
        (330.0, kinds.Lid(False)),
        (400.0, kinds.Spritz("cider")),
        (500.0, kinds.StageExtended("s1", 600.0)),
        (1900.0, kinds.StageConfirmed("s1")),
        (2000.0, kinds.StagePutBack("s1")),
        (2100.0, kinds.StageSkipped("s1")),
        (2200.0, kinds.Wrap("leaves", "trout")),
        (2300.0, kinds.ProbeMoved("p1", "middle")),
        (2400.0, kinds.AlarmRaised("guard:s2", "Smoke takes longer than you allowed.")),
        (2410.0, kinds.AlarmAcknowledged("guard:s2", 600.0)),
        (2500.0, kinds.FuelLevel(1.1, 0.2, 12.5)),
        (2600.0, kinds.Photo("ab" * 32, ".jpg", "the left side")),
        (2700.0, kinds.ReadingsStruck("p1", AT_S + 200, AT_S + 260, "pulled out")),
        (2800.0, kinds.Strike(note, "the other side")),
        (9000.0, kinds.CookClosed()),
        (9100.0, kinds.Weighed("cooked", 1.1, "trout")),
        (9200.0, kinds.Tasted("mild, moist – très bien", {"overall": 4, "smoke": 3}, "a guest")),
        (9300.0, kinds.NextTime("ten minutes less")),
    ]


def fill(journal: Journal) -> None:
    """A finished cook with every kind of entry, a planned one, and the rest of a journal."""
    opened = kinds.CookOpened("Trout", "Europe/Berlin", True, "yard", 9.0, AT_S + 14_000)
    trout = journal.new_cook(opened, AT_S, AT_S).result()
    note = journal.append(trout, kinds.Note("left side is thicker"), AT_S + 50, AT_S + 50).result()
    for at_s, payload in cook_entries(note.id):
        journal.append(trout, payload, AT_S + at_s, AT_S + at_s + 0.25).result()
    journal.append_readings(
        trout,
        [
            Reading(AT_S + 60.0 * n, key, middle + 40 * math.tanh(n / 20) + n % 3 / 8)
            for n in range(50)
            for key, middle in (("p1", 5.0), ("pit", 45.0))
        ],
    ).result()
    ribs = kinds.CookOpened("Ribs for Sunday", "America/Chicago")
    journal.new_cook(ribs, AT_S + 86_400, AT_S + 86_400).result()
    journal.save_pattern(SCHEDULE.name, SCHEDULE).result()
    journal.set_setting("feed.1", {"columns": ["p1", None], "baud": 9600}).result()
    journal.save_lot(
        Lot(0, "Alder, first bag", 9.0, 17.1, "EUR", 2.0, "alder", "dry", True)
    ).result()


def main() -> None:
    """Write the file beside this script."""
    with tempfile.TemporaryDirectory() as folder, Journal.open(Path(folder)) as journal:
        fill(journal)
        shutil.copyfile(journal.back_up(time.time()), Path(__file__).with_name("v1.sqlite"))


if __name__ == "__main__":
    main()
