"""The line about fuel that stands on Plan, Tend and Stores, with a button to the whole of it."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Literal

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtWidgets import QLabel, QSizePolicy, QWidget

from smokejournal.cook.log.entries import FuelForeseen
from smokejournal.cook.log.schedule import Schedule
from smokejournal.cook.text.quantities import Units
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.error_words import why_of
from smokejournal.desk.base.refresher import Refresher
from smokejournal.desk.base.widgets import new_button, new_row
from smokejournal.desk.parts.short_label import ShortLabel

if TYPE_CHECKING:
    # The first painted window needs none of it; it is loaded in the background.
    from smokejournal.services.forecast.finish import ForecastResult
    from smokejournal.services.forecast.fuel import FuelForecasts, Taught

Place = Literal["plan", "tend", "stores"]
#: What is left is computed again this often [s]; it changes by the hour.
EVERY_S = 30.0
SOON_MS = 250


class FuelLine(QWidget):
    """`show_cook` says for which cook and schedule. It asks in the background and only while shown.

    `add_changed` carries what to add and by when, empty where nothing has to be added.
    """

    add_changed = Signal(str)

    def __init__(self, place: Place, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName(f"{place}FuelLine")
        self._place: Place = place
        #: Whether what it tells is in sight elsewhere: then it asks although it can't be seen.
        self.watched = False
        self._context = context
        self._cook_id: int | None = None
        self._schedule = Schedule()
        self._simulated = False
        self._taught: Taught | None = None
        self._add = ""
        self._room_px = 0
        self.label = QLabel(self) if place == "stores" else ShortLabel(self)
        self.label.setObjectName(f"{place}Fuel")
        self.label.setAccessibleName(self.tr("Fuel to expect"))
        self.label.setProperty("kind", "faint")
        if place == "stores":
            self.label.setWordWrap(True)
        self.label.setSizePolicy(
            QSizePolicy.Policy.Ignored if place != "stores" else QSizePolicy.Policy.Preferred,
            QSizePolicy.Policy.Preferred,
        )
        self.more = new_button(
            self,
            self.tr("Fuel…"),
            name=f"{place}FuelMore",
            kind="quiet" if place == "tend" else "quick",
            hears=self.tr("Fuel to expect, in full"),
        )
        if place == "tend":
            # No higher than its line: every line counts there.
            self.more.setFixedHeight(self.more.fontMetrics().height() + 6)
        self.more.setToolTip(self.tr("Fuel to expect, and the cooker that it is estimated for"))
        self.more.setFocusPolicy(
            Qt.FocusPolicy.TabFocus if place != "tend" else Qt.FocusPolicy.NoFocus
        )
        self.more.clicked.connect(self._on_more)
        new_row(self, (self.label, 1), self.more, spacing=8, margins=0)
        self._refresher = Refresher(
            self,
            context,
            self._ask,
            self._on_answer,
            self._on_failed,
            soon_ms=SOON_MS,
            in_sight=self._in_sight,
        )
        context.cook_changed.connect(self._on_changed)
        context.ticked.connect(self._on_tick)
        context.units_changed.connect(self._refresher.mark)
        self.setVisible(False)

    # -- for the page ------------------------------------------------------------------------

    def show_cook(
        self, cook_id: int | None, schedule: Schedule, *, simulated: bool = False
    ) -> None:
        """Tell of this cook's fuel; of none with None."""
        same = (cook_id, schedule, simulated) == (self._cook_id, self._schedule, self._simulated)
        if same:
            return
        if simulated != self._simulated:
            self._taught = None
        if cook_id != self._cook_id:
            self.label.setText("")
            self._tell_of("")
        self._cook_id, self._schedule, self._simulated = cook_id, schedule, simulated
        self._show_or_hide()
        self._refresher.mark()

    def make_room(self, px: int) -> None:
        """It has so much room. Where what to add already stands beside it, its words, which say the same at
        greater length, show only if they fit."""
        self._room_px = px
        self._fit()

    def _tell_of(self, add: str) -> None:
        self._add = add
        self.add_changed.emit(add)
        self._fit()

    def _fit(self) -> None:
        self.label.ensurePolished()
        wide = self.label.fontMetrics().horizontalAdvance(self.label.text()) + 8
        fits = (
            not self._add
            or self._room_px <= 0
            or wide + self.more.sizeHint().width() <= self._room_px
        )
        self.label.setVisible(fits)
        across = QSizePolicy.Policy.Preferred if fits else QSizePolicy.Policy.Maximum
        self.setSizePolicy(across, QSizePolicy.Policy.Preferred)

    # -- asking ------------------------------------------------------------------------------

    @Slot(object)
    def _on_changed(self, change: object) -> None:
        entries = getattr(change, "entries", ())
        # What it wrote down itself is no news.
        said = any(not isinstance(entry.what, FuelForeseen) for entry in entries)
        if said or getattr(change, "settings", False):
            self._taught = None
            self._refresher.mark()

    @Slot(float)
    def _on_tick(self, now_s: float) -> None:
        if self._place != "plan" and abs(now_s - self._refresher.asked_at_s) >= EVERY_S:
            self._refresher.mark()

    def _ask(self) -> Callable[[], tuple[int, Taught, str, str]] | None:
        cook_id = self._cook_id
        if cook_id is None:
            return None
        place, schedule, taught = self._place, self._schedule, self._taught
        fuel, simulated, units = self._context.forecasts.fuel, self._simulated, self._context.units
        result = self._context.forecasts.finish.last(cook_id) if place != "plan" else None
        zone = self._context.live(cook_id).zone
        return lambda: _compute(
            fuel, place, cook_id, schedule, taught, simulated, units, result, zone
        )

    def _on_answer(self, answer: tuple[int, Taught, str, str]) -> None:
        cook_id, taught, text, add = answer
        if not self._refresher.stale:
            self._taught = taught
        if cook_id == self._cook_id:
            self.label.setText(text)
            self._tell_of(add)
            self._show_or_hide()

    def _on_failed(self, error: BaseException) -> None:
        self._tell_of("")  # what was said before may no longer hold
        self.label.setText(self.tr("Fuel to expect: {problem}").format(problem=why_of(error)))

    def _show_or_hide(self) -> None:
        """Tend has no line to spare while there is nothing to say."""
        result = self._place != "tend" or bool(self.label.text())
        self.setVisible(self._cook_id is not None and result)

    def _in_sight(self) -> bool:
        """True where it can be seen, or could if it had something to say."""
        parent = self.parentWidget()
        return self.watched or (parent is not None and parent.isVisible())

    @Slot()
    def _on_more(self) -> None:
        from smokejournal.desk.fuel.dialog import FuelDialog

        dialog = FuelDialog(
            self._context, self._cook_id, self._schedule, simulated=self._simulated, parent=self
        )
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.open()


