"""Reads an archive, and refuses what is none before anything follows from it."""

from __future__ import annotations

import hashlib
import json
import re
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.translate import translate
from smokejournal.journal import PHOTO_SUFFIXES, WrittenCook
from smokejournal.services.archive import form, limits
from smokejournal.services.archive.form import ArchivedCook, ArchiveProblem, CookFile, Manifest

#: Every name that a file in an archive can have.
_NAME: Final = re.compile(
    rf"{form.README}|{form.PROBES}|{form.STORES}|{form.SCHEDULES}|{form.SETTINGS}"
    r"|cooks/[1-9]\d{0,8}\.json|cooks/[1-9]\d{0,8}/[1-9]\d{0,8}\.csv"
    rf"|{form.PHOTOS}[0-9a-f]{{64}}({'|'.join(re.escape(s) for s in sorted(PHOTO_SUFFIXES))})",
    re.ASCII,
)
_FAULTS: Final = (
    zipfile.BadZipFile,
    zipfile.LargeZipFile,
    zlib.error,
    EOFError,
    NotImplementedError,
    RuntimeError,
    UnicodeDecodeError,
)


@contextmanager
def open_archive(path: Path) -> Iterator[Archive]:
    """The archive at `path`, with every file in it looked at. Slow.

    ArchiveProblem where it is damaged, of another program, of a newer version, or holds what no archive
    does; OSError where it can't be read.
    """
    try:
        zipped = zipfile.ZipFile(path)
    except zipfile.BadZipFile as problem:
        raise _no_zip(path) from problem
    except (*_FAULTS, ValueError) as problem:
        raise _damaged(path.name, str(problem)) from problem
    with zipped:
        archive = Archive(zipped, path.name)
        archive.check()
        yield archive


