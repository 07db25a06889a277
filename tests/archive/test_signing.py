"""Signing off without a certificate: who may when, what is written, what is found later."""

from collections.abc import Callable
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from typing import Any

import pikepdf
import pytest

from calc.archive.printed import show_text
from calc.archive.record.find import content_of, manifest_of, newest, sign_offs
from calc.archive.record.manifest import ROLES, Role, SignOff, read_manifest, read_record
from calc.archive.record.revision_folder import export
from calc.archive.record.revisions import list_record, list_text
from calc.archive.record.verification import verify
from calc.archive.refusals import ArchiveError, ChainMoved, DamagedArchive, RefusedSignature, UnknownPerson
from calc.archive.signing import sign_off as signing
from calc.archive.signing.sign_off import refuse, sign
from calc.archive.signing.sign_off_check import sign_off_problems
from calc.archive.store.contract import Entry
from calc.archive.store.folder import FolderStore
from tests.archive.scenario import Line, contents, issued, small_package, write_project
from tests.packages.reading import page_texts

CHECKING = [Line("A", "for checking")]


def silent(_text: str) -> None:
    """Say nothing."""


def signed(store: FolderStore, *roles: Role) -> Entry:
    """Sign the revision issued last in these roles."""
    for role in roles:
        entry, _ = sign(store, newest(store.entries(), None), role, None, None, silent)
    return entry


@pytest.fixture(scope="module")
def template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("signing")
    issued(FolderStore.prepare(folder / "archive"), write_project(folder / "project", *CHECKING))
    return folder


@pytest.fixture
def store(template: Path, tmp_path: Path) -> FolderStore:
    """An archive with one revision for checking."""
    for name, content in contents(template / "archive").items():
        path = tmp_path / "archive" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
    (tmp_path / "archive" / "incoming").mkdir(exist_ok=True)
    return FolderStore.existing(tmp_path / "archive")


def test_three_people_sign_in_their_order(store: FolderStore, tmp_path: Path) -> None:
    [issue] = store.entries()
    package = content_of(store, manifest_of(store, issue).file("package"))
    last = signed(store, *ROLES)
    done = [one for one, _ in sign_offs(store, store.entries(), issue)]
    copies = [content_of(store, one.file("signed")) for one in done]
    report = verify(store)

    assert [one.role for one in done] == list(ROLES)
    assert (last.sequence, last.kind, last.label, last.words) == (4, "sign-off", "A", "approver")
    assert {one.package for one in done} == {sha256(package).hexdigest()}
    assert all(later.startswith(before) for before, later in zip([package, *copies], copies, strict=False))
    assert (report.problems, report.notes, report.records) == ([], [], 4)
    assert content_of(store, manifest_of(store, issue).file("package")) == package
    names = {path.name for path in export(store, issue, tmp_path / "A")}
    assert names >= {"package.pdf", "signed.pdf", "sign-off-1-originator.json", "sign-off-3-approver.json"}
    assert (tmp_path / "A" / "signed.pdf").read_bytes() == copies[-1]


def test_signed_copy_shows_who_signed_and_when(store: FolderStore) -> None:
    entry, copy = sign(store, store.entries()[0], "originator", "a. FENWICK", None, silent)
    with pikepdf.open(BytesIO(copy)) as pdf:
        [note] = list(pdf.pages[0].Annots)
        words, rectangle = str(note.Contents), [float(one) for one in note.Rect]
        drawing = pikepdf.new()
        page = drawing.add_blank_page(page_size=(160, 40))
        page.add_overlay(drawing.copy_foreign(note.AP.N), pikepdf.Rectangle(0, 0, 160, 40))
        shown = BytesIO()
        drawing.save(shown)
    text = " ".join(" ".join(page_texts(shown.getvalue())).split())

    assert rectangle[2] - rectangle[0] == pytest.approx(150, abs=0.01)
    assert rectangle[3] - rectangle[1] == pytest.approx(37, abs=0.01)
    for line in ("Made by", "A. Fenwick", "sign-off without certificate", f"{entry.issued_at[:10]} "):
        assert line in words
        assert line in text
    assert manifest_of(store, store.entries()[0]).file("package").sha256[:32] in text


