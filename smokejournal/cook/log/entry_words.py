"""An entry of the log in words: one short line, for the list on Tend and for readers of screens."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import assert_never

from smokejournal.cook.log import entries as e
from smokejournal.cook.log.correction import correction_words
from smokejournal.cook.log.entries import WareSort, step_key
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.text.quantities import (
    METRIC,
    Units,
    date_time,
    duration,
    mass,
    money,
    percent,
    pressure,
    speed,
    temperature,
    temperature_step,
)
from smokejournal.cook.text.translate import translate


@dataclass(frozen=True, slots=True)
class Names:
    """What the keys in a log are called: channels, stages, prep steps, and the cook's time zone."""

    channels: Mapping[str, str] = field(default_factory=dict)
    stages: Mapping[str, str] = field(default_factory=dict)
    zone: str = "UTC"
    steps: Mapping[str, str] = field(default_factory=dict)

    def channel(self, key: str | None) -> str:
        """The channel's name, or its key where it has none."""
        return (self.channels.get(key) or key) if key else ""

    def stage(self, key: str) -> str:
        """The stage's name, or its key where it has none."""
        return self.stages.get(key) or key

    def step(self, key: str) -> str:
        """The prep step's name, or its key where it has none."""
        return self.steps.get(key) or key


def names_of(entries: tuple[e.Entry, ...]) -> Names:
    """The latest name of every channel, stage and prep step that the entries mention."""
    channels: dict[str, str] = {}
    stages: dict[str, str] = {}
    steps: dict[str, str] = {}
    zone = "UTC"
    for entry in entries:
        what = entry.what
        if isinstance(what, e.ChannelSet):
            channels[what.channel.key] = what.channel.name
        elif isinstance(what, e.ScheduleSet):
            stages.update({stage.key: stage.name for stage in what.schedule.stages})
        elif isinstance(what, e.PrepStep):
            steps[step_key(entry.id, what)] = what.step
        elif isinstance(what, e.CookOpened):
            zone = what.zone
    return Names(channels, stages, zone, steps)


