"""The printed sheet, read back by a reader that knows nothing of the program."""

from __future__ import annotations

import os
import re
import threading
from dataclasses import replace
from pathlib import Path

import pytest
from pypdf import PdfReader
from PySide6.QtGui import QPageSize
from PySide6.QtPrintSupport import QPrinter

from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.safety.cautions import SAFE_MINIMUM
from smokejournal.cook.summary.sheet import Paragraph, Table
from smokejournal.cook.summary.sheet_sections import sheet_of
from smokejournal.cook.text.quantities import METRIC, US, Units, clock_time, duration
from smokejournal.paper.pdf_text import readable
from smokejournal.paper.summary_document import summary_html
from smokejournal.paper.summary_pdf import PageName, print_summary, summary_pdf
from tests.support import sheets
from tests.support.logs import T0

pytestmark = pytest.mark.usefixtures("qapp")


def flat(text: str) -> str:
    """Without white space and soft ends of lines: words that were broken are whole again."""
    return re.sub(r"\s+", "", text)


_printed: dict[object, tuple[bytes, list[str]]] = {}


def printed(
    log: CookLog, path: Path, page: PageName = "A4", units: Units = METRIC, *, color: bool = True
) -> list[str]:
    """The text of each page; the file is left at `path`. What was printed before is not done again."""
    key = (id(log), page, units, color)
    if key not in _printed:
        summary, score = sheets.summed(log)
        count = summary_pdf(summary, score, units, path, page, color=color)
        pages = [found.extract_text() for found in PdfReader(path).pages]
        assert len(pages) == count
        _printed[key] = (path.read_bytes(), pages)
    path.write_bytes(_printed[key][0])
    return _printed[key][1]


