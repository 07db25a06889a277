"""Signing with certificates: an authority and people of the tests, keys made anew for each run."""

import re
import shutil
import subprocess
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import pikepdf
import pytest
from cryptography.hazmat.primitives.asymmetric import ec

from calc.archive.extras import signatures_checker, signer_from
from calc.archive.record.find import content_of, manifest_of
from calc.archive.record.manifest import ROLES
from calc.archive.record.verification import verify
from calc.archive.refusals import ArchiveError, MissingExtra, RefusedSignature
from calc.archive.signing.sign_off import sign
from calc.archive.signing.signature_check import read_roots
from calc.archive.store.folder import FolderStore
from tests.archive.certificates import (
    PASSWORD,
    Authority,
    Key,
    key_file,
    other_usage,
    rsa_key,
    signing_usage,
)
from tests.archive.pdf_rules import broken_rules
from tests.archive.scenario import contents
from tests.archive.signatories import PEOPLE, records, signed, signer
from tests.archive.test_signing import silent


def test_originator_certifies_and_the_others_approve(whole: FolderStore, copy: bytes) -> None:
    """ISO 32000-1, 12.8.2.2: the certifying signature says that signing is all that may follow."""
    with pikepdf.open(BytesIO(copy)) as pdf:
        fields = {str(field.T): field for field in pdf.Root.AcroForm.Fields}
        certified = [role for role, field in fields.items() if "/Reference" in field.V]
        assert list(fields) == list(ROLES)
        assert certified == ["originator"]
        assert str(fields["checker"].TU) == "Signature of the checker"
        assert int(fields["originator"].V.Reference[0].TransformParams.P) == 2
        assert pdf.Root.Perms.DocMDP.objgen == fields["originator"].V.objgen
        assert {str(field.V.SubFilter) for field in fields.values()} == {"/ETSI.CAdES.detached"}
        assert float(fields["checker"].Rect[0]) > float(fields["originator"].Rect[2])
    package = content_of(whole, manifest_of(whole, whole.entries()[0]).file("package"))
    assert copy.startswith(package)


def test_another_program_finds_three_valid_signatures(copy: bytes, tmp_path: Path) -> None:
    """Poppler's pdfsig reads the signatures by its own means."""
    pdfsig = shutil.which("pdfsig")
    if pdfsig is None:
        pytest.skip("pdfsig of poppler-utils is not installed")
    (tmp_path / "signed.pdf").write_bytes(copy)
    told = subprocess.run([pdfsig, "-nocert", tmp_path / "signed.pdf"], capture_output=True, text=True, check=False)

    assert told.stdout.count("Signature Validation: Signature is Valid.") == 3
    assert re.findall(r"Signature Field Name: (\w+)", told.stdout) == list(ROLES)
    assert told.stdout.count("Signature Type: ETSI.CAdES.detached") == 3
    assert told.stdout.count("Signing Hash Algorithm: SHA-256") == 3
    assert told.stdout.count("Total document signed") == 1
    assert told.stdout.count("Not total document signed") == 2


@pytest.mark.parametrize("count", [1, 2, 3])
def test_signed_copy_keeps_the_rules_of_the_package(whole: FolderStore, count: int) -> None:
    content = content_of(whole, records(whole)[count - 1].file("signed"))

    assert broken_rules(content) == []


def test_copy_without_certificates_keeps_the_rules_of_the_package(one_revision: FolderStore) -> None:
    for role in ROLES:
        _, content = sign(one_revision, one_revision.entries()[0], role, None, None, silent)

    assert broken_rules(content) == []


def test_rules_would_find_a_font_that_is_not_inside(copy: bytes) -> None:
    with pikepdf.open(BytesIO(copy)) as pdf:
        pdf.Root.Own = pdf.make_indirect(pikepdf.Dictionary(Type=pikepdf.Name.Font, BaseFont=pikepdf.Name.Courier))
        changed = BytesIO()
        pdf.save(changed)

    assert "a font without its file: /Courier" in broken_rules(changed.getvalue())


def test_records_name_the_certificates(whole: FolderStore) -> None:
    found = [record.certificate for record in records(whole)]

    assert [one and one.subject for one in found] == list(PEOPLE.values())
    assert {one and one.issuer for one in found} == {"Authority of the marsh"}
    assert [record.person.name for record in records(whole)][1] == "B. Okoye"


def test_archive_is_sound_and_says_what_was_not_asked(whole: FolderStore, authority: Authority, tmp_path: Path) -> None:
    report = verify(whole)
    trusted = verify(whole, trust=str(authority.pem(tmp_path)))
    other = verify(whole, trust=str(Authority.made("Another authority").pem(tmp_path)))

    assert report.problems == trusted.problems == []
    assert report.notes == [
        "3 signatures are by the certificates of their records; who issued those was not asked (--trust)"
    ]
    assert trusted.notes == []
    assert sum("none of the authorities issued" in text for text in other.problems) == 3


def test_without_the_extra_hashes_are_checked_and_the_rest_is_said(
    whole: FolderStore, monkeypatch: pytest.MonkeyPatch, keys: dict[str, Path]
) -> None:
    for module in ("signature_check", "certificate"):
        monkeypatch.setitem(__import__("sys").modules, f"calc.archive.signing.{module}", None)
    report = verify(whole)

    assert report.problems == []
    assert "3 signatures by certificate were not read" in report.notes[0]
    assert "pip install 'sandsleeve[sign]'" in report.notes[0]
    with pytest.raises(MissingExtra, match="--trust needs packages"):
        signatures_checker("authority.pem")
    with pytest.raises(MissingExtra, match=r"pip install 'sandsleeve\[sign\]'"):
        signer_from(keys["originator"], PASSWORD)


