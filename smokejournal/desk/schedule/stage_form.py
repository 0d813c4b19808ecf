"""One stage of a schedule, to fill in, with what speaks against it above."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Literal, cast

from PySide6.QtCore import QSignalBlocker, Qt, Signal, Slot
from PySide6.QtWidgets import (
    QLabel,
    QPlainTextEdit,
    QVBoxLayout,
    QWidget,
)

from smokejournal.cook.log.schedule import Purpose, Rule, Stage, UntilSaid
from smokejournal.cook.log.stage_meaning import purpose_of
from smokejournal.cook.plan.schedule_check import Warning_
from smokejournal.cook.plan.schedule_words import PURPOSES, purpose_words
from smokejournal.cook.text.quantities import METRIC, Units
from smokejournal.desk.base.clearing import throw_away
from smokejournal.desk.base.widgets import FILL, new_button, new_column, new_label, new_row, say
from smokejournal.desk.parts.choice_box import ChoiceBox
from smokejournal.desk.parts.fields import DurationField, QuantityField, TemperatureField, TextField
from smokejournal.desk.parts.rows import LABEL_WIDTH, add_row, new_grid
from smokejournal.desk.schedule.rule_form import ChannelName, RuleForm

MOST_RULES = 6


class WarningLabel(QLabel):
    """One thing that speaks against the schedule, in words, marked by its weight."""

    def __init__(
        self, warning: Warning_, parent: QWidget | None = None, stage_name: str = ""
    ) -> None:
        super().__init__(parent)
        lead = (
            self.tr("Needs a probe: {text}")
            if warning.wants_probe
            else {
                "broken": self.tr("Can't work: {text}"),
                "doubt": self.tr("Check this: {text}"),
                "caution": self.tr("Caution: {text}"),
            }[warning.weight]
        )
        text = lead.format(text=warning.text).replace(" °", "\u00a0°")
        if stage_name:
            text = self.tr("“{stage}”. {warning}").format(stage=stage_name, warning=text)
        self.setText(text)
        self.setWordWrap(True)
        self.setProperty("kind", "problem" if warning.weight == "broken" else "caution")


class StageForm(QWidget):
    """Shows a stage and tells of changes: `edited(stage, field)` once all of it can be read.

    While a field can't be read nothing is told, and what is typed stays.
    """

    edited = Signal(object, str)
    trouble_changed = Signal()
    probe_asked = Signal()

    def __init__(
        self,
        stage: Stage,
        parent: QWidget | None = None,
        *,
        units: Units = METRIC,
        zone: str = "UTC",
        now_s: float = 0.0,
    ) -> None:
        super().__init__(parent)
        self.setObjectName("stageForm")
        self._stage = stage
        self._units = units
        self._zone = zone
        self._now_s = now_s
        self._channels: Sequence[ChannelName] = ()
        self._locked = False
        self._rules: list[RuleForm] = []
        self._warnings: tuple[Warning_, ...] = ()
        self._warning_box = QVBoxLayout()
        self._build(units)
        self.show_stage(stage)

    # -- for the editor ---------------------------------------------------------------------

    @property
    def key(self) -> str:
        """The key of the stage shown."""
        return self._stage.key

    def show_stage(self, stage: Stage) -> None:
        """Show this stage; what is typed and can't be read stays where the value is still the same."""
        self._stage = stage
        self.name.set_text(stage.name)
        self.pit.set_value(stage.pit_target_c)
        self.guard.set_value(stage.guard_s)
        with QSignalBlocker(self.instruction):
            if stage.instruction != self.instruction.toPlainText().strip():
                self.instruction.setPlainText(stage.instruction)
        guess = purpose_words(purpose_of(replace(stage, purpose=""))[0])
        said = self.tr("not said: {guess}").format(guess=guess) if guess else self.tr("not said")
        self.purpose.setItemText(0, said)
        for box, value in (
            (self.purpose, stage.purpose),
            (self.combine, stage.combine),
            (self.ending, stage.ending),
            (self.alert, stage.alert),
        ):
            box.choose(value)
        rules = stage.rules
        # A rule that can't be read yet is not in the stage; its form stays as long as the others fit.
        if len(rules) != len(self._rules) or not self._rules:
            while len(self._rules) > len(rules):
                self._drop_rule(self._rules[-1])
            while len(self._rules) < len(rules):
                self._new_rule()
        for form, rule in zip(self._rules, rules, strict=True):
            form.set_rule(rule)
        self._show_rules()

    def set_units(self, units: Units) -> None:
        """Show every quantity in these units."""
        self._units = units
        for field in self.findChildren(QuantityField):
            field.set_units(units)

    def set_channels(self, channels: Sequence[ChannelName]) -> None:
        """Offer these channels in the rules."""
        self._channels = channels
        for form in self._rules:
            form.set_channels(channels)

    def set_warnings(self, warnings: Sequence[Warning_]) -> None:
        """Show what speaks against this stage."""
        shown = tuple(warnings)
        if shown == self._warnings:
            return
        self._warnings = shown
        throw_away(self._warning_box)
        for warning in shown:
            self._warning_box.addWidget(WarningLabel(warning, self))
        if any(warning.wants_probe for warning in shown):
            add = new_button(
                self, self.tr("Add a probe"), self.probe_asked, name="stageAddProbe", kind="quick"
            )
            self._warning_box.addWidget(add, 0, Qt.AlignmentFlag.AlignLeft)

    def set_advice(self, text: str) -> None:
        """What to think of when the targets are chosen."""
        say(self._advice, text)

    def set_locked(self, locked: bool, why: str = "") -> None:
        """A stage that is over is shown and not edited."""
        self._locked = locked
        self._body.setEnabled(not locked)
        say(self._lock_note, why)

    def bad_field(self) -> QWidget | None:
        """The first field that can't be left as it is."""
        for field in (self.name, self.pit, self.guard):
            if not field.is_ok():
                return field
        return next((bad for form in self._rules if (bad := form.bad_field()) is not None), None)

    def check(self) -> bool:
        """Show the messages of all fields; True where nothing is wrong."""
        for field in (self.name, self.pit, self.guard):
            field.check()
        for form in self._rules:
            form.check()
        return self.bad_field() is None

    # -- building ---------------------------------------------------------------------------

    def _build(self, units: Units) -> None:
        self._warning_box.setSpacing(4)
        self._advice = new_label(self, name="stageAdvice", kind="caution", wraps=True, hidden=True)
        self._lock_note = new_label(self, kind="faint", wraps=True, hidden=True)
        self._body = QWidget(self)
        self.name = TextField("stageName", self.tr("Name of the stage"), self)
        self.purpose = self._choice(
            "stagePurpose",
            self.tr("What the stage is for"),
            (
                (self.tr("not said"), ""),
                *((purpose_words(purpose), purpose) for purpose in PURPOSES),
            ),
        )
        self.pit = TemperatureField(
            "stagePit", self.tr("Pit target"), self, units=units, hint=self.tr("none")
        )
        self.combine = self._choice(
            "stageCombine",
            self.tr("Any or all of the rules"),
            ((self.tr("as soon as one is met"), "any"), (self.tr("when all are met"), "all")),
        )
        self.ending = self._choice(
            "stageEnding",
            self.tr("How the stage ends"),
            ((self.tr("go on automatically"), "by_itself"), (self.tr("wait for me"), "waits")),
        )
        self.alert = self._choice(
            "stageAlert",
            self.tr("Alert"),
            (
                (self.tr("be silent"), "none"),
                (self.tr("call once"), "chime"),
                (self.tr("call until I answer"), "insistent"),
            ),
        )
        self.guard = DurationField(
            "stageGuard", self.tr("Longest time"), self, units=units, low=1.0, hint=self.tr("none")
        )
        self.instruction = QPlainTextEdit(self)
        self.instruction.setObjectName("stageInstruction")
        self.instruction.setAccessibleName(self.tr("Instruction"))
        self.instruction.setPlaceholderText(self.tr("What to do when the stage begins"))
        self.instruction.setTabChangesFocus(True)
        self.instruction.setFixedHeight(64)
        self.add_rule = new_button(
            self, self.tr("Add another finish rule"), name="stageAddRule", kind="plain"
        )
        grid = new_grid(LABEL_WIDTH, gap=8)
        label = add_row(grid, 0, self.tr("Name"), self.name)
        label.setBuddy(self.name)
        add_row(grid, 1, self.tr("For"), self.purpose)
        add_row(grid, 2, self.tr("Pit target"), self.pit)
        self._rule_box = new_column(None, spacing=8)
        self._ends = add_row(grid, 3, self.tr("Ends"), self.combine)
        rules = new_column(None, self._rule_box, spacing=4)
        rules.addLayout(new_row(None, self.add_rule, FILL))
        rules.addWidget(self._advice)
        grid.addLayout(rules, 4, 0, 1, 2)
        add_row(grid, 5, self.tr("Then"), self.ending)
        add_row(grid, 6, self.tr("At the change"), self.alert)
        add_row(grid, 7, self.tr("Call me after"), self.guard)
        add_row(grid, 8, self.tr("Instruction"), self.instruction)
        new_column(self._body, grid, margins=0)
        new_column(
            self,
            self._lock_note,
            self._warning_box,
            self._body,
            FILL,
            spacing=8,
            margins=(2, 2, 6, 8),
        )
        self._connect()

    def _choice(self, name: str, label: str, items: Sequence[tuple[str, str]]) -> ChoiceBox:
        box = ChoiceBox(self, name=name, hears=label, choices=items)
        box.currentIndexChanged.connect(self._on_choice)
        return box

    def _connect(self) -> None:
        self.name.changed.connect(self._on_name)
        self.pit.changed.connect(self._on_pit)
        self.guard.changed.connect(self._on_guard)
        self.instruction.textChanged.connect(self._on_instruction)
        self.add_rule.clicked.connect(self._on_add_rule)

    # -- rules ------------------------------------------------------------------------------

    def _new_rule(self) -> RuleForm:
        form = RuleForm(f"rule{len(self._rules)}", self, units=self._units, zone=self._zone)
        form.set_channels(self._channels)
        form.set_zone(self._zone, self._now_s)
        form.edited.connect(self._on_rules)
        form.remove_asked.connect(self._on_remove_rule)
        self._rules.append(form)
        self._rule_box.addWidget(form)
        return form

    def _drop_rule(self, form: RuleForm) -> None:
        self._rules.remove(form)
        throw_away(self._rule_box, [form])

    def _show_rules(self) -> None:
        several = len(self._rules) > 1
        for form in self._rules:
            form.set_removable(several)
        self._ends.setVisible(several)
        self.combine.setVisible(several)
        self.add_rule.setVisible(len(self._rules) < MOST_RULES)
        self._order_tabs()

    def _order_tabs(self) -> None:
        """Tab goes down the form as the eye does; rules are made later than what stands below."""
        rules = (widget for form in self._rules for widget in form.in_tab_order())
        for before, after in pairwise((self.combine, *rules, self.add_rule)):
            self.setTabOrder(before, after)

    # -- what the person does ---------------------------------------------------------------

    def _tell(self, stage: Stage, field: str) -> None:
        self.trouble_changed.emit()
        if stage != self._stage:
            self._stage = stage
            self.edited.emit(stage, field)

    @Slot()
    def _on_name(self) -> None:
        self._tell(replace(self._stage, name=self.name.text()), "name")

    @Slot()
    def _on_pit(self) -> None:
        if self.pit.is_ok():
            self._tell(replace(self._stage, pit_target_c=self.pit.value()), "pit")
        else:
            self.trouble_changed.emit()

    @Slot()
    def _on_guard(self) -> None:
        if self.guard.is_ok():
            self._tell(replace(self._stage, guard_s=self.guard.value()), "guard")
        else:
            self.trouble_changed.emit()

    @Slot()
    def _on_instruction(self) -> None:
        text = self.instruction.toPlainText().strip()
        self._tell(replace(self._stage, instruction=text), "instruction")

    @Slot()
    def _on_choice(self) -> None:
        self._tell(
            replace(
                self._stage,
                purpose=cast(Purpose, self.purpose.currentData()),
                combine=cast(Literal["any", "all"], self.combine.currentData()),
                ending=cast(Literal["by_itself", "waits"], self.ending.currentData()),
                alert=cast(Literal["none", "chime", "insistent"], self.alert.currentData()),
            ),
            "choice",
        )

    @Slot()
    def _on_rules(self) -> None:
        rules: list[Rule] = []
        for form in self._rules:
            rule = form.rule()
            if rule is None:
                self.trouble_changed.emit()
                return
            rules.append(rule)
        self._tell(replace(self._stage, rules=tuple(rules)), "rules")

    @Slot()
    def _on_add_rule(self) -> None:
        form = self._new_rule()
        form.set_rule(UntilSaid())
        self._show_rules()
        self._on_rules()
        form.kind_box.setFocus()

    @Slot()
    def _on_remove_rule(self) -> None:
        form = self.sender()
        if isinstance(form, RuleForm) and len(self._rules) > 1:
            self._drop_rule(form)
            self._show_rules()
            self._on_rules()
