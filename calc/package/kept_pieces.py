"""What was made of a text, in a folder of the user: pieces and drawings, found by text, program and libraries."""

import platform
from functools import cache
from hashlib import sha256
from importlib.metadata import version
from pathlib import Path

from calc.kept import MOST_BYTES, KeptFiles
from calc.resources import program_fingerprint

# What sets pages and draws equations, by the names under which they are installed.
LIBRARIES = ("weasyprint", "pydyf", "tinyhtml5", "tinycss2", "cssselect2", "pyphen", "fonttools", "ziamath", "ziafont")


class KeptPieces:
    """What was made of texts as files in a folder; the longest unused go first."""

    def __init__(self, folder: Path, most_bytes: int = MOST_BYTES) -> None:
        self._files = KeptFiles(folder, most_bytes)

    def read(self, text: str) -> bytes | None:
        """What was made of a text; None where none is kept or it is not whole."""
        return self._files.read(_name(text))

    def keep(self, text: str, piece: bytes) -> None:
        """Keep what was made of a text."""
        self._files.keep(_name(text), piece)

    def tidy(self) -> None:
        """Remove the longest unused beyond the size allowed."""
        self._files.tidy()


def _name(text: str) -> str:
    return sha256(f"{_maker()}\n{text}".encode()).hexdigest()


@cache
def _maker() -> str:
    """What it depends on besides the text: program with style sheet and fonts, and libraries."""
    from weasyprint.text.ffi import pango  # noqa: PLC0415 - it needs Pango, and where no page is set it is not loaded

    libraries = [f"{name} {version(name)}" for name in LIBRARIES]
    return "\n".join([program_fingerprint(), *libraries, str(pango.pango_version()), platform.python_version()])
