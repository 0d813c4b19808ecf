"""Searches: every cook that holds the words is found, by the text that holds them, whatever happens."""

import sqlite3
import unicodedata
from contextlib import closing
from datetime import date
from pathlib import Path

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from smokejournal.cook.log import entries as e
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.log.schedule import Schedule, Stage
from smokejournal.journal import CookFilter, Journal, text_table
from smokejournal.journal.finding import FoundText
from smokejournal.journal.opening import FILE_NAME
from smokejournal.journal.searching import asked_of_index, cooks_looked_through
from smokejournal.journal.words import AskedWords, joined, parted, words_of

AT_S = 1_780_000_000.0
DAY_S = 86_400.0


def begin(journal: Journal, *said: e.Payload, title: str = "Cook", day: int = 0) -> int:
    at_s = AT_S + day * DAY_S
    cook = journal.new_cook(e.CookOpened(title, "UTC"), at_s, at_s).result(10)
    if said:
        journal.append_many(cook, [(at_s + 60, what) for what in said], at_s + 60).result(10)
    return cook


def ids(journal: Journal, text: str, narrowed: CookFilter | None = None) -> list[int]:
    lines = journal.cooks(text, narrowed=narrowed or CookFilter())
    return [line.id for line in lines]


def found(journal: Journal, text: str) -> FoundText:
    (line,) = journal.cooks(text)
    assert line.found is not None
    return line.found


def raw(folder: Path, *statements: str) -> None:
    with closing(sqlite3.connect(folder / FILE_NAME)) as connection, connection:
        for statement in statements:
            connection.execute(statement)


def is_current(journal: Journal) -> bool:
    with journal.reading() as connection:
        return text_table.is_current(connection)


def without_index(monkeypatch: pytest.MonkeyPatch) -> None:
    """As a SQLite that was made without full-text search."""
    monkeypatch.setattr(text_table, "can_index", lambda _: False)
    monkeypatch.setattr("smokejournal.journal.journal.can_index", lambda _: False)


WRITTEN = (
    (
        e.ItemAdded("Turkey crown", label="lefthand", bought_at="Harbor market"),
        "crown lefthand market",
    ),
    (e.PrepStep("Brining", "overnight in the cellar"), "brining cellar"),
    (e.ChannelSet(Channel("p1", "Thick end", place="breastbone")), "thick breastbone"),
    (
        e.ScheduleSet(Schedule("Slowly", (Stage("s", "Drying", instruction="Vents ajar"),))),
        "slowly drying ajar",
    ),
    (e.Spritz("cider vinegar"), "vinegar"),
    (e.FuelAdded("Plum, autumn bag", 5.0, 0.1), "plum autumn"),
    (e.StoreUsed("rub", "Pepper dust"), "dust"),
    (e.Photo("a" * 64, ".jpg", "the bark after wrapping"), "bark"),
    (e.Tasted("a little dry at the rim", taster="Uncle"), "rim uncle"),
    (e.Note("wind from the east"), "east"),
    (e.NextTime("start half an hour earlier"), "earlier"),
)


@pytest.mark.parametrize(("what", "words"), WRITTEN)
def test_all_that_a_person_wrote_is_found(journal: Journal, what: e.Payload, words: str) -> None:
    cook = begin(journal, what)
    begin(journal, title="Another")
    for word in words.split():
        assert ids(journal, word) == [cook], word
        assert ids(journal, word[:-1].upper()) == [cook], word


def test_a_result_says_which_text_matched_and_where(journal: Journal) -> None:
    cook = begin(
        journal, e.Note("half of it"), e.NextTime("start half an  hour\nearlier"), title="Ribs"
    )
    text = found(journal, "ribs hour half")
    assert (text.sort, text.at_s) == ("next_time", AT_S + 60)
    assert text.text == "start half an hour earlier"
    assert [text.text[at:to] for at, to in text.marks] == ["half", "hour"]
    assert journal.entries(cook)[2].id == text.entry_id
    # What the line shows by itself isn't said again.
    assert [line.found for line in journal.cooks("rib")] == [None]


