"""The written form of entries: what goes in comes out, and nothing hostile gets past."""

import dataclasses
import json
import typing
from typing import Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.codec.entries import (
    ENTRY_KINDS,
    checked,
    decode,
    decode_text,
    encode,
    encode_text,
    validate,
)
from smokejournal.cook.log import entries as kinds
from smokejournal.cook.log.brine_request import (
    BrineAsked,
    CuredProduct,
    CureMethod,
    Flesh,
    Grain,
    ScaleBy,
)
from smokejournal.cook.log.entries import Unread, WareSort
from smokejournal.cook.log.ranges import LAST_S
from smokejournal.cook.log.readings import Channel, ChannelRole
from smokejournal.cook.log.schedule import (
    ForTime,
    Schedule,
    Stage,
    UntilClock,
    UntilSaid,
    UntilTemperature,
)
from smokejournal.cook.safety.tables import OFFERED
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.strict import one_line, renamed
from smokejournal.science.forecast.values import Cut


def number(low: float, high: float, above: bool = False) -> st.SearchStrategy[float]:
    return st.floats(low, high, exclude_min=above, allow_nan=False)


def some(literal: object) -> st.SearchStrategy[str]:
    return st.sampled_from(typing.get_args(literal))


# No NUL and no halves of surrogate pairs: those are refused.
any_text = st.text(st.characters(exclude_characters="\0", exclude_categories=["Cs"]), max_size=40)
text = any_text.filter(lambda t: bool(t.strip()))
any_name = any_text.map(one_line)
name = any_name.filter(lambda t: bool(t.strip()))
mass = number(0, 5000, above=True)
mass_or_none_left = number(0, 5000)
moment = number(0, LAST_S)
duration = number(0, 366 * 86400)
lasting = number(0, 366 * 86400, above=True)
celsius = number(-90, 65)
percent = number(0, 100)


def maybe(strategy: st.SearchStrategy) -> st.SearchStrategy:
    return st.none() | strategy


channels = st.builds(
    Channel,
    key=text,
    name=name,
    role=some(ChannelRole),
    probe=any_text,
    place=any_text,
    offset_c=number(-100, 100),
    gap_s=number(0, 7 * 86400, above=True),
    by_hand=st.booleans(),
    simulated=st.booleans(),
    slope=number(0.5, 2),
    probe_id=st.none() | st.integers(1, 2**53),
    calibrated_at_s=maybe(number(0, 2e9)),
    uncertainty_c=maybe(number(0, 100)),
)
rules = st.one_of(
    st.builds(
        UntilTemperature,
        target_c=number(-20, 300),
        direction=st.sampled_from(["rising", "falling"]),
        prove_s=number(0, 3600),
        channel=st.sampled_from(["lead", "check", "pit"]),
    ),
    st.builds(ForTime, duration_s=number(1, 86400), at_least_c=maybe(number(-20, 300))),
    st.builds(UntilClock, at_s=number(7e8, 4e9)),
    st.just(UntilSaid()),
)
stages = st.builds(
    Stage,
    key=st.from_regex("s[0-9]{1,6}", fullmatch=True),
    name=name,
    rules=st.lists(rules, min_size=1, max_size=3).map(tuple),
    combine=st.sampled_from(["any", "all"]),
    pit_target_c=maybe(number(20, 300)),
    guard_s=maybe(number(60, 86400)),
)
schedules = st.builds(
    Schedule,
    name=any_name,
    stages=st.lists(stages, max_size=4, unique_by=lambda s: s.key).map(tuple),
)


def safety_of(food: kinds.FoodClass) -> st.SearchStrategy[kinds.SafetySet]:
    """Any choice that this food may be set against; D and z whole wherever they are chosen."""
    whole = st.builds(
        kinds.SafetySet,
        food=st.just(food),
        table=st.just("own"),
        d_s=number(0.01, 1e6),
        z_k=number(1, 100),
        reference_c=number(0, 150),
        from_c=number(0, 70),
        to_c=number(71, 150),
        target_log=number(0, 20, above=True),
    )
    published = [table for table in OFFERED[food] if table != "own"]
    return whole | st.builds(
        kinds.SafetySet,
        food=st.just(food),
        table=st.sampled_from(published),
        fat_pct=maybe(percent),
        probes=st.lists(text, unique=True, max_size=3).map(tuple),
        uncertainty_c=maybe(number(0, 20)),
    )


