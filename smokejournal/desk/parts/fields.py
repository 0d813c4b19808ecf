"""Lines to type quantities in, each with its unit behind it and its message below.

A field holds the last value that could be read (SI, °C). What can't be read stays as typed, is
marked and told beside it, and `value()` is None for as long. Other units show the same held value
again and never change it.
"""

from __future__ import annotations

import math

from PySide6.QtCore import QDate, Signal, Slot
from PySide6.QtWidgets import QLineEdit, QWidget

from smokejournal.cook.text import quantities
from smokejournal.cook.text.moments import day_of, moment_on
from smokejournal.cook.text.quantities import METRIC, QuantityError, Units
from smokejournal.cook.text.strict import hidden_in
from smokejournal.desk.base.widgets import FILL, new_column, new_label, new_row, say
from smokejournal.desk.parts.choice_box import DayEdit


class QuantityField(QWidget):
    """One quantity. Subclasses say how it is read and shown.

    `changed` comes with every change by hand, readable or not. An empty field is None; where it may
    not be empty (`required`), that is a problem too. The message is held back until the person has
    left the field or pressed Enter, because half a number is not a mistake.
    """

    #: How wide what is typed is shown, at least.
    WIDTH_PX = 120
    #: What may be typed where a form doesn't say.
    LOW, HIGH = -math.inf, math.inf

    changed = Signal()

    def __init__(
        self,
        name: str,
        label: str,
        parent: QWidget | None = None,
        *,
        units: Units = METRIC,
        required: bool = False,
        hint: str = "",
        low: float | None = None,
        high: float | None = None,
    ) -> None:
        super().__init__(parent)
        self.units = units
        self.required = required
        self._low = self.LOW if low is None else low
        self._high = self.HIGH if high is None else high
        self._held: float | None = None
        self._problem = ""
        self._hint = hint
        self.edit = QLineEdit(self)
        self.edit.setObjectName(name)
        self.edit.setAccessibleName(label)
        self.unit = new_label(self, kind="faint")
        self.message = new_label(
            self, name=f"{name}Problem", kind="problem", wraps=True, hidden=True
        )
        self.row = new_row(None, self.edit, self.unit, FILL, spacing=6, margins=0)
        new_column(self, self.row, self.message, spacing=2, margins=0)
        self.setFocusProxy(self.edit)
        self.edit.setMinimumWidth(self.WIDTH_PX)
        self.edit.textEdited.connect(self._on_edited)
        self.edit.editingFinished.connect(self.show_problem)
        self._show_unit()

    # -- for subclasses ---------------------------------------------------------------------

    def _read(self, text: str) -> float:
        """The value of what is typed; QuantityError where there is none."""
        raise NotImplementedError

    def _shown(self, value: float) -> str:
        """The value as it is typed."""
        raise NotImplementedError

    def _unit(self) -> str:
        """What stands behind the field."""
        return ""

    def _example(self) -> str:
        """How it may be typed, where no unit stands behind the field."""
        return ""

    # -- for forms --------------------------------------------------------------------------

    def value(self) -> float | None:
        """What is typed, or None where that is nothing or can't be read."""
        return None if self._problem else self._held

    def problem(self) -> str:
        """What is wrong with what is typed, ready to show; empty where nothing is."""
        return self._problem

    def is_ok(self) -> bool:
        """True where the field may be left as it is."""
        return not self._problem

    def text(self) -> str:
        """What is typed."""
        return self.edit.text().strip()

    def set_value(self, value: float | None) -> None:
        """Show `value`. What was typed and can't be used stays, unless the value is another one now."""
        if self._problem and value == self._held:
            return
        self._held = value
        self.edit.setText("" if value is None else self._shown(value))
        self._problem = ""
        self._show(self._problem)

    def type(self, text: str) -> None:
        """Go on typing here with `text`, which was typed elsewhere, in place of what stands here."""
        self.edit.setFocus()
        self.edit.setText(text)
        self._on_edited(text)

    def clear(self) -> None:
        """Empty, with no message."""
        self._held = None
        self._problem = ""
        self.edit.clear()
        self._show("")

    def set_units(self, units: Units) -> None:
        """Show the held value in other units. What can't be read is read again by the new ones."""
        self.units = units
        self._show_unit()
        if self._problem:
            if self.text():
                self._take(self.edit.text())
                self.show_problem()
        elif self._held is not None:
            self.edit.setText(self._shown(self._held))

    def refuse(self, message: str) -> None:
        """Show a message of the form's own, until the text is changed."""
        self._problem = message
        self._show(message)

    @Slot()
    def show_problem(self) -> None:
        """Show what is wrong now, also where nothing was typed yet."""
        if self.required and not self.text():
            self._problem = self.tr("This can't be empty.")
        self._show(self._problem)

    def check(self) -> bool:
        """Show what is wrong; True where nothing is."""
        self.show_problem()
        return self.is_ok()

    # -- inside -----------------------------------------------------------------------------

    def _show_unit(self) -> None:
        unit = self._unit()
        say(self.unit, unit)
        hint = self._hint or self._example()
        self.edit.setPlaceholderText(hint)
        # Where there is room, wide enough for what it says to whoever wonders what to type.
        says = self.edit.fontMetrics().horizontalAdvance(hint) + 26
        self.edit.setMaximumWidth(max(self.WIDTH_PX, says))

    def _show(self, message: str) -> None:
        say(self.message, message)
        self.edit.setAccessibleDescription(message)
        if bool(self.edit.property("wrong")) != bool(message):
            self.edit.setProperty("wrong", bool(message))
            style = self.edit.style()
            style.unpolish(self.edit)
            style.polish(self.edit)

    @Slot(str)
    def _on_edited(self, text: str) -> None:
        self._take(text)
        if not self._problem:
            self._show("")
        self.changed.emit()

    def _take(self, text: str) -> None:
        if not text.strip():
            self._problem = self.tr("This can't be empty.") if self.required else ""
            if not self.required:
                self._held = None
            return
        try:
            self._held = self._read(text)
        except QuantityError as error:
            self._problem = str(error)
        else:
            self._problem = ""


