"""What is wrong with something written, and where."""

from __future__ import annotations


class SchemaProblem(ValueError):
    """A written value has the wrong shape or lies outside what can be.

    `where` names the field ("schedule.stages[2].rules[0].target_c"), `message` says in one plain
    sentence what is wrong with it.
    """

    def __init__(self, where: str, message: str) -> None:
        super().__init__(f"{where}: {message}" if where else message)
        self.where = where
        self.message = message
