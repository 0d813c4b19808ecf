"""Strict reading of what was written as JSON, by the annotations of a frozen dataclass.

What a field may hold is said once, on the field: `Annotated[float, Range(0, 500, "°C")]`, a `Literal`,
`| None`, `tuple[X, ...]`, `tuple[X, Y]`, `Mapping[str, X]`, another dataclass, or one of several that
say their `kind`. A field with a default may be left out; one that is missing, unknown, of another type
or out of its range is refused with its place. A name (`Name`) that was written before there were rules
for names is read as it is; what is written anew, or comes from a file, is read with `new` and refused. A function among the marks of `Annotated` takes the value
and gives it back or raises SchemaProblem. A class may have

- `check_together(self)`, which raises SchemaProblem where its fields don't go together,
- `to_json(self)`, its written form where that is more or less than its fields,
- `newest`, the newest version of its written form: the field `version` may then stand in it.

The readers are made once for each class, when it is first read.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import MISSING, dataclass, fields, is_dataclass, replace
from functools import cache
from types import NoneType, UnionType
from typing import (
    Annotated,
    Any,
    Literal,
    NamedTuple,
    TypeAlias,
    TypeVar,
    Union,
    cast,
    get_args,
    get_origin,
    get_type_hints,
)
from zoneinfo import ZoneInfo

from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.translate import translate

Read: TypeAlias = Callable[[Any], Any]
"""Takes a value as JSON gives it and gives the value that it means, or raises SchemaProblem."""

T = TypeVar("T")
LONGEST_TEXT = 100_000
LONGEST_NAME = 200
_SCALARS = (str, float, int, NoneType)
# A NUL would cut the text short in the database, half a surrogate pair can't be written.
_UNWRITABLE = re.compile("[\0\ud800-\udfff]")
_HALF_A_LETTER = re.compile("[\ud800-\udfff]")
# Control characters, line and paragraph separators, and what Unicode's UAX #9 (2.1 to 2.6) has for
# turning the direction of reading.
_HIDDEN = re.compile("[\0-\x1f\x7f-\x9f\u2028\u2029\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]+")


@dataclass(frozen=True, slots=True)
class Range:
    """A finite number from `low` (above it, with `above`) to `high`."""

    low: float = -sys.float_info.max
    high: float = sys.float_info.max
    unit: str = ""
    above: bool = False


@dataclass(frozen=True, slots=True)
class TextSize:
    """A text of so many characters, not only blanks with `filled`; a NUL stands in it with `nul`.

    A `name`, written anew, is one line of at most LONGEST_NAME characters without hidden ones.
    """

    shortest: int = 0
    longest: int = LONGEST_TEXT
    filled: bool = False
    nul: bool = False
    name: bool = False


@dataclass(frozen=True, slots=True)
class OneOf:
    """One of these, and nothing else."""

    words: Sequence[Any]


@dataclass(frozen=True, slots=True)
class AtMost:
    """A list of at most so many."""

    count: int


@dataclass(frozen=True, slots=True)
class EachOnce:
    """A list in which no two have the same `name`; "" may come again. Without a name: no two alike."""

    name: str = ""


@dataclass(frozen=True, slots=True)
class WrittenAs:
    """The field is written under this name."""

    name: str


#: Also what holds its default is written, here and below.
IN_FULL = object()
#: The field must be written although it has a default.
NEEDED = object()


def zone_name(value: str) -> str:
    """The name of a time zone that is known here."""
    try:
        ZoneInfo(value)
    # A name that is a folder of the zone files, or leads out of them, fails in these ways.
    except (ValueError, KeyError, OSError):
        raise SchemaProblem(
            "", translate("Strict", "Choose a time zone by its name, as in Europe/Paris.")
        ) from None
    return value


Filled: TypeAlias = Annotated[str, TextSize(filled=True)]
Name: TypeAlias = Annotated[str, TextSize(filled=True, name=True)]
Zone: TypeAlias = Annotated[str, zone_name]


def read(kind: type[T], data: object, where: str = "", *, new: bool = False) -> T:
    """What `data` is the written form of; SchemaProblem says what is wrong and where below `where`.

    With `new` names must be such as may be written.
    """
    try:
        return cast(T, _reader(cast(Any, kind), new)(data))
    except SchemaProblem as problem:
        raise problem.within(where) from None


def check(value: Any) -> None:
    """SchemaProblem where a field of the dataclass `value` holds what can't be written."""
    read(type(value), written(value, in_full=True), new=True)


