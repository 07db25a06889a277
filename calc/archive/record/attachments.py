"""The files inside a package, read from the PDF without a library; every step is bounded, the file may be anything."""

import re
import zlib
from collections.abc import Iterator
from hashlib import sha256

from calc.archive.record.manifest import LARGEST_FILE
from calc.archive.refusals import DamagedArchive

LONGEST_HEAD = 4000
LARGEST_OBJECTS = 200_000_000
# As the renderer writes a specification of a file, and as the library does that joins pieces: by the names of entries.
_NAMED = (
    re.compile(rb"/UF\s*\((?P<name>[^()\\]{1,100})\)\s*/EF\s*<<\s*/F\s+(?P<number>\d{1,9})\s+0\s+R"),
    re.compile(
        rb"/EF\s*<<\s*/F\s+(?P<number>\d{1,9})\s+0\s+R\s*>>\s*/F\s*\([^()\\]{0,100}\)\s*/Type\s*/Filespec"
        rb"\s*/UF\s*\((?P<name>[^()\\]{1,100})\)"
    ),
)
_NUMBER = re.compile(rb"(\d{1,9})\s+0\s+obj\s*\Z")
_LENGTH = re.compile(rb"/Length\s+(\d{1,10})\b")
_DEFLATED = re.compile(rb"/Filter\s*\[?\s*/FlateDecode\b")


def attachment_digests(pdf: bytes) -> dict[str, str]:
    """The SHA-256 of each attached file by its name; `DamagedArchive` where the PDF cannot be read so far."""
    files = {number: sha256(content).hexdigest() for number, content in _streams(pdf, rb"/EmbeddedFile", LARGEST_FILE)}
    texts = [pdf, *(content for _, content in _streams(pdf, rb"/ObjStm", LARGEST_OBJECTS))]
    matches = [match for text in texts for form in _NAMED for match in form.finditer(text)]
    names = {match["name"].decode("latin-1"): int(match["number"]) for match in matches}
    if missing := [name for name, number in names.items() if number not in files]:
        message = f"the PDF names attached files that it does not hold: {', '.join(missing[:5])}"
        raise DamagedArchive(message)
    return {name: files[number] for name, number in names.items()}


def _streams(pdf: bytes, kind: bytes, largest: int) -> Iterator[tuple[int, bytes]]:
    """Number and content of every stream of a kind."""
    for match in re.finditer(rb"/Type\s*" + kind + rb"\b", pdf):
        begin = pdf.rfind(b"obj", max(0, match.start() - LONGEST_HEAD), match.start())
        end = pdf.find(b"stream", match.end(), match.end() + LONGEST_HEAD)
        number = _NUMBER.search(pdf[max(0, begin - 20) : begin + 3]) if begin >= 0 else None
        if number is None or end < 0:
            continue  # the words stand in a text, or in an object that is no stream
        head = pdf[begin:end]
        length = _LENGTH.search(head)
        if length is None:
            message = "a stream of the PDF does not say how long it is"
            raise DamagedArchive(message)
        start = end + len(b"stream") + (2 if pdf[end + 6 : end + 8] == b"\r\n" else 1)
        content = pdf[start : start + int(length[1])]
        yield int(number[1]), _inflate(content, largest) if _DEFLATED.search(head) else content


def _inflate(content: bytes, largest: int) -> bytes:
    unpacker = zlib.decompressobj()
    try:
        data = unpacker.decompress(content, largest)
    except zlib.error as error:
        message = f"a stream of the PDF cannot be unpacked: {error}"
        raise DamagedArchive(message) from error
    if not unpacker.eof:
        message = "a stream of the PDF is cut off or too large"
        raise DamagedArchive(message)
    return data