brines = st.builds(
    BrineAsked,
    line=any_text,
    grain=some(Grain),
    flesh=some(Flesh),
    food_kg=maybe(mass),
    thickness_m=maybe(number(0, 2, above=True)),
    shape=st.sampled_from(["slab", "cylinder", "sphere"]),
    one_face=st.booleans(),
    soak_s=maybe(duration),
    target_pct=maybe(percent),
    finished_pct=maybe(number(0, 200, above=True)),
    scale_by=some(ScaleBy),
    scale_to=maybe(number(0, 10_000, above=True)),
    product=some(CuredProduct),
    method=some(CureMethod),
    nitrite_pct=maybe(percent),
    pickup_pct=maybe(percent),
    rind_on=st.booleans(),
    salt=any_text,
    cup_g=maybe(number(50, 400)),
)
stage_key = {"stage": text}
PAYLOADS: dict[str, st.SearchStrategy] = {
    "cook_opened": st.builds(
        kinds.CookOpened,
        title=name,
        zone=st.sampled_from(["Europe/Paris", "America/Chicago", "UTC", "Australia/Lord_Howe"]),
        simulated=st.booleans(),
        place=any_text,
        hopper_kg=maybe(mass),
        ready_at_s=maybe(moment),
        again_of=maybe(st.integers(1, 2**53)),
    ),
    "cook_renamed": st.builds(
        kinds.CookRenamed,
        title=name,
        ready_at_s=maybe(moment),
        place=maybe(any_text),
        margin_s=maybe(duration),
    ),
    "item": st.builds(
        kinds.ItemAdded,
        name=name,
        food=some(kinds.FoodClass),
        label=any_text,
        mass_kg=maybe(mass),
        thickness_m=maybe(number(0, 2, above=True)),
        pieces=st.integers(1, 100_000),
        bought_at=any_text,
        price=maybe(number(0, 1e9)),
        currency=any_text,
        channel=any_text,
        target_c=maybe(number(-60, 500)),
        pit_c=maybe(number(-60, 500)),
        takes_s=maybe(lasting),
        rest_s=maybe(duration),
        hold_s=maybe(duration),
        ready_at_s=maybe(moment),
    ),
    "prep_step": st.builds(
        kinds.PrepStep,
        step=name,
        text=any_text,
        duration_s=maybe(duration),
        brine=maybe(brines),
        key=any_text,
        sort=some(kinds.PrepSort),
        item=any_text,
        longest_s=maybe(lasting),
    ),
    "step_begun": st.builds(kinds.StepBegun, step=text),
    "step_ended": st.builds(kinds.StepEnded, step=text),
    "step_extended": st.builds(kinds.StepExtended, step=text, by_s=lasting),
    "step_skipped": st.builds(kinds.StepSkipped, step=text),
    "times_kept": st.builds(
        kinds.TimesKept,
        starts=st.dictionaries(text, moment, max_size=4),
        ready_at_s=moment,
        late=maybe(number(0, 1)),
    ),
    "channel": st.builds(kinds.ChannelSet, channel=channels),
    "lead": st.builds(kinds.LeadSet, lead=text, check=maybe(text)).filter(
        lambda p: p.lead != p.check
    ),
    "schedule": st.builds(kinds.ScheduleSet, schedule=schedules),
    "started": st.just(kinds.ScheduleStarted()),
    "stage_confirmed": st.builds(kinds.StageConfirmed, **stage_key),
    "stage_skipped": st.builds(kinds.StageSkipped, **stage_key),
    "stage_extended": st.builds(kinds.StageExtended, by_s=lasting, **stage_key),
    "stage_put_back": st.builds(kinds.StagePutBack, **stage_key),
    "lid": st.builds(kinds.Lid, open=st.booleans()),
    "wrap": st.builds(kinds.Wrap, material=some(kinds.WrapMaterial), item=any_text),
    "spritz": st.builds(kinds.Spritz, liquid=any_text),
    "refrigerator": st.builds(kinds.Refrigerator, out=st.booleans(), item=any_text),
    "safety": st.sampled_from(sorted(OFFERED)).flatmap(safety_of),
    "probe_moved": st.builds(kinds.ProbeMoved, channel=text, place=any_text),
    "fuel_added": st.builds(
        kinds.FuelAdded,
        lot=any_text,
        mass_kg=mass,
        mass_sd_kg=mass_or_none_left,
        measured=some(kinds.FuelMeasure),
        price_per_kg=maybe(number(0, 1e9)),
        currency=any_text,
    ),
    "fuel_level": st.builds(
        kinds.FuelLevel,
        mass_kg=mass_or_none_left,
        mass_sd_kg=mass_or_none_left,
        as_percent=maybe(percent),
    ),
    "store_used": st.builds(
        kinds.StoreUsed,
        sort=some(WareSort),
        name=text,
        mass_kg=maybe(mass),
        count=maybe(number(0, 100_000, above=True)),
    ),
    "weather": st.builds(
        kinds.WeatherObserved,
        sky=maybe(some(kinds.Sky)),
        air_c=celsius,
        humidity_pct=maybe(percent),
        wind_m_s=maybe(number(0, 40)),
        gust_m_s=maybe(number(40, 150)),
        pressure_hpa=maybe(number(450, 1100)),
        precipitation=maybe(some(kinds.Precipitation)),
        exposure=maybe(some(kinds.Exposure)),
        high_c=maybe(celsius),
    ),
    "note": st.builds(kinds.Note, text=text),
    "photo": st.builds(
        kinds.Photo,
        sha256=st.from_regex("[0-9a-f]{64}", fullmatch=True),
        suffix=st.sampled_from([".jpg", ".png"]),
        caption=any_text,
    ),
    "cook_put_away": st.builds(kinds.CookPutAway, away=st.booleans()),
    "clock_set": st.builds(kinds.ClockSet, ahead_s=number(-1e9, 1e9)),
    "alarm_raised": st.builds(kinds.AlarmRaised, key=text, text=text),
    "alarm_acknowledged": st.builds(kinds.AlarmAcknowledged, key=text, snooze_s=maybe(lasting)),
    "tasted": st.builds(
        kinds.Tasted,
        text=text,
        marks=st.dictionaries(text, st.integers(1, 5), max_size=4),
        taster=any_text,
        faults=st.lists(text, max_size=3).map(tuple),
    ),
    "weighed": st.builds(kinds.Weighed, stage=some(kinds.MassStage), mass_kg=mass, item=any_text),
    "served": st.builds(
        kinds.Served,
        servings=st.integers(1, 10_000),
        rest_cost=maybe(number(0, 1e6)),
        currency=any_text,
    ),
    "next_time": st.builds(kinds.NextTime, text=text),
    "readings_struck": st.tuples(text, moment, moment, any_text).map(
        lambda t: kinds.ReadingsStruck(t[0], min(t[1], t[2]), max(t[1], t[2]), t[3])
    ),
    "forecast_made": st.builds(
        lambda channel, target_c, standing, moments: kinds.ForecastMade(
            channel, target_c, standing, *sorted(moments), *[None] * (3 - len(moments))
        ),
        text,
        number(-60, 500),
        some(kinds.ForecastStanding),
        st.lists(moment, max_size=3),
    ),
    "fuel_foreseen": st.builds(
        lambda moments, runs_out, off_s: kinds.FuelForeseen(*sorted(moments), runs_out, off_s),
        st.lists(moment, min_size=3, max_size=3),
        maybe(number(0, 1)),
        maybe(moment),
    ),
    "piece_found": st.builds(
        lambda model, channel, cut, found, noticed, why, asked, old, outcomes, course: (
            kinds.PieceFound(
                model,
                channel,
                cut,
                {name: mean for name, (mean, _) in found.items()} if old else {},
                {name: sd for name, (_, sd) in found.items()},
                tuple(noticed),
                "" if found else why,
                asked,
                ()
                if old or not found
                else (
                    kinds.SeenDirection({name: mean for name, (mean, _) in found.items()}, 0.25),
                ),
                tuple(kinds.ForecastOutcome(way, score) for way, score in outcomes),
                course,
            )
        ),
        st.integers(1, 1_000_000),
        any_text,
        some(Cut),
        st.dictionaries(text, st.tuples(number(-1e6, 1e6), number(0, 1e6, above=True)), max_size=3),
        st.lists(text, max_size=3, unique=True),
        text,
        st.booleans(),
        st.booleans(),
        st.lists(st.tuples(number(0, 1), number(-1e4, 1e4)), max_size=4),
        maybe(
            st.builds(
                lambda points, pit_c, wrap, mass_kg, thickness_m: kinds.SeenCourse(
                    tuple(sorted(c for c, _ in points)),
                    tuple(sorted(s for _, s in points)),
                    pit_c,
                    wrap,
                    mass_kg,
                    thickness_m,
                ),
                st.lists(st.tuples(number(-60, 500), number(0, 1e7)), min_size=2, max_size=5),
                number(-60, 500),
                some(Literal["", "foil", "paper"]),
                maybe(number(0.1, 20)),
                maybe(number(0.01, 0.2)),
            )
        ),
    ),
    "time_explained": st.builds(
        kinds.TimeExplained,
        some(Literal["plan", "usual"]),
        number(0, 1e6),
        number(0, 1e6),
        st.lists(
            st.builds(
                kinds.TimePartFound,
                some(kinds.TimePartName),
                number(-1e6, 1e6),
                number(-1e6, -1.0),
                number(0, 1e6),
                maybe(number(-1e6, 1e6)),
                maybe(number(-1e6, 1e6)),
                some(Literal["", "none", "foil", "paper"]),
                some(Literal["", "none", "foil", "paper"]),
            ),
            max_size=4,
            unique_by=lambda part: part.name,
        ).map(tuple),
        st.integers(0, 1_000_000),
        st.booleans(),
    ),
    "cook_closed": st.builds(kinds.CookClosed, ended_s=maybe(moment)),
    "strike": st.builds(kinds.Strike, entry_id=st.integers(1, 2**53), reason=any_text),
}
payloads = st.one_of(*PAYLOADS.values())
json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | any_text,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(any_text, inner, max_size=3),
    max_leaves=8,
)


