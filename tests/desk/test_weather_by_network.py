"""Weather by network on screen: switched on in Settings, tried, and told on Tend."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from datetime import UTC, datetime

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QCheckBox, QComboBox, QLabel, QLineEdit, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from smokejournal.cook.weather.by_network import SERVICES, NoReport, WeatherByNetwork
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.shell.settings_dialog import SettingsDialog
from smokejournal.desk.shell.weather_dialog import WeatherDialog
from smokejournal.services.program import settings
from smokejournal.services.program.weather_keeper import EVERY_S, WeatherKeeper
from tests.support.fakes import FixedClock
from tests.support.tend_desk import TendDesk, tend  # noqa: F401 - a fixture

NOW_S = datetime(2026, 11, 25, 14, 10, tzinfo=UTC).timestamp()
REPORT = "ZZZZ 251356Z 24008KT 9999 OVC020 03/M01 Q1013"


class Service:
    """Answers as it is told to, and remembers what it was asked."""

    def __init__(self) -> None:
        self.asked: list[str] = []
        self.answer = REPORT
        self.trouble = ""
        self.go = threading.Event()
        self.go.set()
        self.passed_s = 0.0

    def fetch(self, address: str) -> str:
        self.asked.append(address)
        self.go.wait(10.0)
        if self.trouble:
            raise NoReport(self.trouble)
        return self.answer


@pytest.fixture
def clock() -> FixedClock:
    return FixedClock(NOW_S)


@pytest.fixture
def service() -> Service:
    return Service()


@pytest.fixture
def keeper(context: DeskContext, service: Service) -> Iterator[WeatherKeeper]:
    keeper = WeatherKeeper(context.program, service.fetch, lambda: service.passed_s)
    context.weather = keeper
    yield keeper
    keeper.close()


@pytest.fixture
def dialog(qtbot: QtBot, context: DeskContext, keeper: WeatherKeeper) -> SettingsDialog:
    dialog = SettingsDialog(context)
    qtbot.addWidget(dialog)
    dialog.show()
    return dialog


@pytest.fixture
def form(qtbot: QtBot, dialog: SettingsDialog) -> WeatherDialog:
    press(qtbot, dialog, "settingsWeather")
    (found,) = dialog.findChildren(WeatherDialog)
    qtbot.waitExposed(found)
    return found


def press(qtbot: QtBot, where: QWidget, name: str) -> None:
    button = where.findChild(QPushButton, name)
    assert button is not None
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def write(qtbot: QtBot, form: QWidget, name: str, text: str) -> None:
    edit = form.findChild(QLineEdit, name)
    assert edit is not None
    edit.selectAll()
    qtbot.keyClicks(edit, text)


def switch_on(qtbot: QtBot, form: QWidget) -> None:
    box = form.findChild(QCheckBox, "weatherOn")
    assert box is not None
    box.setFocus()
    qtbot.keyClick(box, Qt.Key.Key_Space)


def said(form: QWidget, name: str) -> str:
    label = form.findChild(QLabel, name)
    assert label is not None
    return label.text() if label.isVisibleTo(form) else ""


def test_it_is_off_and_says_what_would_be_sent(form: WeatherDialog, service: Service) -> None:
    assert not form.on.isChecked()
    assert not form.test.isEnabled()
    assert "the airfield's code and this program's name" in said(form, "weatherPrivacy")
    assert "While this is off, nothing is sent at all." in said(form, "weatherPrivacy")
    assert service.asked == []


def test_what_is_chosen_is_kept_and_nothing_is_fetched_by_that(
    qtbot: QtBot, form: WeatherDialog, context: DeskContext, service: Service
) -> None:
    switch_on(qtbot, form)
    write(qtbot, form, "weatherStation", "zzzz")
    with qtbot.waitSignal(form.kept) as told:
        press(qtbot, form, "weatherKeep")
    kept = settings.load(context.program.journal).settings.weather
    assert kept == WeatherByNetwork(True, "ZZZZ", SERVICES["api"])
    assert told.args[0].weather == kept
    assert service.asked == []


def test_trying_shows_what_came_with_markup_as_text(
    qtbot: QtBot, form: WeatherDialog, service: Service
) -> None:
    service.answer = f"<b>bold</b>\n{REPORT} RMK $"
    switch_on(qtbot, form)
    write(qtbot, form, "weatherStation", "zzzz")
    press(qtbot, form, "weatherTry")
    qtbot.waitUntil(lambda: "3.0 °C" in said(form, "weatherCame"))
    assert said(form, "weatherCame").startswith(f"{REPORT} RMK $\nZZZZ, ")
    assert "bold" not in said(form, "weatherCame")
    assert service.asked == [SERVICES["api"].replace("{station}", "ZZZZ")]
    assert form.test.isEnabled()


def test_while_it_is_tried_the_form_stays_awake_and_asks_once(
    qtbot: QtBot, form: WeatherDialog, service: Service
) -> None:
    service.go.clear()
    switch_on(qtbot, form)
    write(qtbot, form, "weatherStation", "zzzz")
    press(qtbot, form, "weatherTry")
    qtbot.waitUntil(lambda: len(service.asked) == 1)
    assert said(form, "weatherCame") == "Asking aviationweather.gov …"
    assert not form.test.isEnabled()
    press(qtbot, form, "weatherTry")
    service.go.set()
    qtbot.waitUntil(lambda: "3.0 °C" in said(form, "weatherCame"))
    assert len(service.asked) == 1


def test_why_nothing_came_is_said_in_the_form(
    qtbot: QtBot, form: WeatherDialog, service: Service, context: DeskContext
) -> None:
    told: list[object] = []
    context.notice_given.connect(told.append)
    service.trouble = "the service answers with error 404"
    switch_on(qtbot, form)
    write(qtbot, form, "weatherStation", "zzzz")
    press(qtbot, form, "weatherTry")
    qtbot.waitUntil(lambda: "error 404" in said(form, "weatherTrouble"))
    assert said(form, "weatherCame") == ""
    service.trouble, service.answer = "", "<html><script>x</script></html>"
    press(qtbot, form, "weatherTry")
    qtbot.waitUntil(lambda: "a web page came instead" in said(form, "weatherTrouble"))
    assert told == []


def test_a_form_that_is_closed_meanwhile_is_not_missed(
    qtbot: QtBot, form: WeatherDialog, service: Service, context: DeskContext
) -> None:
    service.go.clear()
    switch_on(qtbot, form)
    write(qtbot, form, "weatherStation", "zzzz")
    press(qtbot, form, "weatherTry")
    qtbot.waitUntil(lambda: len(service.asked) == 1)
    with qtbot.waitSignal(form.destroyed):
        press(qtbot, form, "weatherCancel")
    service.go.set()
    qtbot.waitUntil(lambda: not context._asked)


def test_what_is_wrong_is_said_beside_its_field(
    qtbot: QtBot, form: WeatherDialog, service: Service, context: DeskContext
) -> None:
    switch_on(qtbot, form)
    press(qtbot, form, "weatherTry")
    assert "Type the code of the airfield" in said(form, "weatherStationProblem")
    write(qtbot, form, "weatherStation", "ab")
    write(qtbot, form, "weatherAddress", "http://a.example/{station}")
    press(qtbot, form, "weatherKeep")
    assert "four letters" in said(form, "weatherStationProblem")
    assert "https://" in said(form, "weatherAddressProblem")
    assert form.isVisible()
    assert service.asked == []
    assert settings.load(context.program.journal).settings.weather == WeatherByNetwork()


def test_a_service_brings_its_address_and_an_address_of_ones_own_is_another(
    qtbot: QtBot, form: WeatherDialog
) -> None:
    box = form.findChild(QComboBox, "weatherService")
    assert box is not None
    box.setFocus()
    qtbot.keyClick(box, Qt.Key.Key_Down)
    assert form.address.text() == SERVICES["files"]
    write(qtbot, form, "weatherAddress", "https://a.example/{station}")
    assert box.currentData() == ""


def test_without_a_way_into_the_network_it_is_not_offered(
    qtbot: QtBot, context: DeskContext
) -> None:
    dialog = SettingsDialog(context)
    qtbot.addWidget(dialog)
    assert dialog.findChild(QPushButton, "settingsWeather") is None


def looked(tend: TendDesk, keeper: WeatherKeeper) -> None:  # noqa: F811
    keeper.look()
    keeper.settle()
    tend.pass_time(1.0)


def test_tend_shows_what_came_and_then_since_when_nothing_does(
    tend: TendDesk,  # noqa: F811
    keeper: WeatherKeeper,
    service: Service,
) -> None:
    tend.begin()
    tend.show()
    looked(tend, keeper)
    assert tend.text("tendWeather") == ""
    assert service.asked == []
    keeper.want(WeatherByNetwork(True, "ZZZZ"))
    looked(tend, keeper)
    assert tend.text("tendWeather").startswith("Airfield ZZZZ, 14 min ago: 3 °C, wind")
    service.trouble = "no connection"
    service.passed_s += EVERY_S
    looked(tend, keeper)
    assert tend.text("tendWeather").startswith("No weather from the network since ")
    assert "no connection" in tend.text("tendWeather")
    keeper.want(WeatherByNetwork())
    looked(tend, keeper)
    assert tend.text("tendWeather") == ""
    tend.settle()
