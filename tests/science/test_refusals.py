"""No sum takes what it can't mean: every public function, every argument, spoiled in every way.

The functions are found by looking, so a new one without a row here fails. What a function allows on
purpose stands in its row with the reason.
"""

from __future__ import annotations

import importlib
import inspect
import math
import pkgutil
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, fields, is_dataclass, replace
from functools import cache
from typing import Any

import numpy as np
import pytest

import smokejournal.science
from smokejournal.science.forecast import heating_fit, meat_record
from smokejournal.science.forecast.earlier_courses import Drawn
from smokejournal.science.forecast.explanation import Conditions, PitChange, WrapChange
from smokejournal.science.forecast.fuel_margin import Fire, Store
from smokejournal.science.forecast.heating_future import Future, PitAhead
from smokejournal.science.forecast.heating_prior import NAMES, prior_of
from smokejournal.science.forecast.values import (
    CookSoFar,
    Fell,
    Finding,
    Leg,
    PitPrior,
    ProbeCourse,
    Recalibration,
    SetPoint,
    Wrapped,
)
from smokejournal.science.heat.conduction import Around, Body, even
from smokejournal.science.heat.fuel import PELLETS
from smokejournal.science.heat.heat_loss import Cooker
from smokejournal.science.numbers.refusals import refuses
from smokejournal.science.numbers.regression import least_squares
from smokejournal.science.numbers.spread import Spread
from smokejournal.science.numbers.uncertainty import measured
from smokejournal.science.probes.accuracy_class import ACCURACY_CLASSES
from smokejournal.science.probes.calibration import Point, calibrate
from smokejournal.science.safety import hold_tables
from smokejournal.science.safety.lethality import rate_of_table

NOT_SUMS = {
    "numbers.ranges.within": "refuses by the name that it is told",
    "numbers.refusals.refuses": "is the door",
    "numbers.refusals.between": "makes a rule for the door",
    "numbers.refusals.rule_of": "finds a rule for the door",
    "numbers.refusals.spoken": "words",
    "numbers.spread.computed": "its parts are spreads, which can't be made of what is no number",
    "safety.hold_tables.fish": "takes nothing",
    "heat.conduction.grid": "a body refuses itself when it is made",
    "forecast.heating_learned.generic_sd": "takes the kind of a cut",
    "salt.cure.limit": "takes words",
    "salt.cure.methods_for": "takes words",
    "probes.thermocouple.range_c": "takes a word",
}

INNER = "made within the forecast of what was looked at where it was asked for"
NEVER = "infinite: never, or not within the horizon"
NONE_THERE = "none of it is there"


@dataclass(frozen=True)
class Row:
    """What a function may be given, and what of it is left alone or may be odd, with the reason.

    A key of `lets` names an argument (or a field, "cook.time_s") that isn't spoiled at all; with a way
    behind a colon ("salt_kg:zero") that the function takes this.
    """

    given: Mapping[str, Any] | Callable[[], Mapping[str, Any]]
    lets: Mapping[str, str] = field(default_factory=dict)


TIMES = np.array([0.0, 60.0, 120.0, 180.0])
VALUES = np.array([50.0, 60.0, 70.0, 65.0])
UNBROKEN = np.ones(4, dtype=bool)
LINE = {"at_s": TIMES, "value": VALUES, "unbroken": UNBROKEN}
LINE_X = np.array([[0.0, 1.0], [1.0, 0.0], [2.0, 2.0], [3.0, 1.0], [4.0, 5.0]])
LINE_Y = np.array([1.0, 2.5, 3.0, 4.0, 6.0])
BODY = Body("slab", 0.02)
STATE = even(BODY, 5.0, 0.1)
CALIBRATION = calibrate([Point(0.2, 0.0), Point(99.0, 100.0)])
SALT_M2_S = Spread(1e-10, 2e-10, 4e-10)


PRIOR = PitPrior(("ln_h",), (0.1,), ((0.04,),), 1, 1, ((Fell("shoulder", 0.5, 0.3),),))


@cache
def _cook() -> CookSoFar:
    time_s = np.arange(0.0, 7200.0, 60.0)
    return CookSoFar(
        time_s,
        np.full(time_s.size, 110.0),
        5.0 + 45.0 * (time_s / 7200.0) ** 1.3,
        now_s=7200.0,
        target_c=93.0,
        cut="shoulder",
        mass_kg=3.0,
        thickness_m=0.1,
        start_s=0.0,
        set_points=(SetPoint(0.0, 110.0),),
        wraps=(Wrapped(7000.0, "foil"),),
        legs=(Leg(pit_c=110.0, until_probe_c=93.0, for_s=60.0),),
        prior=PRIOR,
    )