def entry_words(what: e.Payload, units: Units = METRIC, names: Names | None = None) -> str:
    """The entry in words. Every kind has some; an unread one says that it is."""
    names = names if names is not None else Names()
    match what:
        case e.CookOpened():
            text = translate("Entry", "Cook opened: {title}").format(title=what.title)
            return _join(text, translate("Entry", "simulated") if what.simulated else None)
        case e.CookRenamed():
            text = translate("Entry", "Called {title}").format(title=what.title)
            wanted = None
            if what.ready_at_s is not None:
                when = date_time(what.ready_at_s, names.zone, units)
                wanted = translate("Entry", "wanted for {when}").format(when=when)
            return _join(text, what.place, wanted)
        case e.ItemAdded():
            pieces = f"{what.pieces} × " if what.pieces != 1 else ""
            return _join(pieces + what.name, mass(what.mass_kg, units) if what.mass_kg else None)
        case e.PrepStep():
            text = translate("Entry", "Prep: {step}").format(step=what.step)
            lasted = duration(what.duration_s) if what.duration_s is not None else None
            return _join(text, lasted, what.text)
        case e.StepBegun():
            return translate("Entry", "{step} begun").format(step=names.step(what.step))
        case e.StepEnded():
            return translate("Entry", "{step} done").format(step=names.step(what.step))
        case e.StepExtended():
            text = translate("Entry", "{step} extended by {duration}")
            return text.format(step=names.step(what.step), duration=duration(what.by_s))
        case e.StepSkipped():
            return translate("Entry", "{step} skipped").format(step=names.step(what.step))
        case e.TimesKept():
            when = date_time(what.ready_at_s, names.zone, units)
            return translate("Entry", "Times saved, to be ready by {when}").format(when=when)
        case e.ChannelSet():
            return _channel(what.channel, units)
        case e.LeadSet():
            text = translate("Entry", "{lead} leads").format(lead=names.channel(what.lead))
            if what.check is None:
                return text
            check = translate("Entry", "{check} checks").format(check=names.channel(what.check))
            return _join(text, check)
        case e.ScheduleSet():
            stages = " – ".join(stage.name for stage in what.schedule.stages)
            if not stages:
                return translate("Entry", "Schedule without stages")
            return translate("Entry", "Schedule: {stages}").format(stages=stages)
        case e.ScheduleStarted():
            return translate("Entry", "Begun")
        case e.StageConfirmed():
            return translate("Entry", "{stage} confirmed").format(stage=names.stage(what.stage))
        case e.StageSkipped():
            return translate("Entry", "{stage} skipped").format(stage=names.stage(what.stage))
        case e.StageExtended():
            text = translate("Entry", "{stage} extended by {duration}")
            return text.format(stage=names.stage(what.stage), duration=duration(what.by_s))
        case e.StagePutBack():
            return translate("Entry", "Put back to {stage}").format(stage=names.stage(what.stage))
        case e.Lid():
            if what.open:
                return translate("Entry", "Lid opened")
            return translate("Entry", "Lid closed")
        case e.Wrap():
            return _join(wrap_words(what.material), what.item)
        case e.Spritz():
            if not what.liquid:
                return translate("Entry", "Spritzed")
            return translate("Entry", "Spritzed with {liquid}").format(liquid=what.liquid)
        case e.ProbeMoved():
            text = translate("Entry", "Probe moved: {channel}")
            return _join(text.format(channel=names.channel(what.channel)), what.place)
        case e.Refrigerator():
            if what.out:
                return _join(translate("Entry", "Taken out of the refrigerator"), what.item)
            return _join(translate("Entry", "Put into the refrigerator"), what.item)
        case e.SafetySet():
            return _safety(what, units, names)
        case e.FuelAdded():
            amount = _with_sd(what.mass_kg, what.mass_sd_kg, units)
            return _join(translate("Entry", "Fuel added: {amount}").format(amount=amount), what.lot)
        case e.FuelLevel():
            if what.mass_kg == 0:
                return translate("Entry", "Hopper emptied")
            amount = _with_sd(what.mass_kg, what.mass_sd_kg, units)
            share = percent(what.as_percent) if what.as_percent is not None else None
            return _join(translate("Entry", "Hopper holds {amount}").format(amount=amount), share)
        case e.StoreUsed():
            return _used(what, units)
        case e.WeatherObserved():
            return _weather(what, units)
        case e.Note():
            return what.text
        case e.Photo():
            return _join(translate("Entry", "Photo"), what.caption)
        case e.AlarmRaised():
            return translate("Entry", "Alarm: {text}").format(text=what.text)
        case e.AlarmAcknowledged():
            if not what.snooze_s:
                return translate("Entry", "Alarm answered")
            text = translate("Entry", "Alarm put off for {duration}")
            return text.format(duration=duration(what.snooze_s))
        case e.ClockSet():
            return _clock_set(what.ahead_s)
        case e.Tasted():
            text = translate("Entry", "Tasted")
            if what.taster:
                text = translate("Entry", "Tasted by {taster}").format(taster=what.taster)
            return _join(text, what.text)
        case e.Weighed():
            text = translate("Entry", "Weighed {stage}: {mass}")
            weight = mass(what.mass_kg, units)
            return _join(text.format(stage=_stage_words(what.stage), mass=weight), what.item)
        case e.Served():
            return _served(what)
        case e.NextTime():
            return translate("Entry", "Next time: {text}").format(text=what.text)
        case e.ReadingsStruck():
            text = translate("Entry", "Readings struck: {channel}, {duration}").format(
                channel=names.channel(what.channel), duration=duration(what.to_s - what.from_s)
            )
            return _join(text, what.reason)
        case e.ForecastMade():
            return _forecast(what, units, names.zone)
        case e.FuelForeseen():
            text = translate("Entry", "Forecast: fuel lasts until about {time}")
            return text.format(time=date_time(what.mid_s, names.zone, units))
        case e.PieceFound():
            if not what.mean:
                return translate("Entry", "Nothing to learn from this cook for forecasts")
            text = translate("Entry", "Learned for forecasts, from {channel}")
            return text.format(channel=names.channel(what.channel))
        case e.TimeExplained():
            if what.against == "plan":
                return translate("Entry", "Worked out what made it last, against the plan")
            return translate("Entry", "Worked out what made it last, against earlier cooks")
        case e.CookClosed():
            return translate("Entry", "Cook closed")
        case e.CookPutAway():
            if what.away:
                return translate("Entry", "Cook put away")
            return translate("Entry", "Cook taken back")
        case e.Strike():
            return _join(translate("Entry", "Struck an entry"), what.reason)
        case e.Unread():
            text = translate("Entry", "Not understood by this version: {kind}")
            if what.damaged:
                text = translate("Entry", "Damaged, and not counted: an entry of the kind {kind}")
            return text.format(kind=what.written_kind)
    assert_never(what)


