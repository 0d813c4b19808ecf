"""What a bag holds. Figures of the standard stand in tests/reference/pellet_standard_limits.csv."""

from smokejournal.cook.stores.lot_energy import (
    A1_MOISTURE_PCT,
    A1_NET_MJ_KG,
    energy_words,
    net_value,
)
from smokejournal.cook.stores.lots import Lot
from tests.reference.tables import rows

OAK = Lot(1, "oak", bag_kg=9.0, price=9.0, currency="EUR")


def test_the_standard_asks_what_we_say_it_does() -> None:
    limits = {row["property"]: row for row in rows("pellet_standard_limits")}
    assert float(limits["moisture as received"]["limit_high"]) == A1_MOISTURE_PCT
    # Printed as 4.6 kWh/kg and as 16.5 MJ/kg; 4.6 kWh are 16.56 MJ.
    assert 0 <= float(limits["net calorific value"]["limit_low"]) * 3.6 - A1_NET_MJ_KG < 0.1


def test_a_value_written_down_is_taken_as_it_is() -> None:
    lot = Lot(1, "oak", 9.0, 9.0, "EUR", net_mj_kg=18.0)
    assert (net_value(lot).low, net_value(lot).high) == (18.0, 18.0)
    # 9 kg of 18 MJ/kg are 162 MJ, 45 kWh; 9 EUR for 45 kWh.
    words = energy_words(lot)
    assert "A bag holds 45 kWh (18 MJ/kg, the value that you wrote down)." in words
    assert "A kWh costs 0.20 EUR." in words


def test_without_anything_known_it_is_the_least_of_the_standard() -> None:
    # 9 kg of 16.5 MJ/kg are 148.5 MJ, 41.25 kWh; 9 EUR / 41.25 kWh = 0.218 EUR.
    assert energy_words(OAK) == (
        "A bag holds 41 kWh or more (16.5 MJ/kg or more, what ISO 17225-2 asks of pellets of class A1)."
        " A kWh costs 0.22 EUR or less."
    )


def test_moisture_alone_gives_a_range_by_iso_18125() -> None:
    # 20.1 gross dry: 20.1 - 0.2122 * 6.2 - 0.0008 * 43 = 18.750; at 10 %: 16.875 - 0.244 = 16.631.
    net = net_value(Lot(1, "oak", moisture_pct=10.0))
    assert net.high is not None
    assert abs(net.high - 16.631) < 0.005
    assert abs(net.low - (16.631 - 1.4 * 0.9)) < 0.005
    wetter = net_value(Lot(1, "oak", moisture_pct=20.0))
    assert wetter.low < net.low


def test_wet_pellets_are_spoken_of() -> None:
    assert "wetter than the 10 %" in energy_words(Lot(1, "oak", 9.0, moisture_pct=12.0))
    assert "wetter" not in energy_words(Lot(1, "oak", 9.0, moisture_pct=10.0))


def test_a_bag_of_unknown_mass_holds_nothing_that_can_be_said() -> None:
    assert energy_words(Lot(1, "gift", net_mj_kg=17.0)) == ""
