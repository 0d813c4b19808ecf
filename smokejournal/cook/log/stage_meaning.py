"""What a stage is for: as it says itself (`Stage.purpose`), else guessed from its rules and words.

Logs from before stages said so have only the guess; `purpose_of` says which of the two it was.
"""

from __future__ import annotations

import re
from typing import Final, Literal

from smokejournal.cook.log.schedule import LEAD, PIT, Purpose, Stage, UntilSaid, UntilTemperature
from smokejournal.science.forecast.values import Wrapping

_WRAP: Final = re.compile(r"\b(?:re)?wrap(?:s|ped|ping)?\b")
_NO_WRAP: Final = re.compile(r"\b(?:not|no|never|without|don.t|before(?: the)?|un)[\s-]+wrap")
_FOIL: Final = re.compile(r"\b(?:foil|alumin(?:i)?um)\b")
_PAPER: Final = re.compile(r"\b(?:paper|parchment)\b")
_REST: Final = re.compile(r"\brest(?:s|ed|ing)?\b|\boff the (?:heat|fire|pit)\b|\bcool(?:s|ing)?\b")


def speaks_of_wrap(text: str) -> bool:
    """Whether a name or an instruction says that the meat is, or is to be, wrapped."""
    plain = text.casefold()
    return _WRAP.search(plain) is not None and _NO_WRAP.search(plain) is None


def wrap_material(stage: Stage) -> Wrapping | None:
    """Foil or paper, where a stage's name or instruction says which."""
    text = f"{stage.name} {stage.instruction}".casefold()
    if _PAPER.search(text):
        return "paper"
    return "foil" if _FOIL.search(text) else None


def is_rest(stage: Stage) -> bool:
    """Whether a stage is a rest: it says so, or speaks of one and sets no pit."""
    if stage.purpose:
        return stage.purpose == "rest"
    text = f"{stage.name} {stage.instruction}".casefold()
    return stage.pit_target_c is None and _REST.search(text) is not None


def warms_up(stage: Stage) -> bool:
    """Whether a stage brings the pit up, the meat not on yet: it says so, or only waits for the pit."""
    if stage.purpose:
        return stage.purpose == "warm_up"
    waited = [rule for rule in stage.rules if not isinstance(rule, UntilSaid)]
    return bool(waited) and all(
        isinstance(rule, UntilTemperature) and rule.channel == PIT for rule in waited
    )


def purpose_of(stage: Stage) -> tuple[Purpose, bool]:
    """What a stage is for ("" where nothing tells), and whether that is a guess."""
    if stage.purpose:
        return stage.purpose, False
    if warms_up(stage):
        return "warm_up", True
    if is_rest(stage):
        return "rest", True
    if wraps_at(stage) == "begin":
        return "wrap", True
    return ("cook" if stage.pit_target_c is not None else ""), True


def wraps_at(stage: Stage) -> Literal["begin", "end"] | None:
    """When the meat is wrapped in a stage: as it begins where it is for that, else by its words.

    A name that speaks of it ("Wrap", "Finish in the wrap") means from the beginning. In an
    instruction it is the beginning where it comes first ("Wrap tightly …"), else what is to be done
    when the stage is over ("When the bark is set, wrap it").
    """
    if stage.purpose:
        return "begin" if stage.purpose == "wrap" else None
    if stage.pit_target_c is None and is_rest(stage):
        return None
    if speaks_of_wrap(stage.name):
        return "begin"
    if not speaks_of_wrap(stage.instruction):
        return None
    first = stage.instruction.casefold().split(maxsplit=1)[0]
    return "begin" if _WRAP.match(first) else "end"


def targets(stage: Stage, lead: str) -> list[float]:
    """What the lead probe has to reach in this stage [°C], in the order of its rules."""
    return [
        rule.target_c
        for rule in stage.rules
        if isinstance(rule, UntilTemperature)
        and rule.direction == "rising"
        and rule.channel in (LEAD, lead)
    ]
