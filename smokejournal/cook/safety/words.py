"""What is known of food safety in words, line by line.

Each says what was measured, which published figure it is set against, what is met and what isn't, what
can't be known and why. None promises that food is safe.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from smokejournal.cook.log.entries import FoodClass
from smokejournal.cook.safety.assessment import FoodSafety, Safety
from smokejournal.cook.safety.facts import (
    COME_UP_C,
    COME_UP_S,
    COOLING_C,
    COOLING_S,
    HOT_HOLD_C,
    HOT_HOLD_S,
    ZONE_C,
    ComeUp,
    Cooling,
    HotHold,
    Lethality,
    Minimum,
    Why,
    Zone,
)
from smokejournal.cook.safety.lines import (
    SafetyLine,
    against_words,
    caveat,
    fat_words,
    figure,
    no_table_words,
)
from smokejournal.cook.safety.tables import BY_FAT, OWN
from smokejournal.cook.text import quantities as q
from smokejournal.cook.text.numbers import fmt
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.text.translate import translate


class SafetyWords:
    """Puts facts into words, in these units. `at` writes a moment (UTC seconds)."""

    def __init__(
        self, safety: Safety, units: Units, at: Callable[[float], str] | None = None
    ) -> None:
        self._safety = safety
        self._units = units
        self._at = at or (lambda at_s: q.clock_time(at_s, safety.zone, units))

    def lines(self, food: FoodSafety) -> tuple[SafetyLine, ...]:
        """All lines of one kind of food, the one about lethality first."""
        found = [self.lethality(food), self.come_up(food.come_up), self.zone(food.zone)]
        if food.hot_hold is not None:
            found.append(self.hot_hold(food.hot_hold))
        found += [self.minimum(food.minimum, food.food), self.cooling(food.cooling)]
        return tuple(found)

    # -- lethality ---------------------------------------------------------------------------

    def lethality(self, food: FoodSafety) -> SafetyLine:
        """The coldest part against the table."""
        fact = food.lethality
        line = SafetyLine(
            "lethality",
            translate("Safety", "Lethality"),
            fact.state,
            self._why(fact.why, food.food),
            self._table_source(food),
        )
        if fact.log is None or fact.target_log is None:
            return line
        # Never rounded up to what is asked for.
        said = {
            "log": fmt(int(fact.log * 10.0) / 10.0, 1),
            "target": fmt(fact.target_log, 1, trim=True),
            "table": against_words(fact.table),
            "probe": self._of(fact.channel, len(fact.by_channel)),
        }
        if fact.state == "met" and fact.reached_at_s is not None:
            text = translate("Safety", "Full count reached at {time}: {target} log10 reductions of {table}; "
"{probe}.")  # fmt: skip
            text = text.format(time=self._at(fact.reached_at_s), **said)
        else:
            text = translate("Safety", "Full count not reached yet: {log} of {target} log10 reductions of "
"{table}; {probe}.")  # fmt: skip
            text = text.format(**said)
        detail = [fat_words(food.said.fat_pct)] if fact.table in BY_FAT else []
        detail += self._counted(fact)
        covers = caveat(food.food, fact, self._units)
        return replace(line, text=text, caveat=covers, detail=" ".join(detail))

    def _counted(self, fact: Lethality) -> Iterator[str]:
        step = q.temperature_step(fact.off_c, self._units)
        how = translate("Safety", "Nothing was taken off: the probe's uncertainty is given as 0.")
        if fact.off_c > 0.0:
            how = {
                "calibrated": translate(
                    "Safety", "{step} taken off for the probe, as it was calibrated."
                ),
                "typed": translate("Safety", "{step} taken off for the probe, as you typed."),
                "assumed": translate(
                    "Safety",
                    "{step} taken off: how far the probe may be off isn't known. Calibrate it on Bench.",
                ),
            }[fact.off_by]
        text = translate(
            "Safety", "Nothing counts below {lowest}, and above {highest} it counts as {highest}."
        )
        yield how.format(step=step)
        yield text.format(lowest=self._t(fact.lowest_c), highest=self._t(fact.highest_c))
        if fact.gaps:
            text = translate("Safety", "Over {n} gaps, {time} in all, nothing was counted.")
            if fact.gaps == 1:
                text = translate("Safety", "Over one gap of {time} nothing was counted.")
            yield text.format(n=fact.gaps, time=q.duration(fact.gap_s))
        if fact.moved_s is not None:
            text = translate(
                "Safety",
                "The probe was moved at {time} and counts from there. Where it was before is no "
                "longer measured.",
            )
            yield text.format(time=self._at(fact.moved_s))
        if fact.by_hand:
            yield translate(
                "Safety",
                "Between readings by hand that are more than 2 min apart the cooler one counts.",
            )

    def _table_source(self, food: FoodSafety) -> str:
        table = food.lethality.table
        if table == OWN:
            return translate("Safety", "D, z and the reference are yours; Bigelow's general method")
        if table == "fish":
            return translate(
                "Safety",
                "US FDA, Fish and Fishery Products Hazards and Controls Guidance, Table A-3: kept here from memory and checked by its formula only",
            )
        if table == "":
            return ""
        if table == "poultry":
            return translate("Safety", "USDA FSIS, FSIS-GD-2021-14 (2021), tables 3 and 4")
        number = {"chicken": 3, "turkey": 4}.get(table, 2)
        return translate("Safety", "USDA FSIS, FSIS-GD-2021-14 (2021), table {number}").format(
            number=number
        )

    # -- clocks ------------------------------------------------------------------------------

    def come_up(self, fact: ComeUp) -> SafetyLine:
        """How fast it came up."""
        low, high = self._t(COME_UP_C[0]), self._t(COME_UP_C[1])
        text = self._why(fact.why)
        if fact.used_s is not None:
            used = q.duration(fact.used_s)
            limit = q.duration(COME_UP_S)
            if fact.through_at_s is not None:
                said = translate("Safety", "{used} from {low} to {high}, of {limit} at most; through at {time}; {probe}.")  # fmt: skip
            else:
                said = translate("Safety", "{used} from {low} to {high} so far, of {limit} at most; {probe}.")  # fmt: skip
            said = said.format(
                used=used,
                low=low,
                high=high,
                limit=limit,
                probe=self._slowest(fact.channel),
                time=self._at(fact.through_at_s or 0.0),
            )
            if fact.at_most_s is not None and fact.at_most_s > fact.used_s + 30.0:
                more = translate("Safety", "With what was not measured, at most {time}.")
                said += " " + more.format(time=q.duration(fact.at_most_s))
            text = f"{said} {text}".strip()
        if fact.state == "over":
            text += " " + translate(
                "Safety",
                "Cooking doesn't undo a toxin that formed meanwhile. For brisket and ham that "
                "take longer the guideline has no validated answer: ask whoever advises you.",
            )
        return SafetyLine(
            "come_up",
            translate("Safety", "Coming up"),
            fact.state,
            text,
            translate("Safety", "USDA FSIS, FSIS-GD-2021-14 (2021), page 24"),
        )

    def zone(self, fact: Zone) -> SafetyLine:
        """Since the refrigerator."""
        parts = []
        if fact.before_s is not None:
            text = translate("Safety", "{time} out of the refrigerator before the fire.")
            parts.append(text.format(time=q.duration(fact.before_s)))
        if fact.heating_s is not None:
            text = translate("Safety", "{time} over the fire until all of it was at {high}.")
            if not fact.all_above:
                text = translate("Safety", "{time} over the fire, not all of it at {high} yet.")
            parts.append(text.format(time=q.duration(fact.heating_s), high=self._t(ZONE_C[1])))
        if fact.after_s is not None:
            text = translate("Safety", "{time} below {high} after that.")
            if fact.away_at_s is not None:
                text = translate("Safety", "{time} below {high} after that, until it was put away.")
            parts.append(text.format(time=q.duration(fact.after_s), high=self._t(ZONE_C[1])))
        limit = translate(
            "Safety",
            "Out of the cold and off the fire: {limit} each at most, between {low} and {high}.",
        )
        parts.append(
            limit.format(
                limit=q.duration(fact.limit_s), low=self._t(ZONE_C[0]), high=self._t(ZONE_C[1])
            )
        )
        parts.append(self._why(fact.why))
        return SafetyLine(
            "zone",
            translate("Safety", "Since the refrigerator"),
            fact.state,
            " ".join(part for part in parts if part),
            translate("Safety", "USDA FSIS, Danger Zone (2020)"),
        )

    def hot_hold(self, fact: HotHold) -> SafetyLine:
        """The process of hot-smoked fish."""
        text = self._why(fact.why)
        if not fact.why:
            asked = {"t": self._t(HOT_HOLD_C), "limit": q.duration(HOT_HOLD_S)}
            if fact.reached_at_s is not None:
                text = translate("Safety", "{limit} at {t} or above reached at {time}; {probe}.")  # fmt: skip
            elif fact.running_s > 0.0:
                text = translate("Safety", "At {t} or above for {held} now, of {limit} without a break; {probe}.")  # fmt: skip
            else:
                text = translate("Safety", "{held} at {t} or above at the longest, of {limit} without a break; {probe}.")  # fmt: skip
            text = text.format(
                held=q.duration(max(fact.running_s, 0.0) or fact.longest_s),
                time=self._at(fact.reached_at_s or 0.0),
                probe=self._of(fact.channel, fact.probes),
                **asked,
            )
            if fact.probes < 3:
                text += " " + translate("Safety", "Three probes in the largest fish are asked for.")
        text += " " + translate(
            "Safety",
            "Salt in the water of the fish, packing and storage at 3.3 °C (38 °F) belong to the process and are not seen here.",
        )
        return SafetyLine(
            "hot_hold",
            translate("Safety", "Hot-smoked fish"),
            fact.state,
            text.strip(),
            translate("Safety", "Code of Maine Rules ch. 359, after the US fish guidance"),
        )

    def minimum(self, fact: Minimum, food: FoodClass) -> SafetyLine:
        """The least temperature for consumers."""
        text = self._why(fact.why)
        if fact.least is not None and not fact.why:
            least = self._t(fact.least.temperature_c)
            rest = q.duration(fact.least.rest_s)
            if fact.reached_at_s is None:
                text = translate("Safety", "{least} not reached yet: {highest} at most; {probe}.")  # fmt: skip
            elif not fact.least.rest_s:
                text = translate("Safety", "{least} reached at {time}; {probe}.")
            elif fact.state == "met":
                text = translate("Safety", "{least} reached at {time} and kept for the {rest} of rest; {probe}.")  # fmt: skip
            else:
                text = translate("Safety", "{least} reached at {time}; kept for {held} of the {rest} of rest; {probe}.")  # fmt: skip
            text = text.format(
                least=least,
                rest=rest,
                time=self._at(fact.reached_at_s or 0.0),
                held=q.duration(fact.held_s),
                highest=self._t(fact.highest_c),
                probe=self._of(fact.channel, fact.probes),
            )
            if fact.least.rest_s:
                text += " " + translate(
                    "Safety", "The rest is meant off the fire, which readings can't tell."
                )
            if food == "ground":
                text += " " + translate("Safety", "With poultry in it: 73.9 °C (165 °F).")
        return SafetyLine(
            "minimum",
            translate("Safety", "Least temperature"),
            fact.state,
            text,
            translate("Safety", "USDA FSIS, Safe Minimum Internal Temperature Chart"),
        )

    def cooling(self, fact: Cooling) -> SafetyLine:
        """Leftovers."""
        begin, first, second = (self._t(c) for c in COOLING_C)
        limits = {"first": first, "second": second, "begin": begin}
        times = {"a": q.duration(COOLING_S[0]), "b": q.duration(COOLING_S[1])}
        asked = translate(
            "Safety",
            "Asked for: from {begin} to {first} within {a}, to {second} within {b} in all.",
        ).format(**limits, **times)
        parts = []
        if fact.began_s is not None:
            text = translate("Safety", "Below {begin} since {time}; {probe}.")
            parts.append(
                text.format(
                    time=self._at(fact.began_s), probe=self._slowest(fact.channel), **limits
                )
            )
            for state, took_s, level in (
                (fact.first, fact.first_s, first),
                (fact.second, fact.second_s, second),
            ):
                if took_s is not None:
                    text = translate("Safety", "At {level} after {took}: {how}.")
                    how = {
                        "met": translate("Safety", "in time"),
                        "over": translate("Safety", "too late"),
                    }.get(state, translate("Safety", "in a gap, so when is not known"))
                    parts.append(text.format(level=level, took=q.duration(took_s), how=how))
                else:
                    text = translate("Safety", "Not seen at {level}.")
                    parts.append(text.format(level=level))
            if fact.second_s is None and fact.last_c is not None and fact.last_s is not None:
                text = translate("Safety", "Last read {t} at {time}.")
                parts.append(text.format(t=self._t(fact.last_c), time=self._at(fact.last_s)))
        parts += [asked, self._why(fact.why)]
        return SafetyLine(
            "cooling",
            translate("Safety", "Cooling leftovers"),
            fact.state,
            " ".join(part for part in parts if part),
            translate("Safety", "FDA Food Code 3-501.14(A)"),
        )

    # -- pieces --------------------------------------------------------------------------------

    def _t(self, value_c: float | None) -> str:
        return figure(value_c, self._units) if value_c is not None else ""

    def _name(self, channel: str) -> str:
        return self._safety.names.get(channel, channel)

    def _of(self, channel: str, count: int) -> str:
        text = translate("Safety", "probe: {name}")
        if count > 1:
            text = translate("Safety", "coldest of {n} probes: {name}")
        return text.format(n=count, name=self._name(channel))

    def _slowest(self, channel: str) -> str:
        return translate("Safety", "slowest probe: {name}").format(name=self._name(channel))

    def _why(self, why: Why, food: FoodClass = "other") -> str:
        if why == "no_table":
            return no_table_words(food)
        return {
            "": "",
            "not_begun": translate("Safety", "The cook has not begun."),
            "which_probes": translate(
                "Safety",
                "There are several kinds of food, and which probes are in this one isn't known. Choose them on Tend, under Food safety.",
            ),
            "no_probe": translate(
                "Safety", "No probe in this food has sent a reading since the cook began."
            ),
            "began_warm": translate(
                "Safety",
                "It was warmer than that already at the first reading, and what went before isn't known. Write down when it came out of the refrigerator.",
            ),
            "began_above": translate(
                "Safety",
                "The first reading was above that already: how fast it came up isn't known.",
            ),
            "gaps": translate("Safety", "There are gaps in the readings, so it isn't known."),
            "no_minimum": translate(
                "Safety", "There is no minimum temperature on file for this food. Look it up first."
            ),
            "not_out": translate(
                "Safety",
                "When it came out of the refrigerator isn't known: write it down, back-dated if need be.",
            ),
            "not_away": translate(
                "Safety", "Nobody wrote down when the leftovers went into the refrigerator."
            ),
            "not_measured": translate("Safety", "What came after the last reading isn't known."),
        }[why]
