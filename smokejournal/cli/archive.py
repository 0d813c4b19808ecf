"""The options `--archive` and `--take-in`: cooks as one file, and back into a journal."""

from __future__ import annotations

from pathlib import Path

from smokejournal.cli.say import NEW_FILE, no_cook, not_written, refuse, say
from smokejournal.journal import Journal
from smokejournal.services.archive.form import ArchiveProblem
from smokejournal.services.archive.reading import open_archive
from smokejournal.services.archive.taking_in import take_in
from smokejournal.services.archive.words import intake_lines
from smokejournal.services.archive.writing import write_archive


def archive(folder: Path, file: Path, cook: str, now_s: float) -> int:
    """Writes the cook with the number `cook` ("last" for the newest, "" for all and what else is kept)
    of the journal in `folder` to a new file. Returns the exit code; JournalProblem where the journal
    can't be read."""
    journal = Journal.open(folder, read_only=True)
    try:
        lines = journal.cooks()
        numbers = {str(line.id): line.id for line in lines} | (
            {"last": lines[0].id} if lines else {}
        )
        if cook and cook not in numbers:
            return refuse(no_cook(cook))
        made = write_archive(journal, file, now_s, numbers.get(cook), new=True)
    except OSError as error:
        return not_written(file, error, NEW_FILE)
    except ArchiveProblem as problem:
        return refuse(problem.message, problem.cure)
    finally:
        journal.close()
    cooks, photos = len(made.cooks), made.holds.photos
    told = f"{cooks} cook{'' if cooks == 1 else 's'}, {photos} photo{'' if photos == 1 else 's'}"
    say(f"Written to {file}: {told}.")
    for sentence in made.left_out:
        say(sentence, wrong=True)
    return 0


def take_archive_in(folder: Path, file: Path) -> int:
    """Takes an archive into the journal in `folder`, which is begun where there is none. Returns the
    exit code; JournalProblem where the journal can't be written."""
    try:
        with open_archive(file) as opened, Journal.open(folder) as journal:
            intake = take_in(opened, journal)
    except OSError as error:
        why = f"{file} could not be taken in: {error.strerror or error}."
        return refuse(why, "Name a file that is there, and make room on the disk.")
    except ArchiveProblem as problem:
        return refuse(problem.message, problem.cure)
    say(f"Taken in from {file}.")
    say("\n".join(intake_lines(intake)))
    return 0
