"""What made a cook last, in words: the whole, each part in order of size, and why nothing can be told."""

from __future__ import annotations

from smokejournal.cook.learning.lasted import WhyNotLasted
from smokejournal.cook.log.entries import TimeExplained, TimePartFound
from smokejournal.cook.text import quantities as q
from smokejournal.cook.text.numbers import fmt
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.text.translate import translate

#: Up to here minutes are told, then hours [s].
_MINUTES_S = 7200.0
#: Less than this is the same; a part of less than that has no range in whole minutes [s].
_SMALL_S, _FEW_S = 30.0, 120.0
#: What is always told, seen or not.
_NOT_CAUSES = ("baseline", "unexplained")


def whole_words(found: TimeExplained) -> str:
    """How long it took, what it is set against, and by how much it was longer or shorter."""
    whole = any(part.name == "held" for part in found.parts)
    took = (
        translate("Lasted", "{time} on the pit")
        if whole
        else translate("Lasted", "{time} to the target")
    )
    if found.against == "usual":
        text = translate(
            "Lasted", "{took}; usually {expected}, the middle of {cooks} earlier cooks: {longer}."
        )
    elif found.told:
        text = translate("Lasted", "{took}; planned were {expected}: {longer}.")
    else:
        text = translate(
            "Lasted", "{took}; as planned, the model gives this piece {expected}: {longer}."
        )
    return text.format(
        took=took.format(time=_length(found.took_s)),
        expected=_length(found.expected_s),
        cooks=found.cooks,
        longer=_longer(found.took_s - found.expected_s),
    )


def _longer(time_s: float) -> str:
    if abs(time_s) < _SMALL_S:
        return translate("Lasted", "the same")
    text = (
        translate("Lasted", "{time} longer")
        if time_s > 0
        else translate("Lasted", "{time} shorter")
    )
    return text.format(time=_length(abs(time_s)))


def part_lines(found: TimeExplained, units: Units) -> tuple[str, ...]:
    """One line for each part, the largest first; then the causes that made less than two minutes, and those of
    which no effect was seen."""
    lines, small, unseen = [], [], []
    # What nothing explains is no cause, however large: it comes after those.
    for part in sorted(found.parts, key=lambda each: each.name == "unexplained"):
        cause = _cause(part, found, units)
        if (
            part.name not in _NOT_CAUSES
            and part.low_s <= 0.0 <= part.high_s
            and part.name != "held"
        ):
            unseen.append(cause)
        elif part.name not in _NOT_CAUSES and abs(part.mean_s) < _FEW_S:
            # A hold of a few seconds more is how often it is looked.
            small += [] if part.name == "held" else [cause]
        else:
            text = translate("Lasted", "{cause}: {time}")
            lines.append(text.format(cause=cause, time=time_words(part)))
    if small:
        text = translate("Lasted", "Less than 2 minutes: {causes}.")
        lines.append(text.format(causes="; ".join(small)))
    if unseen:
        text = translate("Lasted", "No effect seen: {causes}.")
        lines.append(text.format(causes="; ".join(unseen)))
    return tuple(lines)


def time_words(part: TimePartFound) -> str:
    """ "+38 min (25 to 50)"."""
    if part.low_s == part.high_s:
        return _signed(part.mean_s)
    if max(abs(part.mean_s), abs(part.low_s), abs(part.high_s)) < _MINUTES_S:
        low, high = fmt(part.low_s / 60.0, 0), fmt(part.high_s / 60.0, 0)
    else:
        low, high = _signed(part.low_s), _signed(part.high_s)
    return translate("Lasted", "{time} ({low} to {high})").format(
        time=_signed(part.mean_s), low=low, high=high
    )


def meaning() -> str:
    """How the parts are to be read."""
    return translate(
        "Lasted",
        "Each part is what that one thing made of the time, as the forecast's model of this piece has it; "
        "together they add up to the whole. The range in brackets should hold 8 times in 10; on simulated "
        "cooks it did, but less often for lids and wraps. Wind and the air outside act through the pit "
        "and are in its part.",
    )


def why_not_words(why: WhyNotLasted) -> str:
    """Why nothing can be told, and what to do."""
    known = {
        "not_begun": translate(
            "Lasted", "This cook is not over yet. Close it on Tend, then ask again."
        ),
        "no_lead": translate(
            "Lasted",
            "No lead probe was chosen, so nothing can be told. Choose one in the next plan.",
        ),
        "no_pit": translate(
            "Lasted",
            "No channel reads the pit, so nothing can be told. Add a pit probe for the next cook.",
        ),
        "not_reached": translate(
            "Lasted",
            "The lead probe never came to its target, so there is no time to take apart.",
        ),
        "no_reference": translate(
            "Lasted",
            "There is no plan to compare with, and fewer than two earlier cooks of the like. Next time, "
            "start the cook with a schedule that has set points and a target.",
        ),
        "nothing_known": translate(
            "Lasted",
            "The plan says too little to compare with. Next time, give the stages set points and the food "
            "a weight.",
        ),
        "never": translate(
            "Lasted",
            "As planned, the model would not have come to the target, so the parts can't be told. Check "
            "the pit temperatures of the plan.",
        ),
    }
    if why in ("no_target", "past"):
        return translate(
            "Lasted",
            "No stage waited for the lead probe, so there is no time to take apart. Next time, add a stage "
            "that ends at a temperature.",
        )
    return known.get(
        why,
        translate(
            "Lasted",
            "The readings of this cook are too few. Next time, let the probes record from the start.",
        ),
    )


