"""Two to six cooks beside one another: how they are laid over each other, the picture, the table."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QRect, Qt, Slot
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QLabel,
    QTableWidgetItem,
    QWidget,
)

from smokejournal.cook.comparing import words
from smokejournal.cook.comparing.alignment import (
    Alignment,
    ComparedCook,
    line_from_zero,
    offered_stages,
    offered_temperature_c,
    place,
)
from smokejournal.cook.comparing.differences import differences
from smokejournal.cook.comparing.facts import CookFacts
from smokejournal.cook.text import quantities as q
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.tables import PlainTable, fit_height
from smokejournal.desk.base.widgets import FILL, new_column, new_label, new_row, say
from smokejournal.desk.comparing.overlay import OverlaidCook, Overlay
from smokejournal.desk.parts.choice_box import ChoiceBox
from smokejournal.desk.parts.fields import TemperatureField

#: No column of a cook is narrower or wider than this at first [px].
NARROW_PX, WIDE_PX = 124, 180
#: What a cell needs beside its words, across and up [px].
CELL_PX, ROW_PX = 24, 14


class SideBySide(QWidget):
    """Shows what it is given: `show_cooks`, then `show_every` once all finished cooks were read."""

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("compareSideBySide")
        self._context = context
        self._cooks: tuple[ComparedCook, ...] = ()
        self._every: tuple[CookFacts, ...] | None = None
        self._trouble = ""
        self.choice = ChoiceBox(
            self, name="compareAlignment", hears=self.tr("Which moment is zero")
        )
        self.choice.activated.connect(self._on_aligned)
        zero = QLabel(self.tr("&Zero is"), self)
        zero.setBuddy(self.choice)
        self.temperature = TemperatureField(
            "compareTemperature", self.tr("Temperature of the lead probe"), self, required=True
        )
        self.temperature.changed.connect(self._on_aligned)
        top = new_row(None, zero, self.choice, self.temperature, FILL, spacing=8)
        self.picture = Overlay(self)
        self.left_out = new_label(self, name="compareLeftOut", wraps=True)
        self.table = self._build_table()
        self.notes = new_label(self, name="compareNotes", kind="faint", wraps=True)
        new_column(
            self,
            top,
            self.picture,
            self.left_out,
            self.table,
            self.notes,
            FILL,
            spacing=10,
            margins=(0, 0, 10, 0),
        )

    def _build_table(self) -> PlainTable:
        hears = self.tr("What differed, largest difference first")
        table = PlainTable(self, "compareTable", hears)
        # As high as its rows: what it stands in scrolls.
        table.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        return table

    # -- what is shown -----------------------------------------------------------------------

    def show_cooks(self, cooks: Sequence[ComparedCook]) -> None:
        """Lay these over one another; what was chosen stays chosen where it can."""
        self._cooks = tuple(cooks)
        chosen = self.choice.currentData()
        self.choice.clear()
        self.choice.addItem(self.tr("The start"), Alignment())
        for purpose in offered_stages(cooks):
            self.choice.addItem(words.stage_choice(purpose), Alignment("stage", purpose))
        self.choice.addItem(
            self.tr("The lead probe first at"), Alignment("temperature", temperature_c=0.0)
        )
        kept = next((n for n in range(self.choice.count()) if self.choice.itemData(n) == chosen), 0)
        self.choice.setCurrentIndex(kept)
        if self.temperature.value() is None and not self.temperature.text():
            offered_c = offered_temperature_c(cooks)
            self.temperature.set_value(60.0 if offered_c is None else offered_c)
        self.refresh()

    def show_every(self, every: Sequence[CookFacts]) -> None:
        """Measure by these, all finished cooks."""
        self._every, self._trouble = tuple(every), ""
        if self._cooks:
            self._show_table()

    def say(self, trouble: str) -> None:
        """Say why nobody can tell what is usual."""
        self._trouble = trouble
        if self._cooks:
            self._show_table()

    def refresh(self) -> None:
        """Show it all again, in the units and on the ground that hold now."""
        self.temperature.set_units(self._context.units)
        if self._cooks:
            self._show_picture()
            self._show_table()

    @Slot()
    def _on_aligned(self) -> None:
        self._show_picture()

    def _alignment(self) -> Alignment | None:
        """None where the temperature can't be read."""
        chosen = self.choice.currentData()
        if not isinstance(chosen, Alignment) or chosen.kind != "temperature":
            return chosen if isinstance(chosen, Alignment) else Alignment()
        value_c = self.temperature.value()
        return None if value_c is None else Alignment("temperature", temperature_c=value_c)

    def _show_picture(self) -> None:
        units = self._context.units
        alignment = self._alignment()
        chosen = self.choice.currentData()
        self.temperature.setVisible(isinstance(chosen, Alignment) and chosen.kind == "temperature")
        shown: list[OverlaidCook] = []
        said: list[str] = []
        for ink, cook in enumerate(self._cooks):
            if alignment is None:
                break
            placed = place(cook, alignment)
            note = words.placed_words(cook.facts, placed, alignment, units)
            if note:
                said.append(note)
            zero_s = placed.zero_s
            if zero_s is None:
                continue
            lead, pit = (
                None if trace is None else line_from_zero(trace, zero_s)
                for trace in (cook.lead, cook.pit)
            )
            shown.append(OverlaidCook(cook.facts.title, ink, lead, pit))
        self.picture.show_cooks(shown, units, self._context.ground)
        say(self.left_out, "\n".join(said))

    def _show_table(self) -> None:
        units = self._context.units
        facts = [cook.facts for cook in self._cooks]
        found = differences(facts, self._every or ())
        table = self.table
        table.setColumnCount(len(facts) + 2)
        table.setRowCount(len(found.rows))
        for n, row in enumerate(found.rows):
            # Until all cooks were read, nobody can say what is usual.
            large = words.row_words(row, units) if self._every is not None else "…"
            cells = [words.fact_name(row.key), large]
            cells += [words.fact_words(row.key, fact, units) for fact in row.facts]
            for item in table.put(n, cells):
                item.setFlags(Qt.ItemFlag.ItemIsEnabled)
                item.setTextAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)
        self._head_table(facts)
        self._fit()
        notes = words.table_words(found, facts, units)
        if self._every is None:
            waiting = self.tr("Reading the finished cooks, to say what is usual…")
            notes = (self._trouble or waiting,)
        self.notes.setText("\n".join(notes))

    def _head_table(self, facts: Sequence[CookFacts]) -> None:
        """What stands above each column, and how wide it is."""
        table = self.table
        metrics = table.horizontalHeader().fontMetrics()
        for place_, text in enumerate((self.tr("What"), self.tr("Difference"))):
            table.setHorizontalHeaderItem(place_, QTableWidgetItem(text))
            table.setColumnWidth(place_, table.sizeHintForColumn(place_) + 12)
        for place_, cook in enumerate(facts, start=2):
            wide = min(max(table.sizeHintForColumn(place_) + 12, NARROW_PX), WIDE_PX)
            table.setColumnWidth(place_, wide)
            day = ""
            if cook.day_s is not None:
                day = q.date(cook.day_s, cook.zone, self._context.units)
            lines = [f"{place_ - 1}  {cook.title}", day]
            if cook.simulated:
                lines.append(self.tr("SIMULATED"))
            cut = [
                metrics.elidedText(line, Qt.TextElideMode.ElideRight, wide - 26) for line in lines
            ]
            head = QTableWidgetItem("\n".join(cut))
            head.setToolTip("\n".join(lines))
            table.setHorizontalHeaderItem(place_, head)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """A narrow table needs room for a bar to scroll with."""
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        """The table just as high as what is in it."""
        table = self.table
        for n in range(table.rowCount()):
            table.setRowHeight(n, self._row_height(n))
        header = table.horizontalHeader()
        header.setStretchLastSection(False)
        fit_height(table, header.length() <= table.viewport().width())

    def _row_height(self, row: int) -> int:
        """Room for all words of a row. Qt's own sum leaves out the padding that the theme gives a cell."""
        table = self.table
        highest = 0
        for place_ in range(table.columnCount()):
            item = table.item(row, place_)
            if item is None:
                continue
            room = QRect(0, 0, max(1, table.columnWidth(place_) - CELL_PX), 1000)
            wrapped = table.fontMetrics().boundingRect(
                room, int(Qt.TextFlag.TextWordWrap), item.text()
            )
            highest = max(highest, wrapped.height())
        return highest + ROW_PX
