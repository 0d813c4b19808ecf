"""Published hold times: how long at which temperature for how many log10 reductions.

Meat: USDA FSIS, Cooking Guideline for Meat and Poultry Products (Revised Appendix A), FSIS-GD-2021-14,
14 December 2021, Table 2, the 6.5- and the 7-log column for Salmonella. Chicken and turkey: the same,
Tables 3 and 4, 7 log, by percent of fat. Temperatures as printed in °F: the °C printed beside them are
rounded, in two rows wrongly. Rows that are printed as instantaneous are left out: see `lethality`.

Fish: US FDA, Fish and Fishery Products Hazards and Controls Guidance, appendix 4, Table A-3, six log10
reductions of Listeria monocytogenes. FROM MEMORY: the original was not at hand. Each row was held
against the formula that it is said to come from (2.0 min at 70 °C, z 7.5 °C): times agree within
their printed digits but for 72 and 83 °C, where 1.0 and 0.03 min stand for 1.08 and 0.037.

tests/science/safety/test_hold_tables.py compares every number with tests/reference.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from smokejournal.science.numbers.refusals import between, refuses
from smokejournal.science.numbers.units import c_from_f

#: Temperature [°F]; seconds for 6.5 and for 7 log10 reductions.
_MEAT = """
130 6720 7260
131 5340 5820
132 4260 4620
133 3360 3720
134 2700 2820
135 2160 2220
136 1680 1920
137 1380 1440
138 1080 1140
139 900 900
140 720 720
141 540 600
142 480 480
143 360 360
144 300 300
145 240 240
146 169 182
147 134 144
148 107 115
149 85 91
150 67 72
151 54 58
152 43 46
153 34 37
154 27 29
155 22 23
156 17 19
157 14 15
"""

#: Temperature [°F]; seconds for 7 log10 reductions at 1, 2, … 12 % of fat. 0 where printed as instantaneous.
_CHICKEN = """
136 3798 3870 3942 4020 4104 4194 4284 4380 4488 4602 4734 4884
137 3006 3060 3126 3192 3258 3330 3408 3492 3582 3684 3798 3930
138 2382 2430 2478 2532 2592 2652 2718 2784 2862 2952 3054 3174
139 1896 1932 1974 2016 2064 2112 2172 2232 2298 2376 2466 2580
140 1512 1542 1572 1608 1650 1692 1740 1788 1848 1920 2004 2100
141 1206 1230 1260 1290 1320 1356 1392 1440 1494 1554 1626 1722
142 966 984 1008 1032 1056 1086 1122 1164 1206 1260 1326 1410
143 780 792 810 828 852 876 906 936 978 1026 1086 1158
144 624 636 648 666 684 708 732 756 792 834 888 954
145 504 516 522 534 552 570 588 612 642 678 726 780
146 408 414 420 432 444 456 474 492 516 546 588 636
147 330 330 336 342 354 366 378 396 414 444 474 516
148 264 264 270 270 282 288 300 312 330 348 378 408
149 210 210 210 216 216 228 234 246 258 276 294 324
150 162 162 162 162 168 174 180 186 198 210 228 252
151 126 120 120 126 126 126 132 138 150 156 174 186
152 90 90 90 96 96 96 102 102 108 114 126 138
153 72 72 72 72 78 78 78 78 84 84 84 96
154 55.9 56.9 58 59.1 60 60 60 66 66 66 66 66
155 44.2 45 45.9 46.8 47.7 48.6 49.5 50.4 51.4 52.4 53.4 54.4
156 35 35.6 36.3 37 37.7 38.4 39.2 39.9 40.7 41.4 42.2 43
157 27.7 28.2 28.7 29.3 29.8 30.4 31 31.6 32.2 32.8 33.4 34
158 21.9 22.3 22.7 23.2 23.6 24 24.5 25 25.4 25.9 26.4 26.9
159 17.3 17.6 18 18.3 18.7 19 19.4 19.8 20.1 20.5 20.9 21.3
160 13.7 14 14.2 14.5 14.8 15 15.3 15.6 15.9 16.2 16.5 16.9
161 10.8 11 11.2 11.5 11.7 11.9 12.1 12.4 12.6 12.8 13.1 13.3
162 0 0 0 0 0 0 9.6 9.8 10 10.2 10.3 10.5
"""

_TURKEY = """
136 3840 3858 3876 3894 3918 3948 3978 4014 4056 4104 4170 4248
137 3114 3132 3144 3168 3192 3216 3246 3282 3318 3372 3432 3510
138 2532 2550 2562 2580 2604 2628 2652 2688 2724 2772 2832 2910
139 2064 2076 2094 2106 2124 2148 2172 2202 2238 2286 2346 2424
140 1686 1698 1710 1722 1740 1758 1782 1812 1848 1890 1950 2022
141 1380 1392 1398 1410 1428 1446 1464 1494 1530 1572 1626 1692
142 1134 1140 1146 1158 1170 1188 1206 1230 1266 1302 1356 1422
143 930 936 942 954 966 978 996 1020 1044 1080 1128 1188
144 768 768 774 780 792 804 822 840 864 900 942 996
145 630 636 636 642 648 660 678 690 714 744 780 828
146 522 522 522 528 534 540 552 570 588 612 648 690
147 426 426 426 432 438 444 450 462 480 504 528 564
148 348 348 348 348 354 360 366 378 390 408 432 462
149 282 282 282 282 282 288 294 300 312 324 348 372
150 228 222 222 222 222 228 234 240 246 258 270 294
151 180 174 174 174 174 174 180 186 192 198 210 228
152 138 138 138 138 138 138 138 138 144 150 162 168
153 108 108 114 114 114 114 114 114 114 114 114 126
154 90 90 90 90 90 90 90 90 90 96 96 96
155 72 72 72 72 72 72 72 78 78 78 78 78
156 59 59.3 59.5 59.8 60 60 60 60 60 60 60 60
157 47.9 48.1 48.3 48.5 48.8 49 49.2 49.5 49.7 49.9 50.2 50.4
158 38.8 39 39.2 39.4 39.6 39.8 40 40.1 40.3 40.5 40.7 40.9
159 31.5 31.7 31.8 32 32.1 32.3 32.4 32.6 32.7 32.9 33 33.2
160 25.6 25.7 25.8 26 26.1 26.2 26.3 26.4 26.6 26.7 26.8 26.9
161 20.8 20.9 21 21.1 21.2 21.3 21.4 21.5 21.6 21.7 21.8 21.9
162 16.9 16.9 17 17.1 17.2 17.3 17.3 17.4 17.5 17.6 17.7 17.7
163 13.7 13.7 13.8 13.9 13.9 14 14.1 14.1 14.2 14.3 14.3 14.4
164 11.1 11.2 11.2 11.3 11.3 11.4 11.4 11.5 11.5 11.6 11.6 11.7
"""

#: Temperature [°C]; minutes for 6 log10 reductions.
_FISH = """
63 17
64 12.7
65 9.3
66 6.8
67 5
68 3.7
69 2.7
70 2
71 1.5
72 1
73 0.8
74 0.6
75 0.4
76 0.3
77 0.2
78 0.2
79 0.1
80 0.09
81 0.07
82 0.05
83 0.03
84 0.03
85 0.02
"""

FAT_PCT = (1.0, 12.0)
"""Fat for which there are columns. Above, and where it isn't known, the last one is the worst."""


