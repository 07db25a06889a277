"""The table of an archive on a server, append-only by trigger, for each database that it may lie in."""

from calc.archive.store.contract import Entry
from calc.archive.store.index import COLUMNS

TABLE = "archive_record"
TRIGGERS = ("archive_never_changed", "archive_never_deleted", "archive_only_appended")
# Names of the columns are those of a class; nothing from outside is in any statement.
SELECT = f"SELECT {', '.join(COLUMNS)} FROM {TABLE} ORDER BY sequence"  # noqa: S608
INSERT = (
    f"INSERT INTO {TABLE} ({', '.join(COLUMNS)}, content) VALUES ({', '.join(map(':{}'.format, COLUMNS))}, :content)"  # noqa: S608
)
CONTENT = f"SELECT content FROM {TABLE} WHERE sequence = :sequence"  # noqa: S608
NUMBERS = f"SELECT sequence FROM {TABLE} ORDER BY sequence"  # noqa: S608
_KINDS = {int: "INTEGER NOT NULL", str: "TEXT NOT NULL", str | None: "TEXT"}
_COLUMNS = ", ".join(f"{name} {_KINDS[kind]}" for name, kind in Entry.__annotations__.items())
_NEXT = f"NEW.sequence <> (SELECT COALESCE(MAX(sequence), 0) + 1 FROM {TABLE})"  # noqa: S608
_LAST = f"NEW.previous <> (SELECT sha256 FROM {TABLE} WHERE sequence = NEW.sequence - 1)"  # noqa: S608
_SAID = ("what is issued is never changed", "what is issued is never deleted", "a record is added at the end")

_SQLITE_NEXT = f"WHEN {_NEXT} OR {_LAST} BEGIN SELECT RAISE(ABORT, '{_SAID[2]}'); END"
_REFUSE = f"$$ BEGIN RAISE EXCEPTION '{_SAID[0]} and never deleted'; END $$"
_CHECK = f"$$ BEGIN IF {_NEXT} OR {_LAST} THEN RAISE EXCEPTION '{_SAID[2]}'; END IF; RETURN NEW; END $$"

SQLITE = (
    f"CREATE TABLE {TABLE} ({_COLUMNS}, content BLOB NOT NULL, PRIMARY KEY (sequence)) STRICT",
    f"CREATE UNIQUE INDEX archive_hash ON {TABLE} (sha256)",
    f"CREATE UNIQUE INDEX archive_label_once ON {TABLE} (project, document, label COLLATE NOCASE) WHERE kind = 'issue'",
    f"CREATE TRIGGER archive_never_changed BEFORE UPDATE ON {TABLE} BEGIN SELECT RAISE(ABORT, '{_SAID[0]}'); END",
    f"CREATE TRIGGER archive_never_deleted BEFORE DELETE ON {TABLE} BEGIN SELECT RAISE(ABORT, '{_SAID[1]}'); END",
    f"CREATE TRIGGER archive_only_appended BEFORE INSERT ON {TABLE} {_SQLITE_NEXT}",
)
POSTGRESQL = (
    f"CREATE TABLE {TABLE} ({_COLUMNS}, content BYTEA NOT NULL, PRIMARY KEY (sequence))",
    f"CREATE UNIQUE INDEX archive_hash ON {TABLE} (sha256)",
    f"CREATE UNIQUE INDEX archive_label_once ON {TABLE} (project, document, lower(label)) WHERE kind = 'issue'",
    f"CREATE FUNCTION archive_refuse() RETURNS trigger LANGUAGE plpgsql AS {_REFUSE}",
    f"CREATE FUNCTION archive_next() RETURNS trigger LANGUAGE plpgsql AS {_CHECK}",
    f"CREATE TRIGGER archive_never_changed BEFORE UPDATE ON {TABLE} EXECUTE FUNCTION archive_refuse()",
    f"CREATE TRIGGER archive_never_deleted BEFORE DELETE OR TRUNCATE ON {TABLE} EXECUTE FUNCTION archive_refuse()",
    f"CREATE TRIGGER archive_only_appended BEFORE INSERT ON {TABLE} FOR EACH ROW EXECUTE FUNCTION archive_next()",
)
SCHEMAS = {"sqlite": SQLITE, "postgresql": POSTGRESQL}
# One process at a time appends; readers go on.
LOCKS = {
    "sqlite": ("PRAGMA synchronous = FULL", "BEGIN IMMEDIATE"),
    "postgresql": (
        "BEGIN",
        "SET LOCAL lock_timeout = '60s'",
        "SET LOCAL synchronous_commit = on",
        f"LOCK TABLE {TABLE} IN EXCLUSIVE MODE",
    ),
}
# Making the table is kept apart from others who make it at the same moment.
MAKING = {"sqlite": ("BEGIN IMMEDIATE",), "postgresql": ("BEGIN", "SELECT pg_advisory_xact_lock(7346116)")}
# Triggers that are there and at work.
GUARDS = {
    "sqlite": f"SELECT name FROM sqlite_master WHERE type = 'trigger' AND tbl_name = '{TABLE}'",  # noqa: S608
    "postgresql": f"SELECT tgname FROM pg_trigger WHERE tgrelid = '{TABLE}'::regclass AND tgenabled IN ('O', 'A')",  # noqa: S608
}