def test_words_phrases_beginnings_and_what_is_left_out(journal: Journal) -> None:
    one = begin(journal, e.Note("apple wood chips"), e.Note("very wet"), day=1)
    two = begin(journal, e.Note("wood of an apple"), day=2)
    assert ids(journal, "apple wood") == [two, one]
    assert ids(journal, '"apple wood"') == [one]
    assert ids(journal, '"chips very"') == []  # no phrase runs from one text into the next
    assert ids(journal, '"apple woo') == [one]  # still being typed
    assert ids(journal, "appl wood") == []  # only the last one is a beginning
    assert ids(journal, "apple -chips") == [two]
    assert ids(journal, '-"apple wood"') == [two]
    assert ids(journal, "ÄPPLE-wood") == [one]
    assert ids(journal, '- "" * ()') == [two, one]
    assert ids(journal, "wood OR nothing") == []


def test_newest_first_a_page_at_a_time(journal: Journal) -> None:
    cooks = [begin(journal, e.Note("oak"), day=day) for day in (3, 1, 2)]
    order = [cooks[0], cooks[2], cooks[1]]
    assert ids(journal, "oak") == order
    pages = [journal.cooks("oak", limit=2, offset=at) for at in (0, 2)]
    assert [[line.id for line in page] for page in pages] == [order[:2], order[2:]]
    # When the fire is lit decides, once it is.
    lit_s = AT_S + 9 * DAY_S
    journal.append(cooks[1], e.ScheduleStarted(), lit_s, lit_s).result(10)
    assert ids(journal, "oak") == [cooks[1], cooks[0], cooks[2]]


def test_strikes_undo_renames_and_back_dated_entries_are_followed(journal: Journal) -> None:
    cook = begin(journal, title="Ribs")
    note = journal.append(cook, e.Note("too salty"), AT_S - 3600, AT_S).result(10)
    assert ids(journal, "salty") == [cook]
    strike = journal.append(cook, e.Strike(note.id), AT_S, AT_S).result(10)
    assert ids(journal, "salty") == []
    journal.append(cook, e.Strike(strike.id), AT_S, AT_S).result(10)
    assert ids(journal, "salty") == [cook]
    journal.append(cook, e.CookRenamed("Trout", place="yard"), AT_S, AT_S).result(10)
    assert ids(journal, "trout yard") == [cook]
    assert found(journal, "ribs") == FoundText(1, AT_S, "title", "Ribs", ((0, 4),))
    for name in ("Warm", "Cold"):
        stage = Stage("s", f"{name} smoke")
        journal.append(cook, e.ScheduleSet(Schedule("", (stage,))), AT_S, AT_S).result(10)
    assert ids(journal, "cold smoke") == [cook]
    assert ids(journal, "warm smoke") == []
    # What says nothing leaves the index as sound as it was.
    journal.append(cook, e.Lid(True), AT_S, AT_S).result(10)
    assert is_current(journal)
    assert journal.check() == ()