def test_every_kind_of_entry_has_a_written_form_and_a_round_trip() -> None:
    payload_types = set(typing.get_args(kinds.Payload)) - {Unread}
    assert set(ENTRY_KINDS.values()) == payload_types
    assert set(PAYLOADS) == set(ENTRY_KINDS)


@given(payloads)
def test_what_is_written_is_read_back_the_same(payload: kinds.Payload) -> None:
    validate(payload)
    kind, written = encode_text(payload)
    assert ENTRY_KINDS[kind] is type(payload)
    assert decode_text(kind, written) == payload
    assert decode(*encode(payload)) == payload
    assert checked(payload) == payload


@given(payloads, st.data())
def test_a_mangled_entry_is_unread_or_valid_and_never_raises(
    payload: kinds.Payload, data: st.DataObject
) -> None:
    kind, fields = encode(payload)
    mangled = json.loads(json.dumps(fields))

    def mangle(part: object) -> None:
        if isinstance(part, list) and part:
            mangle_one(part, data.draw(st.integers(0, len(part) - 1)))
        elif isinstance(part, dict):
            names = [*part, data.draw(any_text)]
            mangle_one(part, data.draw(st.sampled_from(names)))

    def mangle_one(part: typing.Any, place: typing.Any) -> None:
        inner = part.get(place) if isinstance(part, dict) else part[place]
        if isinstance(inner, (dict, list)) and inner and data.draw(st.booleans()):
            mangle(inner)
        else:
            part[place] = data.draw(json_values)

    mangle(mangled)
    read = decode(kind, mangled)
    if isinstance(read, Unread):
        assert read.written_kind == kind
        assert read.why
        assert encode(read) == (kind, mangled)
    else:
        validate(read)