def _compute(
    fuel: FuelForecasts,
    place: Place,
    cook_id: int,
    schedule: Schedule,
    taught: Taught | None,
    simulated: bool,
    units: Units,
    result: ForecastResult | None,
    zone: str,
) -> tuple[int, Taught, str, str]:
    """In the background: what the cooks teach, what to say of this one, and what to add."""
    from smokejournal.cook.fuel.words import add_words, now_lines, plan_line, tend_words

    known = taught if taught is not None else fuel.taught(simulated)
    if place == "plan":
        out = fuel.weather(cook_id)
        plan = fuel.plan(schedule, known, out)
        before = None
        if plan.open_stages and not plan.why:
            before = fuel.before(cook_id, schedule, known, out)
        return cook_id, known, plan_line(plan, units, before), ""
    now, until = fuel.until(cook_id, known, result)
    if until is not None:
        fuel.keep_foreseen(cook_id, until)
    if place == "tend" and now.rate_kg_h is None and now.why_not != "beyond":
        # Nothing burns that could be told of.
        return cook_id, known, "", ""
    if place == "tend":
        words = tend_words(now, units, until, zone)
        return cook_id, known, words, add_words(until, units, zone)
    # What is left comes first: it is what a tired cook looks for, and the end may be cut off.
    return cook_id, known, " ".join(reversed(now_lines(now, units, until, zone))), ""