@cache
def _inner() -> dict[str, Any]:
    record = meat_record.clean(_cook())
    assert record is not None
    past = heating_fit.past_of(_cook(), record, 120.0)
    assert past is not None
    time_s, probe_c = meat_record.thin(record)
    observed = heating_fit.observed_of(time_s, probe_c, 7200.0, 0.0, None, 0.0, 0.1)
    prior = prior_of("shoulder", 3.0, None, 5.0, 1.0, None)
    fit = heating_fit.MemberFit(prior, past, observed)
    members = fit.members(np.random.default_rng(1), 20)
    return {"record": record, "fit": fit, "members": members}


def _future() -> dict[str, Any]:
    pit = PitAhead(110.0, 110.0, 1.0, 1.0, (SetPoint(0.0, 110.0),))
    legs = (Leg(pit_c=110.0, until_probe_c=60.0, for_s=60.0),)
    return {
        "future": Future(7200.0, 60.0, 0.1, 0.1, 0.01, legs, pit, False, False, 7200.0, 0.05),
        "fit": _inner()["fit"],
        "members": _inner()["members"],
        "rng": np.random.default_rng(1),
    }


COUNT = "a count that no number comes from"
RAW = "missing, unordered and impossible readings are left out and counted"
COOK_LETS = {
    "cook.time_s": RAW,
    "cook.pit_c": RAW,
    "cook.probe_c": RAW,
    "cook.check_c": RAW,
    "cook.prior.cooks": COUNT,
}
FINDING = Finding("fish", ({"ln_h": 9.0},), (1.2,), {"ln_h": 0.25})
COURSE = ProbeCourse("fish", (20.0, 60.0), (0.0, 3600.0), 110.0)
REMAINING = np.linspace(1800.0, 7200.0, 19)
ENDLESS = {"remaining_s:inf": NEVER, "came_s:inf": NEVER}
INFINITE_BIOT = {"biot:inf": "a surface that is at once what surrounds it is"}
BARREL = {
    "cooker.depth_m:zero": "a barrel's depth means nothing",
    "cooker.depth_m:negative": "same",
}
BARE = {"vapour_pa:zero": "dry air"}
CONDITIONS = Conditions(
    5.0, 0.05, 0.1, -0.5, (PitChange(110.0, 60.0),), (WrapChange("foil", 7000.0, 60.0),)
)
PARAMETERS = np.zeros((len(NAMES), 3))

