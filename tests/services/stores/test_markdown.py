"""The sheet as Markdown, read as CommonMark has it, with tables."""

from __future__ import annotations

from hypothesis import example, given
from hypothesis import strategies as st
from markdown_it import MarkdownIt
from markdown_it.token import Token

from smokejournal.cook.summary.sheet import Paragraph, Section, Sheet, SheetColumn, Table
from smokejournal.cook.summary.sheet_sections import sheet_of
from smokejournal.cook.text.quantities import METRIC
from smokejournal.services.stores.markdown import sheet_markdown
from tests.support import sheets

READER = MarkdownIt("commonmark", {"html": True}).enable(["table", "strikethrough"])
NASTY = (
    "<script>alert(1)</script>", '"><img src=x onerror=y>', "]]>", "`", "```", "~~~", "|", "\n", "\n\n", "# ", "- ",
    "+ ", "* ", "1. ", "2) ", "> ", "---", "===", "    ", "\t", "[a](b)", "![a](b)", "[a]: b", "**", "__", "~~",
    "&amp;", "&lt;", "<https://evil.example>", "https://evil.example", "\\", "$x$", "<!--", "a", "12", " ", ":-", "!",
)  # fmt: skip


def all_tokens(text: str) -> list[Token]:
    found = []
    for token in READER.parse(text):
        found += [token, *(token.children or ())]
    return found


def shown(tokens: list[Token]) -> str:
    return "".join(token.content for token in tokens if token.type in ("text", "text_special"))


def nasty_sheet(text: str) -> Sheet:
    columns = (SheetColumn(text, 0.5), SheetColumn("b", 0.5, "right"))
    blocks = (Paragraph(text), Table(columns, ((text, "c"), (text, "d"))))
    return Sheet(text, (text, "e"), text, "made", (Section("k", "Grate", blocks),))


@example("1. a")
@example("12) a\n1) b")
@example("a\n- b\n---\n===")
@example("a\n:-\n|-|\nb")
@example("    a\n\n\tb")
@given(st.lists(st.sampled_from(NASTY), min_size=1, max_size=10).map("".join))
def test_what_is_typed_never_is_markup(typed: str) -> None:
    text = f"x{typed}z" if not typed.strip() else typed
    tokens = all_tokens(sheet_markdown(nasty_sheet(text)))
    kinds = {token.type for token in tokens}
    assert not kinds & {
        "link_open", "image", "code_inline", "code_block", "fence", "em_open", "s_open", "html_block", "hr",
        "bullet_list_open", "ordered_list_open", "blockquote_open",
    }  # fmt: skip
    assert [token.tag for token in tokens if token.type == "heading_open"] == ["h1", "h2"]
    assert sum(token.type == "table_open" for token in tokens) == 1
    assert sum(token.type == "tr_open" for token in tokens) == 3
    assert sum(token.type == "td_open" for token in tokens) == 4
    assert sum(token.type == "strong_open" for token in tokens) == 1
    assert {token.content for token in tokens if token.type == "html_inline"} <= {"<br>"}
    # Nothing is lost either: title, line, notice, paragraph, head and two cells.
    squeezed = "".join(shown(tokens).split())
    assert squeezed.count("".join(text.split())) >= 7


def test_tables_are_tables_and_the_sections_are_those_of_the_sheet() -> None:
    for log in (sheets.full(), sheets.hostile(), sheets.empty()):
        sheet = sheet_of(sheets.summed(log)[0], METRIC)
        tokens = READER.parse(sheet_markdown(sheet))
        titles = [
            tokens[n + 1].content for n, token in enumerate(tokens) if token.tag == "h2" and token.nesting == 1
        ]  # fmt: skip
        assert titles == [section.title for section in sheet.sections]
        wanted = [len(b.rows) for s in sheet.sections for b in s.blocks if isinstance(b, Table)]
        assert sum(token.type == "tbody_open" for token in tokens) == len(wanted)
        rows = sum(token.type == "tr_open" for token in tokens)
        assert rows == sum(wanted) + len(wanted)


def test_words_are_those_of_the_sheet() -> None:
    text = shown(all_tokens(sheet_markdown(sheet_of(sheets.summed(sheets.full())[0], METRIC))))
    assert "3.40 ± 0.19 kg" in text
    assert "Local codes" in text
