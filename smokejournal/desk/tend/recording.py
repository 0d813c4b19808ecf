"""Sending what is to be written, told as recorded only when it is on disk."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future
from typing import Any, TypeAlias

from PySide6.QtCore import QObject, Signal

from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.quantities import clock_time
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.error_words import words_of

#: Begins a writing; None where there is nothing to write after all. May raise SchemaProblem.
Write: TypeAlias = Callable[[], Future[Any] | None]
Failed = Callable[[str], None]


class Recording(QObject):
    """`told` carries what to show about the last writing. `zone` is the cook's, for its clock."""

    told = Signal(str)

    def __init__(self, context: DeskContext, zone: Callable[[], str], parent: QObject) -> None:
        super().__init__(parent)
        self._context = context
        self._zone = zone
        self._keys: set[str] = set()
        self._in_flight = 0
        self._afterwards: Callable[[], None] | None = None

    def is_writing(self, key: str) -> bool:
        """Whether what goes by this key is being written."""
        return key in self._keys

    def put_off(self, then: Callable[[], None]) -> bool:
        """Whether something is being written: `then` is done after it, unless that fails."""
        self._afterwards = then if self._in_flight else None
        return self._in_flight > 0

    def call_off(self) -> None:
        """What was put off is not wanted any more."""
        self._afterwards = None

    def once(self, key: str, write: Write, words: str, done: Callable[[Any], None]) -> None:
        """Write, unless the same is being written already: a key may be hit twice."""
        if key in self._keys:
            return
        self._keys.add(key)

        def settled(result: Any) -> None:
            self._keys.discard(key)
            done(result)

        def failed(why: str) -> None:
            self._keys.discard(key)
            self._context.tell(
                self.tr("That was not written: {why}").format(why=why),
                self.tr("Do it again once that is put right."),
            )

        self.start(write, words, settled, failed)

    def start(
        self,
        write: Write,
        words: str,
        done: Callable[[Any], None],
        failed: Failed,
        last: bool = True,
    ) -> None:
        """Write; of several writings in a row only the `last` is told as recorded."""
        self.told.emit(self.tr("Writing: {what}").format(what=words))
        try:
            future = write()
        except SchemaProblem as problem:
            self._refuse(words, problem.message, failed)
            return
        if future is None:
            self.told.emit("")
            done(None)
            return
        self._in_flight += 1

        def refused(error: BaseException) -> None:
            self._in_flight -= 1
            # What was to be taken back was never written, and nothing else was meant.
            self.call_off()
            self._refuse(words, words_of(error), failed)

        def settled(result: Any) -> None:
            self._in_flight -= 1
            if last:
                now = clock_time(self._context.now_s(), self._zone(), self._context.units)
                said = self.tr("Recorded at {time}: {what}")
                self.told.emit(said.format(time=now, what=words))
            done(result)
            if self._afterwards is not None and not self._in_flight:
                then, self._afterwards = self._afterwards, None
                then()

        self._context.after(future, settled, refused, asker=self)

    def _refuse(self, words: str, why: str, failed: Failed) -> None:
        self.told.emit(self.tr("Not recorded: {what}").format(what=words))
        failed(why)