class TemperatureField(QuantityField):
    """A temperature [°C]."""

    LOW, HIGH = -40.0, 500.0

    def _read(self, text: str) -> float:
        return quantities.parse_temperature(text, self.units, "", self._low, self._high)

    def _shown(self, value: float) -> str:
        return _trimmed(quantities.temperature_number(value, self.units, 1))

    def _unit(self) -> str:
        return quantities.temperature_unit(self.units)


class TemperatureStepField(QuantityField):
    """A difference of temperatures [K]."""

    LOW, HIGH = -100.0, 100.0

    def _read(self, text: str) -> float:
        return quantities.parse_temperature_step(text, self.units, "", self._low, self._high)

    def _shown(self, value: float) -> str:
        number = quantities.temperature_step(value, self.units, 1)
        return _trimmed(number.removesuffix(quantities.temperature_unit(self.units)).strip())

    def _unit(self) -> str:
        return quantities.temperature_unit(self.units)


class DurationField(QuantityField):
    """A length of time [s]. A bare number is minutes."""

    LOW, HIGH = 0.0, 7 * 86400.0

    def _read(self, text: str) -> float:
        return quantities.parse_duration(text, "", self._low, self._high)

    def _shown(self, value: float) -> str:
        return quantities.duration(value)

    def _example(self) -> str:
        return self.tr("such as {example}").format(example="90 min")


class MassField(QuantityField):
    """A mass [kg], above nothing."""

    LOW, HIGH = 0.001, 500.0

    def _read(self, text: str) -> float:
        return quantities.parse_mass(text, self.units, "", self._low, self._high)

    def _shown(self, value: float) -> str:
        return quantities.mass(value, self.units)

    def _example(self) -> str:
        example = {"kg": "1.2 kg", "lb": "2 lb 3 oz", "decimal_lb": "2.5 lb"}[self.units.mass]
        return self.tr("such as {example}").format(example=example)


class LengthField(QuantityField):
    """A length [m], above nothing."""

    LOW, HIGH = 0.001, 2.0

    def _read(self, text: str) -> float:
        return quantities.parse_length(text, self.units, "", self._low, self._high)

    def _shown(self, value: float) -> str:
        return quantities.length(value, self.units)

    def _example(self) -> str:
        example = "1 1/4 in" if self.units.length == "in" else "3.5 cm"
        return self.tr("such as {example}").format(example=example)


class NumberField(QuantityField):
    """A bare number."""

    def _read(self, text: str) -> float:
        value = quantities.parse_number(text, "")
        if self._low <= value <= self._high:
            return value
        wanted = self.tr("a number from {low} to {high}")
        if math.isinf(self._high):
            wanted = self.tr("a number from {low} up")
        elif math.isinf(self._low):
            wanted = self.tr("a number up to {high}")
        raise QuantityError("", wanted.format(low=f"{self._low:g}", high=f"{self._high:g}"))

    def _shown(self, value: float) -> str:
        return f"{value:.6g}"


class CountField(NumberField):
    """A whole number."""

    def _read(self, text: str) -> float:
        value = super()._read(text)
        if value != int(value):
            raise QuantityError("", self.tr("a whole number, for example 4"))
        return value