@given(any_text | st.sampled_from(sorted(ENTRY_KINDS)), any_text | json_values.map(json.dumps))
def test_any_text_is_read_without_raising(kind: str, written: str) -> None:
    read = decode_text(kind, written)
    if isinstance(read, Unread):
        assert read.why


@pytest.mark.parametrize(
    "written",
    [
        "[" * 100_000,
        "9" * 10_000,
        '{"mass_kg":' + "9" * 400 + ',"mass_sd_kg":0}',
        '{"mass_kg":NaN,"mass_sd_kg":0}',
        '{"mass_kg":Infinity,"mass_sd_kg":0}',
        '{"mass_kg":true,"mass_sd_kg":0}',
        '{"mass_kg":"3","mass_sd_kg":0}',
        '{"mass_kg":3}',
        '{"mass_kg":3,"mass_sd_kg":0,"mood":"good"}',
        "null",
        "",
    ],
)
def test_a_hostile_fuel_level_is_kept_as_unread_with_the_reason(written: str) -> None:
    read = decode_text("fuel_level", written)
    assert isinstance(read, Unread)
    assert read.written_kind == "fuel_level"
    assert read.why


def test_a_kind_from_a_later_version_is_kept_as_it_came() -> None:
    read = decode("basted", {"with": "butter"})
    assert read == Unread(
        "basted", {"with": "butter"}, "This version doesn't know this kind of entry."
    )
    assert encode(read) == ("basted", {"with": "butter"})
    with pytest.raises(SchemaProblem):
        validate(read)