@dataclass(frozen=True, slots=True)
class HoldTable:
    """`hold_s` [s] at `temperature_c` [°C], rising, gives `log_reductions` (log10).

    `from_memory` marks numbers that were recalled and not read.
    """

    name: str
    log_reductions: float
    temperature_c: tuple[float, ...]
    hold_s: tuple[float, ...]
    from_memory: bool = False


@cache
def _rows(text: str) -> tuple[tuple[float, ...], ...]:
    return tuple(tuple(map(float, line.split())) for line in text.split("\n") if line)


def _table(name: str, logs: float, rows: list[tuple[float, float]]) -> HoldTable:
    kept = [(c_from_f(temperature_f), hold_s) for temperature_f, hold_s in rows if hold_s > 0.0]
    return HoldTable(name, logs, tuple(c for c, _ in kept), tuple(s for _, s in kept))


@cache
@refuses()
def meat(log_reductions: float) -> HoldTable:
    """The meat table: 6.5 or 7 log10 reductions. ValueError for any other."""
    columns = {6.5: 1, 7.0: 2}
    if log_reductions not in columns:
        raise ValueError(f"log_reductions: 6.5 or 7, not {log_reductions:g}")
    column = columns[log_reductions]
    name = f"meat_{log_reductions:g}"
    return _table(name, log_reductions, [(row[0], row[column]) for row in _rows(_MEAT)])


_FAT = between("fat", 0.0, 100.0, "%")


def _column(fat_pct: float | None) -> int:
    """Its place in a row. Between two columns the fatter one counts, unknown fat is the worst."""
    if fat_pct is None:
        return int(FAT_PCT[1])
    return int(min(max(np.ceil(fat_pct), FAT_PCT[0]), FAT_PCT[1]))


@cache
@refuses(fat_pct=_FAT)
def chicken(fat_pct: float | None = None) -> HoldTable:
    """The chicken table at this fat [%]. OutOfRange outside 0 to 100 %."""
    column = _column(fat_pct)
    return _table("chicken", 7.0, [(row[0], row[column]) for row in _rows(_CHICKEN)])


@cache
@refuses(fat_pct=_FAT)
def turkey(fat_pct: float | None = None) -> HoldTable:
    """The turkey table at this fat [%]. OutOfRange outside 0 to 100 %."""
    column = _column(fat_pct)
    return _table("turkey", 7.0, [(row[0], row[column]) for row in _rows(_TURKEY)])


@cache
@refuses(fat_pct=_FAT)
def other_poultry(fat_pct: float | None = None) -> HoldTable:
    """Duck, goose, mixtures, or a bird that isn't named: row by row the longer of the two tables.

    So FSIS-GD-2021-14, page 36. Neither is the longer one throughout: at 12 % of fat chicken is up to
    141 °F, turkey from 142 °F on.
    """
    column = _column(fat_pct)
    chickens = {row[0]: row[column] for row in _rows(_CHICKEN)}
    rows = [(row[0], max(row[column], chickens.get(row[0], 0.0))) for row in _rows(_TURKEY)]
    return _table("poultry", 7.0, rows)


@cache
def fish() -> HoldTable:
    """The fish table, from memory. Its °C are exact, its °F rounded: °C count."""
    rows = _rows(_FISH)
    return HoldTable(
        "fish", 6.0, tuple(r[0] for r in rows), tuple(60.0 * r[1] for r in rows), from_memory=True
    )
