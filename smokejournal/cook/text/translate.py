"""The one place where text for people meets translation, without knowing Qt.

Text made below the desk (the sentence on Tend, the warnings of a schedule, the printed summary) goes
through `translate`. The front door installs Qt's translator; without one the English text stays.
The call has the shape that Qt's extraction tool finds: translate("Context", "text").
"""

from __future__ import annotations

from collections.abc import Callable

Translator = Callable[[str, str], str]

_installed: Translator | None = None


def install_translator(translator: Translator | None) -> None:
    """Use `translator(context, text)` from now on; None goes back to the text as written."""
    global _installed
    _installed = translator


def translate(context: str, text: str) -> str:
    """`text` in the language of the person, or as written where no translation is known."""
    return text if _installed is None else _installed(context, text)
