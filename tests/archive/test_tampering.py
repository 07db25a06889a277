"""What the signatures alone find of changes to a signed copy; the hashes of the archive would find each, too."""

import random
from io import BytesIO
from pathlib import Path

import pikepdf
from pyhanko.pdf_utils import generic
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter

from calc.archive.record.find import content_of, manifest_of
from calc.archive.record.verify import verify
from calc.archive.signing.sign_off import sign
from calc.archive.signing.signer import Stamp
from calc.archive.signing.verify import signature_problems
from calc.archive.store.folder import FolderStore
from tests.archive.signatories import records, signed, signer
from tests.archive.test_hostile import mutated
from tests.archive.test_signing import silent


def test_one_flipped_byte_is_found_by_the_signatures_alone(whole: FolderStore, copy: bytes) -> None:
    """Everywhere but in the newest signature itself, which says of some of its parts only what a hash can hold.

    Those are the certificates of authorities and the list of digests in it (RFC 5652, 5.4: neither is signed).
    """
    done = records(whole)
    begin = copy.rfind(b"/Contents <") + len(b"/Contents ")
    end = copy.index(b">", begin)
    places = [place for place in range(100, len(copy), len(copy) // 40) if not begin < place < end]
    assert signature_problems(copy, done) == []
    for place in [*places, begin, begin + 1, end - 1, end, len(copy) - 400]:
        changed = bytearray(copy)
        changed[place] ^= 1
        assert signature_problems(bytes(changed), done), place


def test_flipped_byte_within_the_newest_signature_is_found_by_the_archive(
    one_revision: FolderStore, keys: dict[str, Path]
) -> None:
    content = signed(one_revision, keys, "originator")
    [one] = records(one_revision)
    path = one_revision.root / "objects" / one.file("signed").sha256[:2] / one.file("signed").sha256[2:]
    path.chmod(0o644)
    begin = content.rfind(b"/Contents <")
    for place in range(begin, begin + 6000, 500):
        path.write_bytes(content[:place] + bytes([content[place] ^ 1]) + content[place + 1 :])
        assert any("signed.pdf is not what was issued" in text for text in verify(one_revision).problems)


def test_mutated_copies_are_read_or_refused(whole: FolderStore, copy: bytes) -> None:
    chance, done = random.Random(5), records(whole)  # noqa: S311 - mutations, no secret
    answers = [signature_problems(mutated(copy, chance), done) for _ in range(60)]

    assert sum(bool(answer) for answer in answers) > 50
    assert all(len(text) < 300 for answer in answers for text in answer)


def turned(content: bytes) -> bytes:
    """The file with its first page turned by an update behind its end."""
    writer = IncrementalPdfFileWriter(BytesIO(content))
    page = writer.root["/Pages"]["/Kids"][0]
    page[generic.NameObject("/Rotate")] = generic.NumberObject(90)  # type: ignore[no-untyped-call]  # the library does not type it
    writer.update_container(page)
    made = BytesIO()
    writer.write(made)  # type: ignore[no-untyped-call]  # the same
    return made.getvalue()


def test_page_that_was_turned_afterwards_is_found(whole: FolderStore, copy: bytes) -> None:
    """An update that leaves every signed byte in its place."""
    changed = turned(copy)
    problems = signature_problems(changed, records(whole))

    assert changed.startswith(copy)
    assert "the signature of the approver does not cover all that it should" in problems
    assert any("objects that were signed are written anew" in text for text in problems)


def test_digits_in_another_case_are_found(whole: FolderStore, copy: bytes) -> None:
    begin = copy.rfind(b"/Contents <")
    changed = copy[:begin] + copy[begin : begin + 400].replace(b"A", b"a") + copy[begin + 400 :]

    assert signature_problems(changed, records(whole)) == [
        "the signature of the approver has something else in its place"
    ]


def test_page_turned_between_two_signatures_is_found(one_revision: FolderStore, keys: dict[str, Path]) -> None:
    first = signed(one_revision, keys, "originator")
    _, proper = sign(one_revision, one_revision.entries()[0], "checker", None, signer(keys["checker"]), silent)
    stamp = content_of(one_revision, manifest_of(one_revision, one_revision.entries()[0]).file("package"))
    forged = signer(keys["checker"]).sign(turned(first), Stamp("checker", stamp, ""))
    done = records(one_revision)

    assert signature_problems(proper, done) == []
    assert any("objects that were signed are written anew" in text for text in signature_problems(forged, done))


def test_file_that_was_written_anew_is_found(whole: FolderStore, copy: bytes) -> None:
    with pikepdf.open(BytesIO(copy)) as pdf:
        saved = BytesIO()
        pdf.save(saved)

    assert len(signature_problems(saved.getvalue(), records(whole))) >= 3


def test_signatures_must_be_those_of_the_records(whole: FolderStore, copy: bytes) -> None:
    done = records(whole)
    first = content_of(whole, done[0].file("signed"))
    other = done[2].model_copy(update={"certificate": done[1].certificate})

    assert signature_problems(first, done) == ["it is signed by originator"]
    assert signature_problems(b"%PDF-1.7\n", done)[0].startswith("its signatures cannot be read")
    assert signature_problems(copy, [*done[:2], other]) == [
        "the signature of the approver is by another certificate than the record names"
    ]
    package = content_of(whole, manifest_of(whole, whole.entries()[0]).file("package"))
    assert signature_problems(package, done) == ["it is signed by nobody"]
