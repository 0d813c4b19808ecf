"""The strip that says how the running input is doing."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFrame, QWidget

from smokejournal.cook.text import quantities
from smokejournal.desk.base.widgets import new_button, new_column, new_label, new_row
from smokejournal.inputs.source import SourceStatus
from smokejournal.services.feeds.control import FeedStatus

#: Reasons for refusing lines that are told in words.
SHOWN = 3


class FeedStrip(QFrame):
    """Hidden while nothing runs and nothing is wrong. `stop_asked` by its button."""

    stop_asked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("feedStrip")
        self.setAccessibleName(self.tr("The running input"))
        self.setProperty("kind", "sheet")
        self.text = new_label(self, name="feedText", wraps=True)
        self.counts = new_label(self, name="feedCounts", kind="faint", wraps=True)
        self.trouble = new_label(self, name="feedTrouble", kind="problem", wraps=True)
        self.stop = new_button(self, self.tr("S&top this input"), self.stop_asked, name="feedStop")
        words = new_column(None, self.text, self.counts, self.trouble, spacing=2)
        new_row(self, (words, 1), self.stop, margins=(12, 6, 8, 6))
        self.hide()

    def show_status(self, status: FeedStatus, title: str, now_s: float) -> None:
        """Say how it stands. `title` is the cook that is fed."""
        source = status.source
        if source is None:
            self.text.setText(self.tr("No input is running."))
            self.counts.setText("")
        else:
            text = self.tr("For {title}: {state}").format(title=title, state=source.text)
            if status.simulated:
                text = self.tr("SIMULATED. {text}").format(text=text)
            self.text.setText(text)
            parts = [self.tr("{count} readings").format(count=source.readings)]
            if source.last_line_s is not None:
                parts.append(
                    self.tr("last line {ago}").format(
                        ago=quantities.ago(max(0.0, now_s - source.last_line_s))
                    )
                )
            if source.lines_refused or source.refused:
                parts.append(self.tr("refused: {reasons}").format(reasons=self._reasons(source)))
            if source.missed:
                parts.append(
                    self.tr("{count} rows passed over while the program was not running").format(
                        count=source.missed
                    )
                )
            self.counts.setText(" · ".join(parts))
        trouble = status.trouble
        if status.unwritten:
            waiting = self.tr(
                "{count} readings are not recorded yet. They are tried again."
            ).format(count=status.unwritten)
            trouble = f"{trouble} {waiting}".strip()
        self.trouble.setText(trouble)
        self.counts.setVisible(bool(self.counts.text()))
        self.trouble.setVisible(bool(trouble))
        self.stop.setVisible(source is not None)
        self.setVisible(source is not None or bool(trouble))

    def _reasons(self, source: SourceStatus) -> str:
        """Why lines were refused, the commonest reasons in words; none goes uncounted."""
        reasons = [f"{r.count} × {r.reason}" for r in source.refused[:SHOWN]]
        others = sum(r.count for r in source.refused[SHOWN:])
        if others:
            reasons.append(self.tr("{count} × for other reasons").format(count=others))
        return ", ".join(reasons)
