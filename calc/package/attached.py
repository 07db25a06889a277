"""What goes into a PDF, and what is said where it cannot be made; known without the libraries that make one."""

from dataclasses import dataclass


class PackageError(RuntimeError):
    """A package that could not be written as it must be; nothing of it is left behind."""


@dataclass(frozen=True, slots=True)
class Attached:
    """A file inside the PDF: its relationship to the pages is one of Source, Data, Alternative, Supplement."""

    name: str
    content: bytes
    mime: str
    relationship: str
    description: str
