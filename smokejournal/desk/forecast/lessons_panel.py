"""What finished cooks taught the forecast, and from which of them it learns."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise

from PySide6.QtCore import Slot
from PySide6.QtWidgets import (
    QLabel,
    QProgressBar,
    QWidget,
)

from smokejournal.cook.learning.lesson_words import (
    course_words,
    in_ten,
    kind_title,
    meat_words,
    pit_words,
    range_words,
)
from smokejournal.cook.text import quantities
from smokejournal.desk.base.background import in_background
from smokejournal.desk.base.clearing import throw_away
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.error_words import cure_of, message_of
from smokejournal.desk.base.refresher import Refresher
from smokejournal.desk.base.widgets import FILL, new_button, new_column, new_label, new_row
from smokejournal.desk.forecast.lesson_row import LessonRow
from smokejournal.desk.parts.choice_box import ChoiceBox
from smokejournal.desk.parts.zone_box import machine_zone
from smokejournal.services.forecast.learned import ForecastLearned, LessonCook, Lessons

SOON_MS = 100
#: Room above a heading of what was learned [px].
ABOVE = 6


class LessonsPanel(QWidget):
    """`simulated` says which cooks to begin with; None: real ones, where there are any."""

    def __init__(
        self, context: DeskContext, simulated: bool | None = None, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setObjectName("learnedPanel")
        self._context = context
        self._simulated = simulated
        self._lessons: Lessons | None = None
        self._refresher = Refresher(
            self, context, self._ask, self._on_lessons, self._on_failed, soon_ms=SOON_MS
        )
        self._rows: dict[int, LessonRow] = {}
        self._build()
        context.cook_changed.connect(self._on_changed)
        context.units_changed.connect(self._show)
        context.learner.moved_on.connect(self._show_progress)
        self._show_progress()

    # -- building ----------------------------------------------------------------------------

    def _build(self) -> None:
        self._column = new_column(self, spacing=8, margins=0)
        head = new_row(
            None,
            self._label(self.tr("What earlier cooks taught"), "learnedTitle", "section"),
            FILL,
        )
        self.kind = ChoiceBox(self, name="learnedKind", hears=self.tr("Which cooks"))
        self.kind.addItem(self.tr("Real cooks"), False)
        self.kind.addItem(self.tr("Simulated cooks"), True)
        self.kind.activated.connect(self._on_kind)
        self.kind.hide()
        head.addWidget(self.kind)
        self._column.addLayout(head)
        self.summary = self._label("", "learnedSummary")
        self._column.addWidget(self.summary)
        self._said = new_column(None, spacing=4, margins=0)
        self._column.addLayout(self._said)
        self._column.addSpacing(4)
        self._build_offer()
        self._cooks_title = self._label(self.tr("Learn from"), "learnedCooks", "section")
        self._column.addWidget(self._cooks_title)
        self._cooks = new_column(None, spacing=4)
        self._column.addLayout(self._cooks)
        self._build_since()

    def _build_offer(self) -> None:
        self.offer = self._label("", "learnedOffer")
        self.learn = new_button(
            self, self.tr("&Learn from them"), self._on_learn, name="learnedLearn", auto=False
        )
        self.bar = QProgressBar(self)
        self.bar.setObjectName("learnedBar")
        self.bar.setAccessibleName(self.tr("Finished cooks being read"))
        self.bar.setTextVisible(False)
        self.bar.setFixedSize(120, 10)
        self.stop = new_button(
            self, self.tr("S&top"), self._context.learner.stop, name="learnedStop", auto=False
        )
        row = new_row(None, (self.offer, 1), self.bar, self.stop, self.learn, spacing=10)
        self._column.addLayout(row)

    def _build_since(self) -> None:
        self.since = self._label("", "learnedSince", "faint")
        self.start_over = new_button(
            self, self.tr("Start &over"), self._on_start_over, name="learnedStartOver", auto=False
        )
        self.all = new_button(
            self, self.tr("Let &all count again"), self._on_all, name="learnedAll", auto=False
        )
        row = new_row(None, (self.since, 1), self.start_over, self.all, spacing=10)
        self._column.addLayout(row)

    def _label(self, text: str, name: str, kind: str = "") -> QLabel:
        return new_label(self, text, name=name, kind=kind, wraps=kind != "section")

    # -- asking ------------------------------------------------------------------------------

    @Slot(object)
    def _on_changed(self, change: object) -> None:
        if getattr(change, "entries", ()) or getattr(change, "settings", False):
            self._refresher.mark()

    def _ask(self) -> Callable[[], Lessons]:
        learned, simulated = self._context.forecasts.learned, self._simulated
        return lambda: _lessons(learned, simulated)

    def _on_lessons(self, lessons: Lessons) -> None:
        self._lessons = lessons
        self._show()

    def _on_failed(self, error: BaseException) -> None:
        self.summary.setText(message_of(error) or "")

    # -- showing -----------------------------------------------------------------------------

    @Slot()
    def _show(self) -> None:
        lessons = self._lessons
        if lessons is None:
            return
        self.kind.setVisible(lessons.other_kind and (bool(lessons.lesson_cooks) or self._chosen))
        self.kind.setCurrentIndex(self.kind.findData(lessons.simulated))
        self.summary.setText(self._summary(lessons))
        self._show_said(lessons)
        self._show_cooks(lessons.lesson_cooks)
        self._show_since(lessons)
        self._show_progress()

    @property
    def _chosen(self) -> bool:
        """Whether a kind of cooks was asked for, by the person or by whoever opened this."""
        return self._simulated is not None

    def _summary(self, lessons: Lessons) -> str:
        count = len([t for t in lessons.lesson_cooks if t.lesson.state == "learned"])
        if count == 0:
            said = [
                self.tr(
                    "Nothing learned so far: a forecast begins with what is usual. When you close a "
                    "cook with a lead probe, its readings teach it."
                )
            ]
        elif count == 1:
            said = [self.tr("From one finished cook. A forecast begins from this.")]
        else:
            text = self.tr("From {n} finished cooks. A forecast begins from this.")
            said = [text.format(n=count)]
        if lessons.simulated and lessons.lesson_cooks:
            said.append(self.tr("These cooks are simulated: they teach simulated cooks only."))
        return " ".join(said)

    def _show_said(self, lessons: Lessons) -> None:
        throw_away(self._said)
        units = self._context.units
        lines: list[tuple[str, str]] = []
        if lessons.pit:
            lines.append((self._title(self.tr("This pit"), lessons.pit_cooks), "strong"))
            lines += [(text, "") for text in pit_words(lessons.pit, units)]
        for cut, learned in lessons.meat.items():
            lines.append((self._title(kind_title(cut), lessons.meat_cooks[cut]), "strong"))
            told = (*meat_words(learned, units), *course_words(lessons.courses.get(cut, 0)))
            lines += [(text, "") for text in told]
            came = lessons.ranges.get(cut)
            if came is not None:
                words = range_words(came.cooks, came.moments, came.held, came.recalibration)
                lines.append((" ".join(words), ""))
        if lines:
            lines.append((in_ten(), "faint"))
        for n, (text, kind) in enumerate(lines):
            label = self._label(text, f"learnedLine{n}", kind)
            if kind == "strong":
                label.setContentsMargins(0, ABOVE if n else 0, 0, 0)
                font = label.font()
                font.setBold(True)
                label.setFont(font)
            self._said.addWidget(label)

    def _title(self, name: str, cooks: int) -> str:
        if cooks == 1:
            return self.tr("{name}, from one cook").format(name=name)
        return self.tr("{name}, from {n} cooks").format(name=name, n=cooks)

    def _show_cooks(self, lesson_cooks: Sequence[LessonCook]) -> None:
        writable = not self._context.program.journal.read_only
        if list(self._rows) != [t.line.id for t in lesson_cooks]:
            throw_away(self._cooks, self._rows.values())
            self._rows = {}
            for lesson_cook in lesson_cooks:
                row = LessonRow(lesson_cook, self)
                row.asked.connect(self._on_asked)
                self._cooks.addWidget(row)
                self._rows[lesson_cook.line.id] = row
            self._order_tabs()
        for lesson_cook in lesson_cooks:
            self._rows[lesson_cook.line.id].show_cook(
                lesson_cook, self._context.units, writable=writable
            )
        self._cooks_title.setVisible(bool(lesson_cooks))

    def _order_tabs(self) -> None:
        """From the top down, although the rows were made last."""
        order: list[QWidget] = [self.kind, self.stop, self.learn]
        order += [row.box for row in self._rows.values()]
        order += [self.start_over, self.all]
        for one, after in pairwise(order):
            QWidget.setTabOrder(one, after)

    def _show_since(self, lessons: Lessons) -> None:
        writable = not self._context.program.journal.read_only
        text = ""
        if lessons.lesson_cooks:
            text = self.tr(
                "Start over to let only cooks from now on count. Nothing is lost: you can take it back."
            )
        if lessons.since_s is not None:
            text = self.tr("Cooks that began before {when} don’t count.").format(
                when=quantities.date_time(lessons.since_s, machine_zone(), self._context.units)
            )
        self.since.setText(text)
        self.all.setVisible(lessons.since_s is not None)
        self.start_over.setVisible(bool(lessons.lesson_cooks))
        self.all.setEnabled(writable)
        self.start_over.setEnabled(writable)

    @Slot()
    def _show_progress(self) -> None:
        learner, lessons = self._context.learner, self._lessons
        unread = 0 if lessons is None else len(lessons.unread)
        if learner.busy:
            text = self.tr("Reading: {n} of {all} cooks are done.")
            self.offer.setText(text.format(n=learner.read, all=learner.wanted))
            self.bar.setRange(0, learner.wanted)
            self.bar.setValue(learner.read)
        elif unread == 1:
            self.offer.setText(self.tr("One finished cook was not read yet."))
        else:
            text = self.tr("{n} finished cooks were not read yet.")
            self.offer.setText(text.format(n=unread))
        # A button that goes must not hand its focus on: the next one would start over.
        if (self.stop.hasFocus() and not learner.busy) or self.learn.hasFocus():
            self.setFocus()
        self.offer.setVisible(learner.busy or unread > 0)
        self.bar.setVisible(learner.busy)
        self.stop.setVisible(learner.busy)
        self.learn.setVisible(unread > 0 and not learner.busy)
        self.learn.setEnabled(not self._context.program.journal.read_only)

    # -- what the person does ----------------------------------------------------------------

    @Slot(int)
    def _on_kind(self, _row: int) -> None:
        self._simulated = bool(self.kind.currentData())
        self._refresher.refresh()

    @Slot()
    def _on_learn(self) -> None:
        if self._lessons is not None:
            self._context.learner.learn_from(self._lessons.unread)

    @Slot(object, bool)
    def _on_asked(self, cook_id: int, teach: bool) -> None:
        self._rows[cook_id].wait()
        learned = self._context.forecasts.learned
        work = learned.take_in if teach else learned.leave_out
        self._context.after(
            in_background(lambda: work(cook_id)), self._on_done, self._on_not_done, asker=self
        )

    @Slot()
    def _on_start_over(self) -> None:
        self._count_since(self._context.now_s())

    @Slot()
    def _on_all(self) -> None:
        self._count_since(None)

    def _count_since(self, since_s: float | None) -> None:
        self.start_over.setEnabled(False)
        self.all.setEnabled(False)
        self._context.after(
            self._context.forecasts.learned.count_since(since_s),
            self._on_done,
            self._on_not_done,
            asker=self,
        )

    def _on_done(self, _result: object) -> None:
        self._context.forecasts.finish.forget()
        self._refresher.refresh()

    def _on_not_done(self, error: BaseException) -> None:
        self._refresher.refresh()
        message = message_of(error)
        if message is None:
            raise error
        self._context.tell(message, cure_of(error))


def _lessons(learned: ForecastLearned, simulated: bool | None) -> Lessons:
    """Of the kind that was asked for; else of real cooks, or of simulated ones where none are real."""
    lessons = learned.lessons(bool(simulated))
    if simulated is None and not lessons.lesson_cooks and lessons.other_kind:
        return learned.lessons(True)
    return lessons
