"""Whether the signatures in a signed copy are what was signed; needs the packages of the extra `sign`.

Each signature must be intact, by the certificate that its record names, and cover all that was there; after the first
an update may rewrite nothing but the field of its own signature.
"""

import logging
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from io import BytesIO
from pathlib import Path
from re import fullmatch

from asn1crypto import pem
from asn1crypto.parser import peek
from asn1crypto.x509 import Certificate
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.validation import EmbeddedPdfSignature, validate_pdf_signature
from pyhanko.sign.validation.settings import KeyUsageConstraints
from pyhanko.sign.validation.status import SignatureCoverageLevel
from pyhanko_certvalidator import ValidationContext

from calc.archive.record.manifest import SignOff
from calc.archive.refusals import ArchiveError
from calc.archive.store.disk import read_small

USAGE = KeyUsageConstraints(key_usage={"digital_signature", "non_repudiation"}, match_all_key_usages=False)
LARGEST_ROOTS = 10_000_000
Roots = Sequence[Certificate]


def read_roots(path: Path) -> Roots:
    """The certificates of authorities in a PEM or DER file."""
    content = read_small(path, LARGEST_ROOTS)
    try:
        parts = [der for _, _, der in pem.unarmor(content, multiple=True)] if pem.detect(content) else [content]
        roots = [Certificate.load(part) for part in parts]
        for root in roots:
            str(root.subject.human_friendly)  # reads what was only looked at so far
    except (ValueError, TypeError) as error:
        message = f"{path} must hold certificates in PEM or DER form"
        raise ArchiveError(message) from error
    return roots


def signature_problems(copy: bytes, done: Sequence[SignOff], roots: Roots = ()) -> list[str]:
    """What is wrong with the signatures of a copy; `done` are the records that it must have signatures of, in order.

    Without `roots` nobody says who issued the certificates: they must be those of the records, no more.
    """
    try:
        with _quiet():
            return list(_problems(copy, done, roots))
    # The library raises errors of every kind over a file that was tampered with, and all say the same.
    except Exception as error:  # noqa: BLE001
        return [f"its signatures cannot be read: {' '.join(str(error).split())[:200]}"]


def _problems(copy: bytes, done: Sequence[SignOff], roots: Roots) -> Iterator[str]:
    reader = PdfFileReader(BytesIO(copy))
    signatures = list(reader.embedded_signatures)
    if [signature.field_name for signature in signatures] != [sign_off.role for sign_off in done]:
        yield f"it is signed by {', '.join(signature.field_name for signature in signatures) or 'nobody'}"
        return
    for signature, record in zip(signatures, done, strict=True):
        for text in (*_validity_problems(signature, record, record is done[-1], roots), *_container(signature, copy)):
            yield f"the signature of the {record.role} {text}"
    yield from _updates(reader, signatures)


def _validity_problems(signature: EmbeddedPdfSignature, record: SignOff, last: bool, roots: Roots) -> Iterator[str]:
    certificate = signature.signer_cert
    context = ValidationContext(trust_roots=list(roots) or [certificate], moment=record.signed_at, allow_fetching=False)
    # RFC 5280, 4.2.1.3, from memory: a certificate that names no usage is good for any.
    usage = USAGE if certificate.key_usage_value else KeyUsageConstraints(key_usage=())
    status = validate_pdf_signature(
        signature, signer_validation_context=context, key_usage_settings=usage, skip_diff=True
    )
    if not status.intact or not status.valid:
        yield "does not fit the file: it was changed after signing"
    if record.certificate is None or certificate.sha256.hex() != record.certificate.sha256:
        yield "is by another certificate than the record names"
    if roots and not status.trusted:
        yield "is by a certificate that none of the authorities issued, or that was not good on the day"
    wanted = SignatureCoverageLevel.ENTIRE_FILE if last else SignatureCoverageLevel.ENTIRE_REVISION
    if status.coverage != wanted:
        yield "does not cover all that it should"


def _container(signature: EmbeddedPdfSignature, copy: bytes) -> Iterator[str]:
    """The one stretch that the hash leaves out holds the signature in hexadecimal digits, then zeros, and no more."""
    begin, end = signature.byte_range[1], signature.byte_range[2]
    held = copy[begin:end]
    content = bytes.fromhex(held[1:-1].decode()) if fullmatch(rb"<([0-9A-F]{2})+>", held) else b""
    if not content or content[peek(content) :].strip(b"\0"):
        yield "has something else in its place"


def _updates(reader: PdfFileReader, signatures: Sequence[EmbeddedPdfSignature]) -> Iterator[str]:
    """Objects that were there at the first signature and were rewritten later, beside the fields of signatures."""
    first = signatures[0].signed_revision
    numbers = [{ref.idnum for ref in reader.xrefs.explicit_refs_in_revision(revision)} for revision in range(first + 1)]
    known = set().union(*numbers)
    fields = {reader.root["/AcroForm"].raw_get("/Fields").raw_get(place).idnum for place in range(len(signatures))}
    for revision in range(first + 1, reader.xrefs.total_revisions):
        rewritten = {ref.idnum for ref in reader.xrefs.explicit_refs_in_revision(revision)} & known
        if others := sorted(rewritten - fields):
            yield f"objects that were signed are written anew: {', '.join(map(str, others[:5]))}"


@contextmanager
def _quiet() -> Iterator[None]:
    """Keep the library from printing what is said in one line here."""
    before = logging.root.manager.disable
    logging.disable(logging.CRITICAL)
    try:
        yield
    finally:
        logging.disable(before)
