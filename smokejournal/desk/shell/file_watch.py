"""Says what happened to the journal's file: lost, removed, damaged, or not copied."""

from __future__ import annotations

import logging
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, Slot

from smokejournal.cook.text.quantities import date
from smokejournal.desk.base.background import in_background
from smokejournal.desk.base.context import DeskContext
from smokejournal.journal import Journal, JournalProblem

log = logging.getLogger(__name__)


class FileWatch(QObject):
    """Begins once the window is there; looks with every tick."""

    def __init__(self, context: DeskContext, journal: Journal, parent: QObject) -> None:
        super().__init__(parent)
        self._context = context
        self._journal = journal
        self._told_gone = False

    def begin(self) -> None:
        """Check the file in the background, and look on from now on."""
        if self._journal.lost_log:
            self._tell_of_lost_log()
        self._context.after(in_background(self._journal.check), self._on_checked)
        self._journal.on_spoilt(self._readings_spoilt)
        self._context.ticked.connect(self._look_at_file)

    def _tell_of_lost_log(self) -> None:
        log.error("The program was cut off last time, and the journal's write-ahead log is gone")
        self._context.tell(
            self.tr(
                "The program was cut off last time, and the file with what it wrote last ({name}) is "
                "gone. Up to a minute of readings and entries may be missing."
            ).format(name=f"{self._journal.path.name}-wal"),
            self.tr("Look at the end of the log, and write down what is missing."),
        )

    @Slot(float)
    def _look_at_file(self, now_s: float) -> None:
        if self._told_gone or not self._journal.is_gone():
            return
        self._told_gone = True
        log.error("The journal's file was removed, renamed or replaced")
        saving = in_background(partial(self._journal.save_what_was_open, now_s))
        self._context.after(saving, self._on_saved, self._on_not_saved, asker=self)

    def _on_saved(self, path: Path) -> None:
        self._context.tell(
            self.tr(
                "The journal's file was removed, renamed or replaced by another program. Everything "
                "is kept in {path}, also what is still to come."
            ).format(path=path),
            self.tr(
                "Keep other programs away from the folder, close this one when you can, start it "
                "again, and put that copy in place: Settings, Copies of the journal."
            ),
        )

    def _on_not_saved(self, problem: BaseException) -> None:
        self._told_gone = False  # it is tried again
        self._context.tell(
            self.tr(
                "The journal's file was removed, renamed or replaced by another program, and no copy "
                "could be made: {why}"
            ).format(why=getattr(problem, "message", "") or str(problem)),
            getattr(problem, "cure", ""),
        )

    def backup_failed(self, problem: JournalProblem, newest_s: float | None) -> None:
        """A copy could not be made. Called on the thread of the copies."""
        self._context.post(partial(self._tell_of_backup, problem, newest_s))

    def _tell_of_backup(self, problem: JournalProblem, newest_s: float | None) -> None:
        from smokejournal.desk.parts.zone_box import machine_zone

        newest = (
            self.tr("There is no copy of the journal yet.")
            if newest_s is None
            else self.tr("The newest copy of the journal is from {day}.").format(
                day=date(newest_s, machine_zone())
            )
        )
        self._context.tell(f"{problem.message} {newest}", problem.cure)

    def _readings_spoilt(self, problem: JournalProblem) -> None:
        """On the thread that read them."""
        self._context.post(partial(self._context.tell, problem.message, problem.cure))

    def _on_checked(self, faults: tuple[str, ...]) -> None:
        if faults:
            log.error("The journal is damaged: %s", "; ".join(faults))
            self._context.tell(
                self.tr("The journal's file is damaged. What is written now may be lost."),
                self.tr(
                    "Open Settings, press Copies of the journal, and put the newest one in place. The "
                    "damaged file is set aside in {folder}."
                ).format(folder=self._journal.folder),
            )
