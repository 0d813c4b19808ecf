"""Takes an archive into a journal: looks first at what would come of it, then writes."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Future
from dataclasses import dataclass, field, replace
from functools import partial
from operator import attrgetter
from pathlib import Path
from typing import Any, TypeVar

from smokejournal.cook.codec.references import Numbers, cook_named, probe_named, renumbered
from smokejournal.cook.codec.schedules import schedule_from_json, validate_schedule
from smokejournal.cook.probes.probe import Calibration, Probe, calibration_from
from smokejournal.cook.stores.lots import Lot
from smokejournal.cook.stores.wares import Ware
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.strict import check, read
from smokejournal.cook.text.translate import translate
from smokejournal.journal import Journal, JournalProblem, WrittenCook, WrittenEntry
from smokejournal.services.archive import form
from smokejournal.services.archive.form import ArchivedCook, ArchiveProblem, PlannedFrom
from smokejournal.services.archive.own_settings import is_of_this_machine
from smokejournal.services.archive.reading import Archive
from smokejournal.services.stores.patterns import KEY as PATTERNS

K = TypeVar("K", Lot, Ware, Probe)


@dataclass(slots=True)
class Tally:
    """Of one sort of thing: how many come in, are here already, are here otherwise (yours stays), and
    can't be used."""

    new: int = 0
    here: int = 0
    other: int = 0
    refused: int = 0

    @property
    def plain(self) -> bool:
        """Whether all of them come in."""
        return not (self.here or self.other or self.refused)

    def add(self, *, there: bool, same: bool) -> bool:
        """Count one, by whether one by its name is there and the same; gives whether it comes in."""
        if not there:
            self.new += 1
        elif same:
            self.here += 1
        else:
            self.other += 1
        return not there


@dataclass(slots=True)
class Intake:
    """What comes of an archive in a journal. `fresh` are the cooks that come in, `here` the numbers of
    those that are here already, by the number that they have in the archive. `alike` counts the fresh
    ones that were begun at the same moment as one that is here, and hold something else than that."""

    fresh: list[ArchivedCook] = field(default_factory=list)
    here: dict[int, int] = field(default_factory=dict)
    alike: int = 0
    entries: int = 0
    readings: int = 0
    unread: int = 0
    unlinked: int = 0
    tallies: dict[str, Tally] = field(default_factory=dict)
    left_out: tuple[str, ...] = ()
    made_s: float = 0.0
    ids: dict[int, int] = field(default_factory=dict)
    """The numbers that the cooks have here now, by those that they have in the archive."""

    @property
    def plain(self) -> bool:
        """Whether all of it comes in as it is, so that there is nothing to ask."""
        return not (
            self.here
            or self.alike
            or self.unread
            or self.unlinked
            or self.left_out
            or not all(tally.plain for tally in self.tallies.values())
        )

    @property
    def any_new(self) -> bool:
        """Whether anything at all comes in."""
        return any(tally.new for tally in self.tallies.values())

    def count(self, sort: str) -> Tally:
        """The tally of one sort."""
        return self.tallies.setdefault(sort, Tally())


def look_at(archive: Archive, journal: Journal) -> Intake:
    """What would come of it. Writes nothing. Slow; JournalProblem where the journal can't be read."""
    return _TakingIn(archive, journal).look()


def take_in(archive: Archive, journal: Journal) -> Intake:
    """Writes what isn't here yet; gives what came of it. Each cook comes in whole or not at all.

    JournalProblem, or ArchiveProblem where some cooks came in before. Slow; not for the thread that
    writes the journal.
    """
    return _TakingIn(archive, journal).take_in()


