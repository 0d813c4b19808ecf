"""Writes an archive: one cook, or the whole journal."""

from __future__ import annotations

import errno
import hashlib
import json
import re
import zipfile
import zlib
from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, BinaryIO

from smokejournal import __version__
from smokejournal.cook.codec.references import cook_named, probe_named
from smokejournal.cook.codec.schedules import schedule_to_json
from smokejournal.cook.probes.probe import calibration_text
from smokejournal.cook.text.strict import one_line, written
from smokejournal.cook.text.translate import translate
from smokejournal.journal import PHOTO_SUFFIXES, Journal, JournalProblem, WrittenCook
from smokejournal.services.archive import form
from smokejournal.services.archive.form import (
    ArchivedCook,
    ArchiveProblem,
    Holds,
    Manifest,
    PlannedFrom,
    ReadingsFile,
)
from smokejournal.services.archive.limits import LARGEST_BYTES, MOST_TIMES, SMALL_BYTES
from smokejournal.services.archive.own_settings import is_of_this_machine
from smokejournal.services.stores.files import whole_file


def write_archive(
    journal: Journal, path: Path, made_s: float, cook_id: int | None = None, *, new: bool = False
) -> Manifest:
    """Write a cook, or without `cook_id` the whole journal, to a file; gives what is in it.

    One that is there stays until the new one is whole; with `new` it is not written over:
    FileExistsError. OSError where the file can't be written, JournalProblem where the journal can't be
    read. Slow.
    """
    if new and path.exists():
        raise FileExistsError(
            errno.EEXIST, translate("Archive", "something is there already"), str(path)
        )
    with whole_file(path) as file:
        return _Writing(journal, file, made_s).write(cook_id)