def test_filters_and_words_hold_together(journal: Journal) -> None:
    windy = begin(
        journal,
        e.ItemAdded("Trout", "fish"),
        e.FuelAdded("Alder", 5.0, 0.1),
        e.WeatherObserved(air_c=2.0, wind_m_s=3.0),
        e.WeatherObserved(air_c=9.0, wind_m_s=8.0),
        e.Tasted("mild", {"overall": 4}),
        e.Tasted("salty", {"overall": 3}),
        day=1,
    )
    calm = begin(journal, e.ItemAdded("Eel", "fish"), e.WeatherObserved(air_c=20.0), day=2)
    nothing = begin(journal, title="Planned", day=3)

    def these(text: str = "", **limits: object) -> list[int]:
        narrowed = CookFilter(**limits)  # type: ignore[arg-type]
        found = ids(journal, text, narrowed)
        asked = AskedWords.read(text)
        for trusting in (True, False):
            with journal.reading() as connection:
                looked_through = cooks_looked_through(
                    connection, asked, narrowed, None, 0, away=True, trusting=trusting
                )
            assert [line.id for line in looked_through] == found
        return found

    began = date(2026, 5, 28)
    assert these() == [nothing, calm, windy]
    assert these(food="fish") == [calm, windy]
    assert these(food="poultry") == []
    assert these(lot="Alder") == [windy]
    assert these(lot="Ald") == []
    assert (these(overall=3.5), these(overall=3.6)) == ([windy], [])
    assert these(first_day=date(2026, 5, 30)) == [nothing, calm]
    assert these(last_day=date(2026, 5, 30)) == [calm, windy]
    assert these(last_day=began) == []
    assert these(air_from_c=4.0, air_to_c=6.0) == [windy]
    assert these(air_from_c=10.0) == [calm]
    assert these(air_to_c=20.0) == [calm, windy]
    assert (these(wind_m_s=8.0), these(wind_m_s=8.1)) == ([windy], [])
    assert these("mild", food="fish") == [windy]
    assert these("mild", air_from_c=10.0) == []
    assert these("-mild", food="fish") == [calm]
    assert journal.lots_used() == ["Alder"]


def test_what_an_older_version_adds_is_taken_in_at_the_next_start(folder: Path) -> None:
    with Journal.open(folder) as journal:
        cook = begin(journal, e.Note("oak"))
    raw(
        folder,
        "INSERT INTO entry (cook_id, at_ms, recorded_ms, kind, payload, version, sum) SELECT"
        " cook_id, at_ms, recorded_ms, kind, replace(payload, 'oak', 'elm'), version,"
        " 0 FROM entry WHERE kind = 'note'",
    )
    with Journal.open(folder, read_only=True) as journal:
        assert not is_current(journal)
        assert ids(journal, "oak") == [cook]
    with Journal.open(folder) as journal:
        journal.flush()
        assert is_current(journal)
        assert ids(journal, "oak") == [cook]


@pytest.mark.parametrize(
    "damage",
    [
        "DELETE FROM cook_text",
        "DROP TABLE cook_word",
        "DELETE FROM cook_word_data WHERE id > 10",
        "UPDATE cook_word_data SET block = x'00ff00ff' WHERE id > 1",
        "UPDATE cook_text SET words = 'elm'",
        "UPDATE cook_text SET parts = '9:9', words = CAST(x'ff' AS TEXT)",
        "UPDATE cook_text SET position = position + 33554432",
    ],
)
def test_what_was_spoilt_is_made_again_and_keeps_nobody_from_writing(
    folder: Path, damage: str
) -> None:
    with Journal.open(folder) as journal:
        cook = begin(journal, e.Note("wet oak"))
    raw(folder, damage)
    with Journal.open(folder) as journal:
        journal.append(cook, e.Note("then beech"), AT_S, AT_S).result(10)
        assert journal.check() == ()
        journal.flush()
        assert is_current(journal)
        assert ids(journal, "oak beech") == [cook]
        assert ids(journal, "elm") == []
        assert journal.check() == ()


def test_an_index_that_can_not_be_made_again_costs_time_only(folder: Path) -> None:
    with Journal.open(folder) as journal:
        cook = begin(journal, e.Note("wet oak"))
    raw(folder, "DELETE FROM cook_word_data", "UPDATE cook_line SET title = 'Elm'")
    with Journal.open(folder) as journal:
        journal.append(cook, e.Lid(True), AT_S, AT_S).result(10)
        journal.append(cook, e.Note("then beech"), AT_S, AT_S).result(10)
        journal.check()
        journal.flush()
        assert [(line.id, line.title) for line in journal.cooks("oak beech")] == [(cook, "Cook")]


