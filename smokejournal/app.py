"""The only place where everything is wired together: journal, program, inputs, window."""

from __future__ import annotations

import faulthandler
import logging
import os
import shutil
import signal
import sys
import tempfile
import threading
import time
from contextlib import ExitStack, suppress
from functools import partial
from io import TextIOWrapper
from logging.handlers import RotatingFileHandler
from pathlib import Path
from types import FrameType

from PySide6.QtCore import (
    QCoreApplication,
    QEvent,
    QLocale,
    QObject,
    QSettings,
    QThreadPool,
    QTimer,
    Slot,
)
from PySide6.QtGui import QIcon
from PySide6.QtWidgets import QApplication, QWidget

from smokejournal import __version__
from smokejournal.cli.commands import Asked
from smokejournal.cook.log.readings import Reading
from smokejournal.cook.progress.alarms import Alarm, Called
from smokejournal.cook.text.translate import install_translator
from smokejournal.desk.base.background import in_background
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.painting_turns import PaintingTurns
from smokejournal.desk.base.theme import apply_ground
from smokejournal.desk.forecast.learner import ForecastLearner
from smokejournal.desk.shell.bug_dialog import BugReporter
from smokejournal.desk.shell.file_watch import FileWatch
from smokejournal.desk.shell.ground_keeper import GroundKeeper
from smokejournal.desk.shell.window import Window
from smokejournal.desk.shell.without_window import (
    keep_elsewhere,
    restore,
    tell_bug,
    tell_problem,
)
from smokejournal.host.awake import wakeful
from smokejournal.host.notify import notifier
from smokejournal.host.paths import journal_folder, log_folder, window_file
from smokejournal.host.resources import ResourceMissing, resource_path
from smokejournal.journal import Journal, JournalCopy, JournalProblem
from smokejournal.journal.private import FILE_MODE, make_file, make_folder
from smokejournal.services.feeds.control import FeedControl
from smokejournal.services.forecast.forecasts import Forecasts
from smokejournal.services.program import settings as settings_service
from smokejournal.services.program.backup_keeper import BackupKeeper
from smokejournal.services.program.machine_watch import MachineWatch
from smokejournal.services.program.practice import clock_for
from smokejournal.services.program.program import Program
from smokejournal.services.program.settings import Settings
from smokejournal.services.program.weather_keeper import WeatherKeeper

log = logging.getLogger(__name__)

#: So long after the start comes what can wait until the window was painted [ms].
SETTLE_MS = 400
#: So long the end waits for work in the background [ms].
LAST_WORK_MS = 10_000
EXIT_BUG = 1
EXIT_JOURNAL = 2


def run_window(asked: Asked) -> int:
    """Open the journal and show the window until it is closed. Returns the exit code."""
    if sys.stderr is not None:  # as it is on Windows without a terminal
        faulthandler.enable()  # a crash inside Qt then says in which line of ours
    app = QApplication.instance() or QApplication([sys.argv[0]])
    assert isinstance(app, QApplication)
    app.setApplicationName("smokejournal")
    app.setApplicationVersion(__version__)
    try:
        install_translator(QCoreApplication.translate)
        _set_icon(app)
        apply_ground(app, "day")
        return _run(app, asked)
    except JournalProblem as problem:
        log.error("%s", problem)
        tell_problem(problem, asked.journal or journal_folder(), demo=asked.demo)
        return EXIT_JOURNAL
    except Exception as bug:
        log.exception("The program could not go on")
        tell_bug(bug)
        return EXIT_BUG


def _run(app: QApplication, asked: Asked) -> int:
    throw_away = Path(tempfile.mkdtemp(prefix="smokejournal-demo-")) if asked.demo else None
    try:
        _start_log(throw_away or log_folder())
        if throw_away is not None:
            _build_demo(throw_away)
        folder = throw_away or asked.journal or journal_folder()
        journal = Journal.open(folder)
        try:
            desk = Desk(app, journal, asked)
            code = desk.run()
        finally:
            journal.close()
        for cook_id, readings in desk.unwritten():
            keep_elsewhere(cook_id, readings, folder, ask=not desk.going_down)
        if desk.copy_wanted is not None:
            restore(folder, desk.copy_wanted)
        return code
    finally:
        if throw_away is not None:
            shutil.rmtree(throw_away, ignore_errors=True)


