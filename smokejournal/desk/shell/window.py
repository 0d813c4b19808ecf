"""The one window: a spine with the six pages at the left, the page at the right, notices on top."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import QByteArray, QCoreApplication, QSettings, QSize, Qt, Signal, Slot
from PySide6.QtGui import QAction, QCloseEvent, QKeySequence
from PySide6.QtWidgets import (
    QButtonGroup,
    QDialog,
    QFrame,
    QMainWindow,
    QPushButton,
    QSizePolicy,
    QStackedWidget,
    QWidget,
)

from smokejournal.desk.alarms.strip import AlarmStrip
from smokejournal.desk.base.background import in_background
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.dialogs import open_dialog
from smokejournal.desk.base.theme import GROUNDS, dress
from smokejournal.desk.base.widgets import new_button, new_column, new_label, new_row
from smokejournal.desk.parts.single_keys import SingleKeys
from smokejournal.desk.shell.awake_line import AwakeLine
from smokejournal.desk.shell.held_readings import HeldReadings
from smokejournal.desk.shell.notice_bar import NoticeBar
from smokejournal.host.awake import Wakeful
from smokejournal.host.sound import SoundPlayer, sound_player

#: How wide the spine is at least, and what stands beside its buttons.
SPINE_PX, SPINE_EDGE_PX = 124, 12
PAGES = ("journal", "plan", "tend", "taste", "stores", "bench")


def _make_page(name: str, context: DeskContext, strip: AlarmStrip, parent: QWidget) -> QWidget:
    # Imported when first shown: the first painted window should not wait for pages nobody asked for.
    match name:
        case "journal":
            from smokejournal.desk.journal.page import JournalPage

            return JournalPage(context, parent=parent)
        case "plan":
            from smokejournal.desk.plan.page import PlanPage

            return PlanPage(context, parent=parent)
        case "tend":
            from smokejournal.desk.tend.page import TendPage

            return TendPage(context, strip=strip, parent=parent)
        case "taste":
            from smokejournal.desk.taste.page import TastePage

            return TastePage(context, parent=parent)
        case "stores":
            from smokejournal.desk.stores.page import StoresPage

            return StoresPage(context, parent=parent)
        case "bench":
            from smokejournal.desk.bench.page import BenchPage

            return BenchPage(context, parent=parent)
    raise ValueError(f"no page is called {name}")


class Window(QMainWindow):
    """`ground_asked` carries the ground that the person wants, `settings_kept` the Settings,
    `restore_asked` the JournalCopy that is to be put in place once the journal is closed."""

    ground_asked = Signal(str)
    settings_kept = Signal(object)
    restore_asked = Signal(object)
    closing = Signal()

    def __init__(
        self,
        context: DeskContext,
        player: SoundPlayer | None = None,
        wakeful: Wakeful | None = None,
    ) -> None:
        """Without `wakeful` the machine may sleep as it likes, and nothing is said of it."""
        super().__init__()
        self.setObjectName("window")
        self.context = context
        self._wakeful = wakeful
        self._awake: AwakeLine | None = None
        self._leave_anyway = False
        #: How the window stood before the far view; None while that isn't shown.
        self._far_before: Qt.WindowState | None = None
        self._asking: QDialog | None = None
        self._pages: dict[str, QWidget] = {}
        self._places: dict[str, QWidget] = {}
        self._buttons: dict[str, QPushButton] = {}
        self.notices = NoticeBar(self)
        self._player = player or sound_player()
        self.alarms = AlarmStrip(context, self._player, self)
        self._stack = QStackedWidget(self)
        self._build()
        context.notice_given.connect(self.notices.show_notice)
        context.cook_chosen.connect(self._title)
        context.cook_changed.connect(self._on_cook_changed)
        context.ground_changed.connect(self._on_ground_changed)
        self._title()
        self._on_ground_changed(context.ground)

    # -- what is asked of it -----------------------------------------------------------------

    def page(self, name: str) -> QWidget:
        """The page with this name, made when it is first asked for."""
        if name not in self._pages:
            # Dressed before there is anything in it: parts of pages measure themselves as they are made.
            place = QWidget(self._stack)
            dress(place, self.context.ground)
            page = _make_page(name, self.context, self.alarms, place)
            page.setObjectName(page.objectName() or f"{name}_page")
            new_column(place, page, margins=0)
            self._pages[name], self._places[name] = page, place
            self._stack.addWidget(place)
            for signal, slot in (
                ("open_asked", self._on_open_asked),
                ("start_asked", partial(self._on_open_asked, page="tend")),
                ("taste_asked", partial(self._on_open_asked, page="taste")),
                ("plan_asked", partial(self.show_page, "plan")),
                ("bench_asked", partial(self.show_page, "bench")),
                ("far_shown", self._on_far_shown),
                ("settings_kept", self.settings_kept),
            ):
                if hasattr(page, signal):
                    getattr(page, signal).connect(slot)
        return self._pages[name]

    @property
    def page_shown(self) -> str:
        """Name of the page that is turned to."""
        return next(name for name in PAGES if self._buttons[name].isChecked())

    @Slot(str)
    def show_page(self, name: str) -> None:
        """Turn to a page."""
        self.page(name)
        if name != "tend" and self._far_before is not None:
            self.page("tend").leave_far()  # type: ignore[attr-defined]
        place = self._places[name]
        dress(place, self.context.ground)
        self._stack.setCurrentWidget(place)
        self._buttons[name].setChecked(True)
        self.alarms.set_keyed(name == "tend")
        self._title()

    # -- building ----------------------------------------------------------------------------

    def _titles(self) -> dict[str, str]:
        return {
            "journal": self.tr("Journal"),
            "plan": self.tr("Plan"),
            "tend": self.tr("Tend"),
            "taste": self.tr("Taste"),
            "stores": self.tr("Stores"),
            "bench": self.tr("Bench"),
        }

    def _build(self) -> None:
        spine = QFrame(self)
        spine.setObjectName("spine")
        spine.setFixedWidth(SPINE_PX)
        column = new_column(spine, spacing=2, margins=(12, 18, 0, 14))
        group = QButtonGroup(self)
        group.setExclusive(True)
        for number, (name, title) in enumerate(self._titles().items(), start=1):
            button = new_button(spine, title, name=f"go_{name}", hears=title)
            button.setCheckable(True)
            button.setProperty("kind", "spine")
            button.setShortcut(QKeySequence(f"Ctrl+{number}"))
            button.setToolTip(f"{title} (Ctrl+{number})")
            button.setWhatsThis(self.tr("Go to {page}").format(page=title))
            button.clicked.connect(partial(self.show_page, name))
            group.addButton(button)
            self._buttons[name] = button
            column.addWidget(button)
        column.addStretch(1)
        if self._wakeful is not None:
            self._awake = AwakeLine(self.context, self._wakeful, spine)
            column.addWidget(self._awake)
            column.addSpacing(8)
        for name, text in (
            ("day", self.tr("Day")),
            ("sun", self.tr("Bright sun")),
            ("night", self.tr("Night")),
        ):
            button = new_button(
                spine,
                text,
                name=f"ground_{name}",
                hears=self.tr("{ground} colors").format(ground=text),
            )
            button.setCheckable(True)
            button.setProperty("kind", "spine_small")
            button.clicked.connect(partial(self._ask_ground, name))
            self._buttons[f"ground_{name}"] = button
            column.addWidget(button)
        column.addSpacing(8)
        for name, text, slot in (
            ("sound_check", self.tr("Sound check"), self._open_sound_check),
            ("settings", self.tr("Settings"), self._open_settings),
            ("guide", self.tr("Guide"), self._open_guide),
            ("about", self.tr("About"), self._open_about),
        ):
            button = new_button(spine, text, slot, name=name, kind="spine_small", hears=text)
            self._buttons[name] = button
            column.addWidget(button)
        self._buttons["sound_check"].setToolTip(self.tr("Hear how loud an alarm gets"))
        self._buttons["guide"].setToolTip(self.tr("How this works"))
        self._buttons["settings"].setShortcut(QKeySequence("Ctrl+,"))
        self._spine = spine

        self._practice = new_label(self, name="practice", kind="practice")
        self._practice.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._practice.hide()

        self._held = HeldReadings(self.context, self)

        right = QWidget(self)
        new_column(
            right,
            self._practice,
            self._held,
            self.notices,
            self.alarms,
            (self._stack, 1),
            spacing=0,
            margins=0,
        )
        self._stack.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

        middle = QWidget(self)
        new_row(middle, spine, (right, 1), spacing=0, margins=0)
        self.setCentralWidget(middle)

        for text, key, act in (
            (self.tr("Show the keys of this page"), "F1", self._open_keys),
            (self.tr("Full screen, and back"), "F11", self._turn_full_screen),
            (self.tr("Leave"), QKeySequence.StandardKey.Quit, self.close),
        ):
            action = QAction(text, self)
            action.setShortcut(QKeySequence(key))
            action.triggered.connect(act)
            self.addAction(action)
        # F1 types nothing and so works everywhere; a question mark may belong to a note.
        SingleKeys(self).add("?", self._open_keys, self.tr("Show the keys of this page"))
        self.setMinimumSize(900, 540)
        # Not every desktop makes a window fit that is larger than its screen.
        self.resize(QSize(1280, 760).boundedTo(self.screen().availableSize()))

    def stand_as(self, kept: QSettings) -> str:
        """Take the size and place that were kept, as far as they are on a screen. Returns the page that
        was shown last, or "" where none was kept. Call it before the window is shown.
        """
        geometry, page = kept.value("geometry"), kept.value("page")
        # Qt itself moves onto a screen what would be off it, and passes over what it can't read.
        if isinstance(geometry, QByteArray) and self.restoreGeometry(geometry):
            # F11 may be unknown to whoever starts it next.
            self.setWindowState(self.windowState() & ~Qt.WindowState.WindowFullScreen)
        return page if page in PAGES else ""

    def keep_standing(self, kept: QSettings) -> None:
        """Keep size, place, whether it is maximized, and the page."""
        kept.setValue("geometry", self.saveGeometry())
        kept.setValue("page", self.page_shown)
        kept.sync()

    def show_practice(self, text: str) -> None:
        """Show a line over every page that says that this is practice."""
        self._practice.setText(text)
        self._practice.show()

    def keep_awake(self, wanted: bool) -> None:
        """Whether the machine is kept awake while a cook is under way."""
        if self._awake is not None:
            self._awake.set_wanted(wanted)

    # -- hearing -----------------------------------------------------------------------------

    def _ask_ground(self, name: str, *_: object) -> None:
        self.ground_asked.emit(name)

    @Slot(str)
    def _on_ground_changed(self, name: str) -> None:
        for ground in ("day", "sun", "night"):
            self._buttons[f"ground_{ground}"].setChecked(ground == name)
        for part in (self._spine, self._practice, self._held, self.notices, self.alarms):
            dress(part, name)
        # Another language may have longer names for the pages.
        words = max(button.sizeHint().width() for button in self._buttons.values())
        self._spine.setFixedWidth(max(SPINE_PX, words + SPINE_EDGE_PX))
        # The pages out of sight wait until they are shown: they are thousands of widgets.
        shown = self._stack.currentWidget()
        if shown is not None:
            dress(shown, name)

    @Slot()
    def _open_settings(self) -> None:
        from smokejournal.desk.shell.settings_dialog import SettingsDialog

        # It belongs to a part that is dressed, as every dialog does: the window itself is not.
        dialog = SettingsDialog(self.context, self._spine)
        dialog.kept.connect(self.settings_kept)
        dialog.restore_asked.connect(self.restore_asked)
        open_dialog(dialog)

    @Slot()
    def _open_sound_check(self) -> None:
        from smokejournal.desk.alarms.sound_check import SoundCheckDialog

        dialog = SoundCheckDialog(self.context, self._player, self._spine)
        open_dialog(dialog)

    @Slot()
    def _open_keys(self) -> None:
        from smokejournal.desk.help.keys_dialog import KeysDialog

        name = self.page_shown
        dialog = KeysDialog(
            self._titles()[name],
            self.page(name),
            [self, self._spine],
            GROUNDS[self.context.ground],
            self._places[name],
        )
        dialog.guide_asked.connect(self._open_guide)
        open_dialog(dialog)

    @Slot()
    def _open_guide(self) -> None:
        from smokejournal.desk.help.guide_window import GuideWindow
        from smokejournal.services.program.guide import PAGE_FOR

        name = PAGE_FOR[self.page_shown]
        guide = self._spine.findChild(GuideWindow)
        if guide is None:
            guide = GuideWindow(name, self._spine)
        else:
            guide.turn_to(name)
        guide.show()
        guide.raise_()
        guide.activateWindow()

    @Slot()
    def _open_about(self) -> None:
        from smokejournal.desk.help.about_dialog import AboutDialog

        dialog = AboutDialog(self.context.program.journal.folder, self._spine)
        open_dialog(dialog)

    @Slot()
    def _turn_full_screen(self) -> None:
        self.setWindowState(self.windowState() ^ Qt.WindowState.WindowFullScreen)

    @Slot(bool)
    def _on_far_shown(self, far: bool) -> None:
        """The far view has the whole screen; what calls or is wrong still stands above it."""
        self._spine.setVisible(not far)
        full = Qt.WindowState.WindowFullScreen
        if far:
            self._far_before = self.windowState()
            self.setWindowState(self.windowState() | full)
        elif self._far_before is not None:
            self.setWindowState((self.windowState() & ~full) | (self._far_before & full))
            self._far_before = None

    @Slot(object)
    def _on_cook_changed(self, change: object) -> None:
        if getattr(change, "cook_id", None) == self.context.chosen:
            self._title()

    @Slot(object, str)
    def _on_open_asked(self, cook_id: object, page: str) -> None:
        assert isinstance(cook_id, int)
        # A long cook takes a moment to read, and this thread paints.
        self.context.after(
            in_background(partial(self._read, cook_id)), partial(self._open, cook_id, page)
        )

    def _read(self, cook_id: int) -> None:
        self.context.live(cook_id).standing()

    def _open(self, cook_id: int, page: str, _: object) -> None:
        self.context.choose(cook_id)
        self.show_page(page)
        plan = self._pages.get("plan")
        if page == "plan" and plan is not None:
            plan.ask_for_food()  # type: ignore[attr-defined]

    def _title(self) -> None:
        name = QCoreApplication.applicationName() or "smokejournal"
        chosen = self.context.chosen
        if chosen is None:
            self.setWindowTitle(name)
            return
        opened = self.context.live(chosen).opened
        self.setWindowTitle(f"{opened.title} – {name}" if opened is not None else name)

    def _why_stay(self) -> tuple[str, list[str]]:
        """What speaks against closing: the question's title, and a sentence or two for each reason."""
        under_way = self.context.program.all_under_way()
        titles = [self.context.live(cook_id).title for cook_id in under_way]
        reasons = []
        if titles:
            reasons.append(
                self.tr(
                    "A cook is under way ({titles}). Readings and alarms stop while the program is "
                    "closed. What was recorded is safe: open it again and the cook goes on, with a gap."
                ).format(titles=", ".join(titles))
            )
        feeds = self.context.feeds
        held = feeds.status().unwritten if feeds is not None and feeds.status().trouble else 0
        if held:
            reasons.append(
                self.tr(
                    "{count} readings could not be written and are only in memory. They are lost "
                    "when the program closes."
                ).format(count=held)
            )
        plan = self._pages.get("plan")
        if plan is not None and getattr(plan, "dirty", False):
            reasons.append(
                self.tr(
                    "What you changed on Plan is not in the journal yet. Stay to save it, or leave "
                    "without it."
                )
            )
        if titles:
            title = self.tr("A cook is under way")
        elif held:
            title = self.tr("Readings are not written")
        else:
            title = self.tr("The plan is not saved")
        return title, reasons

    def _ask_to_leave(self, title: str, reasons: list[str]) -> None:
        from smokejournal.desk.parts.ask_dialog import AskDialog

        if self._asking is not None:
            self._asking.raise_()
            return
        # A window that is put away or behind others could not be asked.
        if self.isMinimized():
            self.showNormal()
        self.raise_()
        dialog = AskDialog(
            title,
            "\n\n".join(reasons),
            self.tr("Close it anyway"),
            self.tr("Stay"),
            parent=self._stack.currentWidget(),
        )
        dialog.accepted.connect(self.close_unasked)
        dialog.finished.connect(self._on_answered)
        self._asking = dialog
        open_dialog(dialog)

    @Slot()
    def _on_answered(self) -> None:
        self._asking = None

    @Slot()
    def close_unasked(self) -> None:
        """Close, whatever is not kept: the cook said so, or the machine is going down."""
        self._leave_anyway = True
        self.close()

    def closeEvent(self, event: QCloseEvent) -> None:
        """Ask while a cook is under way or a plan is not kept; then tell the app, which puts everything
        away in order.
        """
        title, reasons = ("", []) if self._leave_anyway else self._why_stay()
        if reasons:
            event.ignore()
            self._ask_to_leave(title, reasons)
            return
        self.alarms.close_voice()
        if self._awake is not None:
            self._awake.let_go()
        self.closing.emit()
        super().closeEvent(event)
