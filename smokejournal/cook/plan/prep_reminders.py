"""What the cook is called for before the fire: a step to begin, one that has had its time, the fire."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from smokejournal.cook.log.entries import Entry, TimesKept
from smokejournal.cook.plan.prep_progress import LivedStep, prep_progress
from smokejournal.cook.progress.alarms import Alarm
from smokejournal.cook.progress.standing import Standing
from smokejournal.cook.text.translate import translate

#: A start that was kept and passed this long ago calls nobody any more [s]: the plan was dropped.
GIVEN_UP_S = 12 * 3600.0


def reminders(standing: Standing, entries: Sequence[Entry]) -> tuple[Alarm, ...]:
    """The calls that hold at this moment. `entries` hold and are in order of time.

    Starts call only where the cook kept the times: what is merely estimated moves.
    """
    if standing.phase == "closed":
        return ()
    steps = prep_progress(entries)
    found = [alarm for step in steps for alarm in _over(step, standing.at_s)]
    kept = next((e for e in reversed(entries) if isinstance(e.what, TimesKept)), None)
    if kept is not None and isinstance(kept.what, TimesKept):
        found += _starts(standing, steps, kept.what)
    return tuple(sorted(found, key=lambda alarm: alarm.level == "chime"))


def _over(step: LivedStep, now_s: float) -> Iterable[Alarm]:
    if step.state != "under_way" or step.began_s is None:
        return
    longest_s = step.step.longest_s
    if longest_s is not None and now_s >= step.began_s + longest_s:
        text = translate("Reminders", "{step} has gone past its limit. End it, and say so on Plan.")
        key = f"step_longest:{step.key}:{step.began_s:.0f}"
        yield Alarm(key, "insistent", text.format(step=step.step.step))
    elif step.due_end_s is not None and now_s >= step.due_end_s:
        text = translate("Reminders", "Time is up: {step}. End it, or give it more time on Plan.")
        yield Alarm(
            f"step_over:{step.key}:{step.due_end_s:.0f}", "chime", text.format(step=step.step.step)
        )


def _starts(standing: Standing, steps: Sequence[LivedStep], kept: TimesKept) -> Iterable[Alarm]:
    now_s = standing.at_s

    def is_due(start_s: float | None) -> bool:
        return start_s is not None and start_s <= now_s < start_s + GIVEN_UP_S

    for step in steps:
        start_s = kept.starts.get(f"prep:{step.key}")
        if step.state == "to_come" and is_due(start_s):
            text = translate("Reminders", "It is time to begin: {step}. Say so on Plan.")
            yield Alarm(
                f"step_begin:{step.key}:{start_s:.0f}", "chime", text.format(step=step.step.step)
            )
    if standing.phase != "planned":
        return
    lit_s = kept.starts.get("warm")
    if lit_s is None:
        stages = (kept.starts.get(f"stage:{s.key}") for s in standing.schedule.stages)
        lit_s = next((at_s for at_s in stages if at_s is not None), None)
    if is_due(lit_s):
        text = translate(
            "Reminders", "It is time to light the fire. Start the cook on Plan or Tend."
        )
        yield Alarm(f"fire:{lit_s:.0f}", "chime", text)
