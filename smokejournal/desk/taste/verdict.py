"""How it tasted, as it was said: the marks of each taster stand as marks, with a way to change them."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QLabel, QPushButton, QWidget

from smokejournal.cook.log.entries import Entry, Tasted
from smokejournal.cook.summary.faults import fault_words
from smokejournal.cook.summary.tasting import HIGHEST, SCALES, dots
from smokejournal.cook.text.quantities import Units, date
from smokejournal.desk.base.widgets import new_button, new_column, new_label, new_row
from smokejournal.desk.parts.short_label import ShortLabel


class Verdict(QWidget):
    """`change_asked(entry)` for one tasting, `more_asked()` for that of somebody else."""

    change_asked = Signal(object)
    more_asked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("tasteVerdict")
        self.setAccessibleName(self.tr("How it tasted"))
        self._shown: object = None
        self._blocks: list[QWidget] = []
        self._more = new_button(
            self, self.tr("Add another taster"), self.more_asked, name="tasteMore", kind="quick"
        )
        title = new_label(self, self.tr("How it tasted"), kind="section")
        self._column = new_column(self, title, spacing=8, margins=0)
        self._column.addWidget(self._more, 0, Qt.AlignmentFlag.AlignLeft)

    def show_tastings(
        self, entries: Sequence[Entry], zone: str, units: Units, *, writable: bool
    ) -> None:
        """Show these tastings, the first one first."""
        self._more.setEnabled(writable)
        shown = (tuple(entries), zone, units)
        if shown != self._shown:
            self._shown = shown
            for block in self._blocks:
                self._column.removeWidget(block)
                block.setParent(None)
                block.deleteLater()
            self._blocks = [self._block(entry, zone, units) for entry in entries]
            for n, block in enumerate(self._blocks, start=1):
                self._column.insertWidget(n, block)
        for block in self._blocks:
            for button in block.findChildren(QPushButton):
                button.setEnabled(writable)

    def _block(self, entry: Entry, zone: str, units: Units) -> QWidget:
        what = entry.what
        assert isinstance(what, Tasted)
        block = QWidget(self)
        block.setObjectName(f"tasting_{entry.id}")
        who = what.taster or self.tr("You")
        text = self.tr("{who}, {day}").format(who=who, day=date(entry.at_s, zone, units))
        said_by = new_label(block, text, kind="faint")
        change = new_button(
            block,
            self.tr("Change"),
            name=f"tastingChange_{entry.id}",
            kind="quick",
            hears=self.tr("Change what {who} said").format(who=who),
        )
        change.clicked.connect(partial(self.change_asked.emit, entry))
        top = new_row(None, (said_by, 1), change)
        column = new_column(block, top, self._marks(what, block), spacing=4, margins=0)
        if what.text:
            words = new_label(block, what.text, name=f"tastingText_{entry.id}", wraps=True)
            column.addWidget(words)
        for key, (name, causes) in zip(what.faults, fault_words(what.faults), strict=True):
            seen = new_label(
                block,
                self.tr("{fault}. Often: {causes}").format(fault=name, causes=causes),
                name=f"fault_{key}",
                wraps=True,
            )
            column.addWidget(seen)
        return block

    def _marks(self, what: Tasted, block: QWidget) -> QGridLayout:
        grid = QGridLayout()
        grid.setHorizontalSpacing(12)
        grid.setVerticalSpacing(2)
        grid.setColumnStretch(2, 1)
        given = [scale for scale in SCALES if scale.key in what.marks]
        for row, scale in enumerate(given):
            mark = what.marks[scale.key]
            shown = new_label(
                block,
                dots(mark),
                name=f"dots_{scale.key}",
                hears=self.tr("{scale}: {mark} of {most}, from {low} to {high}").format(
                    scale=scale.name, mark=mark, most=HIGHEST, low=scale.low, high=scale.high
                ),
            )
            ends = ShortLabel(block)
            ends.setText(self.tr("{low} to {high}").format(low=scale.low, high=scale.high))
            ends.setProperty("kind", "mark")
            grid.addWidget(QLabel(scale.name, block), row, 0)
            grid.addWidget(shown, row, 1)
            grid.addWidget(ends, row, 2)
        return grid
