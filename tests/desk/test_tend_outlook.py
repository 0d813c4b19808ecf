"""When it will be done, on Tend: the line, its age, why there is none, and the what-ifs."""

from __future__ import annotations

import threading
from collections.abc import Iterator

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt, QThreadPool
from PySide6.QtGui import QFontMetrics
from PySide6.QtWidgets import QLabel, QPushButton

from smokejournal.cook.entries import (
    ChannelSet,
    ForecastMade,
    ItemAdded,
    ScheduleSet,
    Spritz,
    Wrap,
)
from smokejournal.cook.outlook_words import why_words
from smokejournal.cook.quantities import US
from smokejournal.cook.readings import Channel
from smokejournal.cook.schedule import ForTime, Schedule, Stage
from smokejournal.cook.score import ScoreFan
from smokejournal.desk.forecasts_dialog import ForecastsDialog
from smokejournal.desk.outlook_dialog import OutlookDialog
from smokejournal.desk.tend_outlook import OutlookLine
from smokejournal.science.outlook_types import SHARES, CookSoFar, Fan, Outlook
from smokejournal.services.outlook import OutlookDesk
from smokejournal.services.outlook_asks import hotter
from tests.desk.tend_desk import TendDesk, dressed, tend  # noqa: F401 - fixtures


class FakeForecast:
    """Says two to five hours, an hour less where it is wrapped or hotter. It can be held up."""

    def __init__(self) -> None:
        self.asked: list[CookSoFar] = []
        self.go = threading.Event()
        self.go.set()
        self.trouble: Exception | None = None

    def __call__(self, cook: CookSoFar) -> Outlook:
        self.asked.append(cook)
        self.go.wait(10.0)
        if self.trouble is not None:
            raise self.trouble
        hours = np.linspace(2.0, 5.0, 101)
        if cook.legs[0].wrap or (cook.legs[0].pit_c or 0.0) > 110.0:
            hours = hours - 1.0
        reach_s = cook.now_s + 3600.0 * hours
        remaining_s = np.quantile(reach_s - cook.now_s, SHARES, method="inverted_cdf")
        ends_s = np.stack([reach_s] * len(cook.legs))
        time_s = cook.now_s + 600.0 * np.arange(37)
        course = np.array([np.linspace(61.0, 61.0 + k, 37) for k in (10, 14, 18, 22, 26)])
        fan = Fan(time_s, course)
        return Outlook("forecast", cook.now_s, remaining_s, reach_s, ends_s, fan=fan)


class Trouble(Exception):
    message = "The journal can't be written."
    cure = "Free some space."


@pytest.fixture
def fake(tend: TendDesk) -> Iterator[FakeForecast]:  # noqa: F811
    fake = FakeForecast()
    tend.context.use_outlook(OutlookDesk(tend.context.program, fake))
    tend.say(
        ChannelSet(Channel("pit", "Grate", role="pit")),
        ItemAdded("pork shoulder", "red_meat", mass_kg=3.2),
    )
    yield fake
    fake.go.set()
    QThreadPool.globalInstance().waitForDone(5000)


def burning(tend: TendDesk) -> None:  # noqa: F811
    tend.begin()
    tend.read(pit=108.0)
    tend.show()


def told(tend: TendDesk, words: str) -> None:  # noqa: F811
    tend.qtbot.waitUntil(lambda: words in tend.text("tendOutlook"))


def test_a_planned_cook_is_not_forecast(tend: TendDesk, fake: FakeForecast):  # noqa: F811
    tend.show()
    tend.pass_time(1)
    assert not tend.widget(OutlookLine, "tendOutlookLine").isVisible()
    assert fake.asked == []


def test_it_says_when_with_the_interval(tend: TendDesk, fake: FakeForecast):  # noqa: F811
    fake.go.clear()
    burning(tend)
    told(tend, "being reckoned")
    assert not tend.widget(QPushButton, "tendOutlookMore").isEnabled()
    fake.go.set()
    told(tend, "Reaches 74 °C at about")
    assert "–" in tend.text("tendOutlook")
    tend.context.set_units(US)
    assert "Reaches 165 °F at about" in tend.text("tendOutlook")


def test_once_a_minute_and_at_once_after_an_entry(tend: TendDesk, fake: FakeForecast, monkeypatch):  # noqa: F811
    monkeypatch.setattr("smokejournal.services.outlook.LARGEST_SHARE", 1.0)
    burning(tend)
    told(tend, "Reaches")
    tend.qtbot.waitUntil(lambda: bool(tend.entries(ForecastMade)))
    for _ in range(5):
        tend.pass_time(10)
    tend.settle()
    QThreadPool.globalInstance().waitForDone(5000)
    assert len(fake.asked) == 1
    tend.pass_time(15)
    tend.qtbot.waitUntil(lambda: len(fake.asked) == 2)
    told(tend, "Reaches")
    tend.say(Wrap("foil"))
    tend.qtbot.waitUntil(lambda: len(fake.asked) == 3)
    assert fake.asked[-1].wraps


