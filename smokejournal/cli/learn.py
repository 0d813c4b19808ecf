"""The command 'learn': reads the finished cooks that the forecast hasn't learned from yet."""

from __future__ import annotations

from pathlib import Path

from smokejournal.cli.say import say
from smokejournal.cook.learning.lesson_words import lesson_words
from smokejournal.cook.text.translate import translate
from smokejournal.journal import Journal
from smokejournal.services.forecast.learned import ForecastLearned
from smokejournal.services.program.practice import clock_read_only
from smokejournal.services.program.program import Program


def learn(folder: Path) -> int:
    """Read every finished cook of the journal in `folder` that wasn't, oldest first, and say what each
    teaches. Returns the exit code; JournalProblem where the journal can't be read or written."""
    journal = Journal.open(folder)
    program = Program(journal, clock_read_only(journal))
    learned = ForecastLearned(program)
    try:
        waiting = [
            cook_id for simulated in (False, True) for cook_id in learned.lessons(simulated).unread
        ]
        for n, cook_id in enumerate(waiting, start=1):
            learned.read(cook_id)
            said = {
                one.line.id: one
                for simulated in (False, True)
                for one in learned.lessons(simulated).lesson_cooks
            }[cook_id]
            words = lesson_words(said.lesson, on_this_pit=said.on_this_pit)
            say(f"{n}/{len(waiting)}  {said.line.title}: {words}")
        if not waiting:
            say(translate("Learned", "Every finished cook was read already."))
    finally:
        learned.close()
        program.close()
        journal.close()
    return 0
