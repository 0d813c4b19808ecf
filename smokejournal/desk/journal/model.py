"""The table of every cook, read a page at a time so that thousands cost no more than a few."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QModelIndex, Qt
from PySide6.QtWidgets import QApplication

from smokejournal.cook.log.written_texts import sort_words
from smokejournal.cook.summary.tasting import HIGHEST, dots
from smokejournal.cook.text import quantities
from smokejournal.cook.timetable.clock_words import weekday
from smokejournal.desk.base.rows_model import AnyIndex, RowsModel
from smokejournal.journal import CookFilter, CookLine

#: Lines read at once. A screen holds about thirty.
PAGE = 200

WHEN, PICTURE, TITLE, LONG, MARK, PLACE = range(6)
#: What stands on a cell's second line, and the whole cook.
SECOND, LINE = Qt.ItemDataRole.UserRole + 1, Qt.ItemDataRole.UserRole + 2
#: Where on the second line stands what was looked for, as (from, to) of its characters.
MARKS = Qt.ItemDataRole.UserRole + 3
#: What was looked for begins at most so far into the text that is shown: on a small screen the column
#: has room for forty characters.
_LEAD = 16

Fetch = Callable[[str, CookFilter, int, int, bool], list[CookLine]]


class JournalModel(RowsModel[CookLine]):
    """Rows are cooks, newest first. `fetch(text, filter, limit, offset, away)` reads them.

    Those that were put away are shown where they are asked for, and in a search.
    """

    numbers = frozenset({LONG})

    def __init__(self, fetch: Fetch, now_s: Callable[[], float], parent: Any = None) -> None:
        super().__init__(parent)
        self._fetch = fetch
        self._now_s = now_s
        self._text = ""
        self._narrowed = CookFilter()
        self._away = False
        self._all_read = False

    def search(self, text: str, narrowed: CookFilter) -> None:
        """Show the cooks in which `text` is found and that pass the filter; all of them for neither."""
        self._text, self._narrowed = text.strip(), narrowed
        self.reload()

    def show_away(self, away: bool) -> None:
        """Show those too that were put away, or leave them out."""
        self._away = away
        self.reload()

    def reload(self, keep: int = PAGE) -> None:
        """Read again: as many lines as were read before, at least `keep`."""
        want = max(len(self._rows), keep)
        lines = self._read(want, 0)
        self._all_read = len(lines) < want
        self.show(lines)

    def _read(self, count: int, offset: int) -> list[CookLine]:
        away = self._away or bool(self._text) or bool(self._narrowed)
        return self._fetch(self._text, self._narrowed, count, offset, away)

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
        more = self._read(PAGE, len(self._rows))
        self._all_read = len(more) < PAGE
        if more:
            first = len(self._rows)
            self.beginInsertRows(QModelIndex(), first, first + len(more) - 1)
            self._rows.extend(more)
            self.endInsertRows()

    def titles(self) -> tuple[str, ...]:
        return (
            self.tr("When"),
            "",
            self.tr("Cook"),
            self.tr("How long"),
            self.tr("How it was"),
            self.tr("Place"),
        )

    def _cell(self, line: CookLine, column: int, role: int) -> Any:
        if role == Qt.ItemDataRole.FontRole and column == TITLE:
            font = QApplication.font()
            font.setBold(line.state == "under way")
            return font
        if role == Qt.ItemDataRole.UserRole:
            return line.id
        if role == LINE:
            return line
        if role == SECOND:
            return self.second(line, column)
        if role == MARKS:
            return self._found(line)[1] if column == TITLE else []
        if role == Qt.ItemDataRole.AccessibleTextRole:
            both = (self.words(line, column), self.second(line, column))
            return ", ".join(part for part in both if part)
        return super()._cell(line, column, role)

    def words(self, line: CookLine, column: int) -> str:
        if column == WHEN:
            return self.tr("{weekday} {date}").format(
                weekday=weekday(line.day_s, line.zone),
                date=quantities.date(line.day_s, line.zone, self._units),
            )
        if column == TITLE:
            return line.title
        if column == LONG:
            length_s = line.length_s(self._now_s())
            return "" if length_s is None else quantities.duration(length_s)
        if column == MARK:
            return "" if line.overall is None else dots(line.overall)
        return line.place if column == PLACE else ""

    def _wanted(self, line: CookLine) -> str:
        """When it was wanted, with its day where that is another one."""
        if line.wanted_s is None:
            return ""
        time = quantities.clock_time(line.wanted_s, line.zone, self._units)
        if quantities.date(line.wanted_s, line.zone) != quantities.date(line.day_s, line.zone):
            time = f"{weekday(line.wanted_s, line.zone)} {time}"
        return self.tr("wanted {time}").format(time=time)

    def second(self, line: CookLine, column: int) -> str:
        """What stands below the words of a cell."""
        if column == WHEN:
            state = self.tr("put away") if line.away else self.state_words(line.state)
            return self.tr("{state}, SIMULATED").format(state=state) if line.simulated else state
        if column == TITLE:
            what = ", ".join(self._piece(name, mass_kg) for name, mass_kg in line.pieces)
            return " · ".join(part for part in (self._found(line)[0], what) if part)
        return self._wanted(line) if column == LONG else ""

    def _found(self, line: CookLine) -> tuple[str, list[tuple[int, int]]]:
        """The text that a search found in words, and where in it the marks are."""
        found = line.found
        if found is None:
            return "", []
        text, begin = found.text, 0
        if found.marks and found.marks[0][0] > _LEAD:
            first = found.marks[0][0]
            begin = text.find(" ", first - _LEAD, first) + 1 or first
        if begin:
            text = f"… {text[begin:]}"
        shift = 2 - begin if begin else 0
        day = quantities.date(found.at_s, line.zone, self._units)
        before, after = (
            self.tr("{what}: {text} ({day})")
            .format(what=sort_words(found.sort), day=day, text="\0")
            .split("\0")
        )
        marks = [(len(before) + at + shift, len(before) + to + shift) for at, to in found.marks]
        return f"{before}{text}{after}", marks

    def line_ready(self, cook_id: int) -> None:
        """The picture of this cook has come: draw its row again."""
        row = self.row_of(cook_id)
        if row is not None:
            here = self.index(row, PICTURE)
            self.dataChanged.emit(here, here)

    def _piece(self, name: str, mass_kg: float | None) -> str:
        return name if mass_kg is None else f"{name} {quantities.mass(mass_kg, self._units)}"

    def tip(self, line: CookLine, column: int) -> str:
        if column == WHEN:
            return quantities.date_time(line.started_s or line.opened_s, line.zone, self._units)
        if column == MARK and line.overall is not None:
            return self.tr("{mark} of {most} overall, the mean over all tasters").format(
                mark=f"{round(line.overall, 1):g}", most=HIGHEST
            )
        return "\n".join(
            part for part in (self.words(line, column), self.second(line, column)) if part
        )

    def state_words(self, state: str) -> str:
        """A cook's state in words."""
        return {
            "planned": self.tr("planned"),
            "under way": self.tr("under way"),
            "finished": self.tr("finished"),
        }.get(state, state)
