"""What finished cooks taught the forecast, in words: of the pit, of a kind of meat, of each cook."""

from __future__ import annotations

import math
from collections.abc import Mapping

from smokejournal.cook.forecast.basis_words import cut_words, width_words
from smokejournal.cook.learning.lessons import FAR, Lesson
from smokejournal.cook.log.entries import PieceFound
from smokejournal.cook.text import quantities as q
from smokejournal.cook.text.numbers import fmt
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.text.translate import translate
from smokejournal.science.forecast.heating_learned import Learned
from smokejournal.science.forecast.values import Cut, Recalibration

#: Eight in ten of a normal distribution lie within so many standard deviations.
EIGHT_IN_TEN = 1.2816
#: A mean score beyond this is called a lean: the middle of the range moves by a tenth of it or more.
LEANS = 0.25
#: Nearer to the usual than this it is called usual [1, K].
_SAME, _SAME_K = 0.005, 0.05


def pit_words(learned: Mapping[str, Learned], units: Units) -> tuple[str, ...]:
    """One sentence for each thing that was learned of the pit."""
    return _told(
        learned,
        units,
        {
            "ln_h": (
                translate("Learned", "This pit gives heat {n} faster than a usual one ({span})."),
                translate("Learned", "This pit gives heat {n} slower than a usual one ({span})."),
                translate("Learned", "This pit gives heat as fast as a usual one ({span})."),
            ),
            "ln_vapour": (
                translate("Learned", "Its air holds {n} more moisture than usual ({span})."),
                translate("Learned", "Its air holds {n} less moisture than usual ({span})."),
                translate("Learned", "Its air is as moist as usual ({span})."),
            ),
            "pit_error": (
                translate(
                    "Learned", "At the meat it is {n} hotter than the pit probe reads ({span})."
                ),
                translate(
                    "Learned", "At the meat it is {n} cooler than the pit probe reads ({span})."
                ),
                translate("Learned", "At the meat it is as hot as the pit probe reads ({span})."),
            ),
        },
    )


def meat_words(learned: Mapping[str, Learned], units: Units) -> tuple[str, ...]:
    """One sentence for each thing that was learned of a kind of meat."""
    return _told(
        learned,
        units,
        {
            "ln_supply": (
                translate("Learned", "It sweats {n} more than usual ({span})."),
                translate("Learned", "It sweats {n} less than usual ({span})."),
                translate("Learned", "It sweats as usual ({span})."),
            ),
            "ln_crust": (
                translate("Learned", "Its crust lets {n} more moisture out than usual ({span})."),
                translate("Learned", "Its crust lets {n} less moisture out than usual ({span})."),
                translate("Learned", "Its crust lets out as much moisture as usual ({span})."),
            ),
            "hold_shift": (
                translate("Learned", "It gives up its juice {n} hotter than usual ({span})."),
                translate("Learned", "It gives up its juice {n} cooler than usual ({span})."),
                translate("Learned", "It gives up its juice as hot as usual ({span})."),
            ),
        },
    )


def course_words(cooks: int) -> tuple[str, ...]:
    """That how earlier cooks went on from where one is now counts, where there are any."""
    if not cooks:
        return ()
    text = translate(
        "Learned", "Forecasts also count how long {cooks} cooks took from each temperature."
    )
    if cooks == 1:
        text = translate(
            "Learned", "Forecasts also count how long that cook took from each temperature."
        )
    return (text.format(cooks=cooks),)


def range_words(
    cooks: int, moments: int, held: int, recalibration: Recalibration
) -> tuple[str, ...]:
    """How forecasts came out, and what that changes of the next one."""
    if cooks == 1:
        text = translate(
            "Learned", "What came lay within the range at {held} of {moments} moments of one cook."
        )
    else:
        text = translate(
            "Learned",
            "What came lay within the range at {held} of {moments} moments of {cooks} cooks.",
        )
    said = [text.format(held=held, moments=moments, cooks=cooks), width_words(recalibration)]
    if recalibration.bias <= -LEANS:
        said.append(
            translate("Learned", "It came sooner than forecast, so forecasts are sooner now.")
        )
    elif recalibration.bias >= LEANS:
        said.append(
            translate("Learned", "It came later than forecast, so forecasts are later now.")
        )
    return tuple(said)


def in_ten() -> str:
    """What the brackets mean."""
    return translate("Learned", "The range in brackets should hold 8 times in 10.")


