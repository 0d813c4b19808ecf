"""What comes of an archive, in words."""

from __future__ import annotations

from smokejournal.cook.text.translate import translate
from smokejournal.services.archive.taking_in import Intake


def intake_lines(intake: Intake) -> tuple[str, ...]:
    """A line for each sort of thing of which there is one, then what is to be known besides."""
    return (*tally_lines(intake), *remarks(intake))


def tally_lines(intake: Intake) -> tuple[str, ...]:
    """A line for each sort of thing of which there is one: how many are new, and how many are here."""
    return tuple(
        _tally(name, intake.tallies[sort].new, intake.tallies[sort].here)
        for sort, name in _names().items()
        if sort in intake.tallies and (intake.tallies[sort].new or intake.tallies[sort].here)
    )


def remarks(intake: Intake) -> tuple[str, ...]:
    """Sentences on what doesn't come in, or not as it was."""
    found = []
    for sort, name in _names().items():
        tally = intake.tallies.get(sort)
        if tally is not None and tally.other:
            found.append(
                translate(
                    "Archive",
                    "{sort} that are here otherwise under the same name: {count}. Yours stay as they are.",
                ).format(sort=name, count=tally.other)
            )
        if tally is not None and tally.refused:
            found.append(
                translate("Archive", "{sort} that can't be used and are left out: {count}.").format(
                    sort=name, count=tally.refused
                )
            )
    for count, text in (
        (
            intake.alike,
            translate(
                "Archive",
                "Cooks begun at the same moment as one of yours that hold something else: {count}. They "
                "come in beside yours.",
            ),
        ),
        (
            intake.unread,
            translate(
                "Archive",
                "Entries that this version can't read and that stay as they are: {count}.",
            ),
        ),
        (
            intake.unlinked,
            translate(
                "Archive",
                "Links to a cook or probe that is neither in the archive nor here, and that are "
                "dropped: {count}.",
            ),
        ),
    ):
        if count:
            found.append(text.format(count=count))
    if intake.left_out:
        found.append(translate("Archive", "Already when the archive was written:"))
        found += intake.left_out
    return tuple(found)


def _names() -> dict[str, str]:
    return {
        "cooks": translate("Archive", "Cooks"),
        "photos": translate("Archive", "Photos"),
        "probes": translate("Archive", "Probes"),
        "calibrations": translate("Archive", "Calibrations"),
        "lots": translate("Archive", "Lots of pellets"),
        "wares": translate("Archive", "Salts, woods and rubs"),
        "schedules": translate("Archive", "Saved schedules"),
        "patterns": translate("Archive", "Patterns"),
        "settings": translate("Archive", "Settings"),
    }


def _tally(name: str, new: int, here: int) -> str:
    if here:
        return translate("Archive", "{sort}: {new} new, {here} already here.").format(
            sort=name, new=new, here=here
        )
    return translate("Archive", "{sort}: {new} new.").format(sort=name, new=new)
