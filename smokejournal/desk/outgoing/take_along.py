"""The button under Times by which a plan leaves the program: into a calendar, onto paper, to the shop."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Literal, NamedTuple

from PySide6.QtCore import Qt, Slot
from PySide6.QtWidgets import QMenu, QPushButton, QWidget

from smokejournal.cook.log.entries import CookOpened, TimesKept
from smokejournal.cook.log.schedule import Schedule
from smokejournal.cook.plan.plan import Plan, plan_of
from smokejournal.cook.plan.prep_progress import LivedStep, prep_progress
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.outgoing.file_saver import FileSaver
from smokejournal.desk.outgoing.shopping_dialog import ShoppingDialog
from smokejournal.services.program import settings

if TYPE_CHECKING:
    # The first painted window needs none of it; it is loaded in the background.
    from smokejournal.cook.timetable.timetable import Timetable


class _Shown(NamedTuple):
    """A plan as it stands in the log, with the times that are shown of it."""

    cook_id: int
    timetable: Timetable
    plan: Plan
    lived: tuple[LivedStep, ...]
    kept: TimesKept | None
    opened_at_s: float


class TakeAlongButton(QPushButton):
    """Of the cook that is chosen. `timetable` gives what is shown (None: nothing is), `schedule` the
    schedule that it was counted back by, kept or not."""

    def __init__(
        self,
        context: DeskContext,
        timetable: Callable[[], Timetable | None],
        schedule: Callable[[], Schedule],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setObjectName("takeAlong")
        self.setText(self.tr("Take it along"))
        self.setToolTip(self.tr("Into your calendar, onto paper, to the shop"))
        self._context = context
        self._timetable = timetable
        self._schedule = schedule
        self.saver = FileSaver(context, self)
        menu = QMenu(self)
        menu.setObjectName("takeAlongMenu")
        for text, slot in (
            (self.tr("Calendar file…"), self._on_calendar),
            (self.tr("Checklist as PDF…"), self._on_checklist),
            (self.tr("Shopping list…"), self._on_shopping),
        ):
            menu.addAction(text).triggered.connect(slot)
        self.setMenu(menu)

    @Slot()
    def _on_calendar(self) -> None:
        shown = self._shown()
        if shown is None:
            return
        if not any(s.start and s.state in ("to_come", "under_way") for s in shown.timetable.steps):
            self._context.tell(
                self.tr("No step that is to come has a time, so there is nothing for a calendar."),
                self.tr("Say under “Wanted at” when it is wanted, and how long each step takes."),
            )
            return
        units, plan = self._context.units, shown.plan
        title = plan.title
        if plan.simulated:
            title = self.tr("{title} (simulated)").format(title=title)
        advice = self.tr("Open it with your calendar; a later file updates what is there.")

        def write(path: Path) -> str:
            from smokejournal.paper.calendar_file import calendar_of
            from smokejournal.services.stores.files import write_whole

            content = calendar_of(
                shown.timetable,
                title,
                plan.place,
                shown.cook_id,
                units,
                shown.kept,
                lived=shown.lived,
                items=[item for _, item in plan.items],
                opened_at_s=shown.opened_at_s,
            )
            write_whole(content, path)
            return advice

        self.saver.ask(
            self.tr("Save the calendar file"),
            plan.title,
            "ics",
            {self.tr("Calendar (*.ics)"): write},
        )

    @Slot()
    def _on_checklist(self) -> None:
        shown = self._shown()
        if shown is None:
            return
        units, plan = self._context.units, shown.plan
        one, more = self.tr("It has 1 page."), self.tr("It has {pages} pages.")

        def write(page: Literal["A4", "Letter"], path: Path) -> str:
            from smokejournal.paper.checklist import checklist_pdf, checklist_sheet

            sheet = checklist_sheet(
                shown.timetable,
                plan.title,
                plan.place,
                units,
                shown.kept,
                lived=shown.lived,
                items=[item for _, item in plan.items],
                simulated=plan.simulated,
            )
            pages = checklist_pdf(sheet, units, path, page)
            return one if pages == 1 else more.format(pages=pages)

        self.saver.ask(
            self.tr("Save the checklist as PDF"),
            self.tr("Checklist {title}").format(title=plan.title),
            "pdf",
            {
                self.tr("PDF on A4 paper (*.pdf)"): partial(write, "A4"),
                self.tr("PDF on US Letter paper (*.pdf)"): partial(write, "Letter"),
            },
            usual=int(settings.load(self._context.program.journal).settings.page == "Letter"),
        )

    @Slot()
    def _on_shopping(self) -> None:
        cook_id = self._context.chosen
        if cook_id is None:
            return
        title = plan_of(self._context.live(cook_id).log()).title
        dialog = ShoppingDialog(self._context, cook_id, title, self._schedule(), self)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.open()

    def _shown(self) -> _Shown | None:
        """What is to leave; None, and a notice, where nothing is shown yet."""
        cook_id, timetable = self._context.chosen, self._timetable()
        if cook_id is None or timetable is None:
            self._context.tell(
                self.tr("The times are not counted back yet."),
                self.tr("Wait until the steps are shown, then ask again."),
            )
            return None
        log = self._context.live(cook_id).log()
        kept = [what for _, what in log.of(TimesKept)]
        opened = [entry.at_s for entry, _ in log.of(CookOpened)]
        return _Shown(
            cook_id,
            timetable,
            plan_of(log),
            prep_progress(log.holding()),
            kept[-1] if kept else None,
            opened[0] if opened else 0.0,
        )
