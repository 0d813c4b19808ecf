"""Labels, buttons and layouts in one line each: what nearly all of them are told, said once."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, TypeAlias, TypeVar

from PySide6.QtCore import SignalInstance
from PySide6.QtWidgets import (
    QBoxLayout,
    QHBoxLayout,
    QLabel,
    QLayout,
    QPushButton,
    QVBoxLayout,
    QWidget,
)


class _Fill:
    """See `FILL`."""


#: Takes the room that is left, among the items of a row or column.
FILL: Final = _Fill()
L = TypeVar("L", bound=QBoxLayout)
Item: TypeAlias = QWidget | QLayout | tuple[QWidget | QLayout, int] | _Fill
Margins: TypeAlias = int | tuple[int, int, int, int] | None


def new_label(
    parent: QWidget,
    text: str = "",
    *,
    name: str = "",
    kind: str = "",
    hears: str = "",
    wraps: bool = False,
    hidden: bool = False,
) -> QLabel:
    """A label. `kind` is how the theme dresses it, `hears` its name for readers of screens."""
    label = QLabel(text, parent)
    _call(label, name, kind, hears)
    if wraps:
        label.setWordWrap(True)
    if hidden:
        label.hide()
    return label


def say(label: QLabel, text: str) -> None:
    """Say this; a label that says nothing takes no room."""
    label.setText(text)
    label.setVisible(bool(text))


def new_button(
    parent: QWidget,
    text: str,
    on: Callable[..., object] | SignalInstance | None = None,
    *,
    name: str = "",
    kind: str = "",
    hears: str = "",
    tip: str = "",
    auto: bool = True,
    default: bool = False,
) -> QPushButton:
    """A button that calls `on`, a bound method or a signal, when it is pressed. Without `auto`, Enter elsewhere in a
    dialog never presses it; `default`: Enter does."""
    button = QPushButton(text, parent)
    _call(button, name, kind, hears)
    if tip:
        button.setToolTip(tip)
    if not auto:
        button.setAutoDefault(False)
    if default:
        button.setDefault(True)
    if on is not None:
        button.clicked.connect(on)
    return button


def new_column(
    parent: QWidget | None, *items: Item, spacing: int | None = None, margins: Margins = None
) -> QVBoxLayout:
    """Items below each other; with a number each, they share what room is left by it. `spacing` and `margins` [px] are the style's own where they are None."""
    return _laid_out(
        QVBoxLayout() if parent is None else QVBoxLayout(parent), items, spacing, margins
    )


def new_row(
    parent: QWidget | None, *items: Item, spacing: int | None = None, margins: Margins = None
) -> QHBoxLayout:
    """Items side by side, as `new_column` has them."""
    return _laid_out(
        QHBoxLayout() if parent is None else QHBoxLayout(parent), items, spacing, margins
    )


def _call(widget: QWidget, name: str, kind: str, hears: str) -> None:
    if name:
        widget.setObjectName(name)
    if kind:
        widget.setProperty("kind", kind)
    if hears:
        widget.setAccessibleName(hears)


def _laid_out(layout: L, items: tuple[Item, ...], spacing: int | None, margins: Margins) -> L:
    if isinstance(margins, int):
        layout.setContentsMargins(margins, margins, margins, margins)
    elif margins is not None:
        layout.setContentsMargins(*margins)
    if spacing is not None:
        layout.setSpacing(spacing)
    for item in items:
        if isinstance(item, _Fill):
            layout.addStretch(1)
            continue
        part, share = item if isinstance(item, tuple) else (item, 0)
        if isinstance(part, QWidget):
            layout.addWidget(part, share)
        else:
            layout.addLayout(part, share)
    return layout
