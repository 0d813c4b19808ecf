"""Taste: how the cook turned out, and its whole sheet with the score, to be read, saved and printed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial

from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import (
    QFrame,
    QPushButton,
    QScrollArea,
    QSizePolicy,
    QSplitter,
    QStackedWidget,
    QTextBrowser,
    QWidget,
)

from smokejournal.cook.log.entries import (
    Entry,
    ItemAdded,
    Payload,
    Photo,
    Strike,
    Tasted,
)
from smokejournal.cook.log.entry_words import names_of
from smokejournal.cook.score.score import Score
from smokejournal.cook.summary.summary import Summary
from smokejournal.cook.summary.yields import Yields
from smokejournal.cook.text import quantities
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.quantities import Units
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.error_words import words_of
from smokejournal.desk.base.refresher import Refresher
from smokejournal.desk.base.theme import GROUNDS, set_kind
from smokejournal.desk.base.widgets import new_button, new_column, new_label, new_row, say
from smokejournal.desk.outgoing.share import ShareButton
from smokejournal.desk.parts.empty_state import EmptyState
from smokejournal.desk.parts.short_label import ShortLabel
from smokejournal.desk.score.view import ScoreView
from smokejournal.desk.taste.explaining import Explaining
from smokejournal.desk.taste.kept import TasteKept
from smokejournal.desk.taste.notes import NotesDraft, TasteNotes
from smokejournal.desk.taste.photos import Copied, TastePhotos
from smokejournal.desk.taste.printing import TastePrint
from smokejournal.desk.taste.verdict import Verdict
from smokejournal.paper.summary_document import SheetColors, summary_html
from smokejournal.services.program import settings
from smokejournal.services.program.live import LiveCook

#: How often the sheet follows readings that keep coming in [s by the program's clock].
FOLLOW_S = 15.0


def made_of(live: LiveCook) -> tuple[LiveCook, Summary, Score]:
    """What the page shows of a cook. Walks the whole log: for a worker thread."""
    return live, live.summary(), live.score()


class TastePage(QWidget):
    """See the module."""

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("tastePage")
        self.title = self.tr("Taste")
        self._context = context
        self._live: LiveCook | None = None
        self._summary: Summary | None = None
        self._score: Score | None = None
        self._drafts: dict[int, NotesDraft] = {}
        self._explaining = Explaining(context, self)
        self._refresher = Refresher(self, context, self._ask, self._on_made, soon_ms=150)
        self._print = TastePrint(context, self)
        self._print.busy_changed.connect(self._on_busy)
        self._build()
        self._explaining.said.connect(self._say)
        self._explaining.turned.connect(self._show_buttons)
        self._explaining.failed.connect(self._on_not_kept)
        context.cook_chosen.connect(self._on_chosen)
        context.cook_changed.connect(self._on_changed)
        context.units_changed.connect(self._on_units)
        context.ground_changed.connect(self._on_ground)
        context.ticked.connect(self._on_tick)
        self._on_units()
        self._on_ground(context.ground)
        self._on_chosen(context.chosen)

    # -- building ----------------------------------------------------------------------------

    def _build(self) -> None:
        self._name = ShortLabel(self)
        self._name.setObjectName("tasteTitle")
        self._name.setProperty("kind", "title")
        self._name.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        pdf, preview, paper = (
            partial(self._put_out, how)
            for how in (self._print.save_pdf, self._print.preview, self._print.print_sheet)
        )
        self._pdf = self._button("tastePdf", self.tr("Save P&DF…"), pdf)
        self._preview = self._button("tastePreview", self.tr("Pre&view…"), preview)
        self._paper = self._button("tastePrint", self.tr("P&rint…"), paper)
        top = new_row(None, (self._name, 1))
        self.share = ShareButton(self._context, self)
        for button in (self.share, self._pdf, self._preview, self._paper):
            top.addWidget(button)
        split = QSplitter(Qt.Orientation.Horizontal, self)
        split.setObjectName("tasteSplit")
        split.setChildrenCollapsible(False)
        split.setHandleWidth(1)
        split.addWidget(self._build_notes())
        split.addWidget(self._build_sheet())
        split.setStretchFactor(0, 0)
        split.setStretchFactor(1, 1)
        split.setSizes([348, 700])
        whole = QWidget(self)
        new_column(whole, top, (split, 1), spacing=10, margins=(16, 14, 16, 12))
        self._no_cook = EmptyState("tasteNoCook", self)
        self._no_cook.say(
            self.tr("No cook is chosen"),
            self.tr(
                "Open a cook in the Journal. Here you then write down how it tasted and what it "
                "weighed, and read or print its sheet."
            ),
        )
        self._stack = QStackedWidget(self)
        self._stack.addWidget(self._no_cook)
        self._stack.addWidget(whole)
        new_column(self, self._stack, margins=0)
        self._whole = whole

    def _build_notes(self) -> QWidget:
        self.notes = TasteNotes(self)
        self.notes.changed.connect(self._on_edited)
        self.notes.tasting_left.connect(self._on_tasting_left)
        self.notes.what_if.clicked.connect(self._on_what_if)
        self.notes.why.clicked.connect(self._explaining.ask)
        self.verdict = Verdict(self)
        self.verdict.change_asked.connect(self._on_change)
        self.verdict.more_asked.connect(self._on_more)
        self.kept = TasteKept(self)
        self.kept.strike_asked.connect(self._on_strike)
        self.photos = TastePhotos(self._context, self)
        self.photos.copied.connect(self._on_copied)
        holder = QWidget()
        inside = new_column(holder, spacing=14, margins=(0, 0, 10, 0))
        for widget in (self.verdict, self.notes, self.photos, self.kept):
            inside.addWidget(widget)
        inside.addStretch(1)
        scroll = QScrollArea(self)
        scroll.setObjectName("tasteScroll")
        scroll.setAccessibleName(self.tr("How it was"))
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setWidget(holder)
        self._scroll = scroll
        self._keep = self._button("tasteKeep", self.tr("&Save these notes"), self._on_keep)
        self._keep.setProperty("kind", "ember")
        self._said = new_label(self, name="tasteSaid", wraps=True, hidden=True)
        side = QWidget(self)
        side.setMinimumWidth(330)
        new_column(side, (scroll, 1), self._said, self._keep, margins=(0, 0, 10, 0))
        return side

    def _build_sheet(self) -> QWidget:
        self.score = ScoreView(self)
        self.score.setObjectName("tasteScore")
        self.score.setMinimumHeight(296)
        self.sheet = QTextBrowser(self)
        self.sheet.setObjectName("tasteSheet")
        self.sheet.setAccessibleName(self.tr("The sheet of this cook"))
        self.sheet.setOpenLinks(False)
        self.sheet.document().setDocumentMargin(16)
        split = QSplitter(Qt.Orientation.Vertical, self)
        split.setChildrenCollapsible(False)
        split.setHandleWidth(1)
        split.addWidget(self.score)
        split.addWidget(self.sheet)
        split.setStretchFactor(0, 2)
        split.setStretchFactor(1, 3)
        holder = QWidget(self)
        new_column(holder, split, margins=(10, 0, 0, 0))
        return holder

    def _button(self, name: str, text: str, slot: Callable[[], object]) -> QPushButton:
        return new_button(self, text, slot, name=name, hears=text.replace("&", ""))

    # -- what is shown -----------------------------------------------------------------------

    def _ask(self) -> Callable[[], tuple[LiveCook, Summary, Score]] | None:
        live = self._live
        if live is None:
            return None
        self._show_entries(live.log().holding())
        return partial(made_of, live)

    def _on_made(self, made: tuple[LiveCook, Summary, Score]) -> None:
        live, summary, score = made
        if live is self._live:
            self._summary, self._score = summary, score
            self.score.set_score(score)
            self.notes.show_yields(self._yield_words(summary.yields))
            self._show_sheet()
        self._show_buttons()

    def _show_sheet(self) -> None:
        if self._summary is None:
            return
        ground = GROUNDS[self._context.ground]
        html = summary_html(
            self._summary, self._context.units, SheetColors(ground.faint, ground.ember)
        )
        bar = self.sheet.verticalScrollBar()
        where = bar.value()
        self.sheet.setHtml(html)
        bar.setValue(where)

    def _show_entries(self, entries: Sequence[Entry]) -> None:
        names = names_of(tuple(entries))
        tastings = [e for e in entries if isinstance(e.what, Tasted)]
        changing = self.notes.instead_of
        self.verdict.show_tastings(
            [entry for entry in tastings if entry.id != changing],
            names.zone,
            self._context.units,
            writable=not self._context.program.journal.read_only,
        )
        self.verdict.setVisible(bool(tastings))
        self.notes.ask_tasting(stands=bool(tastings))
        self.kept.show_entries(entries, self._context.units, names)
        items = [e.what.name for e in entries if isinstance(e.what, ItemAdded)]
        self.notes.set_items(items)
        self.notes.faults.offer({e.what.food for e in entries if isinstance(e.what, ItemAdded)})
        journal = self._context.program.journal
        shown = [e.what for e in entries if isinstance(e.what, Photo)]
        self.photos.show_photos(
            [
                (
                    photo.caption or self.tr("photo {number}").format(number=number),
                    photo,
                    journal.photo_path(photo.sha256, photo.suffix),
                )
                for number, photo in enumerate(shown, start=1)
            ]
        )

    def _yield_words(self, yields: Yields) -> str:
        units = self._context.units
        parts = []
        for step in yields.whole.steps:
            if step.mass_kg is None:
                continue
            name = self.notes.stage_words(step.step)
            text = f"{name} {quantities.mass(step.mass_kg, units)}"
            if step.share_pct is not None and step.step != "raw":
                text = f"{text} ({quantities.percent(step.share_pct)})"
            parts.append(text)
        return self.tr("Weighed: {masses}").format(masses=", ".join(parts)) if parts else ""

    def _show_buttons(self) -> None:
        writable = not self._context.program.journal.read_only
        ready = self._summary is not None
        for button in (self.notes.what_if, self.share, self._pdf, self._preview, self._paper):
            button.setEnabled(ready)
        closed = ready and self._summary is not None and self._summary.phase == "closed"
        self.notes.why.setEnabled(writable and closed and not self._explaining.busy)
        self._keep.setEnabled(writable and not self.notes.is_empty())
        self.photos.setEnabled(writable)
        self.kept.set_writable(writable)

    def _say(self, words: str, kind: str = "good") -> None:
        say(self._said, words)
        set_kind(self._said, kind)

    # -- what the person does ----------------------------------------------------------------

    def _on_edited(self) -> None:
        if not self.notes.is_empty():
            self._say("")
        self._show_buttons()

    def _on_change(self, entry: object) -> None:
        assert isinstance(entry, Entry)
        assert isinstance(entry.what, Tasted)
        self.notes.change(entry.what, entry.id)
        self._show_tastings_again()

    def _on_more(self) -> None:
        self.notes.add_taster()
        self._show_tastings_again()

    def _on_tasting_left(self) -> None:
        self.notes.leave_tasting()
        self._show_tastings_again()

    def _show_tastings_again(self) -> None:
        if self._live is not None:
            self._show_entries(self._live.log().holding())
        self._show_buttons()

    def _on_keep(self) -> None:
        live = self._live
        said = self.notes.payloads()
        wrong = self.notes.wrong_field() if said is None else None
        if wrong is not None:
            self._say(self.tr("Nothing is saved yet. Fix what is marked."), "problem")
            wrong.setFocus(Qt.FocusReason.OtherFocusReason)
            # What was just said takes room from the form.
            QTimer.singleShot(0, wrong, partial(self._scroll.ensureWidgetVisible, wrong, 0, 80))
            return
        if live is None or not said:
            return
        now_s = self._context.now_s()
        pairs: list[tuple[float, Payload]] = [(now_s, payload) for payload in said]
        before = self.notes.instead_of
        if before is not None and any(isinstance(payload, Tasted) for payload in said):
            pairs.insert(0, (now_s, Strike(before, "changed")))
        try:
            future = live.record_many(pairs)
        except SchemaProblem as problem:
            self._say(problem.message, "problem")
            return
        self._keep.setEnabled(False)
        self._context.after(future, partial(self._on_kept, live), self._on_not_kept)

    def _on_kept(self, live: LiveCook, entries: Sequence[Entry]) -> None:
        # Only now is it on disk; what was typed is let go, what was kept shows below.
        self._drafts.pop(live.cook_id, None)
        if live is not self._live:
            # Another cook was chosen meanwhile: what is typed for that one stays.
            return
        self.notes.clear()
        self._show_entries(live.log().holding())
        when = quantities.clock_time(entries[0].recorded_s, live.zone, self._context.units)
        self._say(self.tr("Saved at {time}.").format(time=when))
        self._show_buttons()

    def _on_not_kept(self, error: BaseException) -> None:
        self._show_buttons()
        self._say(words_of(error), "problem")

    def _on_strike(self, entry_id: int) -> None:
        if self._live is not None:
            self._context.after(self._live.strike(entry_id), self._on_struck, self._on_not_kept)

    def _on_struck(self, _entry: Entry) -> None:
        self._say(self.tr("Struck: it no longer counts. It stays in the log on Tend."))

    def _on_copied(self, copied: Copied) -> None:
        if self._live is not None and copied.photos:
            now_s = self._context.now_s()
            self._context.after(self._live.record_many([(now_s, photo) for photo in copied.photos]))
        if copied.refused:
            self._context.tell(
                self.tr("Not saved: {files}").format(files="; ".join(copied.refused)),
                self.tr("Pictures such as JPEG, PNG or WebP can be saved."),
            )

    def _put_out(self, how: Callable[[Summary, Score, Units], object], *_: object) -> None:
        if self._summary is not None and self._score is not None:
            how(self._summary, self._score, self._context.units)

    def _on_busy(self, busy: bool) -> None:
        self._pdf.setEnabled(not busy)
        self._paper.setEnabled(not busy)

    # -- what others did ---------------------------------------------------------------------

    def _on_chosen(self, cook_id: object) -> None:
        if self._live is not None:
            self._drafts[self._live.cook_id] = self.notes.draft()
        self._summary = self._score = None
        self._say("")
        self._explaining.live = None
        if not isinstance(cook_id, int):
            self._live = None
            self._stack.setCurrentWidget(self._no_cook)
            return
        self._live = self._explaining.live = self._context.live(cook_id)
        title = self._live.title
        self._name.setText(title)
        self._name.setToolTip(title)
        self.sheet.clear()
        self.notes.set_draft(self._drafts.get(cook_id, NotesDraft()))
        self.notes.currency = settings.load(self._context.program.journal).settings.currency
        self._show_entries(self._live.log().holding())
        self.notes.show_yields("")
        self._stack.setCurrentWidget(self._whole)
        self._show_buttons()
        self._refresher.refresh()

    def _on_what_if(self) -> None:
        from smokejournal.desk.taste.hindsight_dialog import HindsightDialog

        if self._live is None or self._score is None:
            return
        dialog = HindsightDialog(self._context, self._live, self._score, self)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.open()

    def _on_changed(self, change: object) -> None:
        if self._live is None or getattr(change, "cook_id", None) != self._live.cook_id:
            return
        if getattr(change, "entries", ()):
            self._refresher.mark()
        else:
            self._refresher.stale = True

    def _on_tick(self, now_s: float) -> None:
        if self._refresher.stale and now_s - self._refresher.asked_at_s >= FOLLOW_S:
            self._refresher.refresh()

    def _on_units(self) -> None:
        units = self._context.units
        self.notes.set_units(units)
        self.score.set_units(units)
        if self._live is not None:
            self._show_entries(self._live.log().holding())
            self._show_sheet()
            if self._summary is not None:
                self.notes.show_yields(self._yield_words(self._summary.yields))

    def _on_ground(self, name: str) -> None:
        self.score.set_ground(GROUNDS[name])
        if self.isVisible():
            self._show_sheet()
        else:
            self._refresher.stale = True
