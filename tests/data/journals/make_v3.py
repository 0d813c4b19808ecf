"""Makes v3.sqlite, a small journal of the third schema. It was run once, and the file stays as it is:

    python -m tests.data.journals.make_v3

Once the schema has moved on this would make another file: then it is only here to be read.
"""

import shutil
import tempfile
import time
from pathlib import Path

from smokejournal.cook.log import entries as kinds
from smokejournal.cook.log.readings import Channel, Reading
from smokejournal.cook.stores.wares import Ware
from smokejournal.journal import Journal

AT_S = 1_767_268_800.0  # 1 January 2026, noon in UTC


def fill(journal: Journal) -> None:
    """A cook under way with readings of two probes, the last minute half full, and a salt."""
    opened = kinds.CookOpened("Eel for the new year – très fin", "Europe/Vienna")
    cook = journal.new_cook(opened, AT_S, AT_S).result()
    said: tuple[tuple[float, kinds.Payload], ...] = (
        (10.0, kinds.ItemAdded("eel", "fish", mass_kg=0.9, channel="p1", target_c=70.0)),
        (20.0, kinds.ChannelSet(Channel("pit", "Pit", "pit"))),
        (30.0, kinds.ChannelSet(Channel("p1", "Left"))),
        (40.0, kinds.ScheduleStarted()),
        (400.0, kinds.Note("the wind turned")),
        (500.0, kinds.ReadingsStruck("p1", AT_S + 100, AT_S + 160, "hand on it")),
    )
    for at_s, payload in said:
        journal.append(cook, payload, AT_S + at_s, AT_S + at_s).result()
    for n in range(93):
        readings = [
            Reading(AT_S + 60 + 10 * n, "pit", 80.0 + n % 9),
            Reading(AT_S + 60 + 10 * n, "p1", n / 7),
        ]
        journal.append_readings(cook, readings).result()
    journal.stores.save_ware(Ware(0, "salt", "Sea salt", bought_kg=2.0, grain="flake")).result()


def main() -> None:
    """Write the file beside this script."""
    with tempfile.TemporaryDirectory() as folder, Journal.open(Path(folder)) as journal:
        fill(journal)
        shutil.copyfile(journal.back_up(time.time()), Path(__file__).with_name("v3.sqlite"))


if __name__ == "__main__":
    main()
