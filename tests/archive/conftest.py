"""Archives with signatures; keys are made once for a run."""

from pathlib import Path

import pytest

from calc.archive.find import content_of
from calc.archive.folder import FolderStore
from calc.archive.manifest import ROLES
from tests.archive.certificates import Authority, key_file, rsa_key, signing_usage
from tests.archive.signatories import PEOPLE, new_archive, records, signed


@pytest.fixture(scope="session")
def authority() -> Authority:
    return Authority.made()


@pytest.fixture(scope="session")
def keys(authority: Authority, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """A file with key and certificate for each role."""
    folder = tmp_path_factory.mktemp("keys")
    made = {}
    for role, name in PEOPLE.items():
        key = rsa_key()
        usage = signing_usage() if role != "approver" else None
        certificate = authority.certificate_for(name, key, usage=usage)
        made[role] = key_file(folder / f"{role}.p12", name, key, certificate, authority)
    return made


@pytest.fixture(scope="session")
def whole(keys: dict[str, Path], tmp_path_factory: pytest.TempPathFactory) -> FolderStore:
    """An archive with a revision that all have signed; tests only read it."""
    store = new_archive(tmp_path_factory.mktemp("whole"))
    signed(store, keys, *ROLES)
    return store


@pytest.fixture
def one_revision(tmp_path: Path) -> FolderStore:
    return new_archive(tmp_path)


@pytest.fixture(scope="session")
def copy(whole: FolderStore) -> bytes:
    return content_of(whole, records(whole)[-1].file("signed"))