class MomentField(QuantityField):
    """A day and a time of day where the cook is [UTC seconds]; no time is None."""

    WIDTH_PX = 100

    def __init__(
        self,
        name: str,
        label: str,
        parent: QWidget | None = None,
        *,
        zone: str = "UTC",
        units: Units = METRIC,
        required: bool = False,
        hint: str = "",
    ) -> None:
        self.zone = zone
        super().__init__(name, label, parent, units=units, required=required, hint=hint)
        self.day = DayEdit(self)
        self.day.setObjectName(f"{name}Day")
        self.day.setAccessibleName(self.tr("{label}: day").format(label=label))
        self.day.setCalendarPopup(True)
        self._show_day_form()
        self.day.setFixedWidth(140)
        self.row.insertWidget(0, self.day)
        self.day.dateChanged.connect(self._on_day)

    def set_units(self, units: Units) -> None:
        """The day or the month first, as the person likes it."""
        super().set_units(units)
        self._show_day_form()

    def _show_day_form(self) -> None:
        first = self.units.dates == "month"
        self.day.setDisplayFormat("MMM d, yyyy" if first else "d MMM yyyy")

    def set_zone(self, zone: str) -> None:
        """Where the clock hangs."""
        if zone != self.zone:
            self.zone = zone
            held = self._held
            if held is not None and self.is_ok():
                self._held = None
                self.set_value(held)

    def suggest_day(self, at_s: float) -> None:
        """Show this day while no time is typed."""
        if self._held is None and not self.text():
            self._put_day(at_s)

    def set_value(self, value: float | None) -> None:
        """Show `value` as a day and a time."""
        if not (self._problem and value == self._held) and value is not None:
            self._put_day(value)
        super().set_value(value)

    def _put_day(self, at_s: float) -> None:
        day = day_of(at_s, self.zone)
        self.day.blockSignals(True)
        self.day.setDate(QDate(day.year, day.month, day.day))
        self.day.blockSignals(False)

    def _read(self, text: str) -> float:
        shown = self.day.date()
        day = day_of(0.0, "UTC").replace(shown.year(), shown.month(), shown.day())
        return moment_on(day, text, self.zone)

    def _shown(self, value: float) -> str:
        return quantities.clock_time(value, self.zone, self.units)

    @Slot(QDate)
    def _on_day(self, _day: QDate) -> None:
        if self.text():
            self._take(self.edit.text())
            self.show_problem()
            self.changed.emit()


class TextField(QWidget):
    """A line of free text with its message below. `text()` comes without the blanks around it."""

    changed = Signal()

    def __init__(
        self,
        name: str,
        label: str,
        parent: QWidget | None = None,
        *,
        required: bool = False,
        hint: str = "",
        longest: int = 200,
    ) -> None:
        super().__init__(parent)
        self.required = required
        self.edit = QLineEdit(self)
        self.edit.setObjectName(name)
        self.edit.setAccessibleName(label)
        self.edit.setPlaceholderText(hint)
        self.edit.setMaxLength(longest)
        self.message = new_label(
            self, name=f"{name}Problem", kind="problem", wraps=True, hidden=True
        )
        new_column(self, self.edit, self.message, spacing=2, margins=0)
        self.setFocusProxy(self.edit)
        self.edit.textEdited.connect(self._on_edited)

    def text(self) -> str:
        """What is typed."""
        return self.edit.text().strip()

    def set_text(self, text: str) -> None:
        """Show `text`; a blank that is just being typed at its end is left alone."""
        if text != self.text():
            self.edit.setText(text)
            # A long one is read from its beginning.
            self.edit.setCursorPosition(0)
        if text:
            self._show(hidden_in(text))

    def is_ok(self) -> bool:
        """True where the field may be left as it is."""
        return not self.problem()

    def problem(self) -> str:
        """What is wrong with what is typed; empty where nothing is."""
        if self.required and not self.text():
            return self.tr("This can't be empty.")
        return hidden_in(self.text())

    def check(self) -> bool:
        """Show what is wrong; True where nothing is."""
        self._show(self.problem())
        return self.is_ok()

    def refuse(self, message: str) -> None:
        """Show a message of the form's own, until the text is changed."""
        self._show(message)

    def _show(self, message: str) -> None:
        say(self.message, message)
        self.edit.setAccessibleDescription(message)

    @Slot(str)
    def _on_edited(self, _text: str) -> None:
        # What was pasted is told at once: hidden characters can't be seen.
        hidden = hidden_in(self.text())
        if hidden or self.is_ok():
            self._show(hidden)
        self.changed.emit()


def _trimmed(number: str) -> str:
    return number.rstrip("0").rstrip(".") if "." in number else number
