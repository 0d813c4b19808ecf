"""A journal in a folder of its own."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from smokejournal.journal import Journal


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    # Marks that mean something in URIs and in format strings must not matter.
    return tmp_path / "my journal %20?#"


@pytest.fixture
def journal(folder: Path) -> Iterator[Journal]:
    with Journal.open(folder) as opened:
        yield opened
