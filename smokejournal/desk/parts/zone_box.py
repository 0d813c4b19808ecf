"""A box to choose a time zone in, by name or by typing part of it."""

from __future__ import annotations

from zoneinfo import available_timezones

from PySide6.QtCore import Qt, QTimeZone
from PySide6.QtWidgets import QComboBox, QCompleter, QWidget

from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.desk.base.widgets import new_label, say
from smokejournal.desk.parts.choice_box import ChoiceBox
from smokejournal.services.program import settings


def machine_zone() -> str:
    """The IANA name of this machine's zone; UTC where it has none."""
    name = bytes(QTimeZone.systemTimeZoneId().data()).decode("ascii", "replace")
    return name if name in available_timezones() else "UTC"


class ZoneBox(ChoiceBox):
    """Editable; what is typed may be any part of a zone's name."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent, name=name, hears=self.tr("Time zone"), letters=18)
        self.problem = new_label(
            parent or self, name=f"{name}Problem", kind="problem", wraps=True, hidden=True
        )
        self.setEditable(True)
        self.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
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

    def accepted(self) -> str | None:
        """What is typed, if it is a zone; else `problem` says what is wrong with it."""
        try:
            zone: str = settings.accept("zone", self.zone())
        except SchemaProblem as problem:
            say(self.problem, str(problem))
            return None
        say(self.problem, "")
        return zone
