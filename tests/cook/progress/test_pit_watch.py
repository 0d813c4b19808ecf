"""The pit against its set point, and the alarms that come of it.

No published limits for these are known to us: the examples are common practice, no source, and what the
alarms are worth is counted over simulated pits at the end.
"""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.entries import AlarmAcknowledged, AlarmRaised, Entry, Lid, Payload
from smokejournal.cook.log.schedule import ForTime, Stage, UntilSaid, UntilTemperature
from smokejournal.cook.progress.alarms import AS_USUAL, AlarmBook, AlarmTuning, Called, due
from smokejournal.cook.progress.kept_fold import KeptFold
from smokejournal.cook.progress.pit_watch import LastWithin, last_within
from smokejournal.cook.progress.progress import fold
from smokejournal.cook.text.quantities import US
from smokejournal.inputs.pit import Outside
from tests.simulator import recipes
from tests.simulator.pit_events import cases, practice_pit
from tests.support.logs import T0, cook_log, ramp
from tests.trust.alarms import count, count_logs, demo_logs, raised

SMOKE = Stage("s1", "Smoke", (UntilSaid(),), pit_target_c=110.0)
Pieces = list[tuple[float, str, float]]


def pit(*points: tuple[float, float], every_s: float = 15.0) -> Pieces:
    """Readings along a line through these points (minutes, °C)."""
    found: Pieces = []
    for (from_min, from_c), (to_min, to_c) in pairwise(points):
        found += ramp("pit", from_min * 60, to_min * 60, from_c, to_c, every_s)[bool(found) :]
    return found


def log_of(
    readings: Pieces, said: list[tuple[float, Payload]] | None = None, *stages: Stage
) -> CookLog:
    return cook_log(stages or [SMOKE], said or [], readings)


def keys(log: CookLog, at_min: float, tuning: AlarmTuning | None = None) -> list[str]:
    called = AS_USUAL if tuning is None else Called(tuning)
    return [a.key.split(":")[0] for a in due(fold(log, T0 + at_min * 60), (), called)]


@given(
    st.lists(st.floats(-5.0, 80.0), min_size=1, max_size=60),
    st.integers(0, 110).map(lambda n: n * 0.5),
)
def test_when_it_was_last_within_any_limit(offs: list[float], limit_k: float) -> None:
    within = LastWithin()
    for n, off in enumerate(offs):
        within.push(float(n), off)
    # In steps of half a kelvin, downward.
    expected = [n for n, off in enumerate(offs) if off < limit_k + 0.5]
    assert last_within(within.levels(), limit_k) == (expected[-1] if expected else None)


@settings(max_examples=15, deadline=None)
@given(st.lists(st.integers(0, 4 * 3600), min_size=1, max_size=8).map(sorted), st.booleans())
def test_piece_by_piece_is_the_same_as_all_at_once(looks: list[int], logged: bool) -> None:
    case = practice_pit([(5000.0, 90.0), (9000.0, 240.0)], logged=logged, out_s=11_000.0)
    kept = KeptFold(apart=64)
    for at_s in (*looks, looks[0]):
        there, whole = kept.standing(case.log, T0 + at_s), fold(case.log, T0 + at_s)
        assert (there.pit, there.pair) == (whole.pit, whole.pair)