def hidden_in(text: str) -> str:
    """What is wrong with a text of one line, in words; "" where nothing is."""
    if _HIDDEN.search(text):
        return translate("Strict", "Take out the line breaks and hidden characters.")
    return ""


def one_line(text: str) -> str:
    """The text with blanks in the place of line breaks and hidden characters."""
    return _HIDDEN.sub(" ", text)


def renamed(value: T) -> T:
    """A dataclass read from an old log, or made of a device's words, its names such as may be written:
    on one line without hidden characters, and a long one cut with an ellipsis."""
    if isinstance(value, tuple):
        return cast(T, tuple(renamed(item) for item in value))
    if not is_dataclass(value) or isinstance(value, type):
        return value
    changed: dict[str, Any] = {}
    for part in _parts(cast(Any, type(value)), False):
        held = getattr(value, part.name)
        changed[part.name] = as_name(held) if part.is_name else renamed(held)
    return cast(T, replace(cast(Any, value), **changed))


def as_name(text: str) -> str:
    """The text as a name may be written: see `renamed`."""
    line = one_line(text).strip() or ("…" if text else "")
    return line if len(line) <= LONGEST_NAME else f"{line[: LONGEST_NAME - 1]}…"


def readers(kind: type) -> dict[str, Read]:
    """How each field of a dataclass is read by itself, by its written name."""
    return {part.written: part.read for part in _parts(kind, True)}


def written(value: Any, *, in_full: bool = False) -> dict[str, Any]:
    """The fields of a dataclass as JSON holds them; those at their defaults only with `in_full`."""
    found: dict[str, Any] = {}
    for name, place, default, _, always, _ in _parts(cast(Any, type(value)), False):
        held = getattr(value, name)
        # 1 equals True and 1.0: compare kinds too, lest a wrong one passes for a default.
        if in_full or type(held) is not type(default) or held != default:
            plain = isinstance(held, _SCALARS)
            found[place] = held if plain else _plain(held, in_full or always)
    return found


def _plain(value: Any, in_full: bool) -> Any:
    if isinstance(value, tuple | list):
        return [_plain(item, in_full) for item in value]
    if isinstance(value, Mapping):
        return dict(value)
    if not is_dataclass(value):
        return value
    if own := getattr(value, "to_json", None):
        return own()
    kind = getattr(type(value), "kind", None)
    data = written(value, in_full=in_full)
    return {"kind": kind, **data} if isinstance(kind, str) else data


class _Part(NamedTuple):
    """One field: its name here and in writing, its default (MISSING: none) and how it is read."""

    name: str
    written: str
    default: object
    read: Read
    in_full: bool
    is_name: bool


@cache
def _parts(kind: Any, new: bool) -> tuple[_Part, ...]:
    hints = get_type_hints(kind, include_extras=True)
    found = []
    for field in fields(kind):
        hint = hints[field.name]
        marks = get_args(hint)[1:] if get_origin(hint) is Annotated else ()
        default = field.default
        if field.default_factory is not MISSING:
            default = field.default_factory()
        found.append(
            _Part(
                field.name,
                _mark(marks, WrittenAs(field.name)).name,
                MISSING if NEEDED in marks else default,
                _reader(hint, new),
                IN_FULL in marks,
                _mark(marks, TextSize()).name,
            )
        )
    return tuple(found)


def _mark(marks: Sequence[object], default: T) -> T:
    """The mark of the same class, or the default."""
    return next((mark for mark in marks if isinstance(mark, type(default))), default)


