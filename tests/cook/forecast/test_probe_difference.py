"""Two probes in one piece: by how much they differ, and what is said of it."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from smokejournal.cook.forecast.cook_so_far import ForecastInput, record_of
from smokejournal.cook.forecast.probe_difference import PairShift, ProbePair, pair_of, pair_words
from smokejournal.cook.log.entries import ItemAdded, Payload
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.log.schedule import Stage, UntilTemperature
from smokejournal.cook.progress.progress import fold
from smokejournal.cook.text.quantities import METRIC, US
from smokejournal.science.forecast.finish_shift import FinishShift
from tests.support.logs import MEAT, OTHER, PIT, T0, cook_log, ramp

H = 3600.0
STAGES = (Stage("s", "Smoke", (UntilTemperature(93.0),), pit_target_c=110.0),)
LEFT = Channel("meat", "Left", uncertainty_c=0.5)
RIGHT = Channel("other", "Right", uncertainty_c=0.5)
LATER = (600.0, 1200.0, 2100.0)


def pair_in(
    lead_c: float = 60.0,
    other_c: float = 58.2,
    said: tuple[tuple[float, Payload], ...] = (),
    channels: tuple[Channel, ...] = (PIT, LEFT, RIGHT),
    other_from_s: float = 0.0,
) -> ProbePair | None:
    """Both rise by 40 K in two hours to these."""
    readings = [
        *ramp("pit", 0, 2 * H, 110.0, 110.0, 60.0),
        *ramp("meat", 0, 2 * H, lead_c - 40.0, lead_c, 30.0),
        *ramp("other", other_from_s, 2 * H, other_c - 40.0, other_c, 30.0),
    ]
    log = cook_log(STAGES, said, readings, channels=channels)
    standing = fold(log, T0 + 2 * H)
    record = record_of(log, standing, T0 + 2 * H)
    other = record_of(log, standing, T0 + 2 * H, lead="other")
    assert isinstance(record, ForecastInput)
    assert isinstance(other, ForecastInput)
    return pair_of(log, record, other)


def words(
    pair: ProbePair, span_s: tuple[float, float, float] | None = LATER, **more: object
) -> str:
    shift = FinishShift(pair.higher_k, pair.sd_k, span_s, **more)  # type: ignore[arg-type]
    return pair_words(PairShift(pair, shift), 93.0, METRIC)


PAIR = ProbePair(LEFT, RIGHT, 1.8, 0.05, 58.2)


class TestPair:
    def test_the_difference_of_what_both_say(self) -> None:
        pair = pair_in()
        assert pair is not None
        assert pair.higher_k == pytest.approx(1.8)
        assert pair.other_c == pytest.approx(58.2)
        assert pair.noise_sd_k < 0.01
        # Two independent probes, each to ± 0.5 °C: JCGM 100:2008, (10).
        assert pair.known_k == pytest.approx(0.5 * math.sqrt(2.0))
        assert pair.sd_k == pytest.approx(0.25 * math.sqrt(2.0), rel=0.01)
        assert not pair.apart

    def test_corrected(self) -> None:
        pair = pair_in(channels=(PIT, LEFT, replace(RIGHT, offset_c=1.0)))
        assert pair is not None
        assert pair.higher_k == pytest.approx(0.8)

    def test_not_calibrated_is_taken_as_sold(self) -> None:
        pair = pair_in(channels=(PIT, MEAT, OTHER))
        assert pair is not None
        assert pair.known_k == pytest.approx(math.sqrt(2.0))

    def test_too_far_apart_for_one_spot(self) -> None:
        pair = pair_in(other_c=55.0)
        assert pair is not None
        assert pair.apart

    def test_never_heard_together_of_late(self) -> None:
        readings = [
            *ramp("pit", 0, 2 * H, 110.0, 110.0, 60.0),
            *ramp("meat", 0, 2 * H, 20.0, 60.0, 30.0),
            *ramp("other", 0, H, 20.0, 40.0, 30.0),
        ]
        log = cook_log(STAGES, (), readings, channels=(PIT, LEFT, RIGHT))
        standing = fold(log, T0 + 2 * H)
        record = record_of(log, standing, T0 + 2 * H)
        other = record_of(log, standing, T0 + 2 * H, lead="other")
        assert isinstance(record, ForecastInput)
        assert isinstance(other, ForecastInput)
        assert pair_of(log, record, other) is None

    def test_in_two_items_there_is_nothing_to_compare(self) -> None:
        said = ((0.0, ItemAdded("shoulder")), (0.0, ItemAdded("turkey")))
        shoulder, turkey = replace(LEFT, place="shoulder"), replace(RIGHT, place="turkey")
        assert pair_in(said=said, channels=(PIT, shoulder, turkey)) is None
        # Where nothing says which is in which, lead and check are taken as in one piece.
        assert pair_in(said=said) is not None


class TestWords:
    def test_later(self) -> None:
        assert words(PAIR) == (
            "Left reads 1.8 °C above Right. If Right is right, it is done about 20 min later (10 min – 35 min). Together the probes are known to ± 0.7 °C."
        )

    def test_sooner(self) -> None:
        said = words(replace(PAIR, higher_k=-1.8), (-2100.0, -1200.0, -600.0))
        assert said.startswith("Left reads 1.8 °C below Right. If Right is right, it is done ")
        assert "about 20 min sooner (10 min – 35 min)" in said

    def test_the_same(self) -> None:
        said = words(replace(PAIR, higher_k=0.02), (-300.0, 12.0, 300.0))
        assert said.startswith("Left and Right read the same. If Right is right, it is done about ")
        assert "about the same time (5 min sooner – 5 min later)" in said

    def test_degrees_fahrenheit(self) -> None:
        found = PairShift(PAIR, FinishShift(1.8, 0.3, LATER))
        assert pair_words(found, 93.0, US).startswith("Left reads 3.2 °F above Right.")

    @pytest.mark.parametrize(
        ("why", "said"), [("flat", "hardly rises"), ("beyond", "may not get past 93 °C")]
    )
    def test_where_minutes_cant_be_told(self, why: str, said: str) -> None:
        text = words(PAIR, None, why=why)
        assert "can't be estimated" in text
        assert said in text
        assert " min" not in text.replace("minutes", "")

    def test_already_there(self) -> None:
        text = words(replace(PAIR, higher_k=-1.8, other_c=93.4), (-900.0, -600.0, -300.0))
        assert "If Right is right, it is at 93 °C already." in text

    def test_how_well_the_probes_are_known(self) -> None:
        bare = replace(PAIR, followed=replace(LEFT, uncertainty_c=None))
        assert "± 1.0 °C assumed for Left, which isn't calibrated" in words(bare)
        both = replace(bare, other=replace(RIGHT, uncertainty_c=None))
        assert "Neither is calibrated, so ± 1.0 °C is assumed for each." in words(both)

    def test_far_apart(self) -> None:
        assert "both may be right" in words(replace(PAIR, higher_k=6.0))