def _join(*parts: str | None) -> str:
    return ", ".join(part for part in parts if part)


def _channel(channel: Channel, units: Units) -> str:
    text = translate("Entry", "Channel {name}").format(name=channel.name or channel.key)
    offset = None
    if channel.is_corrected:
        step = correction_words(channel, units)
        offset = translate("Entry", "corrected by {step}").format(step=step)
    return _join(text, channel.place, offset)


def wrap_words(material: e.WrapMaterial) -> str:
    """What was done with the piece: wrapped in foil, in paper, …"""
    return {
        "foil": translate("Entry", "Wrapped in foil"),
        "paper": translate("Entry", "Wrapped in paper"),
        "leaves": translate("Entry", "Wrapped in leaves"),
        "pan": translate("Entry", "Put in a covered pan"),
        # Said of what was taken out of its wrap and of what never was in one.
        "none": translate("Entry", "Not wrapped"),
    }[material]


def table_words(table: e.SafetyTable, food: e.FoodClass) -> str:
    """A table of hold times in words; "" where none is chosen."""
    return {
        "": translate("Entry", "no table")
        if food in ("ground", "other")
        else translate("Entry", "the table for this food"),
        "meat_6.5": translate("Entry", "meat table, 6.5 log10"),
        "meat_7": translate("Entry", "meat table, 7 log10"),
        "chicken": translate("Entry", "chicken table, 7 log10"),
        "turkey": translate("Entry", "turkey table, 7 log10"),
        "poultry": translate("Entry", "the longer of chicken and turkey, 7 log10"),
        "fish": translate("Entry", "fish table, 6 log10"),
        "own": translate("Entry", "D and z of your own"),
    }[table]


def _safety(what: e.SafetySet, units: Units, names: Names) -> str:
    fat = uncertainty = None
    if what.fat_pct is not None:
        fat = translate("Entry", "fat {percent}").format(percent=percent(what.fat_pct, 1))
    if what.uncertainty_c is not None:
        uncertainty = f"± {temperature_step(what.uncertainty_c, units, 1)}"
    probes = [names.channel(key) for key in what.probes]
    text = translate("Entry", "Compared with: {table}")
    table = table_words(what.table, what.food)
    return _join(text.format(table=table), fat, *probes, uncertainty)


def _with_sd(mass_kg: float, sd_kg: float, units: Units) -> str:
    if sd_kg <= 0:
        return mass(mass_kg, units)
    return f"{mass(mass_kg, units)} ± {mass(sd_kg, units)}"


def _used(what: e.StoreUsed, units: Units) -> str:
    amount = None
    if what.mass_kg is not None:
        amount = mass(what.mass_kg, units)
    elif what.count is not None:
        amount = translate("Entry", "{count} pieces").format(count=f"{what.count:g}")
    text = translate("Entry", "Used {sort}: {name}")
    return _join(text.format(sort=sort_words(what.sort), name=what.name), amount)


def sky_words(sky: e.Sky) -> str:
    """The sky in words, by how much of it is covered."""
    return {
        "clear": translate("Entry", "clear sky"),
        "few": translate("Entry", "few clouds"),
        "scattered": translate("Entry", "scattered clouds"),
        "broken": translate("Entry", "broken clouds"),
        "overcast": translate("Entry", "overcast"),
        "fog": translate("Entry", "fog"),
    }[sky]


