"""Photos of a cook: dropped or chosen, copied into the journal, shown small.

Copying, reading and scaling happen away from the painting thread.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QSize, QStandardPaths, Qt, QUrl, Signal
from PySide6.QtGui import (
    QDesktopServices,
    QDragEnterEvent,
    QDragMoveEvent,
    QDropEvent,
    QIcon,
    QImage,
    QImageReader,
    QPixmap,
)
from PySide6.QtWidgets import (
    QFileDialog,
    QListView,
    QListWidget,
    QListWidgetItem,
    QWidget,
)

from smokejournal.cook.log.entries import Photo
from smokejournal.desk.base.background import in_background
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.error_words import cure_of, why_of
from smokejournal.desk.base.widgets import new_button, new_column, new_label, new_row
from smokejournal.journal import PHOTO_SUFFIXES, JournalProblem
from smokejournal.paper.photos import most_pixels, photo_reader, scaled_photo

THUMB = QSize(112, 84)


@dataclass(frozen=True)
class Copied:
    """What became of the files: photos to be written into the log, and what was refused."""

    photos: tuple[Photo, ...]
    refused: tuple[str, ...]


def copy_photos(
    paths: Sequence[Path], keep: Callable[[Path], tuple[str, str]], not_a_picture: str, too_big: str
) -> Copied:
    """Copy what can be read as a picture; name what can't, with the reason. Runs on a worker thread.

    `too_big` says `{limit}` megapixels.
    """
    photos: list[Photo] = []
    refused: list[str] = []
    for path in paths:
        reader = photo_reader(path, PHOTO_SUFFIXES)
        size = reader.size() if reader is not None else QSize()
        if reader is None or not size.isValid():
            refused.append(f"{path.name}: {not_a_picture}")
        elif size.width() * size.height() > (most := most_pixels(reader)):
            refused.append(f"{path.name}: {too_big.format(limit=f'{most / 1e6:.3g}')}")
        else:
            try:
                sha256, suffix = keep(path)
            except (OSError, ValueError, JournalProblem) as error:
                refused.append(f"{path.name}: {getattr(error, 'message', error)}")
            else:
                photos.append(Photo(sha256, suffix))
    return Copied(tuple(photos), tuple(refused))


def offered() -> str:
    """The endings of what is kept and can be read here, as the file dialog takes them."""
    read = {
        bytes(name.data()).decode("ascii", "replace")
        for name in QImageReader.supportedImageFormats()
    }
    return " ".join(f"*{suffix}" for suffix in sorted(PHOTO_SUFFIXES) if suffix[1:] in read)


def thumbnail(path: Path, ratio: float) -> QImage:
    """The picture, small and the right way up; a null image where it cannot be read."""
    # A turned picture is scaled before it is turned: there is room for the longer side both ways.
    box = round(max(THUMB.width(), THUMB.height()) * ratio)
    return scaled_photo(path, PHOTO_SUFFIXES, box, enlarge=True)


class TastePhotos(QWidget):
    """The photos kept and a place to drop more. `copied(Copied)` when files were taken in."""

    copied = Signal(object)

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("tastePhotos")
        self.setAcceptDrops(True)
        self._context = context
        self._shown: dict[str, QListWidgetItem] = {}
        title = new_label(self, self.tr("Photos"), kind="section")
        self._add = new_button(self, self.tr("&Add photos…"), self._on_add, name="tasteAddPhotos")
        top = new_row(None, (title, 1), self._add)
        self.list = QListWidget(self)
        self.list.setObjectName("tastePhotoList")
        self.list.setAccessibleName(self.tr("Photos of this cook"))
        self.list.setViewMode(QListView.ViewMode.IconMode)
        self.list.setIconSize(THUMB)
        self.list.setMovement(QListView.Movement.Static)
        self.list.setResizeMode(QListView.ResizeMode.Adjust)
        self.list.setSpacing(4)
        self.list.setFixedHeight(THUMB.height() + 34)
        self.list.setAcceptDrops(False)
        self.list.itemActivated.connect(self._on_activated)
        self.hint = new_label(
            self,
            self.tr("Drop pictures here. They are copied into the journal."),
            name="tastePhotoHint",
            kind="faint",
            wraps=True,
        )
        new_column(self, top, self.list, self.hint, margins=0)
        self.list.hide()

    def show_photos(self, photos: Sequence[tuple[str, Photo, Path]]) -> None:
        """Show these: (name shown, photo, file)."""
        wanted = [photo.sha256 for _, photo, _ in photos]
        if wanted == list(self._shown):
            return
        self.list.clear()
        self._shown = {}
        ratio = self.devicePixelRatioF()
        for name, photo, path in photos:
            item = QListWidgetItem(name)
            item.setToolTip(photo.caption or name)
            item.setData(Qt.ItemDataRole.UserRole, str(path))
            item.setSizeHint(QSize(THUMB.width() + 10, THUMB.height() + 24))
            self.list.addItem(item)
            self._shown[photo.sha256] = item
            self._ask_thumbnail(photo.sha256, path, ratio)
        self.list.setVisible(bool(photos))

    def take_files(self, paths: Sequence[Path]) -> None:
        """Copy these files into the journal."""
        files = [path for path in paths if path.is_file()]
        if not files:
            return
        self._add.setEnabled(False)
        keep = self._context.program.journal.keep_photo
        not_a_picture = self.tr("not a picture that can be read")
        too_big = self.tr("larger than {limit} megapixels")
        self._context.after(
            in_background(lambda: copy_photos(files, keep, not_a_picture, too_big)),
            self._on_copied,
            self._on_failed,
        )

    def _ask_thumbnail(self, sha256: str, path: Path, ratio: float) -> None:
        self._context.after(
            in_background(lambda: (sha256, thumbnail(path, ratio))), self._on_thumbnail
        )

    def _on_thumbnail(self, answer: tuple[str, QImage]) -> None:
        sha256, image = answer
        item = self._shown.get(sha256)
        if item is None:
            return
        if image.isNull():
            item.setText(self.tr("cannot be read"))
        else:
            pixmap = QPixmap.fromImage(image)
            pixmap.setDevicePixelRatio(self.devicePixelRatioF())
            item.setIcon(QIcon(pixmap))

    def _on_activated(self, item: QListWidgetItem) -> None:
        """Open it with whatever the machine shows pictures in."""
        QDesktopServices.openUrl(QUrl.fromLocalFile(item.data(Qt.ItemDataRole.UserRole)))

    def _on_copied(self, copied: Copied) -> None:
        self._add.setEnabled(True)
        self.copied.emit(copied)

    def _on_failed(self, error: BaseException) -> None:
        self._add.setEnabled(True)
        self._context.tell(why_of(error), cure_of(error))

    def _on_add(self) -> None:
        paths, _ = QFileDialog.getOpenFileNames(
            self,
            self.tr("Photos to copy into the journal"),
            QStandardPaths.writableLocation(QStandardPaths.StandardLocation.PicturesLocation),
            self.tr("Pictures ({formats})").format(formats=offered()),
        )
        self.take_files([Path(path) for path in paths])

    def _files(self, event: QDropEvent) -> list[Path]:
        data = event.mimeData()
        return [Path(url.toLocalFile()) for url in data.urls() if url.isLocalFile()]

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Files may be dropped here."""
        if self._files(event):
            event.setDropAction(Qt.DropAction.CopyAction)
            event.accept()

    def dragMoveEvent(self, event: QDragMoveEvent) -> None:
        """Anywhere on it."""
        event.setDropAction(Qt.DropAction.CopyAction)
        event.accept()

    def dropEvent(self, event: QDropEvent) -> None:
        """Take the files in; the originals stay where they are."""
        event.setDropAction(Qt.DropAction.CopyAction)
        event.accept()
        self.take_files(self._files(event))
