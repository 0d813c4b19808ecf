"""The checklist, read back by a reader that knows nothing of the program."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from pypdf import PdfReader

from smokejournal.cook.log.entries import ItemAdded, PrepStep, TimesKept
from smokejournal.cook.plan.prep_progress import LivedStep
from smokejournal.cook.text.quantities import METRIC, US, Units
from smokejournal.cook.timetable.timetable import Timetable
from smokejournal.paper.checklist import checklist_pdf, checklist_sheet
from smokejournal.paper.summary_pdf import PageName
from tests.support.timetable_examples import FIVE, HOUR, NOW_S, ONE

pytestmark = pytest.mark.usefixtures("qapp")
ITEMS = [ItemAdded("shoulder", "red_meat", mass_kg=2.8)]
LIVED = [LivedStep("brine", 1, PrepStep("Brine", "6 % salt, 4 l of water", 10 * HOUR))]


def printed(
    path: Path,
    timetable: Timetable = ONE,
    title: str = "Shoulder on Saturday",
    page: PageName = "A4",
    units: Units = METRIC,
    kept: TimesKept | None = None,
    *,
    simulated: bool = False,
) -> list[str]:
    """The text of each page on one line."""
    sheet = checklist_sheet(
        timetable, title, "The yard", units, kept, lived=LIVED, items=ITEMS, simulated=simulated
    )
    count = checklist_pdf(sheet, units, path, page)
    pages = [" ".join(found.extract_text().split()) for found in PdfReader(path).pages]
    assert len(pages) == count
    return pages


def rects_and_lines(path: Path, number: int = 0) -> bytes:
    content = PdfReader(path).pages[number].get_contents()
    assert content is not None
    return content.get_data()


@pytest.mark.parametrize(("page", "points"), [("A4", (595, 842)), ("Letter", (612, 792))])
def test_one_page_with_every_step_by_day(
    tmp_path: Path, page: PageName, points: tuple[int, int]
) -> None:
    (text,) = printed(tmp_path / "list.pdf", page=page)
    for said in (
        "Shoulder on Saturday",
        "Wanted at the table: 28 Nov 2026, 18:00",
        "to be ready 15 min before",
        "The yard",
        "6 % salt, 4 l of water",
        "Smoke: shoulder",
        "05:45 – 08:45",
        "Takes 9 h 30 min",
        "(7 h 40 min – 12 h)",
        "107 °C",
        "Raw food stays at 4.4 °C (40 °F) or below",
        "62.8 °C (145 °F)",
        "Local codes",
        "Remarks",
        "Counted back on 27 Nov 2026, 20:10",
    ):
        assert said in text, said
    order = [text.index(said) for said in ("Fri 27 Nov", "Brine", "Sat 28 Nov", "Rinse", "Warm up")]
    assert order == sorted(order)
    box = PdfReader(tmp_path / "list.pdf").pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx(points, abs=1)


def test_in_the_units_of_the_other_kind(tmp_path: Path) -> None:
    (text,) = printed(tmp_path / "list.pdf", page="Letter", units=US)
    assert "5:45 am – 8:45 am" in text
    assert "225 °F" in text


def test_clashes_and_what_is_not_known_stand_below(tmp_path: Path) -> None:
    text = " ".join(printed(tmp_path / "list.pdf", FIVE))
    for clash in FIVE.clashes:
        assert clash.text in text
        assert clash.cure in text
    assert "Time not known" in text
    for why in FIVE.unknown:
        assert why in text
    untimed = tuple(replace(step, start=None, end=None) for step in ONE.steps)
    (text,) = printed(tmp_path / "none.pdf", replace(ONE, wanted_s=None, steps=untimed))
    assert "When it is wanted is not said yet" in text
    assert "Smoke: shoulder" in text


def test_what_is_over_is_left_out_and_that_is_said(tmp_path: Path) -> None:
    brine, rinse, *others = ONE.steps
    (text,) = printed(
        tmp_path / "list.pdf",
        replace(ONE, steps=(replace(brine, state="over"), rinse, *others)),
    )
    assert "6 % salt" not in text
    assert "1 step that is over or skipped is left out" in text
    steps = (replace(brine, state="over"), replace(rinse, state="skipped"), *others)
    (text,) = printed(tmp_path / "more.pdf", replace(ONE, steps=steps))
    assert "2 steps that are over or skipped are left out" in text


def test_kept_times_stand_beside(tmp_path: Path) -> None:
    kept = TimesKept({"stage:s1": NOW_S + 8 * HOUR}, NOW_S + 21 * HOUR)
    (text,) = printed(tmp_path / "list.pdf", kept=kept)
    assert "Saved: start Sat 04:10" in text


def test_a_box_for_each_step_and_lines_in_what_is_left(tmp_path: Path) -> None:
    printed(tmp_path / "list.pdf")
    drawn = rects_and_lines(tmp_path / "list.pdf")
    printed(tmp_path / "fewer.pdf", replace(ONE, steps=ONE.steps[:-1]))
    fewer = rects_and_lines(tmp_path / "fewer.pdf")

    def squares(data: bytes) -> int:
        found = re.findall(rb"[-\d.]+ [-\d.]+ ([-\d.]+) ([-\d.]+) re\nS\b", data)
        return sum(abs(float(w)) == abs(float(h)) for w, h in found)

    assert squares(drawn) == len(ONE.steps)
    assert squares(fewer) == len(ONE.steps) - 1


def test_there_is_no_color_in_it(tmp_path: Path) -> None:
    printed(tmp_path / "list.pdf")
    for match in re.finditer(
        rb"([\d.]+) ([\d.]+) ([\d.]+) (?:rg|RG|scn|SCN)\b", rects_and_lines(tmp_path / "list.pdf")
    ):
        assert len({float(part) for part in match.groups()}) == 1


def test_what_does_not_fit_flows_to_a_second_page(tmp_path: Path) -> None:
    brine = ONE.steps[0]
    many = tuple(
        replace(brine, key=f"prep:{n}", name=f"Step number {n:02d}", text="some words " * 8)
        for n in range(15)
    )
    pages = printed(tmp_path / "list.pdf", replace(ONE, steps=many), "L" * 300)
    assert len(pages) == 2
    text = " ".join(pages)
    places = [text.index(f"Step number {n:02d}") for n in range(15)]
    assert places == sorted(places)
    assert "page 2 of 2" in pages[1]
    assert "Remarks" not in pages[0]
    assert "Remarks" in pages[1]


def test_simulated_says_so(tmp_path: Path) -> None:
    assert "SIMULATED" in printed(tmp_path / "list.pdf", simulated=True)[0]


def test_hostile_words_stay_words(tmp_path: Path) -> None:
    title = "<b>Ribs</b>; 🐟 \a first\nsecond"
    (text,) = printed(tmp_path / "list.pdf", title=title)
    assert "<b>Ribs</b>;" in text
    assert "second" in text


def test_a_file_that_cannot_be_written_leaves_what_is_there(tmp_path: Path) -> None:
    target = tmp_path / "folder.pdf"
    target.mkdir()
    with pytest.raises(OSError):
        printed(target)
    with pytest.raises(OSError):
        printed(tmp_path / "no" / "such.pdf")
    assert list(tmp_path.iterdir()) == [target]