@cache
def _reader(hint: Any, new: bool) -> Read:
    marks: tuple[Any, ...] = ()
    if get_origin(hint) is Annotated:
        hint, *rest = get_args(hint)
        marks = tuple(rest)
    origin, args = get_origin(hint), get_args(hint)
    if origin in (Union, UnionType):
        kinds = [kind for kind in args if kind is not NoneType]
        inner = _reader(kinds[0], new) if len(kinds) == 1 else _one_kind(kinds, new)
        reader = _or_none(inner) if NoneType in args else inner
    elif origin is Literal:
        reader = _one_of(args)
    elif origin is tuple:
        several = args[-1] is Ellipsis
        reader = _list(_reader(args[0], new), marks) if several else _row(args, new)
    elif origin in (Mapping, dict):
        reader = _by_name(_reader(args[1], new), _reader(Filled, new))
    elif is_dataclass(hint):
        reader = _object(hint, new)
    elif choice := _mark(marks, OneOf(())).words:
        reader = _one_of(choice)
    elif hint is bool:
        reader = _yes_no
    elif hint is str:
        reader = _text(_mark(marks, TextSize()), new)
    elif hint in (int, float):
        reader = _number(_mark(marks, Range()), whole=hint is int)
    else:
        raise TypeError(f"no reader for {hint!r}")
    for mark in marks:
        if callable(mark):
            reader = _then(reader, mark)
    return reader


def _or_none(inner: Read) -> Read:
    return lambda value: None if value is None else inner(value)


def _then(first: Read, second: Read) -> Read:
    return lambda value: second(first(value))


def _number(ends: Range, *, whole: bool) -> Read:
    low, high, above = ends.low, ends.high, ends.above
    kinds: Any = int if whole else (int, float)

    def number(value: Any) -> Any:
        if isinstance(value, bool) or not isinstance(value, kinds):
            raise SchemaProblem(
                "",
                translate("Strict", "Give a whole number.")
                if whole
                else translate("Strict", "Give a number."),
            )
        # A whole number too long for a float is compared as it is.
        if not low <= value <= high or (above and value == low):
            said = [f"{end:,.10g} {ends.unit}".replace(",", " ").strip() for end in (low, high)]
            text = (
                translate("Strict", "Give a number above {low} and up to {high}.")
                if above
                else translate("Strict", "Give a number from {low} to {high}.")
            )
            raise SchemaProblem("", text.format(low=said[0], high=said[1]))
        return int(value) if whole else float(value)

    return number


def _text(size: TextSize, new: bool) -> Read:
    wrong = _HALF_A_LETTER if size.nul else _UNWRITABLE
    as_name = size.name and new
    longest = min(size.longest, LONGEST_NAME) if as_name else size.longest

    def text(value: Any) -> Any:
        if not isinstance(value, str):
            raise SchemaProblem("", translate("Strict", "Give a text."))
        if len(value) < size.shortest or (size.filled and not value.strip()):
            raise SchemaProblem("", translate("Strict", "Write something here."))
        if len(value) > longest:
            shorter = translate("Strict", "Shorten this to {count} characters.")
            raise SchemaProblem("", shorter.format(count=longest))
        if as_name and (problem := hidden_in(value)):
            raise SchemaProblem("", problem)
        if wrong.search(value):
            raise SchemaProblem(
                "", translate("Strict", "Take out the characters that can't be written.")
            )
        return value

    return text


def _yes_no(value: Any) -> Any:
    if not isinstance(value, bool):
        raise SchemaProblem("", translate("Strict", "Give yes or no."))
    return value


def _one_of(words: Sequence[Any]) -> Read:
    def one_of(value: Any) -> Any:
        # True equals 1 and is another thing.
        if isinstance(value, bool) or value not in words:
            # A blank would not be seen.
            shown = ", ".join(str(word) if str(word).strip() else repr(word) for word in words)
            raise SchemaProblem(
                "", translate("Strict", "Choose one of: {words}.").format(words=shown)
            )
        return words[words.index(value)]

    return one_of


def _listed(value: object) -> Sequence[Any]:
    """JSON knows no tuples: a list will do."""
    if not isinstance(value, list | tuple):
        raise SchemaProblem("", translate("Strict", "Give a list."))
    return value


