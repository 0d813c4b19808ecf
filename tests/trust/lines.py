"""Lines as devices send them, damaged at random, through framing and reading: no exception, nothing made up."""

from __future__ import annotations

import random
import re
from dataclasses import dataclass

from smokejournal.inputs.cell import Column
from smokejournal.inputs.framing import LineFramer
from smokejournal.inputs.line_format import LineFormat

_COLUMNS = tuple(Column(str(n), f"c{n}") for n in range(1, 5))
_KEYS = tuple(Column(name, name) for name in ("pit", "meat", "air"))
FORMATS = (
    (LineFormat(columns=_COLUMNS, width=4), b"107.2,61.3,58.8,4.1\n"),
    (LineFormat(delimiter=";", decimal=",", columns=_COLUMNS, width=4), b"107,2;61,3;58,8;4,1\r\n"),
    (LineFormat("key_value", " ", columns=_KEYS), b"pit=107.2 meat=61.3 air=-4.1\n"),
    (LineFormat("json_lines", columns=_KEYS), b'{"pit": 107.2, "meat": 61.3, "air": 4.1}\n'),
)
#: No thermometer reads outside this [°C].
LOWEST_C, HIGHEST_C = -273.15, 2000.0


@dataclass
class Read:
    """What came of so many lines. `made_up`: values that the line doesn't say."""

    lines: int = 0
    values: int = 0
    refused: int = 0
    made_up: int = 0


def damaged(line: bytes, chance: random.Random) -> bytes:
    """The line with one to three bytes changed, dropped, doubled or put in, cut off or run together."""
    data = bytearray(line)
    for _ in range(chance.randint(1, 3)):
        at = chance.randrange(len(data)) if data else 0
        what = chance.randrange(7)
        if what == 0 and data:
            data[at] ^= 1 << chance.randrange(8)
        elif what == 1 and data:
            del data[at]
        elif what == 2:
            data.insert(at, chance.randrange(256))
        elif what == 3 and data:
            data.insert(at, data[at])
        elif what == 4:
            del data[at:]
        elif what == 5:
            data += line
        else:
            data[at:at] = chance.choice(
                (b"-", b".", b",", b"e", b"nan", b"1e9", b"F", "°".encode(), b"\x00")
            )
    return bytes(data)


def read_damaged(count: int, seed: int) -> Read:
    """Read so many damaged lines, each format in turn."""
    chance, found = random.Random(seed), Read()
    framers = [LineFramer() for _ in FORMATS]
    for n in range(count):
        which = n % len(FORMATS)
        shape, good = FORMATS[which]
        found.lines += 1
        for frame in framers[which].feed(damaged(good, chance)):
            if frame.problem:
                found.refused += 1
                continue
            parsed = shape.parse(frame.text)
            found.refused += len(parsed.refused)
            for value in parsed.values:
                found.values += 1
                said = re.sub(r"\s", "", value.text).replace(",", ".")
                digits = re.match(r"[-+]?[0-9.]+", said)
                fits = LOWEST_C <= value.value_c <= HIGHEST_C
                if not fits or digits is None or value.text not in frame.text:
                    found.made_up += 1
    return found
