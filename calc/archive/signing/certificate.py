"""Signatures by certificate, PAdES baseline B-B: the originator certifies, checker and approver approve.

ETSI EN 319 142-1 and ISO 32000-1, 12.8, as the signing library applies them; no time stamp, no revocation data. Needs
the packages of the extra `sign`.
"""

import datetime as dt
import tempfile
from hashlib import sha256
from io import BytesIO
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives.asymmetric.rsa import RSAPrivateKey
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat
from cryptography.hazmat.primitives.serialization.pkcs12 import PKCS12KeyAndCertificates, load_pkcs12
from cryptography.x509.oid import NameOID
from pyhanko.pdf_utils.content import ImportedPdfPage
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.pdf_utils.layout import AxisAlignment, Margins, SimpleBoxLayoutRule
from pyhanko.sign.fields import MDPPerm, SigFieldSpec, SigSeedSubFilter, append_signature_field
from pyhanko.sign.signers import PdfSignatureMetadata, PdfSigner, SimpleSigner
from pyhanko.stamp import StaticStampStyle

from calc.archive.record.manifest import ROLES, Certificate
from calc.archive.refusals import RefusedSignature
from calc.archive.signing.signer import Stamp
from calc.archive.signing.update import Pdf, place_of
from calc.archive.store.disk import read_small

LARGEST_KEY_FILE = 1_000_000
LEAST_BITS = 2048
WHOLE_PLACE = SimpleBoxLayoutRule(
    x_align=AxisAlignment.ALIGN_MIN, y_align=AxisAlignment.ALIGN_MIN, margins=Margins(0, 0, 0, 0)
)
REASONS = {
    "originator": "made this calculation",
    "checker": "checked this calculation",
    "approver": "approved this calculation for the purpose stated",
}


class CertificateSigner:
    """Signs with a key and a certificate that were read from a PKCS#12 file."""

    def __init__(self, certificate: Certificate, signer: SimpleSigner) -> None:
        self.certificate = certificate
        self._signer = signer

    def sign(self, content: bytes, stamp: Stamp) -> bytes:
        """The file with a signature behind its end; the first one certifies and makes the places of all."""
        writer = _Update(BytesIO(content))
        first = not writer.prev.embedded_signatures
        if first:
            pdf = Pdf(content)
            for role in ROLES:
                left, bottom, right, top = place_of(pdf, role)[1]
                box, reason = (int(left) + 1, int(bottom) + 1, int(right), int(top)), f"Signature of the {role}"
                append_signature_field(writer, SigFieldSpec(role, on_page=0, box=box, readable_field_name=reason))
        about = PdfSignatureMetadata(
            field_name=stamp.role,
            md_algorithm="sha256",
            name=self.certificate.subject,
            reason=REASONS[stamp.role],
            certify=first,
            docmdp_permissions=MDPPerm.FILL_FORMS,
            subfilter=SigSeedSubFilter.PADES,
        )
        with tempfile.TemporaryDirectory(prefix="sandsleeve-") as room:
            page = Path(room) / "stamp.pdf"
            page.write_bytes(stamp.page)
            drawn = ImportedPdfPage(str(page))  # type: ignore[no-untyped-call]  # the library does not type it
            style = StaticStampStyle(border_width=0, background=drawn, background_layout=WHOLE_PLACE)
            signed: BytesIO = PdfSigner(about, self._signer, stamp_style=style).sign_pdf(writer)
        return signed.getvalue()


class _Update(IncrementalPdfFileWriter):
    """An update that leaves the metadata alone: they say when and by what the package was made."""

    def _update_meta(self) -> None:
        """Change nothing."""


def read_signer(path: Path, password: str, moment: dt.datetime) -> CertificateSigner:
    """Key and certificate of a PKCS#12 file that are good for signing at a moment; refused in words otherwise."""
    content = read_small(path, LARGEST_KEY_FILE)
    keystore = _open(content, path, password)
    if keystore.key is None or keystore.cert is None:
        message = f"{path} must hold a private key and its certificate"
        raise RefusedSignature(message)
    certificate = keystore.cert.certificate
    if not isinstance(keystore.key, RSAPrivateKey) or keystore.key.key_size < LEAST_BITS:
        message = (
            f"the key in {path} must be an RSA key of {LEAST_BITS} bits or more: others ask for another form of file"
        )
        raise RefusedSignature(message)
    _refuse_at(certificate, path, moment)
    signer = SimpleSigner.load_pkcs12_data(content, (), password.encode())
    return CertificateSigner(certificate_of(certificate), signer)


def _open(content: bytes, path: Path, password: str) -> PKCS12KeyAndCertificates:
    try:
        return load_pkcs12(content, password.encode())
    except ValueError as error:
        message = f"{path} cannot be opened: it is no PKCS#12 file, or the password is another one"
        raise RefusedSignature(message) from error


def _refuse_at(certificate: x509.Certificate, path: Path, moment: dt.datetime) -> None:
    begin, end = certificate.not_valid_before_utc, certificate.not_valid_after_utc
    if not begin <= moment <= end:
        message = f"the certificate in {path} is good from {begin:%Y-%m-%d} to {end:%Y-%m-%d} only"
        raise RefusedSignature(message)
    try:
        usage = certificate.extensions.get_extension_for_class(x509.KeyUsage).value
    except x509.ExtensionNotFound:
        return
    if not usage.digital_signature and not usage.content_commitment:
        message = f"the certificate in {path} is not made for signing documents"
        raise RefusedSignature(message)


def certificate_of(certificate: x509.Certificate) -> Certificate:
    """What a record says of a certificate."""
    return Certificate(
        subject=_name(certificate.subject),
        issuer=_name(certificate.issuer),
        sha256=certificate.fingerprint(SHA256()).hex(),
        key=sha256(certificate.public_key().public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo)).hexdigest(),
        until=certificate.not_valid_after_utc,
    )


def _name(name: x509.Name) -> str:
    common = [str(attribute.value) for attribute in name.get_attributes_for_oid(NameOID.COMMON_NAME)]
    return (", ".join(common) or name.rfc4514_string() or "without a name")[:300]
