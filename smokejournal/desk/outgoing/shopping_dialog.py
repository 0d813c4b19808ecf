"""The shopping list of a plan: what it needs, what the stores hold, what is to be bought."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

from PySide6.QtCore import Qt, Slot
from PySide6.QtGui import QFontMetrics, QGuiApplication
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QPlainTextEdit,
    QPushButton,
    QWidget,
)

from smokejournal.cook.log.schedule import Schedule
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.text.translate import translate
from smokejournal.desk.base.background import in_background
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.error_words import cure_of, why_of
from smokejournal.desk.base.widgets import new_button, new_column, new_label
from smokejournal.desk.outgoing.file_saver import FileSaver


class ShoppingDialog(QDialog):
    """For one plan by one schedule, kept or not. The list is made in the background."""

    def __init__(
        self,
        context: DeskContext,
        cook_id: int,
        title: str,
        schedule: Schedule,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setObjectName("shoppingDialog")
        self.setWindowTitle(self.tr("Shopping list"))
        self._context = context
        self._title = title
        self.saver = FileSaver(context, self)
        self.state = new_label(
            self,
            self.tr("Looking at the plan and into the stores …"),
            name="shoppingState",
            wraps=True,
        )
        self.state.setTextFormat(Qt.TextFormat.PlainText)
        self.list = QPlainTextEdit(self)
        self.list.setObjectName("shoppingList")
        self.list.setAccessibleName(self.tr("Shopping list"))
        self.list.setReadOnly(True)
        self.list.setTabChangesFocus(True)
        buttons = QDialogButtonBox(self)
        self.copy = self._button("shoppingCopy", self.tr("&Copy"), self._on_copy)
        self.save = self._button("shoppingSave", self.tr("&Save as text…"), self._on_save)
        for button in (self.copy, self.save):
            buttons.addButton(button, QDialogButtonBox.ButtonRole.ActionRole)
        close = buttons.addButton(self.tr("Close"), QDialogButtonBox.ButtonRole.RejectRole)
        close.setObjectName("shoppingClose")
        close.setDefault(True)
        buttons.rejected.connect(self.reject)
        new_column(self, self.state, (self.list, 1), buttons, spacing=12, margins=(18, 16, 18, 14))
        metrics = QFontMetrics(self.list.font())
        self.resize(72 * metrics.averageCharWidth(), 32 * metrics.lineSpacing())
        context.after(
            in_background(partial(_made, context, cook_id, title, schedule, context.units)),
            self._on_made,
            self._on_failed,
        )

    def _button(self, name: str, text: str, on: Callable[[], None]) -> QPushButton:
        button = new_button(self, text, on, name=name, auto=False)
        button.setEnabled(False)
        return button

    def _on_made(self, text: str) -> None:
        self.state.setText(
            self.tr(
                "Amounts are on the safe side: the most you may need, minus the least that may "
                "be left."
            )
        )
        self.list.setPlainText(text)
        self.copy.setEnabled(True)
        self.save.setEnabled(True)

    def _on_failed(self, error: BaseException) -> None:
        text = self.tr("The list could not be made: {why}").format(why=why_of(error))
        self.state.setText(f"{text} {cure_of(error)}".strip())

    @Slot()
    def _on_copy(self) -> None:
        QGuiApplication.clipboard().setText(self.list.toPlainText())
        self.state.setText(self.tr("Copied."))

    @Slot()
    def _on_save(self) -> None:
        content = self.list.toPlainText().encode("utf-8", "replace")

        def write(path: Path) -> str:
            from smokejournal.services.stores.files import write_whole

            write_whole(content, path)
            return ""

        self.saver.ask(
            self.tr("Save the shopping list"),
            self.tr("Shopping {title}").format(title=self._title),
            "txt",
            {self.tr("Text (*.txt)"): write},
        )


def _made(context: DeskContext, cook_id: int, title: str, schedule: Schedule, units: Units) -> str:
    """In the background: the plan's needs against the stores, in words."""
    from smokejournal.cook.fuel.words import why_not_words
    from smokejournal.cook.plan.plan import plan_of
    from smokejournal.cook.plan.prep_progress import prep_progress
    from smokejournal.cook.stores.shopping import shopping_list, shopping_text
    from smokejournal.services.stores.stores import Stores

    live, fuel = context.live(cook_id), context.forecasts.fuel
    log = live.log()
    plan = plan_of(log)
    need_kg, why, more = None, "", False
    if live.standing().phase != "planned":
        why = translate("Shopping", "the fire is lit: “Fuel” on Tend says what is still needed")
    else:
        taught, out = fuel.taught(plan.simulated), fuel.weather(cook_id)
        expected = fuel.plan(schedule, taught, out)
        need_kg, why = expected.total_kg, why_not_words(expected.why)
        if need_kg is None and not why:
            before = fuel.before(cook_id, schedule, taught, out)
            if before is None:
                why = translate("Shopping", "how long the fire burns can't be known beforehand")
            else:
                need_kg, more = before.total_kg, before.more
    stores = Stores(context.program)
    try:
        stock = stores.stock_lines()
    finally:
        stores.close()
    lines = shopping_list(
        [item for _, item in plan.items],
        prep_progress(log.holding()),
        need_kg,
        stock,
        fuel_why=why,
        open_end=more,
    )
    return shopping_text(title, lines, units)
