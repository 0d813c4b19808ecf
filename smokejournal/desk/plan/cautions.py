"""The cautions on Plan: what this food asks for in full, what always holds on one line that opens."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Slot
from PySide6.QtWidgets import QWidget

from smokejournal.cook.log.entries import ItemAdded, PrepStep
from smokejournal.cook.plan.plan import Plan
from smokejournal.cook.safety.cautions import Caution, Moment, cautions_for
from smokejournal.cook.text.quantities import Units
from smokejournal.desk.base.widgets import new_button, new_column, new_label

_MOMENTS: tuple[Moment, ...] = ("plan", "fire")


class PlanCautions(QWidget):
    """Never absent: folded, the line says in short what always holds."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.food = new_label(self, name="planCautions", kind="caution", wraps=True)
        self.fold = new_button(self, "", name="planCautionsFold", kind="quick")
        self.fold.setCheckable(True)
        self.fold.toggled.connect(self._on_fold)
        self.short = new_label(
            self,
            self.tr(
                "Smoke outdoors only, measure in several places; local codes come first. "
                "Nothing here is a promise that food or fire is safe."
            ),
            name="planCautionsShort",
            kind="caution",
            wraps=True,
        )
        self.general = new_label(self, name="planCautionsGeneral", kind="caution", wraps=True)
        column = new_column(self, spacing=8, margins=0)
        for part in (self.food, self.short, self.fold, self.general):
            column.addWidget(part)
        self._on_fold(False)

    def show_plan(self, plan: Plan, units: Units) -> None:
        """Show what goes with the food and the steps on this plan, and what always holds."""
        items = [item for _, item in plan.items]
        preps = [step for _, step in plan.prep]
        always = [c.in_full for c in _cautions((), units) if c.key != "no_minimum"]
        # What "this food" needs can't be said before there is any.
        mine = [c.in_full for c in _cautions(items, units, preps) if items or c.key != "no_minimum"]
        food = [text for text in mine if text not in always]
        self.food.setText(_joined(food))
        self.food.setVisible(bool(food))
        self.general.setText(_joined([text for text in mine if text in always]))

    @Slot(bool)
    def _on_fold(self, is_open: bool) -> None:
        words = self.tr("Fold the usual cautions") if is_open else self.tr("All usual cautions")
        self.fold.setText(words)
        self.fold.setAccessibleName(words)
        self.general.setVisible(is_open)
        self.short.setVisible(not is_open)


def _cautions(
    items: Sequence[ItemAdded], units: Units, preps: Sequence[PrepStep] = ()
) -> list[Caution]:
    found = [c for m in _MOMENTS for c in cautions_for(items, m, units, preps=preps)]
    return list(dict.fromkeys(found))


def _joined(texts: list[str]) -> str:
    return "\n\n".join(texts).replace(" °", "\u00a0°")
