"""Where the cook stands, in plain words: what runs, what it waits for, how far that is, what is next.

Read off a `Standing`, so it is the same on screen, on the command line and in a test. No number is
given as if it held now when it is old: what is silent, absurd or jumped is said so, with what to do.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from smokejournal.cook.log.schedule import (
    CHECK,
    LEAD,
    PIT,
    ForTime,
    Rule,
    Stage,
    UntilClock,
    UntilSaid,
    UntilTemperature,
)
from smokejournal.cook.log.stage_meaning import purpose_of
from smokejournal.cook.progress.readout import absurd_words
from smokejournal.cook.progress.standing import (
    ChannelState,
    RuleState,
    StageRun,
    Standing,
    channel_for,
)
from smokejournal.cook.text.quantities import (
    Units,
    ago,
    clock_time,
    duration,
    temperature,
    temperature_number,
)
from smokejournal.cook.text.translate import translate


@dataclass(frozen=True, slots=True)
class Sentence:
    """Parts of one answer, each a sentence or empty. `now` and `waits_for` are read first.

    `trouble` is what keeps the stage from going on by itself and what to do; `instruction` what the
    stage asks of the cook; `wants_hand` is true when nothing goes on until the cook does something.
    """

    now: str
    waits_for: str = ""
    since: str = ""
    next: str = ""
    trouble: str = ""
    instruction: str = ""
    wants_hand: bool = False

    @property
    def head(self) -> str:
        """What is read first: what runs and what it waits for."""
        return " ".join(part for part in (self.now, self.waits_for) if part)

    @property
    def text(self) -> str:
        """Everything in one line, for a reader of screens and for the command line."""
        parts = (self.now, self.waits_for, self.since, self.trouble, self.next)
        return " ".join(part for part in parts if part)


def sentence(standing: Standing, units: Units, zone: str) -> Sentence:
    """Say where the cook stands; `zone` is the IANA time zone in which clock times are told."""
    if standing.phase == "planned":
        return _planned(standing, units, zone)
    if standing.phase == "closed":
        return _closed(standing, units, zone)
    run = standing.current
    if standing.phase == "done" or run is None:
        return _done(standing, units, zone)
    if standing.waiting:
        return _waiting(standing, run, units, zone)
    return _running(standing, run, units, zone)


def _planned(standing: Standing, units: Units, zone: str) -> Sentence:
    if not standing.upcoming:
        return Sentence(
            now=translate("Sentence", "This cook has no schedule yet."),
            waits_for=translate(
                "Sentence", "Give it stages on Plan, or begin and write down what happens."
            ),
            wants_hand=True,
        )
    first = standing.upcoming[0]
    return Sentence(
        now=translate("Sentence", "This cook hasn't begun."),
        waits_for=translate("Sentence", "Begin when the fire is lit."),
        next=translate("Sentence", "First comes {stage}.").format(
            stage=_stage_words(standing, first, units, zone)
        ),
        instruction=first.instruction,
        wants_hand=True,
    )


def _closed(standing: Standing, units: Units, zone: str) -> Sentence:
    started, ended = standing.started_at_s, standing.ended_at_s
    since = ""
    if started is not None and ended is not None and ended > started:
        since = translate("Sentence", "It took {duration}, from {start} to {end}.").format(
            duration=duration(ended - started),
            start=clock_time(started, zone, units),
            end=clock_time(ended, zone, units),
        )
    return Sentence(
        now=translate("Sentence", "The cook is over."),
        since=since,
        next=translate("Sentence", "How was it? Say so on Taste."),
    )


def _done(standing: Standing, units: Units, zone: str) -> Sentence:
    since = ""
    last = standing.runs[-1] if standing.runs else None
    if last is not None and last.ended_at_s is not None:
        since = translate("Sentence", "{stage} ended at {time}, {ago}.").format(
            stage=last.stage.name,
            time=clock_time(last.ended_at_s, zone, units),
            ago=ago(standing.at_s - last.ended_at_s),
        )
    now = (
        translate("Sentence", "All stages are done.")
        if standing.runs
        else translate("Sentence", "The cook is under way without a schedule.")
    )
    return Sentence(
        now=now,
        since=since,
        next=translate("Sentence", "Close the cook once everything is written down."),
    )


def _waiting(standing: Standing, run: StageRun, units: Units, zone: str) -> Sentence:
    since = ""
    if run.met_at_s is not None:
        since = translate("Sentence", "Done since {time}, {ago}.").format(
            time=clock_time(run.met_at_s, zone, units), ago=ago(standing.at_s - run.met_at_s)
        )
    if standing.upcoming:
        waits_for = translate("Sentence", "Confirm to go on to {stage}.").format(
            stage=standing.upcoming[0].name
        )
    else:
        waits_for = translate("Sentence", "Confirm when you have seen to it.")
    return Sentence(
        now=translate("Sentence", "{stage} is done and waits for you.").format(
            stage=run.stage.name
        ),
        waits_for=waits_for,
        since=since,
        next=_next(standing, units, zone),
        trouble=_guard(run, standing.at_s, units, zone),
        instruction=run.stage.instruction,
        wants_hand=True,
    )


def _running(standing: Standing, run: StageRun, units: Units, zone: str) -> Sentence:
    states = run.rules or tuple(RuleState(rule) for rule in run.stage.rules)
    unmet = [state for state in states if state.met_at_s is None]
    by_word_only = all(isinstance(state.rule, UntilSaid) for state in states)
    now = translate("Sentence", "{stage}: {duration} so far.").format(
        stage=run.stage.name, duration=duration(max(0.0, standing.at_s - run.began_at_s))
    )
    waits = [_end_words(standing, state, units, zone) for state in unmet]
    if by_word_only or not waits:
        waits_for = translate("Sentence", "Confirm when it is over.")
    else:
        waits_for = _then(standing, run.stage).format(when=_join(waits, run.stage))
    progress = [_met(state, units, zone) for state in states if state.met_at_s is not None]
    progress += [_progress(standing, state, units) for state in unmet]
    if run.wants_word and not by_word_only and run.stage.ending == "by_itself":
        progress.append(translate("Sentence", "It was put back, so it ends when you confirm."))
    troubles = [_trouble(standing, state.rule, units) for state in unmet]
    troubles.append(_guard(run, standing.at_s, units, zone))
    return Sentence(
        now=now,
        waits_for=waits_for,
        since=" ".join(part for part in progress if part),
        next=_next(standing, units, zone),
        trouble=" ".join(dict.fromkeys(part for part in troubles if part)),
        instruction=run.stage.instruction,
        wants_hand=by_word_only,
    )


def _then(standing: Standing, stage: Stage) -> str:
    """What is done as the stage ends, with a place for when that is."""
    if not standing.upcoming:
        return translate("Sentence", "Done {when}.")
    purpose, following = purpose_of(stage)[0], standing.upcoming[0]
    then = purpose_of(following)[0]
    if then == "wrap":
        return translate("Sentence", "Wrap it {when}.")
    if then == "rest" and purpose != "rest":
        return translate("Sentence", "Take it off to rest {when}.")
    if purpose == "warm_up" and then in ("cook", "hold"):
        return translate("Sentence", "Put the food on {when}.")
    return translate("Sentence", "{stage} begins {when}.").replace("{stage}", _kept(following.name))


def _kept(name: str) -> str:
    """A name as `str.format` gives it back."""
    return name.replace("{", "{{").replace("}", "}}")


def _join(waits: list[str], stage: Stage) -> str:
    if len(waits) == 1:
        return waits[0]
    if stage.combine == "all":
        return translate("Sentence", " and ").join(waits)
    either = translate("Sentence", " or ").join(waits)
    return translate("Sentence", "{either}, whichever comes first").format(either=either)


def _end_words(standing: Standing, state: RuleState, units: Units, zone: str) -> str:
    """When a rule that is not yet fulfilled will be, to be said after what happens then."""
    rule = state.rule
    if isinstance(rule, UntilTemperature):
        text = (
            translate("Sentence", "when {probe} reaches {temperature}{now}")
            if rule.direction == "rising"
            else translate("Sentence", "when {probe} is down to {temperature}{now}")
        )
        return text.format(
            probe=_probe_words(standing, rule.channel),
            temperature=temperature(rule.target_c, units),
            now=_now_words(standing, rule, units),
        )
    if isinstance(rule, ForTime):
        needed_s = rule.duration_s if state.needed_s is None else state.needed_s
        left = _left(max(0.0, needed_s - state.counted_s))
        if rule.at_least_c is None:
            return translate("Sentence", "in {left}").format(left=left)
        return translate(
            "Sentence", "after {left} more with {probe} at {temperature} or above"
        ).format(
            left=left,
            probe=_probe_words(standing, rule.channel),
            temperature=temperature(rule.at_least_c, units),
        )
    if isinstance(rule, UntilClock):
        time = clock_time(rule.at_s, zone, units)
        left_s = rule.at_s - standing.at_s
        if left_s <= 0:
            return translate("Sentence", "at {time}").format(time=time)
        return translate("Sentence", "at {time} (in {left})").format(time=time, left=_left(left_s))
    return translate("Sentence", "when you confirm")


def _now_words(standing: Standing, rule: UntilTemperature, units: Units) -> str:
    """ " (now 67)", never rounded so that it reads as there before it is; empty where not known."""
    state = channel_for(standing, rule.channel)
    if state is None or state.status != "good" or state.value_c is None:
        return ""
    rising = rule.direction == "rising"
    number = temperature_number(state.value_c, units)
    short = state.value_c < rule.target_c if rising else state.value_c > rule.target_c
    if short and number == temperature_number(rule.target_c, units):
        number = temperature_number(state.value_c, units, 1)
        if number == temperature_number(rule.target_c, units, 1):
            return translate("Sentence", " (nearly there)")
    return translate("Sentence", " (now {number})").format(number=number)


def _met(state: RuleState, units: Units, zone: str) -> str:
    if state.met_at_s is None or isinstance(state.rule, UntilSaid):
        return ""
    time = clock_time(state.met_at_s, zone, units)
    rule = state.rule
    if isinstance(rule, UntilTemperature):
        return translate("Sentence", "{temperature} was reached at {time}.").format(
            temperature=temperature(rule.target_c, units), time=time
        )
    if isinstance(rule, ForTime):
        needed = rule.duration_s if state.needed_s is None else state.needed_s
        return translate("Sentence", "The {duration} were up at {time}.").format(
            duration=duration(needed), time=time
        )
    return translate("Sentence", "The clock time was reached at {time}.").format(time=time)


def _progress(standing: Standing, state: RuleState, units: Units) -> str:
    """How far a rule that is not yet fulfilled is; empty where there is nothing to tell."""
    rule = state.rule
    if isinstance(rule, UntilTemperature):
        if state.since_s is None or not _is_good(standing, rule.channel):
            return ""
        text = (
            translate(
                "Sentence", "At or above {temperature} for {so_far} of {needed} to make sure."
            )
            if rule.direction == "rising"
            else translate(
                "Sentence", "At or below {temperature} for {so_far} of {needed} to make sure."
            )
        )
        so_far = min(max(0.0, standing.at_s - state.since_s), rule.prove_s)
        return text.format(
            temperature=temperature(rule.target_c, units),
            so_far=_so_far(so_far),
            needed=duration(rule.prove_s),
        )
    if isinstance(rule, ForTime) and rule.at_least_c is not None:
        return _counted(standing, rule, rule.at_least_c, state, units)
    return ""


def _counted(
    standing: Standing, rule: ForTime, at_least_c: float, state: RuleState, units: Units
) -> str:
    needed = rule.duration_s if state.needed_s is None else state.needed_s
    counted, full = _so_far(state.counted_s), duration(needed)
    left = _left(max(0.0, needed - state.counted_s))
    again = ""
    if state.restarts == 1:
        again = translate("Sentence", "Started over after a dip (once).")
    elif state.restarts:
        again = translate("Sentence", "Started over after a dip ({count} times).").format(
            count=state.restarts
        )
    if state.since_s is not None and _is_good(standing, rule.channel):
        text = translate("Sentence", "{counted} of {needed} counted, {left} to go.").format(
            counted=counted, needed=full, left=left
        )
    elif state.counted_s > 0:
        text = (
            translate(
                "Sentence",
                "The count is stopped at {counted} of {needed}: {probe} is below {temperature}.",
            )
            if _is_good(standing, rule.channel)
            else translate(
                "Sentence",
                "The count is stopped at {counted} of {needed}: {probe} gives no good reading.",
            )
        ).format(
            counted=counted,
            needed=full,
            probe=_probe_words(standing, rule.channel),
            temperature=temperature(at_least_c, units),
        )
    else:
        text = translate("Sentence", "Nothing is counted yet.")
    return f"{again} {text}".strip()


def _so_far(counted_s: float) -> str:
    """A time that was counted, never rounded up: what is not full must not read as full."""
    return duration(
        math.floor(counted_s / 60) * 60.0 if counted_s >= 120 else math.floor(counted_s)
    )


def _left(left_s: float) -> str:
    """A time that is still to go, never rounded down to nothing."""
    return duration(math.ceil(left_s / 60) * 60.0 if left_s >= 120 else math.ceil(left_s))


def _guard(run: StageRun, at_s: float, units: Units, zone: str) -> str:
    if run.guard_at_s is None or at_s < run.guard_at_s:
        return ""
    return translate(
        "Sentence",
        "It is past its longest time since {time}. Look at it, then give it more time or confirm.",
    ).format(time=clock_time(run.guard_at_s, zone, units))


def _next(standing: Standing, units: Units, zone: str) -> str:
    if not standing.upcoming:
        return translate("Sentence", "That is the last stage.")
    return translate("Sentence", "Then {stage}.").format(
        stage=_stage_words(standing, standing.upcoming[0], units, zone)
    )


def _stage_words(standing: Standing, stage: Stage, units: Units, zone: str) -> str:
    """The stage's name and, shortly, how long it goes on."""
    rules = [rule for rule in stage.rules if not isinstance(rule, UntilSaid)]
    if not rules:
        return stage.name
    waits = [_length_words(standing, rule, units, zone) for rule in rules]
    return translate("Sentence", "{stage} {until}").format(
        stage=stage.name, until=_join(waits, stage)
    )


