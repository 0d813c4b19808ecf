"""Memory that was freed, given back to the system.

A forecast takes and frees tens of megabytes once a minute. glibc keeps what lies between things that
are still in use, and over a night that adds up. Other allocators give back by themselves.
"""

from __future__ import annotations

import ctypes
import sys
from collections.abc import Callable


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