class _TakingIn:
    def __init__(self, archive: Archive, journal: Journal) -> None:
        self._archive = archive
        self._journal = journal
        self._writes: list[Callable[[], Future[Any]]] = []
        self._probes: dict[int, int] = {}
        self._fresh_probes: list[tuple[int, Probe, list[Calibration]]] = []
        self.intake = Intake(
            left_out=archive.manifest.left_out, made_s=archive.manifest.made_ms / 1000
        )

    def look(self) -> Intake:
        self._look_at_cooks()
        self._look_at_photos()
        self._look_at_probes()
        self._look_at_stores()
        self._look_at_schedules()
        self._look_at_settings()
        self._look_at_links()
        return self.intake

    def take_in(self) -> Intake:
        self.look()
        for old, probe, calibrations in self._fresh_probes:
            kept = self._journal.stores.save_probe(replace(probe, id=0)).result()
            self._probes[old] = kept.id
            for each in calibrations:
                self._journal.stores.add_calibration(replace(each, probe_id=kept.id)).result()
        for write in self._writes:
            write().result()
        self._keep_photos()
        self.intake.ids = dict(self.intake.here)
        for cook in self.intake.fresh:
            try:
                self._add(cook)
            except JournalProblem as problem:
                done = len(self.intake.ids) - len(self.intake.here)
                raise ArchiveProblem(
                    translate(
                        "Archive", "{count} of {all} cooks came in, then it stopped: {why}"
                    ).format(count=done, all=len(self.intake.fresh), why=problem.message),
                    translate(
                        "Archive", "{cure} Take the archive in again: what is here stays once."
                    ).format(cure=problem.cure),
                ) from problem
        return self.intake

    # Cooks

    def _look_at_cooks(self) -> None:
        tally = self.intake.count("cooks")
        for cook in sorted(self._archive.manifest.cooks, key=lambda cook: cook.id):
            here = self._here(cook.opened_ms, cook.digest)
            if here is not None:
                self.intake.here[cook.id] = here
                tally.here += 1
                continue
            self.intake.fresh.append(cook)
            tally.new += 1
            self.intake.alike += bool(self._journal.cook_numbers(cook.opened_ms))
            self.intake.entries += cook.entries
            self.intake.readings += cook.readings

    def _here(self, opened_ms: int, digest: str) -> int | None:
        for cook_id in self._journal.cook_numbers(opened_ms):
            if form.digest_of(self._journal.written_cook(cook_id)) == digest:
                return cook_id
        return None

    def _look_at_links(self) -> None:
        """Counts what can't be read here, and links to what is neither in the archive nor here."""
        inside = {cook.digest for cook in self._archive.manifest.cooks}
        probes = {*self._probes, *(old for old, _, _ in self._fresh_probes)}
        for cook in self.intake.fresh:
            held = self._archive.without_readings(cook)
            before = held.planned_from
            known = before is not None and (
                before.digest in inside or self._here(before.opened_ms, before.digest) is not None
            )
            for entry in held.entries:
                self.intake.unread += entry.unread
                data = form.fields_of(entry)
                if data is None:
                    continue
                self.intake.unlinked += cook_named(entry.kind, data) is not None and not known
                probe = probe_named(entry.kind, data)
                self.intake.unlinked += probe is not None and probe not in probes

    def _add(self, cook: ArchivedCook) -> None:
        held = self._archive.cook(cook)
        cooks = self._before(held, self._archive.without_readings(cook).planned_from)

        def renumber(entry: WrittenEntry, entries: Mapping[int, int]) -> str:
            data = form.fields_of(entry)
            if data is None:
                return entry.payload
            return form.compact(renumbered(entry.kind, data, Numbers(entries, cooks, self._probes)))

        self.intake.ids[cook.id] = self._journal.add_written_cook(held, renumber).result()

    def _before(self, held: WrittenCook, planned_from: PlannedFrom | None) -> dict[int, int]:
        """The number here of the cook that this one was planned from, by the one that its log says."""
        if planned_from is None:
            return {}
        same = (
            self.intake.ids[cook.id]
            for cook in self._archive.manifest.cooks
            if cook.digest == planned_from.digest and cook.id in self.intake.ids
        )
        here = next(same, None)
        if here is None:
            here = self._here(planned_from.opened_ms, planned_from.digest)
        if here is None:
            return {}
        named = (cook_named(e.kind, form.fields_of(e) or {}) for e in held.entries)
        return {number: here for number in named if number is not None}

    # Photos

    def _look_at_photos(self) -> None:
        tally = self.intake.count("photos")
        for name in self._archive.photos():
            there = self._photo_path(name).exists()
            tally.add(there=there, same=there)

    def _keep_photos(self) -> None:
        with tempfile.TemporaryDirectory(prefix="smokejournal") as folder:
            for name in self._archive.photos():
                if not self._photo_path(name).exists():
                    file = Path(folder) / Path(name).name
                    file.write_bytes(self._archive.content(name))
                    self._journal.keep_photo(file)
                    file.unlink()

    def _photo_path(self, name: str) -> Path:
        return self._journal.photo_path(Path(name).stem, Path(name).suffix)

    # What belongs to no one cook

    def _look_at_probes(self) -> None:
        stores = self._journal.stores
        mine = stores.probes()
        calibrated = {(c.probe_id, round(c.at_s * 1000), c.points) for c in stores.calibrations()}
        tally, taken = self.intake.count("probes"), self.intake.count("calibrations")
        for told in _listed(self._archive.json(form.PROBES), "probes"):
            old, probe, calibrations, refused = _probe_from(told)
            if probe is None:
                tally.refused += 1
                continue
            taken.refused += refused
            same = _same_of(probe, [one for one in mine if one.name == probe.name])
            if same is None:
                tally.new += 1
                taken.new += len(calibrations)
                self._fresh_probes.append((old, probe, calibrations))
                continue
            self._probes[old] = same.id
            if replace(same, id=0) != probe:
                # Another probe of this name: what was found of it says nothing of yours.
                tally.other += 1
                taken.other += len(calibrations)
                continue
            tally.here += 1
            for each in calibrations:
                there = (same.id, round(each.at_s * 1000), each.points) in calibrated
                if taken.add(there=there, same=there):
                    mine_too = replace(each, probe_id=same.id)
                    self._writes.append(partial(stores.add_calibration, mine_too))

    def _look_at_stores(self) -> None:
        told, stores = self._archive.json(form.STORES), self._journal.stores
        self._look_at_sort("lots", Lot, told, stores.lots(), ("name",), stores.save_lot)
        self._look_at_sort("wares", Ware, told, stores.wares(), ("sort", "name"), stores.save_ware)

    def _look_at_sort(
        self,
        sort: str,
        kind: type[K],
        told: Mapping[str, Any],
        mine: Sequence[K],
        known_by: tuple[str, ...],
        save: Callable[[K], Future[Any]],
    ) -> None:
        """Those come in that there is none of here by what they are known by."""
        tally, key = self.intake.count(sort), attrgetter(*known_by)
        for each in _listed(told, sort):
            made = _made(kind, each)
            if made is None:
                tally.refused += 1
                continue
            alike = [replace(one, id=0) for one in mine if key(one) == key(made)]
            if tally.add(there=bool(alike), same=made in alike):
                self._writes.append(partial(save, made))

    def _look_at_schedules(self) -> None:
        shelf, tally = self._journal.schedules, self.intake.count("schedules")
        mine = dict(shelf.saved())
        taken = {*mine, *(name for name, _ in shelf.unread())}
        for name, told in _named(self._archive.json(form.SCHEDULES), "schedules").items():
            try:
                schedule = schedule_from_json(told)
                validate_schedule(schedule)
                if not name.strip() or name.strip() != name:
                    raise SchemaProblem("name", "")
            except SchemaProblem:
                tally.refused += 1
                continue
            if tally.add(there=name in taken, same=mine.get(name) == schedule):
                self._writes.append(partial(shelf.save, name, schedule))

    def _look_at_settings(self) -> None:
        tally, patterns = self.intake.count("settings"), self.intake.count("patterns")
        mine = self._journal.settings()
        unread = set(self._journal.unread_settings())
        told = _named(self._archive.json(form.SETTINGS), "settings")
        for key, value in told.items():
            if is_of_this_machine(key):
                tally.refused += 1
            elif key == PATTERNS and isinstance(value, dict):
                kept = mine.get(key)
                kept = dict(kept) if isinstance(kept, dict) else {}
                fresh = {name: text for name, text in value.items() if name not in kept}
                patterns.new += len(fresh)
                patterns.here += sum(kept.get(name) == text for name, text in value.items())
                patterns.other = len(value) - patterns.new - patterns.here
                if fresh:
                    self._writes.append(partial(self._journal.set_setting, key, kept | fresh))
            else:
                there = key in mine or key in unread
                same = key in mine and key not in unread and mine[key] == value
                if tally.add(there=there, same=same):
                    self._writes.append(partial(self._journal.set_setting, key, value))


