"""The written form of a schedule: plain dictionaries, lists, strings and numbers, ready for JSON.

Reading is strict, by the fields of `log.schedule`, because a schedule that was half understood would
run another cook. Fields that have a default may be left out.
"""

from __future__ import annotations

from typing import Any

from smokejournal.cook.log.schedule import Schedule
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.strict import read, written
from smokejournal.cook.text.translate import translate


def schedule_to_json(schedule: Schedule) -> dict[str, Any]:
    """The written form of `schedule`. Every field is written, also where it has its default."""
    return written(schedule, in_full=True)


def schedule_from_json(data: object) -> Schedule:
    """The schedule that `data` is the written form of; SchemaProblem says what is wrong and where."""
    return read(Schedule, data, "schedule")


def validate_schedule(schedule: Schedule) -> None:
    """SchemaProblem where `schedule` holds something that could not be written."""
    if read(Schedule, schedule_to_json(schedule), "schedule", new=True) != schedule:
        raise SchemaProblem(
            "schedule",
            translate("Strict", "This schedule does not read back as it was written."),
        )