class TestFullCook:
    @pytest.mark.parametrize("page", ["A4", "Letter"])
    def test_headings_and_numbers(self, tmp_path: Path, page: PageName) -> None:
        pages = printed(sheets.full(), tmp_path / "cook.pdf", page)
        text = " ".join(" ".join(pages).split())
        for heading in ("Pork shoulder", "On the grate", "Prep", "Weather", "Schedule", "Probes",
                        "At the pit", "Fuel", "Yield", "How it tasted", "Next time", "Cautions"):  # fmt: skip
            assert heading in text
        # Worked out here, from the readings alone.
        trace = sheets.full().trace("meat")
        reached = {t: float(trace.at_s[trace.value_c >= t][0]) for t in (74.0, 93.0)}
        for at_s in reached.values():
            assert clock_time(at_s, "Europe/Vienna") in text
            assert duration(60 * round((at_s - T0) / 60)) in text
        late = sheets.full().trace("other")
        later_s = float(late.at_s[late.value_c >= 74.0][0]) - reached[74.0]
        assert f"{later_s / 60:.0f} min later" in text
        assert "read 2.2 °C lower than Shoulder on average" in text
        assert f"{max(trace.value_c):.1f} °C at" in text
        # 0.8 + 5.0 - 2.4 burned, known to the root of 0.1² + 0.05² + 0.15².
        assert "3.40 ± 0.19 kg" in text
        assert "62 %" in text
        assert f"{SAFE_MINIMUM['red_meat'].temperature_c:.1f} °C" in text
        assert "Local codes" in text

    @pytest.mark.parametrize("page", ["A4", "Letter"])
    def test_the_first_page_is_for_the_kitchen_wall(self, tmp_path: Path, page: PageName) -> None:
        first, *others = printed(sheets.full(), tmp_path / "cook.pdf", page)
        for here in ("How it tasted", "Next time", "Yield", "Keep in mind"):
            assert here in first
            assert not any(here in text for text in others)
        rest = " ".join(others)
        for later in ("On the grate", "Schedule", "Food safety", "At the pit", "Cautions"):
            assert later not in first
            assert later in rest

    def test_without_a_verdict_nothing_makes_a_page_of_its_own(self) -> None:
        summary, _ = sheets.summed(sheets.full())
        assert sheet_of(summary, METRIC).first_page == 4
        assert sheet_of(replace(summary, tasted=(), next_time=()), METRIC).first_page == 0

    def test_units_of_the_other_kind(self, tmp_path: Path) -> None:
        text = " ".join(" ".join(printed(sheets.full(), tmp_path / "c.pdf", "Letter", US)).split())
        assert "165 °F" in text
        assert "read 4.0 °F lower" in text
        assert "7.50 ± 0.41 lb" in text
        assert "7 lb 1 oz" in text

    @pytest.mark.parametrize(("page", "points"), [("A4", (595, 842)), ("Letter", (612, 792))])
    def test_paper(self, tmp_path: Path, page: PageName, points: tuple[int, int]) -> None:
        printed(sheets.full(), tmp_path / "cook.pdf", page)
        for found in PdfReader(tmp_path / "cook.pdf").pages:
            assert float(found.mediabox.width) == pytest.approx(points[0], abs=1)
            assert float(found.mediabox.height) == pytest.approx(points[1], abs=1)

    def test_every_page_is_numbered_and_named(self, tmp_path: Path) -> None:
        pages = printed(sheets.full(), tmp_path / "cook.pdf")
        for number, text in enumerate(pages, start=1):
            said = " ".join(text.split())
            assert f"page {number} of {len(pages)}" in said
            assert "Pork shoulder" in said

    def test_simulated_on_every_page(self, tmp_path: Path) -> None:
        for text in printed(sheets.full(simulated=True), tmp_path / "cook.pdf"):
            assert "SIMULATED" in text
        for text in printed(sheets.full(), tmp_path / "real.pdf"):
            assert "SIMULATED" not in text

    def test_title_fonts_and_vectors(self, tmp_path: Path) -> None:
        printed(sheets.full(), tmp_path / "cook.pdf")
        reader = PdfReader(tmp_path / "cook.pdf")
        assert reader.metadata is not None
        assert reader.metadata.title == "Pork shoulder"
        assert reader.metadata.author == "smokejournal"
        fonts = [
            font.get_object()
            for page in reader.pages
            for font in page["/Resources"]["/Font"].values()  # type: ignore[index]
        ]
        assert fonts
        for font in fonts:
            inner = font["/DescendantFonts"][0].get_object()["/FontDescriptor"]
            assert {"/FontFile", "/FontFile2", "/FontFile3"} & set(inner.get_object())
        assert not any(page.images for page in reader.pages)

    def test_grey_has_no_color_in_it(self, tmp_path: Path) -> None:
        printed(sheets.full(), tmp_path / "gray.pdf", color=False)
        for page in PdfReader(tmp_path / "gray.pdf").pages:
            content = page.get_contents()
            assert content is not None
            for match in re.finditer(
                rb"([\d.]+) ([\d.]+) ([\d.]+) (?:rg|RG|scn|SCN)\b", content.get_data()
            ):
                assert len({float(part) for part in match.groups()}) == 1


