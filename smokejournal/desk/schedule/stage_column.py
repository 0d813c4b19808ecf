"""The stages in their order, buttons to add, copy, remove and move them, and a word on the whole."""

from __future__ import annotations

from collections.abc import Callable, Collection

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QPushButton, QWidget

from smokejournal.cook.log.schedule import Stage
from smokejournal.cook.plan.schedule_words import stage_words
from smokejournal.desk.base.clearing import throw_away
from smokejournal.desk.base.widgets import new_button, new_column, new_label, new_row, say
from smokejournal.desk.schedule.board import ScheduleBoard
from smokejournal.desk.schedule.stage_form import WarningLabel
from smokejournal.desk.schedule.stage_list import StageList, StageRow


class StageColumn(QWidget):
    """`changed` when the draft is another, or another stage is chosen by that; `added` where one came."""

    changed = Signal()
    added = Signal()

    def __init__(self, board: ScheduleBoard, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._board = board
        self.list = StageList(self)
        self.list.setMinimumWidth(230)
        self.list.move_asked.connect(self._on_move)
        self.list.remove_asked.connect(self._on_remove)
        self._buttons = new_row(None, spacing=4)
        self.add_button = self._button("addStage", self.tr("Add"), self._on_add)
        self._copy = self._button("copyStage", self.tr("Duplicate"), self._on_copy)
        self._remove = self._button("removeStage", self.tr("Remove"), self._on_remove)
        self._up = self._button("stageUp", "↑", self._on_up, self.tr("Stage up"))
        self._up.setToolTip(self.tr("Alt+Up in the list"))
        self._down = self._button("stageDown", "↓", self._on_down, self.tr("Stage down"))
        self._down.setToolTip(self.tr("Alt+Down in the list"))
        self._whole = WarningsOnWhole(self)
        new_column(self, (self.list, 1), self._buttons, self._whole, spacing=6, margins=0)

    def _button(
        self, name: str, text: str, slot: Callable[[], None], spoken: str = ""
    ) -> QPushButton:
        """A button as wide as its share, or narrow where its text is only a sign, spoken as said."""
        button = new_button(self, text, slot, name=name, kind="quick")
        if spoken:
            button.setAccessibleName(spoken)
            button.setFixedWidth(34)
        self._buttons.addWidget(button, 0 if spoken else 1)
        return button

    # -- showing ----------------------------------------------------------------------------

    def show_draft(self, unfinished: Collection[str]) -> None:
        """Show the stages and what can be done with the chosen one; `unfinished` are keys of stages of
        which a field can't be read."""
        board = self._board
        rows = [
            StageRow(
                stage.key,
                stage.name or self.tr("(no name)"),
                stage_words(stage, board.units, board.plan.channels, board.plan.zone),
                self._mark(stage.key, unfinished),
            )
            for stage in board.draft.schedule.stages
        ]
        self.list.show_lines(rows, board.key, board.draft.placed)
        self._whole.show_board(board, bool(unfinished))
        chosen = board.draft.schedule.index(board.key)
        first = sum(row.key in board.draft.placed for row in rows)
        free = chosen is not None and board.key not in board.draft.placed
        self._copy.setEnabled(chosen is not None)
        self._remove.setEnabled(free)
        self._up.setEnabled(free and chosen is not None and chosen > first)
        self._down.setEnabled(free and chosen is not None and chosen < len(rows) - 1)

    def _mark(self, key: str, unfinished: Collection[str]) -> str:
        """A word on the state of a stage; of several the one that matters most."""
        if key in self._board.draft.locked:
            return self.tr("over")
        if key in unfinished:
            return self.tr("unfinished")
        if key in self._board.draft.pinned:
            return self.tr("now")
        mine = [w for w in self._board.warnings if w.stage_key == key]
        weights = {w.weight for w in mine if not w.wants_probe}
        if "broken" in weights:
            return self.tr("can't work")
        if any(w.wants_probe for w in mine):
            return self.tr("needs a probe")
        if "doubt" in weights:
            return self.tr("look again")
        return self.tr("caution") if weights else ""

    # -- what the person does ---------------------------------------------------------------

    @Slot()
    def _on_add(self) -> None:
        stages = self._board.draft.schedule.stages
        pit_c = next((s.pit_target_c for s in reversed(stages) if s.pit_target_c is not None), None)
        name = self.tr("Stage {number}").format(number=len(stages) + 1)
        fresh = Stage("", name, pit_target_c=pit_c)
        self._board.key = self._board.draft.add(fresh, self._board.key or None)
        self.changed.emit()
        self.added.emit()

    @Slot()
    def _on_copy(self) -> None:
        if self._board.key:
            self._board.key = self._board.draft.duplicate(self._board.key)
            self.changed.emit()

    @Slot()
    def _on_remove(self) -> None:
        board = self._board
        index = board.draft.schedule.index(board.key)
        if index is None or board.key in board.draft.placed:
            return
        board.draft.remove(board.key)
        # The next one is chosen; behind the last, the board falls back on the last.
        board.key = next((s.key for s in board.draft.schedule.stages[index:]), "")
        self.changed.emit()

    @Slot()
    def _on_up(self) -> None:
        self._step(-1)

    @Slot()
    def _on_down(self) -> None:
        self._step(1)

    def _step(self, by: int) -> None:
        index = self._board.draft.schedule.index(self._board.key)
        if index is not None:
            self._on_move(self._board.key, index + by)

    @Slot(str, int)
    def _on_move(self, key: str, place: int) -> None:
        if key and key not in self._board.draft.placed and place >= 0:
            self._board.key = key
            self._board.draft.move(key, place)
            self.changed.emit()


class WarningsOnWhole(QWidget):
    """Says which stages to look at, and what speaks against the schedule as a whole."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._summary = new_label(self, name="warningSummary", kind="faint", wraps=True)
        self._box = new_column(self, self._summary, margins=0)

    def show_board(self, board: ScheduleBoard, unfinished: bool) -> None:
        """Show what was found; `unfinished` while a field can't be read."""
        throw_away(self._box, self.findChildren(WarningLabel))
        stages = board.draft.schedule.stages
        # Without a stage the words beside the list say how to begin; nothing is wrong yet.
        for warning in board.warnings if stages else ():
            if warning.stage_key is None:
                self._box.addWidget(WarningLabel(warning, self))
        text = (
            "" if board.warnings or unfinished else self.tr("No problems found in this schedule.")
        )
        names = {s.key: s.name or self.tr("(no name)") for s in stages}
        at = dict.fromkeys(w.stage_key for w in board.warnings if w.stage_key is not None)
        probeless = any(w.wants_probe for w in board.warnings)
        broken = sum(w.weight == "broken" and not w.wants_probe for w in board.warnings)
        if at:
            text = self.tr("Look at: {stages}.").format(
                stages=", ".join(f"“{names[key]}”" for key in at)
            )
        if at and broken == 1:
            text = self.tr("One thing can't work. {look}").format(look=text)
        elif at and broken:
            text = self.tr("{count} things can't work. {look}").format(count=broken, look=text)
        elif at and probeless:
            text = self.tr("A probe is missing. {look}").format(look=text)
        say(self._summary, text)