def test_today_is_when_a_certificate_must_be_good(keys: dict[str, Path]) -> None:
    assert signer_from(keys["checker"], PASSWORD).certificate.subject == PEOPLE["checker"]


KeyFile = Callable[[Path, Authority], Path]


def made(key: Callable[[], Key], days: tuple[int, int] = (-30, 365), usage: bool = True, bare: bool = False) -> KeyFile:
    def make(folder: Path, authority: Authority) -> Path:
        one = key()
        certificate = authority.certificate_for("A. Fenwick", one, days, signing_usage() if usage else other_usage())
        return key_file(
            folder / "key.p12", "A. Fenwick", None if bare else one, None if bare else certificate, authority
        )

    return make


def no_key_file(folder: Path, _authority: Authority) -> Path:
    (folder / "key.p12").write_bytes(b"-----BEGIN")
    return folder / "key.p12"


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (made(rsa_key, (-400, -1)), r"is good from \d{4}-\d\d-\d\d to \d{4}-\d\d-\d\d only"),
        (made(rsa_key, (2, 400)), "is good from"),
        (made(rsa_key, usage=False), "is not made for signing documents"),
        (made(lambda: rsa_key(1024)), "must be an RSA key of 2048 bits or more"),
        (made(lambda: ec.generate_private_key(ec.SECP256R1())), "must be an RSA key"),
        (made(rsa_key, bare=True), "must hold a private key and its certificate"),
        (no_key_file, "no PKCS#12 file, or the password is another one"),
    ],
)
def test_key_that_is_not_good_for_signing_is_refused(
    make: KeyFile, message: str, tmp_path: Path, authority: Authority
) -> None:
    with pytest.raises(RefusedSignature, match=message):
        signer(make(tmp_path, authority))


def test_another_password_is_refused(keys: dict[str, Path]) -> None:
    with pytest.raises(RefusedSignature, match="the password is another one"):
        signer(keys["originator"], "another")


def test_all_sign_with_certificates_or_all_without(one_revision: FolderStore, keys: dict[str, Path]) -> None:
    signed(one_revision, keys, "originator")
    before = contents(one_revision.root)
    with pytest.raises(RefusedSignature, match="the originator signed with a certificate, and all sign alike"):
        sign(one_revision, one_revision.entries()[0], "checker", None, None, silent)
    with pytest.raises(RefusedSignature, match="this certificate or another one for its key"):
        sign(one_revision, one_revision.entries()[0], "checker", None, signer(keys["originator"]), silent)
    with pytest.raises(RefusedSignature, match="signed as originator"):
        signed(one_revision, keys, "originator")
    assert contents(one_revision.root) == before


def test_another_certificate_for_the_same_key_is_no_other_person(
    one_revision: FolderStore, authority: Authority, tmp_path: Path
) -> None:
    key = rsa_key()
    made = {
        role: key_file(tmp_path / f"{role}.p12", name, key, authority.certificate_for(name, key), authority)
        for role, name in PEOPLE.items()
    }
    signed(one_revision, made, "originator")
    before = contents(one_revision.root)

    with pytest.raises(RefusedSignature, match="this certificate or another one for its key"):
        signed(one_revision, made, "checker")
    assert contents(one_revision.root) == before


def test_record_with_the_key_or_the_name_of_another_is_found(whole: FolderStore) -> None:
    from calc.archive.signing.sign_off_check import sign_off_problems

    first, second, _ = records(whole)
    known = {whole.entries()[0].sha256: manifest_of(whole, whole.entries()[0])}
    changed = second.model_copy(update={"certificate": first.certificate, "person": first.person})
    problems, _ = sign_off_problems(whole, known, [first, changed])

    assert any("made with the key of the originator" in problem for problem in problems)
    assert any("signed as originator, too" in problem for problem in problems)


def test_certificate_does_not_follow_a_sign_off_without(one_revision: FolderStore, keys: dict[str, Path]) -> None:
    sign(one_revision, one_revision.entries()[0], "originator", None, None, silent)
    with pytest.raises(RefusedSignature, match="signed without a certificate, and all sign alike"):
        signed(one_revision, keys, "checker")


def test_record_of_another_kind_than_the_one_before_is_found(whole: FolderStore) -> None:
    from calc.archive.signing.sign_off_check import sign_off_problems

    first, second, _ = records(whole)
    known = {whole.entries()[0].sha256: manifest_of(whole, whole.entries()[0])}
    problems, _ = sign_off_problems(whole, known, [first, second.model_copy(update={"certificate": None})])

    assert any("it is not made as the one before it" in text for text in problems)


def test_authorities_are_read_from_pem_or_der(authority: Authority, tmp_path: Path) -> None:
    from cryptography.hazmat.primitives.serialization import Encoding

    (tmp_path / "authority.der").write_bytes(authority.certificate.public_bytes(Encoding.DER))
    (tmp_path / "other.pem").write_bytes(b"no certificate")

    assert len(read_roots(authority.pem(tmp_path))) == len(read_roots(tmp_path / "authority.der")) == 1
    with pytest.raises(ArchiveError, match="must hold certificates in PEM or DER form"):
        read_roots(tmp_path / "other.pem")


def test_certificate_without_a_common_name_is_named_in_full(authority: Authority) -> None:
    from cryptography import x509
    from cryptography.x509.oid import NameOID

    from calc.archive.signing.certificate import _name

    assert _name(x509.Name([x509.NameAttribute(NameOID.ORGANIZATION_NAME, "Marsh Office")])) == "O=Marsh Office"
    assert _name(x509.Name([])) == "without a name"
