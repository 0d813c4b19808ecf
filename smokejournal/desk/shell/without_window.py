"""What is said before the window is there or after it is gone: a journal that can't be opened, a copy that
was put in place, readings that were kept elsewhere, a mistake of ours."""

from __future__ import annotations

import logging
import sys
import tempfile
import time
import traceback
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QFileDialog, QMessageBox

from smokejournal.cook.log.readings import Reading
from smokejournal.cook.text.printable import printable
from smokejournal.cook.text.translate import translate
from smokejournal.desk.base.theme import dress
from smokejournal.journal import Journal, JournalCopy, JournalProblem
from smokejournal.services.feeds.rescue import rescue

log = logging.getLogger(__name__)


def tell_problem(problem: JournalProblem, folder: Path, *, demo: bool) -> None:
    """Why the journal can't be opened, and what can be had of it nevertheless."""
    try:
        copies = Journal.copies(folder) if problem.kind == "damaged" and not demo else []
    except JournalProblem:
        copies = []
    offers: dict[str, Callable[[], bool]] = {}
    if not demo:
        offers[translate("App", "Write the newest cook as text…")] = partial(_write_newest, folder)
    if copies:
        offers[translate("App", "Look for a copy…")] = partial(_offer_copies, folder)
    # What was written, or not, leaves the question what to do with the journal.
    while (chosen := _tell(problem.message, problem.cure, offers=tuple(offers))) is not None:
        if offers[chosen]():
            return


def _offer_copies(folder: Path) -> bool:
    from smokejournal.desk.shell.restore_dialog import RestoreDialog

    # There is no window that work in the background could hold up.
    dialog = RestoreDialog(folder, lambda work, done: done(work()))
    dress(dialog, "day")
    dialog.restore_asked.connect(partial(restore, folder))
    dialog.exec()
    return True


def _write_newest(folder: Path) -> bool:
    from smokejournal.services.stores.emergency import write_cook

    name, _ = QFileDialog.getSaveFileName(
        None,
        translate("App", "Write the newest cook as text"),
        str(Path.home() / "cook.txt"),
        translate("App", "Text (*.txt)"),
        options=QFileDialog.Option.DontConfirmOverwrite,  # nothing is written over
    )
    if not name:
        return False
    try:
        written = write_cook(folder, Path(name))
    except JournalProblem as problem:
        _tell(problem.message, problem.cure)
    except OSError as problem:
        _tell(
            translate("App", "{path} could not be written: {why}.").format(
                path=name, why=problem.strerror or problem
            ),
            translate("App", "Name a new file in a folder you can write to, on a disk with room."),
        )
    else:
        if written is None:
            _tell(translate("App", "No cook is in this journal."), "")
        else:
            _tell(
                translate("App", "“{title}” is written to {path}.").format(
                    title=written.title, path=name
                ),
                "\n".join(written.missing),
                icon=QMessageBox.Icon.Information,
            )
    return False


def restore(folder: Path, copy: JournalCopy) -> None:
    """Put a copy in the journal's place, and say how that went."""
    try:
        restored = Journal.restore(folder, copy, time.time())
    except JournalProblem as problem:
        log.error("%s", problem)
        _tell(problem.message, problem.cure)
        return
    more = [restored.photos.sentence()]
    if restored.aside is not None:
        text = translate("App", "What was there before is kept as {path}.")
        more.insert(0, text.format(path=restored.aside))
    _tell(
        translate("App", "The copy is in place. Start the program again to go on."),
        " ".join(more).strip(),
        icon=QMessageBox.Icon.Information,
    )


def keep_elsewhere(cook_id: int, readings: list[Reading], folder: Path, *, ask: bool) -> None:
    """Write what could not be written to the journal beside it, and say where. Without `ask` only on the
    error output: the program is being ended."""
    folders = (folder, Path.home(), Path(tempfile.gettempdir()))
    count = len(readings)
    try:
        path = rescue(readings, f"readings-of-cook-{cook_id}", folders)
    except OSError as problem:
        text = translate(
            "App", "{count} readings could be written neither to the journal nor elsewhere ({why})."
        ).format(count=count, why=problem.strerror or problem)
        cure = translate("App", "They are lost. What was in the journal before is safe.")
    else:
        text = translate("App", "{count} readings could not be written to the journal.").format(
            count=count
        )
        cure = translate(
            "App",
            "They are in {path}. When the journal can be written again, set that file up on Bench as "
            "a recorded table.",
        ).format(path=path)
    log.error("%s %s", text, cure)
    if ask:
        _tell(text, cure)
    else:
        print(text, cure, sep="\n", file=sys.stderr)


def tell_bug(bug: Exception) -> None:
    """A mistake of ours, or a machine that we know nothing of, before or after the window."""
    _tell(
        translate("App", "The program had to stop ({detail}).").format(
            detail=f"{type(bug).__name__}: {bug}"
        ),
        translate(
            "App",
            "What is in the journal is safe: every entry was on disk before it was shown. Start the "
            "program again. If this comes back, report it with the details below.",
        ),
        "".join(traceback.format_exception(bug)),
    )


def _tell(
    text: str,
    cure: str,
    details: str = "",
    *,
    offers: Sequence[str] = (),
    icon: QMessageBox.Icon = QMessageBox.Icon.Warning,
) -> str | None:
    """Says something on the error output and, where there is a screen, in a dialog. Returns which of
    the buttons with the texts `offers` was pressed; None where none was."""
    print(printable("\n".join(part for part in (text, cure, details) if part)), file=sys.stderr)
    if QApplication.platformName() == "offscreen":
        return None
    box = QMessageBox(icon, "smokejournal", text)
    # A path or a title may look like markup.
    box.setTextFormat(Qt.TextFormat.PlainText)
    box.setInformativeText(cure)
    box.setDetailedText(details)
    buttons = {offer: box.addButton(offer, QMessageBox.ButtonRole.ActionRole) for offer in offers}
    box.addButton(QMessageBox.StandardButton.Close)
    try:
        dress(box, "day")
    except Exception:
        log.exception("The dialog could not be dressed")
    box.exec()
    return next((offer for offer, button in buttons.items() if box.clickedButton() is button), None)
