"""Cooks out as an archive, and an archive in: asks for the file, works in the background, says what came."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from PySide6.QtCore import QCoreApplication, QDir, QObject, Qt, Signal
from PySide6.QtWidgets import QFileDialog, QLabel, QWidget

from smokejournal.desk.base.background import in_background
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.error_words import cure_of, message_of, why_of
from smokejournal.desk.outgoing.file_saver import FileSaver
from smokejournal.desk.parts.ask_dialog import AskDialog
from smokejournal.journal import Journal
from smokejournal.services.archive.form import SUFFIX
from smokejournal.services.archive.reading import open_archive
from smokejournal.services.archive.taking_in import Intake, look_at, take_in
from smokejournal.services.archive.words import remarks, tally_lines
from smokejournal.services.archive.writing import write_archive


def save_archive(
    context: DeskContext, saver: FileSaver, title: str, cook_id: int | None = None
) -> None:
    """Ask where an archive is to go: of a cook, or of the whole journal."""
    journal = context.program.journal

    def write(path: Path) -> str:
        return " ".join(write_archive(journal, path, context.now_s(), cook_id).left_out)

    translate = QCoreApplication.translate
    heading = (
        translate("ArchiveTaker", "Save all cooks as an archive")
        if cook_id is None
        else translate("ArchiveTaker", "Save the cook as an archive")
    )
    saver.ask(
        heading,
        title,
        SUFFIX.removeprefix("."),
        {translate("ArchiveTaker", "Archive of cooks (*{suffix})").format(suffix=SUFFIX): write},
    )


class ArchiveTaker(QObject):
    """Takes archives in. `busy_changed` while one is looked at or written."""

    busy_changed = Signal(bool)

    def __init__(self, context: DeskContext, window: QWidget) -> None:
        super().__init__(window)
        self._context = context
        self._window = window
        self.file_dialog: QFileDialog | None = None
        self.question: AskDialog | None = None

    def ask(self) -> None:
        """Ask for the file."""
        dialog = QFileDialog(self._window, self.tr("Take in cooks"), QDir.homePath())
        dialog.setObjectName("archiveFile")
        dialog.setFileMode(QFileDialog.FileMode.ExistingFile)
        dialog.setNameFilters([self.tr("Archives of cooks (*.zip)"), self.tr("All files (*)")])
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.fileSelected.connect(self._on_file)
        self.file_dialog = dialog
        dialog.open()

    def _on_file(self, chosen: str) -> None:
        path = Path(chosen)
        self.busy_changed.emit(True)
        work = partial(_look, path, self._context.program.journal)
        self._context.after(
            in_background(work), partial(self._on_looked, path), self._on_failed, self
        )

    def _on_looked(self, path: Path, intake: Intake) -> None:
        if not intake.any_new:
            self.busy_changed.emit(False)
            self._context.tell(
                self.tr("Nothing in {file} is new, so nothing was taken in.").format(
                    file=path.name
                ),
                " ".join(remarks(intake)),
                kind="done",
            )
        elif intake.plain:
            self._take(path)
        else:
            self._question(path, intake)

    def _question(self, path: Path, intake: Intake) -> None:
        points = [QLabel(line) for line in (*tally_lines(intake), *remarks(intake))]
        for point in points:
            point.setWordWrap(True)
        dialog = AskDialog(
            self.tr("Take in cooks"),
            self.tr("Not all of {file} comes in as it is. Nothing is written yet.").format(
                file=path.name
            ),
            self.tr("&Take in"),
            self.tr("Cancel"),
            points,
            self._window,
        )
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.accepted.connect(partial(self._take, path))
        dialog.rejected.connect(partial(self.busy_changed.emit, False))
        self.question = dialog
        dialog.open()

    def _take(self, path: Path) -> None:
        work = partial(_take_in, path, self._context.program.journal)
        self._context.after(in_background(work), self._on_taken, self._on_failed, self)

    def _on_taken(self, intake: Intake) -> None:
        self.busy_changed.emit(False)
        more = ""
        if intake.tallies["settings"].new:
            more = self.tr("Settings that came in hold from the next start on.")
        lines = self.tr("Taken in. {counts}").format(counts=" ".join(tally_lines(intake)))
        self._context.tell(lines, more, kind="done")

    def _on_failed(self, error: BaseException) -> None:
        self.busy_changed.emit(False)
        if isinstance(error, OSError):
            self._context.tell(
                self.tr("The archive could not be taken in: {why}.").format(
                    why=error.strerror or error
                ),
                self.tr("See that the file is there and that the disk has room, then try again."),
            )
        elif message_of(error) is None:
            raise error
        else:
            self._context.tell(why_of(error), cure_of(error))


def _look(path: Path, journal: Journal) -> Intake:
    with open_archive(path) as archive:
        return look_at(archive, journal)


def _take_in(path: Path, journal: Journal) -> Intake:
    with open_archive(path) as archive:
        return take_in(archive, journal)
