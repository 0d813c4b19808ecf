"""Where a cook stands, for the command line: as text and as JSON."""

from __future__ import annotations

from typing import Any

from smokejournal.cook.progress.sentence import sentence
from smokejournal.cook.progress.standing import StageRun, Standing
from smokejournal.cook.text.quantities import Units


def standing_text(standing: Standing, units: Units, zone: str) -> str:
    """The sentence of Tend, a line for each part of it that there is."""
    said = sentence(standing, units, zone)
    return "\n".join(part for part in (said.now, said.waits_for, said.since, said.next) if part)


def standing_json(standing: Standing) -> dict[str, Any]:
    """Moments in UTC seconds, temperatures corrected in °C, durations in seconds."""
    current = standing.current
    return {
        "at_s": standing.at_s,
        "phase": standing.phase,
        "started_at_s": standing.started_at_s,
        "ended_at_s": standing.ended_at_s,
        "stage": None if current is None else _run(current),
        "waiting": standing.waiting,
        "stages": [_run(run) for run in standing.runs],
        "upcoming": [stage.key for stage in standing.upcoming],
        "lead": standing.lead,
        "check": standing.check,
        "channels": {
            key: {
                "name": state.channel.name,
                "status": state.status,
                "at_s": state.at_s,
                "value_c": state.value_c,
                "raw_c": state.raw_c,
                "trend_c_per_h": state.trend_c_per_h,
            }
            for key, state in standing.channels.items()
        },
    }


def _run(run: StageRun) -> dict[str, Any]:
    return {
        "key": run.stage.key,
        "name": run.stage.name,
        "began_at_s": run.began_at_s,
        "met_at_s": run.met_at_s,
        "ended_at_s": run.ended_at_s,
        "how": run.how,
        "rules": [
            {
                "kind": rule.rule.kind,
                "met_at_s": rule.met_at_s,
                "first_at_s": rule.first_at_s,
                "counted_s": rule.counted_s,
                "needed_s": rule.needed_s,
                "restarts": rule.restarts,
            }
            for rule in run.rules
        ],
    }