class _Writing:
    def __init__(self, journal: Journal, file: BinaryIO, made_s: float) -> None:
        self._journal = journal
        self._file = file
        self._made_s = made_s
        # A zip knows no time before 1980 and none after 2107.
        made = datetime.fromtimestamp(min(max(made_s, 315_532_800.0), 4_354_819_198.0), UTC)
        self._made = (made.year, made.month, made.day, made.hour, made.minute, made.second)
        self._members: dict[str, str] = {}
        self._left_out: list[str] = []
        self._photos: dict[str, tuple[str, str]] = {}
        self._probes: set[int] = set()
        self._digests: dict[int, PlannedFrom] = {}

    def write(self, cook_id: int | None) -> Manifest:
        # A line may be missing or spoilt where the cook itself is whole.
        titles = {line.id: line.title for line in self._journal.cooks()}
        wanted = self._journal.cook_numbers() if cook_id is None else (cook_id,)
        with zipfile.ZipFile(self._file, "w", zipfile.ZIP_DEFLATED) as into:
            cooks = tuple(
                self._cook(into, n, number, titles.get(number, ""))
                for n, number in enumerate(wanted, 1)
            )
            photos = self._add_photos(into)
            probes, calibrations = self._add_probes(into, whole=cook_id is None)
            lots = wares = schedules = settings = 0
            if cook_id is None:
                lots, wares = self._add_stores(into)
                schedules, settings = self._add_schedules(into), self._add_settings(into)
            manifest = Manifest(
                program=__version__,
                made_ms=round(self._made_s * 1000),
                whole=cook_id is None,
                cooks=cooks,
                holds=Holds(photos, probes, calibrations, lots, wares, schedules, settings),
                members={},
                left_out=tuple(self._left_out),
            )
            self._add(into, form.README, _readme(manifest).encode())
            manifest = replace(manifest, members=dict(self._members))
            self._add(into, form.MANIFEST, form.manifest_bytes(manifest))
        return manifest

    def _cook(self, into: zipfile.ZipFile, n: int, number: int, title: str) -> ArchivedCook:
        cook = self._journal.written_cook(number)
        files = []
        for k, (channel, readings) in enumerate(cook.readings.items(), 1):
            name = f"cooks/{n}/{k}.csv"
            self._add(into, name, form.readings_bytes(*readings))
            files.append(ReadingsFile(channel, name))
        planned_from = self._look(cook)
        name = f"cooks/{n}.json"
        self._add(into, name, form.cook_bytes(cook, files, planned_from))
        digest = form.digest_of(cook)
        self._digests[number] = PlannedFrom(cook.opened_ms, digest)
        text = translate("Archive", "Damaged entries of {cook} that are kept as they are: {count}.")
        self._say_lost(sum(entry.damaged for entry in cook.entries), text, title)
        text = translate("Archive", "Damaged readings of {cook} that are left out: about {count}.")
        self._say_lost(sum(each.count for each in cook.spoilt), text, title)
        return ArchivedCook(
            file=name,
            id=number,
            title=title,
            opened_ms=cook.opened_ms,
            digest=digest,
            entries=len(cook.entries),
            readings=sum(len(t_ms) for t_ms, _ in cook.readings.values()),
        )

    def _look(self, cook: WrittenCook) -> PlannedFrom | None:
        """Notes the photos and probes that a cook names; gives the cook that it was planned from."""
        before = None
        for entry in cook.entries:
            data = form.fields_of(entry)
            if data is None:
                continue
            if entry.kind == "photo":
                sha256, suffix = data.get("sha256"), data.get("suffix")
                if re.fullmatch("[0-9a-f]{64}", str(sha256)) and suffix in PHOTO_SUFFIXES:
                    self._photos[f"{form.PHOTOS}{sha256}{suffix}"] = (str(sha256), str(suffix))
            if (probe := probe_named(entry.kind, data)) is not None:
                self._probes.add(probe)
            if (named := cook_named(entry.kind, data)) is not None:
                before = named
        if before is not None and before not in self._digests:
            try:
                other = self._journal.written_cook(before)
            except JournalProblem:
                return None  # it never was in this journal
            self._digests[before] = PlannedFrom(other.opened_ms, form.digest_of(other))
        return None if before is None else self._digests[before]

    def _say_lost(self, count: int, text: str, cook: str = "") -> None:
        if count:
            self._left_out.append(text.format(count=count, cook=cook))

    def _add_photos(self, into: zipfile.ZipFile) -> int:
        lost = 0
        for name, (sha256, suffix) in self._photos.items():
            try:
                content = self._journal.photo_path(sha256, suffix).read_bytes()
            except OSError:
                content = b""
            if hashlib.sha256(content).hexdigest() == sha256:
                self._add(into, name, content, packed=False)
            else:
                lost += 1
        self._say_lost(lost, translate("Archive", "Photos that are missing or damaged: {count}."))
        return len(self._photos) - lost

    def _add_probes(self, into: zipfile.ZipFile, *, whole: bool) -> tuple[int, int]:
        stores = self._journal.stores
        probes = [p for p in reversed(stores.probes()) if whole or p.id in self._probes]
        by_probe: dict[int, list[Any]] = {probe.id: [] for probe in probes}
        for each in reversed(stores.calibrations()):
            if each.probe_id in by_probe:
                told = json.loads(calibration_text(each))
                by_probe[each.probe_id].append({"at_ms": round(each.at_s * 1000), "points": told})
        unread = stores.unread_calibrations() if probes else 0
        self._say_lost(unread, translate("Archive", "Calibrations that can't be read: {count}."))
        told_probes = [{**written(p), "calibrations": by_probe[p.id]} for p in probes]
        if whole or probes:
            self._add(into, form.PROBES, form.json_bytes({"probes": told_probes}))
        return len(probes), sum(map(len, by_probe.values()))

    def _add_stores(self, into: zipfile.ZipFile) -> tuple[int, int]:
        lots, wares = self._journal.stores.lots(), self._journal.stores.wares()
        told = {"lots": _without_ids(reversed(lots)), "wares": _without_ids(reversed(wares))}
        self._add(into, form.STORES, form.json_bytes(told))
        return len(lots), len(wares)

    def _add_schedules(self, into: zipfile.ZipFile) -> int:
        saved = self._journal.schedules.saved()
        told = {name: schedule_to_json(schedule) for name, schedule in saved}
        self._add(into, form.SCHEDULES, form.json_bytes({"schedules": told}))
        unread = len(self._journal.schedules.unread())
        self._say_lost(unread, translate("Archive", "Saved schedules that can't be read: {count}."))
        return len(saved)

    def _add_settings(self, into: zipfile.ZipFile) -> int:
        kept = self._journal.settings()
        told = {key: value for key, value in kept.items() if not is_of_this_machine(key)}
        self._add(into, form.SETTINGS, form.json_bytes({"settings": told}))
        unread = len(self._journal.unread_settings())
        self._say_lost(unread, translate("Archive", "Settings that can't be read: {count}."))
        return len(told)

    def _add(
        self, into: zipfile.ZipFile, name: str, content: bytes, *, packed: bool = True
    ) -> None:
        if len(content) > LARGEST_BYTES:
            raise ArchiveProblem(
                translate("Archive", "{name} would be too large for an archive.").format(name=name),
                translate("Archive", "Copy the folder of the journal instead."),
            )
        # What packs too well would be taken for a bomb when it is read.
        if packed and len(content) > SMALL_BYTES:
            packed = len(content) < MOST_TIMES // 2 * len(zlib.compress(content, 6))
        info = zipfile.ZipInfo(name, self._made)
        info.compress_type = zipfile.ZIP_DEFLATED if packed else zipfile.ZIP_STORED
        info.external_attr = 0o600 << 16
        into.writestr(info, content)
        self._members[name] = hashlib.sha256(content).hexdigest()


def _without_ids(owned: Iterable[Any]) -> list[Mapping[str, Any]]:
    return [{k: v for k, v in written(each).items() if k != "id"} for each in owned]


def _readme(manifest: Manifest) -> str:
    """What the archive is, in words, for whoever opens it without the program."""
    lines = [
        translate("Archive", "An archive of a cook journal, version {version}.").format(
            version=form.VERSION
        ),
        translate("Archive", "Cooks in it: {count}.").format(count=len(manifest.cooks)),
        *(
            f"  {cook.file}  {datetime.fromtimestamp(cook.opened_ms / 1000, UTC):%Y-%m-%d}  {one_line(cook.title)}"
            for cook in manifest.cooks
        ),
        *manifest.left_out,
        "",
        translate(
            "Archive",
            "The program smokejournal takes it in with 'smokejournal --take-in FILE', or on its page "
            "Journal.\nWithout it, everything can be read as it is: JSON, CSV and photos. manifest.json "
            "lists every file with its SHA-256.\nIn cooks/1.json stand the entries of a cook in the "
            "order of writing. What is struck is there too, and so is the entry that strikes it.\nIn "
            "cooks/1/ stand its readings by channel, as they came, in degrees Celsius. Moments (_ms) are "
            "milliseconds since 1970 in UTC.",
        ),
        "",
    ]
    return "\n".join(lines)
