"""Small forms for what needs more than a key: each asks little and keeps what was typed.

A form answers with what is `Said`; whoever shows it has that written and tells the form how it went.
Only after that is it emptied: a write that failed leaves everything as it was typed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

from PySide6.QtCore import QEvent, QObject, Qt, QTimer, Signal, Slot
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QApplication,
    QFrame,
    QHBoxLayout,
    QLabel,
    QLayout,
    QPlainTextEdit,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from smokejournal.cook.entries import (
    CookClosed,
    Note,
    Payload,
    ProbeMoved,
    Spritz,
    StageExtended,
    Wrap,
    WrapMaterial,
)
from smokejournal.cook.quantities import METRIC, Units
from smokejournal.cook.readings import Channel, Reading
from smokejournal.desk.choice_row import ChoiceRow
from smokejournal.desk.fields import DurationField, TextField
from smokejournal.desk.single_keys import ENTER_KEYS, KEEPS_KEYS
from smokejournal.desk.when_field import WhenField


@dataclass(frozen=True, slots=True)
class Said:
    """What a form wants written: entries and readings of one moment [UTC seconds]."""

    at_s: float
    payloads: tuple[Payload, ...] = ()
    readings: tuple[Reading, ...] = field(default=())


def _tab_stops(layout: QLayout) -> Iterator[QWidget]:
    """What Tab stops at, in the order in which it is laid out."""
    for n in range(layout.count()):
        item = layout.itemAt(n)
        assert item is not None
        widget, inner = item.widget(), item.layout()
        if widget is not None:
            if widget.focusProxy() is not None or widget.focusPolicy() & Qt.FocusPolicy.TabFocus:
                yield widget
                continue
            inner = widget.layout()
        if inner is not None:
            yield from _tab_stops(inner)


class EntryForm(QWidget):
    """A title, the fields of one kind of entry, when it happened, Record and Cancel."""

    said = Signal(object)
    cancelled = Signal()

    def __init__(
        self, name: str, title: str, now_s: Callable[[], float], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setObjectName(name)
        self.setAccessibleName(title)
        self.setProperty(KEEPS_KEYS, True)
        self.units: Units = METRIC
        self.zone = "UTC"
        self.title = QLabel(title, self)
        self.title.setProperty("kind", "section")
        self.fields = QVBoxLayout()
        self.fields.setSpacing(3)
        self.when = WhenField(f"{name}When", self.tr("When"), now_s, self)
        self.problem = QLabel(self)
        self.problem.setObjectName(f"{name}Trouble")
        self.problem.setProperty("kind", "problem")
        self.problem.setWordWrap(True)
        self.problem.setTextFormat(Qt.TextFormat.PlainText)
        self.problem.hide()
        self.record = QPushButton(self.tr("Record"), self)
        self.record.setObjectName(f"{name}Record")
        self.record.setAccessibleName(self.tr("Record: {title}").format(title=title))
        self.record.setProperty("kind", "ember")
        self.cancel = QPushButton(self.tr("Cancel"), self)
        self.cancel.setObjectName(f"{name}Cancel")
        self.cancel.setAccessibleName(self.tr("Cancel: {title}").format(title=title))
        self.cancel.setProperty("kind", "plain")
        buttons = QHBoxLayout()
        buttons.addWidget(self.record)
        buttons.addWidget(self.cancel)
        buttons.addStretch(1)
        # Only the fields scroll: title, trouble and buttons are always in sight.
        room = QWidget(self)
        inner = self._room = QVBoxLayout(room)
        inner.setContentsMargins(0, 0, 8, 0)
        inner.setSpacing(4)
        inner.addLayout(self.fields)
        self._when_field = self._labelled(self.tr("When"), self.when)
        inner.addWidget(self._when_field)
        inner.addStretch(1)
        scroll = QScrollArea(self)
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setWidget(room)
        self._scroll = scroll
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        column.addWidget(self.title)
        column.addWidget(scroll, 1)
        column.addWidget(self.problem)
        column.addLayout(buttons)
        self.record.clicked.connect(self.submit)
        self.cancel.clicked.connect(self.cancelled)

    # -- for subclasses ------------------------------------------------------------------------

    def build(self, at_s: float) -> Said | None:
        """What the fields say; None, with the messages shown, where they cannot be read."""
        raise NotImplementedError

    def clear_fields(self) -> None:
        """Empty the fields, ready for the next time."""

    def set_units(self, units: Units) -> None:
        """Show and read quantities in these units."""
        self.units = units

    def first_field(self) -> QWidget:
        """Where the typing begins."""
        return self.when

    def add_field(self, label: str, widget: QWidget) -> QWidget:
        """A field below its label. Returns both as one widget, to be shown and hidden."""
        both = self._labelled(label, widget)
        self.fields.addWidget(both)
        return both

    # -- for whoever shows it --------------------------------------------------------------------

    def open(self) -> None:
        """Begin."""
        self.show_trouble("")
        self.first_field().setFocus(Qt.FocusReason.OtherFocusReason)

    @Slot()
    def submit(self) -> None:
        """Say what is typed, if it can be read."""
        if not self.record.isEnabled():
            return
        self.show_trouble("")
        at_s = self.when.moment()
        said = self.build(at_s) if at_s is not None else None
        if said is None:
            if at_s is None:
                self.when.setFocus()
            # Once the message has its place.
            QTimer.singleShot(0, self._show_wrong)
            return
        self.record.setEnabled(False)
        self.said.emit(said)

    def focusNextPrevChild(self, forward: bool) -> bool:
        """Tab goes through the form as it is laid out, in whatever order it was made."""
        stops = [
            widget
            for widget in (*_tab_stops(self._room), self.record, self.cancel)
            if widget.isVisible() and widget.isEnabled()
        ]
        here = QApplication.focusWidget() or self
        place = next((n for n, w in enumerate(stops) if w is here or w.isAncestorOf(here)), None)
        beyond = -1 if place is None else place + (1 if forward else -1)
        if 0 <= beyond < len(stops):
            reason = Qt.FocusReason.TabFocusReason if forward else Qt.FocusReason.BacktabFocusReason
            stops[beyond].setFocus(reason)
            self._scroll.ensureWidgetVisible(stops[beyond], 0, 4)
            return True
        return self._leave(forward)

    def _leave(self, forward: bool) -> bool:
        """On to what comes after the form, or back to what is before it."""
        widget: QWidget | None = self
        while widget is not None:
            widget = widget.nextInFocusChain() if forward else widget.previousInFocusChain()
            if widget is None or widget is self:
                break
            if (
                widget.focusPolicy() & Qt.FocusPolicy.TabFocus
                and widget.isVisible()
                and widget.isEnabled()
                and widget.window() is self.window()
                and not self.isAncestorOf(widget)
            ):
                reason = Qt.FocusReason.TabFocusReason
                widget.setFocus(reason if forward else Qt.FocusReason.BacktabFocusReason)
                return True
        return False

    @Slot()
    def _show_wrong(self) -> None:
        """Bring the field that keeps it from being recorded into sight, with its message."""
        wrong: QWidget | None = self.focusWidget()
        while wrong is not None and wrong.parentWidget() is not self._scroll.widget():
            wrong = wrong.parentWidget()
        if wrong is not None:
            self._scroll.ensureWidgetVisible(wrong, 0, 4)

    def written(self) -> None:
        """It is on disk: nothing needs to be kept."""
        self.record.setEnabled(True)
        self.when.clear()
        self.clear_fields()

    def dropped(self) -> None:
        """The cook went back: what was typed is not wanted."""
        self.show_trouble("")
        self.written()

    def set_zone(self, zone: str) -> None:
        """Where the cook's clock hangs."""
        self.zone = zone
        self.when.zone = zone

    def failed(self, text: str) -> None:
        """It could not be written: say so and keep all that was typed."""
        self.record.setEnabled(True)
        self.show_trouble(text)

    def show_trouble(self, text: str) -> None:
        """What keeps it from being recorded, and what to do."""
        self.problem.setText(text)
        self.problem.setVisible(bool(text))

    # -- inside ----------------------------------------------------------------------------------

    def _labelled(self, text: str, widget: QWidget) -> QWidget:
        both = QWidget(self)
        column = QVBoxLayout(both)
        column.setContentsMargins(0, 0, 0, 2)
        column.setSpacing(1)
        label = QLabel(text, both)
        label.setProperty("kind", "faint")
        label.setBuddy(widget)
        column.addWidget(label)
        column.addWidget(widget)
        return both

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter records, Escape goes back; no other key leaves the form."""
        if event.key() == Qt.Key.Key_Escape:
            self.cancelled.emit()
        elif event.key() in ENTER_KEYS:
            focus = self.focusWidget()
            if isinstance(focus, QPushButton):
                focus.click()
            else:
                self.submit()
        elif not event.text():
            super().keyPressEvent(event)


class WrapForm(EntryForm):
    """Wrapped in what; or unwrapped."""

    def __init__(self, now_s: Callable[[], float], parent: QWidget | None = None) -> None:
        super().__init__("wrapForm", "", now_s, parent)
        self.title.setText(self.tr("Wrap"))
        self.setAccessibleName(self.title.text())
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

    def first_field(self) -> QWidget:
        return self.material

    def build(self, at_s: float) -> Said | None:
        material: WrapMaterial
        for material in ("foil", "paper", "leaves", "pan", "none"):
            if material == self.material.value():
                return Said(at_s, (Wrap(material, self.item.text()),))
        return None

    def clear_fields(self) -> None:
        self.item.set_text("")


class SpritzForm(EntryForm):
    """Sprayed or mopped, with what."""

    def __init__(self, now_s: Callable[[], float], parent: QWidget | None = None) -> None:
        super().__init__("spritzForm", "", now_s, parent)
        self.title.setText(self.tr("Spritz"))
        self.setAccessibleName(self.title.text())
        self.liquid = TextField(
            "spritzLiquid", self.tr("With what"), self, hint=self.tr("for example cider and water")
        )
        self.add_field(self.tr("With"), self.liquid)

    def first_field(self) -> QWidget:
        return self.liquid

    def build(self, at_s: float) -> Said | None:
        # What was sprayed is mostly what was sprayed before: it is kept for the next time.
        return Said(at_s, (Spritz(self.liquid.text()),))


class ProbeMovedForm(EntryForm):
    """A probe was moved or put back, and is to be trusted again."""

    def __init__(self, now_s: Callable[[], float], parent: QWidget | None = None) -> None:
        super().__init__("probeForm", "", now_s, parent)
        self.title.setText(self.tr("Probe moved or put back"))
        self.setAccessibleName(self.title.text())
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
        super().__init__("noteForm", "", now_s, parent)
        self.title.setText(self.tr("Note"))
        self.setAccessibleName(self.title.text())
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

    def first_field(self) -> QWidget:
        return self.text

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
        super().__init__("extendForm", "", now_s, parent)
        self.title.setText(self.tr("More time"))
        self.setAccessibleName(self.title.text())
        self.stage = ""
        self.by = DurationField(
            "extendBy", self.tr("By how much"), self, required=True, low=1.0, hint=self.tr("15 min")
        )
        self.add_field(self.tr("By"), self.by)

    def set_stage(self, key: str, name: str) -> None:
        """The stage that is meant."""
        self.stage = key
        self.title.setText(self.tr("More time for {stage}").format(stage=name))

    def first_field(self) -> QWidget:
        return self.by

    def build(self, at_s: float) -> Said | None:
        by_s = self.by.value() if self.by.check() else None
        if by_s is None:
            self.by.setFocus()
            return None
        return Said(at_s, (StageExtended(self.stage, by_s),))

    def clear_fields(self) -> None:
        self.by.clear()


class CloseForm(EntryForm):
    """The question before a cook is closed."""

    def __init__(self, now_s: Callable[[], float], parent: QWidget | None = None) -> None:
        super().__init__("closeForm", "", now_s, parent)
        self.title.setText(self.tr("Close this cook?"))
        self.setAccessibleName(self.title.text())
        self.record.setText(self.tr("Close the cook"))
        self.record.setAccessibleName(self.record.text())
        self.cancel.setText(self.tr("Not yet"))
        words = QLabel(
            self.tr(
                "Its stages, alarms and readings end here. What it tasted like and weighed can be "
                "written afterwards, and striking the entry opens the cook again."
            ),
            self,
        )
        words.setWordWrap(True)
        self.fields.addWidget(words)

    def first_field(self) -> QWidget:
        return self.cancel

    def build(self, at_s: float) -> Said | None:
        return Said(at_s, (CookClosed(),))