def test_without_full_text_search_the_same_is_found(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Journal.open(folder) as journal:
        cook = begin(journal, e.Note("wet oak"), e.ItemAdded("Trout", "fish"))
        assert not journal.searches_slowly
    with monkeypatch.context() as patched:
        without_index(patched)
        with Journal.open(folder) as journal:
            assert journal.searches_slowly
            journal.append(cook, e.Note("beech now"), AT_S, AT_S).result(10)
            other = begin(journal, e.Note("beech"), day=-1)
            assert ids(journal, "beech") == [cook, other]
            assert ids(journal, "beech -oak") == [other]
            assert ids(journal, "beech", CookFilter(food="fish")) == [cook]
            assert found(journal, "now").text == "beech now"
    with Journal.open(folder) as journal:
        journal.flush()
        assert is_current(journal)
        assert ids(journal, "beech") == [cook, other]
        assert journal.check() == ()


# Words, tried with any text

TEXTS = st.text(max_size=30) | st.text(st.sampled_from('ab"- *é\ue000ßİﬁ½'), max_size=12)


@settings(max_examples=200, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
@example(None)
def test_whatever_is_typed_the_same_is_found_as_by_a_plain_scan(
    index: sqlite3.Connection, data: st.DataObject | None
) -> None:
    if data is None:
        cooks, asked_text = [["AND near"], ["OR"]], 'NEAR(a b) words: ^x "and'
    else:
        cooks = data.draw(st.lists(st.lists(TEXTS, max_size=3), max_size=4))
        pieces = [text for texts in cooks for text in texts]
        asked_text = data.draw(TEXTS | (st.sampled_from(pieces) if pieces else st.nothing()))
    asked = AskedWords.read(asked_text)
    folded = [[words_of(text) for text in texts] for texts in cooks]
    index.execute("DELETE FROM word")
    for number, texts in enumerate(folded):
        assert [tuple(part) for part in parted(joined(texts))] == (texts or [()])
        index.execute("INSERT INTO word (rowid, words) VALUES (?, ?)", (number, joined(texts)))
    scanned = {number for number, texts in enumerate(folded) if asked.hold_in(texts)}
    if asked.wanted:
        rows = index.execute("SELECT rowid FROM word WHERE word MATCH ?", (asked_of_index(asked),))
        assert {number for (number,) in rows} == scanned
    for texts in cooks:
        for text in texts:
            # A text finds itself, whole and with its last word cut short.
            plain = text.replace('"', " ").replace("-", " ")
            assert AskedWords.read(plain).hold_in([words_of(text)])
            assert AskedWords.read(plain[:-1]).hold_in([words_of(text)])
            for at, to in asked.marks_in(text):
                assert 0 <= at < to <= len(text)


@pytest.fixture
def index() -> sqlite3.Connection:
    connection = sqlite3.connect(":memory:")
    connection.execute(
        "CREATE VIRTUAL TABLE word USING fts5 (words, tokenize='unicode61 remove_diacritics 2')"
    )
    return connection


@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(TEXTS)
def test_no_typed_text_is_an_error(journal: Journal, text: str) -> None:
    if not journal.count_cooks():
        begin(journal, e.Note("a b"), title="ab a")
    held = [["a", "b"], ["ab", "a"]]
    assert bool(ids(journal, text)) == AskedWords.read(text).hold_in(held)


def test_a_flood_of_words_is_no_error(journal: Journal) -> None:
    cook = begin(journal, e.Note(" ".join(f"w{n}" for n in range(900))))
    flood = " ".join(f"w{n}" for n in range(900))
    assert ids(journal, flood) == [cook]
    assert ids(journal, f"{flood} w900") == []
    assert ids(journal, " ".join(f"-x{n}" for n in range(900))) == [cook]


def test_marks_stand_where_the_words_were_written() -> None:
    text = unicodedata.normalize("NFD", "Très bien: ½ très")
    marks = AskedWords.read("tres").marks_in(text)
    assert [unicodedata.normalize("NFC", text[at:to]) for at, to in marks] == ["Très", "très"]
