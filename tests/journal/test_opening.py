"""Files and folders that are no journal to be used: each is told with its cure, none is touched."""

import hashlib
import os
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest

from smokejournal.cook.log.entries import CookOpened, Note
from smokejournal.cook.log.readings import Reading
from smokejournal.journal import Journal, JournalProblem, creation
from smokejournal.journal.header import APPLICATION_ID, SCHEMA, Version
from smokejournal.journal.lock import LOCK_NAME
from smokejournal.journal.opening import CHECK_BYTES, FILE_NAME

AT_S = 1_780_000_000.0
ROOT = Path(__file__).parents[2]


def digest(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def refused(folder: Path, *, read_only: bool = False) -> JournalProblem:
    """Opens the journal, sees that it is refused and that nothing was changed."""
    path = folder / FILE_NAME
    before = digest(path) if path.is_file() else None
    with pytest.raises(JournalProblem) as told:
        Journal.open(folder, read_only=read_only)
    assert (digest(path) if path.is_file() else None) == before
    if not read_only:
        # The lock is let go: mended, it opens.
        assert not (folder / "backups").exists()
    return told.value


def fill(folder: Path, readings: int = 500) -> int:
    with Journal.open(folder) as journal:
        cook = journal.new_cook(CookOpened("Ribs", "UTC"), AT_S, AT_S).result(10)
        for n in range(30):
            journal.append(cook, Note(f"note {n} " * 20), AT_S + n, AT_S)
        journal.append_readings(
            cook, [Reading(AT_S + n, "p1", 20.0 + n / 100) for n in range(readings)]
        ).result(30)
    return cook


def pragma(path: Path, name: str, value: int) -> None:
    with closing(sqlite3.connect(path)) as connection:
        connection.execute(f"PRAGMA {name}={value}")


def test_a_new_journal_is_marked_and_complete_from_its_first_moment(folder: Path) -> None:
    with Journal.open(folder):
        pass
    header = (folder / FILE_NAME).read_bytes()[:100]
    assert header[68:72] == APPLICATION_ID.to_bytes(4, "big") == b"SmkJ"
    assert int.from_bytes(header[60:64], "big") == SCHEMA.packed
    assert [path.name for path in folder.iterdir() if "new" in path.name] == []


def test_a_beginning_that_was_cut_off_is_begun_again(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder.mkdir()
    (folder / (FILE_NAME + ".new")).write_bytes(b"half a journal")
    (folder / (FILE_NAME + ".new-journal")).write_bytes(b"half of its log")

    def power_cut(whole: Path, path: Path) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(creation, "put_in_place", power_cut)
        with pytest.raises(JournalProblem, match="no room left"):
            Journal.open(folder)
    assert [path.name for path in folder.iterdir()] == ["journal.lock"]
    fill(folder)


def test_a_journal_from_a_newer_version_is_left_alone(folder: Path) -> None:
    fill(folder)
    pragma(folder / FILE_NAME, "user_version", Version(SCHEMA.major + 1, 0).packed)
    for read_only in (False, True):
        told = refused(folder, read_only=read_only)
        assert "newer version" in told.message
        assert "Install the newest version" in told.cure


def test_what_a_later_version_only_added_to_can_be_used(folder: Path) -> None:
    cook = fill(folder)
    later = Version(SCHEMA.major, SCHEMA.minor + 1)
    pragma(folder / FILE_NAME, "user_version", later.packed)
    with closing(sqlite3.connect(folder / FILE_NAME)) as connection:
        connection.execute("CREATE TABLE added (id INTEGER PRIMARY KEY) STRICT")
    with Journal.open(folder) as journal:
        journal.append(cook, Note("still writes"), AT_S, AT_S).result(10)
        assert journal.copied_to is None


@pytest.mark.parametrize("read_only", [False, True])
@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "is empty"),
        (b"Dear diary, today I smoked a trout.\n" * 50, "not a journal"),
        (b"SQLite format 3\0", "not a journal"),
        (bytes(4096), "not a journal"),
    ],
)
def test_a_file_that_is_no_journal_is_left_alone(
    folder: Path, content: bytes, words: str, read_only: bool
) -> None:
    folder.mkdir()
    (folder / FILE_NAME).write_bytes(content)
    told = refused(folder, read_only=read_only)
    assert words in told.message
    assert "backups" in told.cure


