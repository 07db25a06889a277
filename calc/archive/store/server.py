"""An archive on a server: records in a table of a database, files wherever fsspec reaches; needs the extra `server`."""

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from hashlib import sha256
from typing import Any

from sqlalchemy import Connection, create_engine, inspect, text
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, IntegrityError, NoSuchModuleError, SQLAlchemyError
from sqlalchemy.pool import NullPool

from calc.archive.record.manifest import manifest_bytes, read_record
from calc.archive.refusals import ArchiveError, BusyArchive, ChainMoved, DamagedArchive, NotAnArchive, NotWritable
from calc.archive.store.contract import Append, Entry, Survey, entry_of, refuse_broken_chain
from calc.archive.store.disk import digest_of
from calc.archive.store.server_files import ServerFiles
from calc.archive.store.server_schema import (
    CONTENT,
    GUARDS,
    INSERT,
    LOCKS,
    MAKING,
    NUMBERS,
    SCHEMAS,
    SELECT,
    TABLE,
    TRIGGERS,
)

OBJECTS = "objects"


class ServerStore:
    """A store in a database and a place for files, named by one address."""

    def __init__(self, address: str) -> None:
        """Take an address such as ``postgresql://archive@db.marsh/archive?objects=file:///srv/objects``.

        A password stands in no address: the database asks for ``PGPASSFILE`` or ``PGPASSWORD``, the files for what
        their library reads.
        """
        url, objects = _parts(address)
        self.name = url.render_as_string(hide_password=True)
        self._dialect = url.get_backend_name()
        # No connection is kept: a command does a few things and ends.
        self._engine = create_engine(url, isolation_level="AUTOCOMMIT", hide_parameters=True, poolclass=NullPool)
        self.files = ServerFiles(objects)

    @classmethod
    def existing(cls, address: str) -> "ServerStore":
        """The archive at an address; an error where there is none."""
        store = cls(address)
        if not store.is_there():
            message = f"{store.name} is not an archive: it has no table {TABLE}"
            raise NotAnArchive(message)
        return store

    @classmethod
    def prepare(cls, address: str) -> "ServerStore":
        """The archive at an address, made if there is none."""
        store = cls(address)
        if not store.is_there():
            store._create_table()
        return store

    def is_there(self) -> bool:
        """Whether the database has an archive."""
        with self._in_words(), self._engine.connect() as connection:
            return inspect(connection).has_table(TABLE)

    def put(self, content: bytes) -> str:
        """Keep a content under its hash."""
        digest = sha256(content).hexdigest()
        if self.files.has(digest):
            with self.files.open(digest) as stream:
                if digest_of(stream) != digest:
                    message = f"the file {digest} is not what was stored under this name"
                    raise DamagedArchive(message)
        else:
            self.files.write(digest, content)
        return digest

    def open(self, digest: str) -> Any:
        """Open a stored content."""
        return self.files.open(digest)

    def entries(self) -> list[Entry]:
        """Every record in the order of the chain."""
        with self._in_words(), self._engine.connect() as connection:
            entries = _lines(connection)
        refuse_broken_chain(entries, TABLE)
        return entries

    def record(self, sequence: int) -> bytes:
        """The bytes of a record."""
        with self._in_words(), self._engine.connect() as connection:
            content = connection.execute(text(CONTENT), {"sequence": sequence}).scalar()
        if content is None:
            message = f"record {sequence} is missing in {TABLE}"
            raise DamagedArchive(message)
        return bytes(content)

    def append(self, make: Append) -> Entry:
        """Add the record that `make` gives for the chain as it is inside the lock."""
        with self._in_words(), self._engine.connect() as connection, _transaction(connection, LOCKS[self._dialect]):
            entries = _lines(connection)
            refuse_broken_chain(entries, TABLE)
            content = manifest_bytes(record := make(entries))
            entry = entry_of(record, sha256(content).hexdigest())
            connection.execute(text(INSERT), entry._asdict() | {"content": content})
        return entry

    def has_index(self) -> bool:
        """Whether there is an index: records and index are one table."""
        return True

    def numbers(self) -> list[int]:
        """The numbers of the records, ascending."""
        with self._in_words(), self._engine.connect() as connection:
            return [int(row[0]) for row in connection.execute(text(NUMBERS))]

    def survey(self) -> Survey:
        """The lines of the table and what is wrong with it."""
        try:
            with self._in_words(), self._engine.connect() as connection:
                there = {str(row[0]) for row in connection.execute(text(GUARDS[self._dialect]))}
            lines = self.entries()
        except ArchiveError as error:
            return Survey([], [str(error)], [])
        missing = [name for name in TRIGGERS if name not in there]
        problems = [f"{TABLE}: the trigger {name} is gone or at rest: records can be changed" for name in missing]
        return Survey(lines, problems, [])

    def unexpected_files(self, used: set[str]) -> tuple[list[str], list[str]]:
        """What is wrong beside the records, and what does no harm; `used` are the hashes that records name."""
        return [], self.files.unexpected_files(used)

    def rebuild(self) -> list[Entry]:
        """The index is the table of the records itself: only whether each line fits its record is looked at."""
        entries = self.entries()
        for entry in entries:
            content = self.record(entry.sequence)
            if entry_of(read_record(content, f"record {entry.sequence}"), sha256(content).hexdigest()) != entry:
                message = f"the line of record {entry.sequence} says something else than the record"
                raise DamagedArchive(message)
        return entries

    def tidy(self) -> None:
        """Nothing unfinished is left in a database; files without a record are named by `strangers`."""

    def _create_table(self) -> None:
        with self._in_words(), self._engine.connect() as connection, _transaction(connection, MAKING[self._dialect]):
            if not inspect(connection).has_table(TABLE):
                for statement in SCHEMAS[self._dialect]:
                    connection.exec_driver_sql(statement)

    @contextmanager
    def _in_words(self) -> Iterator[None]:
        """Say in words of the archive what the database reports."""
        try:
            yield
        except IntegrityError as error:
            message = f"another process has taken the place in the chain, or the label: {_short(error)}"
            raise ChainMoved(message) from error
        except SQLAlchemyError as error:
            said = _short(error)
            kind = BusyArchive if "timeout" in said or "locked" in said else NotWritable
            message = f"the archive {self.name} cannot be used: {said}"
            raise kind(message) from error


