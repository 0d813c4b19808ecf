"""Schedules that are saved by name, for reuse."""

from __future__ import annotations

import json
import logging
from concurrent.futures import Future

from sqlalchemy import delete, func, select
from sqlalchemy.dialects.sqlite import insert as insert_or

from smokejournal.cook.codec.schedules import (
    schedule_from_json,
    schedule_to_json,
    validate_schedule,
)
from smokejournal.cook.log.schedule import Schedule
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.translate import translate
from smokejournal.journal.changes import Change
from smokejournal.journal.journal_file import JournalFile
from smokejournal.journal.tables import PATTERNS

_log = logging.getLogger(__name__)


class ScheduleShelf:
    """The saved schedules of a journal. What writes and what reads tells of problems as Journal does."""

    def __init__(self, file: JournalFile) -> None:
        self._file = file

    def saved(self) -> list[tuple[str, Schedule]]:
        """The saved schedules by name. Those that can't be read are in `unread`."""
        return [(name, found) for name, found in self._all() if isinstance(found, Schedule)]

    def unread(self) -> list[tuple[str, str]]:
        """Names of saved schedules that this version can't read, each with the reason."""
        return [(name, str(found)) for name, found in self._all() if isinstance(found, ValueError)]

    def save(self, name: str, schedule: Schedule) -> Future[None]:
        """Saves a schedule by name, in the place of one of the same name."""
        name = name.strip()
        if not name:
            raise SchemaProblem("name", translate("Journal", "Give the schedule a name."))
        validate_schedule(schedule)
        text = json.dumps(schedule_to_json(schedule), ensure_ascii=False)
        statement = insert_or(PATTERNS).values(name=name, schedule=text)
        statement = statement.on_conflict_do_update(
            index_elements=[PATTERNS.c.name], set_={"schedule": text}
        )
        return self._file.execute(statement, Change(patterns=True))

    def forget(self, name: str) -> Future[None]:
        """Forgets a saved schedule; cooks that used it keep theirs."""
        statement = delete(PATTERNS).where(PATTERNS.c.name == name)
        return self._file.execute(statement, Change(patterns=True))

    def _all(self) -> list[tuple[str, Schedule | ValueError]]:
        with self._file.reading() as connection:
            rows = connection.execute(
                select(PATTERNS.c.name, PATTERNS.c.schedule).order_by(
                    func.lower(PATTERNS.c.name), PATTERNS.c.name
                )
            ).all()
        found: list[tuple[str, Schedule | ValueError]] = []
        for name, text in rows:
            try:
                found.append((name, schedule_from_json(json.loads(text))))
            except ValueError as problem:
                _log.warning("The saved schedule %r can't be read: %s", name, problem)
                found.append((name, problem))
        return found
