"""File names made of what a cook is called."""

from __future__ import annotations

import re


def file_name(title: str) -> str:
    """A name for a file that every file system takes."""
    plain = re.sub(r"[^\w\- ]+", "", title).strip()
    return re.sub(r"\s+", "-", plain)[:80] or "cook"
