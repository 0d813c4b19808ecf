"""Everything that is foreseen, in one place: the finish, the fuel, the track record, the lessons.

Each part is made when it is first asked for, since the first painted window needs none of them, and
is then the same for every page.
"""

from __future__ import annotations

import threading
from functools import cached_property
from typing import TYPE_CHECKING

from smokejournal.services.program.program import Program

if TYPE_CHECKING:
    # Loaded when first asked for.
    from smokejournal.cook.forecast.cook_so_far import ForecastInput
    from smokejournal.science.forecast.values import PitPrior
    from smokejournal.services.forecast.explained import TimesExplained
    from smokejournal.services.forecast.finish import FinishForecasts
    from smokejournal.services.forecast.fuel import FuelForecasts
    from smokejournal.services.forecast.learned import ForecastLearned
    from smokejournal.services.forecast.timetables import Timetables
    from smokejournal.services.forecast.track_record import TrackRecord


class Forecasts:
    """See the module. A part may be replaced by assigning to it before it is first used."""

    def __init__(self, program: Program) -> None:
        self._program = program
        self._making = threading.Lock()
        self._learned: ForecastLearned | None = None

    @cached_property
    def fuel(self) -> FuelForecasts:
        """What fuel to expect."""
        from smokejournal.services.forecast.fuel import FuelForecasts

        return FuelForecasts(self._program)

    @cached_property
    def finish(self) -> FinishForecasts:
        """When each cook will be done."""
        from smokejournal.services.forecast.finish import FinishForecasts

        return FinishForecasts(self._program, taught=self._taught)

    @cached_property
    def track_record(self) -> TrackRecord:
        """How good forecasts were."""
        from smokejournal.services.forecast.track_record import TrackRecord

        return TrackRecord(self._program)

    @cached_property
    def timetables(self) -> Timetables:
        """Plans counted back from the table."""
        from smokejournal.services.forecast.timetables import Timetables

        return Timetables(self._program, self.finish)

    @cached_property
    def explained(self) -> TimesExplained:
        """What made finished cooks last."""
        from smokejournal.services.forecast.explained import TimesExplained

        return TimesExplained(self._program)

    @property
    def learned(self) -> ForecastLearned:
        """What finished cooks teach the forecast. May be asked for on any thread."""
        with self._making:
            if self._learned is None:
                from smokejournal.services.forecast.learned import ForecastLearned

                self._learned = ForecastLearned(self._program)
            return self._learned

    @learned.setter
    def learned(self, learned: ForecastLearned) -> None:
        self._learned = learned

    def close(self) -> None:
        """Stop following the journal. Safe to call twice."""
        for part in (self.__dict__.pop("fuel", None), self.__dict__.pop("track_record", None)):
            if part is not None:
                part.close()
        if self._learned is not None:
            self._learned.close()
            self._learned = None

    def _taught(self, cook_id: int, record: ForecastInput) -> PitPrior | None:
        # Asked for on a background thread: the painting thread would wait for what is loaded here.
        return self.learned.taught(cook_id, record)
