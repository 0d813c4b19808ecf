"""What went wrong at the table: the list, and what the sheet says of it."""

from __future__ import annotations

from smokejournal.cook.codec.entries import decode, encode
from smokejournal.cook.log.entries import Tasted
from smokejournal.cook.summary.faults import fault, fault_words, faults, faults_for


def test_each_has_a_name_and_where_to_look_and_no_two_the_same_key() -> None:
    found = faults()
    assert len({one.key for one in found}) == len(found)
    for one in found:
        assert one.name
        assert len(one.causes) >= 2
        assert all(cause.endswith(".") and cause[0].isupper() for cause in one.causes)


def test_only_what_is_seen_on_the_food_is_offered() -> None:
    keys = {one.key for one in faults_for({"fish"})}
    assert "white_protein" in keys
    assert "soft_skin" not in keys
    assert "bitter" in keys
    assert {one.key for one in faults_for(())} == {one.key for one in faults()}


def test_one_that_is_not_known_goes_by_its_key() -> None:
    assert fault("shiny") is None
    assert fault_words(("shiny", "bitter"))[0] == ("shiny", "")


def test_a_tasting_without_faults_reads_as_before_and_a_fault_alone_is_a_tasting() -> None:
    assert decode("tasted", {"text": "juicy", "marks": {}, "taster": ""}) == Tasted("juicy")
    seen = Tasted(faults=("bitter", "from a newer version"))
    assert decode(*encode(seen)) == seen
