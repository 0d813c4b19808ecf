"""Makes v2.sqlite, a small journal of the second schema. It was run once, and the file stays as it is:

    python -m tests.data.journals.make_v2

Once the schema has moved on this would make another file: then it is only here to be read.
"""

import shutil
import tempfile
import time
from pathlib import Path

from smokejournal.cook.log import entries as kinds
from smokejournal.cook.log.brine_request import BrineAsked
from smokejournal.cook.probes.probe import Calibration, CalibrationPoint, Probe
from smokejournal.cook.stores.lots import Lot
from smokejournal.journal import Journal

AT_S = 1_764_590_400.0  # 1 December 2025, noon in UTC


def fill(journal: Journal) -> None:
    """A cook that lived its prep and looked ahead, two lots, and a probe with a calibration."""
    opened = kinds.CookOpened("Belly for Sunday", "Europe/Vienna", hopper_kg=8.0)
    cook = journal.new_cook(opened, AT_S, AT_S).result()
    brine = BrineAsked("2 L water, 1 cup salt", "flake", "belly", 1.8, 0.04, soak_s=43_200.0)
    said: tuple[tuple[float, kinds.Payload], ...] = (
        (10.0, kinds.ItemAdded("belly", "red_meat", mass_kg=1.8, channel="p1", target_c=92.0)),
        (20.0, kinds.PrepStep("Brine", "cold", 43_200.0, brine, "b1", "brine", "belly", 57_600.0)),
        (30.0, kinds.StepBegun("b1")),
        (40.0, kinds.StepExtended("b1", 3600.0)),
        (50.0, kinds.StepEnded("b1")),
        (60.0, kinds.TimesKept({"b1": AT_S + 30}, AT_S + 90_000, 0.2)),
        (70.0, kinds.FuelAdded("Beech, autumn", 5.0, 0.05, "mass", 0.6, "EUR")),
        (80.0, kinds.FuelLevel(5.0, 0.1)),
        (90.0, kinds.SafetySet("red_meat", "meat_7", probes=("p1",))),
        (100.0, kinds.ScheduleStarted()),
        (14_500.0, kinds.FuelLevel(1.4, 0.2)),
        (14_600.0, kinds.CookClosed()),
    )
    for at_s, payload in said:
        journal.append(cook, payload, AT_S + at_s, AT_S + at_s).result()
    journal.save_lot(Lot(0, "Beech, autumn", 15.0, 9.0, "EUR", 2.0, "beech", "even")).result()
    journal.save_lot(Lot(0, "Plum, a gift", wood="plum", retired=True)).result()
    probe = journal.save_probe(Probe(0, "Left", "K2", "bent")).result()
    journal.add_calibration(
        Calibration(0, probe.id, AT_S, (CalibrationPoint("ice", 0.4, 0.0, 0.05, 0.1),), "offset")
    ).result()


def main() -> None:
    """Write the file beside this script."""
    with tempfile.TemporaryDirectory() as folder, Journal.open(Path(folder)) as journal:
        fill(journal)
        shutil.copyfile(journal.back_up(time.time()), Path(__file__).with_name("v2.sqlite"))


if __name__ == "__main__":
    main()
