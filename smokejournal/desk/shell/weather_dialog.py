"""The form in which a person lets the weather be fetched from the network, and tries it."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from PySide6.QtCore import Slot
from PySide6.QtWidgets import (
    QCheckBox,
    QFormLayout,
    QSizePolicy,
    QWidget,
)

from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.weather.by_network import (
    LONGEST_ADDRESS,
    SERVICES,
    NoReport,
    WeatherByNetwork,
)
from smokejournal.cook.weather.report import WeatherReport
from smokejournal.cook.weather.words import report_lines
from smokejournal.desk.base.background import in_background
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.dialogs import SettingsSaver
from smokejournal.desk.base.error_words import words_of
from smokejournal.desk.base.widgets import new_button, new_column, new_label, say
from smokejournal.desk.parts.choice_box import ChoiceBox
from smokejournal.desk.parts.fields import TextField
from smokejournal.desk.parts.zone_box import machine_zone
from smokejournal.services.program import settings
from smokejournal.services.program.weather_keeper import WeatherKeeper

WIDTH = 640


class WeatherDialog(SettingsSaver):
    """`kept(Settings)` once they are on disk. Nothing is fetched before *Try it now* is pressed."""

    def __init__(
        self, context: DeskContext, keeper: WeatherKeeper, parent: QWidget | None = None
    ) -> None:
        super().__init__(context, parent)
        self.setObjectName("weatherByNetwork")
        self.setWindowTitle(self.tr("Weather by network"))
        self._keeper = keeper
        self._trying = False
        self._build()
        self._show(self._before.weather)
        self.on.toggled.connect(self._on_switched)
        self.service.currentIndexChanged.connect(self._on_service)
        self.address.changed.connect(self._on_address)
        self.setMinimumWidth(WIDTH)

    def _build(self) -> None:
        self.on = QCheckBox(self.tr("&Fetch the weather from the network during a cook"), self)
        self.on.setObjectName("weatherOn")
        self.station = TextField(
            "weatherStation",
            self.tr("Airfield"),
            self,
            hint=self.tr("four letters of one nearby"),
            longest=10,
        )
        self.service = ChoiceBox(self, name="weatherService", hears=self.tr("Service"))
        for key, words in (
            ("api", self.tr("weather administration of the United States, on request")),
            ("files", self.tr("weather administration of the United States, files")),
            ("", self.tr("another, by its address")),
        ):
            self.service.addItem(words, key)
        self.address = TextField(
            "weatherAddress", self.tr("Address"), self, longest=LONGEST_ADDRESS
        )
        form = QFormLayout()
        form.setVerticalSpacing(8)
        form.addRow(self.tr("&Airfield"), self.station)
        form.addRow(self.tr("S&ervice"), self.service)
        form.addRow(self.tr("A&ddress"), self.address)
        self.test = new_button(
            self, self.tr("&Try it now"), self._on_try, name="weatherTry", auto=False
        )
        form.addRow("", self.test)
        self.test.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Fixed)
        self.came = new_label(self, name="weatherCame", wraps=True, hidden=True)
        self.problem = new_label(
            self, name="weatherTrouble", kind="problem", wraps=True, hidden=True
        )
        privacy = self.tr(
            "Every 20 minutes at most while a cook is under way, the service is sent the airfield's code "
            "and this program's name, and it sees the network address of this machine, as with any web "
            "page. Nothing of your journal is sent. While this is off, nothing is sent at all."
        )
        about = self.tr(
            "Once an hour what is new goes into the log, marked with the service. It is the weather at "
            "the airfield and not at your pit: what you write yourself counts until the next report."
        )
        new_column(
            self,
            self.on,
            form,
            self.came,
            self.problem,
            new_label(self, privacy, name="weatherPrivacy", kind="faint", wraps=True),
            new_label(self, about, name="weatherAbout", kind="faint", wraps=True),
            self.save_buttons("weather"),
            spacing=12,
            margins=(18, 16, 18, 14),
        )

    def _show(self, shown: WeatherByNetwork) -> None:
        self.on.setChecked(shown.on)
        self.station.set_text(shown.station)
        self.address.set_text(shown.address)
        self._on_address()
        self._on_switched()

    @Slot()
    def _on_switched(self) -> None:
        self.test.setEnabled(self.on.isChecked() and not self._trying)

    @Slot()
    def _on_service(self) -> None:
        address = SERVICES.get(self.service.currentData())
        if address is not None:
            self.address.set_text(address)

    @Slot()
    def _on_address(self) -> None:
        """A service that is named is the one whose address stands there."""
        typed = self.address.text()
        key = next((key for key, address in SERVICES.items() if address == typed), "")
        self.service.blockSignals(True)
        self.service.setCurrentIndex(self.service.findData(key))
        self.service.blockSignals(False)

    def chosen(self) -> WeatherByNetwork | None:
        """What is chosen; None, with the messages beside their fields, where something is wrong."""
        read = {}
        for name, field in (("station", self.station), ("address", self.address)):
            try:
                read[name] = settings.accept(f"weather.{name}", field.text())
            except SchemaProblem as problem:
                field.refuse(str(problem))
        if len(read) < 2:
            return None
        if self.on.isChecked() and not read["station"]:
            self.station.refuse(self.tr("Type the code of the airfield whose weather you want."))
            return None
        return WeatherByNetwork(self.on.isChecked(), read["station"], read["address"])

    @Slot()
    def _on_try(self) -> None:
        wanted = self.chosen()
        if wanted is None or not wanted.wanted or self._trying:
            return
        self._trying = True
        self.test.setEnabled(False)
        self.problem.hide()
        self.came.setText(self.tr("Asking {host} …").format(host=wanted.host))
        self.came.show()
        self._context.after(
            in_background(partial(self._keeper.report, wanted)), self._on_came, self._on_nothing
        )

    def _on_came(self, report: WeatherReport) -> None:
        understood, refused = report_lines(
            report, self._context.units, machine_zone(), self._context.now_s()
        )
        self._tried("\n".join((report.text, *understood)), "\n".join(refused))

    def _on_nothing(self, error: BaseException) -> None:
        if not isinstance(error, NoReport):
            self._tried("", words_of(error))
            return
        text = self.tr("Nothing came: {why}. Look at the airfield's code and the address.")
        self._tried("", text.format(why=error.message))

    def _tried(self, came: str, trouble: str) -> None:
        self._trying = False
        self._on_switched()
        say(self.came, came)
        say(self.problem, trouble)
        self.adjustSize()

    def wanted(self) -> settings.Settings | None:
        """The settings with what is chosen here."""
        weather = self.chosen()
        return None if weather is None else replace(self._before, weather=weather)