def test_a_field_that_holds_its_default_is_not_written() -> None:
    assert encode(kinds.Wrap()) == ("wrap", {})
    assert encode(kinds.CookOpened("Trout", "UTC")) == (
        "cook_opened",
        {"title": "Trout", "zone": "UTC"},
    )
    assert encode(kinds.ChannelSet(Channel("p1", "Left"))) == (
        "channel",
        {"channel": {"key": "p1", "name": "Left"}},
    )


def test_defaults_of_fields_never_change() -> None:
    """A field at its default is not written, so these are part of every journal ever kept."""
    defaults = {
        f"{kind}.{field.name}": field.default
        for kind, cls in ENTRY_KINDS.items()
        for field in dataclasses.fields(cls)
        if field.default is not dataclasses.MISSING and field.default not in (None, "")
    }
    defaults |= {
        f"channel.channel.{field.name}": field.default
        for field in dataclasses.fields(Channel)
        if field.default is not dataclasses.MISSING and field.default != ""
    }
    assert defaults == {
        "tasted.faults": (),
        "piece_found.cut": "other",
        "piece_found.noticed": (),
        "piece_found.asked": False,
        "piece_found.directions": (),
        "piece_found.outcomes": (),
        "time_explained.cooks": 0,
        "time_explained.told": False,
        "cook_opened.simulated": False,
        "item.food": "other",
        "item.pieces": 1,
        "wrap.material": "foil",
        "safety.probes": (),
        "fuel_added.measured": "mass",
        "forecast_made.standing": "forecast",
        "channel.channel.role": "meat",
        "channel.channel.offset_c": 0.0,
        "channel.channel.gap_s": 120.0,
        "channel.channel.slope": 1.0,
        "channel.channel.probe_id": None,
        "channel.channel.calibrated_at_s": None,
        "channel.channel.uncertainty_c": None,
        "channel.channel.by_hand": False,
        "channel.channel.simulated": False,
    }


