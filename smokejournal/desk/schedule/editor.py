"""The schedule on the drawing board: list, form, warnings, preview, undo, saved schedules."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence

from PySide6.QtCore import QEvent, QObject, Qt, Signal, Slot
from PySide6.QtGui import QKeyEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QApplication,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from smokejournal.cook.log.schedule import Schedule, Stage
from smokejournal.cook.plan.food_cautions import all_warnings
from smokejournal.cook.plan.plan import Plan
from smokejournal.cook.plan.schedule_check import Warning_
from smokejournal.cook.plan.schedule_draft import ScheduleDraft
from smokejournal.cook.plan.schedule_sketch import sketch
from smokejournal.cook.plan.schedule_words import stage_words
from smokejournal.cook.safety.cautions import cautions_for
from smokejournal.cook.text.quantities import METRIC, Units
from smokejournal.desk.parts.fields import TextField
from smokejournal.desk.parts.tall_scroll import TallScroll
from smokejournal.desk.schedule.preview import SchedulePreview
from smokejournal.desk.schedule.saved import ScheduleMenu
from smokejournal.desk.schedule.stage_form import StageForm, WarningLabel
from smokejournal.desk.schedule.stage_list import StageList, StageRow

UNDO_KEYS = (QKeySequence("Ctrl+Z"),)
REDO_KEYS = (QKeySequence("Ctrl+Shift+Z"), QKeySequence("Ctrl+Y"))


class ScheduleEditor(QWidget):
    """`changed` comes with every change of the draft, and when a field becomes readable or not."""

    changed = Signal()
    save_asked = Signal(object)
    forget_asked = Signal(str)

    def __init__(self, now_s: Callable[[], float], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("scheduleEditor")
        self._now_s = now_s
        self._plan = Plan()
        self._units = METRIC
        self.draft = ScheduleDraft()
        self._forms: dict[str, StageForm] = {}
        self._key = ""
        self._running = ""
        self.warnings: tuple[Warning_, ...] = ()
        self._build()
        self._sync()
        app = QApplication.instance()
        if isinstance(app, QApplication):
            app.focusChanged.connect(self._on_focus)

    # -- for the page -----------------------------------------------------------------------

    def load(
        self,
        schedule: Schedule,
        *,
        locked: Collection[str] = (),
        running: str = "",
        taken: Collection[str] = (),
    ) -> None:
        """Put another schedule on the board; what was on it is gone."""
        self.draft = ScheduleDraft(schedule, locked, {running} - {""}, taken)
        for form in self._forms.values():
            form.hide()
            form.deleteLater()
        self._forms = {}
        self._running = running
        first = running or next((s.key for s in schedule.stages if s.key not in locked), "")
        self._key = first or (schedule.stages[-1].key if schedule.stages else "")
        self._sync()

    def set_progress(self, locked: Collection[str], running: str) -> None:
        """Stages that are over, and the one under way."""
        if frozenset(locked) != self.draft.locked or running != self._running:
            self._running = running
            self.draft.lock(locked, {running} - {""})
            self._sync()

    def set_plan(self, plan: Plan) -> None:
        """What the schedule is checked against: probes, food, place."""
        self._plan = plan
        for form in self._forms.values():
            form.set_channels(self._channel_names())
        self._sync()

    def set_units(self, units: Units) -> None:
        """Show every quantity in these units."""
        self._units = units
        for form in self._forms.values():
            form.set_units(units)
        self.menu.set_units(units)
        self._sync()

    def set_ground(self, name: str) -> None:
        """Draw on this ground."""
        self.preview.set_ground(name)
        self.list.set_ground(name)

    def set_patterns(self, patterns: Sequence[tuple[str, Schedule]]) -> None:
        """The person's saved schedules by name."""
        self.menu.set_saved(patterns)

    def unfinished(self) -> list[Stage]:
        """Stages of which a field can't be read."""
        return [
            s
            for s in self.draft.schedule.stages
            if s.key in self._forms and self._forms[s.key].bad_field() is not None
        ]

    def check(self) -> bool:
        """True where everything typed is in the draft; else shows the first field that is not."""
        for stage in self.unfinished():
            self._choose(stage.key)
            form = self._forms[stage.key]
            form.check()
            bad = form.bad_field()
            if bad is not None:
                bad.setFocus()
                self._scroll.ensureWidgetVisible(bad)
            return False
        if not self.name.check():
            self.name.setFocus()
            return False
        return True

    # -- building ---------------------------------------------------------------------------

    def _build(self) -> None:
        self.preview = SchedulePreview(self)
        self.preview.stage_asked.connect(self._choose)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addLayout(self._build_head())
        column.addWidget(self.preview)
        row = QHBoxLayout()
        row.setSpacing(12)
        row.addLayout(self._build_left(), 2)
        row.addWidget(self._build_right(), 3)
        column.addLayout(row, 1)
        self._shortcuts = []
        for keys, slot in ((UNDO_KEYS, self.undo), (REDO_KEYS, self.redo)):
            for key in keys:
                shortcut = QShortcut(key, self)
                shortcut.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
                shortcut.activated.connect(slot)
                self._shortcuts.append(shortcut)

    def _build_head(self) -> QHBoxLayout:
        self.name = TextField(
            "scheduleName", self.tr("Name of the schedule"), self, hint=self.tr("Schedule name")
        )
        self.name.edit.setMinimumHeight(34)
        self.name.changed.connect(self._on_name)
        self.use_button = self._button("usePattern", self.tr("Use a schedule"))
        self.menu = ScheduleMenu(self)
        self.menu.used.connect(self._on_use)
        self.menu.forget_asked.connect(self.forget_asked)
        self.use_button.setMenu(self.menu)
        self.save_button = self._button("savePattern", self.tr("Save for reuse"), self._on_save)
        self.undo_button = self._button("undoPlan", self.tr("Undo"), self.undo)
        self.undo_button.setToolTip(self.tr("Ctrl+Z"))
        self.redo_button = self._button("redoPlan", self.tr("Redo"), self.redo)
        self.redo_button.setToolTip(self.tr("Ctrl+Shift+Z"))
        row = QHBoxLayout()
        row.setSpacing(8)
        row.addWidget(self.name, 1, Qt.AlignmentFlag.AlignTop)
        for button in (self.use_button, self.save_button, self.undo_button, self.redo_button):
            row.addWidget(button, 0, Qt.AlignmentFlag.AlignTop)
        return row

    def _build_left(self) -> QVBoxLayout:
        self.list = StageList(self)
        self.list.setMinimumWidth(230)
        self.list.chosen.connect(self._choose)
        self.list.move_asked.connect(self._on_move)
        self.list.remove_asked.connect(self._on_remove)
        self.list.disordered.connect(self._show_list, Qt.ConnectionType.QueuedConnection)
        self.add_button = self._button("addStage", self.tr("Add"), self._on_add)
        self.copy_button = self._button("copyStage", self.tr("Duplicate"), self._on_copy)
        self.remove_button = self._button("removeStage", self.tr("Remove"), self._on_remove)
        self.up_button = self._button("stageUp", "↑", self._on_up)
        self.up_button.setAccessibleName(self.tr("Stage up"))
        self.up_button.setToolTip(self.tr("Alt+Up in the list"))
        self.down_button = self._button("stageDown", "↓", self._on_down)
        self.down_button.setAccessibleName(self.tr("Stage down"))
        self.down_button.setToolTip(self.tr("Alt+Down in the list"))
        buttons = QHBoxLayout()
        buttons.setSpacing(4)
        for button in (self.add_button, self.copy_button, self.remove_button):
            button.setProperty("kind", "quick")
            buttons.addWidget(button, 1)
        for button in (self.up_button, self.down_button):
            button.setFixedWidth(34)
            button.setProperty("kind", "quick")
            buttons.addWidget(button)
        self.summary = QLabel(self)
        self.summary.setObjectName("warningSummary")
        self.summary.setWordWrap(True)
        self.summary.setProperty("kind", "faint")
        inside = QWidget(self)
        self._whole_box = QVBoxLayout(inside)
        self._whole_box.setContentsMargins(0, 0, 0, 0)
        self._whole_box.addWidget(self.summary)
        column = QVBoxLayout()
        column.setSpacing(6)
        column.addWidget(self.list, 1)
        column.addLayout(buttons)
        column.addWidget(inside)
        return column

    def _build_right(self) -> QWidget:
        self._scroll = TallScroll(self)
        self._scroll.setMaximumWidth(900)
        inside = QWidget(self._scroll)
        self._form_box = QVBoxLayout(inside)
        self._form_box.setContentsMargins(0, 0, 0, 0)
        self._empty = QLabel(
            self.tr("Add a stage, or use a schedule that is already there, to begin."), inside
        )
        self._empty.setProperty("kind", "faint")
        self._empty.setWordWrap(True)
        self._empty.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._form_box.addWidget(self._empty)
        self._scroll.set_content(inside)
        return self._scroll

    def _button(self, name: str, text: str, slot: Callable[[], None] | None = None) -> QPushButton:
        button = QPushButton(text, self)
        button.setObjectName(name)
        if slot is not None:
            button.clicked.connect(slot)
        return button

    # -- showing ----------------------------------------------------------------------------

    def _channel_names(self) -> list[tuple[str, str]]:
        return [(key, channel.name or key) for key, channel in self._plan.channels.items()]

    def _sync(self, origin: StageForm | None = None) -> None:
        """Show the draft everywhere but in the form that it comes from."""
        schedule = self.draft.schedule
        if schedule.stage(self._key) is None:
            self._key = schedule.stages[-1].key if schedule.stages else ""
        self.warnings = all_warnings(
            schedule, self._plan, self._units, self._now_s(), tuple(self.draft.locked)
        )
        self.name.set_text(schedule.name)
        for stage in schedule.stages:
            form = self._forms.get(stage.key)
            if form is not None and form is not origin:
                form.show_stage(stage)
        self._show_form()
        self._show_list()
        self._show_warnings()
        self._show_buttons()

    def _show_form(self) -> None:
        stage = self.draft.schedule.stage(self._key)
        self._empty.setVisible(stage is None)
        if stage is not None and self._key not in self._forms:
            form = StageForm(
                stage, self, units=self._units, zone=self._plan.zone, now_s=self._now_s()
            )
            form.set_channels(self._channel_names())
            form.edited.connect(self._on_edited)
            form.trouble_changed.connect(self._on_trouble)
            self._forms[self._key] = form
            self._form_box.insertWidget(0, form)
        for key, form in self._forms.items():
            form.setVisible(key == self._key)
        if stage is None:
            return
        form = self._forms[self._key]
        if stage.key in self.draft.locked:
            form.set_locked(True, self.tr("This stage is over. It stays as it was."))
        elif stage.key == self._running:
            form.set_locked(
                False, self.tr("This stage is under way. What you change here holds from now on.")
            )
        else:
            form.set_locked(False)
        form.set_warnings([w for w in self.warnings if w.stage_key == stage.key])
        form.set_advice(self._advice())
        for kind in (QLineEdit, QPlainTextEdit):
            for edit in form.findChildren(kind):
                edit.removeEventFilter(self)
                edit.installEventFilter(self)

    def _advice(self) -> str:
        """The published least temperatures of what is on the plan, for beside the targets."""
        items = [item for _, item in self._plan.items]
        found = cautions_for(items, "plan", self._units) if items else ()
        return "\n".join(c.in_full for c in found if c.key == "minimum")

    @Slot()
    def _show_list(self) -> None:
        warned: dict[str | None, str] = {}
        for weight in ("caution", "doubt", "broken"):
            warned |= {w.stage_key: weight for w in self.warnings if w.weight == weight}
        bad = {s.key for s in self.unfinished()}
        lines = []
        for stage in self.draft.schedule.stages:
            mark = ""
            if stage.key in self.draft.locked:
                mark = self.tr("over")
            elif stage.key in bad:
                mark = self.tr("unfinished")
            elif stage.key == self._running:
                mark = self.tr("now")
            elif stage.key in warned:
                mark = {
                    "broken": self.tr("can't work"),
                    "doubt": self.tr("look again"),
                    "caution": self.tr("caution"),
                }[warned[stage.key]]
            words = stage_words(stage, self._units, self._plan.channels, self._plan.zone)
            lines.append(StageRow(stage.key, stage.name or self.tr("(no name)"), words, mark))
        self.list.show_lines(lines, self._key, self.draft.placed)
        self.preview.show_plan(
            sketch(self.draft.schedule, self._plan.channels, self._units, self._plan.zone),
            self._units,
            chosen=self._key,
            warned={key for key in warned if key},
            past=self.draft.locked,
        )

    def _show_warnings(self) -> None:
        while self._whole_box.count() > 1:
            item = self._whole_box.takeAt(1)
            widget = item.widget() if item is not None else None
            if widget is not None:
                widget.hide()
                widget.deleteLater()
        names = {s.key: s.name or self.tr("(no name)") for s in self.draft.schedule.stages}
        # Without a stage the words beside the list say how to begin; nothing is wrong yet.
        for warning in self.warnings if self.draft.schedule.stages else ():
            if warning.stage_key is None:
                self._whole_box.addWidget(WarningLabel(warning, self))
        at = list(dict.fromkeys(w.stage_key for w in self.warnings if w.stage_key is not None))
        broken = sum(w.weight == "broken" for w in self.warnings)
        if not self.warnings:
            text = "" if self.unfinished() else self.tr("Nothing speaks against this schedule.")
        elif not at:
            text = ""
        else:
            text = self.tr("Look at: {stages}.").format(
                stages=", ".join(f"“{names[k]}”" for k in at)
            )
            if broken == 1:
                text = self.tr("One thing can't work. {look}").format(look=text)
            elif broken:
                text = self.tr("{count} things can't work. {look}").format(count=broken, look=text)
        self.summary.setText(text)
        self.summary.setVisible(bool(text))

    def _show_buttons(self) -> None:
        stages = self.draft.schedule.stages
        chosen = self.draft.schedule.index(self._key)
        free = chosen is not None and self._key not in self.draft.placed
        first = sum(s.key in self.draft.placed for s in stages)
        self.copy_button.setEnabled(chosen is not None)
        self.remove_button.setEnabled(free)
        self.up_button.setEnabled(free and chosen is not None and chosen > first)
        self.down_button.setEnabled(free and chosen is not None and chosen < len(stages) - 1)
        self.undo_button.setEnabled(bool(self.draft.can_undo))
        self.redo_button.setEnabled(bool(self.draft.can_redo))
        self.save_button.setEnabled(bool(stages))

    # -- what the person does ---------------------------------------------------------------

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        # A line of text would undo its letters by itself; here undo means the plan.
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            pressed = QKeySequence(event.keyCombination())
            if any(pressed == key for key in (*UNDO_KEYS, *REDO_KEYS)):
                event.ignore()
                return True
        return super().eventFilter(watched, event)

    @Slot()
    def undo(self) -> None:
        """Take the last change of the draft back."""
        if self.draft.undo():
            self._changed()

    @Slot()
    def redo(self) -> None:
        """Do again what was taken back."""
        if self.draft.redo():
            self._changed()

    def _changed(self, origin: StageForm | None = None) -> None:
        self._sync(origin)
        self.changed.emit()

    @Slot()
    def _on_focus(self) -> None:
        # Typing in another field is another step to take back.
        self.draft.end_merge()

    @Slot(str)
    def _choose(self, key: str) -> None:
        if key and key != self._key:
            self.draft.end_merge()
            self._key = key
            self._sync(self._forms.get(key))
            self._scroll.verticalScrollBar().setValue(0)

    @Slot(object, str)
    def _on_edited(self, stage: Stage, field: str) -> None:
        form = self._forms.get(stage.key)
        self.draft.put(stage, field)
        self._changed(form)

    @Slot()
    def _on_trouble(self) -> None:
        self._show_list()
        self._show_warnings()
        self.changed.emit()

    @Slot()
    def _on_name(self) -> None:
        self.draft.rename(self.name.text())
        self._changed()

    @Slot()
    def _on_add(self) -> None:
        stages = self.draft.schedule.stages
        pit_c = next((s.pit_target_c for s in reversed(stages) if s.pit_target_c is not None), None)
        fresh = Stage(
            "", self.tr("Stage {number}").format(number=len(stages) + 1), pit_target_c=pit_c
        )
        self._key = self.draft.add(fresh, self._key or None)
        self._changed()
        form = self._forms[self._key]
        form.name.edit.setFocus()
        form.name.edit.selectAll()

    @Slot()
    def _on_copy(self) -> None:
        if self._key:
            self._key = self.draft.duplicate(self._key)
            self._changed()

    @Slot()
    def _on_remove(self) -> None:
        index = self.draft.schedule.index(self._key)
        if index is None or self._key in self.draft.placed:
            return
        self.draft.remove(self._key)
        stages = self.draft.schedule.stages
        self._key = stages[min(index, len(stages) - 1)].key if stages else ""
        self._changed()

    @Slot()
    def _on_up(self) -> None:
        self._step(-1)

    @Slot()
    def _on_down(self) -> None:
        self._step(1)

    def _step(self, by: int) -> None:
        index = self.draft.schedule.index(self._key)
        if index is not None:
            self._on_move(self._key, index + by)

    @Slot(str, int)
    def _on_move(self, key: str, place: int) -> None:
        if key and key not in self.draft.placed and place >= 0:
            self._key = key
            self.draft.move(key, place)
            self._changed()

    @Slot(object)
    def _on_use(self, schedule: Schedule) -> None:
        self.draft.take_over(schedule)
        free = [s.key for s in self.draft.schedule.stages if s.key not in self.draft.placed]
        self._key = self._running or (free[0] if free else "")
        self._changed()

    @Slot()
    def _on_save(self) -> None:
        if not self.check():
            return
        if not self.name.text():
            self.name.refuse(self.tr("Give the schedule a name to save it by."))
            self.name.setFocus()
            return
        self.save_asked.emit(self.draft.schedule)
