"""Raw values of home-made probes: read as what was set, refused with the reason, kept in a form."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.inputs.cell import Column
from smokejournal.inputs.configs import config_from_json
from smokejournal.inputs.line_format import LineFormat, format_from_json
from smokejournal.inputs.replay_config import ReplayConfig
from smokejournal.inputs.sensor import Sensor, sensor_from_json, sensor_words, worst_k
from smokejournal.inputs.table import rows_of
from smokejournal.science.probes import platinum, thermistor, thermocouple

K = Sensor("mV", "thermocouple", "K", cold_c=20.0)
K_MEASURED = Sensor("mV", "thermocouple", "K", cold_source="2")
PT100 = Sensor("ohm", "platinum")
PT1000 = Sensor("counts", "platinum", r0_ohm=1000.0, fixed_ohm=1000.0, full_scale=65536.0)
BETA = Sensor(
    "counts", "thermistor", beta_k=3950.0, r25_ohm=10_000.0, fixed_ohm=10_000.0, full_scale=4096.0
)
POINTS = Sensor("ohm", "thermistor", points=((25_000.0, 5.0), (10_000.0, 25.0), (4_000.0, 45.0)))
ALL = (K, K_MEASURED, PT100, PT1000, BETA, POINTS)


def read(sensor: Sensor, line: str, scale: float = 1.0) -> tuple[list[float], list[str]]:
    form = LineFormat(columns=(Column("1", "p", scale=scale, sensor=sensor), Column("2", "cold")))
    parsed = form.parse(line)
    return (
        [value.value_c for value in parsed.values if value.channel == "p"],
        [refused.reason for refused in parsed.refused if refused.source == "1"],
    )


@pytest.mark.parametrize(
    ("sensor", "cell", "scale", "t_c"),
    [
        # 4.096 mV is 100 °C against ice (NIST table); 0.798 mV belongs to the 20 °C of the cold end.
        (K, "3.298", 1.0, 100.0),
        (K, "3298", 0.001, 100.0),
        (K, "3.298 mV", 1.0, 100.0),
        (K_MEASURED, "3.298", 1.0, 100.0),
        (PT100, "138.51", 1.0, 100.0),
        (PT100, "138.51 Ω", 1.0, 100.0),
        (POINTS, "10000", 1.0, 25.0),
        (POINTS, "10 ohm", 1000.0, 25.0),
        (BETA, "2048", 1.0, 25.0),
    ],
)
def test_read(sensor: Sensor, cell: str, scale: float, t_c: float) -> None:
    values, refused = read(sensor, f"{cell},20.0", scale)
    assert refused == []
    assert values == pytest.approx([t_c], abs=0.02)


@pytest.mark.parametrize(
    ("sensor", "line", "reason"),
    [
        (Sensor("mV"), "1,20", "it is not said which probe sends this"),
        (K, "99,20", "no temperature gives this: probe open, shorted or another one"),
        (K, "100 °C,20", "not a number"),
        (K_MEASURED, "3.2,--", "the cold end's temperature is missing"),
        (K_MEASURED, "3.2,400", "the cold end can't be that cold or hot"),
        (PT100, "0,20", "no temperature gives this: probe open, shorted or another one"),
        (BETA, "0,20", "counts at their end: probe open or shorted"),
        (BETA, "4095,20", "counts at their end: probe open or shorted"),
        (POINTS, "-5,20", "no temperature gives this: probe open, shorted or another one"),
        (POINTS, "1e999,20", "no thermometer reads this"),
    ],
)
def test_refused(sensor: Sensor, line: str, reason: str) -> None:
    assert read(sensor, line) == ([], [reason])


def test_a_cold_end_from_a_column_in_other_units() -> None:
    form = LineFormat(columns=(Column("1", "p", sensor=K_MEASURED), Column("2", unit="F")))
    parsed = form.parse("3.298,68.0")
    assert parsed.values[0].value_c == pytest.approx(100.0, abs=0.02)


@given(st.sampled_from(ALL), st.text(max_size=12))
def test_nothing_raises(sensor: Sensor, text: str) -> None:
    values, refused = read(sensor, f"{text.replace(',', '')},20")
    assert len(values) + len(refused) == 1


@given(st.floats(-20, 200))
def test_each_is_the_way_back_of_what_it_measures(t_c: float) -> None:
    mv = thermocouple.emf_mv("K", t_c, 20.0)
    assert K.to_celsius(mv) == pytest.approx(t_c, abs=1e-6)
    assert PT100.to_celsius(platinum.resistance_ohm(t_c)) == pytest.approx(t_c, abs=1e-6)
    ohm = thermistor.beta_curve(3950.0, 10_000.0).resistance_ohm(t_c)
    counts = 4096.0 * thermistor.divider_share(ohm, 10_000.0)
    if 0 < counts < 4095:
        assert BETA.to_celsius(counts) == pytest.approx(t_c, abs=1e-6)


@pytest.mark.parametrize("sensor", ALL, ids=sensor_words)
def test_written_and_read_again(sensor: Sensor) -> None:
    assert sensor_from_json(sensor.to_json(), "sensor") == sensor
    form = LineFormat(columns=(Column("1", "p", sensor=sensor),))
    assert format_from_json(form.to_json()) == form
    assert form.to_json()["version"] == 2
    table = ReplayConfig("a.csv", columns=(Column("p", "p", sensor=sensor),))
    assert config_from_json(table.to_json()) == table


def test_without_a_sensor_the_form_is_what_it_was() -> None:
    """Written by the first version; it must be read for ever."""
    old = {
        "version": 1,
        "kind": "delimited",
        "delimiter": ",",
        "decimal": ".",
        "width": 2,
        "columns": [
            {"source": "1", "channel": "pit", "unit": "F", "scale": 0.1, "label": "Pit"},
            {"source": "2", "channel": "meat", "unit": "C", "scale": 1.0, "label": ""},
        ],
    }
    form = format_from_json(old)
    assert form.columns[0] == Column("1", "pit", "F", 0.1, "Pit")
    assert form.to_json() == old


@pytest.mark.parametrize(
    ("change", "where"),
    [
        ({"kind": "unsaid"}, "s.kind"),
        ({"kind": "platinum"}, "s.sends"),
        ({"type": "B"}, "s.type"),
        ({"cold_c": 500}, "s.cold_c"),
        ({"sends": "volts"}, "s.sends"),
        ({"color": 1}, "s.color"),
    ],
)
def test_what_cannot_be_written_is_named(change: dict[str, object], where: str) -> None:
    with pytest.raises(SchemaProblem) as told:
        sensor_from_json(K.to_json() | change, "s")
    assert told.value.where == where


@pytest.mark.parametrize(
    ("points", "words"),
    [
        ([[25000, 5], [10000, 25]], "three different points"),
        ([[25000, 45], [10000, 25], [4000, 5]], "must fall"),
        ([[25000, 5], [10000, 25], [4000]], "ohm, °C"),
        ([[25000, 5], [10000, 25], [-4, 45]], "number from 0.1"),
    ],
)
def test_points_that_make_no_curve_are_refused(points: object, words: str) -> None:
    with pytest.raises(SchemaProblem, match=words):
        sensor_from_json({"sends": "ohm", "kind": "thermistor", "points": points}, "s")


def test_how_well_many_points_fit_is_known() -> None:
    assert worst_k(POINTS) is None
    more = Sensor("ohm", "thermistor", points=(*POINTS.points, (2_000.0, 64.0)))
    found = worst_k(more)
    assert found is not None
    assert found > 0.0


def test_a_table_of_millivolts(tmp_path: Path) -> None:
    path = tmp_path / "raw.csv"
    path.write_text("seconds,tc,box\n0,3.298,20.0\n10,-,20.0\n20,3.298,\n", encoding="utf-8")
    config = ReplayConfig(
        str(path),
        "seconds",
        columns=(Column("tc", "p", sensor=Sensor("mV", "thermocouple", "K", cold_source="box")),),
    )
    found = list(rows_of(config))
    assert found[0].values[0].value_c == pytest.approx(100.0, abs=0.02)
    assert [refused.reason for row in found[1:] for refused in row.refused] == [
        "not a number",
        "the cold end's temperature is missing",
    ]