def found_with(course: kinds.SeenCourse) -> kinds.PieceFound:
    seen = kinds.SeenDirection({"ln_h": 4.0}, 0.5)
    return kinds.PieceFound(4, "meat", sd={"ln_h": 0.25}, directions=(seen,), course=course)


@pytest.mark.parametrize(
    ("payload", "where"),
    [
        (kinds.CookOpened("", "UTC"), "title"),
        (kinds.CookOpened("Ribs", "Europe"), "zone"),
        (kinds.CookOpened("Ribs", "../../etc/passwd"), "zone"),
        (kinds.CookOpened("Ribs", "Middle/Earth"), "zone"),
        (kinds.CookOpened("Ribs", "UTC", hopper_kg=0.0), "hopper_kg"),
        (kinds.CookOpened("Ribs", "UTC", ready_at_s=float("inf")), "ready_at_s"),
        (kinds.ItemAdded("  "), "name"),
        (kinds.ItemAdded("Ribs", mass_kg=0.0), "mass_kg"),
        (kinds.ItemAdded("Ribs", mass_kg=-1.0), "mass_kg"),
        (kinds.ItemAdded("Ribs", mass_kg=float("nan")), "mass_kg"),
        (kinds.ItemAdded("Ribs", pieces=0), "pieces"),
        (kinds.ItemAdded("Ribs", pieces=1.0), "pieces"),  # type: ignore[arg-type]
        (kinds.ItemAdded("Ribs", pieces=True), "pieces"),
        (kinds.ItemAdded("Ribs", food="cheese"), "food"),  # type: ignore[arg-type]
        (kinds.ItemAdded("Ribs", price=-0.01), "price"),
        (kinds.ChannelSet(Channel("p1", "Left", offset_c=float("nan"))), "channel.offset_c"),
        (kinds.ChannelSet(Channel("", "Left")), "channel.key"),
        (kinds.LeadSet("p1", "p1"), "check"),
        (kinds.StageExtended("s1", 0.0), "by_s"),
        (kinds.FuelAdded("lot", 0.0, 0.1), "mass_kg"),
        (kinds.FuelAdded("lot", 1.0, -0.1), "mass_sd_kg"),
        (kinds.FuelLevel(1.0, 0.1, as_percent=100.1), "as_percent"),
        (kinds.WeatherObserved(), ""),
        (kinds.WeatherObserved(humidity_pct=101.0), "humidity_pct"),
        (kinds.WeatherObserved(air_c=200.0), "air_c"),
        (kinds.WeatherObserved(wind_m_s=9.0, gust_m_s=3.0), "gust_m_s"),
        (kinds.FuelForeseen(3.0, 2.0, 4.0), "mid_s"),
        (kinds.FuelForeseen(2.0, 3.0, 4.0, runs_out=1.1), "runs_out"),
        (kinds.SafetySet("poultry", "meat_6.5"), "table"),
        (kinds.SafetySet("fish", "meat_7"), "table"),
        (kinds.SafetySet("red_meat", "fish"), "table"),
        (kinds.SafetySet("other", "chicken"), "table"),
        (kinds.SafetySet("red_meat", "beef"), "table"),  # type: ignore[arg-type]
        (kinds.SafetySet("poultry", "chicken", fat_pct=101.0), "fat_pct"),
        (kinds.SafetySet("poultry", uncertainty_c=-0.1), "uncertainty_c"),
        (kinds.SafetySet("poultry", uncertainty_c=float("inf")), "uncertainty_c"),
        (kinds.SafetySet("fish", "own"), "d_s"),
        (kinds.SafetySet("fish", "own", d_s=0.0), "d_s"),
        (kinds.SafetySet("fish", "own", d_s=9.0, z_k=0.0), "z_k"),
        (kinds.SafetySet("fish", "own", d_s=9.0, z_k=5.0, reference_c=60.0), "from_c"),
        (kinds.SafetySet("fish", probes=("a", "a")), "probes"),
        (kinds.SafetySet("fish", probes=("a", "")), "probes[1]"),
        (kinds.SafetySet("fish", from_c=60.0, to_c=60.0), "to_c"),
        (kinds.Note("\n"), "text"),
        (kinds.Note("half \ud800 a letter"), "text"),
        (kinds.Note("a\0b"), "text"),
        (kinds.Photo("F" * 64, ".jpg"), "sha256"),
        (kinds.Photo("f" * 64, "/../x"), "suffix"),
        (kinds.Tasted(), "text"),
        (kinds.Tasted(marks={"smoke": 6}), "marks.smoke"),
        (kinds.Tasted(marks={"smoke": 0}), "marks.smoke"),
        (kinds.ReadingsStruck("p1", 10.0, 9.0), "to_s"),
        (found_with(kinds.SeenCourse((20.0, 60.0), (0.0,), 110.0)), "course"),
        (found_with(kinds.SeenCourse((60.0, 20.0), (0.0, 60.0), 110.0)), "course"),
        (found_with(kinds.SeenCourse((20.0, 60.0), (60.0, 0.0), 110.0)), "course"),
        (found_with(kinds.SeenCourse((20.0, 900.0), (0.0, 60.0), 110.0)), "course.probe_c[1]"),
        (kinds.Strike(0), "entry_id"),
        (
            kinds.ScheduleSet(
                Schedule(stages=(Stage("s1", "Smoke", (UntilTemperature(float("nan")),)),))
            ),
            "schedule.stages[0].rules[0].target_c",
        ),
    ],
)
def test_what_is_out_of_its_range_is_refused_beside_its_field(
    payload: kinds.Payload, where: str
) -> None:
    with pytest.raises(SchemaProblem) as refused:
        validate(payload)
    assert refused.value.where == where
    assert refused.value.message.endswith(".")