class Archive:
    """One archive, open. What is in it is read again each time, and compared with the manifest."""

    def __init__(self, zipped: zipfile.ZipFile, name: str) -> None:
        self._zip = zipped
        self._name = name
        self._sums: dict[str, str] = {}
        self._infos = self._checked_infos()
        self.manifest = self._manifest()
        self._sums = dict(self.manifest.members)

    def check(self) -> None:
        """Looks at every file. ArchiveProblem says what is wrong with the first that can't be used."""
        listed, there = set(self._sums), set(self._infos) - {form.MANIFEST}
        for name in sorted(listed ^ there):
            words = (
                translate("Archive", "{file} is missing in it")
                if name in listed
                else translate("Archive", "{file} is in it and isn't listed")
            )
            raise _damaged(self._name, words.format(file=name))
        used: set[str] = {form.README}
        for cook in self.manifest.cooks:
            used |= {cook.file}
            held, files = self._cook(cook)
            used |= files
            if form.digest_of(held) != cook.digest:
                raise _damaged(self._name, cook.file)
        for name in sorted(there - used):
            if name.startswith("cooks/"):
                raise _damaged(self._name, name)
            content = self.content(name)
            if name.startswith(form.PHOTOS):
                if hashlib.sha256(content).hexdigest() != Path(name).stem:
                    raise _damaged(self._name, name)
            else:
                self.json(name)
        self.content(form.README)

    def cook(self, cook: ArchivedCook) -> WrittenCook:
        """A cook that the manifest lists."""
        return self._cook(cook)[0]

    def without_readings(self, cook: ArchivedCook) -> CookFile:
        """A cook that the manifest lists, as its file holds it."""
        try:
            return form.cook_from(self.json(cook.file))
        except SchemaProblem as problem:
            raise _damaged(self._name, f"{cook.file}: {problem}") from problem

    def photos(self) -> tuple[str, ...]:
        """The names of the photos in it."""
        return tuple(name for name in self._infos if name.startswith(form.PHOTOS))

    def json(self, name: str) -> Any:
        """What a JSON file in it holds; {} where there is no such file."""
        if name not in self._infos:
            return {}
        try:
            found = json.loads(self.content(name).decode("utf-8"), parse_constant=_no_number)
        except (ValueError, RecursionError) as problem:
            raise _damaged(self._name, f"{name}: {problem}") from problem
        if not isinstance(found, dict):
            raise _damaged(self._name, name)
        return found

    def content(self, name: str) -> bytes:
        """The bytes of a file in it, as the manifest has them."""
        try:
            with self._zip.open(self._infos[name]) as file:
                content = file.read()
        except KeyError as problem:
            raise _damaged(self._name, name) from problem
        except _FAULTS as problem:
            raise _damaged(self._name, f"{name}: {problem}") from problem
        if name != form.MANIFEST and hashlib.sha256(content).hexdigest() != self._sums.get(name):
            raise _damaged(
                self._name,
                translate("Archive", "{file} isn't as it was written").format(file=name),
            )
        return content

    def _cook(self, cook: ArchivedCook) -> tuple[WrittenCook, set[str]]:
        held = self.without_readings(cook)
        readings = {}
        for each in held.readings:
            try:
                readings[each.channel] = form.readings_from(self.content(each.file))
            except SchemaProblem as problem:
                raise _damaged(self._name, f"{each.file}: {problem}") from problem
        found = WrittenCook(held.opened_ms, held.entries, readings)
        return found, {each.file for each in held.readings}

    def _manifest(self) -> Manifest:
        if form.MANIFEST not in self._infos:
            raise form.foreign()
        try:
            found = form.manifest_from(self.json(form.MANIFEST))
        except SchemaProblem as problem:
            raise _damaged(self._name, f"{form.MANIFEST}: {problem}") from problem
        ids = [cook.id for cook in found.cooks]
        if len(set(ids)) < len(ids):
            raise _damaged(self._name, form.MANIFEST)
        return found

    def _checked_infos(self) -> dict[str, zipfile.ZipInfo]:
        infos = self._zip.infolist()
        found: dict[str, zipfile.ZipInfo] = {}
        if len(infos) > limits.MOST_MEMBERS:
            raise _too_large()
        if sum(info.file_size for info in infos) > limits.LARGEST_WHOLE_BYTES:
            raise _too_large()
        for info in infos:
            parts = re.split(r"[/\\]", info.orig_filename)
            if ".." in parts or parts[0] == "" or ":" in info.orig_filename:
                raise ArchiveProblem(
                    translate(
                        "Archive", "A file in this archive would land outside of it: {file}."
                    ).format(file=info.orig_filename),
                    translate("Archive", "Don't use it. Ask for it again from where it came."),
                )
        if form.MANIFEST not in {info.filename for info in infos}:
            raise form.foreign()
        for info in infos:
            if info.flag_bits & 0x1:
                raise ArchiveProblem(
                    translate("Archive", "This archive asks for a password."),
                    translate("Archive", "Choose one that was written without."),
                )
            large = info.file_size > limits.SMALL_BYTES
            if info.file_size > limits.LARGEST_BYTES or (
                large and info.file_size > limits.MOST_TIMES * info.compress_size
            ):
                raise _too_large()
            if info.filename in found:
                raise _damaged(
                    self._name,
                    translate("Archive", "{file} is in it twice").format(file=info.filename),
                )
            if info.filename != form.MANIFEST and not _NAME.fullmatch(info.orig_filename):
                raise _damaged(
                    self._name,
                    translate("Archive", "{file} is in it and isn't part of an archive").format(
                        file=info.orig_filename
                    ),
                )
            found[info.filename] = info
        return found


def _no_number(word: str) -> object:
    raise ValueError(word)


def _damaged(name: str, why: str) -> ArchiveProblem:
    return ArchiveProblem(
        translate("Archive", "{name} can't be taken in, as it is damaged: {why}.").format(
            name=name, why=why.rstrip(".")
        ),
        translate("Archive", "Nothing was written. Get the archive again from where it came."),
    )


def _no_zip(path: Path) -> ArchiveProblem:
    """Cut off, or never a zip: its first bytes tell (PKWARE, APPNOTE.TXT, 4.3.7)."""
    with path.open("rb") as file:
        cut = file.read(4) == b"PK\x03\x04"
    return (
        _damaged(path.name, translate("Archive", "its end is missing")) if cut else form.foreign()
    )


def _too_large() -> ArchiveProblem:
    return ArchiveProblem(
        translate("Archive", "Unpacked, this archive would be larger than any journal."),
        translate("Archive", "Nothing was written. Get the archive again from where it came."),
    )