class TestHardCases:
    @pytest.mark.parametrize("page", ["A4", "Letter"])
    @pytest.mark.parametrize("make", [sheets.full, sheets.long, sheets.hostile, sheets.empty])
    def test_no_block_is_lost(self, tmp_path: Path, make: object, page: PageName) -> None:
        log = make()  # type: ignore[operator]
        text = flat(" ".join(printed(log, tmp_path / "cook.pdf", page)))
        sheet = sheet_of(sheets.summed(log)[0], METRIC)
        for section in sheet.sections:
            assert flat(section.title) in text
            for block in section.blocks:
                if isinstance(block, Paragraph):
                    wanted = block.text.split("\n")
                elif isinstance(block, Table):
                    wanted = [w for row in block.rows for cell in row for w in cell.split()]
                else:
                    wanted = [mark.name for mark in block.marks]
                for words in wanted:
                    for word in words.split():
                        # Words with characters that no printer prints are looked for below.
                        if word.isprintable() and word.isascii() and len(word) < 30:
                            assert flat(word) in text

    def test_markup_stays_text(self, tmp_path: Path) -> None:
        pages = printed(sheets.hostile(), tmp_path / "cook.pdf")
        text = flat(" ".join(pages))
        assert "<script>alert(1)</script>" in text
        assert "&amp;" in text
        assert "{{7*7}}" in text
        assert text.count("W") >= 500
        for n in range(200):
            assert f"pastedline{n:03d}" in text

    def test_sixty_entries_in_order(self, tmp_path: Path) -> None:
        text = " ".join(" ".join(printed(sheets.long(), tmp_path / "cook.pdf")).split())
        table = text[text.index("At the pit") :]
        places = [table.index(f"Entry number {n:02d}") for n in range(60)]
        assert places == sorted(places)

    def test_empty_cook_says_what_is_missing(self, tmp_path: Path) -> None:
        (page,) = printed(sheets.empty(), tmp_path / "cook.pdf")
        text = " ".join(page.split())
        assert "Planned, not begun" in text
        assert "Not in the log" in text
        assert "Cautions" in text

    def test_file_that_cannot_be_written_leaves_the_old_one(self, tmp_path: Path) -> None:
        summary, score = sheets.summed(sheets.empty())
        with pytest.raises(OSError):
            summary_pdf(summary, score, METRIC, tmp_path / "no" / "such" / "folder.pdf")
        target = tmp_path / "folder.pdf"
        target.mkdir()
        with pytest.raises(OSError):
            summary_pdf(summary, score, METRIC, target)
        assert target.is_dir()

    @pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with a name here")
    def test_only_a_file_is_written_over(self, tmp_path: Path) -> None:
        summary, score = sheets.summed(sheets.empty())
        pipe = tmp_path / "pipe.pdf"
        os.mkfifo(pipe)
        for target in (pipe, Path(os.devnull)):
            before = target.stat()
            with pytest.raises(OSError, match="in its place") as refused:
                summary_pdf(summary, score, METRIC, target)
            assert refused.value.filename == str(target)
            # Not renamed away: whoever may write to /dev would be without it.
            assert (target.stat().st_ino, target.stat().st_mode) == (before.st_ino, before.st_mode)
        assert sorted(tmp_path.iterdir()) == [pipe]
        link = tmp_path / "link.pdf"
        link.symlink_to(tmp_path / "sheet.pdf")
        (tmp_path / "sheet.pdf").write_bytes(b"old")
        summary_pdf(summary, score, METRIC, link)
        assert (tmp_path / "sheet.pdf").read_bytes().startswith(b"%PDF")

    def test_from_another_thread(self, tmp_path: Path) -> None:
        summary, score = sheets.summed(sheets.full())
        counts: list[int] = []

        def work() -> None:
            counts.append(summary_pdf(summary, score, METRIC, tmp_path / "thread.pdf"))

        thread = threading.Thread(target=work)
        thread.start()
        thread.join(30)
        assert counts == [len(PdfReader(tmp_path / "thread.pdf").pages)]

    def test_printing_takes_the_paper_it_is_given(self, tmp_path: Path) -> None:
        summary, score = sheets.summed(sheets.full())
        printer = QPrinter(QPrinter.PrinterMode.HighResolution)
        printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
        printer.setOutputFileName(str(tmp_path / "printed.pdf"))
        printer.setPageSize(QPageSize(QPageSize.PageSizeId.A5))
        count = print_summary(summary, score, METRIC, printer)
        del printer
        pages = PdfReader(tmp_path / "printed.pdf").pages
        assert len(pages) == count
        assert float(pages[0].mediabox.width) == pytest.approx(420, abs=1)
        text = flat(" ".join(page.extract_text() for page in pages))
        assert f"page{count}of{count}" in text
        assert "3.40±0.19kg" in text
        assert "Localcodes" in text


class TestReadable:
    TABLE = b"2 beginbfrange\n<0000> <0000> <0000>\n<0009> <000A> [<0053> <0009> ]\nendbfrange"

    def test_only_what_codes_stand_for_is_mended(self) -> None:
        mended = readable(self.TABLE + b"\nother <0009> bytes")
        assert b"<0009> <000A> [<0053> <0020> ]" in mended
        assert mended.endswith(b"other <0009> bytes")
        assert len(mended) == len(self.TABLE) + 19

    def test_single_codes(self) -> None:
        assert b"<0003> <0020>\n" in readable(b"1 beginbfchar\n<0003> <00A0>\nendbfchar")


class TestOnScreen:
    def test_html_says_the_same_and_reads_no_markup(self) -> None:
        summary, _ = sheets.summed(sheets.hostile())
        html = summary_html(summary, METRIC)
        assert "<script" not in html
        assert "&lt;script&gt;alert(1)&lt;/script&gt;" in html
        assert "{{ 7*7 }}" in html
        assert "3.40 ± 0.19 kg" in html
