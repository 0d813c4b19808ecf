"""How far each finish rule of a running stage is, reading by reading.

A rule only ever follows trusted readings. Nothing is credited over a gap: what lies between two
readings counts only when both are trusted, both fulfil the rule, and no more than the channel's gap
lies between them.
"""

from __future__ import annotations

from smokejournal.cook.log.schedule import ForTime, Rule, UntilClock, UntilTemperature
from smokejournal.cook.progress.standing import RuleState
from smokejournal.cook.progress.trust import ChannelTrust


class RuleProgress:
    """One rule in one run of a stage that began at `began_s`."""

    __slots__ = (
        "began_s",
        "counted_s",
        "dip_since_s",
        "extended_s",
        "first_s",
        "met_s",
        "restarts",
        "rule",
        "since_s",
    )

    def __init__(self, rule: Rule, began_s: float, extended_s: float = 0.0) -> None:
        self.rule = rule
        self.began_s = began_s
        self.extended_s = extended_s
        self.met_s: float | None = None
        self.since_s: float | None = None
        self.counted_s = 0.0
        self.first_s: float | None = None
        self.dip_since_s: float | None = None
        self.restarts = 0

    def copy(self) -> RuleProgress:
        """An independent twin."""
        twin = RuleProgress(self.rule, self.began_s)
        for name in self.__slots__:
            setattr(twin, name, getattr(self, name))
        return twin

    @property
    def channel(self) -> str | None:
        """The channel or role whose readings this rule follows, or None."""
        rule = self.rule
        if isinstance(rule, UntilTemperature):
            return rule.channel
        if isinstance(rule, ForTime) and rule.at_least_c is not None:
            return rule.channel
        return None

    @property
    def due_s(self) -> float | None:
        """When this rule is fulfilled by the passing of time alone, or None."""
        rule = self.rule
        if isinstance(rule, UntilClock):
            return max(rule.at_s + self.extended_s, self.began_s)
        if isinstance(rule, ForTime) and rule.at_least_c is None:
            return self.began_s + rule.duration_s + self.extended_s
        return None

    @property
    def needed_s(self) -> float | None:
        """The time to count, extensions included; None for a rule that counts none."""
        return self.rule.duration_s + self.extended_s if isinstance(self.rule, ForTime) else None

    def extend(self, by_s: float) -> None:
        """Give the rule `by_s` more. A time that had been counted in full is open again."""
        if isinstance(self.rule, ForTime | UntilClock):
            self.extended_s += by_s
            self.met_s = None

    def interrupt(self) -> None:
        """Another probe is followed from now on: proving and counting start from its readings."""
        self.since_s = None
        self.dip_since_s = None

    def take(self, trust: ChannelTrust) -> None:
        """Take in the last reading of the channel that this rule follows."""
        if self.met_s is not None:
            return
        if isinstance(self.rule, UntilTemperature):
            self._prove(self.rule, trust)
        elif isinstance(self.rule, ForTime) and self.rule.at_least_c is not None:
            self._count(self.rule, self.rule.at_least_c, trust)

    def state(self, now_s: float) -> RuleState:
        """The rule as it stands at `now_s`."""
        counted_s = self.counted_s
        due_s = self.due_s
        if due_s is not None and isinstance(self.rule, ForTime):
            counted_s = min(max(0.0, now_s - self.began_s), due_s - self.began_s)
        return RuleState(
            rule=self.rule,
            met_at_s=self.met_s,
            since_s=self.began_s if due_s is not None else self.since_s,
            counted_s=counted_s,
            needed_s=self.needed_s,
            first_at_s=self.first_s,
            restarts=self.restarts,
        )

    def _prove(self, rule: UntilTemperature, trust: ChannelTrust) -> None:
        assert trust.at_s is not None
        assert trust.value_c is not None
        past = (
            trust.value_c >= rule.target_c
            if rule.direction == "rising"
            else trust.value_c <= rule.target_c
        )
        if not trust.trusted or not past:
            self.since_s = None
            return
        if self.first_s is None:
            self.first_s = trust.at_s
        if self.since_s is None or not trust.unbroken:
            self.since_s = trust.at_s
        if trust.at_s - self.since_s >= rule.prove_s:
            self.met_s = trust.at_s

    def _count(self, rule: ForTime, at_least_c: float, trust: ChannelTrust) -> None:
        assert trust.at_s is not None
        assert trust.value_c is not None
        if not trust.trusted:
            self.since_s = None
            return
        counting = self.since_s is not None
        threshold_c = at_least_c - (rule.dip_c if counting else 0.0)
        if trust.value_c < threshold_c:
            self._dip(rule, trust.at_s)
            return
        if self.first_s is None:
            self.first_s = trust.at_s
        self.dip_since_s = None
        if (
            trust.unbroken
            and trust.previous_c is not None
            and trust.previous_s is not None
            # Just as the stage begins, the reading before it is what the count starts from.
            and (counting or (self._fresh(trust) and trust.previous_c >= at_least_c))
        ):
            start_s = max(trust.previous_s, self.began_s)
            self.counted_s += trust.at_s - start_s
            if self.since_s is None:
                self.since_s = start_s
        else:
            self.since_s = trust.at_s
        assert self.needed_s is not None
        if self.counted_s >= self.needed_s:
            self.met_s = trust.at_s

    def _fresh(self, trust: ChannelTrust) -> bool:
        return trust.previous_s is not None and trust.previous_s <= self.began_s

    def _dip(self, rule: ForTime, at_s: float) -> None:
        self.since_s = None
        if self.dip_since_s is None:
            self.dip_since_s = at_s
        if (
            rule.dip_mode == "start_over"
            and self.counted_s > 0
            and at_s - self.dip_since_s >= rule.dip_s
        ):
            self.counted_s = 0.0
            self.restarts += 1
