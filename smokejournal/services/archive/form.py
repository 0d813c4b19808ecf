"""The form of an archive: a zip of plain text and photos that needs no program of ours to be read.

- `README.txt` says in words what is in it.
- `manifest.json`: `format` and `version` (1), `program` and `made_ms` (by what it was written and when),
  `whole` (whether of the whole journal), `cooks` (each with `file`, `id`, `title`, `opened_ms`, `digest`
  and how many `entries` and `readings`), `holds` (how many of the rest), `left_out` (sentences), and
  `members`: the SHA-256 of every other file.
- `cooks/1.json`: `opened_ms`, the `entries` in the order of writing, and `readings` (channel and file).
  An entry has the `id`, `at_ms`, `recorded_ms`, `kind` and `form` that it has in the journal, and its
  fields as `data` (`cook/codec/entries`), or as `text` where they are no JSON that reads back the same.
  What is struck is there, and so is the strike. `planned_from` names the cook it was planned again from.
- `cooks/1/1.csv`: the readings of a channel: `t_ms,value_c`, as they came, in °C.
- `photos/`: each under the SHA-256 of what is in it.
- `probes.json`: probes with their calibrations: those that the cooks name, or all. Of a whole journal also
  `stores.json` (lots and wares), `schedules.json` and `settings.json`.

Moments are UTC milliseconds (`*_ms`); a number is the shortest text that reads back to the same bits. What
is not in it: which inputs were set up, and the clock of practice. They are of one machine.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Annotated, Any, ClassVar, Final

import numpy as np

from smokejournal.cook.codec.references import Numbers, renumbered
from smokejournal.cook.log.ranges import LAST_S, KeptId
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.strict import Filled, TextSize, read, written
from smokejournal.cook.text.translate import translate
from smokejournal.journal import WrittenCook, WrittenEntry

FORMAT: Final = "smokejournal archive"
VERSION: Final = 1
SUFFIX: Final = ".cooks.zip"
README, MANIFEST = "README.txt", "manifest.json"
PROBES, STORES = "probes.json", "stores.json"
SCHEDULES, SETTINGS = "schedules.json", "settings.json"
PHOTOS: Final = "photos/"
#: What a program writes by itself at any time doesn't make another cook of the same.
_COMPUTED: Final = ("forecast_made", "fuel_foreseen", "piece_found", "time_explained")
_LAST_MS: Final = int(LAST_S * 1000)
_HEAD: Final = "t_ms,value_c\n"


#: As it stands in the journal, where damage may have left anything.
_AsItStands = Annotated[str, TextSize(nul=True)]


class ArchiveProblem(ValueError):
    """An archive that can't be used or written. `message` says what is wrong, `cure` what to do."""

    def __init__(self, message: str, cure: str = "") -> None:
        super().__init__(f"{message} {cure}".strip())
        self.message = message
        self.cure = cure


@dataclass(frozen=True, slots=True)
class ArchivedCook:
    """A cook as the manifest lists it. `id` is its number in the journal that it is from."""

    file: Filled
    id: KeptId
    title: _AsItStands
    opened_ms: int
    digest: Filled
    entries: int = 0
    readings: int = 0


@dataclass(frozen=True, slots=True)
class Holds:
    """How many of what belongs to no one cook, and of photos."""

    photos: int = 0
    probes: int = 0
    calibrations: int = 0
    lots: int = 0
    wares: int = 0
    schedules: int = 0
    settings: int = 0


@dataclass(frozen=True, slots=True)
class Manifest:
    """What an archive says of itself; see the module."""

    newest: ClassVar[int] = VERSION
    program: str
    made_ms: int
    whole: bool
    cooks: tuple[ArchivedCook, ...]
    holds: Holds
    members: Mapping[str, str]
    left_out: tuple[_AsItStands, ...] = field(default=())


@dataclass(frozen=True, slots=True)
class PlannedFrom:
    """The cook that another one was planned again from, whatever its number is."""

    opened_ms: int
    digest: Filled


@dataclass(frozen=True, slots=True)
class ReadingsFile:
    """Where the readings of a channel are."""

    channel: Annotated[str, TextSize(filled=True, nul=True)]
    file: Filled


