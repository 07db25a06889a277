"""Who signs a file, and what it draws; no more than names, so that reading an archive loads no renderer."""

from dataclasses import dataclass
from typing import Protocol

from calc.archive.record.manifest import Certificate, Role


@dataclass(frozen=True, slots=True)
class Stamp:
    """What is drawn into the place of a role: a page, and the same in words."""

    role: Role
    page: bytes
    words: str


class Signer(Protocol):
    """Signs a file with a certificate behind its end."""

    certificate: Certificate

    def sign(self, content: bytes, stamp: Stamp) -> bytes:
        """The file with the signature of a role drawn as its stamp."""
