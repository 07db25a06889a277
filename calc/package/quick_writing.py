"""Three functions of the library that writes the file, done with less work while a file is written.

The content is the same to the byte; it is packed by zlib at its usual level, which takes three fifths of the time of
the library's highest one. A release of the library without one of them is refused, and tests hold the content to that
of the library.
"""

import zlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import SimpleNamespace
from typing import Any

import weasyprint


@contextmanager
def quick_writing() -> Iterator[None]:
    """Keep the list of the pages, and tell kinds of data apart by one look, until the file is written.

    Raises ``AttributeError`` where the library has no such function.
    """
    library: Any = weasyprint.pdf.pydyf
    # What is replaced.
    listed, converted, packer = library.PDF.page_references, library._to_bytes, library.zlib  # noqa: SLF001
    library.PDF.page_references = property(_listed_once(listed.fget))
    library._to_bytes = _converted_by_kind(converted)  # noqa: SLF001
    library.zlib = SimpleNamespace(compressobj=_packer)
    try:
        yield
    finally:
        library.PDF.page_references, library._to_bytes, library.zlib = listed, converted, packer  # noqa: SLF001


def _packer(level: int) -> Any:  # noqa: ARG001 - the library asks for the highest
    return zlib.compressobj()


def _listed_once(made: Callable[[Any], tuple[bytes, ...]]) -> Callable[[Any], tuple[bytes, ...]]:
    """The list of the pages, which each tag asks for and the library makes anew each time."""
    known: dict[int, tuple[bytes, ...]] = {}

    def references_of(pdf: Any) -> tuple[bytes, ...]:
        count = len(pdf.pages["Kids"])
        if count not in known:
            known.clear()
            known[count] = made(pdf)
        return known[count]

    return references_of


def _converted_by_kind(converted: Callable[[Any], bytes]) -> Callable[[Any], bytes]:
    """Data as bytes: more than a million pieces of a package, nearly all of three kinds."""

    def bytes_of(item: Any) -> bytes:
        kind = type(item)
        if kind is bytes:
            return item  # type: ignore[no-any-return]
        if kind is str:
            return item.encode("ascii")  # type: ignore[no-any-return]
        if kind is int:
            return b"%d" % item
        return converted(item)

    return bytes_of