ROWS: dict[str, Row] = {
    "air.air.wind_chill_c": Row({"air_c": 0.0, "wind_m_s": 5.0}),
    "air.air.heat_index_c": Row({"air_c": 32.0, "humidity_pct": 60.0}),
    "air.air.dew_point_c": Row({"air_c": 20.0, "humidity_pct": 60.0}),
    "air.air.apparent_temperature_c": Row({"air_c": 20.0, "humidity_pct": 60.0, "wind_m_s": 3.0}),
    "air.air.beaufort": Row({"wind_m_s": 3.0}),
    "air.air.feels_like": Row({"air_c": 0.0, "wind_m_s": 5.0, "humidity_pct": 50.0}),
    "air.boiling.boiling_point_c": Row({"pressure_hpa": 1000.0}),
    "air.boiling.boiling_slope_k_per_hpa": Row({"pressure_hpa": 1000.0}),
    "air.boiling.standard_pressure_hpa": Row(
        {"altitude_m": 300.0},
        {"altitude_m:zero": "the sea", "altitude_m:negative": "below the sea"},
    ),
    "air.boiling.station_pressure_hpa": Row(
        {"sea_level_hpa": 1013.0, "altitude_m": 300.0},
        {"altitude_m:zero": "the sea", "altitude_m:negative": "below the sea"},
    ),
    "air.humid_air.vapour_pa": Row({"air_c": 20.0, "humidity_pct": 50.0}),
    "air.humid_air.dew_point_of_c": Row({"vapour": 1000.0}),
    "air.humid_air.humidity_of_pct": Row({"air_c": 20.0, "dew_point_c": 10.0}),
    "air.humid_air.humidity_ratio_of": Row({"vapour": 1000.0, "pressure_pa": 1e5}),
    "air.humid_air.wet_bulb_c": Row({"air_c": 20.0, "ratio": 0.007, "pressure_pa": 1e5}),
    "air.humid_air.humid_air": Row({"air_c": 20.0, "humidity_pct": 50.0, "pressure_hpa": 1000.0}),
    "air.wetbulb.saturation_pa": Row({"temperature_c": 20.0}),
    "air.wetbulb.evaporation_kg_m2_s": Row(
        {"surface_c": 40.0, "vapour_pa": 2000.0, "convection_w_m2k": 10.0, "pressure_pa": 1e5}, BARE
    ),
    "air.wetbulb.wet_surface_c": Row(
        {"air_c": 100.0, "vapour_pa": 2000.0, "radiation_share": 0.5, "pressure_pa": 1e5}, BARE
    ),
    "air.wetbulb.diffused_kg_m2": Row(
        {"diffusivity_m2_s": 1e-10, "from_s": 0.0, "to_s": 60.0, "water_kg_m3": 700.0},
        {"diffusivity_m2_s:zero": "nothing comes to the surface"},
    ),
    "forecast.finish_shift.offsets_for": Row({"offset_k": 1.0, "sd_k": 0.2}),
    "forecast.finish_shift.finish_shift": Row(
        {
            "offset_k": 1.0,
            "sd_k": 0.1,
            "offsets_k": np.array([0.0, 1.0]),
            "crossing_s": np.array([[0.0, 10.0], [600.0, 700.0]]),
        },
        {"crossing_s:inf": NEVER},
    ),
    "forecast.fuel_margin.margin": Row(
        {
            "store": Store(np.array([-0.1, 0.1]), np.array([0.5, 0.5]), 4.0, 0.5, 0.1),
            "fire": Fire(np.array([[3600.0, 7200.0]]), np.array([1.0])),
        },
        {
            "store.level_kg:zero": NONE_THERE,
            "store.level_kg:negative": "an estimate below nothing counts as nothing",
            "store.spent_kg:zero": "nothing has burned",
            "fire.ends_s:inf": NEVER,
        },
    ),
    "forecast.heating.let_go": Row({"meat_c": VALUES, "shift_k": 1.0}),
    "forecast.heating.probe_weights": Row({"depth": np.array([0.1, 0.2])}),
    "forecast.heating_fit.set_point_at": Row({"points": (SetPoint(0.0, 110.0),), "time_s": 60.0}),
    "forecast.heating_fit.step_for": Row({"radius_m": 0.05, "elapsed_s": 3600.0}),
    "forecast.heating_fit.past_of": Row(
        lambda: {"cook": _cook(), "record": _inner()["record"], "dt_s": 120.0},
        {**COOK_LETS, "record": INNER},
    ),
    "forecast.heating_fit.drift_covariance": Row({"age_s": TIMES, "lasts_s": 600.0}),
    "forecast.heating_fit.observed_of": Row(
        {
            "time_s": TIMES,
            "probe_c": VALUES,
            "now_s": 200.0,
            "start_s": 0.0,
            "moved_s": 60.0,
            "step_k": 0.1,
            "noise_k": 0.1,
            "model_sd_k": 0.35,
            "check": heating_fit.Seen(TIMES, VALUES, 0.1, 0.1),
        }
    ),
    "forecast.heating_fit.wrap_factors": Row({"values": PARAMETERS}),
    "forecast.heating_future.effective": Row(
        {"target_c": 93.0, "step_k": 0.1, "noise_k": 0.1, "slope_k_s": 0.01}
    ),
    "forecast.heating_future.discrepancy": Row(
        lambda: {
            "fit": _inner()["fit"],
            "members": _inner()["members"],
            "now_s": 7200.0,
            "rng": np.random.default_rng(1),
        },
        {"fit": INNER, "members": INNER},
    ),
    "forecast.heating_future.run_ahead": Row(_future, {"fit": INNER, "members": INNER}),
    "forecast.heating_learned.learned": Row(
        {"cut": "fish", "here": [FINDING], "elsewhere": [FINDING]}
    ),
    "forecast.heating_learned.learned_prior": Row(
        {"cut": "fish", "here": [FINDING], "elsewhere": [FINDING], "sd": {"ln_h": 0.25}}
    ),
    "forecast.heating_learned.finding_of": Row(
        {
            "cut": "fish",
            "names": ("ln_h",),
            "curved": np.array([[5.0]]),
            "z": np.array([0.4]),
            "sd": np.array([0.25]),
        }
    ),
    "forecast.heating_learned.spread_of": Row(lambda: {"cook": _cook()}, COOK_LETS),
    "forecast.earlier_courses.course_of": Row(
        lambda: {"cook": _cook(), "record": _inner()["record"], "wrap": None},
        {**COOK_LETS, "record": INNER},
    ),
    "forecast.earlier_courses.left_s": Row(
        {"course": COURSE, "probe_c": 40.0, "target_c": 60.0}, {"course": INNER}
    ),
    "forecast.earlier_courses.drawn_by": Row(
        lambda: {
            "courses": [COURSE],
            "cook": _cook(),
            "record": _inner()["record"],
            "wrap": None,
            "remaining_s": REMAINING,
        },
        {**COOK_LETS, "record": INNER, "courses": INNER, "remaining_s:inf": NEVER},
    ),
    "forecast.earlier_courses.drawn": Row(
        {"remaining_s": REMAINING, "middle_s": 3000.0, "by": Drawn(0.1, 0.9, (3000.0,))},
        {"remaining_s:inf": NEVER, "middle_s:inf": NEVER},
    ),
    "forecast.fitted.material_of": Row(
        lambda: {"cook": _cook(), "plans": [(Leg(wrap="foil", until_probe_c=93.0),)]}, COOK_LETS
    ),
    "forecast.recalibration.recalibration": Row(
        {"cut": "fish", "way": 0.5, "fell": [[Fell("fish", 0.5, 0.3)]]}
    ),
    "forecast.recalibration.score_of": Row({"remaining_s": REMAINING, "came_s": 3000.0}, ENDLESS),
    "forecast.recalibration.recalibrated": Row(
        {"remaining_s": REMAINING, "by": Recalibration(0.1, 0.9, 3)},
        {"remaining_s:inf": NEVER, "by.cooks": COUNT},
    ),
    "forecast.heating_prior.radius_of": Row({"cut": "fish", "mass_kg": 1.0, "thickness_m": 0.02}),
    "forecast.heating_prior.wrap_shift": Row({"first": "foil", "other": "paper"}),
    "forecast.heating_prior.prior_of": Row(
        {
            "cut": "fish",
            "mass_kg": 1.0,
            "thickness_m": 0.02,
            "start_c": 5.0,
            "start_sd": 1.0,
            "wrap": None,
            "learned": PRIOR,
        },
        {"learned.cooks": COUNT, "learned.of_the_cut": COUNT},
    ),
    "forecast.heating_prior.bodies_of": Row({"values": PARAMETERS}),
    "forecast.meat_record.running_median": Row({"time_s": TIMES, "value": VALUES, "half_s": 60.0}),
    "forecast.meat_record.rounding_step": Row({"value": np.arange(20.0)}),
    "forecast.meat_record.clean": Row(lambda: {"cook": _cook()}, COOK_LETS),
    "forecast.meat_record.check_of": Row(
        lambda: {"cook": _cook(), "record": _inner()["record"]}, {**COOK_LETS, "record": INNER}
    ),
    "forecast.meat_record.thin": Row(
        lambda: {"record": _inner()["record"], "count": 44}, {"record": INNER}
    ),
    "forecast.forecast.forecast": Row(lambda: {"cook": _cook()}, COOK_LETS),
    "forecast.forecast.forecasts": Row(
        lambda: {"cook": _cook(), "plans": [(Leg(until_probe_c=93.0, for_s=60.0, pit_c=110.0),)]},
        COOK_LETS,
    ),
    "forecast.forecast.crossings": Row(
        lambda: {"cook": _cook(), "offsets_k": np.array([0.0, 1.0])}, COOK_LETS
    ),
    "forecast.fitted.fitted": Row(
        lambda: {"cook": _cook(), "plans": [(Leg(wrap="foil", until_probe_c=93.0),)]}, COOK_LETS
    ),
    "forecast.fitted.fit_to": Row(
        lambda: {
            "cook": _cook(),
            "record": _inner()["record"],
            "plans": [(Leg(wrap="foil", until_probe_c=93.0),)],
        },
        {**COOK_LETS, "record": INNER},
    ),
    "forecast.explanation.shapley": Row({"worth": VALUES}),
    "forecast.explanation.conditions_of": Row(
        lambda: {"cook": _cook(), "lids": ((600.0, 660.0),)}, COOK_LETS
    ),
    "forecast.explanation.explain": Row(
        lambda: {
            "cook": replace(_cook(), target_c=49.0),
            "reference": CONDITIONS,
            "lids": ((600.0, 660.0),),
            "was": CONDITIONS,
            "expected_s": 7000.0,
        },
        COOK_LETS,
    ),
    "forecast.forecast.quantiles": Row({"remaining_s": TIMES}, {"remaining_s:inf": NEVER}),
    "forecast.values.last_told_wrap": Row({"wraps": (Wrapped(60.0, "foil"),)}),
    "heat.conduction.even": Row({"body": BODY, "temperature_c": 5.0, "water_kg_m2": 0.1}),
    "heat.conduction.step": Row(
        {
            "body": BODY,
            "before": STATE,
            "around": Around(110.0, 15.0, 10.0),
            "step_s": 30.0,
            "supplied_kg_m2": 0.01,
        },
        {"around.vapour_pa:zero": "dry air"},
    ),
    "heat.conduction.at_depth": Row({"body": BODY, "state": STATE, "place": 0.5}),
    "heat.conduction.mean_c": Row({"body": BODY, "state": STATE}),
    "heat.conduction_series.bessel_j": Row({"order": 0, "x": 1.0}),
    "heat.conduction_series.roots": Row({"shape": "slab", "biot": 1.0, "count": 5}, INFINITE_BIOT),
    "heat.conduction_series.insulated_roots": Row({"shape": "slab", "count": 5}),
    "heat.conduction_series.coefficient": Row({"shape": "slab", "z": 1.0}),
    "heat.conduction_series.left_over": Row(
        {"shape": "slab", "biot": 1.0, "fourier": 0.5, "place": 0.5, "terms": 5}, INFINITE_BIOT
    ),
    "heat.conduction_series.modes": Row({"shape": "slab", "biot": 1.0, "terms": 5}, INFINITE_BIOT),
    "heat.conduction_series.mean_left_over": Row(
        {"shape": "slab", "biot": 1.0, "fourier": 0.5, "terms": 5}, INFINITE_BIOT
    ),
    "heat.conduction_series.middle_left_over": Row(
        {"shape": "slab", "biot": 1.0, "fourier": 0.5, "terms": 5}, INFINITE_BIOT
    ),
    "heat.fuel.net_dry_mj_kg": Row(
        {"gross_mj_kg": 20.0, "hydrogen_pct": 6.2, "oxygen_nitrogen_pct": 43.0}
    ),
    "heat.fuel.net_as_received_mj_kg": Row({"net_dry": 18.0, "moisture_pct": 7.0}),
    "heat.fuel.net_mj_kg": Row({"wood": PELLETS}),
    "heat.fuel.air_to_burn_kg_kg": Row({"wood": PELLETS}),
    "heat.heat_loss.air_properties": Row({"temperature_c": 20.0, "pressure_pa": 1e5}),
    "heat.heat_loss.nusselt_plate": Row({"rayleigh": 1e8, "prandtl": 0.7}),
    "heat.heat_loss.nusselt_lying_cylinder": Row({"rayleigh": 1e8, "prandtl": 0.7}),
    "heat.heat_loss.nusselt_cross_flow": Row({"reynolds": 6000.0, "prandtl": 0.7}),
    "heat.heat_loss.area_m2": Row({"cooker": Cooker("barrel")}, BARREL),
    "heat.heat_loss.outside_w_m2k": Row(
        {
            "cooker": Cooker("barrel"),
            "skin_c": 60.0,
            "air_c": 10.0,
            "wind_m_s": 2.0,
            "pressure_pa": 1e5,
        },
        BARREL,
    ),
    "heat.heat_loss.wall_loss": Row(
        {
            "cooker": Cooker("barrel"),
            "pit_c": 110.0,
            "air_c": 10.0,
            "wind_m_s": 2.0,
            "pressure_pa": 1e5,
        },
        BARREL,
    ),
    "heat.heat_loss.exhaust_mj_kg": Row(
        {"pit_c": 110.0, "air_c": 10.0, "excess_air": 7.0, "wood": PELLETS}
    ),
    "heat.heat_loss.steady_burn": Row(
        {
            "cooker": Cooker("barrel"),
            "pit_c": 110.0,
            "air_c": 10.0,
            "wind_m_s": 2.0,
            "wood": PELLETS,
            "pressure_pa": 1e5,
        },
        BARREL,
    ),
    "numbers.crossings.within_s": Row({**LINE, "low": 55.0, "high": 65.0}),
    "numbers.crossings.gaps_touching_s": Row({**LINE, "low": 55.0, "high": 65.0}),
    "numbers.crossings.crossing_s": Row(
        {"at_s": TIMES, "value": VALUES, "index": 1, "level": 55.0}
    ),
    "numbers.crossings.rises_through": Row({"value": VALUES, "level": 55.0}),
    "numbers.crossings.falls_through": Row({"value": VALUES, "level": 66.0}),
    "numbers.crossings.runs_at_least": Row({**LINE, "level": 55.0}),
    "numbers.proportion.score_interval": Row({"held": 3, "trials": 5, "level": 0.95}),
    "numbers.regression.inflation": Row({"regressors": LINE_X}),
    "numbers.regression.least_squares": Row({"regressors": LINE_X, "outcome": LINE_Y}),
    "numbers.regression.predicted": Row(
        {"fit": least_squares(LINE_X, LINE_Y), "at": np.array([1.0, 2.0])}
    ),
    "numbers.student.t_quantile": Row({"p": 0.975, "freedom": 8.0}),
    "numbers.uncertainty.measured": Row({"number": 1, "value": 2.0, "sd": 0.1}),
    "numbers.uncertainty.total": Row(
        {"parts": [measured(1, 2.0, 0.1)]}, {"parts": "a sum refuses itself when it is made"}
    ),
    "numbers.units.c_from_f": Row({"temperature_f": 225.0}),
    "numbers.units.f_from_c": Row(
        {"temperature_c": 107.0}, {"temperature_c:cold": "a scale on a picture goes on below"}
    ),
    "numbers.units.k_from_f_step": Row({"difference_f": 9.0}),
    "numbers.units.f_step_from_k": Row({"difference_k": 5.0}),
    "probes.accuracy_class.verdict": Row(
        {"which": ACCURACY_CLASSES["K1"], "error_k": 0.5, "at_c": 100.0, "expanded_k": 0.3}
    ),
    "probes.agreement.effective_number": Row({"differences": VALUES}),
    "probes.agreement.agreement": Row({"first": VALUES, "second": VALUES + 1.0, "multiplier": 2.0}),
    "probes.agreement.lag": Row(
        {"at_s": TIMES, "first": VALUES, "second": VALUES + 1.0, "longest_s": 600.0}
    ),
    "probes.calibration.allowed_model": Row({"points": [Point(0.2, 0.0)]}),
    "probes.calibration.calibrate": Row(
        {"points": [Point(0.2, 0.0), Point(99.0, 100.0)], "model": "slope"}
    ),
    "probes.calibration.drift": Row(
        {"old": CALIBRATION, "new": CALIBRATION},
    ),
    "probes.platinum.resistance_ohm": Row({"t_c": 100.0, "r0_ohm": 100.0}),
    "probes.platinum.temperature_c": Row({"measured_ohm": 138.5, "r0_ohm": 100.0}),
    "probes.thermistor.fit": Row({"resistance_ohm": [3e4, 1e4, 4e3], "t_c": [5.0, 25.0, 45.0]}),
    "probes.thermistor.beta_curve": Row({"beta_k": 3950.0, "r25_ohm": 1e4}),
    "probes.thermistor.beta_k": Row({"r1_ohm": 3e4, "t1_c": 5.0, "r2_ohm": 1e4, "t2_c": 25.0}),
    "probes.thermistor.divider_ohm": Row({"share": 0.5, "fixed_ohm": 1e4}),
    "probes.thermistor.divider_share": Row({"thermistor_ohm": 1e4, "fixed_ohm": 1e4}),
    "probes.thermistor.counts_share": Row({"counts": 2000.0, "full_scale": 4096.0}),
    "probes.thermocouple.emf_mv": Row({"kind": "K", "hot_c": 100.0, "cold_c": 25.0}),
    "probes.thermocouple.temperature_c": Row({"kind": "K", "measured_mv": 4.0, "cold_c": 25.0}),
    "safety.hold_tables.meat": Row({"log_reductions": 6.5}),
    "safety.hold_tables.chicken": Row({"fat_pct": 5.0}),
    "safety.hold_tables.turkey": Row({"fat_pct": 5.0}),
    "safety.hold_tables.other_poultry": Row({"fat_pct": 5.0}),
    "safety.lethality.rate_of_table": Row({"table": hold_tables.meat(6.5)}),
    "safety.lethality.rate_of_d_and_z": Row(
        {"d_s": 10.0, "z_k": 5.5, "reference_c": 65.0, "from_c": 55.0, "to_c": 70.0}
    ),
    "safety.lethality.reductions": Row(
        {
            "rate": rate_of_table(hold_tables.meat(6.5)),
            "at_s": TIMES,
            "temperature_c": VALUES,
            "unbroken": UNBROKEN,
            "uncertainty_c": np.full(4, 0.5),
            "longest_line_s": 600.0,
        },
        {"longest_line_s:inf": "every line is straight"},
    ),
    "salt.brine.strength_pct": Row(
        {"salt_kg": 0.1, "water_kg": 1.0}, {"salt_kg:zero": NONE_THERE, "water_kg:zero": NONE_THERE}
    ),
    "salt.brine.salt_for_strength_kg": Row(
        {"water_kg": 1.0, "pct": 6.0}, {"water_kg:zero": NONE_THERE}
    ),
    "salt.brine.salometer_deg": Row({"pct": 6.0}),
    "salt.brine.density_kg_m3": Row({"pct": 6.0, "temperature_c": 15.0}),
    "salt.brine.saturated_pct": Row({"temperature_c": 15.0}),
    "salt.brine.even_food_salt_kg": Row(
        {"salt_kg": 0.1, "water_kg": 1.0, "food_kg": 1.0, "moisture_pct": 70.0},
        {"salt_kg:zero": NONE_THERE, "water_kg:zero": NONE_THERE},
    ),
    "salt.brine.salt_for_food_target_kg": Row(
        {"water_kg": 1.0, "food_kg": 1.0, "moisture_pct": 70.0, "target_pct": 2.0},
        {"water_kg:zero": NONE_THERE},
    ),
    "salt.brine.finished_water_phase_salt_pct": Row(
        {
            "food_kg": 1.0,
            "salt_kg": Spread.exact(0.02),
            "moisture_pct": Spread.exact(70.0),
            "finished_share": 0.8,
        },
        {"salt_kg:zero": NONE_THERE},
    ),
    "salt.brine.brine_volume_l": Row(
        {"salt_kg": 0.1, "water_kg": 1.0, "sugar_kg": 0.1},
        {"salt_kg:zero": NONE_THERE, "sugar_kg:zero": NONE_THERE, "water_kg:zero": NONE_THERE},
    ),
    "salt.cure.nitrite_kg": Row(
        {"cure_kg": 0.01, "nitrite_pct": 6.25}, {"cure_kg:zero": NONE_THERE}
    ),
    "salt.cure.rubbed_ppm": Row(
        {"nitrite_kg": 0.0001, "meat_kg": 1.0}, {"nitrite_kg:zero": NONE_THERE}
    ),
    "salt.cure.pickup_ppm": Row(
        {"nitrite_kg": 0.0001, "pickle_kg": 1.0, "pickup_pct": 10.0},
        {"nitrite_kg:zero": NONE_THERE},
    ),
    "salt.cure.immersed_ppm": Row(
        {"nitrite_kg": 0.0001, "pickle_kg": 1.0, "meat_kg": 1.0}, {"nitrite_kg:zero": NONE_THERE}
    ),
    "salt.cure.ingoing_ppm": Row(
        {
            "method": "dry",
            "nitrite_kg": 0.0001,
            "meat_kg": 1.0,
            "pickle_kg": 1.0,
            "pickup_pct": 10.0,
        },
        {"nitrite_kg:zero": NONE_THERE, "pickle_kg:zero": "what is rubbed has no pickle"},
    ),
    "salt.cure.most_cure_kg": Row(
        {
            "most_ppm": 150.0,
            "method": "pumped",
            "nitrite_pct": 6.25,
            "meat_kg": 1.0,
            "rest_kg": 1.0,
            "pickup_pct": 10.0,
        },
        {"rest_kg:zero": NONE_THERE},
    ),
    "salt.diffusion.fourier": Row({"diffusivity_m2_s": 2e-10, "radius_m": 0.02, "time_s": 3600.0}),
    "salt.diffusion.uptake": Row({"shape": "slab", "fo": 0.1}),
    "salt.diffusion.middle": Row({"shape": "slab", "fo": 0.1}),
    "salt.diffusion.fourier_at_middle": Row({"shape": "slab", "share": 0.5}),
    "salt.diffusion.radius_m": Row({"shape": "slab", "thickness_m": 0.04}),
    "salt.diffusion.time_to_middle_s": Row(
        {"shape": "slab", "radius_m": 0.02, "share": 0.5, "diffusivity_m2_s": SALT_M2_S}
    ),
    "salt.diffusion.uptake_after": Row(
        {"shape": "slab", "radius_m": 0.02, "time_s": 3600.0, "diffusivity_m2_s": SALT_M2_S}
    ),
}

