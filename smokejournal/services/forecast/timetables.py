"""Plans counted back from the table, with what the forecast and earlier cooks say of each length.

`make` is slow the first time for a plan (a second or so); call it on a background thread.
"""

from __future__ import annotations

import threading
from collections.abc import Iterable

import numpy as np

from smokejournal.cook.forecast.cut import cut_of, cut_of_item
from smokejournal.cook.forecast.legs import PlannedLeg
from smokejournal.cook.fuel.before import planned
from smokejournal.cook.log.entries import ItemAdded
from smokejournal.cook.log.readings import FloatArray
from smokejournal.cook.log.schedule import LEAD, Schedule, Stage, UntilTemperature
from smokejournal.cook.plan.plan import Plan, lead_item, plan_of
from smokejournal.cook.plan.prep_progress import prep_progress
from smokejournal.cook.progress.progress import fold
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.timetable.count_back import count_back
from smokejournal.cook.timetable.earlier import EarlierCooks, LivedLength, lived_lengths
from smokejournal.cook.timetable.steps import Physics, dishes_of_their_own, first_pit_c
from smokejournal.cook.timetable.timetable import Timetable
from smokejournal.journal import CookLine
from smokejournal.science.forecast.values import CookSoFar, Forecast
from smokejournal.services.forecast.finish import FinishForecasts, Forecaster, default_forecast
from smokejournal.services.program.program import Program

#: So many finished cooks of the like are asked, the newest first.
NEWEST = 12


class Timetables:
    """See the module. May be used from any thread; one plan is counted back at a time."""

    def __init__(
        self,
        program: Program,
        finish: FinishForecasts,
        forecaster: Forecaster = default_forecast,
    ) -> None:
        self._program = program
        self._finish = finish
        self._forecaster = forecaster
        self._lock = threading.Lock()
        self._asked: dict[object, Forecast] = {}
        self._lived: dict[int, tuple[int, tuple[LivedLength, ...]]] = {}

    def make(self, cook_id: int, schedule: Schedule, units: Units) -> Timetable:
        """The plan of this cook counted back by `schedule`, kept or not; words in these units.

        Raises JournalProblem where the journal can't be read.
        """
        with self._lock:
            live = self._program.live(cook_id)
            log, standing = live.log(), live.standing()
            plan = plan_of(log)
            begun = standing.phase != "planned"
            physics = (
                self._under_way(cook_id, plan, schedule)
                if begun
                else Physics(self._stages(plan, schedule), self._dishes(plan, schedule))
            )
            return count_back(
                plan,
                schedule,
                prep_progress(log.holding()),
                self._program.clock.now_s(),
                physics,
                EarlierCooks(self._earlier(cook_id, plan)),
                standing if begun else None,
                units,
            )

    # -- physics ---------------------------------------------------------------------------------

    def _stages(self, plan: Plan, schedule: Schedule) -> dict[str, FloatArray]:
        led = lead_item(plan)
        item = None if led is None else led[1]
        asked = planned(schedule, plan.lead, item)
        if asked is None:
            return {}
        forecast = self._forecast((schedule, plan.lead, item), asked.cook)
        return {} if forecast.legs_end_s is None else _lengths(asked.legs, forecast.legs_end_s, 0.0)

    def _dishes(self, plan: Plan, schedule: Schedule) -> dict[int, FloatArray]:
        found = {}
        for key, item in dishes_of_their_own(plan, schedule):
            pit_c = item.pit_c if item.pit_c is not None else first_pit_c(schedule)
            if item.target_c is None or item.takes_s is not None or pit_c is None:
                continue
            draws = self._dish(item, item.target_c, pit_c)
            if draws is not None:
                found[key] = draws
        return found

    def _dish(self, item: ItemAdded, target_c: float, pit_c: float) -> FloatArray | None:
        stage = Stage("dish", item.name, (UntilTemperature(target_c),), pit_target_c=pit_c)
        asked = planned(Schedule("", (stage,)), LEAD, item)
        if asked is None:
            return None
        forecast = self._forecast((stage, item), asked.cook)
        if forecast.legs_end_s is None:
            return None
        return _lengths(asked.legs, forecast.legs_end_s, 0.0).get("dish")

    def _under_way(self, cook_id: int, plan: Plan, schedule: Schedule) -> Physics:
        """What the last forecast says of what is left; dishes of their own are asked as before."""
        dishes = self._dishes(plan, schedule)
        result = self._finish.look(cook_id)
        if result is None or result.record is None or result.forecast is None:
            return Physics({}, dishes)
        ends_s = result.forecast.legs_end_s
        if ends_s is None:
            return Physics({}, dishes)
        return Physics(_lengths(result.record.legs, ends_s, result.now_s), dishes)

    def _forecast(self, key: object, cook: CookSoFar) -> Forecast:
        found = self._asked.get(key)
        if found is None:
            found = self._forecaster(cook)
            if len(self._asked) > 60:
                self._asked.clear()
            self._asked[key] = found
        return found

    # -- earlier cooks ---------------------------------------------------------------------------

    def _earlier(self, cook_id: int, plan: Plan) -> list[tuple[LivedLength, ...]]:
        cuts = {cut_of_item(item) for _, item in plan.items}
        alike = [
            line
            for line in self._program.cooks()
            if line.id != cook_id
            and line.over_s is not None
            and line.simulated == plan.simulated
            and cuts.intersection(cuts_of(line))
        ]
        return [self._of_cook(line) for line in alike[:NEWEST]]

    def _of_cook(self, line: CookLine) -> tuple[LivedLength, ...]:
        entries = self._program.journal.entries(line.id)
        newest = max((entry.id for entry in entries), default=0)
        known = self._lived.get(line.id)
        if known is None or known[0] != newest:
            log = self._program.journal.log(line.id)
            over_s = line.over_s if line.over_s is not None else self._program.clock.now_s()
            standing = fold(log, max(over_s, max((e.at_s for e in entries), default=over_s)))
            known = self._lived[line.id] = (newest, lived_lengths(log, standing))
        return known[1]


def cuts_of(line: CookLine) -> Iterable[str]:
    """The kinds of cut that a line speaks of, by the names of its pieces alone."""
    return {
        cut_of(name, "other", kg, None) for name, mass_kg in line.pieces for kg in (None, mass_kg)
    }


def _lengths(
    legs: tuple[PlannedLeg, ...], ends_s: FloatArray, begin_s: float
) -> dict[str, FloatArray]:
    """How long each stage lasts by the ends of its legs, shape (legs, m), from `begin_s` on."""
    found: dict[str, FloatArray] = {}
    before = np.full(ends_s.shape[1], begin_s)
    for planned_leg, end_s in zip(legs, ends_s, strict=False):
        # A leg that is over already ends before it began: nothing is left of it.
        end_s = np.maximum(end_s, before)
        lasts = np.where(
            np.isfinite(end_s), end_s - np.where(np.isfinite(before), before, 0.0), np.inf
        )
        found[planned_leg.key] = found.get(planned_leg.key, 0.0) + lasts
        before = end_s
    return found
