"""A finished cook counted again: with another lead probe, another target, or a probe calibrated since."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import (
    QCheckBox,
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QWidget,
)

from smokejournal.cook.hindsight.hindsight import Hindsight, hindsight, last_target
from smokejournal.cook.hindsight.otherwise import Otherwise
from smokejournal.cook.hindsight.words import hindsight_words
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.plan.plan import plan_of
from smokejournal.cook.probes.probe import calibrated
from smokejournal.cook.score.score import Score, ScoreMark
from smokejournal.cook.text.quantities import date
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.refresher import Refresher
from smokejournal.desk.base.theme import GROUNDS
from smokejournal.desk.base.widgets import new_column, new_label
from smokejournal.desk.parts.choice_box import ChoiceBox
from smokejournal.desk.parts.fields import TemperatureField
from smokejournal.desk.score.view import ScoreView
from smokejournal.services.program.live import LiveCook
from smokejournal.services.program.program import Program


@dataclass(frozen=True, slots=True)
class _Offer:
    """What can be supposed of a cook: its probes in the food, those calibrated since, its last target."""

    probes: tuple[Channel, ...]
    newer: tuple[Channel, ...]
    lead: str | None
    target: tuple[str, float] | None


class HindsightDialog(QDialog):
    """Everything that is supposed stands above, what follows from it below and on the score."""

    asked = Signal()

    def __init__(
        self, context: DeskContext, live: LiveCook, score: Score, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setObjectName("hindsightDialog")
        self.setWindowTitle(self.tr("What if it had been otherwise?"))
        self._context, self._live, self._score = context, live, score
        self._offer = _offer(context.program, live)
        self._names = {c.key: c.name or c.key for c in plan_of(live.log()).channels.values()}
        self._build()
        self._refresher = Refresher(self, context, self._ask, self._show, soon_ms=250)
        context.units_changed.connect(self._on_units)
        context.ground_changed.connect(self._on_ground)
        self._on_units()
        self._on_ground(context.ground)

    def _build(self) -> None:
        offer = self._offer
        form = QFormLayout()
        form.setVerticalSpacing(8)
        self.lead = ChoiceBox(self, name="hindsightLead", hears=self.tr("Lead probe"))
        for channel in offer.probes:
            words = channel.name or channel.key
            if channel.key == offer.lead:
                words = self.tr("{probe} (as it was)").format(probe=words)
            self.lead.addItem(words, channel.key)
        # The other probe is what people wonder about.
        other = next((c.key for c in offer.probes if c.key != offer.lead), offer.lead)
        self.lead.setCurrentIndex(max(0, self.lead.findData(other)))
        self.lead.currentIndexChanged.connect(self._on_changed)
        form.addRow(self.tr("Lead probe"), self.lead)
        self.target = TemperatureField(
            "hindsightTarget", self.tr("Done at"), self, units=self._context.units, low=0.0
        )
        if offer.target is not None:
            self.target.set_value(offer.target[1])
        self.target.setEnabled(offer.target is not None)
        self.target.changed.connect(self._on_changed)
        form.addRow(self.tr("Done at"), self.target)
        self.newer: dict[str, QCheckBox] = {}
        for channel in offer.newer:
            assert channel.calibrated_at_s is not None
            box = QCheckBox(
                self.tr("{probe} as calibrated on {day}")
                .format(
                    probe=channel.name or channel.key,
                    day=date(channel.calibrated_at_s, self._live.zone, self._context.units),
                )
                .replace("&", "&&"),
                self,
            )
            box.setObjectName(f"hindsightNewer_{channel.key}")
            box.toggled.connect(self._on_changed)
            self.newer[channel.key] = box
            form.addRow("", box)
        self.first = new_label(self, name="hindsightFirst", kind="section", wraps=True)
        self.said = new_label(self, name="hindsightSaid", wraps=True)
        self.view = ScoreView(self)
        self.view.setObjectName("hindsightScore")
        self.view.setMinimumSize(560, 250)
        buttons = QDialogButtonBox(self)
        close = buttons.addButton(self.tr("Close"), QDialogButtonBox.ButtonRole.RejectRole)
        close.setObjectName("hindsightClose")
        buttons.rejected.connect(self.reject)
        new_column(
            self,
            form,
            self.first,
            self.said,
            (self.view, 1),
            buttons,
            spacing=12,
            margins=(18, 16, 18, 14),
        )
        self.resize(820, 680)

    def _otherwise(self) -> Otherwise:
        offer = self._offer
        target_c = self.target.value()
        targets = {}
        if offer.target is not None and target_c is not None and target_c != offer.target[1]:
            targets = {offer.target[0]: target_c}
        lead = self.lead.currentData()
        chosen = {c.key: c for c in offer.newer if self.newer[c.key].isChecked()}
        return Otherwise(None if lead == offer.lead else lead, targets, chosen)

    def _ask(self) -> Callable[[], Hindsight | None] | None:
        if not self.target.is_ok():
            return None
        log, otherwise = self._live.log(), self._otherwise()
        return lambda: hindsight(log, otherwise)

    def _show(self, found: Hindsight | None) -> None:
        score = self._score
        if found is None:
            self.first.setText(
                self.tr(
                    "The food never came off the pit in this log, or no probe led: nothing can be "
                    "counted again."
                )
            )
            self.said.clear()
        else:
            first, *more = hindsight_words(found, self._names, self._context.units, self._live.zone)
            self.first.setText(first)
            self.said.setText("\n".join(more))
            if found.would_s is not None and found.later_s:
                mark = ScoreMark(found.would_s, None, "stage", self.tr("Would have come off"), 0)
                marks = sorted((*score.marks, mark), key=lambda each: each.at_s)
                score = replace(score, marks=tuple(marks))
        self.view.set_score(score)

    @Slot()
    def _on_changed(self) -> None:
        self._refresher.mark()

    @Slot()
    def _on_units(self) -> None:
        self.target.set_units(self._context.units)
        self.view.set_units(self._context.units)
        self._refresher.mark()

    @Slot(str)
    def _on_ground(self, name: str) -> None:
        self.view.set_ground(GROUNDS[name])


def _offer(program: Program, live: LiveCook) -> _Offer:
    log = live.log()
    plan = plan_of(log)
    probes = tuple(c for c in plan.channels.values() if c.role == "meat")
    owned = {probe.id: probe for probe in program.journal.stores.probes()}
    newer = []
    for channel in probes:
        probe = owned.get(channel.probe_id) if channel.probe_id is not None else None
        since = [
            c
            for c in program.journal.stores.calibrations()
            if probe is not None
            and c.probe_id == probe.id
            and (channel.calibrated_at_s is None or c.at_s > channel.calibrated_at_s)
        ]
        if probe is not None and since:
            newer.append(calibrated(channel, probe, max(since, key=lambda c: c.at_s)))
    return _Offer(probes, tuple(newer), plan.lead, last_target(live.standing()))