@dataclass(frozen=True, slots=True)
class EntryHead:
    """What is written of an entry beside its fields."""

    id: KeptId
    at_ms: int
    recorded_ms: int
    kind: _AsItStands
    form: int


@dataclass(frozen=True, slots=True)
class CookFile:
    """A cook as its file holds it, without its readings."""

    opened_ms: int
    entries: tuple[WrittenEntry, ...]
    readings: tuple[ReadingsFile, ...]
    planned_from: PlannedFrom | None


def json_bytes(value: object) -> bytes:
    """The text of a JSON file."""
    return (json.dumps(value, ensure_ascii=False, indent=1, allow_nan=False) + "\n").encode()


def compact(value: object) -> str:
    """JSON as the journal keeps it."""
    return json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"))


def fields_of(entry: WrittenEntry) -> dict[str, Any] | None:
    """The fields of an entry; None where its payload is no JSON object that reads back the same."""
    if entry.damaged:
        return None
    try:
        data = json.loads(entry.payload)
        return data if isinstance(data, dict) and compact(data) == entry.payload else None
    except (ValueError, RecursionError):
        return None


def cook_bytes(
    cook: WrittenCook, files: Sequence[ReadingsFile], planned_from: PlannedFrom | None
) -> bytes:
    """A cook as its file."""
    told: dict[str, Any] = {"opened_ms": cook.opened_ms}
    if planned_from is not None:
        told["planned_from"] = written(planned_from)
    told["entries"] = [_entry(entry) for entry in cook.entries]
    told["readings"] = [written(each) for each in files]
    return json_bytes(told)


def _entry(entry: WrittenEntry) -> dict[str, Any]:
    data = fields_of(entry)
    return {
        "id": entry.id,
        "at_ms": entry.at_ms,
        "recorded_ms": entry.recorded_ms,
        "kind": entry.kind,
        "form": entry.form,
        **({"text": entry.payload} if data is None else {"data": data}),
    }


def cook_from(data: object) -> CookFile:
    """The cook that a file holds. SchemaProblem says what is wrong, and where."""
    if not isinstance(data, dict) or not isinstance(data.get("entries"), list):
        raise SchemaProblem("entries", translate("Archive", "There are no entries in it."))
    entries: list[WrittenEntry] = []
    for n, each in enumerate(data["entries"]):
        try:
            entries.append(_entry_from(each, entries[-1].id if entries else 0))
        except SchemaProblem as problem:
            raise problem.within(f"entries[{n}]") from None
    if not entries:
        raise SchemaProblem("entries", translate("Archive", "There are no entries in it."))
    _check_strikes(entries)
    files = read(_Rest, {name: data[name] for name in data if name != "entries"})
    _check_moment("opened_ms", files.opened_ms)
    if len({each.channel for each in files.readings}) < len(files.readings):
        raise SchemaProblem("readings", translate("Archive", "A channel is there twice."))
    return CookFile(files.opened_ms, tuple(entries), files.readings, files.planned_from)


@dataclass(frozen=True, slots=True)
class _Rest:
    opened_ms: int
    readings: tuple[ReadingsFile, ...]
    planned_from: PlannedFrom | None = None


def _entry_from(data: object, before: int) -> WrittenEntry:
    if not isinstance(data, dict) or ("data" in data) == ("text" in data):
        raise SchemaProblem("", translate("Archive", "Give either data or text."))
    head = read(EntryHead, {k: v for k, v in data.items() if k not in ("data", "text")})
    _check_moment("at_ms", head.at_ms)
    _check_moment("recorded_ms", head.recorded_ms)
    if head.id <= before:
        raise SchemaProblem("id", translate("Archive", "The entries are not in their order."))
    if not 1 <= head.form < 2**31:
        raise SchemaProblem("form", translate("Archive", "Give a whole number from 1."))
    held = data["data"] if "data" in data else data["text"]
    if not isinstance(held, dict if "data" in data else str):
        raise SchemaProblem("data", translate("Archive", "Give fields, or a text."))
    payload = held if isinstance(held, str) else compact(held)
    try:
        payload.encode(), head.kind.encode()
    except UnicodeEncodeError as problem:
        raise SchemaProblem("data", translate("Archive", "It holds half a letter.")) from problem
    return WrittenEntry(head.id, head.at_ms, head.recorded_ms, head.kind, payload, head.form)


