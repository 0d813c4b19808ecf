"""What went wrong, chosen from a list that unfolds; what usually does it is said below."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QCheckBox, QWidget

from smokejournal.cook.log.entries import FoodClass
from smokejournal.cook.summary.faults import fault_words, faults, faults_for
from smokejournal.desk.base.widgets import new_button, new_column, new_label, say


class FaultList(QWidget):
    """`changed` when one is chosen or no longer is. Folded until it is asked for."""

    changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("tasteFaults")
        self._unknown: tuple[str, ...] = ()
        self.fold = new_button(self, "", name="tasteFaultsFold", kind="quick")
        self.fold.setCheckable(True)
        self.fold.toggled.connect(self._show)
        self._inside = QWidget(self)
        rows = new_column(self._inside, spacing=2, margins=0)
        self.boxes: dict[str, QCheckBox] = {}
        for fault in faults():
            box = QCheckBox(fault.name, self._inside)
            box.setObjectName(f"fault_{fault.key}")
            box.setToolTip(" ".join(fault.causes))
            box.toggled.connect(self._on_toggled)
            self.boxes[fault.key] = box
            rows.addWidget(box)
        self.causes = new_label(self, name="tasteFaultCauses", kind="faint", wraps=True)
        column = new_column(self, spacing=4, margins=0)
        for part in (self.fold, self._inside, self.causes):
            column.addWidget(part)
        self._show()

    def offer(self, foods: Iterable[FoodClass]) -> None:
        """Offer those that are seen on these kinds of food; what is chosen stays in sight."""
        fitting = {fault.key for fault in faults_for(foods)}
        for key, box in self.boxes.items():
            box.setVisible(key in fitting or box.isChecked())

    def chosen(self) -> tuple[str, ...]:
        """Keys of what was chosen, and those of a newer version that are kept as they are."""
        return (*(key for key, box in self.boxes.items() if box.isChecked()), *self._unknown)

    def choose(self, keys: Iterable[str]) -> None:
        """Show these as chosen; unfold where there are any."""
        wanted = tuple(keys)
        self._unknown = tuple(key for key in wanted if key not in self.boxes)
        for key, box in self.boxes.items():
            box.blockSignals(True)
            box.setChecked(key in wanted)
            box.blockSignals(False)
            if key in wanted:
                box.show()
        self.fold.setChecked(bool(wanted))
        self._show()

    @Slot()
    def _on_toggled(self) -> None:
        self._show()
        self.changed.emit()

    @Slot()
    def _show(self) -> None:
        chosen = self.chosen()
        words = (
            self.tr("What went wrong ({count})").format(count=len(chosen))
            if chosen
            else self.tr("Did something go wrong?")
        )
        self.fold.setText(words)
        self.fold.setAccessibleName(words)
        self._inside.setVisible(self.fold.isChecked())
        lines = [
            self.tr("{fault}. Often: {causes}").format(fault=name, causes=causes)
            for name, causes in fault_words(chosen)
            if causes
        ]
        say(self.causes, "\n".join(lines))