def test_an_old_one_says_how_old_it_is(tend: TendDesk, fake: FakeForecast):  # noqa: F811
    burning(tend)
    told(tend, "Reaches")
    fake.go.clear()
    tend.pass_time(1260)
    assert tend.text("tendOutlook").startswith("As of 21 min ago: Reaches")
    fake.go.set()
    tend.qtbot.waitUntil(lambda: tend.text("tendOutlook").startswith("Reaches"))


def test_why_there_is_none(tend: TendDesk, fake: FakeForecast):  # noqa: F811
    burning(tend)
    told(tend, "Reaches")
    only_time = Schedule("", (Stage("s1", "Smoke", (ForTime(3600.0),), pit_target_c=107.0),))
    tend.say(ScheduleSet(only_time))
    told(tend, why_words("no_target"))
    tend.press("tendOutlookMore")
    dialog = tend.widget(OutlookDialog, "outlookDialog")
    assert dialog.findChild(QLabel, "outlookWhen").text() == why_words("no_target")
    with tend.qtbot.waitSignal(dialog.destroyed):
        tend.qtbot.keyClick(dialog, Qt.Key.Key_Escape)


def test_out_of_sight_nothing_is_reckoned(tend: TendDesk, fake: FakeForecast):  # noqa: F811
    burning(tend)
    told(tend, "Reaches")
    tend.page.hide()
    tend.pass_time(600)
    tend.say(Spritz("juice"))
    QThreadPool.globalInstance().waitForDone(5000)
    assert len(fake.asked) == 1
    tend.page.show()
    tend.qtbot.waitUntil(lambda: len(fake.asked) == 2)


def test_trouble_is_told_beside_what_is_known(tend: TendDesk, fake: FakeForecast):  # noqa: F811
    fake.trouble = Trouble()
    burning(tend)
    told(tend, "Forecast: The journal can't be written.")
    asked = len(fake.asked)
    tend.pass_time(1)
    QThreadPool.globalInstance().waitForDone(5000)
    assert len(fake.asked) == asked
    fake.trouble = None
    tend.pass_time(61)
    tend.qtbot.waitUntil(lambda: tend.text("tendOutlook").startswith("Reaches"))


def test_a_late_answer_finds_nobody(tend: TendDesk, fake: FakeForecast):  # noqa: F811
    fake.go.clear()
    burning(tend)
    tend.qtbot.waitUntil(lambda: len(fake.asked) == 1)
    line = tend.widget(OutlookLine, "tendOutlookLine")
    with tend.qtbot.waitSignal(line.destroyed):
        line.deleteLater()
    fake.go.set()
    QThreadPool.globalInstance().waitForDone(5000)
    tend.qtbot.waitUntil(lambda: bool(tend.entries(ForecastMade)))


def test_another_cook_gets_none_of_it(tend: TendDesk, fake: FakeForecast):  # noqa: F811
    fake.go.clear()
    burning(tend)
    tend.qtbot.waitUntil(lambda: len(fake.asked) == 1)
    tend.context.choose(tend.context.program.new_cook("Ribs", "UTC"))
    fake.go.set()
    QThreadPool.globalInstance().waitForDone(5000)
    tend.qtbot.waitUntil(lambda: not tend.page._outlook._asking)
    assert tend.text("tendOutlook") == ""
    tend.context.choose(tend.cook_id)
    told(tend, "Reaches")
    assert len(fake.asked) == 1


def test_what_if(tend: TendDesk, fake: FakeForecast):  # noqa: F811
    burning(tend)
    told(tend, "Reaches")
    tend.press("tendOutlookMore")
    dialog = tend.widget(OutlookDialog, "outlookDialog")

    def label(name: str) -> str:
        found = dialog.findChild(QLabel, name)
        assert found is not None, name
        return found.text()

    assert label("outlookWhen").startswith("Reaches 74 °C")
    tend.qtbot.waitUntil(lambda: "sooner" in label("outlookAsk0"))
    assert label("outlookAsk0").startswith("Wrapped in foil now: about 1 h sooner")
    assert label("outlookAsk1").startswith("Wrapped in paper now")
    tend.qtbot.waitUntil(lambda: "sooner" in label("outlookAsk2"))
    assert label("outlookAsk2").startswith("Pit at 115 °C from now on: about 1 h sooner")
    tend.qtbot.waitUntil(lambda: "reckoned" not in label("outlookAsk3"))
    assert label("outlookAsk3").startswith("Going by Thin end: about the same time")
    assert "Rests on: readings of Thick end" in label("outlookBasis0")
    with tend.qtbot.waitSignal(dialog.destroyed):
        tend.qtbot.keyClick(dialog, Qt.Key.Key_Escape)
    assert len(fake.asked) == 5


