"""The weather at the pit: what was seen, each part of it optional, and what it feels like."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Slot
from PySide6.QtWidgets import QComboBox, QGridLayout, QLabel, QWidget

from smokejournal.cook import quantities
from smokejournal.cook.entries import Exposure, Precipitation, Sky, WeatherObserved
from smokejournal.cook.entry_words import exposure_words, precipitation_words, sky_words
from smokejournal.cook.quantities import Units
from smokejournal.desk.entry_form import EntryForm, Said
from smokejournal.desk.fields import QuantityField, TemperatureField
from smokejournal.science.air import FeelsLike, feels_like

SKIES: tuple[Sky, ...] = ("clear", "few", "scattered", "broken", "overcast", "fog")
FALLS: tuple[Precipitation, ...] = ("none", "drizzle", "rain", "snow", "sleet", "hail")
EXPOSURES: tuple[Exposure, ...] = ("sun", "shade", "dark")


class SpeedField(QuantityField):
    """A speed of the wind [m/s]."""

    def _read(self, text: str) -> float:
        return quantities.parse_speed(text, self.units, "")

    def _shown(self, value: float) -> str:
        return quantities.speed(value, self.units).removesuffix(self.units.speed).strip()

    def _unit(self) -> str:
        return self.units.speed


class PressureField(QuantityField):
    """A pressure of the air [hPa]."""

    def _read(self, text: str) -> float:
        return quantities.parse_pressure(text, self.units, "")

    def _shown(self, value: float) -> str:
        return quantities.pressure(value, self.units).removesuffix(self.units.pressure).strip()

    def _unit(self) -> str:
        return self.units.pressure


class PercentField(QuantityField):
    """A share [%]."""

    def _read(self, text: str) -> float:
        low = 0.0 if self._low is None else self._low
        return quantities.parse_percent(text, "", low)

    def _shown(self, value: float) -> str:
        return f"{value:.3g}"

    def _unit(self) -> str:
        return "%"


class WeatherForm(EntryForm):
    """Sky, air, wind, what falls, and where the pit stands."""

    def __init__(self, now_s: Callable[[], float], parent: QWidget | None = None) -> None:
        super().__init__("weatherForm", "", now_s, parent)
        self.title.setText(self.tr("Weather at the pit"))
        self.setAccessibleName(self.title.text())
        self.air = TemperatureField("weatherAir", self.tr("Air"), self, low=-60.0, high=60.0)
        self.high = TemperatureField(
            "weatherHigh", self.tr("The day's expected high"), self, low=-60.0, high=60.0
        )
        self.humidity = PercentField("weatherHumidity", self.tr("Humidity"), self)
        self.pressure = PressureField("weatherPressure", self.tr("Pressure"), self)
        self.wind = SpeedField("weatherWind", self.tr("Wind"), self)
        self.gust = SpeedField("weatherGust", self.tr("Gusts"), self)
        self.sky = self._box("weatherSky", self.tr("Sky"), [(k, sky_words(k)) for k in SKIES])
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
            (self.tr("Sky"), self.sky),
            (self.tr("Rain or snow"), self.falls),
            (self.tr("The pit stands"), self.exposure),
        ]
        for n, (label, widget) in enumerate(cells):
            grid.addWidget(self._labelled(label, widget), n // 2, n % 2)
        grid.addWidget(self._when_field, len(cells) // 2, len(cells) % 2)
        grid.setColumnStretch(0, 1)
        grid.setColumnStretch(1, 1)
        for number in self._fields:
            number.edit.setFixedWidth(84)
            number.changed.connect(self._show_feeling)
        self.feels = QLabel(self)
        self.feels.setObjectName("weatherFeels")
        self.feels.setWordWrap(True)
        self.fields.addLayout(grid)
        self.fields.addWidget(self.feels)
        self._show_feeling()

    def set_units(self, units: Units) -> None:
        super().set_units(units)
        for number in self._fields:
            number.set_units(units)
        self._show_feeling()

    def first_field(self) -> QWidget:
        return self.air

    def build(self, at_s: float) -> Said | None:
        wrong = [number for number in self._fields if not number.check()]
        if wrong:
            wrong[0].setFocus()
            return None
        wind, gust = self.wind.value(), self.gust.value()
        if wind is not None and gust is not None and gust < wind:
            self.gust.refuse(self.tr("Gusts are at least as strong as the wind."))
            self.gust.setFocus()
            return None
        seen = WeatherObserved(
            sky=self.sky.currentData(),
            air_c=self.air.value(),
            humidity_pct=self.humidity.value(),
            wind_m_s=wind,
            gust_m_s=gust,
            pressure_hpa=self.pressure.value(),
            precipitation=self.falls.currentData(),
            exposure=self.exposure.currentData(),
            high_c=self.high.value(),
        )
        if seen == WeatherObserved():
            self.show_trouble(self.tr("Say at least one thing about the weather, or cancel."))
            self.air.setFocus()
            return None
        return Said(at_s, (seen,))

    def clear_fields(self) -> None:
        for number in self._fields:
            number.clear()
        for box in (self.sky, self.falls, self.exposure):
            box.setCurrentIndex(0)
        self._show_feeling()

    def _box(self, name: str, label: str, choices: list[tuple[str, str]]) -> QComboBox:
        box = QComboBox(self)
        box.setObjectName(name)
        box.setAccessibleName(label)
        box.addItem(self.tr("not said"), None)
        for key, words in choices:
            box.addItem(words, key)
        return box

    @Slot()
    def _show_feeling(self) -> None:
        felt = feels_like(self.air.value(), self.wind.value(), self.humidity.value())
        self.feels.setText(self._feeling(felt))

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