def _probe_from(told: object) -> tuple[int, Probe | None, list[Calibration], int]:
    """The number of a probe in the archive, the probe (None: it can't be used), its calibrations, and
    how many of those can't be used."""
    if not isinstance(told, dict):
        return 0, None, [], 0
    old, listed = told.get("id"), told.get("calibrations", [])
    probe = _made(Probe, {k: v for k, v in told.items() if k != "calibrations"})
    if probe is None or not isinstance(old, int) or not isinstance(listed, list):
        return 0, None, [], 0
    found, refused = [], 0
    for each in listed:
        try:
            at_ms = each["at_ms"]
            found.append(calibration_from(0, 0, at_ms / 1000, form.compact(each["points"])))
        except (SchemaProblem, KeyError, TypeError, ValueError, OverflowError):
            refused += 1
    return old, replace(probe, name=probe.name.strip()), found, refused


def _made(kind: type[K], told: object) -> K | None:
    """What is told of, as one that isn't kept yet; None where it can't be used."""
    try:
        made = read(kind, {**told, "id": 0} if isinstance(told, dict) else told)
        check(made)
    except SchemaProblem:
        return None
    return made


def _same_of(probe: Probe, alike: Sequence[Probe]) -> Probe | None:
    """One that is the same, else one of the same name; None where there is none."""
    same = [one for one in alike if replace(one, id=0) == probe]
    return next(iter([*same, *alike]), None)


def _listed(told: Mapping[str, Any], name: str) -> Sequence[object]:
    found = told.get(name, [])
    return found if isinstance(found, list) else []


def _named(told: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    found = told.get(name, {})
    return found if isinstance(found, dict) else {}