def _length_words(standing: Standing, rule: Rule, units: Units, zone: str) -> str:
    """How long a stage that is still to come goes on, by one rule."""
    if isinstance(rule, UntilTemperature):
        text = (
            translate("Sentence", "until {probe} reaches {temperature}")
            if rule.direction == "rising"
            else translate("Sentence", "until {probe} is down to {temperature}")
        )
        return text.format(
            probe=_probe_words(standing, rule.channel),
            temperature=temperature(rule.target_c, units),
        )
    if isinstance(rule, ForTime):
        if rule.at_least_c is None:
            return translate("Sentence", "for {duration}").format(
                duration=duration(rule.duration_s)
            )
        return translate(
            "Sentence", "for {duration} with {probe} at {temperature} or above"
        ).format(
            duration=duration(rule.duration_s),
            probe=_probe_words(standing, rule.channel),
            temperature=temperature(rule.at_least_c, units),
        )
    if isinstance(rule, UntilClock):
        return translate("Sentence", "until {time}").format(time=clock_time(rule.at_s, zone, units))
    return translate("Sentence", "until you confirm")


def _trouble(standing: Standing, rule: Rule, units: Units) -> str:
    """What speaks against the probe that a rule follows, and what to do about it."""
    if not isinstance(rule, UntilTemperature | ForTime) or (
        isinstance(rule, ForTime) and rule.at_least_c is None
    ):
        return ""
    role = rule.channel
    probe = _probe_words(standing, role)
    state = channel_for(standing, role)
    if state is None:
        return translate(
            "Sentence",
            "The stage follows {probe}, and this cook has none. Name one on Plan, or confirm by hand.",
        ).format(probe=probe)
    if state.status == "good":
        return ""
    said = {
        "none": translate("Sentence", "No reading has come from {probe} yet."),
        "silent": translate("Sentence", "The last reading from {probe} came {ago}."),
        "held": translate("Sentence", "Readings arrive from {probe} but can't be written."),
        "absurd": translate("Sentence", "{Probe} says {raw}, which can't be."),
        "jumped": translate("Sentence", "{Probe} jumped, as if it was pulled out."),
    }[state.status]
    age = ago(standing.at_s - state.at_s) if state.at_s is not None else ""
    raw = absurd_words(state, units)
    text = said.format(probe=probe, Probe=probe[:1].upper() + probe[1:], ago=age, raw=raw)
    return f"{text} {_cure(standing, state, role)}"


def _cure(standing: Standing, state: ChannelState, role: str) -> str:
    if state.status == "jumped":
        cure = translate("Sentence", "Once it sits right again, say that the probe was moved")
    elif state.status == "held":
        cure = translate("Sentence", "Do what it says at the top of the window")
    elif state.channel.by_hand:
        cure = translate("Sentence", "Read it and write it down")
    else:
        cure = translate("Sentence", "Look at its plug and cable")
    check = standing.channels.get(standing.check) if standing.check else None
    if role == LEAD and check is not None and check.status == "good":
        return translate("Sentence", "{cure}, or let {check} lead.").format(
            cure=cure, check=check.channel.name
        )
    return f"{cure}."


def _is_good(standing: Standing, role: str) -> bool:
    state = channel_for(standing, role)
    return state is not None and state.status == "good"


def _probe_words(standing: Standing, role: str) -> str:
    if role == PIT:
        return translate("Sentence", "the pit")
    key = {LEAD: standing.lead, CHECK: standing.check}.get(role, role)
    state = standing.channels.get(key) if key else None
    if state is not None and state.channel.name:
        return state.channel.name
    if role == LEAD:
        return translate("Sentence", "the lead probe")
    if role == CHECK:
        return translate("Sentence", "the check probe")
    return role