def test_what_if_put_away_while_it_is_reckoned(tend: TendDesk, fake: FakeForecast):  # noqa: F811
    burning(tend)
    told(tend, "Reaches")
    fake.go.clear()
    tend.press("tendOutlookMore")
    dialog = tend.widget(OutlookDialog, "outlookDialog")
    tend.qtbot.waitUntil(lambda: len(fake.asked) == 2)
    with tend.qtbot.waitSignal(dialog.destroyed):
        tend.qtbot.keyClick(dialog, Qt.Key.Key_Escape)
    fake.go.set()
    QThreadPool.globalInstance().waitForDone(5000)
    assert len(fake.asked) == 2
    told(tend, "Reaches")


def test_it_leads_to_what_earlier_cooks_taught(tend: TendDesk, fake: FakeForecast):  # noqa: F811
    burning(tend)
    told(tend, "Reaches")
    tend.press("tendOutlookMore")
    dialog = tend.widget(OutlookDialog, "outlookDialog")
    tend.qtbot.waitUntil(lambda: not dialog.asking)
    tend.qtbot.mouseClick(dialog.taught, Qt.MouseButton.LeftButton)
    taught = dialog.findChild(ForecastsDialog)
    assert isinstance(taught, ForecastsDialog)
    tend.qtbot.waitUntil(lambda: "Nothing is learned" in taught.learned.summary.text())
    with tend.qtbot.waitSignal(taught.destroyed):
        tend.qtbot.keyClick(taught, Qt.Key.Key_Escape)
    with tend.qtbot.waitSignal(dialog.destroyed):
        tend.qtbot.keyClick(dialog, Qt.Key.Key_Escape)


def test_wrapped_already_is_not_asked_about(tend: TendDesk, fake: FakeForecast):  # noqa: F811
    tend.say(Wrap("paper"))
    burning(tend)
    told(tend, "Reaches")
    tend.press("tendOutlookMore")
    dialog = tend.widget(OutlookDialog, "outlookDialog")
    first = dialog.findChild(QLabel, "outlookAsk0")
    assert first is not None
    assert first.text().startswith("Pit at 115 °C")
    tend.qtbot.waitUntil(lambda: not dialog.asking)
    with tend.qtbot.waitSignal(dialog.destroyed):
        tend.qtbot.keyClick(dialog, Qt.Key.Key_Escape)


def test_a_hotter_pit_is_a_figure_that_one_would_set():
    from smokejournal.cook.quantities import METRIC, temperature

    assert [hotter(c, METRIC) for c in (107.0, 110.0, 121.0)] == [115.0, 120.0, 130.0]
    assert temperature(hotter(107.2, US), US) == "245 °F"


@pytest.mark.parametrize(("width", "height"), [(1024, 600), (1280, 720)])
def test_it_fits_and_leaves_the_score_its_room(
    tend: TendDesk,  # noqa: F811
    fake: FakeForecast,
    dressed: None,  # noqa: F811
    width: int,
    height: int,
):
    # The window's own bars take about this much of it.
    tend.page.resize(width, height - 90)
    burning(tend)
    told(tend, "Reaches")
    line = tend.widget(OutlookLine, "tendOutlookLine")
    assert line.height() <= 2 * QFontMetrics(line.label.font()).height()
    assert line.mapTo(tend.page, QPoint(line.width(), 0)).x() <= tend.page.width()
    assert tend.page._score.view.height() >= 200


def test_the_fan_stands_on_the_score_until_it_is_old(tend: TendDesk, fake: FakeForecast):  # noqa: F811
    burning(tend)
    told(tend, "Reaches")
    tend.pass_time(1)

    def fans() -> tuple[ScoreFan, ...]:
        score = tend.page._score.view.score
        return () if score is None else score.fans

    tend.qtbot.waitUntil(lambda: len(fans()) == 1)
    assert fans()[0].key == "left"
    assert fans()[0].label.startswith("74 °C about ")
    tend.page.grab()
    fake.go.clear()
    tend.pass_time(1800)
    tend.qtbot.waitUntil(lambda: not fans())
