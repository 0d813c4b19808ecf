"""When it will be done, on Tend: the line, its age, why there is none, and the what-ifs."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QRegularExpression, Qt, QThreadPool
from PySide6.QtGui import QFontMetrics
from PySide6.QtWidgets import QLabel, QPushButton

from smokejournal.cook.forecast.words import why_words
from smokejournal.cook.log.entries import (
    ChannelSet,
    CookRenamed,
    ForecastMade,
    ItemAdded,
    ScheduleSet,
    Spritz,
    Wrap,
)
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.log.schedule import ForTime, Schedule, Stage
from smokejournal.cook.score.score import ScoreFan
from smokejournal.cook.text.quantities import METRIC, US, clock_time
from smokejournal.desk.forecast.dialog import ForecastDialog
from smokejournal.desk.forecast.history_dialog import HistoryDialog
from smokejournal.desk.forecast.line import ForecastLine
from smokejournal.science.forecast.values import (
    SHARES,
    CookSoFar,
    Fan,
    FloatArray,
    Forecast,
    Standing,
)
from smokejournal.services.forecast.finish import FinishForecasts
from smokejournal.services.forecast.what_ifs import hotter
from tests.support.tend_desk import TendDesk, dressed, look_kept, tend  # noqa: F401 - fixtures


class FakeForecast:
    """Says two to five hours, an hour less where it is wrapped or hotter. It can be held up."""

    def __init__(self) -> None:
        self.asked: list[CookSoFar] = []
        self.go = threading.Event()
        self.go.set()
        self.trouble: Exception | None = None
        #: When it notices a wrap that nobody told of.
        self.untold_s: float | None = None
        self.standing: Standing = "forecast"

    def __call__(self, cook: CookSoFar) -> Forecast:
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
        found = Forecast(self.standing, cook.now_s, remaining_s, reach_s, ends_s, fan=fan)
        told = [wrap.time_s for wrap in cook.wraps]
        if self.untold_s is None or (told and self.untold_s <= told[-1]):
            return found
        return replace(found, noticed=("wrap_untold",), untold_wrap_s=self.untold_s)

    def crossings(self, cook: CookSoFar, offsets_k: FloatArray) -> FloatArray:
        """Members that rise at 3 to 6 K/h."""
        return cook.now_s + 9000.0 + 3600.0 * offsets_k[:, None] / np.linspace(3.0, 6.0, 11)


class Trouble(Exception):
    message = "The journal can't be written."
    cure = "Free some space."


@pytest.fixture
def fake(tend: TendDesk) -> Iterator[FakeForecast]:  # noqa: F811
    fake = FakeForecast()
    tend.context.forecasts.finish = FinishForecasts(
        tend.context.program, fake, crossings=fake.crossings
    )
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
    tend.qtbot.waitUntil(lambda: words in tend.text("tendForecast"))


def test_a_planned_cook_is_not_forecast(tend: TendDesk, fake: FakeForecast):  # noqa: F811
    tend.show()
    tend.pass_time(1)
    assert not tend.widget(ForecastLine, "tendForecastLine").isVisible()
    assert fake.asked == []


def test_it_says_when_with_the_interval(tend: TendDesk, fake: FakeForecast):  # noqa: F811
    fake.go.clear()
    burning(tend)
    told(tend, "being computed")
    assert not tend.widget(QPushButton, "tendForecastMore").isEnabled()
    fake.go.set()
    told(tend, "Reaches 74 °C at about")
    assert "–" in tend.text("tendForecast")
    tend.context.set_units(US)
    assert "Reaches 165 °F at about" in tend.text("tendForecast")


def test_once_a_minute_and_at_once_after_an_entry(tend: TendDesk, fake: FakeForecast, monkeypatch):  # noqa: F811
    monkeypatch.setattr("smokejournal.services.forecast.finish.LARGEST_SHARE", 1.0)
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
    assert tend.text("tendForecast").startswith("As of 21 min ago: Reaches")
    fake.go.set()
    tend.qtbot.waitUntil(lambda: tend.text("tendForecast").startswith("Reaches"))


def test_why_there_is_none(tend: TendDesk, fake: FakeForecast):  # noqa: F811
    burning(tend)
    told(tend, "Reaches")
    only_time = Schedule("", (Stage("s1", "Smoke", (ForTime(3600.0),), pit_target_c=107.0),))
    tend.say(ScheduleSet(only_time))
    told(tend, why_words("no_target"))
    tend.press("tendForecastMore")
    dialog = tend.widget(ForecastDialog, "forecastDialog")
    assert dialog.findChild(QLabel, "forecastWhen").text() == why_words("no_target")
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
    tend.qtbot.waitUntil(lambda: tend.text("tendForecast").startswith("Reaches"))


def test_a_late_answer_finds_nobody(tend: TendDesk, fake: FakeForecast):  # noqa: F811
    fake.go.clear()
    burning(tend)
    tend.qtbot.waitUntil(lambda: len(fake.asked) == 1)
    line = tend.widget(ForecastLine, "tendForecastLine")
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
    tend.qtbot.waitUntil(lambda: tend.page._forecast._refresher.settled)
    assert tend.text("tendForecast") == ""
    tend.context.choose(tend.cook_id)
    told(tend, "Reaches")
    assert len(fake.asked) == 1


def test_what_if(tend: TendDesk, fake: FakeForecast):  # noqa: F811
    burning(tend)
    told(tend, "Reaches")
    tend.press("tendForecastMore")
    dialog = tend.widget(ForecastDialog, "forecastDialog")

    def label(name: str) -> str:
        found = dialog.findChild(QLabel, name)
        assert found is not None, name
        return found.text()

    assert label("forecastWhen").startswith("Ready about ")
    tend.qtbot.waitUntil(lambda: "sooner" in label("forecastAsk0"))
    assert label("forecastAsk0").startswith("Wrapped in foil now: about 1 h sooner")
    assert label("forecastAsk1").startswith("Wrapped in paper now")
    tend.qtbot.waitUntil(lambda: "sooner" in label("forecastAsk2"))
    assert label("forecastAsk2").startswith("Pit at 115 °C from now on: about 1 h sooner")
    tend.qtbot.waitUntil(lambda: "computed" not in label("forecastAsk3"))
    # 58.8 °C corrected by 2.2 against 60.0: 1 K at 3 to 6 K/h.
    assert label("forecastAsk3") == (
        "Thick end reads 1.0 °C above Thin end. If Thin end is right, it is done about 13 min later (1 min – 28 min). Neither is calibrated, so ± 1.0 °C is assumed for each. Calibrate them on Bench."
    )
    assert "Based on: readings of Thick end" in label("forecastBasis0")
    with tend.qtbot.waitSignal(dialog.destroyed):
        tend.qtbot.keyClick(dialog, Qt.Key.Key_Escape)
    # The difference of two probes takes no second forecast.
    assert len(fake.asked) == 4


def test_probes_too_far_apart_for_one_spot(tend: TendDesk, fake: FakeForecast):  # noqa: F811
    tend.begin()
    tend.clock.forward(1200.0)
    tend.read(left=62.8, right=59.0, pit=108.0)
    tend.show()
    told(tend, "Reaches")
    tend.press("tendForecastMore")
    dialog = tend.widget(ForecastDialog, "forecastDialog")
    label = dialog.findChild(QLabel, "forecastAsk3")
    assert label is not None
    tend.qtbot.waitUntil(lambda: "computed" not in label.text())
    assert label.text().startswith("Thick end reads ")
    assert "both may be right. Going by Thin end: about the same time" in label.text()
    with tend.qtbot.waitSignal(dialog.destroyed):
        tend.qtbot.keyClick(dialog, Qt.Key.Key_Escape)


def test_there_by_the_lead_but_not_by_the_check_probe(tend: TendDesk, fake: FakeForecast):  # noqa: F811
    fake.standing = "reached"
    burning(tend)
    told(tend, "The probe is at 74 °C.")
    tend.press("tendForecastMore")
    dialog = tend.widget(ForecastDialog, "forecastDialog")
    label = dialog.findChild(QLabel, "forecastAsk0")
    assert label is not None
    tend.qtbot.waitUntil(lambda: "If Thin end is right, it is done about" in label.text())
    assert dialog.findChild(QLabel, "forecastAsk1") is None
    with tend.qtbot.waitSignal(dialog.destroyed):
        tend.qtbot.keyClick(dialog, Qt.Key.Key_Escape)


def test_what_if_put_away_while_it_is_computed(tend: TendDesk, fake: FakeForecast):  # noqa: F811
    burning(tend)
    told(tend, "Reaches")
    fake.go.clear()
    tend.press("tendForecastMore")
    dialog = tend.widget(ForecastDialog, "forecastDialog")
    tend.qtbot.waitUntil(lambda: len(fake.asked) == 2)
    with tend.qtbot.waitSignal(dialog.destroyed):
        tend.qtbot.keyClick(dialog, Qt.Key.Key_Escape)
    fake.go.set()
    QThreadPool.globalInstance().waitForDone(5000)
    assert len(fake.asked) == 2
    told(tend, "Reaches")


def test_against_the_wanted_time(tend: TendDesk, fake: FakeForecast):  # noqa: F811
    burning(tend)
    told(tend, "Reaches")
    assert "Wanted" not in tend.text("tendForecast")
    # The fake says two to five hours, all stages included.
    tend.say(CookRenamed("Shoulder", ready_at_s=tend.clock.now_s() + 3 * 3600.0))
    told(tend, "likely late (chance about 7 in 10).")
    assert tend.text("tendReady").startswith("Ready about ")
    assert tend.text("tendForecast").startswith("Wanted at ")
    assert "Reaches 74 °C at about" in tend.text("tendForecast")
    tend.press("tendForecastMore")
    dialog = tend.widget(ForecastDialog, "forecastDialog")

    def texts() -> str:
        return " ".join(label.text() for label in dialog.findChildren(QLabel))

    assert "To be done sooner, wrap it now or set the pit hotter" in texts()
    tend.qtbot.waitUntil(lambda: "Late then: about 3 in 10." in texts())
    tend.qtbot.waitUntil(lambda: "computed" not in texts())
    with tend.qtbot.waitSignal(dialog.destroyed):
        tend.qtbot.keyClick(dialog, Qt.Key.Key_Escape)
    tend.say(CookRenamed("Shoulder", ready_at_s=tend.clock.now_s() + 9 * 3600.0))
    told(tend, "likely early, by about 5 h 30 min")
    tend.press("tendForecastMore")
    dialog = tend.widget(ForecastDialog, "forecastDialog")
    assert "60.0 °C (140 °F) or above" in texts()
    tend.qtbot.waitUntil(lambda: "computed" not in texts())
    with tend.qtbot.waitSignal(dialog.destroyed):
        tend.qtbot.keyClick(dialog, Qt.Key.Key_Escape)


def test_it_leads_to_what_earlier_cooks_taught(tend: TendDesk, fake: FakeForecast):  # noqa: F811
    burning(tend)
    told(tend, "Reaches")
    tend.press("tendForecastMore")
    dialog = tend.widget(ForecastDialog, "forecastDialog")
    tend.qtbot.waitUntil(lambda: not dialog.asking)
    tend.qtbot.mouseClick(dialog.taught, Qt.MouseButton.LeftButton)
    taught = dialog.findChild(HistoryDialog)
    assert isinstance(taught, HistoryDialog)
    tend.qtbot.waitUntil(lambda: "Nothing learned" in taught.learned.summary.text())
    with tend.qtbot.waitSignal(taught.destroyed):
        tend.qtbot.keyClick(taught, Qt.Key.Key_Escape)
    with tend.qtbot.waitSignal(dialog.destroyed):
        tend.qtbot.keyClick(dialog, Qt.Key.Key_Escape)


def test_wrapped_already_is_not_asked_about(tend: TendDesk, fake: FakeForecast):  # noqa: F811
    tend.say(Wrap("paper"))
    burning(tend)
    told(tend, "Reaches")
    tend.press("tendForecastMore")
    dialog = tend.widget(ForecastDialog, "forecastDialog")
    first = dialog.findChild(QLabel, "forecastAsk0")
    assert first is not None
    assert first.text().startswith("Pit at 115 °C")
    tend.qtbot.waitUntil(lambda: not dialog.asking)
    with tend.qtbot.waitSignal(dialog.destroyed):
        tend.qtbot.keyClick(dialog, Qt.Key.Key_Escape)


def wrapped_untold(tend: TendDesk, fake: FakeForecast) -> float:  # noqa: F811
    """A forecast that noticed a wrap half an hour ago; the question is in sight."""
    tend.begin()
    tend.read(pit=108.0)
    tend.clock.forward(3600.0)
    fake.untold_s = tend.clock.now_s() - 1800.0
    tend.read(left=62.0, right=63.0, pit=108.0)
    tend.show()
    tend.qtbot.waitUntil(lambda: bool(tend.text("wrapQuestionText")))
    return fake.untold_s


@pytest.mark.parametrize("material", ["foil", "paper", "none"])
def test_did_you_wrap(tend: TendDesk, fake: FakeForecast, material: str):  # noqa: F811
    at_s = wrapped_untold(tend, fake)
    clock = clock_time(at_s, tend.live.zone, METRIC)
    assert tend.text("wrapQuestionText") == f"Did you wrap it at about {clock}?"
    # It is asked once, not said in the line as well.
    assert "wrap" not in tend.text("tendForecast")
    answers = {"foil": "Yes, in foil", "paper": "Yes, in paper", "none": "No"}
    assert tend.widget(QPushButton, f"wrapAnswer_{material}").text() == answers[material]
    tend.press(f"wrapAnswer_{material}")
    tend.recorded("Not wrapped" if material == "none" else f"Wrapped in {material}")
    assert tend.entries(Wrap) == [Wrap(material)]
    entry = next(e for e in tend.live.log().entries if isinstance(e.what, Wrap))
    assert entry.at_s == pytest.approx(at_s, abs=0.01)
    tend.qtbot.waitUntil(lambda: not tend.text("wrapQuestionText"))
    tend.pass_time(61)
    tend.qtbot.waitUntil(lambda: bool(fake.asked[-1].wraps))
    assert fake.asked[-1].wraps[0].material == (None if material == "none" else material)


def test_an_answer_taken_back_is_asked_again(tend: TendDesk, fake: FakeForecast):  # noqa: F811
    wrapped_untold(tend, fake)
    tend.press("wrapAnswer_none")
    tend.recorded("Not wrapped")
    tend.qtbot.waitUntil(lambda: not tend.text("wrapQuestionText"))
    tend.page._writer.undo()
    tend.qtbot.waitUntil(lambda: bool(tend.text("wrapQuestionText")))
    assert tend.entries(Wrap) == []


def test_a_wrap_written_by_hand_answers_it(tend: TendDesk, fake: FakeForecast):  # noqa: F811
    wrapped_untold(tend, fake)
    tend.say(Wrap("pan"))
    tend.qtbot.waitUntil(lambda: not tend.text("wrapQuestionText"))


def test_no_question_without_a_wrap(tend: TendDesk, fake: FakeForecast):  # noqa: F811
    burning(tend)
    told(tend, "Reaches")
    assert tend.text("wrapQuestionText") == ""


def test_did_you_wrap_in_the_dialog(tend: TendDesk, fake: FakeForecast):  # noqa: F811
    wrapped_untold(tend, fake)
    tend.press("tendForecastMore")
    dialog = tend.widget(ForecastDialog, "forecastDialog")
    tend.qtbot.waitUntil(lambda: not dialog.asking)
    # What a wrap now would do isn't told while it may be wrapped already.
    first = dialog.findChild(QLabel, "forecastAsk0")
    assert first is not None
    assert first.text().startswith("Pit at")
    # Enter answers nothing by accident: it would close the dialog.
    assert not any(
        answer.hasFocus()
        for answer in dialog.findChildren(QPushButton, QRegularExpression("^wrapAnswer"))
    )
    button = dialog.findChild(QPushButton, "wrapAnswer_paper")
    assert button is not None
    with tend.qtbot.waitSignal(dialog.destroyed):
        tend.qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    tend.recorded("Wrapped in paper")
    assert tend.entries(Wrap) == [Wrap("paper")]


def test_a_hotter_pit_is_a_figure_that_one_would_set():
    from smokejournal.cook.text.quantities import temperature

    assert [hotter(c, METRIC) for c in (107.0, 110.0, 121.0)] == [115.0, 120.0, 130.0]
    assert temperature(hotter(107.2, US), US) == "245 °F"


@pytest.mark.parametrize("asked", [False, True])
@pytest.mark.parametrize(("width", "height"), [(1024, 600), (1280, 720), (900, 665)])
def test_it_fits_and_leaves_the_score_its_room(
    tend: TendDesk,  # noqa: F811
    fake: FakeForecast,
    dressed: None,  # noqa: F811
    width: int,
    height: int,
    asked: bool,
):
    # The window's own bars take about this much of it; 900 pixels are left of 1024 beside the spine.
    tend.page.resize(width, height - 90)
    if asked:
        wrapped_untold(tend, fake)
    else:
        burning(tend)
    tend.qtbot.waitUntil(lambda: "Ready about" in tend.text("tendReady"))
    line = tend.widget(ForecastLine, "tendForecastLine")
    font = QFontMetrics(line.headline.font())
    assert line.height() <= (4 if asked and width < 1024 else 2) * font.height()
    # The time is told with its interval, whatever else is cut.
    tend.qtbot.waitUntil(
        lambda: line.headline.width() >= font.horizontalAdvance(line.headline.text())
    )
    assert line.question.isVisible() == asked
    assert line.mapTo(tend.page, QPoint(line.width(), 0)).x() <= tend.page.width()
    view = tend.page._score.view
    assert view.height() >= (156 if height < 700 else 200)
    picture = view.canvas.picture
    assert picture is not None
    assert picture.frame.traces.height() >= 0.3 * view.height()


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
