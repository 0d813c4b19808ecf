"""The journal: one folder with the database, the photos and the backups.

`Journal` is the door; the rest of this room is behind it.
"""

from smokejournal.journal.backups import CopyStopped
from smokejournal.journal.changes import Change, CookLine
from smokejournal.journal.copies import JournalCopy
from smokejournal.journal.finding import CookFilter, FoundText
from smokejournal.journal.journal import Journal
from smokejournal.journal.photos import PHOTO_SUFFIXES
from smokejournal.journal.problems import JournalProblem
from smokejournal.journal.restoring import CopyContents, Restored
from smokejournal.journal.salvage import Salvaged, salvage_cook
from smokejournal.journal.transfer import DAMAGED, WrittenCook, WrittenEntry

__all__ = [
    "DAMAGED",
    "PHOTO_SUFFIXES",
    "Change",
    "CookFilter",
    "CookLine",
    "CopyContents",
    "CopyStopped",
    "FoundText",
    "Journal",
    "JournalCopy",
    "JournalProblem",
    "Restored",
    "Salvaged",
    "WrittenCook",
    "WrittenEntry",
    "salvage_cook",
]