def precipitation_words(kind: e.Precipitation) -> str:
    """What falls from the sky, in words."""
    return {
        "none": translate("Entry", "dry"),
        "drizzle": translate("Entry", "drizzle"),
        "rain": translate("Entry", "rain"),
        "snow": translate("Entry", "snow"),
        "sleet": translate("Entry", "sleet"),
        "hail": translate("Entry", "hail"),
    }[kind]


def exposure_words(exposure: e.Exposure) -> str:
    """Where the pit stands, in words."""
    return {
        "sun": translate("Entry", "in the sun"),
        "shade": translate("Entry", "in the shade"),
        "dark": translate("Entry", "in the dark"),
    }[exposure]


def seen_words(seen: e.WeatherObserved, units: Units) -> dict[str, str]:
    """What was seen of the weather, by what it is of and in words; without what isn't known."""
    found = {}
    if seen.air_c is not None:
        found["air"] = temperature(seen.air_c, units)
    if seen.sky is not None:
        found["sky"] = sky_words(seen.sky)
    if seen.precipitation is not None:
        found["precipitation"] = precipitation_words(seen.precipitation)
    if seen.wind_m_s is not None:
        text = translate("Entry", "wind {speed}")
        found["wind"] = text.format(speed=speed(seen.wind_m_s, units))
    if seen.gust_m_s is not None:
        text = translate("Entry", "gusts {speed}")
        found["gust"] = text.format(speed=speed(seen.gust_m_s, units))
    if seen.humidity_pct is not None:
        found["humidity"] = percent(seen.humidity_pct)
    if seen.pressure_hpa is not None:
        found["pressure"] = pressure(seen.pressure_hpa, units)
    if seen.sea_level_hpa is not None:
        text = translate("Entry", "{pressure} at sea level")
        found["sea_level"] = text.format(pressure=pressure(seen.sea_level_hpa, units))
    if seen.exposure is not None:
        found["exposure"] = exposure_words(seen.exposure)
    if seen.high_c is not None:
        text = translate("Entry", "high of {temperature} expected")
        found["high"] = text.format(temperature=temperature(seen.high_c, units))
    return found


def _weather(what: e.WeatherObserved, units: Units) -> str:
    said = ", ".join(seen_words(what, units).values())
    if what.fetched_from:
        text = translate("Entry", "Weather, fetched from {host}: {said}")
        return text.format(host=what.fetched_from, said=said)
    return translate("Entry", "Weather: {said}").format(said=said)


def _clock_set(ahead_s: float) -> str:
    if abs(ahead_s) < 1:
        return translate("Entry", "The computer's clock was set back to these times")
    if ahead_s >= 0:
        text = translate(
            "Entry", "The computer's clock was set: it is now {by} ahead of these times"
        )
    else:
        text = translate("Entry", "The computer's clock was set: it is now {by} behind these times")
    return text.format(by=duration(abs(ahead_s)))


def _stage_words(stage: e.MassStage) -> str:
    return {
        "raw": translate("Entry", "raw"),
        "prepared": translate("Entry", "prepared"),
        "cooked": translate("Entry", "cooked"),
        "served": translate("Entry", "served"),
    }[stage]


def _served(what: e.Served) -> str:
    text = (
        translate("Entry", "Served: 1 serving")
        if what.servings == 1
        else translate("Entry", "Served: {count} servings").format(count=what.servings)
    )
    if what.rest_cost is None:
        return text
    cost = money(what.rest_cost, what.currency)
    return _join(text, translate("Entry", "the rest cost {money}").format(money=cost))


def _forecast(what: e.ForecastMade, units: Units, zone: str) -> str:
    target = temperature(what.target_c, units)
    if what.standing == "reached":
        return translate("Entry", "Forecast: {temperature} is reached").format(temperature=target)
    if what.mid_s is None:
        text = translate("Entry", "Forecast: may not reach {temperature}")
        return text.format(temperature=target)
    text = translate("Entry", "Forecast: {temperature} at about {time}")
    return text.format(temperature=target, time=date_time(what.mid_s, zone, units))


def sort_words(sort: WareSort) -> str:
    """What a sort of ware is called."""
    return {
        "salt": translate("Wares", "salt"),
        "wood": translate("Wares", "wood"),
        "rub": translate("Wares", "rub"),
    }[sort]
