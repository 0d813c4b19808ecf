"""A cook under way and its Tend page, for the tests of Tend."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TypeVar

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QLabel, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.entries import (
    ChannelSet,
    LeadSet,
    Payload,
    ScheduleSet,
    ScheduleStarted,
)
from smokejournal.cook.log.readings import HAND_GAP_S, Channel, Reading
from smokejournal.cook.log.schedule import ForTime, Schedule, Stage, UntilTemperature
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.theme import apply_ground, style_sheet
from smokejournal.desk.parts.ask_dialog import AskDialog
from smokejournal.desk.tend.page import TendPage
from smokejournal.services.program.live import LiveCook
from tests.support.fakes import FixedClock

W = TypeVar("W", bound=QWidget)

SCHEDULE = Schedule(
    "Shoulder",
    (
        Stage("s1", "Smoke", (UntilTemperature(74.0, prove_s=0.0),), pit_target_c=107.0),
        Stage("s2", "Hold", (ForTime(1800.0, at_least_c=74.0),)),
        Stage("s3", "Rest", (ForTime(1200.0),), ending="waits", instruction="Tent it loosely."),
    ),
)


class QuietPlayer:
    """Plays nothing and remembers what it was asked for."""

    def __init__(self, received: bool = True) -> None:
        self.received = received
        self.played: list[tuple[str, float]] = []
        self.stops = 0
        self.problem = ""

    def play(self, sound: str, loudness: float = 1.0) -> bool:
        self.played.append((sound, loudness))
        return self.received

    def stop(self) -> None:
        self.stops += 1

    def take_problem(self) -> str:
        problem, self.problem = self.problem, ""
        return problem


class TendDesk:
    """The page with a cook on it, driven as a person drives it."""

    def __init__(self, qtbot: QtBot, context: DeskContext, clock: FixedClock) -> None:
        self.qtbot = qtbot
        self.context = context
        self.clock = clock
        self.player = QuietPlayer()
        self.cook_id = context.program.new_cook("Shoulder", "Europe/Berlin", hopper_kg=9.0)
        self.live: LiveCook = context.live(self.cook_id)
        self.say(
            ChannelSet(Channel("left", "Thick end", offset_c=2.2)),
            ChannelSet(Channel("right", "Thin end")),
            ChannelSet(Channel("shed", "Shed wall", role="air", by_hand=True, gap_s=HAND_GAP_S)),
            LeadSet("left", "right"),
            ScheduleSet(SCHEDULE),
        )
        context.choose(self.cook_id)
        self.page = TendPage(context, player=self.player)
        self.page.resize(1160, 700)

    def say(self, *payloads: Payload) -> None:
        """Write entries of this moment, a millisecond apart."""
        now_s = self.clock.now_s()
        self.live.record_many(
            [(now_s + n / 1000, what) for n, what in enumerate(payloads)]
        ).result()
        self.clock.forward(1.0)

    def begin(self) -> None:
        """The fire is lit and both probes have been heard."""
        self.say(ScheduleStarted())
        self.read(left=58.8, right=60.0)

    def read(self, **values_c: float) -> None:
        """One reading of each channel named."""
        now_s = self.clock.now_s()
        self.live.record_readings([Reading(now_s, k, v) for k, v in values_c.items()]).result()

    def pass_time(self, by_s: float) -> None:
        """Let the clock run and tick once."""
        self.clock.forward(by_s)
        self.context.program.look_for_alarms(self.clock.now_s())
        self.context.ticked.emit(self.clock.now_s())

    def show(self) -> None:
        """Show the page as the active window, and wait until it has drawn what there is."""
        self.qtbot.addWidget(self.page)
        # Keys go to the active window, and becoming that takes a turn of the event loop.
        with self.qtbot.waitActive(self.page):
            self.page.show()
            self.page.activateWindow()
        self.page.setFocus()
        self.settle()

    def settle(self) -> None:
        """Wait for the score that is read in the background."""
        self.qtbot.waitUntil(lambda: self.page._score._refresher.settled)

    def widget(self, kind: type[W], name: str) -> W:
        found = self.page.findChild(kind, name)
        assert found is not None, name
        return found

    def text(self, name: str) -> str:
        """What a label shows; empty when it is not shown."""
        label = self.widget(QLabel, name)
        return label.text() if label.isVisibleTo(self.page) else ""

    def press(self, name: str) -> None:
        """Click a button that can be seen and used."""
        button = self.widget(QPushButton, name)
        assert button.isVisibleTo(self.page)
        assert button.isEnabled()
        self.qtbot.mouseClick(button, Qt.MouseButton.LeftButton)

    def answer(self, name: str) -> str:
        """Answer the question that is asked, by the button with this name; what was asked."""

        def asked() -> list[AskDialog]:
            return [d for d in self.page.findChildren(AskDialog) if d.isVisible()]

        self.qtbot.waitUntil(lambda: len(asked()) == 1)
        (dialog,) = asked()
        words = "\n".join(label.text() for label in dialog.findChildren(QLabel))
        button = dialog.findChild(QPushButton, name)
        assert button is not None
        self.qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
        self.qtbot.waitUntil(lambda: not asked())
        self.page.activateWindow()  # a window manager does that when a dialog goes
        self.qtbot.waitUntil(self.page.isActiveWindow)
        self.page.setFocus()
        return words

    def key(self, key: str | Qt.Key, modifier: Qt.KeyboardModifier | None = None) -> None:
        """Press a key where the focus is."""
        where = QApplication.focusWidget() or self.page
        if modifier is None:
            self.qtbot.keyClick(where, key)
        else:
            self.qtbot.keyClick(where, key, modifier)

    def type(self, text: str) -> None:
        """Type into what has the focus."""
        self.qtbot.keyClicks(QApplication.focusWidget(), text)

    def recorded(self, words: str) -> None:
        """Wait until the page says that this is on disk."""
        self.qtbot.waitUntil(
            lambda: "Recorded" in self.text("logStatus") and words in self.text("logStatus")
        )
        self.settle()

    def entries(self, kind: type[Payload]) -> list[Payload]:
        """Payloads of a kind that hold."""
        return [what for _, what in self.live.log().of(kind)]


@pytest.fixture
def tend(qtbot: QtBot, context: DeskContext, clock: FixedClock) -> TendDesk:
    """A planned cook on Tend."""
    return TendDesk(qtbot, context, clock)


@pytest.fixture
def look_kept(qapp: QApplication) -> Iterator[None]:
    """Whatever ground one test applies, the next finds the look that was before."""
    font, palette, style = qapp.font(), qapp.palette(), qapp.style().objectName()
    yield
    qapp.setStyleSheet("")
    qapp.setStyle(style)
    qapp.setPalette(palette)
    qapp.setFont(font)


@pytest.fixture
def dressed(qapp: QApplication, look_kept: None) -> None:
    """The program's own look for one test, which decides how high everything is."""
    ground = apply_ground(qapp, "day")
    # The window dresses its pages one by one; a page that is tested alone has no window.
    qapp.setStyleSheet(style_sheet(ground))
