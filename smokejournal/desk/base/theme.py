"""The three grounds (day, bright sun, night) and how every widget looks on them.

Trace colors are from Paul Tol's 'muted' scheme (Technical note SRON/EPS/TN/09-002, issue 3.2, 2021),
made to be told apart by color-blind people. Each also has a dash and, on the score, an end label.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from PySide6.QtGui import QColor, QPalette
from PySide6.QtWidgets import QApplication, QWidget

from smokejournal.host.resources import resource_path

GroundName = Literal["day", "sun", "night"]
Dash = tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Ground:
    """Colors (#rrggbb) and strokes of one ground.

    `traces` are (color, dash) pairs; a dash is in pen widths, empty for solid. `stroke_px` is the
    width of a trace, `text_scale` multiplies type sizes.
    """

    name: GroundName
    paper: str
    raised: str
    ink: str
    faint: str
    line: str
    ember: str
    ember_ink: str
    good: str
    traces: tuple[tuple[str, Dash], ...]
    stroke_px: float = 2.0
    #: Behind text of what is pressed or chosen; `line` unless told otherwise.
    shade: str = ""


_SOLID: Dash = ()
_LONG: Dash = (6, 3)
_SHORT: Dash = (2, 2)
_DOT: Dash = (1, 2.5)
_DASH_DOT: Dash = (6, 2, 1, 2)
_DASH_DOT_DOT: Dash = (6, 2, 1, 2, 1, 2)
_LONG_GAP: Dash = (9, 4)
_PAIR: Dash = (4, 2, 4, 6)
_DASHES = (_SOLID, _LONG, _SHORT, _DASH_DOT, _DOT, _LONG_GAP, _DASH_DOT_DOT, _PAIR)

_DARK_TRACES = (
    "#882255",
    "#332288",
    "#117733",
    "#aa4499",
    "#7a6a00",
    "#007788",
    "#cc6677",
    "#555555",
)
_LIGHT_TRACES = (
    "#ddcc77",
    "#88ccee",
    "#cc6677",
    "#44aa99",
    "#dddddd",
    "#aaaa44",
    "#cc88bb",
    "#e0a060",
)

GROUNDS: dict[str, Ground] = {
    "day": Ground(
        name="day",
        paper="#f7f3ea",
        raised="#fffdf8",
        ink="#23201b",
        faint="#655d50",
        line="#d5cbb8",
        ember="#b0431a",
        ember_ink="#ffffff",
        good="#2c6639",
        traces=tuple(zip(_DARK_TRACES, _DASHES, strict=True)),
    ),
    "sun": Ground(
        name="sun",
        paper="#ffffff",
        raised="#ffffff",
        ink="#000000",
        faint="#333333",
        line="#6b6b6b",
        ember="#8a2a00",
        ember_ink="#ffffff",
        good="#0d4a1c",
        traces=tuple(
            zip(
                (
                    "#6b0f3f",
                    "#21136e",
                    "#0a4d20",
                    "#7a1f6e",
                    "#4f4400",
                    "#004a55",
                    "#8c2437",
                    "#333333",
                ),
                _DASHES,
                strict=True,
            )
        ),
        stroke_px=3.0,
        shade="#d6d6d6",
    ),
    "night": Ground(
        name="night",
        paper="#17120e",
        raised="#211a14",
        ink="#e2c9a4",
        faint="#a98f6e",
        line="#43372a",
        ember="#e2763f",
        ember_ink="#17120e",
        good="#93b07c",
        traces=tuple(zip(_LIGHT_TRACES, _DASHES, strict=True)),
    ),
}

#: Type of everything that has no size of its own: to be read at arm's length, in the dark.
#: The one scale of type sizes [px]: marks, text, what heads a part, when it is ready, a title, where the
#: cook stands. Readings have a scale of their own, which grows with the window.
SMALL_PX, BASE_PX, LARGE_PX, READY_PX, TITLE_PX, SENTENCE_PX = 12, 14, 16, 20, 22, 26
AIR_PX, OTHER_PX, LEAD_PX = 34, 50, 64
#: The far view in the least window, and the smallest that is written there at all.
FAR_PX, FAR_LEAST_PX = 30, 14


def apply_ground(app: QApplication, name: str) -> Ground:
    """Give the whole program the palette and type of a ground, and return it.

    The rules of `style_sheet` are for `dress`, part by part: a sheet of the application's would be
    worked out anew for every widget of every page at each change, shown or not.
    """
    ground = GROUNDS[name]
    palette = QPalette()
    for role, color in (
        (QPalette.ColorRole.Window, ground.paper),
        (QPalette.ColorRole.WindowText, ground.ink),
        (QPalette.ColorRole.Base, ground.raised),
        (QPalette.ColorRole.AlternateBase, ground.paper),
        (QPalette.ColorRole.Text, ground.ink),
        (QPalette.ColorRole.Button, ground.raised),
        (QPalette.ColorRole.ButtonText, ground.ink),
        (QPalette.ColorRole.BrightText, ground.ember),
        (QPalette.ColorRole.Highlight, ground.ember),
        (QPalette.ColorRole.HighlightedText, ground.ember_ink),
        (QPalette.ColorRole.PlaceholderText, ground.faint),
        (QPalette.ColorRole.ToolTipBase, ground.raised),
        (QPalette.ColorRole.ToolTipText, ground.ink),
        (QPalette.ColorRole.Link, ground.ember),
        (QPalette.ColorRole.Mid, ground.line),
    ):
        palette.setColor(role, QColor(color))
    for role in (QPalette.ColorRole.Text, QPalette.ColorRole.ButtonText):
        palette.setColor(QPalette.ColorGroup.Disabled, role, QColor(ground.faint))
    if app.style().name() != "fusion":
        app.setStyle("Fusion")
    font = app.font()
    font.setPixelSize(BASE_PX)
    app.setFont(font)
    app.setPalette(palette)
    return ground


def dress(widget: QWidget, name: str) -> None:
    """Have a widget, all in it, and the dialogs and menus that belong to it look as on this ground."""
    sheet = style_sheet(GROUNDS[name])
    if widget.styleSheet() != sheet:
        # Taken off first: one put in place of another is worked out twice for everything within.
        widget.setStyleSheet("")
        widget.setStyleSheet(sheet)


def set_kind(widget: QWidget, kind: str) -> None:
    """Dress a widget as one of another kind."""
    if widget.property("kind") != kind:
        widget.setProperty("kind", kind)
        widget.style().unpolish(widget)
        widget.style().polish(widget)


def style_sheet(ground: Ground) -> str:
    """The rules for every widget. Kinds are set as the dynamic property "kind".

    Qt takes a text that looks like HTML for HTML, and so would load the picture that a title names. By
    these rules no label, message box or tool tip does. One whose text is made by the program, with all
    that a person wrote escaped in it, says so by the dynamic property "markup".
    """
    g = ground
    edge = 2 if g.name == "sun" else 1
    shade = g.shade or g.line
    icons = resource_path("icons").as_posix()
    return f"""
QWidget {{ color: {g.ink}; }}
QMainWindow, QDialog {{ background: {g.paper}; }}
QLabel, QToolTip {{ qproperty-textFormat: PlainText; }}
QLabel[markup="true"] {{ qproperty-textFormat: RichText; }}
QLabel[kind="faint"] {{ color: {g.faint}; }}
QLabel[kind="mark"] {{ font-size: {SMALL_PX}px; color: {g.faint}; }}
QLabel[kind="title"] {{ font-size: {TITLE_PX}px; font-weight: 600; }}
QLabel[kind="section"] {{ font-size: {LARGE_PX}px; font-weight: 600; }}
QLabel[kind="sentence"] {{ font-size: {SENTENCE_PX}px; }}
QLabel[kind="ready"] {{ font-weight: 600; }}
QLabel[kind="big"] {{ font-weight: 600; }}
QLabel[kind="detail"] {{ font-size: {LARGE_PX}px; }}
QLabel[kind="detailfaint"] {{ font-size: {LARGE_PX}px; color: {g.faint}; }}
QLabel[kind="detailproblem"] {{ font-size: {LARGE_PX}px; color: {g.ember}; font-weight: 600; }}
QLabel[kind="bigfaint"] {{ font-weight: 400; color: {g.faint}; }}
QLabel[kind="problem"] {{ color: {g.ember}; font-weight: 600; }}
QLabel[kind="caution"] {{ color: {g.ink}; border: 0; border-left: 3px solid {g.ember}; padding: 2px 0 2px 10px; }}
QLabel[kind="good"] {{ color: {g.good}; }}
QLineEdit, QTextEdit, QPlainTextEdit, QSpinBox, QDoubleSpinBox, QComboBox, QDateTimeEdit {{
  background: {g.raised}; border: {edge}px solid {g.line}; border-radius: 4px; padding: 5px 7px;
  selection-background-color: {g.ember}; selection-color: {g.ember_ink};
  placeholder-text-color: {g.faint};
}}
QLineEdit:focus, QTextEdit:focus, QPlainTextEdit:focus, QSpinBox:focus, QDoubleSpinBox:focus,
QComboBox:focus, QDateTimeEdit:focus {{ border: {edge}px solid {g.ember}; }}
QLineEdit[wrong="true"] {{ border: 2px solid {g.ember}; }}
QComboBox::drop-down, QDateEdit::drop-down {{
  border: 0; width: 24px; subcontrol-origin: padding; subcontrol-position: right center;
}}
QComboBox::down-arrow, QDateEdit::down-arrow {{
  image: url("{icons}/down_{g.name}.svg"); width: 12px; height: 12px;
}}
QTabBar::tab {{
  background: transparent; color: {g.faint}; border: 0; border-bottom: 3px solid transparent;
  padding: 6px 12px;
}}
QTabBar::tab:selected {{ color: {g.ink}; border-bottom-color: {g.ember}; }}
QTabBar:focus {{ border: 1px solid {g.ember}; }}
QComboBox QAbstractItemView {{ background: {g.raised}; border: 1px solid {g.line}; }}
QPushButton {{
  background: {g.raised}; border: {edge}px solid {g.line}; border-radius: 4px; padding: 7px 14px;
  min-height: 18px;
}}
QPushButton:hover {{ border-color: {g.faint}; }}
QPushButton:focus {{ border: 2px solid {g.ember}; padding: 6px 13px; }}
QPushButton:pressed, QPushButton:checked {{ background: {shade}; }}
QPushButton:disabled {{ color: {g.faint}; }}
QPushButton[kind="ember"] {{
  background: {g.ember}; color: {g.ember_ink}; border-color: {g.ember}; font-weight: 600;
}}
QPushButton[kind="ember"]:focus {{ border: 2px solid {g.ink}; }}
QPushButton[kind="ember"]:disabled {{
  background: transparent; color: {g.faint}; border-color: {g.line}; font-weight: 400;
}}
QPushButton[kind="quick"] {{ padding: 7px 6px; }}
QWidget#entryBar QPushButton {{ min-height: 26px; }}
QPushButton[kind="quick"]:focus {{ padding: 6px 5px; }}
QPushButton[kind="quick"]:disabled {{ color: {g.faint}; }}
QPushButton[kind="answer"] {{ padding: 1px 8px; min-height: 0; }}
QPushButton[kind="answer"]:focus {{ padding: 0 7px; }}
QPushButton::menu-indicator {{ width: 0; }}
QPushButton[kind="plain"] {{ background: transparent; border-color: transparent; }}
QPushButton[kind="plain"]:focus {{ border: 2px solid {g.ember}; }}
QPushButton[kind="quiet"] {{
  background: transparent; border-color: transparent; padding: 3px 10px;
}}
QPushButton[kind="quiet"]:hover {{ border-color: {g.line}; }}
QPushButton[kind="quiet"]:focus {{ border: 2px solid {g.ember}; padding: 2px 9px; }}
QPushButton[kind="quiet"]:checked {{ background: {shade}; }}
QPushButton[kind="quiet"]:disabled {{ border-color: transparent; }}
QFrame#spine {{ background: {g.paper}; border: 0; border-right: {edge}px solid {g.line}; }}
QPushButton[kind="spine"] {{
  background: transparent; border: 0; border-left: 4px solid transparent; border-radius: 0;
  text-align: left; padding: 9px 8px; font-size: {LARGE_PX}px;
}}
QPushButton[kind="spine"]:checked {{ border-left: 4px solid {g.ember}; font-weight: 600; }}
QPushButton[kind="spine_small"] {{
  background: transparent; border: 0; border-left: 4px solid transparent; border-radius: 0;
  text-align: left; padding: 5px 8px; color: {g.faint};
}}
QPushButton[kind="spine_small"]:checked {{ border-left: 4px solid {g.faint}; color: {g.ink}; }}
QPushButton[kind="spine"]:focus, QPushButton[kind="spine_small"]:focus {{ background: {shade}; color: {g.ink}; }}
QLabel[kind="practice"] {{
  background: {shade}; color: {g.ink}; padding: 4px; font-weight: 600;
}}
QToolButton {{ background: transparent; border: 1px solid transparent; border-radius: 4px; padding: 4px; }}
QToolButton:focus {{ border: 1px solid {g.ember}; }}
QListView, QTableView, QTreeView, QTextBrowser {{
  background: {g.raised}; border: {edge}px solid {g.line}; border-radius: 4px;
  gridline-color: {g.line};
}}
QListView::item, QTableView::item {{ padding: 4px 6px; }}
QListView::item:selected, QTableView::item:selected {{ background: {shade}; color: {g.ink}; }}
QHeaderView::section {{
  background: {g.paper}; color: {g.faint}; border: 0; border-bottom: 1px solid {g.line};
  padding: 5px 6px; font-weight: 600;
}}
QScrollArea, QScrollArea > QWidget > QWidget {{ background: {g.paper}; border: 0; }}
QFrame[kind="sheet"] {{ background: {g.raised}; border: {edge}px solid {g.line}; border-radius: 6px; }}
QFrame[kind="rule"] {{ background: {g.line}; max-height: 1px; min-height: 1px; border: 0; }}
QFrame[kind="notice"] {{ background: {g.raised}; border: 1px solid {g.line}; border-left: 5px solid {g.ember}; }}
QFrame[kind="alarm"] {{ background: {g.ember}; border: 0; border-radius: 4px; }}
QFrame[kind="alarm"] QLabel {{ color: {g.ember_ink}; font-size: {LARGE_PX}px; font-weight: 600; }}
QCheckBox, QRadioButton {{ spacing: 8px; padding: 3px 0; }}
QCheckBox::indicator {{
  width: 14px; height: 14px; border: 2px solid {g.faint}; border-radius: 3px; background: {g.raised};
}}
QCheckBox::indicator:checked {{
  background: {g.ember}; border-color: {g.ember}; image: url("{icons}/tick_{g.name}.svg");
}}
QCheckBox::indicator:disabled {{ border-color: {g.line}; }}
QRadioButton::indicator {{
  width: 12px; height: 12px; border: 2px solid {g.faint}; border-radius: 8px; background: {g.raised};
}}
QRadioButton::indicator:checked {{ width: 6px; height: 6px; border: 5px solid {g.ember}; }}
QRadioButton:focus {{ text-decoration: underline; }}
QMenuBar {{ background: {g.paper}; }}
QMenuBar::item:selected, QMenu::item:selected {{ background: {g.ember}; color: {g.ember_ink}; }}
QMenu {{ background: {g.raised}; border: 1px solid {g.line}; }}
QMenu::item:disabled, QMenu::item:disabled:selected {{ background: transparent; color: {g.faint}; }}
QToolTip {{ background: {g.raised}; color: {g.ink}; border: 1px solid {g.line}; }}
QScrollBar:vertical {{ background: transparent; width: 12px; }}
QScrollBar:horizontal {{ background: transparent; height: 12px; }}
QScrollBar::handle {{ background: {g.line}; border-radius: 5px; min-height: 28px; min-width: 28px; }}
QScrollBar::add-line, QScrollBar::sub-line {{ width: 0; height: 0; }}
QSplitter::handle {{ background: {g.line}; }}
"""