class TestBand:
    def test_too_cold_for_too_long_calls_with_what_was_seen_since_when_and_what_to_do(self) -> None:
        log = log_of(pit((0, 110), (60, 110), (61, 93), (120, 93)))
        assert keys(log, 75) == []
        (alarm,) = due(fold(log, T0 + 77 * 60), (), Called(units=US))
        assert alarm.level == "insistent"
        assert alarm.text == (
            "The pit has been more than 27 °F below 230 °F since 9:27 pm. Check the lid, the hopper and "
            "what the pit is set to."
        )
        assert due(fold(log, T0 + 119 * 60))[0].key == alarm.key

    def test_too_hot_calls_too_and_a_wider_band_or_a_longer_wait_does_not(self) -> None:
        log = log_of(pit((0, 110), (60, 110), (70, 130), (120, 130)))
        assert keys(log, 100) == ["pit_high"]
        assert keys(log, 100, AlarmTuning(band_k=25.0)) == []
        assert keys(log, 100, AlarmTuning(band_s=3600.0)) == []
        assert keys(log, 100, AlarmTuning(band=False)) == []

    def test_the_clock_starts_over_once_it_was_back(self) -> None:
        log = log_of(
            pit((0, 110), (60, 110), (61, 93), (80, 93), (81, 110), (90, 110), (91, 93), (130, 93))
        )
        first, again = (due(fold(log, T0 + m * 60)) for m in (79, 108))
        assert keys(log, 100) == []
        assert first[0].key != again[0].key

    def test_while_it_warms_up_or_comes_to_another_set_point_nothing_is_called(self) -> None:
        warm = log_of(pit((0, 10), (45, 110), (90, 110)))
        assert [keys(warm, m) for m in range(0, 90, 3)] == [[]] * 30
        first = Stage("s1", "Smoke", (ForTime(3600.0),), pit_target_c=140.0, alert="none")
        down = log_of(pit((0, 140), (60, 140), (100, 110), (200, 110)), None, first, SMOKE)
        assert [keys(down, m) for m in range(0, 200, 3)] == [[]] * 67

    def test_a_pit_that_never_gets_there_is_called_out_once_it_had_time(self) -> None:
        log = log_of(pit((0, 10), (40, 80), (120, 80)))
        assert keys(log, 60) == []
        assert keys(log, 75) == ["pit_low"]

    def test_over_a_gap_nothing_is_credited(self) -> None:
        log = log_of(pit((0, 110), (60, 110)) + pit((100, 93), (110, 93)))
        assert keys(log, 109) == []

    def test_a_silent_pit_probe_says_nothing_of_the_pit_but_that_nobody_watches_it(self) -> None:
        log = log_of(pit((0, 110), (60, 110), (61, 93), (70, 93)))
        assert keys(log, 72) == []
        (alarm,) = due(fold(log, T0 + 90 * 60))
        assert alarm.key == f"unwatched:pit:{T0 + 4200:.0f}"
        assert alarm.text == "Pit is silent, so nothing watches the fire. Look at both."
        off = AlarmTuning(band=False, fire_out=False, grease_fire=False)
        assert keys(log, 90, off) == []

    def test_a_pit_probe_that_a_rule_follows_is_called_once(self) -> None:
        followed = Stage(
            "s1", "Smoke", (UntilTemperature(120.0, channel="pit"),), pit_target_c=110.0
        )
        log = log_of(pit((0, 110), (60, 110)), None, followed)
        assert keys(log, 90) == ["silent"]

    def test_a_stage_without_a_pit_temperature_calls_for_none(self) -> None:
        rest = Stage("s1", "Rest", (UntilSaid(),))
        assert keys(log_of(pit((0, 110), (60, 25), (120, 25)), None, rest), 120) == []

    def test_an_answer_holds_while_the_cause_lasts_and_a_snooze_calls_again(self) -> None:
        log = log_of(pit((0, 110), (60, 110), (61, 93), (120, 93)))
        book = AlarmBook()
        standing = fold(log, T0 + 80 * 60)
        (alarm,) = book.fresh(standing, log.holding())
        entries = (
            *log.holding(),
            Entry(90, standing.at_s, standing.at_s, AlarmRaised(alarm.key, alarm.text)),
            Entry(91, standing.at_s, standing.at_s, AlarmAcknowledged(alarm.key, 300.0)),
        )
        later = fold(log, T0 + 84 * 60)
        assert book.sounding(later, entries, later.at_s) == ()
        later = fold(log, T0 + 86 * 60)
        assert book.sounding(later, entries, later.at_s) == (alarm,)


class TestFireOut:
    OUT = pit((0, 110), (60, 110), (90, 60), (120, 40))

    def test_a_steady_fall_is_a_fire_that_may_be_out(self) -> None:
        (alarm,) = due(fold(log_of(self.OUT), T0 + 80 * 60))
        assert alarm.level == "insistent"
        assert alarm.key == f"fire_out:pit:{T0 + 3600 + 60:.0f}"
        assert "Never add pellets to a hot fire pot" in alarm.text

    def test_one_cause_one_call(self) -> None:
        assert keys(log_of(self.OUT), 110) == ["fire_out"]
        assert keys(log_of(self.OUT), 110, AlarmTuning(fire_out=False)) == ["pit_low"]

    def test_it_is_over_once_the_pit_rises_again(self) -> None:
        log = log_of(pit((0, 110), (60, 110), (90, 60), (120, 110), (180, 110)))
        assert keys(log, 89) == ["fire_out"]
        assert keys(log, 115) == []
        assert keys(log, 180) == []

    def test_a_pit_that_comes_down_to_a_lower_set_point_burns(self) -> None:
        first = Stage("s1", "Smoke", (ForTime(3600.0),), pit_target_c=150.0, alert="none")
        log = log_of(pit((0, 150), (60, 150), (90, 104), (150, 104)), None, first, SMOKE)
        assert [keys(log, m) for m in range(0, 150, 3)] == [[]] * 50


class TestGreaseFire:
    def test_far_over_and_rising_is_called_within_minutes(self) -> None:
        log = log_of(pit((0, 110), (60, 110), (64, 230), (80, 230)))
        (alarm,) = due(fold(log, T0 + 62.5 * 60))
        assert alarm.level == "insistent"
        assert alarm.text.startswith("Fire?")
        assert "Keep the lid closed" in alarm.text
        assert "No water" in alarm.text
        assert keys(log, 79) == ["blaze"]
        assert keys(log, 62.5, AlarmTuning(grease_fire=False)) == []

    def test_one_reading_is_no_fire(self) -> None:
        quiet = pit((0, 110), (60, 110))
        log = log_of([*quiet, (3605.0, "pit", 240.0), *ramp("pit", 3615, 4200, 110, 110)])
        assert [keys(log, 60 + n / 12) for n in range(20)] == [[]] * 20

    def test_it_goes_on_although_the_probe_burns(self) -> None:
        log = log_of(pit((0, 110), (60, 110), (64, 300), (66, 300)))
        assert keys(log, 90) == ["blaze", "unwatched"]

    def test_a_pit_that_was_hotter_before_a_lower_set_point_is_no_fire(self) -> None:
        first = Stage("s1", "Smoke", (ForTime(3600.0),), pit_target_c=230.0, alert="none")
        log = log_of(pit((0, 230), (60, 230), (150, 110), (200, 110)), None, first, SMOKE)
        assert [keys(log, m) for m in range(0, 200, 3)] == [[]] * 67


