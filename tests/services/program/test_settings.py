from __future__ import annotations

import json
from concurrent.futures import Future
from dataclasses import fields
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.progress.alarms import BAND_K, SPOTS_K, WAIT_S, AlarmTuning
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.quantities import METRIC, US, Units
from smokejournal.services.program import settings
from smokejournal.services.program.settings import Settings


class KeptInMemory:
    """Settings as the journal keeps them: JSON by key."""

    def __init__(self) -> None:
        self.kept: dict[str, str] = {}

    def setting(self, key: str, default: Any = None) -> Any:
        return json.loads(self.kept[key]) if key in self.kept else default

    def unread_settings(self) -> tuple[str, ...]:
        return ()

    def set_setting(self, key: str, value: Any) -> Future[Any]:
        self.kept[key] = json.dumps(value)
        future: Future[Any] = Future()
        future.set_result(None)
        return future


units = st.builds(
    Units, **{f.name: st.sampled_from(settings.unit_choices(f.name)) for f in fields(Units)}
)
everything = st.builds(
    Settings,
    units=units,
    ground=st.sampled_from(["day", "sun", "night"]),
    currency=st.sampled_from(["EUR", "USD", "CHF"]),
    page=st.sampled_from(["A4", "Letter"]),
    hopper_kg=st.none() | st.floats(0.1, 500),
    place=st.text(st.characters(exclude_categories=["Cs"]), max_size=40).map(str.strip),
    keep_awake=st.booleans(),
    ground_by=st.sampled_from(["hand", "time", "system"]),
    night_from_s=st.floats(0, 86_399),
    night_to_s=st.floats(0, 86_399),
    zone=st.sampled_from(["", "Europe/Berlin", "America/Chicago"]),
    alarms=st.builds(
        AlarmTuning,
        band=st.booleans(),
        band_k=st.floats(*BAND_K),
        band_s=st.floats(*WAIT_S),
        grease_fire=st.booleans(),
        spots_k=st.floats(*SPOTS_K),
    ),
)


@given(everything)
def test_what_is_kept_comes_back(chosen: Settings) -> None:
    store = KeptInMemory()
    settings.save(store, chosen)
    loaded = settings.load(store)
    assert loaded.settings == chosen
    assert loaded.refused == ()


def test_an_empty_journal_gives_the_defaults() -> None:
    assert settings.load(KeptInMemory()).settings == Settings()
    assert settings.load(KeptInMemory(), settings.for_country("us")).settings.units == US


def test_only_what_changed_is_written() -> None:
    store = KeptInMemory()
    settings.save(store, Settings(page="Letter"), before=Settings())
    assert list(store.kept) == ["page"]


def test_a_kept_value_that_cannot_be_used_is_named_and_stands_at_its_default() -> None:
    store = KeptInMemory()
    store.kept |= {
        "units.temperature": '"K"',
        "units.mass": '"lb"',
        "hopper_kg": '"plenty"',
        "zone": '"Atlantis/Centre"',
        "page": "[]",
        "currency": "12",
    }
    loaded = settings.load(store)
    assert loaded.settings == Settings(units=Units(mass="lb"))
    assert {r.key for r in loaded.refused} == {
        "units.temperature",
        "hopper_kg",
        "zone",
        "page",
        "currency",
    }
    assert all(r.why for r in loaded.refused)


@pytest.mark.parametrize(
    ("wrong", "names"),
    [
        (Settings(currency="euro"), "Currency"),
        (Settings(hopper_kg=0.0), "above 0 kg"),
        (Settings(hopper_kg=float("nan")), "above 0 kg"),
        (Settings(hopper_kg=5000.0), "up to 500 kg"),
        (Settings(zone="../../etc/passwd"), "time zone"),
        (Settings(zone="Atlantis/Centre"), "time zone"),
        (Settings(place="x" * 201), "200"),
    ],
)
def test_wrong_settings_are_refused_and_nothing_is_written(wrong: Settings, names: str) -> None:
    store = KeptInMemory()
    with pytest.raises(SchemaProblem, match=names):
        settings.save(store, wrong)
    assert store.kept == {}


def test_a_currency_is_kept_in_capitals() -> None:
    assert settings.accept("currency", " eur ") == "EUR"


def test_metric_is_what_stands_first() -> None:
    assert Settings().units == METRIC