class Desk(QObject):
    """Everything that lives while the window is open."""

    def __init__(self, app: QApplication, journal: Journal, asked: Asked) -> None:
        super().__init__()
        self._app = app
        self._journal = journal
        self.copy_wanted: JournalCopy | None = None
        """To be put in the journal's place once the window is closed."""
        self.going_down = False
        """Whether a signal asked the program to end."""
        self._away = ExitStack()
        """What puts everything away that was made so far, the last first."""
        try:
            self._make(asked)
        except BaseException:
            self._away.close()
            raise

    def _make(self, asked: Asked) -> None:
        journal = self._journal
        self._bugs = BugReporter()
        self._away.callback(_unhook)
        sys.excepthook = self._bugs.report
        threading.excepthook = self._thread_failed
        self._away.callback(self._let_work_end)
        self._away.callback(self._put_window_away)
        clock = clock_for(journal, asked.practice_pace)
        self._program = Program(journal, clock)
        self._away.callback(self._program.close)
        self._feeds = FeedControl(self._program)
        self._forecasts = Forecasts(self._program)
        self._away.callback(self._forecasts.close)
        self.context = DeskContext(self._program, self._forecasts, self._feeds)
        self._away.callback(self.context.close)
        self._away.callback(self._feeds.close)
        self._file = FileWatch(self.context, journal, self)
        self._backups: BackupKeeper | None = None
        if not asked.demo:  # which is thrown away
            self._backups = BackupKeeper(self._program, self._file.backup_failed)
            self._away.callback(self._backups.close)
        self._machine: MachineWatch | None = None
        if not asked.demo:  # of which no cook is a real one
            self._machine = MachineWatch(self._program)
            self._away.callback(self._machine.close)
        self._weather = WeatherKeeper(self._program)
        self._away.callback(self._weather.close)
        self.context.weather = self._weather
        # Nothing is fetched for cooks that are made up, nor by a clock that isn't that of the world.
        self._fetches = not asked.demo and asked.practice_pace is None
        self._learner = ForecastLearner(self.context, self)
        self.context.learner = self._learner
        self._loaded = settings_service.load(
            journal, settings_service.for_country(QLocale.system().name()[-2:])
        )
        self._grounds = GroundKeeper(self.context, self._take_ground)
        self._take_looks(self._loaded.settings)
        # No cook of the demo is a real one.
        self.window = Window(self.context, wakeful=None if asked.demo else wakeful())
        self.window.ground_asked.connect(self._on_ground_asked)
        self.window.settings_kept.connect(self._on_settings_kept)
        self.window.restore_asked.connect(self._on_restore_asked)
        self.window.closing.connect(self._on_closing)
        # How the window stands is this machine's and no journal's; the demo leaves no trace.
        self._standing = (
            None if asked.demo else QSettings(str(window_file()), QSettings.Format.IniFormat)
        )
        self._bugs.setParent(self)
        self._notifier = notifier()
        self._program.on_alarm(self._alarm_raised)
        if asked.demo or asked.practice_pace is not None:
            self.window.show_practice(self._practice_words(asked))
        self._turns = PaintingTurns(self)
        self._away.callback(self._turns.stop)
        self._wake = QTimer(self)
        self._away.callback(self._wake.stop)
        self._wake.setInterval(400)
        self._wake.timeout.connect(self._let_signals_in)

    def run(self) -> int:
        """Show the window, run until it is closed, and put everything away."""
        with self._away:
            return self._show_and_run()

    def _show_and_run(self) -> int:
        for number in (signal.SIGINT, signal.SIGTERM):
            signal.signal(number, self._on_signal)
        self._wake.start()
        self._turns.start()
        # Before anything is painted: after a crash every second without readings is a gap.
        self.context.after(in_background(self._feeds.resume), self._on_resumed)
        last = "" if self._standing is None else self.window.stand_as(self._standing)
        under_way = self._program.under_way()
        if under_way is not None:
            self.context.choose(under_way)
            self.window.show_page("tend")
        else:
            self.window.show_page(last or "journal")
        probe = _first_paint_probe(self.window)
        self.window.show()
        self.context.start_ticking()
        QTimer.singleShot(SETTLE_MS, self._settle_in)
        QTimer.singleShot(0, self._end_if_asked)
        code = self._app.exec()
        del probe
        return code

    @Slot()
    def _settle_in(self) -> None:
        """What can wait until the window is there."""
        for refused in self._loaded.refused:
            self.context.tell(
                self.tr("The setting {name} could not be read.").format(name=refused.key),
                self.tr("The default is used. Choose it again under Settings.")
                if refused.key in settings_service.ACCEPT
                else self.tr("The default is used. Set it again where you first set it."),
            )
        self._file.begin()
        if self._backups is not None:
            self._backups.start()
            self.context.ticked.connect(self._backups.look)
        if self._machine is not None:
            self.context.ticked.connect(self._look_at_machine)
        if self._fetches:
            self.context.ticked.connect(self._look_at_weather)
        self._learner.listen()
        self.window.keep_awake(self._loaded.settings.keep_awake)

    @Slot()
    def _look_at_machine(self) -> None:
        if self._machine is not None:
            self._machine.look()

    @Slot()
    def _look_at_weather(self) -> None:
        self._weather.look()

    def _on_resumed(self, _: object) -> None:
        trouble = self._feeds.status().trouble
        if trouble:
            self.context.tell(trouble)

    def _let_work_end(self) -> None:
        """Work in the background answers to Qt objects that are about to go."""
        # Closed, it refuses what is still to come, so that this doesn't take long.
        self._journal.close()
        QThreadPool.globalInstance().waitForDone(LAST_WORK_MS)

    def _put_window_away(self) -> None:
        if hasattr(self, "window"):
            self.window.close_unasked()
            self.window.deleteLater()

    def _practice_words(self, asked: Asked) -> str:
        """What is not real about this run, on one line."""
        said: list[str] = []
        if asked.demo:
            said.append(self.tr("Demo: every cook here is invented, and nothing you do is saved."))
        if asked.practice_pace is not None:
            text = self.tr("Practice: the clock runs {pace} times as fast.")
            said.append(text.format(pace=f"{asked.practice_pace:g}"))
        return "  ".join(said)

    def _take_looks(self, kept: Settings) -> None:
        self.context.set_units(kept.units)
        self.context.program.called = Called(kept.alarms, kept.units)
        self._weather.want(kept.weather)
        self._grounds.keep(kept)

    def _take_ground(self, name: str) -> None:
        apply_ground(self._app, name)
        self._bugs.set_ground(name)
        self.context.set_ground(name)

    @Slot(str)
    def _on_ground_asked(self, name: str) -> None:
        self._grounds.choose(settings_service.accept("ground", name))
        self.context.after(self._journal.set_setting("ground", name))

    @Slot(object)
    def _on_settings_kept(self, kept: object) -> None:
        assert isinstance(kept, Settings)
        self._take_looks(kept)
        self.window.keep_awake(kept.keep_awake)

    @Slot(object)
    def _on_restore_asked(self, copy: object) -> None:
        assert isinstance(copy, JournalCopy)
        self.copy_wanted = copy
        self.window.close_unasked()

    @Slot()
    def _on_closing(self) -> None:
        if self._standing is not None:
            self.window.keep_standing(self._standing)
            if self._standing.status() != QSettings.Status.NoError:
                log.warning("How the window stands could not be kept: %s", window_file())
        self._app.quit()

    @Slot()
    def _end_if_asked(self) -> None:
        """A signal that came before events were heard closed the window, and nothing heard of it."""
        if self.going_down:
            self._app.quit()

    @Slot()
    def _let_signals_in(self) -> None:
        """Python looks at signals only while it runs; this lets it run now and then."""

    def unwritten(self) -> list[tuple[int, list[Reading]]]:
        """The readings, by cook, that came and could not be written to the journal."""
        return self._feeds.unwritten()

    def _on_signal(self, number: int, _: FrameType | None) -> None:
        log.info("Signal %s: closing", number)
        self.going_down = True
        self.window.close_unasked()

    def _alarm_raised(self, cook_id: int, alarm: Alarm) -> None:
        del cook_id
        self._app.alert(self.window)
        self._notifier.notify("smokejournal", alarm.text, urgent=alarm.level == "insistent")

    def _thread_failed(self, args: threading.ExceptHookArgs) -> None:
        self._bugs.report(args.exc_type, args.exc_value, args.exc_traceback)


