"""A weather report pasted into the weather form."""

from __future__ import annotations

from datetime import UTC, datetime

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QLabel, QLineEdit
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.entries import WeatherObserved
from smokejournal.desk.entry.entry_form import Said
from smokejournal.desk.entry.weather_form import WeatherForm

NOW = datetime(2026, 11, 26, 2, tzinfo=UTC).timestamp()
REPORT = "EDDM 252350Z 26006G18KT 9999 -RA BKN012 01/M01 Q1008"


def opened(qtbot: QtBot) -> tuple[WeatherForm, list[Said]]:
    form = WeatherForm(lambda: NOW)
    qtbot.addWidget(form)
    form.resize(360, 640)
    form.show()
    qtbot.waitExposed(form)
    said: list[Said] = []
    form.said.connect(said.append)
    form.open()
    return form, said


def paste(qtbot: QtBot, form: WeatherForm, text: str) -> None:
    edit = form.findChild(QLineEdit, "weatherReport")
    assert edit is not None
    edit.setFocus()
    QApplication.clipboard().setText(text)
    edit.selectAll()
    qtbot.keyClick(edit, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)


def shown(form: WeatherForm, name: str) -> str:
    label = form.findChild(QLabel, name)
    assert label is not None
    return label.text() if label.isVisible() else ""


def record(qtbot: QtBot, form: WeatherForm) -> None:
    qtbot.mouseClick(form.record, Qt.MouseButton.LeftButton)


def test_fills_in_what_it_says_and_keeps_its_text(qtbot: QtBot) -> None:
    form, said = opened(qtbot)
    form.set_zone("Europe/Berlin")
    paste(qtbot, form, REPORT)
    assert "EDDM, 26 Nov 2026, 00:50 (2 h 10 min ago)" in shown(form, "weatherReportUnderstood")
    assert shown(form, "weatherReportRefused") == ""
    assert form.air.text() == "1"
    assert form.sky.currentData() == "broken"
    assert form.at_sea.currentData() is True
    record(qtbot, form)
    (told,) = said
    assert told.at_s == datetime(2026, 11, 25, 23, 50, tzinfo=UTC).timestamp()
    seen = told.payloads[0]
    assert isinstance(seen, WeatherObserved)
    assert (seen.air_c, seen.sea_level_hpa, seen.pressure_hpa) == (1.0, 1008.0, None)
    assert seen.precipitation == "rain"
    assert seen.report == REPORT


def test_what_the_person_said_stays(qtbot: QtBot) -> None:
    form, said = opened(qtbot)
    qtbot.keyClicks(form.air.edit, "4")
    paste(qtbot, form, REPORT)
    assert form.air.text() == "4"
    assert form.wind.text()
    # Another report in its place: what the first filled in goes, what was typed stays.
    paste(qtbot, form, "EDDM 260120Z 05/02 Q1011")
    assert form.air.text() == "4"
    assert form.wind.text() == ""
    assert form.sky.currentData() is None
    record(qtbot, form)
    seen = said[0].payloads[0]
    assert isinstance(seen, WeatherObserved)
    assert (seen.air_c, seen.wind_m_s, seen.sea_level_hpa) == (4.0, None, 1011.0)


def test_damaged_groups_are_told(qtbot: QtBot) -> None:
    form, said = opened(qtbot)
    paste(qtbot, form, "EDDM 252350Z 26006 01/M01 Q108")
    assert shown(form, "weatherReportRefused").splitlines() == [
        "Not taken: 26006: not understood.",
        "Not taken: Q108: not understood.",
    ]
    assert form.wind.text() == ""
    record(qtbot, form)
    seen = said[0].payloads[0]
    assert isinstance(seen, WeatherObserved)
    assert seen.wind_m_s is None
    assert seen.air_c == 1.0


def test_nonsense_is_refused_and_stays(qtbot: QtBot) -> None:
    form, said = opened(qtbot)
    qtbot.keyClicks(form.air.edit, "4")
    paste(qtbot, form, "mild, some cloud")
    record(qtbot, form)
    assert "Nothing of this could be read" in shown(form, "weatherReportRefused")
    assert said == []
    paste(qtbot, form, "EDDM 271150Z 05/02")
    record(qtbot, form)
    assert "older than 14 days" in shown(form, "weatherReportRefused")
    assert said == []
    edit = form.findChild(QLineEdit, "weatherReport")
    assert edit is not None
    qtbot.keyClick(edit, Qt.Key.Key_A, Qt.KeyboardModifier.ControlModifier)
    qtbot.keyClick(edit, Qt.Key.Key_Delete)
    record(qtbot, form)
    assert len(said) == 1


def test_what_follows_from_the_air(qtbot: QtBot) -> None:
    form, _ = opened(qtbot)
    for field, text in ((form.air, "25"), (form.humidity, "50"), (form.wind, "2")):
        qtbot.keyClicks(field.edit, text)
    assert "Apparent temperature in the shade 25 °C." in shown(form, "weatherFacts")
    qtbot.keyClicks(form.pressure.edit, "1013")
    assert "Water boils at 100.0 °C here." in shown(form, "weatherFacts")
    form.at_sea.setCurrentIndex(1)
    assert "unknown without the altitude" in shown(form, "weatherFacts")
    form.set_altitude(1500.0)
    assert "Water boils at 95.0 °C here" in shown(form, "weatherFacts")


def test_what_the_report_leaves_out_is_not_said(qtbot: QtBot) -> None:
    form, said = opened(qtbot)
    paste(qtbot, form, "EDDM 252350Z 26006KT 9999 -RA SCT008 BNK012 01/M01 Q1008")
    assert "BNK012: not understood" in shown(form, "weatherReportRefused")
    assert "whether rain or snow falls" in shown(form, "weatherReportUnderstood")
    assert form.sky.currentData() is None
    assert form.falls.currentData() is None
    # Whole degrees tell no single per cent.
    assert form.humidity.text() == "90"
    record(qtbot, form)
    seen = said[0].payloads[0]
    assert isinstance(seen, WeatherObserved)
    assert (seen.sky, seen.precipitation, seen.pressure_hpa) == (None, None, None)


def test_station_and_time_alone_are_refused(qtbot: QtBot) -> None:
    form, said = opened(qtbot)
    paste(qtbot, form, "METAR EDDM 252350Z")
    assert "it has no wind, air, pressure, sky or weather" in shown(form, "weatherReportRefused")
    record(qtbot, form)
    assert "Nothing of this could be read" in shown(form, "weatherReportRefused")
    assert said == []