# -- one part --------------------------------------------------------------------------------


def _cause(part: TimePartFound, found: TimeExplained, units: Units) -> str:
    """What it was, against what it was meant to be."""
    usual = found.against == "usual"
    was, meant = part.was, part.meant
    if part.name == "unexplained":
        return translate("Lasted", "Not explained")
    if part.name == "baseline":
        if usual:
            return translate("Lasted", "This piece itself, against the usual ones")
        return translate("Lasted", "The planned times, against the model")
    if part.name == "lids":
        if usual:
            return translate("Lasted", "Lid openings, against the usual ones")
        return translate("Lasted", "Lid openings")
    if part.name == "wrap":
        return _wrap(part, units)
    if part.name == "pit" and was is not None:
        return _pit(was, meant if usual else None, units)
    if was is None or meant is None:
        return {
            "start": translate("Lasted", "The meat's temperature at the start"),
            "size": translate("Lasted", "The size of the piece"),
            "pit": translate("Lasted", "The pit off its set point"),
            "set_point": translate("Lasted", "Set point not as planned"),
            "held": translate("Lasted", "Held after the target"),
        }[part.name]
    if part.name == "start":
        text = (
            translate("Lasted", "Meat colder at the start, {was} instead of {meant}")
            if was < meant
            else translate("Lasted", "Meat warmer at the start, {was} instead of {meant}")
        )
        return text.format(was=q.temperature(was, units, 1), meant=q.temperature(meant, units, 1))
    if part.name == "size":
        share = 100.0 * (was / meant - 1.0)
        text = (
            translate("Lasted", "Piece {share} thicker, by its size")
            if share > 0
            else translate("Lasted", "Piece {share} thinner, by its size")
        )
        return text.format(share=q.percent(abs(share)))
    if part.name == "set_point":
        return translate("Lasted", "Set point {was} in the mean instead of {meant}").format(
            was=q.temperature(was, units), meant=q.temperature(meant, units)
        )
    return translate("Lasted", "Held after the target for {was} instead of {meant}").format(
        was=_length(was), meant=_length(meant)
    )


def _pit(was_k: float, usual_k: float | None, units: Units) -> str:
    said = translate("Lasted", "Pit {off} its set point").format(off=_off(was_k, units))
    if usual_k is None:
        return said
    return translate("Lasted", "{pit} (usually {off})").format(pit=said, off=_off(usual_k, units))


def _off(off_k: float, units: Units) -> str:
    digits = 0 if abs(off_k) >= 3.0 else 1
    text = translate("Lasted", "{k} below") if off_k < 0 else translate("Lasted", "{k} above")
    return text.format(k=q.temperature_step(abs(off_k), units, digits))


def _wrap(part: TimePartFound, units: Units) -> str:
    if part.was_in == "none":
        return translate("Lasted", "Not wrapped, instead of {meant}").format(
            meant=_wrapped(part.meant_in, part.meant, units)
        )
    was = _wrapped(part.was_in, part.was, units)
    if part.meant_in == "none":
        return translate("Lasted", "Wrapped {was} instead of not").format(was=was)
    return translate("Lasted", "Wrapped {was} instead of {meant}").format(
        was=was, meant=_wrapped(part.meant_in, part.meant, units)
    )


def _wrapped(material: str, at_c: float | None, units: Units) -> str:
    named = (
        translate("Lasted", "in paper") if material == "paper" else translate("Lasted", "in foil")
    )
    if at_c is None:
        return named
    return translate("Lasted", "{material} at {temperature}").format(
        material=named, temperature=q.temperature(at_c, units)
    )


def _length(duration_s: float) -> str:
    """Whole minutes: no more is known."""
    minutes = round(duration_s / 60.0)
    if minutes < 2:
        return translate("Lasted", "{n} min").format(n=minutes)
    return q.duration(60.0 * minutes)


def _signed(time_s: float) -> str:
    minutes = round(time_s / 60.0)
    if abs(time_s) < _MINUTES_S:
        return translate("Lasted", "{n} min").format(
            n=f"+{minutes}" if minutes > 0 else fmt(minutes, 0)
        )
    sign = "+" if minutes > 0 else fmt(-1, 0)[:1]
    return sign + q.duration(60.0 * abs(minutes))
