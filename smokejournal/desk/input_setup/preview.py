"""What arrives: every line as it came, what was read from it, and what was refused and why."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtGui import QFontDatabase, QResizeEvent
from PySide6.QtWidgets import (
    QTableView,
    QWidget,
)

from smokejournal.cook.text import quantities
from smokejournal.cook.text.quantities import Units
from smokejournal.desk.base.rows_model import RowsModel
from smokejournal.desk.base.tables import FIXED, MANY, STRETCHED, dress_table
from smokejournal.desk.base.widgets import new_column, new_label
from smokejournal.inputs.source import ReceivedLine, RefusedLine, Value

#: Lines kept on screen, newest first. A flood pushes older ones out; they are still counted.
MOST_LINES = 200
#: Longest raw text that is shown; a device at the wrong speed sends kilobytes without an end.
MOST_CHARACTERS = 300

WHEN, RAW, READ = range(3)


def printable(raw: str) -> str:
    """Raw text with what can't be printed made visible."""
    shown = raw if len(raw) <= MOST_CHARACTERS else raw[:MOST_CHARACTERS] + " …"
    return "".join(ch if ch.isprintable() else "·" for ch in shown)


class LinesModel(RowsModel[ReceivedLine]):
    """The last lines, newest first."""

    def __init__(self, parent: Any = None) -> None:
        super().__init__(parent)
        self._zone = "UTC"
        self._names: Mapping[str, str] = {}

    def set_words(self, units: Units, zone: str, names: Mapping[str, str]) -> None:
        """How values, times and channels are written."""
        self._zone, self._names = zone, names
        self.set_units(units)

    def show(self, lines: Sequence[ReceivedLine]) -> None:
        """Show these (oldest first) and nothing else."""
        super().show(lines[-MOST_LINES:][::-1])

    def titles(self) -> tuple[str, ...]:
        return (self.tr("When"), self.tr("As it came"), self.tr("What was read"))

    def words(self, line: ReceivedLine, column: int) -> str:
        if column == WHEN and line.number is not None:
            return self.tr("row {number}").format(number=line.number)
        if column == WHEN:
            return quantities.clock_time(line.at_s, self._zone, self._units, seconds=True)
        return printable(line.raw) if column == RAW else self._read(line)

    def tip(self, line: ReceivedLine, column: int) -> str | None:
        return None if column == WHEN else self.words(line, column)

    def _cell(self, line: ReceivedLine, column: int, role: int) -> Any:
        if role == Qt.ItemDataRole.FontRole and column == RAW:
            return QFontDatabase.systemFont(QFontDatabase.SystemFont.FixedFont)
        return super()._cell(line, column, role)

    def _read(self, line: ReceivedLine) -> str:
        # What feeds nothing is shown only while nothing is fed: it may be no temperature at all.
        fed = [value for value in line.values if value.channel]
        parts = [self._value(value) for value in fed or line.values]
        parts += [self._refusal(refused) for refused in line.refused]
        return ", ".join(parts)

    def _value(self, value: Value) -> str:
        name = self._names.get(value.channel, value.channel) or value.source
        return f"{name} {quantities.temperature(value.value_c, self._units, 1)}"

    def _refusal(self, refused: RefusedLine) -> str:
        if refused.source:
            return self.tr("{column} refused: {why}").format(
                column=refused.source, why=refused.reason
            )
        return self.tr("refused: {why}").format(why=refused.reason)


class PreviewPanel(QWidget):
    """The table of lines, and below it how many were read and how many refused, by reason."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("preview")
        self._lines: tuple[ReceivedLine, ...] = ()
        self.model = LinesModel(self)
        self.table = QTableView(self)
        self.table.setModel(self.model)
        hears = self.tr("Lines that arrive, newest first")
        dress_table(self.table, "previewLines", hears, chosen=MANY, row_px=26)
        self.table.setWordWrap(False)
        self.table.setMinimumHeight(96)
        header = self.table.horizontalHeader()
        for section, how in ((WHEN, FIXED), (RAW, FIXED), (READ, STRETCHED)):
            header.setSectionResizeMode(section, how)
        self.table.setColumnWidth(WHEN, 100)
        self.counts = new_label(self, name="previewCounts", kind="faint", wraps=True)
        self.reasons = new_label(self, name="previewReasons", kind="problem", wraps=True)
        new_column(self, (self.table, 1), self.counts, self.reasons, spacing=4, margins=0)
        self.clear()

    def clear(self, words: str = "") -> None:
        """Nothing has arrived; `words` say what to do or what is awaited."""
        self._lines = ()
        self.model.show(())
        self.counts.setText(words or self.tr("Nothing has arrived yet."))
        self.reasons.hide()

    def show_rows(self, rows: Sequence[ReceivedLine], most: int) -> None:
        """Show the first rows of a table, of which `most` at most were read."""
        self._lines = tuple(rows)
        self.model.show(self._lines[::-1])
        counts = self._counted()
        if len(self._lines) >= most:
            counts = self.tr("Of the first {shown} rows: {counts}").format(
                shown=len(self._lines), counts=counts
            )
        self.counts.setText(counts)

    def show_lines(self, lines: Sequence[ReceivedLine], received: int) -> None:
        """Show the last lines (oldest first) of `received` in all."""
        if tuple(lines) == self._lines:
            return
        self._lines = tuple(lines)
        self.model.show(self._lines)
        counts = self._counted()
        if received > len(self._lines):
            counts = self.tr("Of the last {shown} of {received}: {counts}").format(
                shown=len(self._lines), received=received, counts=counts
            )
        self.counts.setText(counts)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        """What came has the room that it needs, up to half of it: what was read needs the rest."""
        # By the panel's own width: as it is resized, the table still has its old one.
        half = (self.width() - self.table.columnWidth(WHEN)) // 2
        needs = max(self.table.sizeHintForColumn(RAW), 160) if self._lines else half
        self.table.setColumnWidth(RAW, min(needs, half))

    def _counted(self) -> str:
        self._fit()
        refused = sum(not line.values for line in self._lines)
        good = len(self._lines) - refused
        reasons = Counter(
            f"{refused.source}: {refused.reason}" if refused.source else refused.reason
            for line in self._lines
            for refused in line.refused
        )
        self.reasons.setText(
            "\n".join(
                self.tr("{count} × {why}").format(count=count, why=why)
                for why, count in reasons.most_common(3)
            )
        )
        self.reasons.setVisible(bool(reasons))
        return self.tr("{good} lines read, {refused} refused").format(good=good, refused=refused)

    def lines(self) -> tuple[ReceivedLine, ...]:
        """What is shown, oldest first."""
        return self._lines
