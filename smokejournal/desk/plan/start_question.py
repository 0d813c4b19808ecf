"""What is to be read before a cook is started off its plan."""

from __future__ import annotations

from PySide6.QtCore import QCoreApplication, Qt
from PySide6.QtWidgets import QWidget

from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.parts.ask_dialog import AskDialog
from smokejournal.desk.parts.other_cook_notice import OtherCook
from smokejournal.desk.schedule.editor import ScheduleEditor
from smokejournal.desk.schedule.stage_form import WarningLabel


def start_question(
    context: DeskContext, cook_id: int | None, editor: ScheduleEditor, page: QWidget
) -> AskDialog | None:
    """A dialog with what speaks against starting now; None where nothing does."""
    points: list[QWidget] = []
    for warning in editor.board.warnings:
        stage = editor.draft.schedule.stage(warning.stage_key or "")
        points.append(WarningLabel(warning, stage_name=stage.name if stage else ""))
    other = OtherCook(context, cook_id)
    if other.is_there:
        points.insert(0, other)
    if not points:
        return None
    translate = QCoreApplication.translate
    dialog = AskDialog(
        translate("PlanPage", "Start the cook?"),
        translate("PlanPage", "Read this first:"),
        translate("PlanPage", "Start anyway"),
        translate("PlanPage", "Back to the plan"),
        points,
        page,
    )
    dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    return dialog
