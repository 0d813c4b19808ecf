"""Setting up an input: its kind, its form, what arrives, and what each column feeds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import islice
from pathlib import Path

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QHideEvent
from PySide6.QtWidgets import (
    QFrame,
    QScrollArea,
    QSizePolicy,
    QWidget,
)

from smokejournal.cook.plan.plan import Plan
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.desk.base.background import in_background
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.widgets import FILL, new_button, new_column, new_label, new_row, say
from smokejournal.desk.input_setup.format_form import FormatForm
from smokejournal.desk.input_setup.preview import PreviewPanel
from smokejournal.desk.input_setup.replay_form import ReplayForm
from smokejournal.desk.input_setup.serial_form import SerialForm
from smokejournal.desk.parts.choice_box import ChoiceBox
from smokejournal.inputs.cell import Column
from smokejournal.inputs.configs import Config
from smokejournal.inputs.line_format import LineFormat
from smokejournal.inputs.replay import ReplayConfig, guess_replay, rows_of
from smokejournal.inputs.serial_line import SerialConfig
from smokejournal.inputs.simulated import SimulatedConfig, practice
from smokejournal.inputs.source import ReceivedLine
from smokejournal.services.feeds.new_channels import NEW, usual_name, with_new_channels
from smokejournal.services.feeds.preview import LinePreview

SERIAL, REPLAY, SIMULATED, HAND = "serial", "replay", "simulated", "hand"
LOOK_MS = 250
#: Rows of a table that are read to be looked at.
ROWS_SHOWN = 200


def first_rows(config: ReplayConfig) -> tuple[ReceivedLine, ...]:
    """The first rows of a table as they are read. Runs on a worker thread."""
    return tuple(
        ReceivedLine(row.table_s or 0.0, row.raw, row.values, row.refused, row.number)
        for row in islice(rows_of(config), ROWS_SHOWN)
    )


class BenchInput(QWidget):
    """`use_asked(Config, channels)` when it is to feed the chosen cook."""

    use_asked = Signal(object, object)
    probes_asked = Signal()

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("benchInput")
        self._context = context
        self._plan: Plan | None = None
        self._look: LinePreview | None = None
        self._table: ReplayConfig | None = None
        self._reading_table = False
        self._timer = QTimer(self)
        self._timer.setInterval(LOOK_MS)
        self._timer.timeout.connect(self._on_look)
        self._build()
        self._on_kind()

    def _build(self) -> None:
        self.kind = ChoiceBox(
            self,
            name="inputKind",
            hears=self.tr("Where readings come from"),
            choices=(
                (self.tr("a serial line"), SERIAL),
                (self.tr("a table from a file"), REPLAY),
                (self.tr("a simulated pit, for practice"), SIMULATED),
                (self.tr("my own reading, typed on Tend"), HAND),
            ),
        )
        self.kind.currentIndexChanged.connect(self._on_kind)
        self.serial = SerialForm(self)
        self.replay = ReplayForm(self)
        self.replay.file_chosen.connect(self._on_file)
        self.replay.changed.connect(self._on_replay_changed)
        words = self._words(
            "simulatedWords",
            self.tr(
                "A pork loin with two probes in it, of which one reads 2 °C low, in a small "
                "pellet pit. It follows your schedule, your lid and the weather that you "
                "note, and runs by the program's clock.\n\n"
                "Its readings are marked SIMULATED wherever they appear, forever."
            ),
        )
        self._forms: dict[str, QWidget] = {
            SERIAL: self.serial,
            REPLAY: self.replay,
            SIMULATED: words,
            HAND: self._hand_words(),
        }
        self.listen = new_button(self, "", self._on_listen, name="inputListen")
        holder = QWidget()
        title = new_label(self, self.tr("Where readings come from"), kind="section")
        forms = self._forms.values()
        new_column(holder, title, self.kind, *forms, FILL, spacing=8, margins=(0, 0, 8, 0))
        scroll = QScrollArea(self)
        scroll.setAccessibleName(self.tr("Where readings come in"))
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setWidget(holder)
        side = QWidget(self)
        side.setFixedWidth(338)
        new_column(side, (scroll, 1), self.listen, margins=0)
        self.preview = PreviewPanel(self)
        self.format = FormatForm(self)
        self.format.changed.connect(self._on_format)
        self._format_title = new_label(self, self.tr("What each column is"), kind="section")
        self._problem = new_label(
            self, name="inputProblem", kind="problem", wraps=True, hidden=True
        )
        self.use = new_button(self, "", self._on_use, name="inputUse", kind="ember")
        self._why_not = new_label(self, name="inputWhyNot", kind="faint", wraps=True)
        right = new_column(None, spacing=6)
        self._arrives = new_label(self, self.tr("What arrives"), kind="section")
        right.addWidget(self._arrives)
        right.addWidget(self.preview, 5)
        right.addWidget(self._format_title)
        right.addWidget(self.format, 4)
        self._filler = QWidget(self)
        self._filler.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        right.addWidget(self._filler, 9)
        right.addWidget(self._problem)
        right.addWidget(self._why_not)
        right.addWidget(self.use, alignment=Qt.AlignmentFlag.AlignRight)
        new_row(self, side, (right, 1), spacing=20, margins=0)

    def _words(self, name: str, text: str) -> QWidget:
        label = new_label(self, text, name=name, wraps=True)
        label.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        return label

    def _hand_words(self) -> QWidget:
        holder = QWidget(self)
        column = new_column(
            holder,
            self._words(
                "handWords",
                self.tr(
                    "On Tend, press R, type what the thermometer says and press Enter. "
                    "For that the cook needs a probe that is read by hand."
                ),
            ),
            margins=0,
        )
        probes = new_button(
            holder, self.tr("Look at the &probes"), self.probes_asked, name="handProbes"
        )
        column.addWidget(probes)
        column.addStretch(1)
        return holder

    # what is shown

    def show_plan(self, plan: Plan | None) -> None:
        """The cook that readings would go to; None while none is chosen."""
        self._plan = plan
        channels = tuple(plan.channels.values()) if plan is not None else ()
        self.format.set_channels([c for c in channels if not c.by_hand])
        zone = plan.zone if plan is not None else "UTC"
        self.replay.set_place(zone, self._context.units)
        names = {channel.key: channel.name for channel in channels}
        for role in ("meat", "pit", "air"):
            names[f"{NEW}{role}"] = self.tr("new: {name}").format(name=usual_name(role))
        self.preview.model.set_words(self._context.units, zone, names)
        self._show_use()

    def show_config(self, config: Config | None, *, simulated: bool = False) -> None:
        """Show how this cook was fed before; a cook for practice begins with the simulated pit.

        Without either the last set-up stays: the device stays plugged in from cook to cook.
        """
        self.stop_looking()
        self.preview.clear()
        if isinstance(config, SerialConfig):
            self._choose(SERIAL)
            self.serial.set_config(config)
            self.format.set_format(config.format)
        elif isinstance(config, ReplayConfig):
            self._choose(REPLAY)
            self._show_table(config)
        elif isinstance(config, SimulatedConfig) or simulated:
            self._choose(SIMULATED)
        self._show_use()

    def show_used(self, config: Config) -> None:
        """What is fed by now: a probe that was new is there, and is not made once more."""
        if not isinstance(config, SimulatedConfig):
            self.format.set_format(_format_of(config))
        self._show_use()

    def _choose(self, kind: str) -> None:
        self.kind.setCurrentIndex(self.kind.findData(kind))

    def _show_table(self, config: ReplayConfig) -> None:
        self._table = config
        self.replay.set_config(config)
        self.format.set_format(_format_of(config))
        self._read_table()

    def _kind(self) -> str:
        return str(self.kind.currentData())

    def _show_use(self) -> None:
        kind = self._kind()
        mapped = kind in (SERIAL, REPLAY)
        self._format_title.setVisible(mapped)
        self.format.setVisible(mapped)
        self._arrives.setVisible(kind != HAND)
        self.preview.setVisible(kind != HAND)
        self._filler.setVisible(kind == HAND)
        self.listen.setVisible(kind in (SERIAL, SIMULATED))
        looking = self._look is not None
        self.listen.setText(
            self.tr("Stop &listening")
            if looking
            else self.tr("&Listen to it")
            if kind == SERIAL
            else self.tr("&Look at it")
        )
        why = self._why_not_used()
        self._why_not.setText(why or self._taken_from())
        self.use.setVisible(kind != HAND)
        self.use.setEnabled(not why)
        title = self._plan.title if self._plan is not None else ""
        self.use.setText(
            self.tr("&Use it for {title}").format(title=_short(title))
            if title
            else self.tr("&Use it for a cook")
        )

    def _taken_from(self) -> str:
        """What using this input ends: one feeds one cook at a time."""
        feeds = self._context.feeds
        fed = feeds.status().cook_id if feeds is not None else None
        if fed is None or fed == self._context.chosen:
            return ""
        title = self._context.live(fed).title
        return self.tr(
            "The running input feeds “{title}”. If you use this one, “{title}” gets no more "
            "readings."
        ).format(title=title)

    def _why_not_used(self) -> str:
        kind = self._kind()
        if kind == HAND:
            return ""
        if self._plan is None:
            return self.tr("Choose a cook in the Journal first. Looking does not need one.")
        if self._plan.closed:
            return self.tr(
                "This cook is finished. Readings go to one that is planned or under way."
            )
        if self._context.program.journal.read_only:
            return self.tr("The journal is open for reading only.")
        if kind in (SERIAL, REPLAY):
            if not self.format.line_format().columns:
                if kind == SERIAL:
                    return self.tr("Listen until lines arrive, then say what each column is.")
                if self._table is None:
                    return self.tr("Choose a file, then say what each column is.")
                return self.tr(
                    "No column of numbers was found in this file. Commas, semicolons, tabs or | "
                    "must stand between its columns."
                )
            return self.format.problem()
        return ""

    def show_problem(self, message: str) -> None:
        """What the input was refused for."""
        say(self._problem, message)

    # looking

    def config(self) -> Config | None:
        """What is chosen; None, with the messages shown, where it can't be."""
        kind = self._kind()
        if kind == SERIAL:
            return self.serial.config(self.format.line_format())
        if kind == REPLAY:
            return self.replay.config(self.format.line_format())
        return practice() if kind == SIMULATED else None

    def to_listen(self) -> tuple[Config, LineFormat | None] | None:
        """What is set up, only to be heard, and how a serial line is read then.

        Columns that are to get a new channel have none yet: they are called by their own names.
        """
        config = self.config()
        if config is None:
            return None
        config = _with_columns(config, _unwired(_format_of(config).columns))
        if isinstance(config, SerialConfig):
            return replace(config, format=LineFormat()), config.format
        return config, None

    def stop_looking(self) -> None:
        """Give the port back. It may take a moment, so it is not done here."""
        self._timer.stop()
        look, self._look = self._look, None
        if look is not None:
            self._context.after(in_background(look.stop))
        self._show_use()

    def _on_listen(self) -> None:
        if self._look is not None:
            self.stop_looking()
            return
        feeds = self._context.feeds
        heard = self.to_listen()
        if feeds is None or heard is None:
            return
        config = heard[0]
        self.show_problem("")
        self.preview.clear(self.tr("Waiting for the first line…"))
        self.listen.setEnabled(False)
        self._context.after(
            in_background(lambda: feeds.preview(config)), self._on_listening, self._on_refused
        )

    def _on_listening(self, look: LinePreview) -> None:
        self.listen.setEnabled(True)
        self._look = look
        if self._kind() == SERIAL:
            look.set_format(self.format.line_format())
        self._timer.start()
        self._show_use()

    def _on_refused(self, error: BaseException) -> None:
        self.listen.setEnabled(True)
        if not isinstance(error, SchemaProblem):
            raise error
        self.show_problem(error.message)

    def _on_look(self) -> None:
        look = self._look
        if look is None:
            return
        lines = look.lines()
        status = look.status()
        if lines:
            self.preview.show_lines(lines, status.lines_good + status.lines_refused)
            if self._kind() == SERIAL:
                had = self.format.line_format().columns
                self.format.set_lines(lines)
                if not had:
                    self._show_use()
        else:
            self.preview.clear(status.text)

    def _on_format(self) -> None:
        if self._look is not None:
            self._look.set_format(self.format.line_format())
            self._on_look()
        if self._kind() == REPLAY:
            self._on_replay_changed()
        self.show_problem("")
        self._show_use()

    # a table

    def _on_file(self, path: Path) -> None:
        self._context.after(
            in_background(lambda: guess_replay(path)), self._show_table, self._on_table_trouble
        )

    def _on_replay_changed(self) -> None:
        if self._table is not None and self._kind() == REPLAY:
            self._read_table()
        self._show_use()

    def _read_table(self) -> None:
        if self._table is None or self._reading_table:
            return
        config = replace(
            self._table,
            heading=self.replay.heading.isChecked(),
            time_column=self.replay.time_column.text() or "1",
            time_kind=self.replay.time_kind.currentData(),
            columns=self.format.line_format().columns,
            stamps="arrival",
            pace=1.0,
        )
        self._reading_table = True
        self._context.after(
            in_background(lambda: (config, first_rows(config))),
            self._on_table,
            self._on_table_trouble,
        )

    def _on_table(self, answer: tuple[ReplayConfig, Sequence[ReceivedLine]]) -> None:
        self._reading_table = False
        config, lines = answer
        self.replay.show_problem("")
        if self._kind() == REPLAY:
            self.preview.show_rows(lines, ROWS_SHOWN)
            self.format.set_lines(lines)
        asked = self.format.line_format().columns
        shape = (self.replay.heading.isChecked(), self.replay.time_kind.currentData())
        if asked != config.columns or shape != (config.heading, config.time_kind):
            self._read_table()
        self._show_use()

    def _on_table_trouble(self, error: BaseException) -> None:
        self._reading_table = False
        self.preview.clear()
        self.replay.show_problem(str(error))
        self._show_use()

    # what the person does

    def _on_kind(self) -> None:
        self.stop_looking()
        kind = self._kind()
        for key, form in self._forms.items():
            form.setVisible(key == kind)
        self.format.set_named(kind == REPLAY)
        self.format.set_lines(())
        self.format.set_format(LineFormat())
        self.preview.clear(
            {
                SERIAL: self.tr("Listen to the line to see what it sends."),
                REPLAY: self.tr("Choose a file to see what is in it."),
                SIMULATED: self.tr("Look at it to see what it sends."),
            }.get(kind, "")
        )
        if kind == REPLAY and self._table is not None:
            self._show_table(self._table)
        self.show_problem("")
        self._show_use()

    def _on_use(self) -> None:
        config = self.config()
        if config is None or self._plan is None:
            return
        known = list(self._plan.channels.values())
        columns, made = with_new_channels(_format_of(config).columns, known)
        config = _with_columns(config, columns)
        self.stop_looking()
        self.show_problem("")
        self.use_asked.emit(config, made)

    def hideEvent(self, event: QHideEvent) -> None:
        """Nobody looks: give the port back."""
        super().hideEvent(event)
        self.stop_looking()


def _format_of(config: Config) -> LineFormat:
    """How its columns are read; of a simulated pit it has none."""
    if isinstance(config, SerialConfig):
        return config.format
    if isinstance(config, ReplayConfig):
        return LineFormat("delimited", config.delimiter, config.decimal, config.columns)
    return LineFormat()


def _with_columns(config: Config, columns: tuple[Column, ...]) -> Config:
    if isinstance(config, SerialConfig):
        return replace(config, format=replace(config.format, columns=columns))
    return replace(config, columns=columns) if isinstance(config, ReplayConfig) else config


def _unwired(columns: Sequence[Column]) -> tuple[Column, ...]:
    return tuple(replace(c, channel="") if c.channel.startswith(NEW) else c for c in columns)


def _short(title: str) -> str:
    shown = title.replace("&", "&&")
    return shown if len(shown) <= 28 else shown[:27] + "…"
