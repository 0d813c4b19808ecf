"""A journal in a folder of its own, for something to happen to."""

from pathlib import Path

import pytest


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Not made yet."""
    return tmp_path / "journal"
