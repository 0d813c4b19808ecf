"""Airfield weather reports: published ones decoded, damaged ones told and never guessed at."""

from __future__ import annotations

import time
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.codec.entries import decode, encode, validate
from smokejournal.cook.log.entries import WeatherObserved
from smokejournal.cook.weather.report import read_report
from smokejournal.cook.weather.words import present_weather_words
from smokejournal.science.air.humid_air import humidity_of_pct
from tests.reference.tables import rows

NOW = datetime(2026, 11, 30, 12, tzinfo=UTC).timestamp()
WHOLE = "METAR EDDM 252350Z 26006G18KT 9999 -RA BKN012 01/M01 Q1008 RMK T00131012"
SKIES = {"FEW": "few", "SCT": "scattered", "BKN": "broken", "OVC": "overcast", "CLR": "clear"}


class TestPublished:
    @pytest.mark.parametrize(
        "row", rows("metar_samples_decoded"), ids=lambda r: r["raw_report"][:24]
    )
    def test_samples(self, row: dict[str, str]) -> None:
        """Reports read on public pages and in a decoder's tests, decoded by two programs."""
        got = read_report(row["raw_report"], NOW)
        assert got.refused == ()
        assert got.usable
        seen = got.seen
        if row["temperature_degC"]:
            air_c, dew_c = float(row["temperature_degC"]), float(row["dew_point_degC"])
            assert seen.air_c == air_c
            assert got.humidity_pct is not None
            assert seen.humidity_pct is not None
            low, high = got.humidity_pct
            assert low <= humidity_of_pct(air_c, dew_c) <= high
            # Not finer than the degrees allow, and off by no more than the rounding.
            step = next(s for s in (10.0, 5.0, 1.0) if seen.humidity_pct % s == 0.0)
            assert step == 10.0 or step >= (high - low) / 2
            assert seen.humidity_pct == pytest.approx(humidity_of_pct(air_c, dew_c), abs=5.01)
        else:
            assert seen.air_c is None
            assert seen.humidity_pct is None
        assert seen.wind_m_s == pytest.approx(float(row["wind_speed_m_per_s"]), abs=0.005)
        assert (seen.gust_m_s is not None) == bool(row["wind_gust_kt"])
        assert seen.sea_level_hpa == pytest.approx(float(row["altimeter_hPa"]), abs=0.051)
        # Slashes stand for what the station could not tell: aside, and no weather.
        assert present_weather_words(got.weather) == row["present_weather_text"].strip("/")
        layers = [SKIES[g[:3]] for g in row["sky_layers_hundreds_ft"].split() if g[:3] in SKIES]
        ranks = list(SKIES.values())
        ranks.sort(key=["clear", "few", "scattered", "broken", "overcast"].index)
        assert seen.sky == (max(layers, key=ranks.index) if layers else None)
        validate(seen)
        kind, data = encode(seen)
        assert decode(kind, data) == seen

    def test_sea_level_pressure_of_the_remarks(self) -> None:
        """FMH-1 12.7.1.v: 998.2 hPa is coded SLP982. It counts where there is no altimeter group."""
        assert read_report("KJFK 252350Z 12/10 RMK SLP982", NOW).seen.sea_level_hpa == 998.2
        assert read_report("KJFK 252350Z 12/10 RMK SLP117", NOW).seen.sea_level_hpa == 1011.7

    def test_whole_degrees_below_nought(self) -> None:
        """WMO-No. 306, 15.11: M00 is -0.5 to 0 °C, and nought does for it."""
        assert read_report("EDDM 252350Z M00/M03", NOW).seen.air_c == 0