SIZES = ("_kg", "_g", "_m", "_pa", "_hpa", "_kg_m3", "_ohm", "_m2_s")
NO_NUMBERS = {"nan": math.nan, "inf": math.inf, "minus_inf": -math.inf}


def _found() -> dict[str, Callable[..., Any]]:
    found: dict[str, Callable[..., Any]] = {}
    package = smokejournal.science
    for module in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
        for name, what in vars(importlib.import_module(module.name)).items():
            inner = inspect.unwrap(what) if callable(what) else None
            if inspect.isfunction(inner) and inner.__module__ == module.name and name[0] != "_":
                found[f"{module.name.removeprefix(package.__name__ + '.')}.{name}"] = what
    return found


FOUND = _found()


def _numbers(name: str) -> Mapping[str, float]:
    """What no argument of this name can be, by the way in which it is wrong."""
    ways = dict(NO_NUMBERS)
    if name.endswith("_c"):
        ways["cold"] = -300.0
    # A speed is no size: its unit only ends like one.
    if name.endswith(SIZES):
        ways |= {"zero": 0.0, "negative": -1.0}
    return ways


def _spoiled(path: str, value: Any, lets: Mapping[str, str]) -> Iterator[tuple[str, Any]]:
    """(path:way, how to make the spoiled value) for each way in which a value can be wrong."""
    name = path.rsplit(".", 1)[-1]
    if path in lets or value is None or isinstance(value, str | bool):
        return
    if isinstance(value, Spread):
        for way, bad in _numbers(name).items():
            if way not in NO_NUMBERS:
                yield f"{path}:{way}", lambda bad=bad: Spread.exact(bad)
    elif is_dataclass(value):
        for part in fields(value):
            for key, make in _spoiled(f"{path}.{part.name}", getattr(value, part.name), lets):
                yield key, lambda part=part, make=make: replace(value, **{part.name: make()})
    elif isinstance(value, Mapping):
        for way, bad in NO_NUMBERS.items():
            yield f"{path}:{way}", lambda bad=bad: dict.fromkeys(value, bad)
    elif isinstance(value, int | float):
        for way, bad in _numbers(name).items():
            yield f"{path}:{way}", lambda bad=bad: bad
    elif isinstance(value, np.ndarray) or _are_numbers(value):
        many = np.array(value)
        if many.dtype == np.float64:
            for way, bad in _numbers(name).items():
                yield f"{path}:{way}", lambda bad=bad: _with_last(many, bad)
        if name in ("at_s", "time_s"):
            yield f"{path}:falls", lambda: many[::-1]
    elif isinstance(value, list | tuple) and value:
        for key, make in _spoiled(path, value[0], lets):
            yield key, lambda make=make: (make(), *value[1:])