class TestLid:
    @settings(max_examples=25, deadline=None)
    @given(
        opened=st.lists(st.tuples(st.integers(60, 200), st.integers(10, 600)), max_size=4),
        air_c=st.integers(-15, 35),
        target_c=st.sampled_from([85.0, 110.0, 150.0]),
        dice=st.integers(1, 1000),
    )
    def test_an_opening_that_was_logged_raises_nothing(
        self, opened: list[tuple[int, int]], air_c: int, target_c: float, dice: int
    ) -> None:
        case = practice_pit(
            _apart(opened), target_c=target_c, outside=Outside(air_c, 3.0, 60.0), dice=dice
        )
        assert raised(case.log, T0, T0 + case.for_s) == []

    @settings(max_examples=25, deadline=None)
    @given(
        opened=st.lists(st.tuples(st.integers(60, 200), st.integers(10, 300)), max_size=4),
        air_c=st.integers(-15, 35),
        target_c=st.sampled_from([85.0, 110.0, 150.0]),
        dice=st.integers(1, 1000),
    )
    def test_nor_does_one_of_up_to_five_minutes_that_nobody_logged(
        self, opened: list[tuple[int, int]], air_c: int, target_c: float, dice: int
    ) -> None:
        case = practice_pit(
            _apart(opened),
            target_c=target_c,
            outside=Outside(air_c, 3.0, 60.0),
            dice=dice,
            logged=False,
        )
        assert raised(case.log, T0, T0 + case.for_s) == []

    def test_a_fire_that_went_out_under_the_lid_is_called_all_the_same(self) -> None:
        lids: list[tuple[float, Payload]] = [(3600, Lid(True)), (3660, Lid(False))]
        log = log_of(pit((0, 110), (60, 110), (62, 80), (120, 30)), lids)
        assert keys(log, 75) == []
        assert keys(log, 82) == ["fire_out"]

    def test_a_lid_of_which_nobody_says_that_it_came_down_hides_nothing_for_long(self) -> None:
        log = log_of(pit((0, 110), (60, 110), (62, 80), (180, 80)), [(3600, Lid(True))])
        assert keys(log, 90) == []
        assert keys(log, 112) == ["pit_low"]

    def test_a_pit_that_was_too_cold_before_stays_so_while_the_lid_is_up(self) -> None:
        lids: list[tuple[float, Payload]] = [(4800, Lid(True)), (4860, Lid(False))]
        readings = pit((0, 110), (60, 110), (61, 93), (80, 93), (81, 60), (85, 93), (120, 93))
        log = log_of(readings, lids)
        first, later = (due(fold(log, T0 + m * 60)) for m in (79, 119))
        assert first == later != ()


def _apart(opened: list[tuple[int, int]]) -> list[tuple[float, float]]:
    """Openings (minute, seconds) as (s, s), each after the one before came down."""
    found: list[tuple[float, float]] = []
    for minute, for_s in sorted(opened):
        if not found or minute * 60 > found[-1][0] + found[-1][1] + 60:
            found.append((minute * 60.0, float(for_s)))
    return found


class TestOverSimulatedPits:
    """`python -m tests.trust alarms` does the same over all of them."""

    def test_few_false_alarms_and_nothing_missed(self) -> None:
        table = count(cases(recipes.part("quick")[::4]))
        assert sum(counted.hours for counted in table.values()) > 50
        assert [key for counted in table.values() for key in counted.false] == []
        assert {kind: counted.missed for kind, counted in table.items()} == dict.fromkeys(table, 0)
        assert max(table["grease fire"].took_s) <= 5 * 60
        assert max(table["flame-out"].took_s) <= 25 * 60

    def test_the_practice_pit_goes_out(self) -> None:
        case = practice_pit(out_s=2 * 3600.0)
        calls = raised(case.log, T0, T0 + case.for_s)
        assert [key.split(":")[0] for _, key in calls] == ["fire_out"]
        assert 0 < calls[0][0] - T0 - 2 * 3600 < 20 * 60

    def test_the_demo_cooks_in_which_nothing_was_wrong_call_for_nothing(
        self, tmp_path: Path
    ) -> None:
        counted = count_logs(demo_logs(tmp_path / "journal"))
        assert counted.hours > 40
        assert counted.false == []
