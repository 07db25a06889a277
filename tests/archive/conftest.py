"""Archives with signatures; keys are made once for a run."""

import shutil
from collections.abc import Sequence
from pathlib import Path

import pytest
from click.testing import CliRunner

from calc.archive.record import issue as issuing
from calc.archive.record.find import content_of
from calc.archive.record.manifest import ROLES
from calc.archive.store.folder import FolderStore
from calc.chain import Run
from calc.cli import main
from calc.package.attached import Appendix, Means
from calc.package.render import Attached
from tests.archive.certificates import Authority, key_file, rsa_key, signing_usage
from tests.archive.scenario import CLOSER, FIRST, SECOND, Command, small_package, write_project
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


@pytest.fixture
def command(monkeypatch: pytest.MonkeyPatch) -> Command:
    """Run a command in this process; packages have one page, because setting pages takes its time."""
    return in_process(monkeypatch)


def in_process(patch: pytest.MonkeyPatch) -> Command:
    """Commands with packages of one page, as long as the patch holds."""

    def page(
        run: Run,
        results: bytes,
        _tell: object,
        words: str,
        inside: Sequence[Attached],
        _checked: object,
        *,
        means: Means,
        appendices: Sequence[Appendix],
    ) -> bytes:
        assert means.kept is None
        assert bool(appendices) == (run.design.plan is not None)
        return small_package(run.design.text, results, inside, f"Archive {words}")

    patch.setattr(issuing, "package_pdf", page)
    patch.setattr(issuing, "change_sheet", lambda *_sides: b"%PDF changes")
    patch.delenv("SANDSLEEVE_ARCHIVE", raising=False)
    return lambda *arguments: CliRunner().invoke(main, [str(argument) for argument in arguments])


@pytest.fixture(scope="session")
def issued_twice(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A project with two issued revisions; tests get copies of it."""
    project = tmp_path_factory.mktemp("issued") / "bank"
    with pytest.MonkeyPatch.context() as patch:
        command = in_process(patch)
        write_project(project, *FIRST)
        assert command("issue", project).exit_code == 6
        write_project(project, *SECOND, change=CLOSER)
        assert command("issue", project).exit_code == 6
    return project


@pytest.fixture
def project(issued_twice: Path, tmp_path: Path, command: Command) -> Path:
    """A project with two issued revisions."""
    return Path(shutil.copytree(issued_twice, tmp_path / "bank"))
