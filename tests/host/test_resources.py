"""The files that come with the program are found, and a missing one is told in a sentence."""

import pytest

from smokejournal.host.resources import ResourceMissing, resource_path


def test_the_icon_is_found() -> None:
    assert resource_path("icons", "smokejournal.svg").read_text("utf-8").startswith("<svg")


def test_a_missing_file_says_what_to_do() -> None:
    with pytest.raises(ResourceMissing, match="Install the program again"):
        resource_path("icons", "no-such-file.svg")
