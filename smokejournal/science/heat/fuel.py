"""What wood fuel gives: its net calorific value as it lies in the bag, and the air it burns with.

Source of the forms: ISO 18125:2017 (EN 14918), net calorific value at constant pressure. Its
coefficients were not seen in the standard; the form of a public inventory guideline, which has the
same ones rounded (0.212 H, 0.0245 M, 0.0008 O in MJ/kg), was.
"""

from __future__ import annotations

from dataclasses import dataclass

from smokejournal.science.numbers.refusals import Parts, between, refuses

#: ISO 18125: [MJ/kg] for each per cent of hydrogen, of oxygen and nitrogen (dry), and of moisture.
HYDROGEN_MJ = 0.2122
OXYGEN_NITROGEN_MJ = 0.0008
MOISTURE_MJ = 0.02443

GROSS_MJ_KG = (10.0, 30.0)
HYDROGEN_PCT = (0.0, 15.0)
OXYGEN_PCT = (0.0, 60.0)
MOISTURE_PCT = (0.0, 65.0)
CARBON_PCT = (0.0, 100.0)


@dataclass(frozen=True, slots=True)
class Wood:
    """A wood fuel: `gross_mj_kg` dry; hydrogen, carbon, oxygen with nitrogen in per cent of dry wood;
    moisture in per cent as received.

    The defaults are those of wood pellets: ISO 17225-2 class A1 lets them hold 10 % of moisture and
    asks for 16.5 MJ/kg net as received; 20 MJ/kg gross dry lies among the values read for hardwoods
    (18.7 to 20.1 for mesquite, Texas A&M Forest Service); the elements are common practice, no source.
    """

    gross_mj_kg: float = 20.0
    hydrogen_pct: float = 6.2
    carbon_pct: float = 50.0
    oxygen_nitrogen_pct: float = 43.0
    moisture_pct: float = 7.0


PELLETS = Wood()
#: What a wood may be, for whoever is given one.
WOOD = Parts(
    gross_mj_kg=between("gross calorific value", *GROSS_MJ_KG, "MJ/kg"),
    hydrogen_pct=between("hydrogen", *HYDROGEN_PCT, "%"),
    carbon_pct=between("carbon", *CARBON_PCT, "%"),
    oxygen_nitrogen_pct=between("oxygen and nitrogen", *OXYGEN_PCT, "%"),
    moisture_pct=between("moisture", *MOISTURE_PCT, "%"),
)


@refuses(
    gross_mj_kg=between("gross calorific value", *GROSS_MJ_KG, "MJ/kg"),
    hydrogen_pct=between("hydrogen", *HYDROGEN_PCT, "%"),
    oxygen_nitrogen_pct=between("oxygen and nitrogen", *OXYGEN_PCT, "%"),
)
def net_dry_mj_kg(gross_mj_kg: float, hydrogen_pct: float, oxygen_nitrogen_pct: float) -> float:
    """Net calorific value of dry fuel [MJ/kg] from its gross one, at constant pressure.

    The water that hydrogen burns to stays vapour: 0.2122 MJ for each per cent of hydrogen; 0.0008 MJ
    for each of oxygen and nitrogen takes it from constant volume to constant pressure. ISO 18125.
    OutOfRange names the field and its range.
    """
    return gross_mj_kg - HYDROGEN_MJ * hydrogen_pct - OXYGEN_NITROGEN_MJ * oxygen_nitrogen_pct


@refuses(
    net_dry=between("net calorific value, dry", 5.0, 30.0, "MJ/kg"),
    moisture_pct=between("moisture", *MOISTURE_PCT, "%"),
)
def net_as_received_mj_kg(net_dry: float, moisture_pct: float) -> float:
    """Net calorific value as received [MJ/kg] from that of the dry fuel: moisture takes the place of
    wood and is evaporated. ISO 18125.

    Worked: 20.0 MJ/kg gross dry with 6.2 % hydrogen and 43 % oxygen and nitrogen is 18.650 net dry,
    and with 7 % of moisture 17.173 MJ/kg, 4.770 kWh/kg.
    """
    return net_dry * (1.0 - 0.01 * moisture_pct) - MOISTURE_MJ * moisture_pct


@refuses(wood=WOOD)
def net_mj_kg(wood: Wood = PELLETS) -> float:
    """Net calorific value of a wood as received [MJ/kg]."""
    dry = net_dry_mj_kg(wood.gross_mj_kg, wood.hydrogen_pct, wood.oxygen_nitrogen_pct)
    return net_as_received_mj_kg(dry, wood.moisture_pct)


@refuses(wood=WOOD)
def air_to_burn_kg_kg(wood: Wood = PELLETS) -> float:
    """Dry air that burns a kg of fuel as received to the end [kg/kg], without any left over.

    By the balance of elements: 2.664 kg of oxygen to a kg of carbon, 7.937 to one of hydrogen, less
    the fuel's own; air is 23.14 % oxygen by mass. Standard atomic masses; nitrogen counts as oxygen.
    """
    oxygen = 2.664 * wood.carbon_pct + 7.937 * wood.hydrogen_pct - wood.oxygen_nitrogen_pct
    return max(0.0, oxygen) / 23.14 * (1.0 - 0.01 * wood.moisture_pct)
