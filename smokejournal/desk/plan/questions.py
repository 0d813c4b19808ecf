"""What Plan asks back: before a cook is started, and before one that is under way is altered."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import QCoreApplication, Qt
from PySide6.QtWidgets import QLabel, QWidget

from smokejournal.cook.log.entries import LeadSet
from smokejournal.cook.plan.plan import Plan
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.parts.ask_dialog import AskDialog
from smokejournal.desk.parts.other_cook_notice import OtherCook
from smokejournal.desk.schedule.editor import ScheduleEditor
from smokejournal.desk.schedule.stage_form import WarningLabel

_translate = QCoreApplication.translate


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
    dialog = AskDialog(
        _translate("PlanPage", "Start the cook?"),
        _translate("PlanPage", "Read this first:"),
        _translate("PlanPage", "Start anyway"),
        _translate("PlanPage", "Back to the plan"),
        points,
        page,
    )
    dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    return dialog


def ask_lead(
    plan: Plan, chosen: LeadSet, page: QWidget, yes: Callable[[], None], no: Callable[[], None]
) -> None:
    """Ask whether another probe is to lead or check from now on."""
    names = {key: channel.name or key for key, channel in plan.channels.items()}
    check = names.get(chosen.check or "", "")
    if chosen.lead != plan.lead:
        text = _translate(
            "PlanPage",
            "From now on the stage, its alarms and the forecast follow {lead}. Check probe: {check}.",
        )
    else:
        text = _translate("PlanPage", "{lead} goes on leading. Check probe from now on: {check}.")
    text = text.format(
        lead=names.get(chosen.lead, chosen.lead), check=check or _translate("PlanPage", "none")
    )
    _ask(
        _translate("PlanPage", "Change the probes of the cook under way?"), text, (), page, yes, no
    )


def ask_schedule(lines: Sequence[str], page: QWidget, yes: Callable[[], None]) -> None:
    """Ask whether the schedule is to be this from now on."""
    _ask(
        _translate("PlanPage", "Change the cook under way?"),
        _translate("PlanPage", "From now on it goes by this. Undo and Save take it back."),
        lines,
        page,
        yes,
        lambda: None,
    )


def _ask(
    title: str,
    text: str,
    lines: Sequence[str],
    page: QWidget,
    yes: Callable[[], None],
    no: Callable[[], None],
) -> None:
    points = []
    for line in lines:
        label = QLabel(line)
        label.setWordWrap(True)
        points.append(label)
    dialog = AskDialog(
        title,
        text,
        _translate("PlanPage", "Change it"),
        _translate("PlanPage", "Leave it"),
        points,
        page,
    )
    dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    dialog.accepted.connect(yes)
    dialog.rejected.connect(no)
    dialog.open()