def _check_strikes(entries: Sequence[WrittenEntry]) -> None:
    known = {entry.id for entry in entries}
    for entry in entries:
        data = fields_of(entry) if entry.kind == "strike" else None
        struck = None if data is None else data.get("entry_id")
        if isinstance(struck, int) and struck not in known:
            raise SchemaProblem(
                "entries", translate("Archive", "It strikes an entry that isn't in it.")
            )


def _check_moment(where: str, at_ms: int) -> None:
    if not 0 <= at_ms <= _LAST_MS:
        raise SchemaProblem(where, translate("Archive", "Give a moment from 1970 to 9999."))


def readings_bytes(t_ms: np.ndarray, value_c: np.ndarray) -> bytes:
    """The readings of a channel, at `t_ms` (n,) with values in °C (n,), as their file."""
    rows = zip(t_ms.tolist(), value_c.tolist(), strict=True)
    return (_HEAD + "".join(f"{at_ms},{value!r}\n" for at_ms, value in rows)).encode()


def readings_from(content: bytes) -> tuple[np.ndarray, np.ndarray]:
    """Times [ms] (n,), ascending, and values [°C] (n,) of a file of readings. SchemaProblem where it
    isn't written as `readings_bytes` does."""
    wrong = SchemaProblem("", translate("Archive", "These are no readings."))
    try:
        rows = [line.split(",") for line in content.decode("ascii").splitlines()[1:]]
        t_ms = np.array([int(at_ms) for at_ms, _ in rows], dtype=np.int64)
        value_c = np.array([float(value) for _, value in rows], dtype=np.float64)
    except (ValueError, OverflowError) as problem:
        raise wrong from problem
    if readings_bytes(t_ms, value_c) != content or not np.isfinite(value_c).all():
        raise wrong
    if t_ms.size and not (t_ms[0] >= 0 and t_ms[-1] <= _LAST_MS and (np.diff(t_ms) > 0).all()):
        raise SchemaProblem("", translate("Archive", "The times of its readings can't be."))
    return t_ms, value_c


def digest_of(cook: WrittenCook) -> str:
    """What a cook holds, as SHA-256: the same in whatever journal it is and whatever its numbers are
    there. What the program computes by itself doesn't count, nor does which cook it was planned from."""
    places: dict[int, int] = {}
    passed: set[int] = set()
    told: list[object] = []
    for entry in cook.entries:
        data = fields_of(entry)
        struck = data.get("entry_id") if data is not None and entry.kind == "strike" else None
        places[entry.id] = len(told) + 1
        if entry.kind in _COMPUTED or (isinstance(struck, int) and struck in passed):
            passed.add(entry.id)
            continue
        if data is not None:
            data = renumbered(entry.kind, data, Numbers(places, {}, {}))
        told.append(
            [
                entry.at_ms,
                entry.recorded_ms,
                entry.kind,
                entry.form,
                entry.payload if data is None else data,
            ]
        )
    readings = sorted(
        [key, hashlib.sha256(readings_bytes(*each)).hexdigest()]
        for key, each in cook.readings.items()
    )
    text = json.dumps([cook.opened_ms, told, readings], sort_keys=True)
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def foreign() -> ArchiveProblem:
    """What is said of a file of something else."""
    return ArchiveProblem(
        translate("Archive", "This is no archive of cooks."),
        translate(
            "Archive",
            "Nothing was written. Choose a file that this program wrote as an archive.",
        ),
    )


def manifest_bytes(manifest: Manifest) -> bytes:
    """The manifest as its file."""
    return json_bytes({"format": FORMAT, "version": VERSION, **written(manifest, in_full=True)})


def manifest_from(data: object) -> Manifest:
    """The manifest that a file holds. ArchiveProblem where it is of another program or a newer version;
    SchemaProblem where it is damaged."""
    if not isinstance(data, dict) or data.get("format") != FORMAT:
        raise foreign()
    version = data.get("version")
    if isinstance(version, int) and not isinstance(version, bool) and version > VERSION:
        raise ArchiveProblem(
            translate("Archive", "This archive was written by a newer version of the program."),
            translate("Archive", "Nothing was written. Update the program, then take it in again."),
        )
    return read(Manifest, {k: v for k, v in data.items() if k != "format"})