class TestWhatItMeans:
    def test_all_of_it(self) -> None:
        got = read_report(WHOLE, NOW)
        assert got.station == "EDDM"
        assert got.at_s == datetime(2026, 11, 25, 23, 50, tzinfo=UTC).timestamp()
        assert got.seen == WeatherObserved(
            sky="broken",
            air_c=1.3,
            humidity_pct=83.0,
            wind_m_s=pytest.approx(3.09),  # type: ignore[arg-type]
            gust_m_s=pytest.approx(9.26),  # type: ignore[arg-type]
            precipitation="rain",
            sea_level_hpa=1008.0,
            report=WHOLE,
        )
        assert got.weather == ("-RA",)
        assert present_weather_words(got.weather) == "light rain"
        assert got.aside == ("9999",)

    @pytest.mark.parametrize(
        ("group", "falls"),
        [
            ("DZ", "drizzle"),
            ("RADZ", "rain"),
            ("SHRA", "rain"),
            ("-SN", "snow"),
            ("RASN", "sleet"),
            ("PL", "sleet"),
            ("SHGS", "hail"),
            ("+TSGRRA", "hail"),
            ("VCSH", "none"),
            ("BLSN", "none"),
            ("TS", "none"),
            ("BR", "none"),
            ("UP", None),
            ("", "none"),
        ],
    )
    def test_what_falls(self, group: str, falls: str | None) -> None:
        got = read_report(f"EDDM 252350Z 26006KT 9999 {group} SCT020 01/M01 Q1008", NOW)
        assert got.seen.precipitation == falls
        assert got.refused == ()

    @pytest.mark.parametrize(
        ("groups", "sky"),
        [
            ("FG VV001", "fog"),
            ("BCFG FEW020", "few"),
            ("FEW008 SCT024 BKN046", "broken"),
            ("SKC", "clear"),
            ("NSC", None),
            ("CAVOK", None),
            ("VV///", "overcast"),
            # A layer whose amount the machine couldn't tell may cover more than the other.
            ("FEW010/// //////CB", None),
        ],
    )
    def test_sky(self, groups: str, sky: str | None) -> None:
        assert read_report(f"EDDM 252350Z 26006KT {groups} 01/M01", NOW).seen.sky == sky

    def test_a_machine_without_the_sensor_does_not_tell_that_it_is_dry(self) -> None:
        said = "252350Z AUTO 26006KT 10SM CLR 01/M01 A2992"
        assert read_report(f"KJFK {said}", NOW).seen.precipitation is None
        assert read_report(f"KJFK {said} RMK AO2", NOW).seen.precipitation == "none"
        assert read_report(f"KJFK {said} RMK AO2 PWINO", NOW).seen.precipitation is None
        assert read_report(f"KJFK AUTO {said}", NOW).seen.precipitation is None

    def test_other_units_of_wind(self) -> None:
        assert read_report("UUEE 252350Z 26006MPS 01/M01", NOW).seen.wind_m_s == 6.0
        wind = read_report("EDDM 252350Z 26036KMH 01/M01", NOW).seen.wind_m_s
        assert wind == pytest.approx(10.0, abs=0.01)

    def test_what_is_forecast_was_not_seen(self) -> None:
        got = read_report("EDDM 252350Z 26006KT 9999 NSC 01/M01 Q1008 TEMPO 30040KT SN", NOW)
        assert got.seen.wind_m_s == pytest.approx(3.09, abs=0.01)
        assert got.seen.precipitation == "none"
        assert "TEMPO 30040KT SN" in got.aside

    @pytest.mark.parametrize(
        ("group", "when"),
        [
            ("301150Z", datetime(2026, 11, 30, 11, 50, tzinfo=UTC)),
            ("301225Z", datetime(2026, 11, 30, 12, 25, tzinfo=UTC)),
            ("301250Z", datetime(2026, 10, 30, 12, 50, tzinfo=UTC)),
            ("311150Z", datetime(2026, 10, 31, 11, 50, tzinfo=UTC)),
        ],
    )
    def test_the_latest_such_day(self, group: str, when: datetime) -> None:
        assert read_report(f"EDDM {group} 01/M01", NOW).at_s == when.timestamp()


