"""Calibrating a probe: points where the temperature is known, what they come to, and its use."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from PySide6.QtGui import QHideEvent, QShowEvent
from PySide6.QtWidgets import (
    QFormLayout,
    QLabel,
    QWidget,
)

from smokejournal.cook.log.entries import ChannelSet
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.plan.plan import plan_of
from smokejournal.cook.probes.calibration_words import (
    age_words,
    class_words,
    correction_sentence,
    findings,
)
from smokejournal.cook.probes.probe import (
    Calibration,
    CalibrationPoint,
    Probe,
    calibrated,
    validate_calibration,
)
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.quantities import date
from smokejournal.desk.base.background import in_background
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.error_words import cure_of, why_of
from smokejournal.desk.base.tables import chosen_row
from smokejournal.desk.base.widgets import FILL, new_button, new_column, new_label, new_row, say
from smokejournal.desk.calibration.listening import Listening
from smokejournal.desk.calibration.point_form import PointForm
from smokejournal.desk.calibration.point_table import PointTable
from smokejournal.desk.parts.choice_box import ChoiceBox
from smokejournal.desk.parts.fields import TextField
from smokejournal.desk.parts.tall_scroll import TallScroll
from smokejournal.inputs.configs import Config
from smokejournal.inputs.line_format import LineFormat
from smokejournal.science.probes.accuracy_class import ACCURACY_CLASSES
from smokejournal.science.probes.calibration import Model, allowed_model
from smokejournal.services.feeds.calibration import RawReading, keep


class BenchCalibrate(QWidget):
    """`to_listen` gives the input as it is set up and how its lines are read; None where it can't be
    heard."""

    def __init__(
        self,
        context: DeskContext,
        to_listen: Callable[[], tuple[Config, LineFormat | None] | None],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setObjectName("benchCalibrate")
        self._context = context
        self._points: list[CalibrationPoint] = []
        self._probes: tuple[Probe, ...] = ()
        self._kept: tuple[Calibration, ...] = ()
        self._unread = 0
        self._channels: tuple[Channel, ...] = ()
        self._zone = "UTC"
        self._used = ""
        self._lead: str | None = None
        self._sound = False
        self.listening = Listening(context, to_listen, self)
        self._build()
        self.listening.received.connect(self._on_said)
        self.listening.trouble.connect(self.point.live_words.setText)
        self.refresh()

    def _build(self) -> None:
        self.probe = ChoiceBox(
            self, name="calibrateProbe", hears=self.tr("Probe to calibrate"), letters=14
        )
        self.probe.currentIndexChanged.connect(self._on_probe)
        self.name = TextField(
            "calibrateName", self.tr("Name of the probe"), self, hint=self.tr("thin one, red cable")
        )
        self.name.changed.connect(self._show)
        classes = ACCURACY_CLASSES.items()
        grades = [(f"{class_words(each)} ({each.standard})", key) for key, each in classes]
        self.grade = ChoiceBox(
            self,
            name="calibrateClass",
            hears=self.tr("Accuracy class"),
            letters=14,
            choices=[(self.tr("not known"), ""), *grades],
        )
        self.grade.currentIndexChanged.connect(self._show)
        top = QFormLayout()
        top.setVerticalSpacing(6)
        top.addRow(self.tr("Pr&obe"), self.probe)
        top.addRow(self.tr("&Name"), self.name)
        top.addRow(self.tr("&Class"), self.grade)
        self._top = top
        self.point = PointForm(self)
        self.point.taken.connect(self._on_point)
        self.point.listen_asked.connect(self.listening.listen)
        self.point.heard_chosen.connect(self._on_received)
        left = QWidget(self)
        new_column(left, top, self.point, FILL, spacing=12, margins=(0, 0, 8, 0))
        scroll = TallScroll(self.tr("What is calibrated"), self)
        scroll.set_content(left)
        scroll.setMaximumWidth(360)
        both = new_row(self, (scroll, 4), spacing=20, margins=0)
        right = QWidget(self)
        self._build_right(right)
        other = TallScroll(self.tr("Points and what they give"), self)
        other.set_content(right)
        both.addWidget(other, 5)

    def _build_right(self, right: QWidget) -> None:
        self.table = PointTable(right)
        self.table.itemSelectionChanged.connect(self._show_buttons)
        self.out = new_button(right, self.tr("Take &out"), self._on_out, name="calibrateOut")
        models = [(self.tr("slope and offset"), "slope"), (self.tr("offset alone"), "offset")]
        hears = self.tr("Kind of correction")
        self.model = ChoiceBox(right, name="calibrateModel", hears=hears, choices=models)
        self.model.currentIndexChanged.connect(self._show)
        row = new_row(None, self.out, FILL)
        self._model_label = QLabel(self.tr("Correct by"), right)
        row.addWidget(self._model_label)
        row.addWidget(self.model)
        self.result = new_label(right, name="calibrateResult", kind="section", wraps=True)
        self.problem = new_label(right, name="calibrateProblem", kind="problem", wraps=True)
        self.findings = new_label(right, name="calibrateFindings", kind="caution", wraps=True)
        self.history = new_label(right, name="calibrateHistory", kind="faint", wraps=True)
        self.channel = ChoiceBox(right, name="calibrateChannel", hears=self.tr("Use it for"))
        self.use = new_button(
            right, self.tr("Save and &use it"), self._on_use, name="calibrateUse", kind="ember"
        )
        self.keep = new_button(right, self.tr("&Save it"), self._on_keep, name="calibrateKeep")
        self._channel_label = QLabel(self.tr("Use it for"), right)
        last = new_row(None, self._channel_label, (self.channel, 1), self.use, self.keep)
        hint = new_label(
            right,
            self.tr(
                "It corrects what is read from now on. Readings are kept as they came, and what "
                "was read before keeps the correction it had."
            ),
            kind="faint",
            wraps=True,
        )
        new_column(
            right,
            (self.table, 1),
            row,
            self.result,
            self.problem,
            self.findings,
            last,
            hint,
            self.history,
            spacing=8,
            margins=(0, 0, 8, 0),
        )

    # what is shown

    def refresh(self) -> None:
        """Show what the journal and the chosen cook have now."""
        journal = self._context.program.journal
        self._probes = tuple(p for p in journal.stores.probes() if not p.retired)
        self._kept = tuple(journal.stores.calibrations())
        self._unread = journal.stores.unread_calibrations()
        chosen = self.probe.currentData()
        probes = [(probe.name, probe.id) for probe in self._probes]
        self.probe.offer([*probes, (self.tr("a new probe"), 0)], chosen)
        cook_id = self._context.chosen
        self._channels, self._zone, self._lead = (), "UTC", None
        if cook_id is not None:
            plan = plan_of(self._context.live(cook_id).log())
            self._channels, self._zone = tuple(plan.channels.values()), plan.zone
            self._lead = plan.lead
        self.listening.set_names({c.key: c.name or c.key for c in self._channels})
        wanted = self.channel.currentData()
        channels = [(channel.name or channel.key, channel.key) for channel in self._channels]
        self.channel.offer(channels, wanted or self._lead)
        self.set_units()
        if self.probe.currentData() != chosen:
            self._on_probe()

    def set_units(self) -> None:
        """Show everything in the units that hold now."""
        self.point.set_units(self._context.units)
        self._show()

    def _probe(self) -> Probe:
        """The probe as it stands in the form; id 0 and perhaps no name for a new one."""
        found = next((p for p in self._probes if p.id == self.probe.currentData()), None)
        if found is None:
            found = Probe(0, self.name.text())
        return replace(found, accuracy_class=self.grade.currentData() or "")

    def _calibration(self) -> Calibration | None:
        if not self._points:
            return None
        most = allowed_model([p.point for p in self._points])
        model: Model = "offset" if most == "offset" else self.model.currentData()
        return Calibration(0, self._probe().id, self._context.now_s(), tuple(self._points), model)

    def _before(self) -> Sequence[Calibration]:
        return tuple(c for c in self._kept if c.probe_id == self.probe.currentData())

    def _show(self, *_: object) -> None:
        units = self._context.units
        calibration = self._calibration()
        problem = ""
        if calibration is not None:
            try:
                validate_calibration(calibration)
            except SchemaProblem as found:
                problem = found.message
        self.table.show_points(self._points, units)
        slope = allowed_model([p.point for p in self._points]) == "slope"
        self.model.setVisible(slope)
        self._model_label.setVisible(slope)
        self._sound = calibration is not None and not problem
        say(self.problem, problem)
        before = self._before()
        if calibration is None:
            self.result.setText(
                self.tr("Take a point in ice water first, then one in boiling water.")
            )
        elif not problem:
            self.result.setText(correction_sentence(calibration.correction, units))
        self.result.setVisible(not problem)
        said = (
            findings(calibration, self._probe(), before, units)
            if calibration is not None and not problem
            else ()
        )
        say(self.findings, "\n".join(said))
        self._show_history(before)
        self._show_buttons()

    def _show_history(self, before: Sequence[Calibration]) -> None:
        if not self.probe.currentData():
            self.history.setText("")
            return
        lines = [age_words(before[0].at_s if before else None, self._context.now_s())]
        for each in before[:3]:
            lines.append(
                self.tr("{day}: {result}").format(
                    day=date(each.at_s, self._zone, self._context.units),
                    result=correction_sentence(each.correction, self._context.units),
                )
            )
        if self._unread:
            lines.append(
                self.tr("{n} calibrations in the journal can't be read by this version.").format(
                    n=self._unread
                )
            )
        self.history.setText("\n".join(line for line in lines if line))

    def _show_buttons(self) -> None:
        self.out.setEnabled(chosen_row(self.table) is not None)
        writable = not self._context.program.journal.read_only
        ready = self._sound and writable
        for widget in (self._channel_label, self.channel, self.use):
            widget.setVisible(bool(self._channels))
        last = not self._points and bool(self._before())
        self.use.setText(self.tr("&Use the last one") if last else self.tr("Save and &use it"))
        self.use.setEnabled(ready or (last and writable))
        self.keep.setEnabled(ready)

    # what the person does

    def _on_probe(self) -> None:
        number = self.probe.currentData()
        self._top.setRowVisible(self.name, not number)
        kept = next((p for p in self._probes if p.id == number), None)
        if kept is not None:
            self.grade.choose(kept.accuracy_class)
            for channel in self._channels:
                if channel.probe_id == kept.id:
                    self.channel.choose(channel.key)
        self._show()

    def _on_point(self, point: CalibrationPoint) -> None:
        self._points.append(point)
        self._show()

    def _on_out(self) -> None:
        row = chosen_row(self.table)
        if row is not None:
            del self._points[row]
            self.table.clearSelection()
            self._show()

    def _on_received(self, key: str) -> None:
        index = self.channel.findData(key)
        if index >= 0:
            self.channel.setCurrentIndex(index)

    def _on_keep(self) -> None:
        self._store("")

    def _on_use(self) -> None:
        before = self._before()
        if not self._points and before:
            # A probe goes from cook to cook, and its calibration with it.
            self._used = self.channel.currentData() or ""
            self._put_to_use(self._probe(), before[0])
            return
        self._store(self.channel.currentData() or "")

    def _store(self, key: str) -> None:
        probe, calibration = self._probe(), self._calibration()
        if not probe.name:
            self.name.refuse(self.tr("Give the probe a name, to tell it from the others."))
            self.name.setFocus()
            return
        if calibration is None or not self._sound:
            return
        self._used = key
        self.use.setEnabled(False)
        self.keep.setEnabled(False)
        journal = self._context.program.journal
        self._context.after(
            in_background(lambda: keep(journal, probe, calibration)),
            self._on_kept,
            self._on_not_kept,
        )

    def _on_not_kept(self, error: BaseException) -> None:
        self._show()
        self._context.tell(why_of(error), cure_of(error))

    def _on_kept(self, kept: tuple[Probe, Calibration]) -> None:
        probe, calibration = kept
        self._points = []
        self.name.set_text("")
        self.name.edit.clear()
        self.refresh()
        self.probe.setCurrentIndex(max(0, self.probe.findData(probe.id)))
        if self._used:
            self._put_to_use(probe, calibration)
            return
        self._context.tell(
            self.tr("The calibration of {probe} is saved.").format(probe=probe.name), kind="done"
        )

    def _put_to_use(self, probe: Probe, calibration: Calibration) -> None:
        cook_id = self._context.chosen
        channel = next((c for c in self._channels if c.key == self._used), None)
        if channel is None or cook_id is None:
            return
        new = calibrated(channel, probe, calibration)
        try:
            future = self._context.live(cook_id).record(ChannelSet(new))
        except SchemaProblem as problem:
            self._context.tell(problem.message)
            return
        self._context.after(future, self._on_in_use)

    def _on_in_use(self, _: object) -> None:
        self._context.tell(
            self.tr("The calibration corrects what is read from now on."), kind="done"
        )
        self.refresh()

    # what is heard

    def is_listening(self) -> bool:
        """Whether the input is held open here."""
        return self.listening.is_listening()

    def _on_said(self, received: Sequence[RawReading], listening: bool, running: bool) -> None:
        self.point.show_received(received, listening=listening, running=running)

    def showEvent(self, event: QShowEvent) -> None:
        """Look at what is heard while it is shown."""
        super().showEvent(event)
        self.listening.turn_on()

    def hideEvent(self, event: QHideEvent) -> None:
        """Nobody looks: give the port back."""
        super().hideEvent(event)
        self.listening.turn_off()
