"""Makes the text of Qt's PDFs read back as it was written.

Qt says of the space's glyph that it stands for a tabulator (the lowest character that its fonts draw
with it), so text copied out of a PDF comes with tabs, and a search for two words finds nothing. The
tables that say so are plain text in the file and the mended entries are as long as the old ones, so
nothing else in the file moves.
"""

from __future__ import annotations

import re

_TABLE = re.compile(rb"beginbf(?:range|char)\n.*?endbf(?:range|char)", re.DOTALL)
#: What a code stands for: the entries of a list, or the last of three (two in a bfchar) on a line.
_LIST = re.compile(rb"\[[^\]]*\]")
_LAST = re.compile(rb"<(?:0009|00A0)>(?=[ ]*\n)", re.IGNORECASE)
_BLANK = re.compile(rb"<(?:0009|00A0)>", re.IGNORECASE)


def readable(pdf: bytes) -> bytes:
    """The same file, with tabulators and no-break spaces in its text read back as spaces."""
    return _TABLE.sub(lambda table: _mended(table.group()), pdf)


def _mended(table: bytes) -> bytes:
    table = _LIST.sub(lambda found: _BLANK.sub(b"<0020>", found.group()), table)
    return _LAST.sub(b"<0020>", table)
