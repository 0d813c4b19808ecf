"""The cooks of the demo journal. All of it is invented: dishes, shops, prices and what was said."""

from __future__ import annotations

from smokejournal.cook.log.entries import PrepStep
from smokejournal.cook.log.schedule import ForTime, Schedule, Stage, UntilSaid, UntilTemperature
from smokejournal.inputs.pit import Piece
from smokejournal.services.demo.kinds import (
    HOUR,
    SHOULDER_SCHEDULE,
    TROUT_SCHEDULE,
    Deed,
    DemoCook,
    item,
    light,
    rest,
    smoke,
    trout,
    wrapping,
)

FINISHED: tuple[DemoCook, ...] = (
    DemoCook(
        title="Chicken thighs with paprika",
        days_ago=352,
        clock="16:10",
        item=item(
            "chicken thighs", "poultry", 1.44, "bone in, skin on", 0.045, 8, "market hall", 11.6
        ),
        piece=Piece("thigh", "slab", 0.022, 0.18, 5.0, 8, juice_share=0.08, skin=0.5),
        schedule=Schedule(
            "Chicken thighs",
            (
                light(135.0),
                smoke(135.0, 79.0, alert="insistent"),
                rest(10, "Rest uncovered, so that the skin stays firm."),
            ),
        ),
        prep=(
            (
                20.0,
                PrepStep("dry brine", "18 g salt on 1.44 kg (1.25 %), in the fridge", 18 * HOUR),
            ),
            (1.5, PrepStep("rub", "8 g sweet paprika, 3 g garlic, 2 g black pepper")),
        ),
        deeds=(
            Deed("lid", 35, "smoke", text="turned", lid_s=70),
            Deed("note", 36, "smoke", text="Skin still pale. More room between the pieces helps."),
        ),
        sky="overcast",
        wind_m_s=3.5,
        fuel=(("Beech, bag A", 4.0),),
        drip_share=0.09,
        marks={"smoke": 3, "moisture": 4, "salt": 3, "tenderness": 4, "surface": 2, "overall": 3},
        tasted="Juicy, good smoke, but the skin was soft.",
        next_time="Finish at 150 °C for the last twenty minutes.",
    ),
    DemoCook(
        title="Hot-smoked trout",
        days_ago=318,
        clock="10:20",
        item=item(
            "trout sides", "fish", 1.9, "farmed, skin on, pin bones out", 0.03, 4, "fish van", 34.2
        ),
        piece=trout(0.03, 1.9, 4),
        schedule=TROUT_SCHEDULE,
        prep=(
            (
                19.0,
                PrepStep("brine", "2 L water, 160 g salt, 80 g brown sugar; 4 °C", 5 * HOUR),
            ),
            (14.0, PrepStep("rinse", "Cold water, patted dry", 300.0)),
            (13.5, PrepStep("dry", "On a rack in the fridge until tacky", 13 * HOUR)),
        ),
        deeds=(
            Deed("lid", 50, "smoke", text="wiped white spots off", lid_s=45),
            Deed("note", 80, "smoke", text="A little albumin on the thick end only."),
        ),
        sky="clear",
        wind_m_s=1.2,
        warmer_c=-4.0,
        fuel=(("Beech, bag A", 1.5),),
        prep_share=0.97,
        drip_share=0.03,
        served_share=0.9,
        marks={"smoke": 3, "moisture": 4, "salt": 4, "tenderness": 4, "surface": 4, "overall": 4},
        tasted="Silky at the thick end, a touch salty at the tail.",
        next_time="Five hours in this brine is too long for the tail: four.",
    ),
    DemoCook(
        title="Spare ribs, two racks",
        days_ago=276,
        clock="11:40",
        item=item("spare ribs", "red_meat", 2.9, "two racks, trimmed", 0.032, 2, "butcher", 26.1),
        piece=Piece("rack", "slab", 0.015, 1.45, 6.0, 2, juice_share=0.14),
        schedule=Schedule(
            "Ribs by time and bend",
            (
                light(115.0),
                Stage("smoke", "Smoke", (ForTime(2.5 * HOUR),), pit_target_c=115.0, purpose="cook"),
                Stage(
                    "wrapped", "Wrapped", (ForTime(1.5 * HOUR),), pit_target_c=115.0, purpose="wrap"
                ),
                Stage(
                    "glaze",
                    "Glaze",
                    (UntilSaid(),),
                    pit_target_c=121.0,
                    instruction="Done when a rack lifted in the middle bends and cracks on top.",
                    guard_s=1.5 * HOUR,
                    purpose="cook",
                ),
                rest(10),
            ),
        ),
        prep=(
            (14.0, PrepStep("skin", "Membrane off the bone side")),
            (
                13.5,
                PrepStep("rub", "30 g salt, 40 g brown sugar, 20 g paprika, 6 g cumin", 12 * HOUR),
            ),
        ),
        deeds=(
            Deed("spritz", 60, "smoke", text="apple juice and vinegar, 2:1", lid_s=45),
            Deed("spritz", 105, "smoke", text="apple juice and vinegar, 2:1", lid_s=50),
            Deed("wrap", 1, "wrapped", wrap="foil", lid_s=180),
            Deed("wrap", 1, "glaze", wrap="none", lid_s=120),
            Deed("note", 2, "glaze", text="Glazed with 120 g plum sauce."),
        ),
        sky="broken",
        wind_m_s=4.0,
        precipitation="drizzle",
        humidity_pct=88.0,
        fuel=(("Oak and cherry, bag B", 4.5),),
        confirm_min=38.0,
        drip_share=0.12,
        served_share=0.97,
        marks={"smoke": 4, "moisture": 3, "salt": 3, "tenderness": 4, "surface": 4, "overall": 4},
        tasted="Clean bite off the bone. Smokier than with beech.",
        next_time="Wrap a quarter of an hour earlier.",
    ),
    DemoCook(
        title="Pork shoulder for twelve",
        days_ago=241,
        clock="05:30",
        item=item(
            "pork shoulder", "red_meat", 3.2, "blade half, bone in", 0.13, 1, "butcher", 28.8
        ),
        piece=Piece("shoulder", "cylinder", 0.062, 3.2, 6.0, juice_share=0.16),
        schedule=SHOULDER_SCHEDULE,
        prep=(
            (13.0, PrepStep("trim", "Fat cap down to 6 mm")),
            (12.5, PrepStep("rub", "48 g salt (1.5 %), 30 g sugar, 15 g pepper", 12 * HOUR)),
        ),
        deeds=(
            Deed("spritz", 170, "smoke", text="cider vinegar and water, 1:1", lid_s=45),
            Deed("fuel", 200, "smoke", lot="Beech, bag A", mass_kg=3.0),
            Deed("spritz", 240, "smoke", text="cider vinegar and water, 1:1", lid_s=45),
            Deed("note", 300, "smoke", lead_c=66.0, text="Slow now: 2 °C in half an hour."),
            wrapping("wrapped", 0.0, "foil"),
        ),
        sky="few",
        wind_m_s=2.2,
        warmer_c=3.0,
        fuel=(("Oak and cherry, bag B", 1.5), ("Beech, bag A", 2.0)),
        drip_share=0.14,
        served_share=0.86,
        marks={"smoke": 4, "moisture": 5, "salt": 3, "tenderness": 5, "surface": 4, "overall": 5},
        tasted="Pulled by hand, dark bark, plenty of juice in the foil to pour back.",
        next_time="Start half an hour earlier, the rest could have been longer.",
        interval_s=20.0,
    ),
    DemoCook(
        title="Mackerel, whole",
        days_ago=203,
        clock="18:00",
        item=item("mackerel", "fish", 1.6, "gutted, head on", 0.04, 5, "harbour", 19.2),
        piece=Piece("mackerel", "cylinder", 0.02, 0.32, 7.0, 5, juice_share=0.02, skin=0.5),
        schedule=Schedule(
            "Whole fish",
            (
                light(95.0),
                smoke(95.0, 65.0, alert="insistent"),
                Stage(
                    "hold",
                    "Hold",
                    (ForTime(30 * 60, at_least_c=63.0),),
                    pit_target_c=80.0,
                    purpose="hold",
                ),
                rest(20),
            ),
        ),
        prep=(
            (9.0, PrepStep("brine", "3 L water, 180 g salt, bay, pepper; 4 °C", 4 * HOUR)),
            (5.0, PrepStep("dry", "Hung in the cold store", 4 * HOUR)),
        ),
        deeds=(Deed("lid", 30, "smoke", text="probe moved off the backbone", lid_s=60),),
        sky="clear",
        wind_m_s=3.0,
        warmer_c=2.0,
        fuel=(("Apple, bag C", 1.0),),
        drip_share=0.04,
        served_share=0.68,
        marks={"smoke": 4, "moisture": 4, "salt": 3, "tenderness": 4, "surface": 4, "overall": 4},
        tasted="Rich and oily, best lukewarm with dark bread.",
        next_time="Good as it is.",
    ),
    DemoCook(
        title="Turkey crown",
        days_ago=158,
        clock="10:45",
        item=item(
            "turkey crown", "poultry", 3.1, "on the bone, skin on", 0.12, 1, "farm shop", 38.9
        ),
        piece=Piece("crown", "sphere", 0.066, 3.1, 5.0, juice_share=0.08, skin=0.5),
        schedule=Schedule(
            "Turkey crown",
            (
                light(121.0),
                smoke(
                    121.0, 74.0, alert="insistent", instruction="Breast up, probe from the side."
                ),
                rest(30),
            ),
        ),
        prep=(
            (26.0, PrepStep("brine", "5 L water, 300 g salt, 100 g sugar, thyme; 4 °C", 16 * HOUR)),
            (9.5, PrepStep("dry", "Uncovered in the fridge", 9 * HOUR)),
        ),
        deeds=(
            Deed("spritz", 70, "smoke", text="melted butter", lid_s=50),
            Deed(
                "gap", 100, "smoke", gap_min=14.0, text="Tripped over the cable; plugged in again."
            ),
        ),
        sky="scattered",
        wind_m_s=5.5,
        precipitation="none",
        fuel=(("Apple, bag C", 3.0),),
        drip_share=0.1,
        served_share=0.7,
        marks={"smoke": 3, "moisture": 4, "salt": 3, "tenderness": 4, "surface": 3, "overall": 4},
        tasted="Moist to the bone, thyme comes through.",
        next_time="Less wind behind the wall: the fire worked hard.",
        interval_s=20.0,
    ),
    DemoCook(
        title="Duck breasts",
        days_ago=117,
        clock="17:30",
        item=item("duck breasts", "poultry", 0.76, "skin scored", 0.03, 2, "market hall", 17.5),
        piece=Piece("duck breast", "slab", 0.016, 0.38, 6.0, 2, juice_share=0.06, skin=0.6),
        schedule=Schedule(
            "Duck breast",
            (light(110.0), smoke(110.0, 74.0, alert="insistent"), rest(8)),
        ),
        prep=((6.0, PrepStep("cure", "15 g salt, 10 g sugar, orange peel, rinsed off", 4 * HOUR)),),
        deeds=(Deed("lid", 25, "smoke", text="rendered fat poured off", lid_s=40),),
        sky="overcast",
        precipitation="rain",
        humidity_pct=92.0,
        wind_m_s=2.5,
        pressure_hpa=1002.0,
        fuel=(("Apple, bag C", 0.5),),
        drip_share=0.13,
        marks={"smoke": 4, "moisture": 3, "salt": 4, "tenderness": 3, "surface": 3, "overall": 3},
        tasted="Good with the orange, the fat could be crisper.",
        next_time="Crisp the skin in a hot pan afterwards.",
    ),
    DemoCook(
        title="Brisket flat",
        days_ago=74,
        clock="06:15",
        item=item("brisket flat", "red_meat", 2.4, "grass fed, trimmed", 0.06, 1, "butcher", 40.8),
        piece=Piece("brisket flat", "slab", 0.03, 2.4, 6.0, juice_share=0.16),
        schedule=Schedule(
            "Brisket flat in paper",
            (
                light(107.0),
                smoke(107.0, 71.0, ending="waits", instruction="Wrap when the color is right."),
                Stage(
                    "wrapped",
                    "In paper",
                    (UntilTemperature(92.0, prove_s=300.0),),
                    pit_target_c=116.0,
                    guard_s=8 * HOUR,
                    purpose="wrap",
                ),
                Stage(
                    "rest",
                    "Rest",
                    (UntilTemperature(68.0, direction="falling", prove_s=120.0),),
                    instruction="Keep it in the paper, in a dry cooler box.",
                    purpose="rest",
                ),
            ),
        ),
        prep=((13.0, PrepStep("rub", "36 g salt (1.5 %), 24 g coarse pepper", 12 * HOUR)),),
        deeds=(
            Deed("spritz", 120, "smoke", text="water", lid_s=40),
            Deed("wrap", 1, "wrapped", wrap="paper", lid_s=170),
            Deed("fuel", 60, "wrapped", lot="Oak and cherry, bag B", mass_kg=2.0),
        ),
        sky="few",
        wind_m_s=1.8,
        fuel=(("Beech, bag A", 2.0),),
        drip_share=0.13,
        served_share=0.95,
        marks={"smoke": 4, "moisture": 3, "salt": 3, "tenderness": 4, "surface": 5, "overall": 4},
        tasted="Peppery bark. The thin end was a little dry.",
        next_time="Fold the thin end under.",
        interval_s=20.0,
    ),
    DemoCook(
        title="Coarse sausages",
        days_ago=38,
        clock="17:15",
        item=item(
            "coarse pork sausages", "ground", 1.5, "fresh, caraway", 0.034, 12, "butcher", 18.0
        ),
        piece=Piece("sausage", "cylinder", 0.017, 0.125, 5.0, 12, juice_share=0.06, skin=0.6),
        schedule=Schedule(
            "Fresh sausages",
            (
                light(110.0),
                smoke(110.0, 72.0, alert="insistent"),
                rest(5, "Serve at once."),
            ),
        ),
        deeds=(Deed("lid", 20, "smoke", text="turned", lid_s=60),),
        sky="clear",
        wind_m_s=1.0,
        fuel=(("Oak and cherry, bag B", 1.0),),
        drip_share=0.07,
        served_share=1.0,
        marks={"smoke": 3, "moisture": 4, "salt": 3, "tenderness": 4, "surface": 3, "overall": 4},
        tasted="Snappy, caraway and cherry go well.",
        next_time="Make twice as many.",
    ),
    DemoCook(
        title="Trout sides, thicker cut",
        days_ago=12,
        clock="09:30",
        item=item("trout sides", "fish", 2.6, "large fish, skin on", 0.036, 3, "fish van", 49.4),
        piece=trout(0.036, 2.6, 3),
        schedule=TROUT_SCHEDULE,
        prep=(
            (18.0, PrepStep("brine", "2.5 L water, 200 g salt, 100 g brown sugar; 4 °C", 4 * HOUR)),
            (13.5, PrepStep("rinse", "Cold water, patted dry", 300.0)),
            (13.0, PrepStep("dry", "On a rack in the fridge until tacky", 12.5 * HOUR)),
        ),
        deeds=(
            Deed("lid", 70, "smoke", text="looked at the color", lid_s=40),
            Deed("note", 120, "smoke", text="The two probes lie 2 °C apart again. Ice bath test."),
        ),
        sky="scattered",
        wind_m_s=2.8,
        fuel=(("Beech, bag A", 2.0),),
        prep_share=0.97,
        drip_share=0.03,
        served_share=0.9,
        marks={"smoke": 4, "moisture": 5, "salt": 3, "tenderness": 5, "surface": 4, "overall": 5},
        tasted="The best so far: even, moist, salt just right.",
        next_time="Four hours of this brine, always. Check probe 2 before.",
    ),
)

