"""The index in SQLite: one line for each record, append-only by trigger, made again from the records at any time."""

import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager, nullcontext, suppress
from pathlib import Path
from tempfile import TemporaryDirectory
from time import sleep
from types import NoneType

from calc.archive.refusals import DamagedArchive, NotWritable
from calc.archive.store.contract import Entry
from calc.archive.store.disk import WAIT, read_inside

INDEX = "index.sqlite"
LOG = "index.sqlite-wal"
LARGEST_INDEX = 2**30
ATTEMPTS, PAUSE = 100, 0.01  # a reader waits for a moment without writing, in seconds
MADE_AGAIN = "sandsleeve archive rebuild makes it again from the records"
COLUMNS = Entry._fields
_DECLARED = {int: "INTEGER", str: "TEXT NOT NULL", str | None: "TEXT"}
_TABLE = ", ".join(f"{name} {_DECLARED[kind]}" for name, kind in Entry.__annotations__.items())
_PLAIN = {int: int, str: str}  # what else there is may be None
_KINDS = {tuple(_PLAIN.get(kind, last) for kind in Entry.__annotations__.values()) for last in (str, NoneType)}
_NOT_NEXT = "NEW.sequence <> (SELECT COALESCE(MAX(sequence), 0) + 1 FROM record)"


def _refuse(why: str) -> str:
    return f"BEGIN SELECT RAISE(ABORT, '{why}'); END"


SCHEMA = (
    f"CREATE TABLE record ({_TABLE}, PRIMARY KEY (sequence)) STRICT",
    "CREATE UNIQUE INDEX record_hash ON record (sha256)",
    "CREATE UNIQUE INDEX label_once ON record (project, document, label COLLATE NOCASE) WHERE kind = 'issue'",
    f"CREATE TRIGGER never_changed BEFORE UPDATE ON record {_refuse('what is issued is never changed')}",
    f"CREATE TRIGGER never_deleted BEFORE DELETE ON record {_refuse('what is issued is never deleted')}",
    f"CREATE TRIGGER only_appended BEFORE INSERT ON record WHEN {_NOT_NEXT} {_refuse('a record is added at the end')}",
)
_SELECT = f"SELECT {', '.join(COLUMNS)} FROM record ORDER BY sequence"  # noqa: S608 - names of a class
_INSERT = f"INSERT INTO record ({', '.join(COLUMNS)}) VALUES ({', '.join('?' * len(COLUMNS))})"  # noqa: S608


def create(path: Path, entries: Sequence[Entry] = ()) -> None:
    """Write a new index file with these lines, complete and on the disk."""
    with closing(sqlite3.connect(path, isolation_level=None)) as database:
        database.execute("PRAGMA journal_mode = WAL")
        database.execute("PRAGMA synchronous = FULL")
        database.execute("BEGIN")
        for statement in SCHEMA:
            database.execute(statement)
        database.executemany(_INSERT, entries)
        database.execute("COMMIT")


def read_index(root: Path) -> list[Entry]:
    """The lines of the index without a lock and without writing anything; `FileNotFoundError` where there is none."""
    with _open_copy(root) as database:
        # An index from outside could bring triggers and views of its own.
        rows = database.execute("SELECT sql FROM sqlite_master WHERE sql IS NOT NULL").fetchall()
        if sorted(str(row[0]) for row in rows) != sorted(SCHEMA):
            message = f"{(root / INDEX)} is not an index that this program wrote"
            raise DamagedArchive(message)
        return lines(database)


def check(root: Path) -> list[str]:
    """What SQLite itself finds wrong with the index file."""
    with _open_copy(root) as database:
        problems = [str(row[0]) for row in database.execute("PRAGMA integrity_check(5)")]
    return [] if problems == ["ok"] else problems


@contextmanager
def _open_copy(root: Path) -> Iterator[sqlite3.Connection]:
    """A copy of the index: reading the file itself would make files beside it, which a folder may not allow.

    After a process was killed the file alone can be half of a change: its log belongs to it.
    """
    content, log = _consistent_copy(root)
    with (
        translate_errors(root / INDEX),
        TemporaryDirectory(prefix="sandsleeve-") if log else nullcontext(":memory:") as room,
        closing(sqlite3.connect(Path(room) / INDEX if log else room)) as database,
    ):
        if log:
            (Path(room) / INDEX).write_bytes(content)
            (Path(room) / LOG).write_bytes(log)
        else:
            # The mode of the log is a mark in the header that a copy in memory cannot have.
            database.deserialize(content[:18] + b"\x01\x01" + content[20:])
        database.execute("PRAGMA trusted_schema = OFF")
        database.execute("PRAGMA query_only = ON")
        yield database


@contextmanager
def writing(root: Path) -> Iterator[sqlite3.Connection]:
    """The index, locked against every other process that issues; committed at the end, not after an error."""
    with (
        translate_errors(root / INDEX),
        closing(sqlite3.connect(root / INDEX, timeout=WAIT, isolation_level=None)) as database,
    ):
        database.execute("PRAGMA synchronous = FULL")
        database.execute("PRAGMA trusted_schema = OFF")
        database.execute("BEGIN IMMEDIATE")
        yield database
        database.execute("COMMIT")


def lines(database: sqlite3.Connection) -> list[Entry]:
    """The lines of an open index."""
    return [_entry(row) for row in database.execute(_SELECT)]


def add(database: sqlite3.Connection, entry: Entry) -> None:
    """Add a line at the end."""
    database.execute(_INSERT, entry)


def _consistent_copy(root: Path) -> tuple[bytes, bytes]:
    """The index and its log as they were at one moment; the log is empty where there is none."""
    for _ in range(ATTEMPTS):
        before = _marks(root)
        content = read_inside(root, INDEX, largest=LARGEST_INDEX)
        log = b""
        with suppress(FileNotFoundError):
            log = read_inside(root, LOG, largest=LARGEST_INDEX)
        if before == _marks(root):
            return content, log
        sleep(PAUSE)
    message = f"{root / INDEX} cannot be read: it changes all the time"
    raise DamagedArchive(message)


def _marks(root: Path) -> list[tuple[int, int, int] | None]:
    marks: list[tuple[int, int, int] | None] = []
    for name in (INDEX, LOG):
        try:
            state = (root / name).lstat()
        except FileNotFoundError:
            marks.append(None)
        else:
            marks.append((state.st_ino, state.st_mtime_ns, state.st_size))
    return marks


def _entry(row: tuple[object, ...]) -> Entry:
    if tuple(map(type, row)) not in _KINDS:
        message = f"{INDEX}: a line holds values of another kind than it must"
        raise DamagedArchive(message)
    return Entry._make(row)


@contextmanager
def translate_errors(path: Path) -> Iterator[None]:
    """Say in words of the archive what SQLite reports."""
    try:
        yield
    except sqlite3.OperationalError as error:
        if "no such" in str(error) or "malformed" in str(error):
            message = f"{path} is damaged ({error}); {MADE_AGAIN}"
            raise DamagedArchive(message) from error
        message = f"cannot write {path}: {error}"
        raise NotWritable(message) from error
    except (sqlite3.DatabaseError, UnicodeDecodeError) as error:
        message = f"{path} is damaged ({error}); {MADE_AGAIN}"
        raise DamagedArchive(message) from error
