"""The button on Taste by which a cook goes to others: web page, text, picture, tables, archive."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path

from PySide6.QtCore import Slot
from PySide6.QtWidgets import QMenu, QPushButton, QWidget

from smokejournal.cook.plan.plan import plan_of
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.outgoing.file_saver import FileSaver, Write
from smokejournal.services.program.live import LiveCook
from smokejournal.services.stores import export
from smokejournal.services.stores.files import write_whole

#: Makes a file's content of a cook, away from the painting thread.
Content = Callable[[LiveCook], bytes]


class ShareButton(QPushButton):
    """Of the cook that is chosen when it is pressed."""

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("tasteShare")
        self.setText(self.tr("Save or s&hare…"))
        self.setAccessibleName(self.tr("Save or share…"))
        self.setToolTip(
            self.tr("As a web page, text, a picture or tables to show to others, or as an archive")
        )
        self._context = context
        self.saver = FileSaver(context, self)
        menu = QMenu(self)
        menu.setObjectName("shareMenu")
        for text, slot in (
            (self.tr("&Web page…"), self._on_page),
            (self.tr("&Markdown text…"), self._on_markdown),
            (self.tr("&Score as a picture…"), self._on_picture),
            (self.tr("&Readings as CSV…"), self._on_readings),
            (self.tr("&Entries as CSV…"), self._on_entries),
            (self.tr("&Archive…"), self._on_archive),
        ):
            menu.addAction(text).triggered.connect(slot)
        self.setMenu(menu)

    @Slot()
    def _on_page(self) -> None:
        page = partial(
            export.summary_to_page,
            journal=self._context.program.journal,
            units=self._context.units,
        )
        self._ask(
            self.tr("Save the web page"),
            "html",
            {self.tr("Web page (*.html)"): page},
            advice=self.tr(
                "Score and photos are in this one file, and what you wrote of the place. In the photos "
                "themselves no place is left."
            ),
        )

    @Slot()
    def _on_markdown(self) -> None:
        text = partial(export.summary_to_markdown, units=self._context.units)
        self._ask(self.tr("Save as Markdown"), "md", {self.tr("Markdown (*.md)"): text})

    @Slot()
    def _on_picture(self) -> None:
        picture = partial(export.score_to_picture, units=self._context.units)
        self._ask(
            self.tr("Save the score as a picture"),
            "png",
            {
                self.tr("PNG, wide: 1200 x 675 (*.png)"): partial(picture, kind="png"),
                self.tr("PNG, square: 1080 x 1080 (*.png)"): partial(
                    picture, kind="png", shape="square"
                ),
                self.tr("SVG, wide (*.svg)"): partial(picture, kind="svg"),
                self.tr("SVG, square (*.svg)"): partial(picture, kind="svg", shape="square"),
            },
            name=self.tr("{title} score"),
        )

    @Slot()
    def _on_readings(self) -> None:
        self._ask(
            self.tr("Save the readings"),
            "csv",
            {self.tr("Table (*.csv)"): export.readings_to_csv},
            name=self.tr("{title} readings"),
        )

    @Slot()
    def _on_entries(self) -> None:
        self._ask(
            self.tr("Save the entries"),
            "csv",
            {self.tr("Table (*.csv)"): partial(export.entries_to_csv, units=self._context.units)},
            name=self.tr("{title} entries"),
        )

    @Slot()
    def _on_archive(self) -> None:
        from smokejournal.desk.outgoing.archive import save_archive

        cook_id = self._context.chosen
        if cook_id is not None:
            title = plan_of(self._context.live(cook_id).log()).title
            save_archive(self._context, self.saver, title, cook_id)

    def _ask(
        self,
        heading: str,
        suffix: str,
        made: Mapping[str, Content],
        *,
        name: str = "{title}",
        advice: str = "",
    ) -> None:
        """Ask where to; the dialog asks again before it writes over a file."""
        cook_id = self._context.chosen
        if cook_id is None:
            return
        live = self._context.live(cook_id)
        title = name.format(title=plan_of(live.log()).title)

        def write(content: Content, path: Path) -> str:
            write_whole(content(live), path)
            return advice

        writers: dict[str, Write] = {
            text: partial(write, content) for text, content in made.items()
        }
        self.saver.ask(heading, title, suffix, writers)
