"""What every store promises, asked of each: a folder, a database with files behind fsspec, PostgreSQL if there is one.

A server is named by SANDSLEEVE_TEST_SERVER, as `postgresql://user@127.0.0.1:5433/postgres`; .ci/run starts one.
"""

import os
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from hashlib import sha256
from pathlib import Path
from typing import cast
from urllib.parse import quote
from uuid import uuid4

import pytest
from sqlalchemy import create_engine, text
from sqlalchemy.engine import make_url
from sqlalchemy.pool import NullPool

from calc.archive.record.find import content_of, manifest_of
from calc.archive.record.issue import issue
from calc.archive.record.revisions import list_record
from calc.archive.record.verify import verify
from calc.archive.refusals import ArchiveError, DamagedArchive, RefusedIssue, RefusedSignature
from calc.archive.signing.sign_off import sign
from calc.archive.store.addresses import existing, existing_archive, prepare_archive
from calc.archive.store.contract import KeptStore
from calc.archive.store.folder import FolderStore
from calc.inputs import read_design
from tests.archive import scenario
from tests.archive.scenario import Line, other_document, quick_package, small_results, write_project
from tests.archive.test_signing import silent

SERVER = os.environ.get("SANDSLEEVE_TEST_SERVER", "")


@pytest.fixture(params=["folder", "sqlite and memory", "sqlite and files", "postgresql and files"])
def address(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Path | str]:
    """Where an archive is to be made."""
    files = quote(f"file://{tmp_path}/files", safe=":/")
    if request.param == "folder":
        yield tmp_path / "archive"
    elif request.param == "sqlite and memory":
        yield f"sqlite:///{tmp_path}/archive.sqlite?objects=memory://{uuid4().hex}"
    elif request.param == "sqlite and files":
        yield f"sqlite:///{tmp_path}/archive.sqlite?objects={files}"
    elif not SERVER:
        pytest.skip("no server is given by SANDSLEEVE_TEST_SERVER")
    else:
        with database() as name:
            yield f"{make_url(SERVER).set(database=name)}?objects={files}"


class database:  # noqa: N801 - used like a function
    """A database of its own on the server, gone afterwards."""

    def __enter__(self) -> str:
        self.name = f"archive_{uuid4().hex}"
        self.run(f"CREATE DATABASE {self.name}")
        return self.name

    def __exit__(self, *_error: object) -> None:
        self.run(f"DROP DATABASE {self.name} WITH (FORCE)")

    def run(self, statement: str) -> None:
        url = make_url(SERVER).set(drivername="postgresql+psycopg")
        with create_engine(url, isolation_level="AUTOCOMMIT", poolclass=NullPool).connect() as connection:
            connection.execute(text(statement))


@pytest.fixture
def store(address: Path | str) -> KeptStore:
    return prepare_archive(address)


@pytest.fixture
def project(tmp_path: Path) -> Path:
    return write_project(tmp_path / "project", Line("A", "for checking"))


def issued(store: KeptStore, project: Path) -> None:
    scenario.issued(cast("FolderStore", store), project)


def test_archive_is_made_once_and_found_again(address: Path | str) -> None:
    assert existing_archive(address) is None
    with pytest.raises(ArchiveError, match="is not an archive"):
        existing(address)
    store = prepare_archive(address)

    assert (store.entries(), store.numbers(), store.has_index()) == ([], [], True)
    assert prepare_archive(address).entries() == existing(address).entries() == []
    assert existing_archive(address) is not None
    assert verify(store).problems == []


def test_content_is_kept_under_its_hash(store: KeptStore) -> None:
    for content in (b"", b"one", bytes(range(256)) * 5000):
        digest = store.put(content)
        assert digest == store.put(content) == sha256(content).hexdigest()
        with store.open(digest) as stream:
            assert stream.read() == content
    with pytest.raises(DamagedArchive, match="is missing"):
        store.open("0" * 64)
    with pytest.raises(DamagedArchive, match="is missing"):
        store.record(7)


def test_revision_is_issued_signed_and_verified(store: KeptStore, project: Path) -> None:
    first = (project / "project.toml").read_bytes()
    issued(store, project)
    for role in ("originator", "checker"):
        sign(store, store.entries()[0], role, None, None, silent)
    write_project(project, Line("A", "for checking"), Line("B", "for approval"))
    issued(store, project)
    entries = store.entries()
    report = verify(store, entries[1].sha256)

    assert (report.problems, report.notes, report.records) == ([], [], 4)
    assert [entry.kind for entry in entries] == ["issue", "sign-off", "sign-off", "issue"]
    assert [line["signed"] for line in list_record(entries)] == [["originator", "checker"], []]
    assert content_of(store, manifest_of(store, entries[0]).file("results")) == small_results(first)
    assert sha256(store.record(4)).hexdigest() == entries[3].sha256
    assert store.rebuild() == entries
    assert store.numbers() == [1, 2, 3, 4]
    with pytest.raises(RefusedSignature, match="superseded"):
        sign(store, entries[0], "approver", None, None, silent)
    with pytest.raises(RefusedIssue, match="not issued yet"):
        issued(store, project)
    store.tidy()
    assert store.entries() == entries


def test_what_cannot_be_made_leaves_nothing(store: KeptStore, project: Path) -> None:
    issued(store, project)
    before = store.entries()

    def refuse(_entries: object) -> None:
        message = "not this one"
        raise RefusedIssue(message)

    with pytest.raises(RefusedIssue):
        store.append(refuse)  # type: ignore[arg-type]  # it never returns
    assert store.entries() == before
    assert verify(store).problems == []


def test_many_issue_at_once(address: Path | str, project: Path) -> None:
    """Each with a connection of its own, as processes have."""
    prepare_archive(address)
    design = read_design(project)

    def work(number: int) -> str:
        store = prepare_archive(address)
        one = scenario.prepared(other_document(design, f"D-{number}"), store, page=quick_package)
        return issue(store, one).sha256

    with ThreadPoolExecutor(4) as pool:
        told = list(pool.map(work, range(8)))
    store = existing(address)

    assert {entry.sha256 for entry in store.entries()} == set(told)
    assert store.numbers() == list(range(1, 9))
    assert verify(store).problems == []


def test_file_without_a_record_is_named(store: KeptStore, project: Path) -> None:
    issued(store, project)
    store.put(b"never issued")
    report = verify(store)

    assert report.problems == []
    assert report.notes == ["1 stored files belong to no record: work that was broken off before its issue"]
