"""Words as they are looked for: folded alike in what is written and in what is typed.

A word is a run of letters and digits, without capitals and without marks above and below. Folding is
done here and not by the index alone, so that what a person types can never be syntax of the index, and
so that a plain scan finds the same.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

_WORD = re.compile(r"[^\W_]+")
_ASKED = re.compile(r'(?P<minus>-?)(?:"(?P<phrase>[^"]*)(?P<end>"?)|(?P<word>[^\s"]+))')
#: Stands between two texts, so that no phrase runs from one into the next. It is of nobody's alphabet,
#: so no word holds it; the index takes it for a word (unicode61 keeps private use: SQLite, FTS5, 4.3.1).
BETWEEN = "\ue000"
_ODD = "\ue001"
#: Begins what the index holds of a cook that nobody typed: no word holds it either.
FACT = "\ue002"


def _folded(text: str) -> str:
    if text.isascii():
        return text.lower()
    open_text = unicodedata.normalize("NFKD", unicodedata.normalize("NFKD", text).casefold())
    return "".join(c for c in open_text if unicodedata.category(c)[0] != "M")


def _plain(word: str) -> str:
    """The word in letters that every version of the index knows as such: others by their number.

    The index parts words by Unicode 6.1 and would pass over newer letters.
    """
    if word.isascii():
        return word
    return "".join(
        c
        if c.isascii() or unicodedata.ucd_3_2_0.category(c)[0] in "LN"
        else f"{_ODD}{ord(c):x}{_ODD}"
        for c in word
    )


def words_of(text: str) -> tuple[str, ...]:
    """The words of a text, folded, in order."""
    return tuple(_plain(word) for word in _WORD.findall(_folded(text)))


@dataclass(frozen=True, slots=True)
class AskedPhrase:
    """Words one after the other in one text. The last may be a mere beginning (`prefix`)."""

    words: tuple[str, ...]
    prefix: bool = False

    def begins_in(self, words: Sequence[str]) -> Iterator[int]:
        """Where the phrase begins among the words of one text."""
        size = len(self.words)
        for at in range(len(words) - size + 1):
            found = tuple(words[at : at + size])
            if found == self.words or (
                self.prefix
                and found[:-1] == self.words[:-1]
                and found[-1].startswith(self.words[-1])
            ):
                yield at

    def index_text(self) -> str:
        """As the index is asked for it."""
        # Words hold letters, digits and private marks only: nothing here can be syntax.
        return f'"{" ".join(self.words)}"{" *" if self.prefix else ""}'


@dataclass(frozen=True, slots=True)
class AskedWords:
    """What a cook must hold, each in any of its texts, and what none of them may hold."""

    wanted: tuple[AskedPhrase, ...] = ()
    unwanted: tuple[AskedPhrase, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.wanted or self.unwanted)

    @classmethod
    def read(cls, text: str) -> AskedWords:
        """What was typed: words, of which the last may be a beginning, "a phrase", and -without."""
        wanted: dict[AskedPhrase, None] = {}
        unwanted: dict[AskedPhrase, None] = {}
        for found in _ASKED.finditer(text):
            words = words_of(found["word"] or found["phrase"] or "")
            if not words:
                continue
            if found["minus"]:
                unwanted[AskedPhrase(words)] = None
            else:
                unfinished = found.end() == len(text.rstrip()) and not found["end"]
                wanted[AskedPhrase(words, unfinished)] = None
        return cls(tuple(wanted), tuple(unwanted))

    def hold_in(self, texts: Sequence[Sequence[str]]) -> bool:
        """Whether a cook with these texts, each as its words, is one that is looked for."""

        def is_in(phrase: AskedPhrase) -> bool:
            return any(next(phrase.begins_in(words), None) is not None for words in texts)

        return all(map(is_in, self.wanted)) and not any(map(is_in, self.unwanted))

    def best_of(self, texts: Sequence[Sequence[str]]) -> int | None:
        """The number of the text that holds most of what is wanted; None: no text.

        Of several the last: what was noted and tasted comes after what was planned.
        """
        counts = [
            sum(next(phrase.begins_in(words), None) is not None for phrase in self.wanted)
            for words in texts
        ]
        most = max(counts, default=0)
        return len(counts) - 1 - counts[::-1].index(most) if most else None

    def marks_in(self, text: str) -> tuple[tuple[int, int], ...]:
        """Where in a text stands what was looked for, as (from, to) of its characters, in order."""
        spans, words = [], []
        for at, to in _runs(text):
            for word in words_of(text[at:to]):
                spans.append((at, to))
                words.append(word)
        marked: set[tuple[int, int]] = set()
        for phrase in self.wanted:
            for at in phrase.begins_in(words):
                marked.update(spans[at : at + len(phrase.words)])
        return tuple(sorted(marked))


def _runs(text: str) -> Iterator[tuple[int, int]]:
    """Where words stand in a text as it was written, whose folding may have another length."""
    if text.isascii():
        yield from (found.span() for found in _WORD.finditer(text))
        return
    begin: int | None = None
    for at, char in enumerate(text):
        if words_of(char) or (begin is not None and unicodedata.category(char)[0] == "M"):
            begin = at if begin is None else begin
        elif begin is not None:
            yield begin, at
            begin = None
    if begin is not None:
        yield begin, len(text)


def joined(texts: Sequence[Sequence[str]]) -> str:
    """The words of several texts as one, the texts kept apart."""
    return f" {BETWEEN} ".join(" ".join(words) for words in texts)


def parted(text: str) -> list[list[str]]:
    """What `joined` put together."""
    return [part.split() for part in text.split(BETWEEN)]
