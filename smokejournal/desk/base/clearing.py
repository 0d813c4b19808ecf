"""Taking out of a layout what is shown no longer."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtWidgets import QLayout, QWidget


def throw_away(layout: QLayout, widgets: Iterable[QWidget] | None = None) -> None:
    """Take these out of the layout, or all that is in it, and delete them."""
    if widgets is None:
        items = [layout.itemAt(n) for n in range(layout.count())]
        widgets = [widget for item in items if item and (widget := item.widget())]
    for widget in widgets:
        layout.removeWidget(widget)
        widget.hide()
        widget.deleteLater()
