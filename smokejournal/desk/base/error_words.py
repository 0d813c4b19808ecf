"""What an error says to a person: what went wrong, and what to do about it."""

from __future__ import annotations


def message_of(error: BaseException) -> str | None:
    """What an error of ours says; None for any other: that is a bug."""
    message = getattr(error, "message", None)
    return str(message) if message else None


def why_of(error: BaseException) -> str:
    """What went wrong, whoever says it."""
    return message_of(error) or str(error)


def cure_of(error: BaseException) -> str:
    """What to do about it; empty where the error doesn't say."""
    return str(getattr(error, "cure", ""))


def words_of(error: BaseException) -> str:
    """What went wrong and what to do, in one text."""
    return f"{why_of(error)} {cure_of(error)}".strip()
