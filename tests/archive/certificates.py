"""An authority and certificates of invented people, made anew for each run of the tests."""

import datetime as dt
from dataclasses import dataclass
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.serialization import BestAvailableEncryption, Encoding
from cryptography.hazmat.primitives.serialization.pkcs12 import serialize_key_and_certificates
from cryptography.x509.oid import NameOID

PASSWORD = "a password of the tests"  # noqa: S105 - it opens nothing but files of the tests
NOW = dt.datetime.now(dt.UTC).replace(microsecond=0)
Key = rsa.RSAPrivateKey | ec.EllipticCurvePrivateKey


def named(name: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name)])


def rsa_key(bits: int = 2048) -> rsa.RSAPrivateKey:
    return rsa.generate_private_key(public_exponent=65537, key_size=bits)


@dataclass(frozen=True)
class Authority:
    """Who issues the certificates."""

    key: rsa.RSAPrivateKey
    certificate: x509.Certificate

    @classmethod
    def made(cls, name: str = "Authority of the marsh") -> "Authority":
        key = rsa_key()
        start = _begun(name, name, key, (NOW - dt.timedelta(days=400), NOW + dt.timedelta(days=4000)))
        usage = _usage(key_cert_sign=True, crl_sign=True)
        start = start.add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        return cls(key, start.add_extension(usage, critical=True).sign(key, SHA256()))

    def certificate_for(
        self,
        name: str,
        key: Key,
        days: tuple[int, int] = (-30, 365),
        usage: x509.KeyUsage | None = None,
    ) -> x509.Certificate:
        """A certificate that is good between two days counted from today."""
        span = NOW + dt.timedelta(days=days[0]), NOW + dt.timedelta(days=days[1])
        start = _begun(name, "Authority of the marsh", key, span)
        if usage is not None:
            start = start.add_extension(usage, critical=True)
        return start.sign(self.key, SHA256())

    def pem(self, folder: Path) -> Path:
        path = folder / "authority.pem"
        path.write_bytes(self.certificate.public_bytes(Encoding.PEM))
        return path


def signing_usage() -> x509.KeyUsage:
    return _usage(digital_signature=True, content_commitment=True)


def other_usage() -> x509.KeyUsage:
    return _usage(key_encipherment=True)


def key_file(
    path: Path, name: str, key: Key | None, certificate: x509.Certificate | None, authority: Authority
) -> Path:
    """A PKCS#12 file."""
    secret = BestAvailableEncryption(PASSWORD.encode())
    path.write_bytes(serialize_key_and_certificates(name.encode(), key, certificate, [authority.certificate], secret))
    return path


def _begun(name: str, issuer: str, key: Key, span: tuple[dt.datetime, dt.datetime]) -> x509.CertificateBuilder:
    start = x509.CertificateBuilder().subject_name(named(name)).issuer_name(named(issuer)).public_key(key.public_key())
    return start.serial_number(x509.random_serial_number()).not_valid_before(span[0]).not_valid_after(span[1])


def _usage(**given: bool) -> x509.KeyUsage:
    names = ("digital_signature", "content_commitment", "key_encipherment", "data_encipherment", "key_agreement",
             "key_cert_sign", "crl_sign", "encipher_only", "decipher_only")  # fmt: skip
    return x509.KeyUsage(**{name: given.get(name, False) for name in names})
