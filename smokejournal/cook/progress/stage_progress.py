"""One run of a stage while it is under way."""

from __future__ import annotations

from smokejournal.cook.log.schedule import ForTime, Rule, Stage
from smokejournal.cook.progress.rule_progress import RuleProgress
from smokejournal.cook.progress.standing import StageEnd, StageRun


class StageProgress:
    """A stage that began at `began_s`, with the progress of each of its rules."""

    def __init__(self, stage: Stage, began_s: float, *, wants_word: bool = False) -> None:
        self.stage = stage
        self.began_s = began_s
        self.put_back = wants_word
        self.extended_s = 0.0
        self.not_before_s = began_s
        self.met_s: float | None = None
        self.rules = [RuleProgress(rule, began_s) for rule in stage.rules]

    def copy(self) -> StageProgress:
        """An independent twin."""
        twin = StageProgress.__new__(StageProgress)
        twin.__dict__.update(self.__dict__)
        twin.rules = [rule.copy() for rule in self.rules]
        return twin

    @property
    def wants_word(self) -> bool:
        """True when the stage ends only on the cook's word."""
        return self.put_back or self.stage.ending == "waits"

    @property
    def wake_s(self) -> float:
        """The first moment at which the passing of time can change anything; before it none can."""
        if self.met_s is not None:
            return float("inf")
        due = [r.due_s for r in self.rules if r.due_s is not None and r.met_s is None]
        return min([self.not_before_s, *due]) if self._met() else min(due, default=float("inf"))

    def end_by_time(self, to_s: float) -> float | None:
        """Let time pass up to `to_s`; the moment at which the stage ended by it, or None."""
        due = sorted(
            (rule.due_s, n)
            for n, rule in enumerate(self.rules)
            if rule.due_s is not None and rule.met_s is None and rule.due_s <= to_s
        )
        for due_s, n in due:
            assert due_s is not None
            self.rules[n].met_s = due_s
            if self.over_at(due_s):
                return due_s
        if self.met_s is None and self.not_before_s <= to_s and self._met():
            moment_s = max(self.not_before_s, *(r.met_s for r in self.rules if r.met_s is not None))
            if self.over_at(moment_s):
                return moment_s
        return None

    def over_at(self, at_s: float) -> bool:
        """Note whether the rules are met at `at_s`; True when the stage is over by them then."""
        if self.met_s is None and at_s >= self.not_before_s and self._met():
            self.met_s = at_s
        return self.met_s is not None and not self.wants_word

    def extend(self, at_s: float, by_s: float) -> None:
        """Give the stage `by_s` more: times and clock times move; one that is met waits on."""
        self.extended_s += by_s
        for rule in self.rules:
            rule.extend(by_s)
        if self.met_s is not None:
            self.met_s = None
            self.not_before_s = at_s + by_s

    def change(self, stage: Stage, at_s: float) -> None:
        """The stage was edited. What its rules have counted stays where the rule is still the same.

        An edit can end a stage from then on, never in the past.
        """
        old = self.rules
        self.stage = stage
        self.rules = [_carried(rule, old, self.began_s, self.extended_s) for rule in stage.rules]
        self.met_s = None
        self.not_before_s = max(self.not_before_s, at_s)

    def finished(self, at_s: float, how: StageEnd) -> StageRun:
        """The run as it is over."""
        return self._run(at_s, at_s, how)

    def state(self, now_s: float) -> StageRun:
        """The run as it is under way."""
        return self._run(now_s, None, None)

    def _met(self) -> bool:
        if not self.rules:
            return False
        met = [rule.met_s is not None for rule in self.rules]
        return any(met) if self.stage.combine == "any" else all(met)

    def _run(self, now_s: float, ended_s: float | None, how: StageEnd | None) -> StageRun:
        guard_s = self.stage.guard_s
        return StageRun(
            stage=self.stage,
            began_at_s=self.began_s,
            rules=tuple(rule.state(now_s) for rule in self.rules),
            met_at_s=self.met_s,
            ended_at_s=ended_s,
            how=how,
            extended_s=self.extended_s,
            wants_word=self.wants_word,
            guard_at_s=None if guard_s is None else self.began_s + guard_s + self.extended_s,
        )


def _carried(
    rule: Rule, old: list[RuleProgress], began_s: float, extended_s: float
) -> RuleProgress:
    for before in old:
        if before.rule == rule:
            return before.copy()
    fresh = RuleProgress(rule, began_s, extended_s if isinstance(rule, ForTime) else 0.0)
    for before in old:
        # Only the length was changed: what was counted under the same condition still counts.
        was = before.rule
        if (
            isinstance(rule, ForTime)
            and isinstance(was, ForTime)
            and (was.channel, was.at_least_c) == (rule.channel, rule.at_least_c)
        ):
            fresh.counted_s, fresh.since_s = before.counted_s, before.since_s
            fresh.first_s, fresh.restarts = before.first_s, before.restarts
    return fresh