#: Begun `UNDER_WAY_S` before the demo is made; it is somewhere in its long climb.
UNDER_WAY_S = 5.4 * HOUR
UNDER_WAY = DemoCook(
    title="Pork shoulder for the neighbors",
    days_ago=0,
    clock="",
    item=item("pork shoulder", "red_meat", 2.8, "neck end, bone in", 0.12, 1, "butcher", 25.2),
    piece=Piece("shoulder", "cylinder", 0.06, 2.8, 6.0, juice_share=0.16),
    schedule=SHOULDER_SCHEDULE,
    prep=((12.5, PrepStep("rub", "42 g salt (1.5 %), 28 g sugar, 14 g pepper", 12 * HOUR)),),
    deeds=(
        Deed("spritz", 150, "smoke", text="cider vinegar and water, 1:1", lid_s=45),
        Deed("lid", 215, "smoke", text="looked at the bark", lid_s=30),
        Deed("fuel", 230, "smoke", lot="Oak and cherry, bag B", mass_kg=2.0),
    ),
    sky="few",
    wind_m_s=2.4,
    fuel=(("Beech, bag A", 4.0),),
    interval_s=10.0,
)

#: Only planned: due in five days.
PLANNED = DemoCook(
    title="Turkey crown for six",
    days_ago=-5,
    clock="09:30",
    item=item("turkey crown", "poultry", 2.8, "ordered", 0.115, 1, "farm shop", 35.0),
    piece=Piece("crown", "sphere", 0.063, 2.8, 5.0, juice_share=0.08, skin=0.5),
    schedule=Schedule(
        "Turkey crown",
        (
            light(121.0),
            smoke(121.0, 74.0, alert="insistent", instruction="Breast up, probe from the side."),
            rest(30),
        ),
    ),
    prep=(
        (26.0, PrepStep("brine", "4.5 L water, 270 g salt, 90 g sugar, thyme; 4 °C", 16 * HOUR)),
        (9.5, PrepStep("dry", "Uncovered in the fridge", 9 * HOUR)),
    ),
)
