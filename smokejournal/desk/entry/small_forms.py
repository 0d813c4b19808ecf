"""Small forms for what needs more than a key: each asks little and keeps what was typed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import cast

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QPlainTextEdit,
    QWidget,
)

from smokejournal.cook.log.entries import (
    CookClosed,
    Note,
    ProbeMoved,
    Spritz,
    StageExtended,
    Wrap,
    WrapMaterial,
)
from smokejournal.cook.log.readings import Channel
from smokejournal.desk.base.widgets import new_label
from smokejournal.desk.entry.entry_form import EntryForm, Said
from smokejournal.desk.parts.choice_row import ChoiceRow
from smokejournal.desk.parts.fields import DurationField, TextField
from smokejournal.desk.parts.single_keys import ENTER_KEYS


class WrapForm(EntryForm):
    """Wrapped in what; or unwrapped."""

    def __init__(self, now_s: Callable[[], float], parent: QWidget | None = None) -> None:
        super().__init__("wrapForm", self.tr("Wrap"), now_s, parent)
        self.material = ChoiceRow("wrapMaterial", self.tr("Wrapped in"), self)
        self.material.set_choices(
            [
                ("foil", self.tr("foil")),
                ("paper", self.tr("paper")),
                ("leaves", self.tr("leaves")),
                ("pan", self.tr("covered pan")),
                ("none", self.tr("unwrapped")),
            ]
        )
        self.item = TextField(
            "wrapItem", self.tr("Which piece"), self, hint=self.tr("which piece, if not all")
        )
        self.add_field(self.tr("In"), self.material)
        self.add_field(self.tr("Piece"), self.item)

    def build(self, at_s: float) -> Said | None:
        material = cast(WrapMaterial, self.material.value())
        return Said(at_s, (Wrap(material, self.item.text()),))

    def clear_fields(self) -> None:
        self.item.set_text("")


class SpritzForm(EntryForm):
    """Sprayed or mopped, with what."""

    def __init__(self, now_s: Callable[[], float], parent: QWidget | None = None) -> None:
        super().__init__("spritzForm", self.tr("Spritz"), now_s, parent)
        self.liquid = TextField(
            "spritzLiquid", self.tr("With what"), self, hint=self.tr("for example cider and water")
        )
        self.add_field(self.tr("With"), self.liquid)

    def build(self, at_s: float) -> Said | None:
        # What was sprayed is mostly what was sprayed before: it is kept for the next time.
        return Said(at_s, (Spritz(self.liquid.text()),))


class ProbeMovedForm(EntryForm):
    """A probe was moved or put back, and is to be trusted again."""

    def __init__(self, now_s: Callable[[], float], parent: QWidget | None = None) -> None:
        super().__init__("probeForm", self.tr("Probe moved or put back"), now_s, parent)
        self._known: tuple[str, ...] = ()
        self.channel = ChoiceRow("probeChannel", self.tr("Probe"), self, columns=1)
        self.place = TextField(
            "probePlace", self.tr("Where it is now"), self, hint=self.tr("where it is now")
        )
        self.add_field(self.tr("Probe"), self.channel)
        self.add_field(self.tr("Place"), self.place)

    def set_channels(self, channels: Sequence[Channel], chosen: str | None = None) -> None:
        """The channels of the cook; `chosen` is the one most likely meant."""
        keys = tuple(channel.key for channel in channels)
        if keys != self._known:
            self.channel.set_choices([(c.key, c.name or c.key) for c in channels])
            self._known = keys
        if chosen is not None:
            self.channel.set_value(chosen)

    def first_field(self) -> QWidget:
        return self.channel if self._known else self.place

    def build(self, at_s: float) -> Said | None:
        key = self.channel.value()
        if key is None:
            self.show_trouble(self.tr("This cook has no probe yet. Set one up on Bench."))
            return None
        return Said(at_s, (ProbeMoved(key, self.place.text()),))

    def clear_fields(self) -> None:
        self.place.set_text("")


class NoteForm(EntryForm):
    """Anything worth writing down. Enter records, Shift+Enter begins a new line."""

    def __init__(self, now_s: Callable[[], float], parent: QWidget | None = None) -> None:
        super().__init__("noteForm", self.tr("Note"), now_s, parent)
        self.text = QPlainTextEdit(self)
        self.text.setObjectName("noteText")
        self.text.setAccessibleName(self.tr("Note"))
        self.text.setTabChangesFocus(True)
        self.text.setFixedHeight(96)
        self.text.installEventFilter(self)
        self.add_field(self.tr("Shift+Enter begins a new line"), self.text)

    def dropped(self) -> None:
        # A whole note is much to lose to a slip of Escape: it waits for the next time.
        self.show_trouble("")
        self.record.setEnabled(True)
        self.when.clear()

    def waits(self) -> bool:
        return bool(self.text.toPlainText().strip())

    def build(self, at_s: float) -> Said | None:
        text = self.text.toPlainText().strip()
        if not text:
            self.show_trouble(self.tr("Write something, or cancel."))
            self.text.setFocus()
            return None
        return Said(at_s, (Note(text),))

    def clear_fields(self) -> None:
        self.text.clear()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Enter and Escape mean in the note what they mean in a line."""
        if (
            watched is self.text
            and isinstance(event, QKeyEvent)
            and event.type() == QEvent.Type.KeyPress
        ):
            if event.key() == Qt.Key.Key_Escape:
                self.cancelled.emit()
                return True
            if event.key() in ENTER_KEYS and not event.modifiers() & (
                Qt.KeyboardModifier.ShiftModifier
            ):
                self.submit()
                return True
        return super().eventFilter(watched, event)


class ExtendForm(EntryForm):
    """The stage under way gets more time."""

    def __init__(self, now_s: Callable[[], float], parent: QWidget | None = None) -> None:
        super().__init__("extendForm", self.tr("More time"), now_s, parent)
        self.stage = ""
        self.by = DurationField(
            "extendBy", self.tr("By how much"), self, required=True, low=1.0, hint=self.tr("15 min")
        )
        self.add_field(self.tr("By"), self.by)

    def set_stage(self, key: str, name: str) -> None:
        """The stage that is meant."""
        self.stage = key
        self.set_title(self.tr("More time for {stage}").format(stage=name))

    def build(self, at_s: float) -> Said | None:
        by_s = self.by.value() if self.all_read(self.by) else None
        if by_s is None:
            return None
        return Said(at_s, (StageExtended(self.stage, by_s),))

    def clear_fields(self) -> None:
        self.by.clear()


class CloseForm(EntryForm):
    """The question before a cook is closed."""

    def __init__(self, now_s: Callable[[], float], parent: QWidget | None = None) -> None:
        super().__init__("closeForm", self.tr("Close this cook?"), now_s, parent)
        self._ended_s: float | None = None
        self.record.setText(self.tr("Close the cook"))
        self.record.setAccessibleName(self.record.text())
        self.cancel.setText(self.tr("Not yet"))
        self.cancel.setAccessibleName(self.cancel.text())
        words = new_label(
            self,
            self.tr(
                "Its stages, alarms and readings end here. What it tasted like and weighed can be "
                "written afterwards, and striking the entry opens the cook again."
            ),
            wraps=True,
        )
        self.fields.addWidget(words)

    def set_end(self, ended_s: float | None) -> None:
        """When the last stage was over (UTC seconds); None while one runs."""
        self._ended_s = ended_s

    def first_field(self) -> QWidget:
        return self.cancel

    def build(self, at_s: float) -> Said | None:
        return Said(at_s, (CookClosed(self._ended_s),))
