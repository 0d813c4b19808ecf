"""The user guide beside the program: a list of pages, and the page chosen."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt, Slot
from PySide6.QtGui import QTextCharFormat, QTextCursor, QTextFormat
from PySide6.QtWidgets import QApplication, QDialog, QListWidget, QTextBrowser, QWidget

from smokejournal.desk.base.widgets import new_row
from smokejournal.services.program.guide import guide_pages

SIZE = (860, 540)


class GuideWindow(QDialog):
    """Not modal: it can be read while one does what it says. Escape closes it."""

    def __init__(self, name: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("guideWindow")
        self.setWindowTitle(self.tr("How this works"))
        self._guide = guide_pages()
        self.list = QListWidget(self)
        self.list.setObjectName("guideList")
        self.list.setAccessibleName(self.tr("Pages of the guide"))
        self.list.setFixedWidth(210)
        self.list.setWordWrap(True)
        self.list.addItems([page.title for page in self._guide])
        self.text = QTextBrowser(self)
        self.text.setObjectName("guideText")
        self.text.setAccessibleName(self.tr("Page of the guide"))
        self.text.setOpenExternalLinks(False)
        self.text.setOpenLinks(False)
        self.text.document().setDocumentMargin(16)
        new_row(self, self.list, (self.text, 1))
        self.list.currentRowChanged.connect(self._on_row)
        self.turn_to(name)
        room = parent.window().size()
        self.resize(min(SIZE[0], room.width() - 40), min(SIZE[1], room.height() - 40))
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)

    def turn_to(self, name: str) -> None:
        """Show the page with this name."""
        self.list.setCurrentRow([page.name for page in self._guide].index(name))

    @Slot(int)
    def _on_row(self, row: int) -> None:
        self.text.setMarkdown(self._guide[row].text)
        self._space_out()
        self.text.moveCursor(QTextCursor.MoveOperation.Start)

    def _space_out(self) -> None:
        """Give paragraphs air, which Qt sets tight, and have cautions stand out."""
        cursor = QTextCursor(self.text.document())
        caution = QTextCharFormat()
        caution.setForeground(QApplication.palette().link())
        block = self.text.document().begin()
        while block.isValid():
            cursor.setPosition(block.position())
            shape = block.blockFormat()
            shape.setTopMargin(10 if shape.headingLevel() > 1 else 0)
            shape.setBottomMargin(4 if block.textList() else 10)
            if shape.property(QTextFormat.Property.BlockQuoteLevel):
                cursor.movePosition(
                    QTextCursor.MoveOperation.EndOfBlock, QTextCursor.MoveMode.KeepAnchor
                )
                cursor.mergeCharFormat(caution)
                # A list that went before would draw them in.
                shape.setIndent(0)
                shape.setTopMargin(6)
                shape.setLeftMargin(16)
                shape.setRightMargin(0)
            cursor.setBlockFormat(shape)
            block = block.next()

    def changeEvent(self, event: QEvent) -> None:
        """Another ground is another color for cautions."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.StyleChange and hasattr(self, "text"):
            self._space_out()
