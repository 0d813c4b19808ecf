"""The head of Plan: the cook's title, how it stands, and the tabs of the parts that share the room."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, Qt, Signal, Slot
from PySide6.QtWidgets import QSizePolicy, QTabBar, QWidget

from smokejournal.cook.plan.plan import Plan
from smokejournal.desk.base.widgets import new_button, new_label, new_row
from smokejournal.desk.parts.short_label import ShortLabel

#: The tabs in their order.
FOOD, SCHEDULE, TIMES, LAST_TIME = range(4)


class PlanHead(QWidget):
    """`again_asked`: plan this cook again. `turned`: another part is to be seen.

    Where there is room for two halves, food stays in sight at the left and has no tab.
    """

    again_asked = Signal()
    turned = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._title = ""
        self._wide = False
        self.tabs = QTabBar(self)
        self.tabs.setObjectName("planTabs")
        self.tabs.setAccessibleName(self.tr("Parts of the plan"))
        self.tabs.setDrawBase(False)
        self.tabs.setExpanding(False)
        self.tabs.setUsesScrollButtons(False)
        self.tabs.addTab(self.tr("Food and probes"))
        self.tabs.addTab(self.tr("Schedule"))
        self.tabs.addTab(self.tr("Times"))
        self.tabs.addTab(self.tr("Last time"))
        self.tabs.setTabVisible(LAST_TIME, False)
        self.tabs.currentChanged.connect(self._on_turned)
        self.name = new_label(self, name="planName", kind="title")
        self.name.installEventFilter(self)
        self.name.setMinimumWidth(120)
        self.name.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.note = ShortLabel(self)
        self.note.setObjectName("planNote")
        self.note.setProperty("kind", "faint")
        self.again = new_button(
            self, self.tr("Plan again from this cook"), self.again_asked, name="planAgain"
        )
        self._row = new_row(
            self, (self.name, 1), self.note, self.again, self.tabs, spacing=16, margins=0
        )

    def add_action(self, button: QWidget) -> None:
        """Put a button before the tabs."""
        self._row.insertWidget(self._row.count() - 1, button)

    @property
    def part(self) -> int:
        """The part that is turned to."""
        return self.tabs.currentIndex()

    def turn_to(self, part: int) -> None:
        """Turn to a part, where it isn't in sight anyway."""
        if not (self._wide and part == FOOD):
            self.tabs.setCurrentIndex(part)

    def set_wide(self, wide: bool) -> None:
        """Whether food stands beside the other parts."""
        if wide == self._wide:
            return
        self._wide = wide
        if wide and self.part == FOOD:
            self.tabs.setCurrentIndex(SCHEDULE)
        self.tabs.setTabVisible(FOOD, not wide)

    def set_again(self, again: bool) -> None:
        """Whether this plan was made from an earlier cook."""
        if not again and self.part == LAST_TIME:
            self.tabs.setCurrentIndex(SCHEDULE)
        if self.tabs.isTabVisible(LAST_TIME) != again:
            self.tabs.setTabVisible(LAST_TIME, again)
            # Qt lays out the tabs anew, but doesn't ask for the room.
            self.tabs.updateGeometry()

    def show_plan(self, plan: Plan) -> None:
        """Title and standing."""
        self._title = plan.title
        self._show_name()
        facts = [self.tr("SIMULATED")] if plan.simulated else []
        if plan.closed:
            facts.append(self.tr("This cook is over. Its plan stays as it was."))
        elif plan.started:
            facts.append(self.tr("Under way. Changes hold from now on."))
        self.note.setText(" · ".join(facts))
        self.again.setVisible(plan.closed)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if watched is self.name and event.type() == QEvent.Type.Resize:
            self._show_name()
        return super().eventFilter(watched, event)

    def _show_name(self) -> None:
        metrics = self.name.fontMetrics()
        room = self.name.width()
        self.name.setText(metrics.elidedText(self._title, Qt.TextElideMode.ElideRight, room))
        self.name.setToolTip(self._title if self.name.text() != self._title else "")
        self.name.setAccessibleName(self._title)

    @Slot()
    def _on_turned(self) -> None:
        self.turned.emit()
