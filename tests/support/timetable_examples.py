"""Plans counted back, laid out by hand: one dish, and five on one pit. All of it is invented."""

from __future__ import annotations

from smokejournal.cook.forecast.intervals import TimeInterval
from smokejournal.cook.timetable.timetable import (
    Clash,
    Lateness,
    StepKind,
    Timetable,
    TimetableStep,
    When,
)

MIN, HOUR = 60.0, 3600.0
ZONE = "Europe/Berlin"
#: Friday 27 November 2026, 20:10 in Berlin.
NOW_S = 1_795_806_600.0
#: The next day at 18:00.
WANTED_S = NOW_S + 21 * HOUR + 50 * MIN


def at(clock: str, days: int = 1) -> float:
    """The moment at which the clock in Berlin shows this on that many days after Friday."""
    hour, minute = clock.split(":")
    return NOW_S - 20 * HOUR - 10 * MIN + days * 24 * HOUR + int(hour) * HOUR + int(minute) * MIN


def when(planned: str, earliest: str = "", latest: str = "", days: int = 1) -> When:
    """Moments on one day; without the outer two they are the same."""
    return When(at(earliest or planned, days), at(planned, days), at(latest or planned, days))


def length(mid_s: float, low_s: float | None = None, high_s: float | None = None) -> TimeInterval:
    """A length of time [s]."""
    return TimeInterval(
        mid_s if low_s is None else low_s, mid_s, mid_s if high_s is None else high_s
    )


RINSE = TimetableStep(
    "prep:rinse", "Rinse", "prep", length(10 * MIN, 5 * MIN, 15 * MIN), "rule",
    when("06:40", "05:30", "07:10"), when("06:50", "05:40", "07:20"),
    why="A rule: common practice, no source.",
)  # fmt: skip
BRINE = TimetableStep(
    "prep:brine", "Brine", "prep", length(10 * HOUR), "said",
    when("20:30", days=0), when("06:30"), text="6 % salt, 4 l of water",
)  # fmt: skip
SMOKE = TimetableStep(
    "stage:s1", "Smoke", "stage", length(9.5 * HOUR, 7 * HOUR + 40 * MIN, 12 * HOUR), "physics",
    when("07:30", "05:45", "08:45"), when("17:15", "16:30", "17:30"), pit_c=107.0, item="shoulder",
)  # fmt: skip
WARM = TimetableStep(
    "warm", "Warm up", "warm_up", length(30 * MIN, 20 * MIN, 45 * MIN), "earlier",
    when("07:00", "06:40", "07:10"), when("07:30"), cooks=3, pit_c=107.0,
)  # fmt: skip
REST = TimetableStep(
    "stage:s2", "Rest", "rest", length(30 * MIN), "said", when("17:15", "16:30", "17:30"),
    when("17:45", "17:00", "18:00"), item="shoulder",
)  # fmt: skip
SERVE = TimetableStep("serve", "On the table", "serve", start=when("18:00"), end=when("18:00"))
LATENESS = Lateness(
    0.19, 0.05, TimeInterval(10 * MIN, 70 * MIN, 2.5 * HOUR), hold_s=4 * HOUR, over_hold=0.02
)

ONE = Timetable(NOW_S, ZONE, WANTED_S, 15 * MIN, (BRINE, RINSE, WARM, SMOKE, REST, SERVE), LATENESS)


def _dish(
    key: int, name: str, on: str, off: str, pit_c: float, takes_s: float, kind: StepKind = "dish"
) -> TimetableStep:
    return TimetableStep(
        f"on:{key}", name, kind, length(takes_s, 0.8 * takes_s, 1.3 * takes_s), "physics",
        when(on), when(off), pit_c=pit_c, item=name,
    )  # fmt: skip


FIVE = Timetable(
    NOW_S,
    ZONE,
    WANTED_S,
    15 * MIN,
    (
        BRINE,
        RINSE,
        TimetableStep(
            "prep:rub", "Rub", "prep", None, "unknown", item="ribs",
            why="Nobody said how long it takes. Give it a time.",
        ),
        WARM,
        SMOKE,
        _dish(2, "ribs", "11:10", "16:30", 107.0, 5 * HOUR),
        _dish(3, "chicken", "13:40", "16:45", 150.0, 2.5 * HOUR),
        _dish(4, "beans with a long name that wraps", "14:30", "17:15", 107.0, 2.5 * HOUR),
        _dish(5, "corn", "16:50", "17:30", 150.0, 40 * MIN),
        REST,
        SERVE,
    ),
    LATENESS,
    (
        Clash(
            "two_pits",
            "ribs needs the pit at 107 °C and chicken needs it at 150 °C, for 2 h 50 min at once.",
            "Do ribs first and keep it hot, then set the pit to 150 °C for chicken.",
            ("on:2", "on:3"),
        ),
        Clash(
            "probes",
            "5 dishes need a probe at once, and there are 3.",
            "Move a probe once its dish is off, or stagger the dishes.",
        ),
    ),
    ("shoulder", "ribs", "chicken", "beans with a long name that wraps", "corn"),
    ("Rub: Nobody said how long it takes. Give it a time.",),
)  # fmt: skip