def _each(readers: Sequence[Read], items: Sequence[Any]) -> tuple[Any, ...]:
    found = []
    for reader, item in zip(readers, items, strict=True):
        try:
            found.append(reader(item))
        except SchemaProblem as problem:
            raise problem.within(f"[{len(found)}]") from None
    return tuple(found)


def _list(inner: Read, marks: Sequence[object]) -> Read:
    most = _mark(marks, AtMost(sys.maxsize)).count
    names = [mark.name for mark in marks if isinstance(mark, EachOnce)]

    def several(value: Any) -> Any:
        items = _listed(value)
        if len(items) > most:
            raise SchemaProblem(
                "", translate("Strict", "There can be {count} at most.").format(count=most)
            )
        found = _each([inner] * len(items), items)
        for name in names:
            _once(found, name)
        return found

    return several


def _once(items: Sequence[Any], name: str) -> None:
    if not name and len(set(items)) < len(items):
        raise SchemaProblem("", translate("Strict", "Name each only once."))
    seen = set()
    for n, item in enumerate(items if name else ()):
        key = getattr(item, name)
        if key and key in seen:
            raise SchemaProblem(
                f"[{n}].{name}", translate("Strict", "“{key}” is there twice. Each needs its own.").format(key=key)
            )  # fmt: skip
        seen.add(key)


def _row(hints: Sequence[Any], new: bool) -> Read:
    readers = [_reader(hint, new) for hint in hints]
    units = ", ".join(_mark(get_args(hint)[1:], Range()).unit for hint in hints)

    def row(value: Any) -> Any:
        items = _listed(value)
        if len(items) != len(readers):
            raise SchemaProblem(
                "", translate("Strict", "Give a list of these: {units}.").format(units=units)
            )
        return _each(readers, items)

    return row


def _named(data: object) -> Mapping[Any, Any]:
    if not isinstance(data, dict | Mapping):
        raise SchemaProblem("", translate("Strict", "Give a set of named fields."))
    return data


def _by_name(inner: Read, key_of: Read) -> Read:
    def by_name(value: Any) -> Any:
        found = {}
        for name, item in _named(value).items():
            key = key_of(name)
            try:
                found[key] = inner(item)
            except SchemaProblem as problem:
                raise problem.within(key) from None
        return found

    return by_name


def _one_kind(kinds: Sequence[Any], new: bool) -> Read:
    """One of several classes, by the name of its `kind` that stands among its fields."""
    readers = {kind.kind: _reader(kind, new) for kind in kinds}
    kind_of = _one_of(tuple(readers))

    def one_kind(data: Any) -> Any:
        given = dict(_named(data))
        try:
            kind = kind_of(given.pop("kind", None))
        except SchemaProblem as problem:
            raise problem.within("kind") from None
        return readers[kind](given)

    return one_kind


def _object(kind: Any, new: bool) -> Read:
    parts = _parts(kind, new)
    readers = {part.written: (part.name, part.read) for part in parts}
    needed = [(part.name, part.written) for part in parts if part.default is MISSING]
    together = getattr(kind, "check_together", None)
    newest = getattr(kind, "newest", 0)

    def made(data: Any) -> Any:
        values = {}
        for name, value in _named(data).items():
            known = readers.get(name)
            if known is None:
                if newest and name == "version":
                    _check_version(value, newest)
                    continue
                raise SchemaProblem(
                    f"{name}", translate("Strict", "This version doesn't know this field.")
                )
            try:
                values[known[0]] = known[1](value)
            except SchemaProblem as problem:
                raise problem.within(name) from None
        for name, place in needed:
            if name not in values:
                raise SchemaProblem(place, translate("Strict", "This field is missing."))
        thing = kind(**values)
        if together is not None:
            together(thing)
        return thing

    return made


def _check_version(value: object, newest: int) -> None:
    if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= newest:
        raise SchemaProblem(
            "version",
            translate("Strict", "This was written by a newer version. Set it up again."),
        )
