"""An entry of the log in words: one short line, for the list on Tend and for readers of screens."""

# ruff: noqa: ARG001 - every kind is asked in the same way, whether it needs units and names or not

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from smokejournal.cook.log import entries as e
from smokejournal.cook.log.correction import correction_words
from smokejournal.cook.log.entries import WareSort, step_key
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
    return _WORDS[type(what)](what, units, names if names is not None else Names())


def _join(*parts: str | None) -> str:
    return ", ".join(part for part in parts if part)


def _opened(what: e.CookOpened, units: Units, names: Names) -> str:
    text = translate("Entry", "Cook opened: {title}").format(title=what.title)
    return _join(text, translate("Entry", "simulated") if what.simulated else None)


def _renamed(what: e.CookRenamed, units: Units, names: Names) -> str:
    text = _join(translate("Entry", "Called {title}").format(title=what.title), what.place or "")
    if what.ready_at_s is None:
        return text
    when = date_time(what.ready_at_s, names.zone, units)
    return _join(text, translate("Entry", "wanted for {when}").format(when=when))


def _item(what: e.ItemAdded, units: Units, names: Names) -> str:
    pieces = f"{what.pieces} × " if what.pieces != 1 else ""
    return _join(pieces + what.name, mass(what.mass_kg, units) if what.mass_kg else None)


def _prep(what: e.PrepStep, units: Units, names: Names) -> str:
    lasted = duration(what.duration_s) if what.duration_s is not None else None
    return _join(translate("Entry", "Prep: {step}").format(step=what.step), lasted, what.text)


def _step_begun(what: e.StepBegun, units: Units, names: Names) -> str:
    return translate("Entry", "{step} begun").format(step=names.step(what.step))


def _step_ended(what: e.StepEnded, units: Units, names: Names) -> str:
    return translate("Entry", "{step} done").format(step=names.step(what.step))


def _step_extended(what: e.StepExtended, units: Units, names: Names) -> str:
    return translate("Entry", "{step} extended by {duration}").format(
        step=names.step(what.step), duration=duration(what.by_s)
    )


def _step_skipped(what: e.StepSkipped, units: Units, names: Names) -> str:
    return translate("Entry", "{step} skipped").format(step=names.step(what.step))


def _times_kept(what: e.TimesKept, units: Units, names: Names) -> str:
    when = date_time(what.ready_at_s, names.zone, units)
    return translate("Entry", "Times saved, to be ready by {when}").format(when=when)


def _channel(what: e.ChannelSet, units: Units, names: Names) -> str:
    channel = what.channel
    offset = None
    if channel.is_corrected:
        offset = translate("Entry", "corrected by {step}").format(
            step=correction_words(channel, units)
        )
    name = channel.name or channel.key
    text = translate("Entry", "Channel {name}").format(name=name)
    return _join(text, channel.place, offset)


def _lead(what: e.LeadSet, units: Units, names: Names) -> str:
    text = translate("Entry", "{lead} leads").format(lead=names.channel(what.lead))
    if what.check is None:
        return text
    check = translate("Entry", "{check} checks").format(check=names.channel(what.check))
    return _join(text, check)


def _schedule(what: e.ScheduleSet, units: Units, names: Names) -> str:
    stages = " – ".join(stage.name for stage in what.schedule.stages)
    if not stages:
        return translate("Entry", "Schedule without stages")
    return translate("Entry", "Schedule: {stages}").format(stages=stages)


def _started(what: e.ScheduleStarted, units: Units, names: Names) -> str:
    return translate("Entry", "Begun")


def _confirmed(what: e.StageConfirmed, units: Units, names: Names) -> str:
    return translate("Entry", "{stage} confirmed").format(stage=names.stage(what.stage))


def _skipped(what: e.StageSkipped, units: Units, names: Names) -> str:
    return translate("Entry", "{stage} skipped").format(stage=names.stage(what.stage))


def _extended(what: e.StageExtended, units: Units, names: Names) -> str:
    return translate("Entry", "{stage} extended by {duration}").format(
        stage=names.stage(what.stage), duration=duration(what.by_s)
    )


def _put_back(what: e.StagePutBack, units: Units, names: Names) -> str:
    return translate("Entry", "Put back to {stage}").format(stage=names.stage(what.stage))


def _lid(what: e.Lid, units: Units, names: Names) -> str:
    return translate("Entry", "Lid opened") if what.open else translate("Entry", "Lid closed")


def _wrap(what: e.Wrap, units: Units, names: Names) -> str:
    text = {
        "foil": translate("Entry", "Wrapped in foil"),
        "paper": translate("Entry", "Wrapped in paper"),
        "leaves": translate("Entry", "Wrapped in leaves"),
        "pan": translate("Entry", "Put in a covered pan"),
        # Said of what was taken out of its wrap and of what never was in one.
        "none": translate("Entry", "Not wrapped"),
    }[what.material]
    return _join(text, what.item)


