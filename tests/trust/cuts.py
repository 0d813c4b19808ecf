"""Power cuts, played from the log of what a program asked of the disk: what was not synced is there
in part, in any order, or not at all; nothing acknowledged is lost."""

from __future__ import annotations

import random
from dataclasses import dataclass, field
from pathlib import Path

from tests.trust.kills import Found, look
from tests.trust.record import (
    FAILED_SYNC,
    RENAME,
    SAID,
    SYNC,
    TRUNCATE,
    UNLINK,
    WRITE,
    Event,
    compiled,
    record,
    said_in,
)

#: A disk writes so many bytes whole or not at all.
SECTOR = 512
#: One run has many checkpoints: SQLite makes one when its log has a thousand pages.
BATCHES = 600
RUNS = 3


def cut_often(
    folder: Path, times: int, seed: int, *, runs: int = RUNS, batches: int = BATCHES
) -> Found:
    """Records some runs of the writer, cuts the power so often over all of them, and looks for what
    was acknowledged. NoRecorder where nothing can be recorded."""
    folder = folder.resolve()
    library = compiled(folder)
    found, chance = Found(), random.Random(seed)
    for number in range(runs):
        journal = folder / f"written-{number}"
        run = record(library, journal, batches)
        assert run.code == 0, run.errors
        _check_whole(run.events, journal)
        share = times // runs + (number < times % runs)
        moments = sorted(chance.randint(0, len(run.events)) for _ in range(share))
        cut_at(run.events, journal, moments, chance, found)
    return found


def cut_at(
    events: tuple[Event, ...],
    written: Path,
    moments: list[int],
    chance: random.Random,
    found: Found,
) -> None:
    """Cuts the power after so many events each (ascending), and looks at what is left."""
    disk, done = Disk(written, chance), 0
    for number, moment in enumerate(moments):
        for event in events[done:moment]:
            disk.take(event)
        done = moment
        left = written.with_name(f"{written.name}-cut-{number}")
        disk.cut(left)
        found.times += 1
        look(left, said_in(events[:moment]), found)


def _check_whole(events: tuple[Event, ...], written: Path) -> None:
    """Holds that the log missed nothing: played to its end it gives the files that are there."""
    disk = Disk(written, random.Random(0))
    for event in events:
        disk.take(event)
    there = {
        path.name: path.read_bytes()
        for path in written.glob("journal.sqlite*")
        if not path.name.endswith("-shm")
    }
    played = {Path(name).name: file.whole() for name, file in disk.names.items()}
    assert played == there, "the log isn't what the program did"


@dataclass
class _File:
    """A file's bytes that are on disk for sure, and what was asked since: bytes (None: a truncation)
    at an offset."""

    synced: bytearray = field(default_factory=bytearray)
    asked: list[tuple[int, bytes | None]] = field(default_factory=list)

    def whole(self) -> bytes:
        content = bytearray(self.synced)
        for offset, data in self.asked:
            _put(content, offset, data)
        return bytes(content)

    def in_part(self, chance: random.Random) -> bytearray:
        content, share = bytearray(self.synced), chance.choice((0.0, chance.random(), 1.0))
        pieces = [
            piece
            for asked in self.asked
            for piece in _torn(*asked, chance)
            if chance.random() < share
        ]
        chance.shuffle(pieces)
        for offset, data in pieces:
            _put(content, offset, data)
        return content


class Disk:
    """What a disk holds of a journal's files while the log is played.

    A name that was given or taken is sure once the folder was synced; until then the changes of names
    came as far as some one of them. That is what file systems with a journal do.
    """

    def __init__(self, folder: Path, chance: random.Random) -> None:
        self._folder, self._chance = str(folder), chance
        self.names: dict[str, _File] = {}
        #: The names as they are on disk for sure, and after each change since.
        self._kept: list[dict[str, _File]] = [{}]

    def take(self, event: Event) -> None:
        """The next call."""
        if event.kind == SAID:
            return
        if event.path == self._folder:
            if event.kind == SYNC:
                self._kept = [dict(self.names)]
            return
        if event.kind == UNLINK:
            self.names.pop(event.path, None)
            self._kept.append(dict(self.names))
        elif event.kind == RENAME:
            self.names[event.data.decode()] = self.names.pop(event.path)
            self._kept.append(dict(self.names))
        else:
            file = self.names.get(event.path)
            if file is None:
                file = self.names[event.path] = _File()
                self._kept.append(dict(self.names))
            if event.kind == WRITE:
                file.asked.append((event.offset, event.data))
            elif event.kind == TRUNCATE:
                file.asked.append((event.offset, None))
            elif event.kind == SYNC:
                file.synced, file.asked = bytearray(file.whole()), []
            elif event.kind == FAILED_SYNC:
                # The system takes what it could not write for written: no later sync tries again.
                file.synced, file.asked = file.in_part(self._chance), []

    def cut(self, folder: Path) -> None:
        """Makes `folder` with the files as they are after a power cut now."""
        folder.mkdir()
        for name, file in self._chance.choice(self._kept).items():
            (folder / Path(name).name).write_bytes(file.in_part(self._chance))


def _put(content: bytearray, offset: int, data: bytes | None) -> None:
    if len(content) < offset:
        content.extend(bytes(offset - len(content)))
    if data is None:
        del content[offset:]
    else:
        content[offset : offset + len(data)] = data


def _torn(offset: int, data: bytes | None, chance: random.Random) -> list[tuple[int, bytes | None]]:
    """What was asked, whole or in its sectors."""
    if data is None or chance.random() < 0.5:
        return [(offset, data)]
    edges = [offset, *range(offset - offset % SECTOR + SECTOR, offset + len(data), SECTOR)]
    return [
        (edge, data[edge - offset : after - offset])
        for edge, after in zip(edges, [*edges[1:], offset + len(data)], strict=True)
    ]
