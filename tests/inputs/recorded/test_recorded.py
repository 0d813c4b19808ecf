from __future__ import annotations

import csv
import io
import math
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from smokejournal.cook.text.quantities import METRIC
from smokejournal.inputs.recorded import text as text_module
from smokejournal.inputs.recorded.form import WrittenForm, open_points
from smokejournal.inputs.recorded.guess import (
    guess_again,
    guess_file,
    with_heading,
    with_time_columns,
)
from smokejournal.inputs.recorded.read import FileReadings, ReadingStopped, read_recorded
from smokejournal.inputs.recorded.text import TableTrouble
from smokejournal.inputs.recorded.words import findings
from tests.inputs.recorded.samples import PLAIN, SAMPLES, Sample

ZONE = "Europe/Berlin"


def a_file(folder: Path, content: str | bytes) -> Path:
    path = folder / "readings.csv"
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    return path


def answered(form: WrittenForm, answers: dict[str, object]) -> WrittenForm:
    """The form with what a person says."""
    said = dict(answers)
    unit = said.pop("unit", None)
    if unit is not None:
        columns = tuple(replace(c, unit=c.unit or unit) for c in form.columns)  # type: ignore[arg-type]
        form = replace(form, columns=columns)
    return replace(form, time=replace(form.time, **said))  # type: ignore[arg-type]


def rows_of(read: FileReadings) -> list[tuple[str, tuple[float | None, ...]]]:
    return [
        (
            datetime.fromtimestamp(at_s, UTC).isoformat()[:19],
            tuple(None if math.isnan(v) else v for v in values),
        )
        for at_s, values in zip(read.at_s.tolist(), read.values_c.tolist(), strict=True)
    ]


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda sample: sample.name)
def test_a_table_means_this_or_is_asked_about_or_refused(sample: Sample, tmp_path: Path) -> None:
    path = a_file(tmp_path, sample.content)
    if sample.trouble:
        with pytest.raises(TableTrouble, match=sample.trouble):
            guess_file(path, ZONE)
        return
    form = guess_file(path, ZONE)
    assert open_points(form) == sample.asked
    if sample.asked:
        assert not read_recorded(form).readings
    if sample.then_asked:
        assert read_recorded(form).open == sample.then_asked
    read = read_recorded(answered(form, sample.answers))
    assert not read.open
    wanted = [
        (at, tuple(None if v is None else pytest.approx(v) for v in row)) for at, row in sample.rows
    ]
    assert rows_of(read) == wanted
    assert read.refused_lines == sample.refused
    assert read.lines == len(sample.rows) + sample.refused
    assert sum(refusal.count for refusal in read.refused_cells) == sample.refused_cells
    assert read.empty_cells == sample.empty or not sample.empty
    assert len(read.listed) == sample.refused


DIALECTS = st.tuples(
    st.sampled_from([(",", "."), (";", ","), (";", "."), ("\t", ","), ("\t", "."), ("|", ".")]),
    st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252"]),
    st.sampled_from(["\n", "\r\n", "\r"]),
    st.sampled_from(["iso", "zulu", "epoch", "epoch_ms", "us", "apart"]),
    st.sampled_from(["C", "F"]),
    st.booleans(),
)
TENTHS = st.lists(st.integers(-300, 3000), min_size=3, max_size=3)


@settings(max_examples=150, deadline=None)
@given(
    dialect=DIALECTS,
    # Days after the 12th, so that nothing has to be asked, and none on which clocks change.
    start=st.integers(0, 86_400 * 5).map(lambda s: 1_781_500_000 + s),
    step=st.integers(1, 900),
    rows=st.lists(TENTHS, min_size=3, max_size=25),
)
def test_what_any_dialect_writes_is_read_back(
    tmp_path_factory: pytest.TempPathFactory,
    dialect: tuple[tuple[str, str], str, str, str, str, bool],
    start: int,
    step: int,
    rows: list[list[int]],
) -> None:
    (delimiter, decimal), encoding, end, time, unit, quoted = dialect
    out = io.StringIO()
    quoting = csv.QUOTE_ALL if quoted else csv.QUOTE_MINIMAL
    writer = csv.writer(out, delimiter=delimiter, lineterminator=end, quoting=quoting)
    heads = [f"{name} (°{unit})" for name in ("Pit", "Meat 1", "Meat 2")]
    writer.writerow([*(("Date", "Clock") if time == "apart" else ("Time",)), *heads])
    for n, row in enumerate(rows):
        at_s = start + n * step
        there = datetime.fromtimestamp(at_s, ZoneInfo(ZONE))
        written = {
            "iso": (f"{there:%Y-%m-%d %H:%M:%S}",),
            "zulu": (f"{datetime.fromtimestamp(at_s, UTC):%Y-%m-%dT%H:%M:%SZ}",),
            "epoch": (str(at_s),),
            "epoch_ms": (str(at_s * 1000),),
            "us": (f"{there:%m/%d/%Y %I:%M:%S %p}",),
            "apart": (f"{there:%d.%m.%Y}", f"{there:%H:%M:%S}"),
        }[time]
        writer.writerow([*written, *(f"{v / 10:.1f}".replace(".", decimal) for v in row)])
    path = a_file(tmp_path_factory.mktemp("dialect"), out.getvalue().encode(encoding))
    form = guess_file(path, ZONE)
    assert open_points(form) == ()
    read = read_recorded(form)
    assert read.refused == read.refused_cells == ()
    assert read.at_s.tolist() == [start + n * step for n in range(len(rows))]
    values = np.array(rows) / 10
    expected = values if unit == "C" else (values - 32) / 1.8
    np.testing.assert_allclose(read.values_c, expected, atol=1e-9)


