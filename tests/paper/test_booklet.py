"""Several cooks as one booklet, read back: contents that tell the pages, each cook on a page of its own."""

from __future__ import annotations

import errno
from dataclasses import replace
from pathlib import Path

import pytest
from pypdf import PdfReader

from smokejournal.cook.summary.sheet_sections import sheet_of
from smokejournal.cook.text.quantities import METRIC
from smokejournal.paper.summary_pdf import booklet_pdf, sheet_pdf
from tests.support import sheets

pytestmark = pytest.mark.usefixtures("qapp")


def test_the_contents_name_the_page_on_which_each_cook_begins(tmp_path: Path) -> None:
    summary, score = sheets.summed(sheets.full())
    sheet = sheet_of(summary, METRIC)
    alone = sheet_pdf(sheet, score, METRIC, tmp_path / "one.pdf")
    titles = [f"Cook number {n}" for n in range(1, 5)]
    cooks = [(replace(sheet, title=title), score) for title in titles]
    path = tmp_path / "all.pdf"
    count = booklet_pdf("Four cooks", cooks, METRIC, path)
    pages = [" ".join(page.extract_text().split()) for page in PdfReader(path).pages]
    assert len(pages) == count == 1 + 4 * alone
    assert pages[0].startswith("Four cooks")
    for n, title in enumerate(titles):
        begins = 2 + n * alone
        assert pages[begins - 1].startswith(title)
        assert f"page {begins} of {count}" in pages[begins - 1]
    # What stands last in the line of each.
    listed = pages[0].partition("Page")[2].partition("From the log")[0].split("Cook number")[1:]
    assert [int(line.split()[-1]) for line in listed] == [2 + n * alone for n in range(4)]


def test_many_cooks_have_contents_of_several_pages_and_right_numbers(tmp_path: Path) -> None:
    summary, _ = sheets.summed(sheets.full())
    sheet = replace(sheet_of(summary, METRIC), sections=(), first_page=0)
    cooks = [(replace(sheet, title=f"Cook {n:03}"), None) for n in range(90)]
    path = tmp_path / "all.pdf"
    count = booklet_pdf("Ninety cooks", cooks, METRIC, path)
    pages = [" ".join(page.extract_text().split()) for page in PdfReader(path).pages]
    before = count - 90
    assert before >= 2
    assert pages[before].startswith("Cook 000")
    assert f"page {before + 90} of {count}" in pages[-1]


def test_something_else_than_a_file_is_never_written_over(tmp_path: Path) -> None:
    with pytest.raises(OSError, match="in its place") as told:
        booklet_pdf("None", [], METRIC, tmp_path)
    assert told.value.errno == errno.EINVAL
