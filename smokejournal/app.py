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
import traceback
from collections.abc import Callable, Sequence
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
    Qt,
    QThreadPool,
    QTimer,
    Slot,
)
from PySide6.QtGui import QIcon
from PySide6.QtWidgets import QApplication, QFileDialog, QMessageBox, QWidget

from smokejournal import __version__
from smokejournal.cli.commands import Asked
from smokejournal.cook.log.readings import Reading
from smokejournal.cook.progress.alarms import Alarm, Called
from smokejournal.cook.text.printable import printable
from smokejournal.cook.text.quantities import date
from smokejournal.cook.text.translate import install_translator, translate
from smokejournal.desk.base.background import in_background
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.painting_turns import PaintingTurns
from smokejournal.desk.base.theme import apply_ground, dress
from smokejournal.desk.forecast.learner import ForecastLearner
from smokejournal.desk.shell.bug_dialog import BugReporter
from smokejournal.desk.shell.ground_keeper import GroundKeeper
from smokejournal.desk.shell.window import Window
from smokejournal.host.awake import wakeful
from smokejournal.host.notify import notifier
from smokejournal.host.paths import journal_folder, log_folder, window_file
from smokejournal.host.resources import ResourceMissing, resource_path
from smokejournal.journal import Journal, JournalCopy, JournalProblem
from smokejournal.journal.private import FILE_MODE, make_file, make_folder
from smokejournal.services.feeds.control import FeedControl
from smokejournal.services.feeds.rescue import rescue
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
        _tell_problem(problem, asked)
        return EXIT_JOURNAL
    except Exception as bug:
        log.exception("The program could not go on")
        _tell_bug(bug)
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
            _rescue(cook_id, readings, folder, ask=not desk.going_down)
        if desk.copy_wanted is not None:
            _restore(folder, desk.copy_wanted)
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
        self._backups: BackupKeeper | None = None
        if not asked.demo:  # which is thrown away
            self._backups = BackupKeeper(self._program, self._backup_failed)
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
        if self._journal.lost_log:
            self._tell_of_lost_log()
        self.context.after(in_background(self._journal.check), self._on_checked)
        self._journal.on_spoilt(self._readings_spoilt)
        if self._backups is not None:
            self._backups.start()
            self.context.ticked.connect(self._backups.look)
        if self._machine is not None:
            self.context.ticked.connect(self._look_at_machine)
        if self._fetches:
            self.context.ticked.connect(self._look_at_weather)
        self._learner.listen()
        self.window.keep_awake(self._loaded.settings.keep_awake)
        self._told_gone = False
        self.context.ticked.connect(self._look_at_file)

    def _tell_of_lost_log(self) -> None:
        log.error("The program was cut off last time, and the journal's write-ahead log is gone")
        self.context.tell(
            self.tr(
                "The program was cut off last time, and the file with what it wrote last ({name}) is "
                "gone. Up to a minute of readings and entries may be missing."
            ).format(name=f"{self._journal.path.name}-wal"),
            self.tr("Look at the end of the log, and write down what is missing."),
        )

    @Slot()
    def _look_at_machine(self) -> None:
        if self._machine is not None:
            self._machine.look()

    @Slot()
    def _look_at_weather(self) -> None:
        self._weather.look()

    @Slot(float)
    def _look_at_file(self, now_s: float) -> None:
        if self._told_gone or not self._journal.is_gone():
            return
        self._told_gone = True
        log.error("The journal's file was removed, renamed or replaced")
        saving = in_background(partial(self._journal.save_what_was_open, now_s))
        self.context.after(saving, self._on_saved, self._on_not_saved, asker=self)

    def _on_saved(self, path: Path) -> None:
        self.context.tell(
            self.tr(
                "The journal's file was removed, renamed or replaced by another program. Everything "
                "is kept in {path}, also what is still to come."
            ).format(path=path),
            self.tr(
                "Keep other programs away from the folder, close this one when you can, start it "
                "again, and put that copy in place: Settings, Copies of the journal."
            ),
        )

    def _on_not_saved(self, problem: BaseException) -> None:
        self._told_gone = False  # it is tried again
        self.context.tell(
            self.tr(
                "The journal's file was removed, renamed or replaced by another program, and no copy "
                "could be made: {why}"
            ).format(why=getattr(problem, "message", "") or str(problem)),
            getattr(problem, "cure", ""),
        )

    def _backup_failed(self, problem: JournalProblem, newest_s: float | None) -> None:
        """On the thread of the copies."""
        self.context.post(partial(self._tell_of_backup, problem, newest_s))

    def _tell_of_backup(self, problem: JournalProblem, newest_s: float | None) -> None:
        from smokejournal.desk.parts.zone_box import machine_zone

        newest = (
            self.tr("There is no copy of the journal yet.")
            if newest_s is None
            else self.tr("The newest copy of the journal is from {day}.").format(
                day=date(newest_s, machine_zone())
            )
        )
        self.context.tell(f"{problem.message} {newest}", problem.cure)

    def _readings_spoilt(self, problem: JournalProblem) -> None:
        """On the thread that read them."""
        self.context.post(partial(self.context.tell, problem.message, problem.cure))

    def _on_checked(self, faults: tuple[str, ...]) -> None:
        if faults:
            log.error("The journal is damaged: %s", "; ".join(faults))
            self.context.tell(
                self.tr("The journal's file is damaged. What is written now may be lost."),
                self.tr(
                    "Open Settings, press Copies of the journal, and put the newest one in place. The "
                    "damaged file is set aside in {folder}."
                ).format(folder=self._journal.folder),
            )

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