class TestUnknown:
    """What wasn't said is unknown. WMO-No. 306, FM 15, note 2: a group is left out where its element
    does not occur, so that silence tells something only in a report that is whole."""

    @pytest.mark.parametrize(
        ("groups", "falls"),
        [
            ("26006KT 9999 SCT020 01/M01 Q1008", "none"),
            ("26006KT CAVOK 01/M01 Q1008", "none"),
            ("26006KT 7SM SCT020 01/M01 A2992", "none"),
            ("26006KT 9999 // SCT020 01/M01 Q1008", None),
            ("26006KT 9999 XX SCT020 01/M01 Q1008", None),
            ("26006KT 9999 RA S SCT020 01/M01 Q1008", None),
            ("26006KT 9999 SARA SCT020 01/M01 Q1008", None),
            ("26006KT 9999 SCT020 01/M01 Q108", None),
            ("9999 SCT020 01/M01 Q1008", None),
            ("26006KT SCT020 01/M01 Q1008", None),
            ("26006KT 9999 01/M01 Q1008", None),
            ("26006KT 9999 SCT020 01/M01", None),
            ("26006KT 9999 SCT020 ///// Q1008", None),
            # Something hides the view, and what it is isn't said.
            ("26006KT 3000 SCT020 01/M01 Q1008", None),
            ("26006KT 2 1/2SM SCT020 01/M01 A2992", None),
            ("26006KT 3000 BR SCT020 01/M01 Q1008", "none"),
            # A forecast that has lost its TEMPO was not seen.
            ("26006KT 9999 SCT020 01/M01 Q1008 SN", None),
            ("26006KT 9999 -RA", None),
            ("26006KT 9999 01/M01 -RA", None),
        ],
    )
    def test_what_falls(self, groups: str, falls: str | None) -> None:
        assert read_report(f"EDDM 252350Z {groups}", NOW).seen.precipitation == falls

    @pytest.mark.parametrize(
        ("groups", "refused"),
        [
            ("FEW008 SCT024 BNK046 01/M01", {"FEW008", "SCT024", "BNK046"}),
            ("FEW008 SCT024 BKN46 01/M01", {"FEW008", "SCT024", "BKN46"}),
            ("FEW008 SCT024 BKN 046 01/M01", {"FEW008", "SCT024", "BKN", "046"}),
            ("FEW008 SCT024", {"FEW008", "SCT024"}),
            ("01/M01 FEW008 SCT024", {"FEW008", "SCT024"}),
            ("CLR BKN046 01/M01", {"CLR", "BKN046"}),
            ("CAVOK BKN046 01/M01", {"CAVOK", "BKN046"}),
        ],
    )
    def test_cover(self, groups: str, refused: set[str]) -> None:
        got = read_report(f"EDDM 252350Z 26006KT {groups}", NOW)
        assert got.seen.sky is None
        assert {part.text for part in got.refused} >= refused

    def test_a_damaged_number_leaves_sky_and_rain(self) -> None:
        got = read_report("EDDM 252350Z 260O6KT 9999 RA BKN046 01/M01 Q108", NOW)
        assert (got.seen.sky, got.seen.precipitation) == ("broken", "rain")
        assert [part.text for part in got.refused] == ["260O6KT", "Q108"]

    @pytest.mark.parametrize("rest", ["", " AUTO", " 9999", " RMK AO2", " NSC", " 26O"])
    def test_station_and_time_are_no_weather(self, rest: str) -> None:
        got = read_report(f"METAR EDDM 252350Z{rest}", NOW)
        assert not got.usable
        assert got.seen == WeatherObserved(report=got.text)
        assert "has no wind, air, pressure, sky or weather" in got.refused[-1].why

    def test_humidity_is_no_finer_than_the_degrees(self) -> None:
        """ASHRAE and WMO-No. 8 give the formulas; the ends are those of the rounded degrees."""
        whole = read_report("KJFK 252350Z 20/10 A2992", NOW)
        tenths = read_report("KJFK 252350Z 20/10 A2992 RMK T02000100", NOW)
        assert whole.seen.humidity_pct == 55.0
        assert whole.humidity_pct == pytest.approx(
            (humidity_of_pct(20.5, 9.5), humidity_of_pct(19.5, 10.5))
        )
        assert tenths.seen.humidity_pct == 53.0
        assert tenths.humidity_pct is not None
        assert tenths.humidity_pct[1] - tenths.humidity_pct[0] < 1.0

    @given(st.integers(-40, 60), st.integers(0, 30))
    def test_humidity_holds_what_was_rounded(self, air_c: int, apart: int) -> None:
        def coded(value: int) -> str:
            return f"M{-value:02d}" if value < 0 else f"{value:02d}"

        got = read_report(f"KJFK 252350Z {coded(air_c)}/{coded(air_c - apart)}", NOW)
        assert got.humidity_pct is not None
        low, high = got.humidity_pct
        assert low < humidity_of_pct(air_c, air_c - apart) <= high + 1e-9
        assert high <= 100.0
        assert got.seen.humidity_pct is not None
        assert got.seen.humidity_pct % (1.0 if high - low <= 2.0 else 5.0) == 0.0

    def test_where_the_pressure_comes_from(self) -> None:
        both = read_report("KJFK 252350Z 12/10 A3008 RMK SLP117", NOW)
        assert (both.pressure_by, both.seen.pressure_hpa) == ("altimeter", None)
        remark = read_report("KJFK 252350Z 12/10 A308 RMK SLP117", NOW)
        assert (remark.pressure_by, remark.seen.sea_level_hpa) == ("remark", 1011.7)
        assert remark.seen.pressure_hpa is None


