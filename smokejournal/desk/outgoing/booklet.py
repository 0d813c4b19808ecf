"""Several cooks as one booklet: asks for the file and writes it in the background."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import QCoreApplication

from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.outgoing.file_saver import FileSaver
from smokejournal.services.program import settings
from smokejournal.services.stores.export import booklet_to_pdf


def save_booklet(context: DeskContext, saver: FileSaver, cook_ids: Sequence[int]) -> None:
    """Ask where the sheets of these cooks are to go, in this order."""
    program, units = context.program, context.units
    page = settings.load(program.journal).settings.page

    def write(path: Path) -> str:
        pages = booklet_to_pdf(
            [program.live(cook_id) for cook_id in cook_ids],
            path,
            page,
            units,
        )
        return translate("Booklet", "It has {count} pages.").format(count=pages)

    translate = QCoreApplication.translate
    title = translate("Booklet", "{count} cooks").format(count=len(cook_ids))
    saver.ask(
        translate("Booklet", "Save the sheets of {count} cooks as a booklet").format(
            count=len(cook_ids)
        ),
        title,
        "pdf",
        {translate("Booklet", "Booklet (*.pdf)"): write},
    )
