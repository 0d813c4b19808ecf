"""A reading taken by hand: two keys and a number. A channel that is not there yet is made with it."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import Slot
from PySide6.QtWidgets import QWidget

from smokejournal.cook.log.entries import ChannelSet
from smokejournal.cook.log.readings import HAND_GAP_S, Channel, Reading
from smokejournal.desk.entry.entry_form import EntryForm, Said
from smokejournal.desk.parts.choice_row import ChoiceRow
from smokejournal.desk.parts.fields import TemperatureField, TextField


class ReadingForm(EntryForm):
    """A reading taken by hand: which probe, and what it said."""

    NEW = "+"

    def __init__(self, now_s: Callable[[], float], parent: QWidget | None = None) -> None:
        super().__init__("readingForm", self.tr("Reading by hand"), now_s, parent)
        self.record.setAccessibleName(self.tr("Record the reading"))
        self._known: tuple[str, ...] = ()
        self.channel = ChoiceRow("readingChannel", self.tr("Probe"), self, columns=1, letters=True)
        self.value = TemperatureField("readingValue", self.tr("Temperature"), self, required=True)
        self.name = TextField("readingNewName", self.tr("Name of the new channel"), self)
        self.role = ChoiceRow("readingNewRole", self.tr("What it measures"), self, columns=3)
        self.role.set_choices(
            [("meat", self.tr("meat")), ("pit", self.tr("pit")), ("air", self.tr("outside air"))]
        )
        self._choose = self.add_field(self.tr("Probe"), self.channel)
        self._new_name = self.add_field(self.tr("Name"), self.name)
        self._new_role = self.add_field(self.tr("It measures"), self.role)
        self.add_field(self.tr("Temperature"), self.value)
        self.channel.picked.connect(self._on_picked)
        self.channel.typed.connect(self._on_typed)

    def set_channels(self, channels: Sequence[Channel]) -> None:
        """The channels of the cook, in the order in which they are shown."""
        keys = tuple(channel.key for channel in channels)
        choices = [(c.key, c.name or c.key) for c in channels]
        choices.append((self.NEW, self.tr("A new one, read by hand")))
        if keys != self._known or not keys:
            self.channel.set_choices(choices, self.channel.value())
            self._known = keys
        self._show_new()

    def open(self) -> None:
        super().open()
        self._show_new()

    def first_field(self) -> QWidget:
        if len(self._known) > 1:
            return self.channel
        return self.value if self._known else self.name

    def build(self, at_s: float) -> Said | None:
        value_c = self.value.value() if self.all_read(self.value) else None
        if value_c is None:
            return None
        key = self.channel.value()
        if key is not None and key != self.NEW:
            return Said(at_s, readings=(Reading(at_s, key, value_c),))
        name = self.name.text()
        if not name:
            self.show_trouble(self.tr("Give the new channel a name, for example Thick end."))
            self.name.setFocus()
            return None
        taken = set(self._known)
        number = next(n for n in range(1, len(taken) + 2) if f"hand{n}" not in taken)
        key = f"hand{number}"
        role = self.role.value()
        channel = Channel(
            key,
            name,
            role="pit" if role == "pit" else "air" if role == "air" else "meat",
            gap_s=HAND_GAP_S,
            by_hand=True,
        )
        return Said(at_s, (ChannelSet(channel),), (Reading(at_s, key, value_c),))

    def clear_fields(self) -> None:
        self.value.clear()
        self.name.set_text("")

    def _show_new(self) -> None:
        new = self.channel.value() in (self.NEW, None)
        self._choose.setVisible(bool(self._known))
        self._new_name.setVisible(new)
        self._new_role.setVisible(new)

    @Slot(str)
    def _on_typed(self, figure: str) -> None:
        """No probe was picked first: the number is for the one that is chosen."""
        if self.channel.value() not in (None, self.NEW):
            self.value.type(figure)

    @Slot(str)
    def _on_picked(self, key: str) -> None:
        self._show_new()
        (self.name if key == self.NEW else self.value).setFocus()