def test_steps_back_and_gaps_are_told(tmp_path: Path) -> None:
    lines = [f"2026-03-04 14:{n:02}:00,{n}\n" for n in range(20)]
    lines += ["2026-03-04 14:05:30,5\n", "2026-03-04 17:00:00,7\n"]
    read = read_recorded(guess_file(a_file(tmp_path, "Time,Pit °C\n" + "".join(lines)), ZONE))
    assert (read.backward, read.backward_line) == (1, 22)
    assert (read.gaps, read.longest_gap_s) == (1, 2 * 3600 + 54.5 * 60)


def test_examples_name_line_and_text(tmp_path: Path) -> None:
    path = a_file(tmp_path, PLAIN + "soon,1,2\n" * 5)
    (refusal,) = read_recorded(guess_file(path, ZONE)).refused
    assert refusal.count == 5
    assert refusal.examples == ((4, "soon,1,2"), (5, "soon,1,2"), (6, "soon,1,2"))


def test_shown_lines_point_at_their_rows(tmp_path: Path) -> None:
    lines = [
        "soon,1\n",
        *(f"2026-03-29 0{h}:{m:02},{h}{m:02}\n" for h in (1, 2, 3) for m in (10, 50)),
    ]
    read = read_recorded(
        guess_file(a_file(tmp_path, "Time,Pit °C\n2026-03-29 01:00,100\n" + "".join(lines)), ZONE)
    )
    for line in read.shown:
        if line.row is not None:
            assert line.text.endswith(f",{read.values_c[line.row, 0]:.0f}")
        else:
            assert line.reason
    assert read.refused_lines == 3


def test_a_person_puts_the_delimiter_and_the_time_right(tmp_path: Path) -> None:
    path = a_file(tmp_path, "UTC;Local;Pit °C\n2026-03-04 13:05;2026-03-04 14:05;107\n" * 2)
    form = guess_file(path, "UTC")
    assert form.time.columns == (0,)
    other = with_time_columns(form, (1,))
    assert read_recorded(other).at_s[0] - read_recorded(form).at_s[0] == 3600
    assert guess_again(form, ";") == form
    with pytest.raises(TableTrouble):
        guess_again(form, "|")


def test_too_large_a_file_is_refused_at_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = a_file(tmp_path, PLAIN)
    form = guess_file(path, ZONE)
    monkeypatch.setattr(text_module, "MOST_LINES", 2)
    with pytest.raises(TableTrouble, match="more than 2 lines"):
        read_recorded(form)
    monkeypatch.setattr(text_module, "LARGEST_BYTES", 10)
    with pytest.raises(TableTrouble, match="larger"):
        guess_file(path, ZONE)


def test_one_endless_line_is_refused(tmp_path: Path) -> None:
    path = a_file(tmp_path, b"1," * (1 << 20))
    with pytest.raises(TableTrouble, match="too long"):
        guess_file(path, ZONE)


def test_reading_ends_when_nobody_wants_it(tmp_path: Path) -> None:
    form = guess_file(a_file(tmp_path, PLAIN * 10_000), ZONE)
    with pytest.raises(ReadingStopped):
        read_recorded(form, lambda: True)


def test_what_looks_odd_is_said(tmp_path: Path) -> None:
    lines = "Time,Pit °C,Meat °C\n2026-03-04 14:05,225,1072\n2026-03-04 14:05,226,1072\n2026-03-04 14:06,22"
    form = guess_file(a_file(tmp_path, lines + "5,1073"), ZONE)
    read = read_recorded(form)
    assert (read.together, read.beyond, read.unended) == (1, 3, True)
    said = "\n".join(findings(form, read, METRIC))
    assert "Pit °C: 225 is unusual in °C. In °F it would be 107 °C" in said
    assert "above 500 °C: 3." in said
    assert "Rows at a moment that an earlier row has: 1." in said
    assert "The last line has no end." in said
    ended = read_recorded(guess_file(a_file(tmp_path, PLAIN.encode("utf-16-le")), ZONE))
    assert not ended.unended


def test_a_person_says_where_the_names_stand(tmp_path: Path) -> None:
    form = guess_file(a_file(tmp_path, "A,B °C,C °C\n" + PLAIN), ZONE)
    assert (form.heading, form.first) == (2, 3)
    other = with_heading(form, 1)
    assert (other.names, other.first) == (("A", "B °C", "C °C"), 2)
    assert read_recorded(other).refused_lines == 1
    assert with_heading(form, 0).names == ("1", "2", "3")
    with pytest.raises(TableTrouble, match="Line 9 has 0 columns"):
        with_heading(form, 9)