def test_whole_numbers_become_the_floats_that_will_be_read_back() -> None:
    item = checked(kinds.ItemAdded("Ribs", mass_kg=3, price=12))
    assert isinstance(item, kinds.ItemAdded)
    assert type(item.mass_kg) is float
    assert type(item.price) is float


def test_a_message_says_the_range() -> None:
    with pytest.raises(SchemaProblem, match=r"Give a number above 0 kg and up to 5 000 kg\."):
        validate(kinds.ItemAdded("Ribs", mass_kg=-1.0))


@pytest.mark.parametrize(
    "hidden", ["\n", "\r", "\x1b[31m", "\x85", "\u2028", "\u202e", "\u2066", "\u200f"]
)
def test_a_hidden_character_in_a_name_is_read_and_not_written_again(hidden: str) -> None:
    # Control characters, and those of Unicode's UAX #9 that turn the direction of reading.
    for payload, where in (
        (kinds.CookOpened(f"a{hidden}b", "UTC"), "title"),
        (kinds.CookRenamed(f"a{hidden}b"), "title"),
        (kinds.ItemAdded(f"a{hidden}b"), "name"),
        (kinds.PrepStep(f"a{hidden}b"), "step"),
        (kinds.ChannelSet(Channel("c", f"a{hidden}b")), "channel.name"),
        (kinds.ScheduleSet(Schedule("", (Stage("s", f"a{hidden}b"),))), "schedule.stages[0].name"),
    ):
        assert decode_text(*encode_text(payload)) == payload
        with pytest.raises(SchemaProblem) as refused:
            validate(payload)
        assert refused.value.where == where
        assert refused.value.message == "Take out the line breaks and hidden characters."
        validate(renamed(payload))
        # What is no name may have several lines.
    validate(kinds.Note(f"a{hidden}b"))


def test_a_long_name_is_read_and_not_written_again() -> None:
    long = kinds.CookOpened("x" * 201, "UTC")
    assert decode_text(*encode_text(long)) == long
    with pytest.raises(SchemaProblem, match="Shorten this to 200 characters"):
        validate(long)
    assert renamed(long).title == "x" * 199 + "…"
    assert renamed(kinds.CookOpened("\u202e", "UTC")).title == "…"
    validate(kinds.CookOpened("x" * 200, "UTC"))
