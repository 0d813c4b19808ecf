"""Asks where a file is to go, and has it written away from the painting thread."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path

from PySide6.QtCore import QDir, QObject
from PySide6.QtWidgets import QFileDialog, QWidget

from smokejournal.desk.base.background import in_background
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.error_words import cure_of, message_of, why_of
from smokejournal.desk.parts.file_names import file_name

#: Writes to a path; gives what was written in words, "" where there is nothing to add.
Write = Callable[[Path], str]


class FileSaver(QObject):
    """`ask` may be called again and again; `file_dialog` is the last one that was shown."""

    def __init__(self, context: DeskContext, window: QWidget) -> None:
        super().__init__(window)
        self._context = context
        self._window = window
        self._writers: Mapping[str, Write] = {}
        self.file_dialog: QFileDialog | None = None

    def ask(
        self, heading: str, title: str, suffix: str, writers: Mapping[str, Write], usual: int = 0
    ) -> None:
        """Offer a file named after `title`; `writers` by the name filter that asks for each.

        The file ends in `suffix`, or as the filter that is chosen says.
        """
        self._writers = writers
        dialog = QFileDialog(self._window, heading)
        dialog.setObjectName("outgoingFile")
        dialog.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)
        dialog.setNameFilters(list(writers))
        dialog.selectNameFilter(list(writers)[usual])
        dialog.setDefaultSuffix(suffix)
        dialog.filterSelected.connect(partial(_take_suffix, dialog))
        dialog.selectFile(str(Path(QDir.homePath()) / f"{file_name(title)}.{suffix}"))
        dialog.fileSelected.connect(self._on_file)
        if self.file_dialog is not None:
            self.file_dialog.deleteLater()
        self.file_dialog = dialog
        dialog.open()

    def _on_file(self, chosen: str) -> None:
        if self.file_dialog is None:
            return
        path = Path(chosen)
        write = self._writers[self.file_dialog.selectedNameFilter()]
        self._context.after(
            in_background(lambda: (path, write(path))), self._on_saved, self._on_not_saved
        )

    def _on_saved(self, answer: tuple[Path, str]) -> None:
        path, more = answer
        text = self.tr("Saved {path}.").format(path=path)
        self._context.tell(f"{text} {more}".strip(), kind="done")

    def _on_not_saved(self, error: BaseException) -> None:
        if message_of(error) is not None:
            self._context.tell(why_of(error), cure_of(error))
            return
        if not isinstance(error, OSError):
            raise error
        self._context.tell(
            self.tr("The file was not written: {why}.").format(why=error.strerror or error),
            self.tr("Choose another folder, or make room on the disk, and save it again."),
        )


def _take_suffix(dialog: QFileDialog, name_filter: str) -> None:
    dialog.setDefaultSuffix(name_filter.rpartition("*.")[2].rstrip(")"))
