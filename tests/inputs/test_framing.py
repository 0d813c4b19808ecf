"""Any bytes become lines or reasons; cutting the stream elsewhere changes nothing."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from smokejournal.inputs.framing import LONGEST_LINE, Frame, LineFramer


def frames(*chunks: bytes, in_the_middle: bool = False) -> list[Frame]:
    framer = LineFramer()
    framer.begin(in_the_middle)
    return [frame for chunk in chunks for frame in framer.feed(chunk)]


def texts(found: list[Frame]) -> list[str]:
    return [frame.text for frame in found if not frame.problem]


def test_every_line_end_and_partial_lines():
    assert texts(frames(b"1\n2\r3\r\n4\r", b"\n5", b"6\n", b"7")) == ["1", "2", "3", "4", "56"]


def test_listening_that_began_in_the_middle_refuses_the_first_line():
    found = frames(b"7.2,45\n107.3,46\n", in_the_middle=True)
    assert [bool(frame.problem) for frame in found] == [True, False]
    # An end of line first: what follows is whole.
    assert texts(frames(b"\n107.3\n", in_the_middle=True)) == ["107.3"]
    # Between CR and LF.
    assert texts(frames(b"\r", b"\n107.3\r\n", in_the_middle=True)) == ["107.3"]


def test_a_device_at_the_wrong_speed_is_refused_and_fills_no_memory():
    framer = LineFramer()
    problems = 0
    for _ in range(1000):
        found = framer.feed(b"\x98\xe6\x00\x86" * 32)
        problems += len(found)
        assert all(frame.problem for frame in found)
        assert framer.rest() <= LONGEST_LINE
    assert problems == 1000 * 128 // (LONGEST_LINE + 1) or problems >= 240


def test_the_tail_of_an_overlong_line_is_no_line():
    found = frames(b"x" * (LONGEST_LINE + 3), b"12.5\n33.0\n")
    assert texts(found) == ["33.0"]


def test_a_line_of_the_longest_length_is_read():
    assert texts(frames(b"9" * LONGEST_LINE + b"\n")) == ["9" * LONGEST_LINE]


def test_nul_and_bad_utf8_are_refused_with_a_reason():
    found = frames(b"10\x007.2\n\xff\xfe12\n21.5 \xc2\xb0C\n")
    assert [frame.problem.split(";")[0] for frame in found] == [
        "control characters inside",
        "bytes that are no text",
        "",
    ]
    assert found[2].text == "21.5 °C"


@given(st.lists(st.binary(max_size=700), max_size=8), st.booleans())
def test_how_the_stream_is_cut_makes_no_difference(chunks, middle):
    whole = b"".join(chunks)
    at_once = frames(whole, in_the_middle=middle)
    assert frames(*chunks, in_the_middle=middle) == at_once
    assert frames(*[bytes([b]) for b in whole], in_the_middle=middle) == at_once


@given(st.binary(max_size=3000))
def test_a_good_line_stands_in_the_stream_as_it_came(data):
    pieces = data.replace(b"\r", b"\n").split(b"\n")
    for frame in frames(data):
        assert len(frame.text) <= LONGEST_LINE
        if not frame.problem:
            assert frame.text.encode() in pieces
