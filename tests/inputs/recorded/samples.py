"""Small tables as loggers write them, all made up here, each with what it means.

Times without a zone hang in Berlin: UTC+1 in winter, UTC+2 in summer. The changes of clocks are those of
Directive 2000/84/EC: in 2026 on 29 March and on 25 October, at 01:00 UTC.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

Row = tuple[str, tuple[float | None, ...]]


@dataclass(frozen=True)
class Sample:
    """`asked` are the open points of the guess, `answers` what a person says to them; then `rows` are
    read (UTC, °C) and `refused` lines give nothing. `trouble` is a word of the refusal of it all."""

    name: str
    content: str | bytes
    rows: tuple[Row, ...] = ()
    refused: int = 0
    asked: tuple[str, ...] = ()
    answers: dict[str, Any] = field(default_factory=dict)
    trouble: str = ""
    refused_cells: int = 0
    empty: int = 0
    then_asked: tuple[str, ...] = ()


A, B = "2026-03-04T13:05:00", "2026-03-04T13:06:00"
TWO: tuple[Row, ...] = ((A, (107.2, 55.1)), (B, (107.4, 55.3)))
PLAIN = "Time,Pit °C,Meat °C\n2026-03-04 14:05:00,107.2,55.1\n2026-03-04 14:06:00,107.4,55.3\n"


def _f(fahrenheit: float) -> float:
    return (fahrenheit - 32) / 1.8


SAMPLES = (
    Sample("comma and point", PLAIN, TWO),
    Sample("with a byte order mark", b"\xef\xbb\xbf" + PLAIN.encode(), TWO),
    Sample("UTF-16 with a mark", PLAIN.encode("utf-16"), TWO),
    Sample("UTF-16 without a mark", PLAIN.encode("utf-16-le"), TWO),
    Sample("UTF-16, the other way round", PLAIN.encode("utf-16-be"), TWO),
    Sample("Windows-1252", PLAIN.encode("cp1252"), TWO),
    Sample("CR LF", PLAIN.replace("\n", "\r\n"), TWO),
    Sample("CR alone", PLAIN.replace("\n", "\r"), TWO),
    Sample("no line end at the end", PLAIN.rstrip("\n"), TWO),
    Sample(
        "semicolon and decimal comma",
        "Zeit;Pit (°C);Meat (°C)\n2026-03-04 14:05;107,2;55,1\n2026-03-04 14:06;107,4;55,3\n",
        TWO,
    ),
    Sample("tabs", PLAIN.replace(",", "\t"), TWO),
    Sample("bars", PLAIN.replace(",", "|"), TWO),
    Sample(
        "blanks",
        "Date Clock Pit_C Meat_C\n2026-03-04 14:05:00 107.2  55.1\n2026-03-04 14:06:00 107.4  55.3\n",
        TWO,
    ),
    Sample(
        "everything in quotes",
        '"Time","Pit °C","Meat °C"\n"2026-03-04 14:05:00","107.2","55.1"\n'
        '"2026-03-04 14:06:00","107.4","55.3"\n',
        TWO,
    ),
    Sample(
        "decimal commas in quotes between commas",
        'Time,Pit °C,Meat °C\n2026-03-04 14:05,"107,2","55,1"\n2026-03-04 14:06,"107,4","55,3"\n',
        TWO,
    ),
    Sample(
        "bare decimal commas between commas",
        "Time,Pit °C,Meat °C\n2026-03-04 14:05,107,2,55,1\n2026-03-04 14:06,107,4,55,3\n",
        trouble="decimal commas",
    ),
    Sample(
        "a delimiter behind every row",
        PLAIN.replace("55.1", "55.1,").replace("55.3", "55.3,"),
        TWO,
    ),
    Sample("a delimiter behind every line", PLAIN.replace("\n", ",\n"), TWO),
    Sample(
        "°F in the heading",
        "Time,Pit (°F),Meat (F)\n2026-03-04 14:05,225,131.2\n2026-03-04 14:06,226,131.5\n",
        ((A, (_f(225), _f(131.2))), (B, (_f(226), _f(131.5)))),
    ),
    Sample(
        "°F behind every number",
        "Time,Pit,Meat\n2026-03-04 14:05,225°F,131.2 F\n2026-03-04 14:06,226°F,131.5 F\n",
        ((A, (_f(225), _f(131.2))), (B, (_f(226), _f(131.5)))),
    ),
    Sample(
        "one number in another unit than the others",
        "Time,Pit\n2026-03-04 14:05,225°F\n2026-03-04 14:06,107°C\n2026-03-04 14:07,226°F\n",
        ((A, (_f(225),)), ("2026-03-04T13:07:00", (_f(226),))),
        refused=1,
        refused_cells=1,
    ),
    Sample(
        "a row of units",
        "Time,Pit,Meat\n,°F,°F\n2026-03-04 14:05,225,131.2\n2026-03-04 14:06,226,131.5\n",
        ((A, (_f(225), _f(131.2))), (B, (_f(226), _f(131.5)))),
    ),
    Sample(
        "the unit in the lines above",
        "Logger A7\nTemperature unit: F\n\nTime,Pit,Meat\n2026-03-04 14:05,225,131.2\n"
        "2026-03-04 14:06,226,131.5\n",
        ((A, (_f(225), _f(131.2))), (B, (_f(226), _f(131.5)))),
    ),
    Sample(
        "no unit anywhere",
        PLAIN.replace(" °C", ""),
        TWO,
        asked=("unit",),
        answers={"unit": "C"},
    ),
    Sample(
        "probes called A, B and C",
        "Time,Probe A,Probe B,Probe C\n2026-03-04 14:05,1,20,3\n2026-03-04 14:06,2,21,5\n",
        (
            (A, (_f(1), _f(20), _f(3))),
            (B, (_f(2), _f(21), _f(5))),
        ),
        asked=("unit",),
        answers={"unit": "F"},
    ),
    Sample(
        "kelvin",
        "Time,Pit [K]\n2026-03-04 14:05,380.35\n2026-03-04 14:06,380.55\n",
        ((A, (107.2,)), (B, (107.4,))),
    ),
    Sample(
        "empty cells, dashes and NaN",
        "Time,Pit °C,Meat °C\n2026-03-04 14:05,107.2,\n2026-03-04 14:06,---,55.3\n"
        "2026-03-04 14:07,NaN,55.4\n2026-03-04 14:08,n/a,--\n",
        ((A, (107.2, None)), (B, (None, 55.3)), ("2026-03-04T13:07:00", (None, 55.4))),
        refused=1,
        empty=5,
    ),
    Sample(
        "an error in place of a number",
        "Time,Pit °C,Meat °C\n2026-03-04 14:05,107.2,OPEN\n2026-03-04 14:06,107.4,55.3\n",
        ((A, (107.2, None)), (B, (107.4, 55.3))),
        refused_cells=1,
    ),
    Sample(
        "a number that no thermometer reads",
        "Time,Pit °C\n2026-03-04 14:05,107.2\n2026-03-04 14:06,65535\n",
        ((A, (107.2,)),),
        refused=1,
        refused_cells=1,
    ),
    Sample(
        "thousands",
        'Time,Pit °C,Meat °C\n2026-03-04 14:05,"1,072",55.1\n2026-03-04 14:06,107.4,55.3\n',
        ((A, (None, 55.1)), (B, (107.4, 55.3))),
        refused_cells=1,
    ),
    Sample(
        "seconds since 1970",
        "unix,pit_c,meat_c\n1772629500,107.2,55.1\n1772629560,107.4,55.3\n",
        TWO,
    ),
    Sample(
        "milliseconds since 1970",
        "ts,pit_c,meat_c\n1772629500000,107.2,55.1\n1772629560000,107.4,55.3\n",
        TWO,
    ),
    Sample(
        "ISO 8601 in UTC",
        PLAIN.replace(" 14:05:00", "T13:05:00Z").replace(" 14:06:00", "T13:06:00Z"),
        TWO,
    ),
    Sample(
        "ISO 8601 with another zone",
        PLAIN.replace(" 14:05:00", "T08:05:00.000-05:00").replace(" 14:06:00", "T08:06:00-0500"),
        TWO,
    ),
    Sample(
        "ISO 8601, basic",
        "Time,Pit °C,Meat °C\n20260304T140500,107.2,55.1\n20260304T140600,107.4,55.3\n",
        TWO,
    ),
    Sample(
        "digits only",
        "Time,Pit °C,Meat °C\n20260304140500,107.2,55.1\n20260304140600,107.4,55.3\n",
        TWO,
    ),
    Sample(
        "day or month first",
        "Time,Pit °C,Meat °C\n04/03/2026 14:05,107.2,55.1\n04/03/2026 14:06,107.4,55.3\n",
        TWO,
        asked=("order",),
        answers={"order": "dmy"},
    ),
    Sample(
        "month or day first",
        "Time,Pit °C,Meat °C\n03/04/2026 14:05,107.2,55.1\n03/04/2026 14:06,107.4,55.3\n",
        TWO,
        asked=("order",),
        answers={"order": "mdy"},
    ),
    Sample(
        "day first, by a later row",
        "Time,Pit °C\n04.03.2026 14:05,107.2\n13.03.2026 14:06,107.4\n",
        ((A, (107.2,)), ("2026-03-13T13:06:00", (107.4,))),
    ),
    Sample(
        "month first, by a much later row",
        "Time,Pit °C\n" + "03/04/2026 14:05,107.2\n" * 600 + "03/13/2026 14:06,107.4\n",
        ((A, (107.2,)),) * 600 + (("2026-03-13T13:06:00", (107.4,)),),
    ),
    Sample(
        "both ways in one file",
        "Time,Pit °C\n13/03/2026 14:05,107.2\n03/14/2026 14:06,107.4\n",
        (("2026-03-13T13:05:00", (107.2,)),),
        refused=1,
        asked=("order",),
        answers={"order": "dmy"},
    ),
    Sample(
        "years of two digits",
        "Time,Pit °C,Meat °C\n04-03-26 14:05,107.2,55.1\n04-03-26 14:06,107.4,55.3\n",
        TWO,
        asked=("order",),
        answers={"order": "dmy"},
    ),
    Sample(
        "months by name",
        'Time,Pit °C,Meat °C\n4-Mar-2026 14:05,107.2,55.1\n"Mar 4, 2026 14:06",107.4,55.3\n',
        TWO,
    ),
    Sample(
        "date and clock apart",
        "Date;Clock;Pit °C;Meat °C\n2026-03-04;14:05;107,2;55,1\n2026-03-04;14:06;107,4;55,3\n",
        TWO,
    ),
    Sample(
        "twelve hours",
        "Time,Pit °C,Meat °C\n2026-03-04 2:05 PM,107.2,55.1\n2026-03-04 02:06:00 p.m.,107.4,55.3\n",
        TWO,
    ),
    Sample(
        "midnight and noon by twelve hours",
        "Time,Pit °C\n2026-03-04 12:05 AM,107.2\n2026-03-04 12:06 PM,107.4\n2026-03-04 13:06 PM,9\n",
        (("2026-03-03T23:05:00", (107.2,)), ("2026-03-04T11:06:00", (107.4,))),
        refused=1,
    ),
    Sample(
        "a clock alone, over midnight",
        "Time,Pit °C\n23:59:30,107.2\n00:00:30,107.4\n",
        (("2026-03-04T22:59:30", (107.2,)), ("2026-03-04T23:00:30", (107.4,))),
        asked=("day",),
        answers={"day": "2026-03-04"},
    ),
    Sample(
        "a clock or the time that has passed",
        "Time,Pit °C\n00:00:00,107.2\n00:01:00,107.4\n",
        ((A, (107.2,)), (B, (107.4,))),
        asked=("kind",),
        answers={"kind": "elapsed", "begun_at_s": 1772629500.0},
    ),
    Sample(
        "more than a day has passed",
        "Elapsed,Pit °C\n23:59:00,107.2\n24:00:00,107.4\n",
        (("2026-03-05T13:04:00", (107.2,)), ("2026-03-05T13:05:00", (107.4,))),
        asked=("start",),
        answers={"begun_at_s": 1772629500.0},
    ),
    Sample(
        "seconds since the start",
        "time_s,pit_c,meat_c\n0,107.2,55.1\n60,107.4,55.3\n",
        TWO,
        asked=("start",),
        answers={"begun_at_s": 1772629500.0},
    ),
    Sample(
        "minutes since the start",
        "Minutes;Pit °C;Meat °C\n0,0;107,2;55,1\n1,0;107,4;55,3\n",
        TWO,
        asked=("start",),
        answers={"begun_at_s": 1772629500.0},
    ),
    Sample(
        "seconds or minutes",
        "time,pit_c,meat_c\n0,107.2,55.1\n1,107.4,55.3\n",
        TWO,
        asked=("kind",),
        answers={"kind": "minutes", "begun_at_s": 1772629500.0},
    ),
    Sample(
        "no heading",
        "0,107.2,55.1\n60,107.4,55.3\n",
        TWO,
        asked=("kind", "unit"),
        answers={"kind": "seconds", "begun_at_s": 1772629500.0, "unit": "C"},
    ),
    Sample(
        "days of a spreadsheet",
        "Date,Pit °C,Meat °C\n46085.5868055556,107.2,55.1\n46085.5875,107.4,55.3\n",
        TWO,
        asked=("kind",),
        answers={"kind": "days"},
    ),
    Sample(
        "clocks went back, seen in the rows",
        "Time,Pit °C\n2026-10-25 02:58,1\n2026-10-25 02:59,2\n2026-10-25 02:00,3\n2026-10-25 02:01,4\n",
        (
            ("2026-10-25T00:58:00", (1.0,)),
            ("2026-10-25T00:59:00", (2.0,)),
            ("2026-10-25T01:00:00", (3.0,)),
            ("2026-10-25T01:01:00", (4.0,)),
        ),
    ),
    Sample(
        "a clock time that occurs twice, and nothing says which",
        "Time,Pit °C\n2026-10-25 01:59,1\n2026-10-25 02:10,2\n2026-10-25 03:01,3\n",
        (
            ("2026-10-24T23:59:00", (1.0,)),
            ("2026-10-25T01:10:00", (2.0,)),
            ("2026-10-25T02:01:00", (3.0,)),
        ),
        then_asked=("fold",),
        answers={"fold": "second"},
    ),
    Sample(
        "a clock time that the change of clocks left out",
        "Time,Pit °C\n2026-03-29 01:59,1\n2026-03-29 02:10,2\n2026-03-29 03:01,3\n",
        (("2026-03-29T00:59:00", (1.0,)), ("2026-03-29T01:01:00", (3.0,))),
        refused=1,
    ),
    Sample(
        "no such date, no such time",
        PLAIN
        + "2026-02-30 14:07:00,1,2\n2026-03-04 24:07:00,1,2\n2026-03-04 14:60:00,1,2\nsoon,1,2\n",
        TWO,
        refused=4,
    ),
    Sample(
        "rows too short and too long",
        PLAIN + "2026-03-04 14:07:00,107\n2026-03-04 14:08:00,1,2,3\n",
        TWO,
        refused=2,
    ),
    Sample("the heading again", PLAIN + PLAIN.splitlines()[0] + "\n", TWO, refused=1),
    Sample("blank lines", PLAIN.replace("\n", "\n\n"), TWO),
    Sample("a quote that never ends", PLAIN + '2026-03-04 14:07:00,"107,3\n', TWO, refused=1),
    Sample("a line for spreadsheets", "sep=,\n" + PLAIN, TWO),
    Sample(
        "columns that are no probe",
        "No.,Time,Pit °C,Humidity %,Fan,Set °C,Battery V\n1,2026-03-04 14:05,107.2,31,80,110,3.1\n"
        "2,2026-03-04 14:06,107.4,30,79,110,3.1\n3,2026-03-04 14:07,107.5,30,79,110,3.1\n",
        ((A, (107.2,)), (B, (107.4,)), ("2026-03-04T13:07:00", (107.5,))),
    ),
    Sample(
        "two columns of one name",
        PLAIN.replace("Meat", "Pit"),
        TWO,
    ),
    Sample(
        "AM and PM in a column of their own",
        "Date,Time,AM/PM,Pit F\n3/14/2026,2:05,PM,225\n3/14/2026,2:06,PM,226\n",
        (("2026-03-14T13:05:00", (_f(225),)), ("2026-03-14T13:06:00", (_f(226),))),
    ),
    Sample(
        "a row for each probe",
        "Time,Probe,Temp °C\n2026-03-04 14:05,pit,107\n2026-03-04 14:05,meat,50\n"
        "2026-03-04 14:06,pit,108\n2026-03-04 14:06,meat,51\n",
        trouble="row for each probe",
    ),
    Sample(
        "units as words",
        "Time,Pit in Fahrenheit,Meat Celsius\n2026-03-04 14:05,225,55.1\n2026-03-04 14:06,226,55.3\n",
        ((A, (_f(225), 55.1)), (B, (_f(226), 55.3))),
    ),
    Sample(
        "minutes and seconds, or hours and minutes",
        "Time,Pit °C\n00:10,107.2\n00:20,107.4\n",
        (("2026-03-03T23:10:00", (107.2,)), ("2026-03-03T23:20:00", (107.4,))),
        asked=("kind",),
        answers={"kind": "clock", "day": "2026-03-04"},
    ),
    Sample("a line at the end that is none", PLAIN + "End of log,2 rows,\n", TWO, refused=1),
    Sample(
        "milliseconds behind a colon",
        "Time,Pit °C\n2026-03-04 14:05:00:500,107.2\n2026-03-04 14:06:00:500,107.4\n",
        (),
        refused=2,
        asked=("time",),
        answers={"columns": (0,), "kind": "date", "order": "ymd"},
    ),
    Sample("nothing in it", "", trouble="empty"),
    Sample("a workbook", b"PK\x03\x04 and more", trouble="no text"),
    Sample("a letter", "Dear neighbor,\nthe ham was good.\n", trouble="no table"),
    Sample("zero bytes", b"time,pit\n\0\0\0\n" + PLAIN.encode(), trouble="no text"),
)