def lesson_words(lesson: Lesson, *, on_this_pit: bool) -> str:
    """What a cook teaches, or why nothing; with what was noticed in its readings."""
    what = lesson.what
    if what is None or lesson.state == "unread":
        return translate("Learned", "not read yet")
    if lesson.state == "nothing":
        return _why(what.why)
    if lesson.state == "left_out" and what.why:
        return translate("Learned", "left out")
    cut = cut_words(what.cut)
    if lesson.state == "left_out":
        said = [translate("Learned", "left out; used for {cut}").format(cut=cut)]
    elif lesson.state == "far":
        text = translate("Learned", "behaves like no other, so it is left out unless you check it")
        said = [text]
    elif what.cut == "other":
        said = [translate("Learned", "teaches about the pit only: treated as any piece of meat")]
        if not on_this_pit:
            said = [translate("Learned", "on an earlier cooker: teaches nothing about this one")]
    elif on_this_pit:
        said = [translate("Learned", "teaches about the pit and about {cut}").format(cut=cut)]
    else:
        text = translate("Learned", "on an earlier cooker: teaches about {cut} only")
        said = [text.format(cut=cut)]
    return "; ".join((*said, *_noticed(what, lesson)))


def _noticed(what: PieceFound, lesson: Lesson) -> list[str]:
    known = {
        "moved": translate("Learned", "the probe seems to have been moved"),
        "wrap_untold": translate("Learned", "it seems to have been wrapped without a note"),
        "offset": translate("Learned", "the probe seems to read off"),
    }
    if lesson.state != "far":
        known[FAR] = translate("Learned", "it behaves like no other")
    return [known[code] for code in what.noticed if code in known]


def _why(code: str) -> str:
    known = {
        "no_lead": translate("Learned", "nothing to learn: no lead probe was chosen"),
        "no_pit": translate("Learned", "nothing to learn: no channel reads the pit"),
        "no_target": translate("Learned", "nothing to learn: no stage waited for the lead probe"),
        "past": translate("Learned", "nothing to learn: no stage waited for the lead probe"),
        "not_begun": translate("Learned", "nothing to learn: the cook was never begun"),
        "warming_up": translate("Learned", "nothing to learn: the meat never went on"),
        "too_early": translate("Learned", "nothing to learn: the readings are too short"),
        "in_air": translate("Learned", "nothing to learn: the probe was not in the meat"),
        "no_readings": translate("Learned", "nothing to learn: too few readings"),
    }
    return known.get(code, translate("Learned", "nothing to learn"))


def kind_title(cut: Cut) -> str:
    """The heading over what was learned of a kind of meat."""
    return {
        "fish": translate("Learned", "Fish"),
        "poultry_pieces": translate("Learned", "Pieces of poultry"),
        "poultry_whole": translate("Learned", "Whole birds"),
        "ribs": translate("Learned", "Ribs"),
        "loaf": translate("Learned", "Loaves"),
        "shoulder": translate("Learned", "Shoulders"),
        "brisket": translate("Learned", "Briskets"),
        "other": translate("Learned", "Other pieces"),
    }[cut]


def _told(
    learned: Mapping[str, Learned], units: Units, forms: Mapping[str, tuple[str, str, str]]
) -> tuple[str, ...]:
    """What is known of each of these, in the form for more, less or the same."""
    said = []
    for name in forms:
        if name in learned:
            # Logarithms are told as a share of the usual, the rest are differences of temperatures.
            how = _share if name.startswith("ln_") else _step
            size, n, span = how(learned[name], units)
            more, less, same = forms[name]
            said.append((same if not size else more if size > 0 else less).format(n=n, span=span))
    return tuple(said)


def _ends(learned: Learned) -> tuple[float, float, float]:
    """The middle, and the ends between which it lies eight times in ten."""
    mid, apart = learned.shift, EIGHT_IN_TEN * learned.own_sd
    return mid, mid - apart, mid + apart


def _share(learned: Learned, _: Units) -> tuple[float, str, str]:
    """By how much it is more than usual (0: as usual), in per cent, and its span."""
    mid, low, high = map(math.expm1, _ends(learned))
    span = translate("Learned", "{low} to {high}").format(
        low=_signed(low), high=f"{_signed(high)} %"
    )
    return 0.0 if abs(mid) < _SAME else mid, q.percent(100.0 * abs(mid)), span


def _signed(share: float) -> str:
    number = fmt(100.0 * share, 0)
    return f"+{number}" if round(100.0 * share) > 0 else number


def _step(learned: Learned, units: Units) -> tuple[float, str, str]:
    """The same of a difference of temperatures."""
    mid, low, high = _ends(learned)
    span = translate("Learned", "{low} to {high}").format(
        low=q.temperature_step(low, units, 1, signed=True).rsplit(" ", 1)[0],
        high=q.temperature_step(high, units, 1, signed=True),
    )
    return 0.0 if abs(mid) < _SAME_K else mid, q.temperature_step(abs(mid), units), span
