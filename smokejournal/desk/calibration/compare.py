"""Comparing two probes that sat in the same spot: bias, limits, lag, and the picture of it."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QFormLayout,
    QWidget,
)

from smokejournal.cook.plan.plan import plan_of
from smokejournal.cook.probes.comparison import (
    Comparison,
    compare,
    comparison_warnings,
    comparison_words,
)
from smokejournal.cook.text.quantities import date
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.refresher import Refresher
from smokejournal.desk.base.widgets import FILL, new_column, new_label, new_row, say
from smokejournal.desk.calibration.agreement_plot import AgreementPlot
from smokejournal.desk.parts.choice_box import ChoiceBox
from smokejournal.desk.parts.fields import MomentField
from smokejournal.desk.parts.tall_scroll import TallScroll
from smokejournal.services.program.live import LiveCook

WHOLE, QUARTER, HOUR, STRETCH = "whole", "quarter", "hour", "stretch"
#: While readings come in, again this often at most.
ANEW_MS = 3000


class BenchCompare(QWidget):
    """See the module. Worked out away from the painting thread; live while the cook goes on."""

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("benchCompare")
        self._context = context
        self._zone = "UTC"
        self._found: Comparison | None = None
        self._asked: tuple[object, ...] = ()
        self._build()
        self._refresher = Refresher(self, context, self._ask, self._on_found, soon_ms=ANEW_MS)
        context.cook_changed.connect(self._on_changed)
        context.ground_changed.connect(self._show_found)

    def _build(self) -> None:
        self.cook = self._box("compareCook", self.tr("Cook"))
        self.cook.currentIndexChanged.connect(self._on_cook)
        self.first = self._box("compareFirst", self.tr("First probe"))
        self.second = self._box("compareSecond", self.tr("Second probe"))
        self.stretch = self._box("compareStretch", self.tr("Stretch"))
        self.stretch.offer(
            [
                (self.tr("the whole cook"), WHOLE),
                (self.tr("the last hour"), HOUR),
                (self.tr("the last 15 minutes"), QUARTER),
                (self.tr("from … to …"), STRETCH),
            ]
        )
        for box in (self.first, self.second):
            box.currentIndexChanged.connect(self._work)
        self.stretch.currentIndexChanged.connect(self._on_stretch)
        self.begins = MomentField("compareFrom", self.tr("From"), self, required=True)
        self.ends = MomentField("compareTo", self.tr("To"), self, required=True)
        for field in (self.begins, self.ends):
            field.changed.connect(self._work)
        self._form = QFormLayout()
        self._form.setVerticalSpacing(6)
        self._form.addRow(self.tr("Coo&k"), self.cook)
        self._form.addRow(self.tr("&First"), self.first)
        self._form.addRow(self.tr("Se&cond"), self.second)
        self._form.addRow(self.tr("&Over"), self.stretch)
        self._form.addRow(self.tr("From"), self.begins)
        self._form.addRow(self.tr("To"), self.ends)
        hint = new_label(
            self,
            self.tr(
                "Choose a stretch in which both sat in the same spot. What each reads is taken "
                "as corrected then."
            ),
            kind="faint",
            wraps=True,
        )
        left = QWidget(self)
        new_column(left, self._form, hint, FILL, spacing=10, margins=(0, 0, 8, 0))
        scroll = TallScroll(self.tr("What is compared"), self)
        scroll.set_content(left)
        scroll.setMaximumWidth(360)
        self.plot = AgreementPlot(self)
        self.said = new_label(self, name="compareSaid", wraps=True)
        self.warned = new_label(self, name="compareWarned", kind="caution", wraps=True)
        right = QWidget(self)
        new_column(right, (self.plot, 1), self.said, self.warned, spacing=8, margins=(0, 0, 8, 0))
        other = TallScroll(self.tr("How they compare"), self)
        other.set_content(right)
        new_row(self, (scroll, 3), (other, 5), spacing=20, margins=0)
        self._on_stretch()

    def _box(self, name: str, label: str) -> ChoiceBox:
        return ChoiceBox(self, name=name, hears=label, letters=16)

    # what is shown

    def refresh(self) -> None:
        """Offer the cooks and probes that there are now."""
        lines = self._context.program.cooks()
        chosen = self.cook.currentData()
        if chosen is None:
            chosen = self._context.chosen
        words = self.tr("{title}, {day}")
        days = [date(line.opened_s, line.zone, self._context.units) for line in lines]
        self.cook.offer(
            [
                (words.format(title=line.title, day=day), line.id)
                for line, day in zip(lines, days, strict=True)
            ],
            chosen,
        )
        self._on_cook()

    def set_units(self) -> None:
        """Show everything in the units that hold now."""
        for field in (self.begins, self.ends):
            field.set_units(self._context.units)
        self._show_found()

    def choose(self, cook_id: int | None) -> None:
        """Show this cook."""
        index = self.cook.findData(cook_id)
        if index >= 0:
            self.cook.setCurrentIndex(index)

    def _on_cook(self) -> None:
        cook_id = self.cook.currentData()
        channels = []
        if cook_id is not None:
            plan = plan_of(self._context.live(cook_id).log())
            channels, self._zone = list(plan.channels.values()), plan.zone
            channels.sort(key=lambda c: (c.key != plan.lead, c.key != plan.check))
        for place, box in enumerate((self.first, self.second)):
            keys = [channel.key for channel in channels]
            held = box.currentData()
            if held not in keys:
                held = next(iter(keys[place:] or keys[-1:]), None)
            box.offer([(channel.name or channel.key, channel.key) for channel in channels], held)
        for field in (self.begins, self.ends):
            field.set_zone(self._zone)
            field.set_units(self._context.units)
        self._suggest()
        self._work()

    def _suggest(self) -> None:
        cook_id = self.cook.currentData()
        if cook_id is None:
            return
        traces = self._context.live(cook_id).log().traces.values()
        ends = [(t.at_s[0], t.at_s[-1]) for t in traces if len(t)]
        if ends:
            self.begins.suggest_day(float(min(a for a, _ in ends)))
            self.ends.suggest_day(float(max(b for _, b in ends)))

    def _on_stretch(self, *_: object) -> None:
        typed = self.stretch.currentData() == STRETCH
        self._form.setRowVisible(self.begins, typed)
        self._form.setRowVisible(self.ends, typed)
        if hasattr(self, "_refresher"):
            self._work()

    def _chosen(self) -> tuple[object, ...]:
        """What the answer depends on, as it is chosen now."""
        return (
            *(b.currentData() for b in (self.cook, self.first, self.second, self.stretch)),
            *(f.value() for f in (self.begins, self.ends)),
        )

    def _span(self) -> tuple[float, float] | None:
        """From when to when, or None while that isn't typed yet."""
        kind = self.stretch.currentData()
        if kind == STRETCH:
            begins, ends = self.begins.value(), self.ends.value()
            if begins is None or ends is None:
                return None
            if ends <= begins:
                self.ends.refuse(self.tr("Give a time after the beginning."))
                return None
            return begins, ends
        cook_id = self.cook.currentData()
        last = 0.0
        for trace in self._context.live(cook_id).log().traces.values():
            last = max(last, float(trace.at_s[-1]) if len(trace) else 0.0)
        since = {WHOLE: last, HOUR: 3600.0, QUARTER: 900.0}[kind]
        return last - since, last

    def _work(self, *_: object) -> None:
        """Compare again, unless that is being done: then once more when it is done."""
        self._refresher.refresh()

    def _ask(self) -> Callable[[], Comparison | None] | None:
        cook_id = self.cook.currentData()
        first, second = self.first.currentData(), self.second.currentData()
        if cook_id is None or first is None or second is None:
            self._say(self.tr("This needs a cook with two probes. Choose another cook."))
            return None
        span = self._span()
        if span is None:
            self._say(self.tr("Type when the stretch begins and ends."))
            return None
        self._asked = self._chosen()
        live = self._context.live(cook_id)
        return lambda: _compared(live, first, second, *span)

    def is_settled(self) -> bool:
        """Whether what is shown is the answer to what is chosen."""
        return not self._refresher.asking

    def _on_found(self, found: Comparison | None) -> None:
        if self._asked != self._chosen():
            return  # Something else was chosen meanwhile: this is no answer to it.
        if found is None:
            self._say(self.tr("This cook doesn't have that probe anymore. Choose another."))
            return
        self._found = found
        self._show_found()

    def _say(self, words: str) -> None:
        self._found = None
        self.plot.hide()
        self.warned.hide()
        self.said.setText(words)

    def _show_found(self, *_: object) -> None:
        found = self._found
        if found is None:
            return
        units = self._context.units
        words, warnings = comparison_words(found, units), comparison_warnings(found, units)
        self.said.setText("\n".join(words))
        say(self.warned, "\n".join(warnings))
        self.plot.setVisible(found.agreement is not None)
        self.plot.show_comparison(found, units, self._context.ground)
        self.plot.setAccessibleDescription(words[0])

    def _on_changed(self, change: object) -> None:
        mine = getattr(change, "cook_id", None) == self.cook.currentData()
        if mine:
            self._refresher.mark()

    def showEvent(self, event: QShowEvent) -> None:
        """Catch up with what was written while another side was shown."""
        super().showEvent(event)
        self.refresh()


def _compared(
    live: LiveCook, first: str, second: str, from_s: float, to_s: float
) -> Comparison | None:
    """In the background; None where one of the probes was taken out meanwhile."""
    try:
        return compare(live.log(), first, second, from_s, to_s)
    except KeyError:
        return None
