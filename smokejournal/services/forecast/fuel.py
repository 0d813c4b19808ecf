"""What fuel to expect: the cooker as it was said, and what the person's finished cooks teach of it.

Reading a cook's fuel means reading its log: once for each cook, and again only when its entries or the
cooker change. Cooks that don't tell are passed over by their entries alone, without their readings.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from concurrent.futures import Future
from dataclasses import dataclass, replace
from typing import Any

from smokejournal.cook.forecast.cook_so_far import ForecastInput
from smokejournal.cook.fuel.before import FuelBefore, fuel_before, planned
from smokejournal.cook.fuel.cooker import CookerFacts, facts_from_json, facts_to_json
from smokejournal.cook.fuel.course import (
    FuelEvidence,
    FuelNow,
    PlanFuel,
    fire_of,
    fuel_now,
    outdoors_at,
    plan_fuel,
    told_by,
)
from smokejournal.cook.fuel.rate import Belief, Burned, Outdoors, prior_sd
from smokejournal.cook.fuel.until import FuelUntil, fuel_until
from smokejournal.cook.log.cook_log import holding
from smokejournal.cook.log.entries import FuelAdded, FuelForeseen, FuelLevel
from smokejournal.cook.log.schedule import Schedule
from smokejournal.cook.plan.plan import lead_item, plan_of
from smokejournal.cook.progress.hopper import hopper
from smokejournal.cook.progress.progress import fold
from smokejournal.cook.progress.standing import Standing
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.journal import Change
from smokejournal.science.forecast.values import Forecast
from smokejournal.services.forecast.finish import Forecaster, ForecastResult, default_forecast
from smokejournal.services.program.program import Program

KEY = "cooker"
#: So many of the newest finished cooks are looked at: a cooker is not what it was years ago.
NEWEST = 60
#: A forecast of the food that is older than this says nothing of the fuel [s].
OLD_S = 1800.0
#: Until when the fuel lasts is written down at most this often [s of the cook].
KEPT_EVERY_S = 600.0


@dataclass(frozen=True, slots=True)
class Taught:
    """What the cooks teach. `told_not` of those that count tell nothing; `simulated` says which kind
    of cooks they are: simulated ones teach nothing of a real cooker, nor the other way round."""

    belief: Belief
    told_not: int = 0
    simulated: bool = False


class FuelForecasts:
    """`taught` is slow the first time: ask it away from the painting thread."""

    def __init__(self, program: Program, forecaster: Forecaster = default_forecast) -> None:
        self._program = program
        self._forecaster = forecaster
        self._before: dict[int, tuple[object, Forecast]] = {}
        self._lock = threading.Lock()
        self._result: dict[int, tuple[CookerFacts, FuelEvidence]] = {}
        self._unsubscribe: Callable[[], None] = program.subscribe(self._written)

    def close(self) -> None:
        """Stop hearing the journal."""
        self._unsubscribe()

    def facts(self) -> CookerFacts:
        """The cooker as it was said; plain defaults where it can't be read (`facts_problem` says so)."""
        try:
            return facts_from_json(self._program.journal.setting(KEY, {}))
        except SchemaProblem:
            return CookerFacts()

    def facts_problem(self) -> str:
        """Why what is kept of the cooker can't be used; empty where it can."""
        try:
            facts_from_json(self._program.journal.setting(KEY, {}))
        except SchemaProblem as problem:
            return problem.message
        return ""

    def keep(self, facts: CookerFacts) -> Future[Any]:
        """Write what was said of the cooker. SchemaProblem at once where a fact can't be."""
        return self._program.journal.set_setting(KEY, facts_to_json(facts))

    def prior(self) -> Taught:
        """Physics alone, as quick as a sum."""
        return Taught(Belief(prior_sd(self.facts())))

    def taught(self, simulated: bool = False) -> Taught:
        """What is believed of the cooker, after the finished cooks that count."""
        facts = self.facts()
        if not facts.learn:
            return replace(self.prior(), simulated=simulated)
        burns: list[Burned] = []
        told_not = looked = 0
        for line in self._program.cooks():
            if line.over_s is None or line.started_s is None or line.simulated != simulated:
                continue
            if facts.since_s is not None and line.started_s < facts.since_s:
                continue
            if looked == NEWEST:
                break
            looked += 1
            result = self._of_cook(line.id, facts)
            if result.burned is None:
                told_not += 1
            else:
                burns.append(result.burned)
        return Taught(Belief(prior_sd(facts), burns), told_not, simulated)

    def plan(
        self, schedule: Schedule, taught: Taught, out: Outdoors, fire_h: float | None = None
    ) -> PlanFuel:
        """What a schedule will take in this weather."""
        return plan_fuel(schedule, self.facts().cooker(), taught.belief, out, fire_h)

    def before(
        self,
        cook_id: int,
        schedule: Schedule,
        taught: Taught,
        out: Outdoors,
        *,
        only_known: bool = False,
    ) -> FuelBefore | None:
        """What a plan takes whose stages wait for the meat; None where that can't be told.

        Slow the first time for a plan (half a second or so): the forecast is asked. With `only_known`
        it is not asked, and what isn't known yet is None.
        """
        live = self._program.live(cook_id)
        standing = live.standing()
        if standing.phase != "planned":
            # From then on readings tell more than a prior does.
            return None
        led = lead_item(plan_of(live.log()))
        item = None if led is None else led[1]
        plan = planned(schedule, standing.lead, item)
        if plan is None:
            return None
        key = (schedule, standing.lead, item)
        with self._lock:
            found = self._before.get(cook_id)
        if found is None or found[0] != key:
            if only_known:
                return None
            found = key, self._forecaster(plan.cook)
            with self._lock:
                self._before[cook_id] = found
        return fuel_before(plan, found[1], self.facts().cooker(), taught.belief, out)

    def until(
        self, cook_id: int, taught: Taught, result: ForecastResult | None
    ) -> tuple[FuelNow, FuelUntil | None]:
        """The fuel of a cook under way, and that against its forecast (`result`: the last one)."""
        live = self._program.live(cook_id)
        standing = live.standing()
        at_s = standing.at_s
        held = [e for e in live.log().holding() if e.at_s <= at_s]
        facts = self.facts()
        cooker = facts.cooker()
        now = fuel_now(cooker, taught.belief, standing, held, at_s, facts.altitude_m)
        run = standing.current
        if now.store is None or run is None or run.stage.pit_target_c is None:
            return now, None
        known = None
        open_stage = ""
        if result is not None and result.record is not None and result.forecast is not None:
            if abs(at_s - result.now_s) <= OLD_S:
                known = result.record, result.forecast
            open_stage = _open_stage(result.record, standing)
        out = outdoors_at(held, at_s, facts.altitude_m)
        pit_c = run.stage.pit_target_c
        until = fuel_until(now.store, at_s, pit_c, cooker, out, known, open_stage)
        opened = live.opened
        if until is not None and until.missing_kg and opened is not None and opened.hopper_kg:
            left_kg = now.left_kg.mid if now.left_kg is not None else 0.0
            until = replace(until, fits=left_kg + until.missing_kg <= opened.hopper_kg)
        return now, until

    def keep_foreseen(self, cook_id: int, until: FuelUntil) -> None:
        """Write down until when the fuel lasts, from where the alarm for it is read.

        Nothing is written while that was done a short while ago, unless something was said of the
        fuel since then or a forecast came or went. Raises JournalProblem where it can't be written.
        Never on the journal's own thread: it waits for that.
        """
        if self._program.journal.read_only:
            return
        live = self._program.live(cook_id)
        made = until.foreseen
        result = (FuelAdded, FuelLevel, FuelForeseen)
        last = next((e for e in reversed(live.log().holding()) if isinstance(e.what, result)), None)
        if last is not None and isinstance(last.what, FuelForeseen):
            same_kind = (last.what.runs_out is None) == (made.runs_out is None)
            if same_kind and abs(until.at_s - last.at_s) < KEPT_EVERY_S:
                return
            if last.what.high_s <= until.at_s:
                # It says already that the hopper is empty; a fire that nobody tends needs no more.
                return
        live.keep_forecast(made, until.at_s).result()

    def weather(self, cook_id: int | None) -> Outdoors:
        """The weather that was last read in a cook, and the pressure of the cooker's place.

        Without a cook only what the place's altitude tells.
        """
        held = () if cook_id is None else self._program.live(cook_id).log().holding()
        return outdoors_at(held, self._program.clock.now_s(), self.facts().altitude_m)

    def _of_cook(self, cook_id: int, facts: CookerFacts) -> FuelEvidence:
        sized = replace(facts, learn=True, since_s=None)
        with self._lock:
            found = self._result.get(cook_id)
        if found is not None and found[0] == sized:
            return found[1]
        result = self._read(cook_id, sized)
        with self._lock:
            self._result[cook_id] = (sized, result)
        return result

    def _read(self, cook_id: int, facts: CookerFacts) -> FuelEvidence:
        now_s = self._program.clock.now_s()
        entries = self._program.journal.entries(cook_id)
        held = holding(entries)
        story = hopper(held, now_s)
        if story.between_kg.value is None:
            return FuelEvidence(why_fuel=story.between_kg.why)
        standing = fold(self._program.journal.log(cook_id), now_s)
        story = hopper(held, now_s, fire_of(standing))
        return told_by(facts.cooker(), cook_id, standing, held, story, facts.altitude_m)

    def _written(self, change: Change) -> None:
        if change.cook_id is not None and change.entries:
            with self._lock:
                self._result.pop(change.cook_id, None)


def _open_stage(record: ForecastInput, standing: Standing) -> str:
    """The name of a stage on the pit whose end the forecast can't tell; empty where there is none."""
    names = [assumed.stage for assumed in record.assumed if assumed.code == "open_end"]
    stages = [*([standing.current.stage] if standing.current else []), *standing.upcoming]
    on = [s.name for s in stages if s.name in names and s.pit_target_c is not None]
    return on[0] if on else ""
