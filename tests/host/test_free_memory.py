"""Memory that was freed goes back to the system."""

from __future__ import annotations

import sys

import pytest

from smokejournal.host import free_memory
from smokejournal.host.free_memory import give_back
from tests.trust.day import resident_mb


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="glibc keeps it; others don't")
def test_what_lies_between_things_in_use_goes_back() -> None:
    """Half of many small pieces are freed: the heap can't shrink, yet their pages are free."""
    if free_memory._TRIM is None:
        pytest.skip("no glibc")
    pieces = [bytearray(8000) for _ in range(12_000)]
    for n in range(len(pieces)):
        if n % 8:
            pieces[n] = bytearray()
    before_mb = resident_mb()
    assert give_back()
    assert resident_mb() < before_mb - 20.0
    assert len(pieces) == 12_000


def test_where_there_is_no_way_it_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(free_memory, "_TRIM", None)
    assert not give_back()
