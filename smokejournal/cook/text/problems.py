"""What is wrong with a value that is to be written, or was read, and where."""

from __future__ import annotations


class SchemaProblem(ValueError):
    """A value that can't stand as it is.

    `where` names the field by its path ("mass_kg", "schedule.stages[2].rules[0].target_c"), so that
    the message can be shown beside it; `message` is a plain sentence that says what to give instead.
    """

    def __init__(self, where: str, message: str) -> None:
        super().__init__(f"{where}: {message}" if where else message)
        self.where = where
        self.message = message

    def within(self, place: str) -> SchemaProblem:
        """The same problem as seen from what holds `place`: "[2].key" within "stages"."""
        dot = "." if place and self.where and not self.where.startswith("[") else ""
        return SchemaProblem(f"{place}{dot}{self.where}", self.message)
