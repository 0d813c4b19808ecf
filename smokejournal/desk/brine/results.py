"""What a brine comes to, beside the form: what speaks against it first, then the numbers."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QLabel, QWidget

from smokejournal.cook.brine.sums import BrineSums
from smokejournal.cook.brine.words import Group, groups
from smokejournal.cook.text.quantities import METRIC, Units
from smokejournal.desk.base.clearing import throw_away
from smokejournal.desk.base.widgets import new_column, new_label
from smokejournal.desk.parts.tall_scroll import TallScroll

_LABEL_WIDTH = 190


class BrineResults(TallScroll):
    """Shows a `BrineSums`."""

    def __init__(self, parent: QWidget | None = None, units: Units = METRIC) -> None:
        super().__init__(self.tr("What it comes to"), parent)
        self.setObjectName("brineResults")
        self._units = units
        self._inside = QWidget(self)
        self._column = new_column(self._inside, spacing=8, margins=(12, 0, 10, 0))
        self._shown: list[QWidget] = []
        self._column.addStretch(1)
        self.set_content(self._inside)

    def show_sums(self, sums: BrineSums) -> None:
        """Show all of it again; the place scrolled to stays."""
        throw_away(self._column, self._shown)
        self._shown = []
        if not sums.portions and not sums.recipe.marks:
            self._add_label(
                "brineNothing",
                self.tr(
                    "Type what goes in, on one line, with amounts. The sums follow as you type."
                ),
                "faint",
            )
            return
        for number, warning in enumerate(w for w in sums.warnings if w.weight == "stop"):
            text = self.tr("Refused. {why}").format(why=warning.text)
            self._add_label(f"brineStop{number}", text, "problem")
        for number, warning in enumerate(w for w in sums.warnings if w.weight == "look"):
            self._add_label(f"brineLook{number}", warning.text, "caution")
        # What poisons is cautioned of where it can't be overlooked, the rest below the numbers.
        cautions = [w.text for w in sums.warnings if w.weight == "caution"]
        if sums.has_cure:
            self._add_cautions(cautions)
        for group in groups(sums, self._units):
            self._add_group(group)
        if sums.missing:
            self._add_label("brineMissing", "\n".join(sums.missing), "faint")
        if not sums.has_cure:
            self._add_cautions(cautions)
        if sums.reach is not None:
            source = self.tr(
                "How fast salt gets in: {source}. The ends are those of what was measured; fat, skin and "
                "bone slow it down."
            )
            self._add_label("brineSource", source.format(source=sums.reach.source), "mark")

    def _add_cautions(self, texts: Sequence[str]) -> None:
        for number, text in enumerate(texts):
            self._add_label(f"brineCaution{number}", text, "caution")

    def _add_label(self, name: str, text: str, kind: str) -> None:
        text = text.replace(" °", "\u00a0°")
        self._add(new_label(self._inside, text, name=name, kind=kind, wraps=True))

    def _add_group(self, group: Group) -> None:
        box = QWidget(self._inside)
        box.setObjectName(f"brineGroup_{group.key}")
        box.setAccessibleName(group.title)
        grid = QGridLayout(box)
        grid.setContentsMargins(0, 4, 0, 0)
        grid.setHorizontalSpacing(12)
        grid.setVerticalSpacing(3)
        grid.setColumnMinimumWidth(0, _LABEL_WIDTH)
        grid.setColumnStretch(0, 3)
        grid.setColumnStretch(1, 4)
        title = new_label(box, group.title, kind="section")
        grid.addWidget(title, 0, 0, 1, 2)
        for number, row in enumerate(group.rows, start=1):
            for column, text in enumerate((row.label, row.value)):
                label = QLabel(box)
                label.setText(text.replace(" – ", "\u00a0– "))
                label.setWordWrap(True)
                if column == 0:
                    label.setProperty("kind", "faint")
                else:
                    label.setObjectName(f"brineValue_{group.key}_{number}")
                    label.setAccessibleName(f"{row.label}: {row.value}")
                grid.addWidget(label, number, column, Qt.AlignmentFlag.AlignTop)
        self._add(box)

    def _add(self, widget: QWidget) -> None:
        self._column.insertWidget(self._column.count() - 1, widget)
        self._shown.append(widget)
        widget.show()
