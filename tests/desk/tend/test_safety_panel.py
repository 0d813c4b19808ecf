"""Food safety on Tend, driven as a person drives it."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QCheckBox, QLabel, QLineEdit, QRadioButton
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.entries import (
    ChannelSet,
    FoodClass,
    ItemAdded,
    Refrigerator,
    SafetySet,
    ScheduleStarted,
)
from smokejournal.cook.log.readings import Channel, Reading
from smokejournal.cook.safety.tables import OFFERED
from smokejournal.cook.text.quantities import US
from smokejournal.desk.base.context import DeskContext
from smokejournal.science.numbers.units import c_from_f
from tests.support.fakes import FixedClock
from tests.support.tend_desk import TendDesk, tend

__all__ = ["tend"]

HOLD_S = 720


class SafetyDesk(TendDesk):
    """A cook with one kind of food and readings at 60 °C for `held_s`."""

    def cook(self, food: FoodClass, held_s: int = HOLD_S) -> None:
        self.say(ItemAdded("roast", food))
        self.say(
            ChannelSet(Channel("left", "Thick end", uncertainty_c=0.0)),
            ChannelSet(Channel("right", "Thin end", uncertainty_c=0.0)),
            ScheduleStarted(),
        )
        begun_s = self.clock.now_s()
        readings = [
            Reading(begun_s + at_s, key, 60.0)
            for at_s in range(0, held_s + 1, 60)
            for key in ("left", "right")
        ]
        self.live.record_readings(readings).result()
        self.clock.forward(float(held_s))

    def open(self) -> None:
        self.show()
        self.key("T")
        self.qtbot.waitUntil(lambda: self.page._side.safety.isVisible())
        self.looked()

    def looked(self) -> None:
        """Wait until the log was read."""
        panel = self.page._side.safety
        self.qtbot.waitUntil(lambda: panel._refresher.settled and panel._safety is not None)

    def line(self, food: str, key: str, part: str = "Text") -> str:
        return self.text(f"safetyLine_{food}_{key}{part}")

    def pick(self, table: str) -> None:
        button = self.widget(QRadioButton, f"safetyTable_{table}")
        self.qtbot.mouseClick(button, Qt.MouseButton.LeftButton, pos=button.rect().center() / 4)
        assert button.isChecked()

    def put(self, name: str, text: str) -> None:
        edit = self.widget(QLineEdit, name)
        edit.setFocus()
        edit.selectAll()
        self.qtbot.keyClicks(edit, text)

    def said(self) -> SafetySet:
        (*_, last) = self.entries(SafetySet)
        assert isinstance(last, SafetySet)
        return last


@pytest.fixture
def desk(qtbot: QtBot, context: DeskContext, clock: FixedClock) -> SafetyDesk:
    return SafetyDesk(qtbot, context, clock)


class TestOpenAndFolded:
    def test_folded_it_is_one_line_without_a_figure(self, desk: SafetyDesk) -> None:
        desk.cook("red_meat")
        desk.show()
        desk.looked()
        desk.qtbot.waitUntil(lambda: desk.text("safetyHeadline") != "")
        assert desk.text("safetyHeadline") == "2 not known, 1 not yet, 1 met"
        assert not desk.page._side.safety.isVisible()
        assert desk.page._side.log.isVisible()

    def test_open_every_line_is_there_and_the_caveat_beside_the_figure(
        self, desk: SafetyDesk
    ) -> None:
        desk.cook("red_meat")
        desk.open()
        assert "6.5 log10 reductions of the meat table" in desk.line("red_meat", "lethality")
        assert "the kill on the surface is not validated" in desk.line(
            "red_meat", "lethality", "Caveat"
        )
        assert desk.line("red_meat", "lethality", "State") == "reached"
        assert "USDA FSIS" in desk.line("red_meat", "lethality", "Source")
        for key in ("come_up", "zone", "minimum", "cooling"):
            assert desk.line("red_meat", key)
        assert "62.8 °C not reached yet" in desk.line("red_meat", "minimum")

    @pytest.mark.parametrize("how", ["key", "button", "escape"])
    def test_it_folds_again(self, desk: SafetyDesk, how: str) -> None:
        desk.cook("red_meat")
        desk.open()
        if how == "key":
            desk.key("T")
        elif how == "button":
            desk.press("safetyOpen")
        else:
            desk.key(Qt.Key.Key_Escape)
        assert not desk.page._side.safety.isVisible()
        assert desk.page._side.log.isVisible()

    def test_units(self, desk: SafetyDesk) -> None:
        desk.cook("red_meat")
        desk.open()
        desk.context.set_units(US)
        assert "145 °F not reached yet: 140 °F at most" in desk.line("red_meat", "minimum")

    def test_it_keeps_up_with_the_readings(self, desk: SafetyDesk) -> None:
        desk.cook("red_meat", 600)
        desk.open()
        assert desk.line("red_meat", "lethality").startswith(
            "Full count not reached yet: 5.4 of 6.5 log10"
        )
        for _ in range(2):
            desk.clock.forward(60.0)
            desk.read(left=60.0, right=60.0)
        for _ in range(3):
            desk.context.ticked.emit(desk.clock.now_s())
        desk.qtbot.waitUntil(lambda: "Full count reached" in desk.line("red_meat", "lethality"))

    def test_nothing_is_claimed_before_the_fire_or_without_a_cook(self, desk: SafetyDesk) -> None:
        desk.say(ItemAdded("roast", "red_meat"))
        desk.open()
        assert desk.line("red_meat", "lethality") == "The cook has not begun."
        assert desk.line("red_meat", "lethality", "Caveat") == ""
        desk.context.choose(None)
        assert desk.page._side.bar.findChild(QLabel, "safetyHeadline").text() == ""

    def test_simulated_readings_are_named(self, desk: SafetyDesk) -> None:
        desk.cook("red_meat")
        desk.say(ChannelSet(Channel("left", "Thick end", simulated=True)))
        desk.open()
        assert "SIMULATED" in desk.text("safetySimulated")


class TestChoosing:
    @pytest.mark.parametrize("food", ["red_meat", "poultry", "fish", "ground", "ham", "other"])
    def test_only_what_is_for_this_food_can_be_chosen(
        self, desk: SafetyDesk, food: FoodClass
    ) -> None:
        desk.cook(food)
        desk.open()
        desk.press(f"safetyChoose_{food}")
        form = desk.page._side.forms.form("safety")
        offered = {
            button.objectName().removeprefix("safetyTable_")
            for button in form.findChildren(QRadioButton)
        }
        assert offered == set(OFFERED[food])

    def test_a_bird_its_fat_and_its_probe(self, desk: SafetyDesk) -> None:
        desk.cook("poultry")
        desk.open()
        assert "column of 12 %" in desk.line("poultry", "lethality", "Detail")
        desk.press("safetyChoose_poultry")
        desk.pick("turkey")
        desk.put("safetyFat", "3,5")
        desk.qtbot.mouseClick(
            desk.widget(QCheckBox, "safetyProbe_right"), Qt.MouseButton.LeftButton
        )
        desk.put("safetyUncertainty", "0.4")
        desk.press("safetyFormRecord")
        desk.recorded("Compared with: turkey table")
        assert desk.said() == SafetySet("poultry", "turkey", 3.5, ("left",), 0.4)
        desk.qtbot.waitUntil(
            lambda: "column of 4 % of fat" in desk.line("poultry", "lethality", "Detail")
        )
        assert "0.4 °C taken off for the probe" in desk.line("poultry", "lethality", "Detail")
        assert "log10 reductions of the turkey table; probe: Thick end" in desk.line(
            "poultry", "lethality"
        )
        # What was chosen stands in the form the next time.
        desk.press("safetyChoose_poultry")
        assert desk.widget(QRadioButton, "safetyTable_turkey").isChecked()
        assert desk.widget(QLineEdit, "safetyFat").text() == "3.5"
        assert not desk.widget(QCheckBox, "safetyProbe_right").isChecked()

    def test_ground_meat_has_to_be_chosen(self, desk: SafetyDesk) -> None:
        desk.cook("ground")
        desk.open()
        assert "Choose the table" in desk.line("ground", "lethality")
        desk.press("safetyChoose_ground")
        assert "any poultry in it counts as poultry" in desk.text("safetyTableWhy")
        desk.pick("meat_7")
        assert desk.text("safetyTableWhy") == ""
        desk.press("safetyFormRecord")
        desk.recorded("meat table, 7 log10")
        desk.qtbot.waitUntil(
            lambda: "log10 reductions of the meat" in desk.line("ground", "lethality")
        )

    @pytest.mark.parametrize(
        ("field", "text", "says"),
        [
            ("safetyD", "", "This can't be empty."),
            ("safetyD", "0", "Type a number from 0.000166667 to 16666.7."),
            ("safetyD", "soon", "Type a number, for example 2.5."),
            ("safetyZ", "", "This can't be empty."),
            ("safetyZ", "0.2", "Type a difference from 1 °C to 100 °C, for example 2.2."),
            ("safetyReference", "900", "Type a temperature from 0 °C to 150 °C"),
            ("safetyFrom", "-5", "Type a temperature from 0 °C to 150 °C"),
            ("safetyTo", "50", "Type a temperature above the one it holds from."),
            ("safetyTarget", "1e9", "Type a number, for example 2.5."),
            ("safetyTarget", "99", "Type a number from 0.1 to 20."),
            ("safetyUncertainty", "-1", "Type a difference from 0 °C to 20 °C, for example 2.2."),
        ],
    )
    def test_wrong_input_is_told_beside_its_field_and_loses_nothing(
        self, desk: SafetyDesk, field: str, text: str, says: str
    ) -> None:
        desk.cook("other")
        desk.open()
        desk.press("safetyChoose_other")
        desk.pick("own")
        typed = {
            "safetyD": "0.172", "safetyReference": "65.6", "safetyZ": "5.56", "safetyFrom": "54.4",
            "safetyTo": "70", "safetyTarget": "6.5", "safetyUncertainty": "0.5", field: text,
        }  # fmt: skip
        for name, value in typed.items():
            desk.widget(QLineEdit, name).clear()
            desk.put(name, value)
        desk.press("safetyFormRecord")
        assert says in desk.text(f"{field}Problem")
        assert not desk.entries(SafetySet)
        for name, value in typed.items():
            assert desk.widget(QLineEdit, name).text() == value

    def test_d_and_z_of_ones_own(self, desk: SafetyDesk) -> None:
        desk.cook("other")
        desk.context.set_units(US)
        desk.open()
        desk.press("safetyChoose_other")
        desk.pick("own")
        for name, value in (
            ("safetyD", "0.172"), ("safetyReference", "150"), ("safetyZ", "10"),
            ("safetyFrom", "130"), ("safetyTo", "158"), ("safetyTarget", "6.5"),
        ):  # fmt: skip
            desk.put(name, value)
        desk.press("safetyFormRecord")
        desk.recorded("D and z of your own")
        said = desk.said()
        assert said.d_s == pytest.approx(10.32)
        assert said.reference_c == pytest.approx(c_from_f(150.0))
        assert said.z_k == pytest.approx(10 / 1.8)
        assert said.from_c == pytest.approx(c_from_f(130.0))
        desk.qtbot.waitUntil(lambda: "your own D and z" in desk.line("other", "lethality"))
        # 12 min at 140 °F by D 1.72 min.
        desk.qtbot.waitUntil(lambda: desk.line("other", "lethality", "State") == "reached")

    def test_a_beginning_put_right_takes_the_complaint_away(self, desk: SafetyDesk) -> None:
        desk.cook("fish")
        desk.open()
        desk.press("safetyChoose_fish")
        desk.pick("own")
        for name, value in (
            ("safetyD", "0.3"), ("safetyReference", "70"), ("safetyZ", "7.5"),
            ("safetyFrom", "90"), ("safetyTarget", "6"),
        ):  # fmt: skip
            desk.put(name, value)
        desk.press("safetyFormRecord")
        assert "above the one it holds from" in desk.text("safetyToProblem")
        desk.put("safetyFrom", "63")
        desk.press("safetyFormRecord")
        desk.recorded("D and z of your own")
        assert desk.said().to_c == 85.0

    def test_several_kinds_of_food(self, desk: SafetyDesk) -> None:
        desk.say(ItemAdded("thighs", "poultry"))
        desk.cook("red_meat")
        desk.open()
        for food in ("red_meat", "poultry"):
            assert "which probes are in this one isn't known" in desk.line(food, "lethality")
            assert "which probes are in this one isn't known" in desk.line(food, "come_up")
        desk.press("safetyChoose_poultry")
        box = desk.widget(QCheckBox, "safetyProbe_right")
        assert not box.isChecked()
        desk.qtbot.mouseClick(box, Qt.MouseButton.LeftButton)
        desk.press("safetyFormRecord")
        desk.recorded("Thin end")
        desk.qtbot.waitUntil(lambda: "probe: Thin end" in desk.line("poultry", "lethality"))
        assert "isn't known" in desk.line("red_meat", "lethality")

    def test_undo_takes_the_choice_back(self, desk: SafetyDesk) -> None:
        desk.cook("red_meat")
        desk.open()
        desk.press("safetyChoose_red_meat")
        desk.pick("meat_7")
        desk.press("safetyFormRecord")
        desk.recorded("7 log10")
        desk.qtbot.waitUntil(lambda: ": 7 log10" in desk.line("red_meat", "lethality"))
        desk.page.setFocus()
        desk.key("Z", Qt.KeyboardModifier.ControlModifier)
        desk.qtbot.waitUntil(lambda: ": 6.5 log10" in desk.line("red_meat", "lethality"))


class TestRefrigerator:
    def test_taken_out_before(self, desk: SafetyDesk) -> None:
        desk.cook("red_meat")
        desk.open()
        assert "When it came out of the refrigerator isn't known" in desk.line("red_meat", "zone")
        desk.press("safetyRefrigerator")
        out = desk.widget(QRadioButton, "refrigeratorWay_out")
        desk.qtbot.mouseClick(out, Qt.MouseButton.LeftButton, pos=out.rect().center() / 4)
        desk.put("refrigeratorFormWhen", "-30")
        desk.press("refrigeratorFormRecord")
        desk.recorded("Taken out of the refrigerator")
        assert desk.entries(Refrigerator) == [Refrigerator(out=True)]
        desk.qtbot.waitUntil(
            lambda: (
                "18 min out of the refrigerator before the fire" in desk.line("red_meat", "zone")
            )
        )

    def test_a_piece_that_is_not_there_is_refused(self, desk: SafetyDesk) -> None:
        desk.cook("red_meat")
        desk.open()
        desk.press("safetyRefrigerator")
        desk.put("refrigeratorItem", "goose")
        desk.press("refrigeratorFormRecord")
        assert "Type a piece that is on Plan" in desk.text("refrigeratorItemProblem")
        assert desk.widget(QLineEdit, "refrigeratorItem").text() == "goose"
        assert not desk.entries(Refrigerator)
        desk.put("refrigeratorItem", "Roast")
        desk.press("refrigeratorFormRecord")
        desk.recorded("roast")
        assert desk.entries(Refrigerator) == [Refrigerator(out=False, item="roast")]

    def test_escape_goes_back_to_the_lines(self, desk: SafetyDesk) -> None:
        desk.cook("red_meat")
        desk.open()
        desk.press("safetyRefrigerator")
        desk.key(Qt.Key.Key_Escape)
        assert desk.page._side.safety.isVisible()
