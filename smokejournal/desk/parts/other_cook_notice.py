"""What is said before a second cook begins while one is under way."""

from __future__ import annotations

from PySide6.QtWidgets import QLabel, QWidget

from smokejournal.desk.base.context import DeskContext


class OtherCook(QLabel):
    """Names the cooks that are under way besides this one; `is_there` False where there is none."""

    def __init__(
        self, context: DeskContext, cook_id: int | None, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setObjectName("otherCook")
        self.setProperty("kind", "caution")
        self.setWordWrap(True)
        others = [other for other in context.program.all_under_way() if other != cook_id]
        self.is_there = bool(others)
        names = [context.live(other).title for other in others]
        text = self.tr(
            "Under way already: {titles}. Each cook keeps to its own schedule and calls you. "
            "An input feeds one cook at a time: say on Bench which."
        )
        self.setText(text.format(titles=", ".join(f"“{name}”" for name in names)))