def test_list_and_show_tell_who_signed(store: FolderStore) -> None:
    issue = store.entries()[0]
    signed(store, "originator", "checker")
    entries = store.entries()

    assert "signed by" in list_text(entries, 120)
    assert "checker" in list_text(entries, 120).splitlines()[-1]
    [line] = list_record(entries)
    assert (line["label"], line["signed"]) == ("A", ["originator", "checker"])
    done = [one for one, _ in sign_offs(store, entries, issue)]
    assert list_record([entry for entry in entries if entry.kind != "issue"]) == []
    text = show_text(manifest_of(store, issue), issue.sha256, "for checking", 120, done)
    assert "Signed            B. Okoye as checker" in text


@pytest.mark.parametrize(
    ("roles", "message"),
    [
        (("checker",), "the originator signs before"),
        (("originator", "approver"), "the checker signs before"),
        (("originator", "originator"), "A. Fenwick signed as originator on .* UTC .record 2."),
        (("originator", "checker", "checker"), "signed as checker"),
    ],
)
def test_signing_out_of_order_or_twice_is_refused(store: FolderStore, roles: tuple[Role, ...], message: str) -> None:
    for role in roles[:-1]:
        signed(store, role)
    before = contents(store.root)

    with pytest.raises(RefusedSignature, match=f"revision A cannot be signed by the {roles[-1]}: .*{message}"):
        signed(store, roles[-1])
    assert contents(store.root) == before


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("Somebody Else", "Somebody Else is not named in revision A; its checker is B. Okoye"),
        ("A. Fenwick", "is the originator of revision A; its checker is B. Okoye"),
    ],
)
def test_only_who_is_named_for_a_role_signs(store: FolderStore, name: str, message: str) -> None:
    signed(store, "originator")
    before = contents(store.root)

    with pytest.raises(UnknownPerson, match=message):
        sign(store, store.entries()[0], "checker", name, None, silent)
    assert contents(store.root) == before


@pytest.mark.parametrize(
    ("lines", "which", "message"),
    [
        (["draft"], 0, "it is a draft"),
        (["for checking", "for approval"], 0, "it is superseded"),
        (["for checking", "withdrawn"], 1, "it is withdrawn"),
    ],
)
def test_what_is_not_valid_is_not_signed(tmp_path: Path, lines: list[str], which: int, message: str) -> None:
    store = FolderStore.prepare(tmp_path / "archive")
    for count in range(1, len(lines) + 1):
        record = [Line(label, status) for label, status in zip("AB", lines[:count], strict=False)]
        issued(store, write_project(tmp_path / "project", *record))
    before = contents(store.root)

    with pytest.raises(RefusedSignature, match=message):
        sign(store, store.entries()[which], "originator", None, None, silent)
    assert contents(store.root) == before


def test_nobody_signs_in_two_roles(store: FolderStore) -> None:
    """The inputs refuse one person in two roles; a record from outside may hold it all the same."""
    manifest = manifest_of(store, store.entries()[0])
    approver = manifest.people.approver.model_copy(update={"name": "a.  Fenwick"})
    people = manifest.people.model_copy(update={"approver": approver})

    with pytest.raises(RefusedSignature, match="is its approver, too; each role is another person"):
        refuse(manifest.model_copy(update={"people": people}), "for checking", (), "originator", None)


def test_two_who_sign_at_once_do_not_both_sign(store: FolderStore, monkeypatch: pytest.MonkeyPatch) -> None:
    """The second one finds out inside the lock, after its copy was made."""
    made = signing._page

    def meanwhile(*arguments: Any) -> bytes:
        monkeypatch.setattr(signing, "_page", made)
        signed(store, "originator")
        return made(*arguments)

    monkeypatch.setattr(signing, "_page", meanwhile)
    with pytest.raises(RefusedSignature, match="signed as originator"):
        signed(store, "originator")
    assert [entry.words for entry in store.entries()[1:]] == ["originator"]
    monkeypatch.setattr(signing, "refuse", lambda *_more: None)
    monkeypatch.setattr(signing, "_page", meanwhile)
    with pytest.raises(ChainMoved, match="somebody else has signed"):
        signed(store, "originator")


def test_package_of_an_earlier_program_has_no_place_to_sign(tmp_path: Path) -> None:
    store = FolderStore.prepare(tmp_path / "archive")
    project = write_project(tmp_path / "project", *CHECKING)
    page = small_package((project / "project.toml").read_bytes(), b"{}").replace(b"/Root", b"/Boot")
    issued(store, project, pdf=page)

    with pytest.raises(RefusedSignature, match="not built as this program builds packages"):
        signed(store, "originator")