class TestDamaged:
    @pytest.mark.parametrize(
        ("damaged", "field", "refused"),
        [
            ("EDDM 252350Z 26006 01/M01 Q1008", "wind_m_s", "26006"),
            ("EDDM 252350Z 260O6KT 01/M01 Q1008", "wind_m_s", "260O6KT"),
            ("EDDM 252350Z 37006KT 01/M01 Q1008", "wind_m_s", "37006KT"),
            ("EDDM 252350Z 26020G10KT 01/M01 Q1008", "wind_m_s", "26020G10KT"),
            ("EDDM 252350Z 260P99KT 01/M01 Q1008", "wind_m_s", "260P99KT"),
            ("EDDM 252350Z 26006KT 27008KT 01/M01 Q1008", "wind_m_s", "26006KT 27008KT"),
            ("EDDM 252350Z 26006KT 1/M01 Q1008", "air_c", "1/M01"),
            ("EDDM 252350Z 26006KT 01/M01 05/02 Q1008", "air_c", "01/M01 05/02"),
            ("EDDM 252350Z 26006KT 01/05 Q1008", "humidity_pct", "01/05"),
            ("EDDM 252350Z 26006KT 75/01 Q1008", "air_c", "75/01"),
            ("EDDM 252350Z 26006KT M 01/M03 Q1008", "air_c", "M 01/M03"),
            ("EDDM 252350Z 260108KT 01/M01 Q1008", "wind_m_s", "260108KT"),
            ("EDDM 252350Z 00008KT 01/M01 Q1008", "wind_m_s", "00008KT"),
            ("KJFK 252350Z 26006KT 16/M02 RMK T01491022", "air_c", "16/M02 T01491022"),
            ("EDDM 252350Z 26006KT 01/M01 Q108", "sea_level_hpa", "Q108"),
            ("EDDM 252350Z 26006KT 01/M01 Q1808", "sea_level_hpa", "Q1808"),
            ("EDDM 252350Z 26006KT 01/M01 1008", "sea_level_hpa", None),
            ("EDDM 252350Z 26006KT 01/M01 Q1008 A2992", "sea_level_hpa", "Q1008 A2992"),
            ("EDDM 252350Z 26006KT 16/M02 RMK T03561022", "air_c", "16/M02 T03561022"),
            ("EDDM 252350Z 26006KT BNK012 01/M01", "sky", "BNK012"),
        ],
    )
    def test_told_and_not_taken(self, damaged: str, field: str, refused: str | None) -> None:
        got = read_report(damaged, NOW)
        assert getattr(got.seen, field) is None
        if refused is not None:
            assert [r.text for r in got.refused] == [refused]
            assert got.refused[0].why

    def test_damaged_tenths_leave_the_whole_degrees(self) -> None:
        got = read_report("KJFK 252350Z 16/M02 RMK AO2 T0156102", NOW)
        assert got.seen.air_c == 16
        assert [r.text for r in got.refused] == ["T0156102"]

    @pytest.mark.parametrize(
        "text",
        ["", "   ", "EDDM 26006KT 01/M01", "EDDM 322350Z 01/M01", "EDDM 252360Z 01/M01", "x"],
    )
    def test_nothing_without_a_time(self, text: str) -> None:
        got = read_report(text, NOW)
        assert not got.usable
        assert got.at_s is None
        assert len(got.refused) == 1

    def test_no_report(self) -> None:
        assert not read_report("METAR EDDM 252350Z NIL=", NOW).usable
        assert not read_report("9" * 3000, NOW).usable

    @given(st.text(alphabet="METARQ0123456789/KTMSVCGRNBF =\n", max_size=120))
    def test_never_raises(self, text: str) -> None:
        got = read_report(f"EDDM 252350Z {text}", NOW)
        if got.usable:
            validate(got.seen)

    @given(st.integers(20, len(WHOLE) - 1), st.booleans())
    def test_a_lost_or_doubled_letter_is_no_other_value(self, place: int, doubled: bool) -> None:
        """A group that is a letter short or long is refused or, where it can't be told, forecast apart."""
        cut = WHOLE[:place] + (WHOLE[place] * 2 if doubled else "") + WHOLE[place + 1 :]
        got, whole = read_report(cut, NOW).seen, read_report(WHOLE, NOW).seen
        for name in ("air_c", "wind_m_s", "sea_level_hpa"):
            value = getattr(got, name)
            if value is not None and name != "air_c":
                assert value == pytest.approx(getattr(whole, name), abs=0.06)
        assert got.air_c in (None, 1.3, 1.0)

    @given(st.permutations(["26006KT", "9999", "-RA", "BKN012", "01/M01"]))
    def test_order_does_not_matter(self, groups: list[str]) -> None:
        got = read_report(" ".join(["EDDM", "252350Z", *groups, "Q1008"]), NOW)
        straight = read_report("EDDM 252350Z 26006KT 9999 -RA BKN012 01/M01 Q1008", NOW)
        assert got.refused == ()
        seen, there = got.seen, straight.seen
        assert (seen.air_c, seen.wind_m_s, seen.sky) == (there.air_c, there.wind_m_s, there.sky)


def test_fast_enough_for_typing() -> None:
    read_report(WHOLE, NOW)
    begun = time.perf_counter()
    read_report(WHOLE, NOW)
    assert time.perf_counter() - begun < 0.05
