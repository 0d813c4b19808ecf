"""Fields for quantities, used as a person uses them."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import pytest
from PySide6.QtCore import QDate, Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from smokejournal.cook.text.quantities import METRIC, US
from smokejournal.desk.parts.fields import (
    CountField,
    DurationField,
    LengthField,
    MassField,
    MomentField,
    QuantityField,
    TemperatureField,
    TextField,
)


def _type(qtbot: QtBot, field: QuantityField, text: str, leave: bool = True) -> None:
    field.edit.clear()
    qtbot.keyClicks(field.edit, text)
    if leave:
        qtbot.keyClick(field.edit, Qt.Key.Key_Return)


def test_a_temperature_is_read_in_the_persons_unit_or_the_one_typed(qtbot: QtBot) -> None:
    field = TemperatureField("t", "Pit target", units=US)
    qtbot.addWidget(field)
    _type(qtbot, field, "225")
    # 225 °F is 107.2 °C: NIST SP 811, t/°C = (t/°F - 32)/1.8.
    assert field.value() == pytest.approx((225 - 32) / 1.8)
    _type(qtbot, field, "107 C")
    assert field.value() == pytest.approx(107.0)


def test_other_units_show_the_same_value_and_do_not_change_it(qtbot: QtBot) -> None:
    field = TemperatureField("t", "Pit target")
    qtbot.addWidget(field)
    field.set_value(73.9)
    for units in (US, METRIC, US, METRIC):
        field.set_units(units)
    assert field.value() == 73.9
    field.set_units(US)
    assert (field.text(), field.unit.text()) == ("165", "°F")


def test_what_cannot_be_read_stays_and_is_told_beside_it(qtbot: QtBot) -> None:
    field = TemperatureField("t", "Pit target")
    qtbot.addWidget(field)
    field.show()
    field.set_value(107.0)
    _type(qtbot, field, "1o7", leave=False)
    assert not field.message.isVisible()
    qtbot.keyClick(field.edit, Qt.Key.Key_Return)
    assert field.value() is None
    assert field.message.isVisible()
    assert "Type a temperature" in field.message.text()
    assert field.edit.accessibleDescription() == field.message.text()
    # "1" could still be read on the way; a form that heard of it shows that value again.
    field.set_value(1.0)
    assert field.text() == "1o7"
    field.set_units(US)
    assert field.text() == "1o7"
    field.set_value(120.0)
    assert field.text() == "248"
    assert field.is_ok()


def test_a_required_field_says_so_when_left_empty(qtbot: QtBot) -> None:
    field = DurationField("d", "For", required=True)
    qtbot.addWidget(field)
    field.set_value(1800.0)
    _type(qtbot, field, "")
    assert field.value() is None
    assert field.problem() == "This can't be empty."
    _type(qtbot, field, "1:30")
    assert field.value() == 5400.0
    assert not field.message.text()


@pytest.mark.parametrize(
    ("kind", "text", "value"),
    [
        (DurationField, "2 h 10", 7800.0),
        (MassField, "2 lb 3 oz", 0.99223),
        (MassField, "850 g", 0.85),
        (LengthField, "1 1/4 in", 0.03175),
        (CountField, "4", 4.0),
    ],
)
def test_what_people_type(qtbot: QtBot, kind: type[QuantityField], text: str, value: float) -> None:
    field = kind("f", "Field")
    qtbot.addWidget(field)
    _type(qtbot, field, text)
    assert field.value() == pytest.approx(value, rel=1e-4)


@pytest.mark.parametrize("text", ["0", "2.5", "-1", "many"])
def test_a_count_refuses_what_is_no_count(qtbot: QtBot, text: str) -> None:
    field = CountField("f", "Pieces", low=1, high=1000)
    qtbot.addWidget(field)
    _type(qtbot, field, text)
    assert field.value() is None
    assert field.message.text()


ZONE = "Europe/Berlin"


def _berlin(*when: int) -> float:
    return dt.datetime(*when, tzinfo=ZoneInfo(ZONE)).timestamp()  # type: ignore[misc]


def test_a_moment_is_a_day_and_a_time_where_the_cook_is(qtbot: QtBot) -> None:
    field = MomentField("m", "Ready at", zone=ZONE)
    qtbot.addWidget(field)
    assert field.value() is None
    field.day.setDate(QDate(2026, 10, 25))
    _type(qtbot, field, "18:30")
    assert field.value() == _berlin(2026, 10, 25, 18, 30)
    # The day that the clocks go back in Berlin has 25 hours; its midnight is still its own.
    _type(qtbot, field, "0:00")
    assert field.value() == _berlin(2026, 10, 25, 0, 0)
    field.day.setDate(QDate(2026, 3, 29))
    _type(qtbot, field, "2:30")
    assert field.value() is None
    assert "put forward" in field.message.text()


def test_a_moment_in_twelve_hours_shows_the_same_moment(qtbot: QtBot) -> None:
    field = MomentField("m", "Ready at", zone=ZONE)
    qtbot.addWidget(field)
    field.set_value(_berlin(2026, 7, 4, 18, 30))
    field.set_units(US)
    assert field.text() == "6:30 pm"
    assert field.day.text() == "Jul 4, 2026"
    assert field.value() == _berlin(2026, 7, 4, 18, 30)


def test_text_that_is_needed_is_asked_for(qtbot: QtBot) -> None:
    field = TextField("x", "Title", required=True)
    qtbot.addWidget(field)
    assert not field.check()
    assert field.message.text()
    qtbot.keyClicks(field.edit, "Trout ")
    assert field.text() == "Trout"
    assert field.check()


def test_hidden_characters_are_told_as_they_are_pasted(qtbot: QtBot) -> None:
    field = TextField("t", "Title")
    qtbot.addWidget(field)
    field.show()
    QApplication.clipboard().setText("Ribs\u202e\x1b[31m\nfor Sunday")
    qtbot.keyClick(field.edit, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    assert field.message.isVisible()
    assert field.message.text() == "Take out the line breaks and hidden characters."
    assert not field.check()
    field.edit.clear()
    qtbot.keyClicks(field.edit, "Ribs for Sunday")
    assert not field.message.isVisible()
    assert field.check()
