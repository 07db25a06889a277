"""What goes into a PDF, and what is said where it cannot be made; known without the libraries that make one."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import NamedTuple, Protocol

from markupsafe import Markup


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


class Beside(Protocol):
    """Sets pieces by other processes; gives those that it could set by their place."""

    def __call__(
        self, work: Callable[[str], bytes], on: Sequence[str], begin: Callable[[], None], /
    ) -> dict[int, bytes]:
        """`begin` is called as each is handed out."""


class Kept(Protocol):
    """Keeps what is made of a text from one package to the next."""

    def read(self, text: str) -> bytes | None:
        """What was made of a text; None where none is kept."""

    def keep(self, text: str, piece: bytes) -> None:
        """Keep what was made of a text."""


class Means(NamedTuple):
    """With what pages are made: by this process alone and nothing kept, unless something else is given."""

    beside: Beside | None = None
    kept: Kept | None = None
    drawings: Kept | None = None


class Document(NamedTuple):
    """The text of a piece, and how many of its headings, from the first, stand below the last one before it."""

    html: str
    continues: int = 0


class Appendix(NamedTuple):
    """What stands behind the final sheet: the page that opens it, and the documents that follow that page.

    `title` stands in the contents and the outline, `body` below it on the page.
    """

    title: str
    anchor: str
    body: Markup
    documents: tuple[Document, ...] = ()


ALONE = Means()
