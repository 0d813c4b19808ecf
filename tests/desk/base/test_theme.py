"""Every text, trace and mark of every ground stands out from what is behind it.

The formula and the least ratios are those of W3C's WCAG 2.2 (`tests/support/contrast.py`). Bright sun
asks for 7:1 of traces too: our own judgment, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from PySide6.QtGui import QColor, QPalette
from PySide6.QtWidgets import QApplication, QLineEdit, QPlainTextEdit, QWidget
from pytestqt.qtbot import QtBot

from smokejournal.desk.base.theme import GROUNDS, Ground, apply_ground, dress, style_sheet
from smokejournal.desk.score.layers import ink_of
from smokejournal.host.resources import resource_path
from tests.support.contrast import ENHANCED, GRAPHICS, TEXT, contrast, over
from tests.support.tend_desk import look_kept  # noqa: F401 - a fixture

grounds = pytest.mark.parametrize("ground", GROUNDS.values(), ids=list(GROUNDS))
_RULE = re.compile(r"([^{}]+)\{([^{}]*)\}")
#: What a rule says of the text and of what is behind it.
_SAID = re.compile(r"(?:^|;)\s*(color|background)\s*:\s*(#[0-9a-f]{6}|transparent)", re.IGNORECASE)


def least_text(ground: Ground) -> float:
    return ENHANCED if ground.name == "sun" else TEXT


def least_graphics(ground: Ground) -> float:
    return ENHANCED if ground.name == "sun" else GRAPHICS


def test_the_computation_agrees_with_the_two_ends_of_the_scale() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#777777", "#777777") == pytest.approx(1.0)
    # The gray that W3C's own techniques give as just enough on white.
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)
    assert over(QColor(0, 0, 0, 0), "#f7f3ea") == "#f7f3ea"
    assert over(QColor("#123456"), "#f7f3ea") == "#123456"


def said_in(sheet: str) -> dict[str, dict[str, str]]:
    """What the rules of a style sheet say of text and background, by selector."""
    found: dict[str, dict[str, str]] = {}
    for selectors, body in _RULE.findall(sheet):
        for selector in selectors.split(","):
            found.setdefault(selector.strip(), {}).update(_SAID.findall(body))
    return found


def pairs(ground: Ground) -> Iterator[tuple[str, str, str]]:
    """Selector, text and background of everything that the style sheet colors; what it does not say
    comes from the widget without its state, and then from the ground."""
    said = said_in(style_sheet(ground))
    for selector, own in said.items():
        if not own or ("background" in own and selector.startswith(_NO_TEXT)):
            continue
        usual = said.get(re.sub(r"(?<!:):(?!:)[a-z:-]+", "", selector), {})
        around = said.get(selector.rpartition(" ")[0], {})
        text = own.get("color") or usual.get("color") or ground.ink
        behind = [part["background"] for part in (own, usual, around) if "background" in part]
        seen = behind[0] if behind and behind[0] != "transparent" else ""
        for back in [seen] if seen else [ground.paper, ground.raised]:
            yield selector, text, back


#: Parts without text of their own.
_NO_TEXT = (
    "QScrollBar", "QSplitter", "QCheckBox::indicator", "QRadioButton::indicator", 'QFrame[kind="rule"]',
    'QFrame[kind="alarm"]',
)  # fmt: skip


@grounds
def test_every_text_that_the_rules_color_is_readable(ground: Ground) -> None:
    found = list(pairs(ground))
    assert len(found) > 40
    assert ('QLabel[kind="problem"]', ground.ember, ground.paper) in found
    poor = {
        (selector, text, behind): round(contrast(text, behind), 2)
        for selector, text, behind in found
        if contrast(text, behind) < least_text(ground)
    }
    assert poor == {}


@grounds
def test_texts_are_readable(ground: Ground) -> None:
    shade = ground.shade or ground.line
    for text, behind in (
        (ground.ink, ground.paper),
        (ground.ink, ground.raised),
        (ground.faint, ground.paper),
        (ground.faint, ground.raised),
        (ground.ember, ground.paper),
        (ground.ember, ground.raised),
        (ground.ember_ink, ground.ember),
        (ground.good, ground.paper),
        (ground.good, ground.raised),
        (ground.ink, shade),
    ):
        assert contrast(text, behind) >= least_text(ground), (text, behind)


@grounds
def test_the_palette_is_readable(qapp: QApplication, look_kept: None, ground: Ground) -> None:  # noqa: F811
    apply_ground(qapp, ground.name)
    palette, role = qapp.palette(), QPalette.ColorRole
    for group in (QPalette.ColorGroup.Active, QPalette.ColorGroup.Inactive):
        for text, behind in (
            (role.WindowText, role.Window),
            (role.Text, role.Base),
            (role.Text, role.AlternateBase),
            (role.ButtonText, role.Button),
            (role.HighlightedText, role.Highlight),
            (role.ToolTipText, role.ToolTipBase),
            (role.Link, role.Base),
            (role.Link, role.Window),
            (role.PlaceholderText, role.Base),
        ):
            back = palette.color(group, behind).name()
            seen = over(palette.color(group, text), back)
            assert contrast(seen, back) >= least_text(ground), (group, text)


@grounds
@pytest.mark.parametrize("kind", [QLineEdit, QPlainTextEdit])
def test_a_hint_in_a_field_is_readable(
    qtbot: QtBot,
    qapp: QApplication,
    look_kept: None,  # noqa: F811
    ground: Ground,
    kind: type[QWidget],
) -> None:
    apply_ground(qapp, ground.name)
    field = kind()
    qtbot.addWidget(field)
    dress(field, ground.name)
    field.ensurePolished()
    hint = field.palette().color(QPalette.ColorRole.PlaceholderText)
    assert contrast(over(hint, ground.raised), ground.raised) >= least_text(ground)


@grounds
def test_traces_and_the_words_of_the_score_stand_out(ground: Ground) -> None:
    ink = ink_of(ground)
    for behind in (ground.paper, ground.raised):
        for color, _ in ink.traces:
            assert contrast(color.name(), behind) >= least_graphics(ground), color.name()
        for words in (ink.ink, ink.faint, ink.accent):
            assert contrast(words.name(), behind) >= least_text(ground), words.name()
        # Names of stages are written in their bars.
        bar = over(ink.fill, behind)
        assert contrast(ink.ink.name(), bar) >= least_text(ground)


@grounds
def test_what_has_the_focus_and_what_is_ticked_stands_out(ground: Ground) -> None:
    for behind in (ground.paper, ground.raised):
        assert contrast(ground.ember, behind) >= least_graphics(ground)
    assert contrast(ground.ink, ground.paper) >= least_graphics(ground)
    for icon, behind in (("tick", ground.ember), ("down", ground.raised)):
        drawn = (resource_path("icons") / f"{icon}_{ground.name}.svg").read_text("utf-8")
        (color,) = re.findall(r'stroke="(#[0-9a-f]{6})"', drawn)
        assert contrast(color, behind) >= least_graphics(ground), icon
