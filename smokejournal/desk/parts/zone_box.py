"""A box to choose a time zone in, by name or by typing part of it."""

from __future__ import annotations

from zoneinfo import available_timezones

from PySide6.QtCore import Qt, QTimeZone
from PySide6.QtWidgets import QComboBox, QCompleter, QWidget

from smokejournal.desk.parts.choice_box import ChoiceBox


def machine_zone() -> str:
    """The IANA name of this machine's zone; UTC where it has none."""
    name = bytes(QTimeZone.systemTimeZoneId().data()).decode("ascii", "replace")
    return name if name in available_timezones() else "UTC"


class ZoneBox(ChoiceBox):
    """Editable; what is typed may be any part of a zone's name."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName(name)
        self.setAccessibleName(self.tr("Time zone"))
        self.setEditable(True)
        self.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
        self.setMinimumContentsLength(18)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.addItems(sorted(z for z in available_timezones() if "/" in z or z == "UTC"))
        completer = QCompleter(self.model(), self)
        completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
        completer.setFilterMode(Qt.MatchFlag.MatchContains)
        completer.setCompletionMode(QCompleter.CompletionMode.PopupCompletion)
        self.setCompleter(completer)
        popup = completer.popup()
        if popup is not None and parent is not None:
            # Without a parent it would not be dressed; as a part of this box it would be a list of it.
            popup.setParent(parent, Qt.WindowType.Popup)
        edit = self.lineEdit()
        if edit is not None:
            edit.setAccessibleName(self.tr("Time zone"))

    def set_zone(self, name: str) -> None:
        """Show this zone."""
        self.setEditText(name)

    def zone(self) -> str:
        """What is typed."""
        return self.currentText().strip()