def test_damaged_package_is_not_signed(store: FolderStore) -> None:
    stored = manifest_of(store, store.entries()[0]).file("package")
    path = store.root / "objects" / stored.sha256[:2] / stored.sha256[2:]
    path.chmod(0o644)
    path.write_bytes(path.read_bytes()[:-1] + b"?")

    with pytest.raises(DamagedArchive):
        signed(store, "originator")


def test_newest_revision_is_asked_for_by_document(store: FolderStore, tmp_path: Path) -> None:
    with pytest.raises(ArchiveError, match="nothing is issued yet"):
        newest([], None)
    issued(store, write_project(tmp_path / "two", *CHECKING, change=("-GEO-", "-EXT-")))
    with pytest.raises(ArchiveError, match="several documents"):
        newest(store.entries(), None)
    assert newest(store.entries(), ("2025-014", "2025-014-GEO-C-001")).sequence == 1


def test_every_flipped_bit_of_a_sign_off_is_found(store: FolderStore) -> None:
    signed(store, "originator")
    stored = next(iter(sign_offs(store, store.entries(), store.entries()[0])))[0].file("signed")
    for path in (store.root / "records/0000002/manifest.json",
                 store.root / "objects" / stored.sha256[:2] / stored.sha256[2:]):  # fmt: skip
        content = path.read_bytes()
        path.chmod(0o644)
        for place in range(0, len(content), len(content) // 15):
            changed = bytearray(content)
            changed[place] ^= 1
            path.write_bytes(changed)
            assert verify(store).problems, place
        path.write_bytes(content)
    assert verify(store).problems == []


def altered(**update: Any) -> Callable[[SignOff], SignOff]:
    return lambda one: one.model_copy(update=update)


@pytest.mark.parametrize(
    ("alter", "problem"),
    [
        (altered(package="0" * 64), "it signs another package"),
        (altered(label="Z"), "it names another revision"),
        (altered(role="approver"), "B. Okoye is not the approver"),
        (altered(role="approver"), "it is out of order"),
        (altered(issue="1" * 64), "the record of its issue is not in the chain"),
        (lambda one: altered(files=(one.files[0].model_copy(update={"sha256": "2" * 64}),))(one), "is missing"),
    ],
)
def test_sign_off_that_does_not_fit_its_issue_is_found(
    store: FolderStore, alter: Callable[[SignOff], SignOff], problem: str
) -> None:
    signed(store, "originator", "checker")
    [issue] = [entry for entry in store.entries() if entry.kind == "issue"]
    first, second = (one for one, _ in sign_offs(store, store.entries(), issue))
    known = {issue.sha256: manifest_of(store, issue)}

    assert sign_off_problems(store, known, [first, second]) == ([], [])
    problems, _ = sign_off_problems(store, known, [first, alter(second)])
    assert any(problem in text for text in problems), problems


def test_signed_copy_of_something_else_is_found(store: FolderStore) -> None:
    signed(store, "originator")
    [issue] = [entry for entry in store.entries() if entry.kind == "issue"]
    manifest = manifest_of(store, issue)
    [(one, _)] = sign_offs(store, store.entries(), issue)
    other = one.model_copy(update={"files": (manifest.file("results").model_copy(update={"role": "signed"}),)})
    draft = manifest.model_copy(update={"revision": manifest.revision.model_copy(update={"words": "draft"})})

    assert any("does not begin with the bytes" in text
               for text in sign_off_problems(store, {issue.sha256: manifest}, [other])[0])  # fmt: skip
    assert any("a draft is not signed" in text
               for text in sign_off_problems(store, {issue.sha256: draft}, [one])[0])  # fmt: skip


def test_record_of_a_sign_off_is_no_issue(store: FolderStore) -> None:
    signed(store, "originator")

    assert isinstance(read_record(store.record(2), "record 2"), SignOff)
    with pytest.raises(DamagedArchive, match="it is the record of a sign-off, not of a revision"):
        read_manifest(store.record(2), "record 2")


def test_revisions_are_issued_after_sign_offs_and_the_index_is_made_again(store: FolderStore, tmp_path: Path) -> None:
    signed(store, "originator", "checker")
    issued(store, write_project(tmp_path / "project", *CHECKING, Line("B", "for approval")))
    signed(store, "originator")
    entries = store.entries()

    assert [entry.kind for entry in entries] == ["issue", "sign-off", "sign-off", "issue", "sign-off"]
    assert store.rebuild() == entries
    assert verify(store).problems == []
    assert [line["signed"] for line in list_record(entries)] == [["originator", "checker"], ["originator"]]
