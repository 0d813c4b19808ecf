"""The dialog in which the cooker and its place are said: size, wall, altitude, and which cooks teach."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QDialog,
    QFormLayout,
    QLabel,
    QWidget,
)

from smokejournal.cook.fuel.cooker import PLAIN, SHAPES, WALLS, CookerFacts
from smokejournal.cook.text import quantities
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.dialogs import dialog_buttons
from smokejournal.desk.base.error_words import why_of
from smokejournal.desk.base.widgets import new_button, new_column, new_label, new_row, say
from smokejournal.desk.parts.choice_box import ChoiceBox
from smokejournal.desk.parts.fields import LengthField
from smokejournal.desk.parts.unit_fields import AltitudeField
from smokejournal.desk.parts.zone_box import machine_zone
from smokejournal.science.heat.heat_loss import SIDE_M


class CookerDialog(QDialog):
    """`kept` once what was said is on disk. What is left empty stands at a plain default."""

    kept = Signal()

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("cookerDialog")
        self.setWindowTitle(self.tr("Cooker and place"))
        self._context = context
        self._since_s: float | None = None
        self._build()
        self._show(context.forecasts.fuel.facts())
        problem = context.forecasts.fuel.facts_problem()
        if problem:
            self._say(
                self.tr("What was saved about the cooker can’t be read: {problem}").format(
                    problem=problem
                )
            )

    def _build(self) -> None:
        intro = new_label(
            self,
            self.tr(
                "How many pellets a cooker burns follows from the heat that it loses. Say what you "
                "know of it; what you leave empty is assumed, and makes the estimate wider."
            ),
            wraps=True,
        )
        self.shape = self._box("cookerShape", self.tr("Shape"))
        self.shape.addItem(self.tr("not said (a box is assumed)"), None)
        for shape in SHAPES:
            self.shape.addItem(self._shape_words(shape), shape)
        self.long = self._side("cookerLength", self.tr("Length"), PLAIN.length_m)
        self.deep = self._side("cookerDepth", self.tr("Depth"), PLAIN.depth_m)
        self.tall = self._side("cookerHeight", self.tr("Height"), PLAIN.height_m)
        self.wall = self._box("cookerWall", self.tr("Wall"))
        self.wall.addItem(self.tr("not said (a single sheet is assumed)"), None)
        for wall in WALLS:
            self.wall.addItem(self._wall_words(wall), wall)
        self.altitude = AltitudeField(
            "cookerAltitude", self.tr("Altitude"), self, hint=self.tr("not known")
        )
        self.altitude.set_units(self._context.units)
        self.learn = QCheckBox(self.tr("Let my finished cooks make the estimate surer"), self)
        self.learn.setObjectName("cookerLearn")
        self.since = new_label(self, name="cookerSince", kind="faint", wraps=True)
        self.start_over = new_button(
            self,
            self.tr("Count from now on"),
            self._on_start_over,
            name="cookerStartOver",
            tip=self.tr("For another cooker: earlier cooks no longer count"),
            auto=False,
        )
        self.all = new_button(
            self, self.tr("Count all"), self._on_all, name="cookerAll", auto=False
        )
        self._depth_label = QLabel(self.tr("&Depth"), self)
        self._depth_label.setBuddy(self.deep)
        self._height_label = QLabel(self)
        self._height_label.setBuddy(self.tall)
        form = QFormLayout()
        form.setVerticalSpacing(8)
        form.addRow(self.tr("&Shape"), self.shape)
        form.addRow(self.tr("&Length"), self.long)
        form.addRow(self._depth_label, self.deep)
        form.addRow(self._height_label, self.tall)
        form.addRow(self.tr("&Wall"), self.wall)
        form.addRow(self.tr("&Altitude"), self.altitude)
        form.addRow("", self.learn)
        count = new_row(None, (self.since, 1), self.start_over, self.all)
        self.problem = new_label(
            self, name="cookerProblem", kind="problem", wraps=True, hidden=True
        )
        self.keep = new_button(
            self, self.tr("&Save"), name="cookerKeep", kind="ember", default=True
        )
        self.keep.setEnabled(not self._context.program.journal.read_only)
        buttons = dialog_buttons(self, self.keep, self._on_keep, "cookerCancel")
        new_column(
            self, intro, form, count, self.problem, buttons, spacing=12, margins=(18, 16, 18, 14)
        )
        self.setMinimumWidth(520)
        self.shape.currentIndexChanged.connect(self._on_shape)

    def _box(self, name: str, label: str) -> ChoiceBox:
        return ChoiceBox(self, name=name, hears=label)

    def _side(self, name: str, label: str, plain_m: float) -> LengthField:
        units = self._context.units
        hint = self.tr("{length} assumed").format(length=quantities.length(plain_m, units))
        field = LengthField(
            name, label, self, units=units, hint=hint, low=SIDE_M[0], high=SIDE_M[1]
        )
        field.edit.setFixedWidth(170)
        return field

    def _shape_words(self, shape: str) -> str:
        return self.tr("a lying barrel") if shape == "barrel" else self.tr("a box")

    def _wall_words(self, wall: str) -> str:
        return {
            "sheet": self.tr("a single sheet of metal"),
            "double": self.tr("two sheets with air between"),
            "insulated": self.tr("insulated"),
            "ceramic": self.tr("ceramic"),
        }[wall]

    def _show(self, facts: CookerFacts) -> None:
        self.shape.setCurrentIndex(max(0, self.shape.findData(facts.shape)))
        self.wall.setCurrentIndex(max(0, self.wall.findData(facts.wall)))
        self.long.set_value(facts.length_m)
        self.deep.set_value(facts.depth_m)
        self.tall.set_value(facts.height_m)
        self.altitude.set_value(facts.altitude_m)
        self.learn.setChecked(facts.learn)
        self._since_s = facts.since_s
        self._on_shape()
        self._show_since()

    def _on_shape(self) -> None:
        barrel = self.shape.currentData() == "barrel"
        self.deep.setVisible(not barrel)
        self._depth_label.setVisible(not barrel)
        self._height_label.setText(self.tr("Dia&meter") if barrel else self.tr("&Height"))

    def _show_since(self) -> None:
        text = self.tr("All finished cooks count.")
        if self._since_s is not None:
            text = self.tr("Cooks that began after {date} count.").format(
                date=quantities.date(self._since_s, machine_zone(), self._context.units)
            )
        self.since.setText(text)
        self.all.setVisible(self._since_s is not None)
        self.start_over.setVisible(self._since_s is None)

    def _on_start_over(self) -> None:
        self._since_s = self._context.now_s()
        self._show_since()

    def _on_all(self) -> None:
        self._since_s = None
        self._show_since()

    def _say(self, text: str) -> None:
        say(self.problem, text)

    def _on_keep(self) -> None:
        barrel = self.shape.currentData() == "barrel"
        fields = [self.long, self.tall, self.altitude]
        if not barrel:
            fields.insert(1, self.deep)
        wrong = [field for field in fields if not field.check()]
        if wrong:
            wrong[0].setFocus()
            return
        facts = replace(
            CookerFacts(),
            shape=self.shape.currentData(),
            length_m=self.long.value(),
            depth_m=None if barrel else self.deep.value(),
            height_m=self.tall.value(),
            wall=self.wall.currentData(),
            altitude_m=self.altitude.value(),
            learn=self.learn.isChecked(),
            since_s=self._since_s,
        )
        try:
            future = self._context.forecasts.fuel.keep(facts)
        except SchemaProblem as problem:
            self._say(problem.message)
            return
        self.keep.setEnabled(False)
        self._context.after(future, self._on_kept, self._on_failed)

    def _on_kept(self, _: object) -> None:
        self.kept.emit()
        self.accept()

    def _on_failed(self, error: BaseException) -> None:
        self.keep.setEnabled(True)
        self._say(why_of(error))