def _are_numbers(value: Any) -> bool:
    return isinstance(value, list | tuple) and bool(value) and isinstance(value[0], float)


def _with_last(many: np.ndarray, bad: float) -> np.ndarray:
    spoiled = many.copy()
    spoiled.flat[-1] = bad
    return spoiled


def _shorter(given: Mapping[str, Any]) -> Iterator[tuple[str, Any]]:
    """Each of several arrays that belong together, cut short."""
    arrays = {
        name: value
        for name, value in given.items()
        if isinstance(value, np.ndarray)
        or (isinstance(value, list) and isinstance(value[0], float))
    }
    if len(arrays) > 1:
        for name, value in arrays.items():
            yield f"{name}:short", lambda value=value: value[:-1]


def _given(row: Row) -> dict[str, Any]:
    return dict(row.given() if callable(row.given) else row.given)


def test_every_function_has_a_row() -> None:
    assert set(FOUND) == {*ROWS, *NOT_SUMS}
    for name, row in ROWS.items():
        assert all(row.lets.values()), name


@pytest.mark.parametrize("name", ROWS)
def test_what_it_can_mean_is_taken(name: str) -> None:
    given = _given(ROWS[name])
    taken = inspect.signature(FOUND[name]).parameters
    assert [n for n, p in taken.items() if n in given or p.annotation == "bool"] == [*taken]
    FOUND[name](**given)