@pytest.mark.parametrize("application_id", [0, 0x12345678])
def test_a_database_of_another_program_is_left_alone(folder: Path, application_id: int) -> None:
    folder.mkdir()
    with closing(sqlite3.connect(folder / FILE_NAME)) as connection:
        connection.execute(f"PRAGMA application_id={application_id}")
        connection.execute("CREATE TABLE entry (id INTEGER)")
    told = refused(folder)
    assert "another program" in told.message


def test_a_folder_in_place_of_the_file_is_told(folder: Path) -> None:
    (folder / FILE_NAME).mkdir(parents=True)
    assert "is a folder" in refused(folder).message


def test_a_file_in_place_of_the_folder_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("not a folder")
    for folder in (tmp_path / "file", tmp_path / "file" / "below"):
        with pytest.raises(JournalProblem, match="is a file where a folder is needed"):
            Journal.open(folder)
    assert (tmp_path / "file").read_text() == "not a folder"


def test_a_log_without_its_journal_is_not_written_over(folder: Path) -> None:
    fill(folder)
    (folder / FILE_NAME).unlink()
    (folder / (FILE_NAME + "-wal")).write_bytes(b"frames")
    told = refused(folder)
    assert "is gone, but its log" in told.message
    assert (folder / (FILE_NAME + "-wal")).read_bytes() == b"frames"


