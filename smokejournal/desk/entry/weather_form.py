"""The weather at the pit: what was seen, each part of it optional, and what it feels like."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from PySide6.QtCore import Slot
from PySide6.QtWidgets import QComboBox, QGridLayout, QWidget

from smokejournal.cook.log.entries import Exposure, Precipitation, Sky, WeatherObserved
from smokejournal.cook.log.entry_words import exposure_words, precipitation_words, sky_words
from smokejournal.cook.text import quantities
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.weather.words import air_lines, cover_words
from smokejournal.desk.base.widgets import new_label, say
from smokejournal.desk.entry.entry_form import EntryForm, Said
from smokejournal.desk.entry.weather_report_field import ReportField
from smokejournal.desk.parts.choice_box import ChoiceBox
from smokejournal.desk.parts.fields import QuantityField, TemperatureField
from smokejournal.desk.parts.unit_fields import PercentField, PressureField, SpeedField
from smokejournal.science.air.air import FeelsLike, feels_like

SKIES: tuple[Sky, ...] = ("clear", "few", "scattered", "broken", "overcast", "fog")
FALLS: tuple[Precipitation, ...] = ("none", "drizzle", "rain", "snow", "sleet", "hail")
EXPOSURES: tuple[Exposure, ...] = ("sun", "shade", "dark")


class WeatherForm(EntryForm):
    """Sky, air, wind, what falls, and where the pit stands."""

    def __init__(self, now_s: Callable[[], float], parent: QWidget | None = None) -> None:
        super().__init__("weatherForm", self.tr("Weather at the pit"), now_s, parent)
        self.air = TemperatureField("weatherAir", self.tr("Air"), self, low=-60.0, high=60.0)
        self.high = TemperatureField(
            "weatherHigh", self.tr("The day's expected high"), self, low=-60.0, high=60.0
        )
        self.humidity = PercentField("weatherHumidity", self.tr("Humidity"), self)
        self.pressure = PressureField("weatherPressure", self.tr("Pressure"), self)
        self.at_sea = ChoiceBox(
            self,
            name="weatherPressureAt",
            hears=self.tr("Where the pressure was read"),
            letters=7,
            choices=[(self.tr("at the pit"), False), (self.tr("at sea level"), True)],
        )
        self.at_sea.setToolTip(self.tr("Weather reports give the pressure at sea level"))
        self.wind = SpeedField("weatherWind", self.tr("Wind"), self)
        self.gust = SpeedField("weatherGust", self.tr("Gusts"), self)
        self.sky = self._box("weatherSky", self.tr("Sky"), [(k, _sky(k)) for k in SKIES])
        self.falls = self._box(
            "weatherFalls", self.tr("Rain or snow"), [(k, precipitation_words(k)) for k in FALLS]
        )
        self.exposure = self._box(
            "weatherExposure",
            self.tr("The pit stands"),
            [(k, exposure_words(k)) for k in EXPOSURES],
        )
        grid = QGridLayout()
        grid.setHorizontalSpacing(10)
        grid.setVerticalSpacing(2)
        self._fields: tuple[QuantityField, ...] = (
            self.air,
            self.high,
            self.wind,
            self.gust,
            self.humidity,
            self.pressure,
        )
        cells: list[tuple[str, QWidget]] = [
            (self.tr("Air"), self.air),
            (self.tr("Day's high"), self.high),
            (self.tr("Wind"), self.wind),
            (self.tr("Gusts"), self.gust),
            (self.tr("Humidity"), self.humidity),
            (self.tr("Pressure"), self.pressure),
            (self.tr("Pressure read"), self.at_sea),
            (self.tr("Sky"), self.sky),
            (self.tr("Rain or snow"), self.falls),
            (self.tr("The pit stands"), self.exposure),
        ]
        for n, (label, widget) in enumerate(cells):
            grid.addWidget(self._labeled(label, widget), n // 2, n % 2)
        grid.addWidget(self._when_field, len(cells) // 2, len(cells) % 2)
        grid.setColumnStretch(0, 1)
        grid.setColumnStretch(1, 1)
        for number in self._fields:
            number.edit.setFixedWidth(84)
            number.changed.connect(self._show_feeling)
        self.report = ReportField(now_s, self)
        self.report.read.connect(self._on_report)
        self._altitude_m: float | None = None
        self._filled: dict[QWidget, object] = {}
        self.at_sea.currentIndexChanged.connect(self._show_feeling)
        self.air_facts = new_label(self, name="weatherFacts", kind="faint", wraps=True)
        self.feels = new_label(self, name="weatherFeels", wraps=True)
        self.fields.addWidget(self.report)
        self.fields.addLayout(grid)
        self.fields.addWidget(self.feels)
        self.fields.addWidget(self.air_facts)
        self._show_feeling()

    def set_units(self, units: Units) -> None:
        super().set_units(units)
        self.report.set_units(units)
        self._show_feeling()

    def set_zone(self, zone: str) -> None:
        super().set_zone(zone)
        self.report.set_zone(zone)

    def set_altitude(self, altitude_m: float | None) -> None:
        """How high the pit stands [m], for the pressure there; None where that isn't known."""
        self._altitude_m = altitude_m
        self._show_feeling()

    def first_field(self) -> QWidget:
        return self.air

    def build(self, at_s: float) -> Said | None:
        if not self.all_read(*self._fields):
            return None
        wind, gust = self.wind.value(), self.gust.value()
        if wind is not None and gust is not None and gust < wind:
            self.gust.refuse(self.tr("Gusts are at least as strong as the wind."))
            self.gust.setFocus()
            return None
        if not self.report.check():
            self.report.setFocus()
            return None
        seen = self._seen()
        if seen == WeatherObserved(report=seen.report):
            self.show_trouble(self.tr("Say at least one thing about the weather, or cancel."))
            self.air.setFocus()
            return None
        observed_s = self.report.observed_s()
        if observed_s is not None and not self.when.text():
            at_s = observed_s
        return Said(at_s, (seen,))

    def _seen(self) -> WeatherObserved:
        """What the fields say now."""
        pressure = self.pressure.value()
        at_sea = bool(self.at_sea.currentData())
        return WeatherObserved(
            sky=self.sky.currentData(),
            air_c=self.air.value(),
            humidity_pct=self.humidity.value(),
            wind_m_s=self.wind.value(),
            gust_m_s=self.gust.value(),
            pressure_hpa=None if at_sea else pressure,
            precipitation=self.falls.currentData(),
            exposure=self.exposure.currentData(),
            high_c=self.high.value(),
            sea_level_hpa=pressure if at_sea else None,
            report=self.report.kept_text(),
        )

    def clear_fields(self) -> None:
        for number in self._fields:
            number.clear()
        for box in (self.sky, self.falls, self.exposure, self.at_sea):
            box.setCurrentIndex(0)
        self._filled.clear()
        self.report.clear()
        self._show_feeling()

    @Slot()
    def _on_report(self) -> None:
        """Fill in what the report says where the person has said nothing else."""
        seen = self.report.seen()
        observed_s = self.report.observed_s()
        hint = self.tr("now, or -10")
        if observed_s is not None:
            hint = self.tr("{clock}, as reported").format(
                clock=quantities.clock_time(observed_s, self.zone, self.units)
            )
        self.when.edit.setPlaceholderText(hint)
        numbers: list[tuple[QuantityField, float | None]] = [
            (self.air, seen.air_c),
            (self.humidity, seen.humidity_pct),
            (self.wind, seen.wind_m_s),
            (self.gust, seen.gust_m_s),
            (self.pressure, seen.sea_level_hpa),
        ]
        for number, value in numbers:
            own = bool(number.text()) and number.text() != self._filled.get(number)
            if not own:
                number.set_value(value)
                self._filled[number] = number.text()
        if self.pressure.text() == self._filled[self.pressure]:
            self.at_sea.setCurrentIndex(1 if seen.sea_level_hpa is not None else 0)
        for box, key in ((self.sky, seen.sky), (self.falls, seen.precipitation)):
            if box.currentData() in (None, self._filled.get(box)):
                box.setCurrentIndex(max(0, box.findData(key)))
                self._filled[box] = key
        self._show_feeling()

    def _box(self, name: str, label: str, choices: list[tuple[str, str]]) -> QComboBox:
        offered = [(self.tr("not said"), None), *((words, key) for key, words in choices)]
        return ChoiceBox(self, name=name, hears=label, letters=7, choices=offered)

    @Slot()
    def _show_feeling(self) -> None:
        felt = feels_like(self.air.value(), self.wind.value(), self.humidity.value())
        self.feels.setText(self._feeling(felt))
        seen = self._seen()
        lines = air_lines(replace(seen, report=""), self.units, self._altitude_m)
        say(self.air_facts, "\n".join(lines))

    def _feeling(self, felt: FeelsLike) -> str:
        if felt.value_c is not None:
            by = self.tr("wind chill") if felt.by == "wind_chill" else self.tr("heat index")
            return self.tr("Feels like {temperature} ({by}).").format(
                temperature=quantities.temperature(felt.value_c, self.units), by=by
            )
        return {
            "no_air": self.tr("Feels like: give the air temperature."),
            "no_wind": self.tr("Feels like: give the wind."),
            "no_humidity": self.tr("Feels like: give the humidity."),
            "calm": self.tr("Feels like the air: too little wind for wind chill."),
            "mild": self.tr("Feels like the air: neither cold nor hot enough for an index."),
            "beyond": self.tr("Hotter than the published heat index goes. Take care."),
            "": "",
        }[felt.why]


def _sky(sky: Sky) -> str:
    cover = cover_words(sky)
    return f"{sky_words(sky)} ({cover})" if cover else sky_words(sky)
