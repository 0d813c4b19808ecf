"""The table of every cook, read a page at a time so that thousands cost no more than a few."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QModelIndex, Qt
from PySide6.QtGui import QFont

from smokejournal.cook.text import quantities
from smokejournal.desk.base.rows_model import AnyIndex, RowsModel
from smokejournal.journal import CookLine

#: Lines read at once. A screen holds about thirty.
PAGE = 200

WHEN, TITLE, WHAT, LONG, STATE, MARK, PLACE = range(7)

Fetch = Callable[[str, int, int], list[CookLine]]


class JournalModel(RowsModel[CookLine]):
    """Rows are cooks, newest first. `fetch(text, limit, offset)` reads them."""

    numbers = frozenset({LONG, MARK})

    def __init__(self, fetch: Fetch, now_s: Callable[[], float], parent: Any = None) -> None:
        super().__init__(parent)
        self._fetch = fetch
        self._now_s = now_s
        self._text = ""
        self._all_read = False

    def search(self, text: str) -> None:
        """Show the cooks in which `text` is found; all of them for empty text."""
        self._text = text.strip()
        self.reload()

    def reload(self, keep: int = PAGE) -> None:
        """Read again: as many lines as were read before, at least `keep`."""
        want = max(len(self._rows), keep)
        lines = self._fetch(self._text, want, 0)
        self._all_read = len(lines) < want
        self.show(lines)

    def row_of(self, cook_id: int) -> int | None:
        """Where a cook stands among the lines read so far."""
        return next((n for n, line in enumerate(self._rows) if line.id == cook_id), None)

    @property
    def all_read(self) -> bool:
        """True once there is nothing left to fetch."""
        return self._all_read

    def canFetchMore(self, parent: AnyIndex) -> bool:
        return not parent.isValid() and not self._all_read

    def fetchMore(self, parent: AnyIndex) -> None:
        if parent.isValid() or self._all_read:
            return
        more = self._fetch(self._text, PAGE, len(self._rows))
        self._all_read = len(more) < PAGE
        if more:
            first = len(self._rows)
            self.beginInsertRows(QModelIndex(), first, first + len(more) - 1)
            self._rows.extend(more)
            self.endInsertRows()

    def titles(self) -> tuple[str, ...]:
        return (
            self.tr("When"),
            self.tr("Title"),
            self.tr("What"),
            self.tr("How long"),
            self.tr("State"),
            self.tr("Mark"),
            self.tr("Place"),
        )

    def _cell(self, line: CookLine, column: int, role: int) -> Any:
        if role == Qt.ItemDataRole.FontRole and line.state == "under way":
            font = QFont()
            font.setBold(True)
            return font
        if role == Qt.ItemDataRole.UserRole:
            return line.id
        return super()._cell(line, column, role)

    def words(self, line: CookLine, column: int) -> str:
        if column == WHEN:
            return quantities.date(line.day_s, line.zone)
        if column == TITLE:
            return line.title
        if column == WHAT:
            return ", ".join(self._piece(name, mass_kg) for name, mass_kg in line.pieces)
        if column == LONG:
            length_s = line.length_s(self._now_s())
            return "" if length_s is None else quantities.duration(length_s)
        if column == STATE:
            state = self.state_words(line.state)
            if line.simulated:
                return self.tr("{state}, SIMULATED").format(state=state)
            return state
        if column == MARK:
            return "" if line.overall is None else f"{line.overall:.1f}"
        return line.place

    def _piece(self, name: str, mass_kg: float | None) -> str:
        return name if mass_kg is None else f"{name} {quantities.mass(mass_kg, self._units)}"

    def tip(self, line: CookLine, column: int) -> str:
        if column == WHEN:
            return quantities.date_time(line.started_s or line.opened_s, line.zone, self._units)
        if column == MARK and line.overall is not None:
            return self.tr("Overall mark, 1 to 5, the mean over all tasters")
        return self.words(line, column)

    def state_words(self, state: str) -> str:
        """A cook's state in words."""
        return {
            "planned": self.tr("planned"),
            "under way": self.tr("under way"),
            "finished": self.tr("finished"),
        }.get(state, state)