def _tell_problem(problem: JournalProblem, asked: Asked) -> None:
    folder = asked.journal or journal_folder()
    try:
        copies = Journal.copies(folder) if problem.kind == "damaged" and not asked.demo else []
    except JournalProblem:
        copies = []
    offers: dict[str, Callable[[], bool]] = {}
    if not asked.demo:
        offers[translate("App", "Write the newest cook as text…")] = partial(_write_newest, folder)
    if copies:
        offers[translate("App", "Look for a copy…")] = partial(_offer_copies, folder)
    # What was written, or not, leaves the question what to do with the journal.
    while (chosen := _tell(problem.message, problem.cure, offers=tuple(offers))) is not None:
        if offers[chosen]():
            return


def _offer_copies(folder: Path) -> bool:
    from smokejournal.desk.shell.restore_dialog import RestoreDialog

    # There is no window that work in the background could hold up.
    dialog = RestoreDialog(folder, lambda work, done: done(work()))
    dress(dialog, "day")
    dialog.restore_asked.connect(partial(_restore, folder))
    dialog.exec()
    return True


def _write_newest(folder: Path) -> bool:
    from smokejournal.services.stores.emergency import write_cook

    name, _ = QFileDialog.getSaveFileName(
        None,
        translate("App", "Write the newest cook as text"),
        str(Path.home() / "cook.txt"),
        translate("App", "Text (*.txt)"),
        options=QFileDialog.Option.DontConfirmOverwrite,  # nothing is written over
    )
    if not name:
        return False
    try:
        written = write_cook(folder, Path(name))
    except JournalProblem as problem:
        _tell(problem.message, problem.cure)
    except OSError as problem:
        _tell(
            translate("App", "{path} could not be written: {why}.").format(
                path=name, why=problem.strerror or problem
            ),
            translate("App", "Name a new file in a folder you can write to, on a disk with room."),
        )
    else:
        if written is None:
            _tell(translate("App", "No cook is in this journal."), "")
        else:
            _tell(
                translate("App", "“{title}” is written to {path}.").format(
                    title=written.title, path=name
                ),
                "\n".join(written.missing),
                icon=QMessageBox.Icon.Information,
            )
    return False


def _restore(folder: Path, copy: JournalCopy) -> None:
    try:
        restored = Journal.restore(folder, copy, time.time())
    except JournalProblem as problem:
        log.error("%s", problem)
        _tell(problem.message, problem.cure)
        return
    more = [restored.photos.sentence()]
    if restored.aside is not None:
        text = translate("App", "What was there before is kept as {path}.")
        more.insert(0, text.format(path=restored.aside))
    _tell(
        translate("App", "The copy is in place. Start the program again to go on."),
        " ".join(more).strip(),
        icon=QMessageBox.Icon.Information,
    )


def _rescue(cook_id: int, readings: list[Reading], folder: Path, *, ask: bool) -> None:
    folders = (folder, Path.home(), Path(tempfile.gettempdir()))
    count = len(readings)
    try:
        path = rescue(readings, f"readings-of-cook-{cook_id}", folders)
    except OSError as problem:
        text = translate(
            "App", "{count} readings could be written neither to the journal nor elsewhere ({why})."
        ).format(count=count, why=problem.strerror or problem)
        cure = translate("App", "They are lost. What was in the journal before is safe.")
    else:
        text = translate("App", "{count} readings could not be written to the journal.").format(
            count=count
        )
        cure = translate(
            "App",
            "They are in {path}. When the journal can be written again, set that file up on Bench as "
            "a recorded table.",
        ).format(path=path)
    log.error("%s %s", text, cure)
    if ask:
        _tell(text, cure)
    else:
        print(text, cure, sep="\n", file=sys.stderr)


def _tell_bug(bug: Exception) -> None:
    """A mistake of ours, or a machine that we know nothing of, before or after the window."""
    _tell(
        translate("App", "The program had to stop ({detail}).").format(
            detail=f"{type(bug).__name__}: {bug}"
        ),
        translate(
            "App",
            "What is in the journal is safe: every entry was on disk before it was shown. Start the "
            "program again. If this comes back, report it with the details below.",
        ),
        "".join(traceback.format_exception(bug)),
    )


def _tell(
    text: str,
    cure: str,
    details: str = "",
    *,
    offers: Sequence[str] = (),
    icon: QMessageBox.Icon = QMessageBox.Icon.Warning,
) -> str | None:
    """Says something on the error output and, where there is a screen, in a dialog. Returns which of
    the buttons with the texts `offers` was pressed; None where none was."""
    print(printable("\n".join(part for part in (text, cure, details) if part)), file=sys.stderr)
    if QApplication.platformName() == "offscreen":
        return None
    box = QMessageBox(icon, "smokejournal", text)
    # A path or a title may look like markup.
    box.setTextFormat(Qt.TextFormat.PlainText)
    box.setInformativeText(cure)
    box.setDetailedText(details)
    buttons = {offer: box.addButton(offer, QMessageBox.ButtonRole.ActionRole) for offer in offers}
    box.addButton(QMessageBox.StandardButton.Close)
    try:
        dress(box, "day")
    except Exception:
        log.exception("The dialog could not be dressed")
    box.exec()
    return next((offer for offer, button in buttons.items() if box.clickedButton() is button), None)


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