@pytest.mark.parametrize("name", ROWS)
def test_what_it_cannot_mean_is_refused_by_the_name_of_the_argument(name: str) -> None:
    row = ROWS[name]
    given = _given(row)
    wrong: list[str] = []
    allowed = {key for key in row.lets if ":" in key}
    for argument, value in given.items():
        ways = [*_spoiled(argument, value, row.lets)]
        ways += [way for way in _shorter(given) if way[0].startswith(f"{argument}:")]
        for key, make in ways:
            try:
                bad = make()
            except ValueError:
                continue  # It can't even be made.
            try:
                FOUND[name](**{**given, argument: bad})
            except ValueError as told:
                if key in allowed:
                    wrong.append(f"{key} is to be taken, but: {told}")
                elif not re.search(rf"\b{argument}\b", str(told)):
                    wrong.append(f"{key}: not named in: {told}")
            else:
                if key not in allowed:
                    wrong.append(f"{key}: taken")
            allowed.discard(key)
    wrong += [f"{key}: no such way" for key in allowed]
    assert not wrong, "\n".join(wrong)


def test_arguments_by_place_and_by_name_are_refused_alike() -> None:
    for call in (lambda f: f(math.nan, 5.0), lambda f: f(air_c=math.nan, wind_m_s=5.0)):
        with pytest.raises(ValueError, match=r"\(air_c\)"):
            call(FOUND["air.air.wind_chill_c"])


def test_a_rule_for_an_argument_that_there_is_not_is_a_mistake() -> None:
    with pytest.raises(TypeError, match="mass_kg"):
        refuses(mass_kg=None)(lambda weight_kg: weight_kg)
    with pytest.raises(TypeError, match="value"):
        refuses("at_s value")(lambda at_s: at_s)