def cut(path: Path) -> None:
    os.truncate(path, path.stat().st_size // 2 // 4096 * 4096)


def cut_within_a_page(path: Path) -> None:
    # Not the last page: that may be a free one.
    os.truncate(path, path.stat().st_size // 2 // 4096 * 4096 + 3096)


def cut_within_the_header(path: Path) -> None:
    os.truncate(path, 90)


def overwrite(first: int, count: int) -> Callable[[Path], None]:
    def spoil(path: Path) -> None:
        with path.open("r+b") as file:
            file.seek(first * 4096)
            file.write(b"\xa5" * 4096 * count)

    spoil.__name__ = f"overwrite_{first}_{count}"
    return spoil


def spoil_the_magic(path: Path) -> None:
    with path.open("r+b") as file:
        file.write(b"\0" * 16)


@pytest.mark.parametrize("read_only", [False, True])
@pytest.mark.parametrize("spoil", [cut, cut_within_a_page, cut_within_the_header, spoil_the_magic])
def test_a_damaged_journal_is_told_and_left_as_it_is(
    folder: Path, spoil: Callable[[Path], None], read_only: bool
) -> None:
    fill(folder)
    spoil(folder / FILE_NAME)
    told = refused(folder, read_only=read_only)
    assert "damaged" in told.message
    assert "backups" in told.cure


@pytest.mark.parametrize("page", range(1, 12))
def test_any_page_overwritten_in_a_small_journal_is_found_at_once(folder: Path, page: int) -> None:
    fill(folder)
    assert (folder / FILE_NAME).stat().st_size > 12 * 4096
    overwrite(page, 1)(folder / FILE_NAME)
    assert "damaged" in refused(folder).message


def test_a_large_damaged_journal_is_found_when_it_is_cut_and_else_when_it_is_read(
    folder: Path,
) -> None:
    cook = fill(folder, readings=300_000)
    path = folder / FILE_NAME
    size = path.stat().st_size
    assert size > CHECK_BYTES
    whole = path.read_bytes()
    cut(path)
    assert "damaged" in refused(folder).message
    path.write_bytes(whole)
    overwrite(size // 4096 - 400, 200)(path)
    with Journal.open(folder) as journal:
        assert journal.count_cooks() == 1
        assert journal.check() != ()
        with pytest.raises(JournalProblem, match="damaged"):
            journal.log(cook)
        # What is whole can still be read, and written.
        journal.append(cook, Note("still writes"), AT_S, AT_S).result(10)
        assert len(journal.entries(cook)) == 32


WITHOUT_PERMISSION = """
import os, sys
from pathlib import Path
from smokejournal.journal import Journal, JournalProblem
import sqlalchemy.dialects.sqlite.pysqlite

# The administrator may write anywhere: become nobody.
if os.geteuid() == 0:
    os.setgid(65534)
    os.setuid(65534)
for read_only in (False, True):
    try:
        with Journal.open(Path(sys.argv[1]), read_only=read_only) as journal:
            print(journal.count_cooks())
    except JournalProblem as problem:
        print(problem.message)
        print(problem.cure)
"""


@pytest.fixture
def reachable() -> Iterator[Path]:
    """A folder that anybody may look into, unlike those that tests get."""
    with tempfile.TemporaryDirectory() as name:
        Path(name).chmod(0o755)
        yield Path(name)


def without_permission(folder: Path) -> list[str]:
    ran = subprocess.run(
        [sys.executable, "-c", WITHOUT_PERMISSION, str(folder)],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
        cwd=ROOT,
    )
    assert ran.returncode == 0, ran.stderr
    return ran.stdout.splitlines()


@pytest.mark.skipif(sys.platform == "win32", reason="permissions are not kept in mode bits")
@pytest.mark.parametrize("shut", ["folder", "file"])
def test_a_folder_that_can_not_be_written_is_told_and_can_be_read(
    reachable: Path, shut: str
) -> None:
    folder = reachable / "kept"
    fill(folder)
    before = digest(folder / FILE_NAME)
    if shut == "file":
        (folder / FILE_NAME).chmod(0o444)
        (folder / LOCK_NAME).chmod(0o666)
        folder.chmod(0o777)
    else:
        (folder / LOCK_NAME).unlink()
        (folder / FILE_NAME).chmod(0o644)
        folder.chmod(0o555)
    message, cure, count = without_permission(folder)
    folder.chmod(0o755)
    assert message == f"{folder / FILE_NAME if shut == 'file' else folder} can't be written to."
    assert "permission" in cure
    assert count == "1"
    assert digest(folder / FILE_NAME) == before


@pytest.mark.skipif(sys.platform == "win32", reason="permissions are not kept in mode bits")
def test_a_folder_that_can_not_even_be_read_is_told(reachable: Path) -> None:
    folder = reachable / "private"
    fill(folder)
    folder.chmod(0o000)
    to_write, _, to_read, cure = without_permission(folder)
    folder.chmod(0o755)
    assert to_write == f"{folder} can't be written to."
    assert to_read == f"{folder} can't be read (Permission denied)."
    assert "permission" in cure


def test_a_disk_that_can_only_be_read_is_told(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def read_only_disk(*args: object, **kwargs: object) -> int:
        raise OSError(30, "Read-only file system")

    folder.mkdir()
    monkeypatch.setattr("smokejournal.journal.lock.os.open", read_only_disk)
    with pytest.raises(JournalProblem, match="can't be written to"):
        Journal.open(folder)


def test_reading_only_works_beside_the_program_and_writes_nothing(folder: Path) -> None:
    cook = fill(folder)
    with Journal.open(folder) as journal, Journal.open(folder, read_only=True) as reader:
        journal.append(cook, Note("fresh"), AT_S, AT_S).result(10)
        assert reader.entries(cook)[-1].what == Note("fresh")
        assert reader.log(cook).traces.keys() == {"p1"}
        assert reader.cooks("ribs")[0].id == cook
        assert reader.check() == ()
        for write in (
            lambda: reader.append(cook, Note("x"), AT_S, AT_S),
            lambda: reader.set_setting("a", 1),
            lambda: reader.keep_photo(folder / "x.jpg"),
            lambda: reader.back_up(AT_S),
        ):
            with pytest.raises(JournalProblem, match="reading only"):
                write()
        reader.subscribe(print)()
        reader.flush()


def test_reading_only_after_a_crash_finds_what_stands_in_the_log(folder: Path) -> None:
    cook = fill(folder)
    with closing(sqlite3.connect(folder / FILE_NAME)) as crashed:
        crashed.execute("PRAGMA wal_autocheckpoint=0")
        crashed.execute("INSERT INTO setting VALUES ('a', '1')")
        crashed.commit()
        with Journal.open(folder, read_only=True) as reader:
            assert reader.setting("a") == 1
            assert len(reader.entries(cook)) == 31


def test_reading_only_needs_a_journal(folder: Path) -> None:
    with pytest.raises(JournalProblem, match="There is no journal"):
        Journal.open(folder, read_only=True)
    assert not folder.exists()


def test_opening_loads_neither_the_migrations_nor_an_orm(folder: Path) -> None:
    code = (
        "import sys; from pathlib import Path; from smokejournal.journal import Journal;"
        "[Journal.open(Path(sys.argv[1])).close() for _ in range(2)];"
        "print([name for name in sys.modules if 'alembic' in name or name == 'sqlalchemy.orm'])"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code, str(folder)],
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
        cwd=ROOT,
    )
    assert ran.stdout.strip() == "[]"