def _spritz(what: e.Spritz, units: Units, names: Names) -> str:
    if not what.liquid:
        return translate("Entry", "Spritzed")
    return translate("Entry", "Spritzed with {liquid}").format(liquid=what.liquid)


def _moved(what: e.ProbeMoved, units: Units, names: Names) -> str:
    text = translate("Entry", "Probe moved: {channel}").format(channel=names.channel(what.channel))
    return _join(text, what.place)


def _refrigerator(what: e.Refrigerator, units: Units, names: Names) -> str:
    if what.out:
        return _join(translate("Entry", "Taken out of the refrigerator"), what.item)
    return _join(translate("Entry", "Put into the refrigerator"), what.item)


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


def _fuel(what: e.FuelAdded, units: Units, names: Names) -> str:
    amount = _with_sd(what.mass_kg, what.mass_sd_kg, units)
    return _join(translate("Entry", "Fuel added: {amount}").format(amount=amount), what.lot)


def _level(what: e.FuelLevel, units: Units, names: Names) -> str:
    if what.mass_kg == 0:
        return translate("Entry", "Hopper emptied")
    amount = _with_sd(what.mass_kg, what.mass_sd_kg, units)
    share = percent(what.as_percent) if what.as_percent is not None else None
    return _join(translate("Entry", "Hopper holds {amount}").format(amount=amount), share)


def _used(what: e.StoreUsed, units: Units, names: Names) -> str:
    amount = None
    if what.mass_kg is not None:
        amount = mass(what.mass_kg, units)
    elif what.count is not None:
        amount = translate("Entry", "{count} pieces").format(count=f"{what.count:g}")
    sort = sort_words(what.sort)
    text = translate("Entry", "Used {sort}: {name}").format(sort=sort, name=what.name)
    return _join(text, amount)


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


def sea_level_words(sea_level_hpa: float, units: Units) -> str:
    """A pressure as weather reports give it, in words."""
    return translate("Entry", "{pressure} at sea level").format(
        pressure=pressure(sea_level_hpa, units)
    )


def _weather(what: e.WeatherObserved, units: Units, names: Names) -> str:
    wind = gust = high = None
    if what.wind_m_s is not None:
        wind = translate("Entry", "wind {speed}").format(speed=speed(what.wind_m_s, units))
    if what.gust_m_s is not None:
        gust = translate("Entry", "gusts {speed}").format(speed=speed(what.gust_m_s, units))
    if what.high_c is not None:
        high = translate("Entry", "high of {temperature} expected").format(
            temperature=temperature(what.high_c, units)
        )
    said = _join(
        temperature(what.air_c, units) if what.air_c is not None else None,
        sky_words(what.sky) if what.sky else None,
        precipitation_words(what.precipitation) if what.precipitation else None,
        wind,
        gust,
        percent(what.humidity_pct) if what.humidity_pct is not None else None,
        pressure(what.pressure_hpa, units) if what.pressure_hpa is not None else None,
        sea_level_words(what.sea_level_hpa, units) if what.sea_level_hpa is not None else None,
        exposure_words(what.exposure) if what.exposure else None,
        high,
    )
    if what.fetched_from:
        return translate("Entry", "Weather, fetched from {host}: {said}").format(
            host=what.fetched_from, said=said
        )
    return translate("Entry", "Weather: {said}").format(said=said)


def _note(what: e.Note, units: Units, names: Names) -> str:
    return what.text


def _photo(what: e.Photo, units: Units, names: Names) -> str:
    return _join(translate("Entry", "Photo"), what.caption)


def _alarm(what: e.AlarmRaised, units: Units, names: Names) -> str:
    return translate("Entry", "Alarm: {text}").format(text=what.text)


def _answered(what: e.AlarmAcknowledged, units: Units, names: Names) -> str:
    if what.snooze_s:
        return translate("Entry", "Alarm put off for {duration}").format(
            duration=duration(what.snooze_s)
        )
    return translate("Entry", "Alarm answered")


def _clock_set(what: e.ClockSet, units: Units, names: Names) -> str:
    by = duration(abs(what.ahead_s))
    if abs(what.ahead_s) < 1:
        return translate("Entry", "The computer's clock was set back to these times")
    if what.ahead_s >= 0:
        text = translate(
            "Entry", "The computer's clock was set: it is now {by} ahead of these times"
        )
    else:
        text = translate("Entry", "The computer's clock was set: it is now {by} behind these times")
    return text.format(by=by)


def _tasted(what: e.Tasted, units: Units, names: Names) -> str:
    text = translate("Entry", "Tasted by {taster}").format(taster=what.taster)
    return _join(text if what.taster else translate("Entry", "Tasted"), what.text)


def _weighed(what: e.Weighed, units: Units, names: Names) -> str:
    stage = {
        "raw": translate("Entry", "raw"),
        "prepared": translate("Entry", "prepared"),
        "cooked": translate("Entry", "cooked"),
        "served": translate("Entry", "served"),
    }[what.stage]
    return _join(
        translate("Entry", "Weighed {stage}: {mass}").format(
            stage=stage, mass=mass(what.mass_kg, units)
        ),
        what.item,
    )


