"""Finding cooks by words and filters: among ten thousand, against among ten."""

from __future__ import annotations

import itertools
import tempfile
from contextlib import closing
from functools import partial
from pathlib import Path

from sqlalchemy import insert

from smokejournal.cook.codec.entries import encode_text
from smokejournal.cook.log.entries import (
    CookOpened,
    Entry,
    FuelAdded,
    ItemAdded,
    Lid,
    NextTime,
    Note,
    Payload,
    ScheduleStarted,
    WeatherObserved,
)
from smokejournal.journal import CookFilter, Journal
from smokejournal.journal.connections import WRITES, engine_for, uri_of
from smokejournal.journal.entry_table import FORM
from smokejournal.journal.lines import line_of, row_of, search_text
from smokejournal.journal.opening import FILE_NAME
from smokejournal.journal.sums import entry_sum
from smokejournal.journal.tables import BEHIND, COOKS, ENTRIES, LINES, TEXTS
from smokejournal.journal.text_table import make_index, text_row
from tests.bench.cooks import FROM_S
from tests.bench.measure import Result, in_turn, milliseconds

FEW, ENTRIES_EACH = 10, 60
#: What is on the first page of results in both: as many cooks as the small journal holds.
PAGE = FEW
WORDS = [
    "wind",
    "from",
    "the",
    "west",
    "turned",
    "lid",
    "ash",
    "dry",
    "bark",
    "color",
    "thin",
    "blue",
    "smoke",
    "probe",
    "moved",
    "turned",
    "rotated",
    "fat",
    "side",
    "rested",
    "juicy",
    "salty",
    "pepper",
    "vinegar",
    "apple",
    "cherry",
    "plum",
    "beech",
    "alder",
    "oak",
    "slow",
    "early",
]


def measure(quick: bool) -> list[Result]:
    many = 1_000 if quick else 10_000
    with tempfile.TemporaryDirectory() as folder:
        paths = {count: Path(folder) / f"{count}" for count in (many, FEW)}
        for count, path in paths.items():
            fill(path, count)
        with (
            closing(Journal.open(paths[many])) as large,
            closing(Journal.open(paths[FEW])) as small,
        ):
            than = f"ms, among {FEW}"
            results = []
            for what, text, narrowed in (
                ("by a word that all have", "charcoal", CookFilter()),
                ("by a beginning that all have", "ch", CookFilter()),
                ("by words that ten have", "half an hour ear", CookFilter()),
                ("by a phrase, without a word", '"thin blue" -wrapped', CookFilter()),
                ("by food and weather", "", CookFilter(food="fish", wind_m_s=3.0)),
                ("by pellets that ten have", "", CookFilter(lot="hickory")),
                ("by words, food and weather", "char", CookFilter(food="fish", air_from_c=0.0)),
            ):
                acts = [
                    partial(milliseconds, partial(look, journal, text, narrowed))
                    for journal in (large, small)
                ]
                ours, against = in_turn(15, *acts)
                results.append(
                    Result(f"finding among {many:,} {what}", "ms", ours, against, than, "under 2")
                )
    return results


def look(journal: Journal, text: str, narrowed: CookFilter) -> None:
    found = journal.cooks(text, limit=PAGE, narrowed=narrowed)
    assert found, text


def said(number: int, last: int) -> list[Payload]:
    """What cook `number` of `last` says: of each kind some, and the rest of its sixty entries notes."""
    texts: list[Payload] = [
        CookOpened(f"Cook {number}", "UTC", simulated=True),
        ItemAdded("mackerel", food="fish", mass_kg=1.0),
        FuelAdded(f"charcoal {number % 7}", 5.0, 0.1),
        WeatherObserved(air_c=float(number % 30), wind_m_s=3.0 + number % 9),
        ScheduleStarted(),
        Lid(True),
        Note("thin blue smoke all along"),
    ]
    # Ten cooks, spread over the years, were late.
    if number % (last // FEW) == 0:
        texts.append(NextTime("start half an hour earlier"))
        texts.append(FuelAdded("hickory", 1.0, 0.1))
    words = itertools.islice(itertools.cycle(WORDS), number % len(WORDS), None)
    while len(texts) < ENTRIES_EACH:
        texts.append(Note(" ".join(itertools.islice(words, 6))))
    return texts


def fill(folder: Path, cooks: int) -> None:
    """A journal of so many cooks, written past its door in one transaction."""
    Journal.open(folder).close()
    engine = engine_for(uri_of(folder / FILE_NAME, read_only=False), pooled=False)
    written: dict[Payload, tuple[str, str]] = {}
    numbers = itertools.count(1)
    with engine.connect().execution_options(**{WRITES: True}) as writing, writing.begin():
        for cook_id in range(1, cooks + 1):
            at_s = FROM_S + cook_id * 86_400.0
            entries = [
                Entry(next(numbers), at_s + n, at_s + n, what)
                for n, what in enumerate(said(cook_id, cooks))
            ]
            rows = []
            for entry in entries:
                kind, payload = written.get(entry.what) or written.setdefault(
                    entry.what, encode_text(entry.what)
                )
                at_ms = round(entry.at_s * 1000)
                key = entry_sum(cook_id, at_ms, at_ms, kind.encode(), payload.encode(), FORM)
                rows.append((entry.id, cook_id, at_ms, at_ms, kind, payload, FORM, key))
            names = [column.name for column in ENTRIES.columns]
            writing.execute(insert(COOKS), {"id": cook_id, "opened_ms": round(at_s * 1000)})
            writing.execute(insert(ENTRIES), [dict(zip(names, row, strict=True)) for row in rows])
            line = row_of(line_of(cook_id, at_s, entries), search_text(entries))
            writing.execute(insert(LINES), line)
            writing.execute(insert(TEXTS), {**text_row(line, entries), "in_index": 0})
        writing.execute(BEHIND.delete())
        make_index(writing)
    engine.dispose()
