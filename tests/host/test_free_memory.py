"""Memory that was freed goes back to the system."""

from __future__ import annotations

import subprocess
import sys

import pytest

from smokejournal.host import free_memory
from smokejournal.host.free_memory import give_back, keep_one_heap
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
    assert not keep_one_heap()


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="of glibc")
def test_threads_then_share_one_heap() -> None:
    """In a process of its own: how glibc shares out memory can't be taken back."""
    script = """
import threading
from smokejournal.host.free_memory import keep_one_heap
assert keep_one_heap()
held, ready, go = [], threading.Barrier(9), threading.Event()
def work():
    held.append([bytes(3000) for _ in range(300)])
    ready.wait(); go.wait()
threads = [threading.Thread(target=work) for _ in range(8)]
for thread in threads: thread.start()
ready.wait()
# A thread's own heap begins at a multiple of 64 MB and takes that much room of addresses.
heaps = sum(
    line.split()[0].split("-")[0].endswith("000000") and int(line.split()[0].split("-")[0], 16) % 2**26 == 0
    for line in open("/proc/self/maps") if " rw-p 00000000 00:00 0" in line
)
go.set()
print(heaps)
"""
    if free_memory._TRIM is None:
        pytest.skip("no glibc")
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, timeout=60, check=True
    )
    assert done.stdout.strip() == "0"
