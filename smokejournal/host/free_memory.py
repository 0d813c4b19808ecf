"""Memory that was freed, given back to the system.

A forecast takes and frees tens of megabytes once a minute. glibc keeps a heap for each thread, and in
each what lies between things that are still in use; over a night that adds up. Other allocators give
back by themselves.
"""

from __future__ import annotations

import ctypes
import sys
from collections.abc import Callable

#: Parameters of glibc's mallopt (malloc.h).
_MMAP_THRESHOLD, _ARENA_MAX = -3, -8
#: What is larger has pages of its own, which go back as soon as it is freed [bytes]. It is glibc's own
#: value at the start, which it raises by itself unless it is set.
_OWN_PAGES = 128 * 1024


def _trim() -> Callable[[int], int] | None:
    if not sys.platform.startswith("linux"):
        return None
    try:
        found: Callable[[int], int] = ctypes.CDLL(None).malloc_trim
    except (OSError, AttributeError):
        return None  # musl has none, and needs none
    return found


_TRIM = _trim()


def give_back() -> bool:
    """Give back what is free. It takes a millisecond or so; False where there is no way to."""
    if _TRIM is None:
        return False
    _TRIM(0)
    return True


def keep_one_heap() -> bool:
    """One heap for all threads, and none for what is large. To be called before there are threads.

    Python's own lock lets one thread at a time allocate anyway, nearly always. False where there is
    no way to.
    """
    if _TRIM is None:
        return False
    mallopt = ctypes.CDLL(None).mallopt
    return bool(mallopt(_ARENA_MAX, 1)) and bool(mallopt(_MMAP_THRESHOLD, _OWN_PAGES))