def _next_time(what: e.NextTime, units: Units, names: Names) -> str:
    return translate("Entry", "Next time: {text}").format(text=what.text)


def _readings_struck(what: e.ReadingsStruck, units: Units, names: Names) -> str:
    return _join(
        translate("Entry", "Readings struck: {channel}, {duration}").format(
            channel=names.channel(what.channel), duration=duration(what.to_s - what.from_s)
        ),
        what.reason,
    )


def _forecast(what: e.ForecastMade, units: Units, names: Names) -> str:
    target = temperature(what.target_c, units)
    if what.standing == "reached":
        return translate("Entry", "Forecast: {temperature} is reached").format(temperature=target)
    if what.mid_s is None:
        return translate("Entry", "Forecast: may not reach {temperature}").format(
            temperature=target
        )
    return translate("Entry", "Forecast: {temperature} at about {time}").format(
        temperature=target, time=date_time(what.mid_s, names.zone, units)
    )


def _fuel_foreseen(what: e.FuelForeseen, units: Units, names: Names) -> str:
    return translate("Entry", "Forecast: fuel lasts until about {time}").format(
        time=date_time(what.mid_s, names.zone, units)
    )


def _found(what: e.PieceFound, units: Units, names: Names) -> str:
    if not what.mean:
        return translate("Entry", "Nothing to learn from this cook for forecasts")
    return translate("Entry", "Learned for forecasts, from {channel}").format(
        channel=names.channel(what.channel)
    )


def _explained(what: e.TimeExplained, units: Units, names: Names) -> str:
    if what.against == "plan":
        return translate("Entry", "Worked out what made it last, against the plan")
    return translate("Entry", "Worked out what made it last, against earlier cooks")


def _closed(what: e.CookClosed, units: Units, names: Names) -> str:
    return translate("Entry", "Cook closed")


def _served(what: e.Served, units: Units, names: Names) -> str:
    text = (
        translate("Entry", "Served: 1 serving")
        if what.servings == 1
        else translate("Entry", "Served: {count} servings").format(count=what.servings)
    )
    if what.rest_cost is None:
        return text
    cost = money(what.rest_cost, what.currency)
    return _join(text, translate("Entry", "the rest cost {money}").format(money=cost))


def _put_away(what: e.CookPutAway, units: Units, names: Names) -> str:
    if what.away:
        return translate("Entry", "Cook put away")
    return translate("Entry", "Cook taken back")


def _strike(what: e.Strike, units: Units, names: Names) -> str:
    return _join(translate("Entry", "Struck an entry"), what.reason)


def _unread(what: e.Unread, units: Units, names: Names) -> str:
    if what.damaged:
        text = translate("Entry", "Damaged, and not counted: an entry of the kind {kind}")
        return text.format(kind=what.written_kind)
    return translate("Entry", "Not understood by this version: {kind}").format(
        kind=what.written_kind
    )


_WORDS: Mapping[type, Callable[..., str]] = {
    e.CookOpened: _opened,
    e.CookRenamed: _renamed,
    e.ItemAdded: _item,
    e.PrepStep: _prep,
    e.StepBegun: _step_begun,
    e.StepEnded: _step_ended,
    e.StepExtended: _step_extended,
    e.StepSkipped: _step_skipped,
    e.TimesKept: _times_kept,
    e.ChannelSet: _channel,
    e.LeadSet: _lead,
    e.ScheduleSet: _schedule,
    e.ScheduleStarted: _started,
    e.StageConfirmed: _confirmed,
    e.StageSkipped: _skipped,
    e.StageExtended: _extended,
    e.StagePutBack: _put_back,
    e.Lid: _lid,
    e.Wrap: _wrap,
    e.Spritz: _spritz,
    e.StoreUsed: _used,
    e.ProbeMoved: _moved,
    e.Refrigerator: _refrigerator,
    e.SafetySet: _safety,
    e.FuelAdded: _fuel,
    e.FuelLevel: _level,
    e.WeatherObserved: _weather,
    e.Note: _note,
    e.Photo: _photo,
    e.AlarmRaised: _alarm,
    e.AlarmAcknowledged: _answered,
    e.ClockSet: _clock_set,
    e.Tasted: _tasted,
    e.Weighed: _weighed,
    e.NextTime: _next_time,
    e.ReadingsStruck: _readings_struck,
    e.ForecastMade: _forecast,
    e.FuelForeseen: _fuel_foreseen,
    e.PieceFound: _found,
    e.TimeExplained: _explained,
    e.CookClosed: _closed,
    e.Served: _served,
    e.CookPutAway: _put_away,
    e.Strike: _strike,
    e.Unread: _unread,
}


def sort_words(sort: WareSort) -> str:
    """What a sort of ware is called."""
    return {
        "salt": translate("Wares", "salt"),
        "wood": translate("Wares", "wood"),
        "rub": translate("Wares", "rub"),
    }[sort]