def _parts(address: str) -> tuple[URL, str]:
    """The address of the database and that of the files."""
    try:
        url = make_url(address)
        backend = url.get_backend_name()
    except (ArgumentError, NoSuchModuleError, ValueError) as error:
        message = "the address of an archive must be postgresql://USER@HOST/DATABASE?objects=ADDRESS OF THE FILES"
        raise NotAnArchive(message) from error
    objects = url.query.get(OBJECTS)
    if url.password is not None or "password" in url.query or "@" in str(objects):
        message = "no password may stand in the address of an archive: put it into PGPASSFILE or PGPASSWORD"
        raise NotAnArchive(message)
    if backend not in SCHEMAS or not isinstance(objects, str):
        message = f"the address must begin with postgresql:// and say where the files are: ?{OBJECTS}=… (got {url})"
        raise NotAnArchive(message)
    url = url.difference_update_query([OBJECTS])
    return url.set(drivername="postgresql+psycopg") if backend == "postgresql" else url, objects


def _lines(connection: Connection) -> list[Entry]:
    return [Entry._make(row) for row in connection.execute(text(SELECT))]


@contextmanager
def _transaction(connection: Connection, begin: tuple[str, ...]) -> Iterator[None]:
    """A transaction that these statements begin: committed at the end, not after an error."""
    through = False
    try:
        for statement in begin:
            connection.exec_driver_sql(statement)
        yield
        through = True
    finally:
        if not through:
            with suppress(DBAPIError):
                connection.exec_driver_sql("ROLLBACK")
    connection.exec_driver_sql("COMMIT")


def _short(error: SQLAlchemyError) -> str:
    """What the database says, without the statement."""
    said = error.orig if isinstance(error, DBAPIError) else error
    return " ".join(str(said).split())[:300]
