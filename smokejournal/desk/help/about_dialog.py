"""About the program: its version and license, what it is built from, and where things lie."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from PySide6.QtCore import Qt, QUrl
from PySide6.QtGui import QDesktopServices, QGuiApplication
from PySide6.QtWidgets import (
    QDialog,
    QFrame,
    QGridLayout,
    QLabel,
    QLineEdit,
    QScrollArea,
    QWidget,
)

from smokejournal import __version__
from smokejournal.desk.base.widgets import FILL, new_button, new_column, new_label, new_row
from smokejournal.host.about import log_file, machine_words, parts, program_license

SIZE = (640, 500)


class AboutDialog(QDialog):
    """`journal` is the folder of the journal in use."""

    def __init__(self, journal: Path, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("aboutDialog")
        self.setWindowTitle(self.tr("About"))
        self.setWindowModality(Qt.WindowModality.WindowModal)
        title = QLabel(self.tr("smokejournal {version}").format(version=__version__), self)
        title.setProperty("kind", "title")
        named = program_license()
        license_ = new_label(
            self,
            self.tr("License: {name}").format(name=named)
            if named
            else self.tr(
                "No license is named for the program yet. Ask whoever gave it to you before you "
                "pass it on."
            ),
            name="aboutLicense",
            wraps=True,
        )
        self._refused = new_label(
            self, name="aboutRefused", kind="problem", wraps=True, hidden=True
        )
        column = new_column(self, title, license_, self._places(journal), self._refused, spacing=10)
        head = new_label(self, self.tr("Built from"), kind="section")
        column.addWidget(head)
        column.addWidget(self._parts(), 1)
        self._copy = new_button(
            self,
            self.tr("&Copy for a bug report"),
            self._on_copy,
            name="aboutCopy",
            tip=self.tr("Versions and system; no folder and nothing of your cooks"),
            auto=False,
        )
        close = new_button(self, self.tr("Close"), self.accept, name="aboutClose", default=True)
        foot = new_row(None, self._copy, FILL, close)
        column.addLayout(foot)
        room = parent.window().size()
        self.resize(min(SIZE[0], room.width() - 40), min(SIZE[1], room.height() - 40))

    def _places(self, journal: Path) -> QGridLayout:
        grid = QGridLayout()
        grid.setHorizontalSpacing(10)
        log = log_file()
        for row, (name, words, shown, folder) in enumerate(
            (
                ("Journal", self.tr("The journal"), journal, journal),
                ("Log", self.tr("The log file"), log, None if log is None else log.parent),
            )
        ):
            path = QLineEdit(self.tr("none is written") if shown is None else str(shown), self)
            path.setObjectName(f"about{name}")
            path.setAccessibleName(words)
            path.setReadOnly(True)
            path.setCursorPosition(0)
            open_ = new_button(
                self,
                self.tr("Open folder"),
                name=f"aboutOpen{name}",
                hears=self.tr("Open folder: {what}").format(what=words),
                auto=False,
            )
            open_.setEnabled(folder is not None)
            open_.clicked.connect(partial(self._open, folder))
            for place, widget in enumerate((QLabel(words, self), path, open_)):
                grid.addWidget(widget, row, place)
        return grid

    def _parts(self) -> QScrollArea:
        inside = QWidget(self)
        grid = QGridLayout(inside)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(18)
        grid.setVerticalSpacing(4)
        grid.setColumnStretch(2, 1)
        for row, part in enumerate(parts()):
            named = part.license or self.tr("not named by the package")
            for place, text in enumerate((part.name, part.version, named)):
                label = QLabel(text, inside)
                label.setWordWrap(place == 2)
                grid.addWidget(label, row, place, Qt.AlignmentFlag.AlignTop)
        grid.setRowStretch(grid.rowCount(), 1)
        scroll = QScrollArea(self)
        scroll.setAccessibleName(self.tr("Built from"))
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setWidget(inside)
        return scroll

    def _open(self, folder: Path | None, *_: object) -> None:
        opened = QDesktopServices.openUrl(QUrl.fromLocalFile(str(folder)))
        self._refused.setText(
            self.tr(
                "This desktop opens no folders. Copy the path and open it yourself: {path}"
            ).format(path=folder)
        )
        self._refused.setVisible(not opened)

    def _on_copy(self) -> None:
        lines = [machine_words(), *(f"{part.name} {part.version}" for part in parts())]
        QGuiApplication.clipboard().setText("\n".join(lines))
        self._copy.setText(self.tr("Copied"))
