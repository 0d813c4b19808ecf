"""Journal: every cook, newest first, with search; open one, plan again from one, begin a new one."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QItemSelectionModel, QModelIndex, Qt, QTimer, Signal, Slot
from PySide6.QtGui import QKeySequence, QResizeEvent, QShortcut
from PySide6.QtWidgets import (
    QHeaderView,
    QLineEdit,
    QPushButton,
    QStackedWidget,
    QTableView,
    QVBoxLayout,
    QWidget,
)

from smokejournal.cook.log.entries import CookPutAway
from smokejournal.desk.base.background import in_background
from smokejournal.desk.base.context import PAGE_FOR_STATE, DeskContext
from smokejournal.desk.base.error_words import cure_of, why_of
from smokejournal.desk.base.tables import MANY, dress_table
from smokejournal.desk.base.theme import GROUNDS
from smokejournal.desk.base.widgets import FILL, new_button, new_column, new_label, new_row
from smokejournal.desk.journal.delegate import ROW_PX, CookDelegate
from smokejournal.desk.journal.model import (
    LONG,
    MARK,
    PICTURE,
    PLACE,
    TITLE,
    WHEN,
    JournalModel,
)
from smokejournal.desk.journal.more import JournalMore
from smokejournal.desk.journal.pictures import ScorePictures
from smokejournal.desk.parts.empty_state import EmptyState
from smokejournal.journal import CookFilter, CookLine

#: A page narrower than this leaves out the place.
PLACE_FROM_PX = 1000
#: So many dates are measured for the width of their column, and so much is left beside them [px].
MEASURED = 40
DATE_EDGE_PX = 28


if TYPE_CHECKING:
    from smokejournal.desk.journal.filters import FilterRow
    from smokejournal.desk.journal.first_start import FirstStart


class JournalPage(QWidget):
    """See the module. `open_asked(cook_id, page)` with page "plan", "tend" or "taste";
    `settings_kept(Settings)` when units were chosen at the first start."""

    open_asked = Signal(object, str)
    settings_kept = Signal(object)

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("journalPage")
        self.title = self.tr("Journal")
        self._context = context
        self._model = JournalModel(self._fetch, context.now_s, self)
        self._model.set_units(context.units)
        self._pictures = ScorePictures(context, self)
        self._pictures.ready.connect(self._model.line_ready)
        self._delegate = CookDelegate(self._pictures, self)
        self._build()
        context.ground_changed.connect(self._on_ground)
        self._on_ground(context.ground)
        self._search_timer = QTimer(self)
        self._search_timer.setSingleShot(True)
        self._search_timer.setInterval(150)
        self._search_timer.timeout.connect(self._on_search)
        self._reload_timer = QTimer(self)
        self._reload_timer.setSingleShot(True)
        self._reload_timer.setInterval(100)
        self._reload_timer.timeout.connect(self.refresh)
        self._busy = self._told_slow = False
        self._first: FirstStart | None = None
        context.cook_changed.connect(self._on_cook_changed)
        context.units_changed.connect(self._on_units_changed)
        self.refresh()

    def _build(self) -> None:
        self.search = QLineEdit(self)
        self.search.setObjectName("journalSearch")
        self.search.setAccessibleName(self.tr("Search cooks"))
        self.search.setPlaceholderText(self.tr("Search all that was written"))
        self.search.setToolTip(
            self.tr(
                "Every word must occur somewhere in a cook. Words in quotes stand together; "
                "a word with a minus before it must not occur."
            )
        )
        self.search.setClearButtonEnabled(True)
        self.search.textChanged.connect(self._on_typed)
        self._new = self._button("journalNew", self.tr("&New cook"), "ember", self._on_new)
        self._open = self._button("journalOpen", self.tr("&Open"), "", self._on_open)
        self._again = self._button("journalAgain", self.tr("Plan a&gain"), "", self._on_again)
        self._again.setToolTip(self.tr("A new cook with the same food, prep and schedule"))
        self._put = self._button("journalPut", self.tr("Put &away"), "", self._on_put)
        self.filters: FilterRow | None = None
        self._fold = self._button("journalFold", self.tr("F&ilters"), "quiet", None)
        self._fold.setCheckable(True)
        self._fold.toggled.connect(self._on_fold)
        top = new_row(
            None, (self.search, 1), self._fold, self._put, self._open, self._again, self._new
        )
        self.table = QTableView(self)
        self.table.setModel(self._model)
        hears = self.tr("Cooks, newest first")
        dress_table(self.table, "journalTable", hears, chosen=MANY, row_px=ROW_PX)
        self.table.setWordWrap(False)
        self.table.setItemDelegate(self._delegate)
        self.table.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        self._lay_columns()
        # Enter, and a double click (or a single one, where the desktop is set so).
        self.table.activated.connect(self._on_activated)
        self.table.selectionModel().selectionChanged.connect(self._on_selection)
        find = QShortcut(QKeySequence(QKeySequence.StandardKey.Find), self)
        find.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        find.setWhatsThis(self.tr("Search the cooks"))
        find.activated.connect(self._on_find)
        # From what is typed down to what was found; Enter there opens it.
        self.search.returnPressed.connect(self.table.setFocus)
        down = QShortcut(QKeySequence(Qt.Key.Key_Down), self.search)
        down.setContext(Qt.ShortcutContext.WidgetShortcut)
        down.setWhatsThis(self.tr("From the search to the cooks it found"))
        down.activated.connect(self.table.setFocus)
        self._empty = EmptyState("journalEmpty", self)
        self._empty.asked.connect(self._on_empty_asked)
        self._stack = QStackedWidget(self)
        self._stack.addWidget(self.table)
        self._stack.addWidget(self._empty)
        self._count = new_label(self, name="journalCount", kind="faint")
        column = new_column(self, top, spacing=10, margins=(16, 14, 16, 10))
        self._filter_place = QVBoxLayout()
        column.addLayout(self._filter_place)
        column.addWidget(self._stack, 1)
        self._away = self._button("journalAway", "", "quiet", None)
        self._away.setCheckable(True)
        self._away.toggled.connect(self._on_away)
        foot = new_row(None, self._count, self._away, FILL)
        self.more = JournalMore(self._context, self._all_selected, self)
        self.more.filled.connect(self._on_open_filled)
        foot.addWidget(self.more)
        column.addLayout(foot)

    def _button(
        self, name: str, text: str, kind: str, on: Callable[[], None] | None
    ) -> QPushButton:
        return new_button(self, text, on, name=name, hears=text.replace("&", ""), kind=kind)

    def _lay_columns(self) -> None:
        header = self.table.horizontalHeader()
        header.setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        widths = ((WHEN, 168), (PICTURE, 150), (LONG, 132), (MARK, 104), (PLACE, 140))
        for column, width in widths:
            self.table.setColumnWidth(column, width)
        header.setSectionResizeMode(TITLE, QHeaderView.ResizeMode.Stretch)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """On a small screen the titles need the room more than the place does."""
        super().resizeEvent(event)
        self.table.setColumnHidden(PLACE, self.width() < PLACE_FROM_PX)

    # what is shown

    def refresh(self) -> None:
        """Read the journal again; the selected cooks stay selected."""
        chosen = [line.id for line in self._all_selected()]
        self._model.reload()
        rows = [row for row in map(self._model.row_of, chosen) if row is not None]
        row = rows[0] if rows else None
        if row is None and self._context.chosen is not None:
            row = self._model.row_of(self._context.chosen)
        if row is None and self._model.rowCount():
            row = 0
        if row is not None:
            self.table.selectRow(row)
        self._fit_dates()
        more = QItemSelectionModel.SelectionFlag.Select | QItemSelectionModel.SelectionFlag.Rows
        for also in rows[1:]:
            self.table.selectionModel().select(self._model.index(also, 0), more)
        self._show_state()

    def _fit_dates(self) -> None:
        """A date is never cut: other languages have longer ones."""
        metrics = self.table.fontMetrics()
        first = range(min(self._model.rowCount(), MEASURED))
        texts = (str(self._model.index(row, WHEN).data() or "") for row in first)
        needed = max((metrics.horizontalAdvance(text) for text in texts), default=0) + DATE_EDGE_PX
        if needed > self.table.columnWidth(WHEN):
            self.table.setColumnWidth(WHEN, needed)

    def _show_state(self) -> None:
        rows = self._model.rowCount()
        text = self.search.text().strip()
        narrowed = bool(self._narrowed())
        first = (
            not rows
            and not text
            and not narrowed
            and not self._context.program.journal.count_cooks(away=True)
        )
        if first:
            self._stack.setCurrentWidget(self._first_start())
        else:
            self._stack.setCurrentWidget(self.table if rows else self._empty)
        if not rows and text and narrowed:
            self._empty.say(
                self.tr("No cook that passes the filters has “{text}” in it.").format(text=text),
                self.tr("Try a shorter word or fewer filters, or look at every cook."),
                self.tr("Show every cook"),
            )
        elif not rows and text:
            self._empty.say(
                self.tr("No cook has “{text}” in anything that was written.").format(text=text),
                self.tr("Try a shorter word, or look at every cook."),
                self.tr("Show every cook"),
            )
        elif not rows and narrowed:
            self._empty.say(
                self.tr("No cook passes the filters."),
                self.tr("Try fewer filters, or look at every cook."),
                self.tr("Show every cook"),
            )
        elif not rows:
            self._empty.say(
                self.tr("No cooks yet"),
                self.tr(
                    "Begin with what you want to cook and when it should be on the table. "
                    "The plan, the readings and the notes gather under it."
                ),
                self.tr("New cook"),
            )
        if not rows:
            count = ""
        elif text or narrowed:
            more = "" if self._model.all_read else "+"
            count = self.tr("{count} found").format(count=f"{rows}{more}")
        else:
            all_cooks = self._context.program.journal.count_cooks()
            count = (
                self.tr("1 cook")
                if all_cooks == 1
                else self.tr("{count} cooks").format(count=all_cooks)
            )
        self._count.setText(count)
        away = self._context.program.journal.count_cooks(away=True)
        words = (
            self.tr("Hide {count} put away")
            if self._away.isChecked()
            else self.tr("Show {count} put away")
        ).format(count=away)
        self._away.setText(words)
        self._away.setAccessibleName(words)
        self._away.setVisible(away > 0)
        self._on_selection()

    def _fetch(
        self, text: str, narrowed: CookFilter, limit: int, offset: int, away: bool
    ) -> list[CookLine]:
        return self._context.program.cooks(
            text, limit=limit, offset=offset, away=away, narrowed=narrowed
        )

    def _selected(self) -> CookLine | None:
        """The one cook that is selected; None where it is none or several."""
        lines = self._all_selected()
        return lines[0] if len(lines) == 1 else None

    def _all_selected(self) -> list[CookLine]:
        """All that are selected, from the top."""
        rows = sorted(index.row() for index in self.table.selectionModel().selectedRows())
        return [line for line in map(self._model.row, rows) if line is not None]

    # what the person does

    def _on_typed(self) -> None:
        self._search_timer.start()

    def _on_fold(self, open_: bool) -> None:
        if self.filters is None:
            # Loaded when first asked for: the first painted window needs none of it.
            from smokejournal.desk.journal.filters import FilterRow, FiltersSaid

            self.filters = FilterRow(self._context, self)
            self.filters.changed.connect(self._on_filtered)
            self._filter_place.addWidget(self.filters)
            self._filter_place.addWidget(FiltersSaid(self.filters, self))
        if open_:
            self.filters.offer_lots()
        self.filters.setVisible(open_)

    def _narrowed(self) -> CookFilter:
        return CookFilter() if self.filters is None else self.filters.asked()

    def _on_filtered(self) -> None:
        self._search_timer.start()

    def _on_find(self) -> None:
        self.search.setFocus()
        self.search.selectAll()

    def _on_search(self) -> None:
        self._search_timer.stop()
        if self.search.text().strip() and not self._told_slow:
            self._told_slow = True
            if self._context.program.journal.searches_slowly:
                self._context.tell(
                    self.tr("Searching is slow here: this machine's database has no text search."),
                    self.tr("The same cooks are found. Nothing needs to be done."),
                )
        self._model.search(self.search.text(), self._narrowed())
        if self._model.rowCount():
            self.table.selectRow(0)
        self._show_state()

    def _on_selection(self) -> None:
        line = self._selected() if self._stack.currentWidget() is self.table else None
        some = line is not None
        self._open.setEnabled(some)
        writable = not self._context.program.journal.read_only
        self._again.setEnabled(some and writable and not self._busy)
        self._new.setEnabled(writable)
        self.more.set_writable(writable)
        away = line is not None and line.away
        words = self.tr("Take b&ack") if away else self.tr("Put &away")
        self._put.setText(words)
        self._put.setAccessibleName(words.replace("&", ""))
        self._put.setToolTip(
            "" if away else self.tr("Out of this list. Nothing is deleted, and a search finds it.")
        )
        # One that is being cooked stays in sight.
        self._put.setEnabled(line is not None and writable and line.state != "under way")

    def _on_activated(self, index: QModelIndex) -> None:
        line = self._model.row(index.row())
        if line is not None:
            self._show(line.id, line.state)

    def _on_open(self) -> None:
        line = self._selected()
        if line is not None:
            self._show(line.id, line.state)

    def _show(self, cook_id: int, state: str) -> None:
        self._context.choose(cook_id)
        self.open_asked.emit(cook_id, PAGE_FOR_STATE.get(state, "plan"))

    def _on_put(self) -> None:
        line = self._selected()
        if line is not None:
            live = self._context.live(line.id)
            self._context.after(live.record(CookPutAway(not line.away)))

    def _on_away(self, away: bool) -> None:
        self._model.show_away(away)
        self._show_state()

    def _on_again(self) -> None:
        line = self._selected()
        if line is None:
            return
        program = self._context.program
        cook_id = line.id
        self._busy = True
        self._on_selection()
        self._context.after(
            in_background(lambda: program.plan_again(cook_id)), self._on_made, self._on_not_made
        )

    def _on_new(self) -> None:
        from smokejournal.desk.parts.new_cook_dialog import NewCookDialog

        self.dialog = NewCookDialog(self._context, self)
        self.dialog.made.connect(self._on_made)
        self.dialog.open()

    def _first_start(self) -> QWidget:
        # Loaded when first asked for: whoever has cooks never sees it.
        from smokejournal.desk.journal.first_start import FirstStart

        if self._first is None:
            self._first = FirstStart(self._context, self)
            self._first.new_asked.connect(self._on_new)
            self._first.sample_asked.connect(self._on_sample)
            self._first.settings_kept.connect(self.settings_kept)
            self._stack.addWidget(self._first)
        return self._first

    @Slot()
    def _on_sample(self) -> None:
        from smokejournal.desk.parts.zone_box import machine_zone
        from smokejournal.services.demo.build import add_sample_plan

        journal, now_s = self._context.program.journal, self._context.now_s()
        title = self.tr("Sample: turkey crown for six")
        self._context.after(
            in_background(lambda: add_sample_plan(journal, now_s, machine_zone(), title)),
            self._on_made,
            self._on_not_made,
        )

    def _on_open_filled(self, cook_id: int) -> None:
        line = next((each for each in self._context.program.cooks() if each.id == cook_id), None)
        if line is not None:
            self._show(cook_id, line.state)

    def _on_empty_asked(self) -> None:
        if self.search.text().strip() or self._narrowed():
            self.search.clear()
            if self.filters is not None:
                self.filters.clear()
            self._on_search()
        else:
            self._on_new()

    def _on_made(self, cook_id: int) -> None:
        self._busy = False
        self._on_selection()
        self._show(cook_id, "planned")

    def _on_not_made(self, error: BaseException) -> None:
        self._busy = False
        self._on_selection()
        self._context.tell(
            self.tr("The cook could not be planned again: {why}").format(why=why_of(error)),
            cure_of(error),
        )

    # what others did

    def _on_cook_changed(self, change: object) -> None:
        # Readings alone change no line here; entries come in bursts.
        if getattr(change, "entries", ()) or getattr(change, "new_cook", False):
            self._reload_timer.start()

    def _on_ground(self, name: str) -> None:
        self._delegate.set_ground(GROUNDS[name])
        self.table.viewport().update()

    def _on_units_changed(self) -> None:
        self._model.set_units(self._context.units)
