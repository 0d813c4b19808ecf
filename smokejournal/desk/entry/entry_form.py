"""What every small form is: a title, fields, when it happened, Record and Cancel.

A form answers with what is `Said`; whoever shows it has that written and tells the form how it went.
Only after that is it emptied: a write that failed leaves everything as it was typed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from PySide6.QtCore import Qt, QTimer, Signal, Slot
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QApplication,
    QFrame,
    QLayout,
    QPushButton,
    QScrollArea,
    QWidget,
)

from smokejournal.cook.log.entries import Payload
from smokejournal.cook.log.readings import Reading
from smokejournal.cook.text.quantities import METRIC, Units
from smokejournal.desk.base.widgets import FILL, new_button, new_column, new_label, new_row, say
from smokejournal.desk.parts.fields import QuantityField
from smokejournal.desk.parts.single_keys import ENTER_KEYS, KEEPS_KEYS
from smokejournal.desk.parts.when_field import WhenField


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
        self.setProperty(KEEPS_KEYS, True)
        self.units: Units = METRIC
        self.zone = "UTC"
        self.title = new_label(self, kind="section")
        self.fields = new_column(None, spacing=3)
        self.when = WhenField(f"{name}When", self.tr("When"), now_s, self)
        self.problem = new_label(
            self, name=f"{name}Trouble", kind="problem", wraps=True, hidden=True
        )
        self.record = new_button(self, self.tr("Record"), name=f"{name}Record", kind="ember")
        self.cancel = new_button(self, self.tr("Cancel"), name=f"{name}Cancel", kind="plain")
        buttons = new_row(None, self.record, self.cancel, FILL)
        # Only the fields scroll: title, trouble and buttons are always in sight.
        room = QWidget(self)
        inner = self._room = new_column(room, self.fields, spacing=4, margins=(0, 0, 8, 0))
        self._when_field = self._labeled(self.tr("When"), self.when)
        inner.addWidget(self._when_field)
        inner.addStretch(1)
        scroll = QScrollArea(self)
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setWidget(room)
        self._scroll = scroll
        new_column(self, self.title, (scroll, 1), self.problem, buttons, spacing=6, margins=0)
        self.record.clicked.connect(self.submit)
        self.cancel.clicked.connect(self.cancelled)
        self._first: QWidget = self.when
        self.set_title(title)

    # -- for subclasses ------------------------------------------------------------------------

    def build(self, at_s: float) -> Said | None:
        """What the fields say; None, with the messages shown, where they cannot be read."""
        raise NotImplementedError

    def clear_fields(self) -> None:
        """Empty the fields, ready for the next time."""

    def set_title(self, title: str) -> None:
        """What the form is for, also for a reader of screens."""
        self.title.setText(title)
        self.setAccessibleName(title)
        self.record.setAccessibleName(self.tr("Record: {title}").format(title=title))
        self.cancel.setAccessibleName(self.tr("Cancel: {title}").format(title=title))

    def set_units(self, units: Units) -> None:
        """Show and read quantities in these units."""
        self.units = units
        for quantity in self.findChildren(QuantityField):
            if quantity is not self.when:
                quantity.set_units(units)

    def first_field(self) -> QWidget:
        """Where the typing begins: in what was added first."""
        return self._first

    def all_read(self, *fields: QuantityField) -> bool:
        """Whether all of these can be read; each shows why not, and typing goes on in the first."""
        wrong = [
            each for each in fields if not each.check() or (each.required and each.value() is None)
        ]
        if wrong:
            wrong[0].setFocus()
        return not wrong

    def add_field(self, label: str, widget: QWidget) -> QWidget:
        """A field below its label. Returns both as one widget, to be shown and hidden."""
        if self._first is self.when:
            self._first = widget
        both = self._labeled(label, widget)
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
            QTimer.singleShot(0, self, self._show_wrong)
            return
        self.record.setEnabled(False)
        self.said.emit(said)

    def focusNextPrevChild(self, forward: bool) -> bool:
        """Tab goes through the form as it is laid out, in whatever order it was made."""
        stops = self._stops()
        here = QApplication.focusWidget() or self
        place = next((n for n, w in enumerate(stops) if w is here or w.isAncestorOf(here)), None)
        beyond = -1 if place is None else place + (1 if forward else -1)
        if 0 <= beyond < len(stops):
            reason = Qt.FocusReason.TabFocusReason if forward else Qt.FocusReason.BacktabFocusReason
            stops[beyond].setFocus(reason)
            self._scroll.ensureWidgetVisible(stops[beyond], 0, 4)
            return True
        return self._leave(forward)

    def enter(self) -> None:
        """Tab came from before the form: it begins at its first field, whatever was made first."""
        self._stops()[0].setFocus(Qt.FocusReason.TabFocusReason)

    def _stops(self) -> list[QWidget]:
        """What Tab stops at now."""
        return [
            widget
            for widget in (*_tab_stops(self._room), self.record, self.cancel)
            if widget.isVisible() and widget.isEnabled()
        ]

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

    def waits(self) -> bool:
        """True where something typed was kept for the next time, though the form was left."""
        return False

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
        say(self.problem, text)

    # -- inside ----------------------------------------------------------------------------------

    def _labeled(self, text: str, widget: QWidget) -> QWidget:
        both = QWidget(self)
        column = new_column(both, spacing=1, margins=(0, 0, 0, 2))
        label = new_label(both, text, kind="faint")
        label.setBuddy(widget)
        column.addWidget(label)
        column.addWidget(widget)
        return both

    def key_words(self) -> tuple[tuple[str, str], ...]:
        """For the list of keys."""
        return (
            ("Return", self.tr("In an entry: record it")),
            ("Esc", self.tr("In an entry: go back without it")),
        )

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