def _build_demo(folder: Path) -> None:
    from smokejournal.services.demo.build import make_demo

    started_s = time.monotonic()
    print("Building the demo journal, a few seconds …", file=sys.stderr, flush=True)
    make_demo(folder, time.time())
    print(f"Done in {time.monotonic() - started_s:.1f} s.", file=sys.stderr, flush=True)


def _unhook() -> None:
    sys.excepthook = sys.__excepthook__
    threading.excepthook = threading.__excepthook__


def _set_icon(app: QApplication) -> None:
    try:
        app.setWindowIcon(QIcon(str(resource_path("icons", "smokejournal.svg"))))
    except ResourceMissing as missing:
        print(missing, file=sys.stderr)


class _PrivateLog(RotatingFileHandler):
    """Nobody but its owner reads what is logged: titles and paths stand in it. What is rotated keeps
    the permissions that it had."""

    def _open(self) -> TextIOWrapper:
        path = Path(self.baseFilename)
        try:
            make_file(path)
        except FileExistsError:
            # Versions before this one left it to the umask.
            for each in path.parent.glob(f"{path.name}*"):
                with suppress(PermissionError):  # another's, who lets us write there
                    each.chmod(FILE_MODE)
        return super()._open()


def _start_log(folder: Path) -> None:
    try:
        make_folder(folder, parents=True)
        handler: logging.Handler = _PrivateLog(
            folder / "smokejournal.log", maxBytes=1_000_000, backupCount=3, encoding="utf-8"
        )
    except OSError as error:
        print(f"No log file can be written in {folder}: {error}", file=sys.stderr)
        handler = logging.StreamHandler()
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(name)s: %(message)s"))
    root = logging.getLogger("smokejournal")
    root.addHandler(handler)
    root.setLevel(logging.INFO)


class _FirstPaint(QObject):
    """Prints the time of the window's first painting, for the bench, and leaves."""

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Paint:
            watched.removeEventFilter(self)
            print(f"first paint {time.time():.6f}", flush=True)
            # Not quit, which asks the window: a cook may be under way.
            QTimer.singleShot(0, partial(QCoreApplication.exit, 0))
        return False


def _first_paint_probe(window: Window) -> QObject | None:
    if os.environ.get("SMOKEJOURNAL_STARTUP_PROBE") != "1":
        return None
    probe = _FirstPaint()
    central = window.centralWidget()
    assert isinstance(central, QWidget)
    central.installEventFilter(probe)
    return probe
