"""Adding to a package without touching its bytes: a stamp as an annotation of its first page, written behind its end.

Reads only what this program and its libraries write: cross-reference streams, object streams, one dictionary an object.
ISO 32000-1, 7.5.6 (incremental updates), 7.5.7, 7.5.8, 12.5.6.12 (stamps), quoted from memory of the standard.
"""

import re
import zlib
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from hashlib import md5

from calc.archive.refusals import RefusedSignature

LARGEST_STREAM = 200_000_000
MOST_SECTIONS = 20
Rectangle = tuple[float, float, float, float]
_REFERENCE = re.compile(rb"(?<![\w.])(\d{1,9}) 0 R\b")
_PRINTED, _FIXED = 4, 64 + 128  # flags of an annotation: it prints; it is read only and stays where it is


class Unreadable(RefusedSignature):
    """A file that is not built as this program builds packages."""


@dataclass
class Pdf:
    """A file of this program: where its objects are, and the entries of its trailer."""

    content: bytes
    places: dict[int, tuple[int, int]] = field(default_factory=dict)  # in the file: (0, offset); else stream and index
    trailer: bytes = b""
    start: int = 0  # of the newest cross-reference stream
    _unpacked: dict[int, list[bytes]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Read the cross-reference streams, the newest first."""
        self.start = start = int(_match(rb"startxref\s+(\d{1,10})\s+%%EOF\s*\Z", self.content[-100:]))
        for _ in range(MOST_SECTIONS):
            head, data = self._stream_at(start)
            self.trailer = self.trailer or head
            self._section(head, data)
            before = re.search(rb"/Prev (\d{1,10})\b", head)
            if before is None:
                return
            start = int(before[1])
        message = f"the file has more than {MOST_SECTIONS} updates"
        raise Unreadable(message)

    def entry(self, name: bytes) -> bytes:
        """An entry of the trailer, a number of an object or a number."""
        return _match(rb"/" + name + rb" (\d{1,9})\b", self.trailer)

    def dictionary(self, number: int) -> bytes:
        """The text of an object, for a stream its dictionary."""
        stream, place = self._place(number)
        if stream:
            return self._objects(stream)[place]
        return self._head(place)[0]

    def stream(self, number: int) -> tuple[bytes, bytes]:
        """Dictionary and packed content of a stream; no content where the object is none."""
        stream, place = self._place(number)
        if stream:
            return self._objects(stream)[place], b""
        head, begin = self._head(place)
        return head, self.content[begin : begin + int(_match(rb"/Length (\d{1,10})\b", head))] if begin else b""

    def _place(self, number: int) -> tuple[int, int]:
        if number not in self.places:
            message = f"the file has no object {number}"
            raise Unreadable(message)
        return self.places[number]

    def _head(self, offset: int) -> tuple[bytes, int]:
        """The text of an object up to its end or its stream, and where the content of the stream begins, or 0."""
        match = re.compile(rb"\d{1,9} 0 obj\s(.*?)(?:\bstream\r?\n|\s*endobj)", re.DOTALL).match(self.content, offset)
        if match is None:
            message = f"the file has no object at {offset}"
            raise Unreadable(message)
        return match[1].strip(), match.end() if match[0].endswith(b"\n") else 0

    def _stream_at(self, offset: int) -> tuple[bytes, bytes]:
        head, begin = self._head(offset)
        return head, unpack(head, self.content[begin : begin + int(_match(rb"/Length (\d{1,10})\b", head))])

    def _section(self, head: bytes, data: bytes) -> None:
        widths = [int(width) for width in _match(rb"/W \[([\d ]+)\]", head).split()]
        listed = re.search(rb"/Index \[([\d ]+)\]", head)
        numbers = [
            int(number) for number in (listed[1] if listed else b"0 " + _match(rb"/Size (\d{1,9})\b", head)).split()
        ]
        rows = iter(range(0, len(data), sum(widths)))
        for first, count in zip(numbers[::2], numbers[1::2], strict=True):
            for number, begin in zip(range(first, first + count), rows, strict=False):
                kind, first_field, second_field = _fields(data, begin, widths)
                if kind and number not in self.places:
                    self.places[number] = (0, first_field) if kind == 1 else (first_field, second_field)

    def _objects(self, number: int) -> list[bytes]:
        if number not in self._unpacked:
            head, data = self._stream_at(self._place(number)[1])
            first = int(_match(rb"/First (\d{1,9})\b", head))
            starts = [first + int(offset) for offset in data[:first].split()[1::2]]
            self._unpacked[number] = [
                data[begin:end].strip() for begin, end in zip(starts, [*starts[1:], len(data)], strict=True)
            ]
        return self._unpacked[number]


def _fields(data: bytes, begin: int, widths: Sequence[int]) -> list[int]:
    fields = []
    for width in widths:
        fields.append(int.from_bytes(data[begin : begin + width], "big"))
        begin += width
    return fields


def _match(pattern: bytes, text: bytes) -> bytes:
    match = re.search(pattern, text)
    if match is None:
        message = "the file is not built as this program builds packages"
        raise Unreadable(message)
    return match[1]


def object_number(name: bytes, text: bytes) -> int:
    """The number of the object that an entry of a dictionary names, or the first one of its list."""
    return int(_match(rb"/" + name + rb" (?:\[ ?)?(\d{1,9}) 0 R\b", text))


def first_page(pdf: Pdf) -> int:
    """The number of the first page."""
    return object_number(b"Kids", pdf.dictionary(object_number(b"Pages", pdf.dictionary(int(pdf.entry(b"Root"))))))


def unpack(head: bytes, content: bytes, largest: int = LARGEST_STREAM) -> bytes:
    """The content of a stream, which may be packed."""
    if b"/FlateDecode" not in head:
        return content
    try:
        unpacked = zlib.decompressobj().decompress(content, largest)
    except zlib.error as error:
        message = f"a stream of the file cannot be unpacked: {error}"
        raise Unreadable(message) from error
    return (
        _undo_row_differences(unpacked, int(_match(rb"/Columns (\d{1,4})\b", head)))
        if b"/Predictor" in head
        else unpacked
    )


def _undo_row_differences(content: bytes, columns: int) -> bytes:
    """Rows that were written as differences from the row above, each behind a 2 (ISO 32000-1, 7.4.4.4)."""
    rows: list[bytes] = [bytes(columns)]
    for begin in range(0, len(content), columns + 1):
        if content[begin] != 2:
            message = "a stream of the file is packed in a way that this program does not use"
            raise Unreadable(message)
        row = content[begin + 1 : begin + 1 + columns]
        rows.append(bytes((byte + above) & 255 for byte, above in zip(row, rows[-1], strict=True)))
    return b"".join(rows[1:])


@contextmanager
def readable() -> Iterator[None]:
    """Say in words where a file turns out to be of another form."""
    try:
        yield
    except (ValueError, IndexError, RecursionError) as error:
        message = "the file is not built as this program builds packages"
        raise Unreadable(message) from error


def place_of(pdf: Pdf, role: str) -> tuple[int, Rectangle]:
    """The page and the rectangle in which a role signs, from the destinations of the cover."""
    catalog = pdf.dictionary(int(pdf.entry(b"Root")))
    corners = []
    for name in (f"sign-{role}", f"sign-{role}-end"):
        pattern = rb"\(%s\) ?\[ ?(\d{1,9}) 0 R /XYZ (\d[\d.]{0,15}) (\d[\d.]{0,15}) 0 ?\]" % name.encode()
        match = re.search(pattern, catalog)
        if match is None:
            message = f"the cover of the package has no place for the {role}: an earlier program issued it"
            raise Unreadable(message)
        corners.append((int(match[1]), float(match[2]), float(match[3])))
    (page, left, top), (_, right, bottom) = corners
    return page, (left, bottom, right, top)


def with_stamp(content: bytes, role: str, stamp: bytes, words: str) -> bytes:
    """The file with a page of another one drawn into the place of a role; its own bytes stay in front.

    `words` say in text what the stamp shows.
    """
    with readable():
        pdf = Pdf(content)
        page, rectangle = place_of(pdf, role)
        update = Update(pdf)
        form = update.form(Pdf(stamp), rectangle[2] - rectangle[0], rectangle[3] - rectangle[1])
        box = " ".join(f"{coordinate:.3f}" for coordinate in rectangle)
        text = words.encode("utf-16-be").hex().upper()
        note = update.add(
            f"<</Type /Annot /Subtype /Stamp /Rect [{box}] /F {_PRINTED + _FIXED} /P {page} 0 R"
            f" /NM (sign-{role}) /Contents <FEFF{text}> /AP <</N {form} 0 R>>>>".encode()
        )
        update.objects[page] = _with_annotation(pdf.dictionary(page), note)
        return content + update.to_bytes()


def _with_annotation(page: bytes, note: int) -> bytes:
    """The dictionary of a page with one annotation more."""
    reference = b"%d 0 R" % note
    if b"/Annots [" in page:
        return page.replace(b"/Annots [", b"/Annots [" + reference + b" ", 1)
    return page.removesuffix(b">>") + b"/Annots [" + reference + b"]>>"


class Update:
    """Objects that are written behind the end of a file."""

    def __init__(self, pdf: Pdf) -> None:
        self._pdf = pdf
        self._next = int(pdf.entry(b"Size"))
        self.objects: dict[int, bytes] = {}

    def add(self, text: bytes = b"") -> int:
        """Add an object and give its number."""
        self.objects[self._next] = text
        self._next += 1
        return self._next - 1

    def form(self, source: Pdf, width: float, height: float) -> int:
        """The first page of a file as a drawing of this size, with its fonts."""
        page = source.dictionary(first_page(source))
        resources = self._copy(source, object_number(b"Resources", page), {})
        head, data = source.stream(object_number(b"Contents", page))
        # Marks for a structure that the drawing has no part in.
        drawn = zlib.compress(re.sub(rb"/\w+ <</MCID \d+>> BDC", b"/Artifact BMC", unpack(head, data)))
        return self.add(
            b"<</Type /XObject /Subtype /Form /BBox [0 0 %.3f %.3f] /Resources %d 0 R /Filter /FlateDecode /Length %d>>"
            b"\nstream\n%s\nendstream" % (width, height, resources, len(drawn), drawn)
        )

    def _copy(self, source: Pdf, number: int, known: dict[int, int]) -> int:
        """An object of another file with everything that it rests on; its number here."""
        if number in known:
            return known[number]
        known[number] = self.add()
        head, data = source.stream(number)
        text = _REFERENCE.sub(lambda match: b"%d 0 R" % self._copy(source, int(match[1]), known), head)
        self.objects[known[number]] = text + (b"\nstream\n" + data + b"\nendstream" if data else b"")
        return known[number]

    def to_bytes(self) -> bytes:
        """The update as it follows the file: objects, cross-reference stream, end."""
        parts, offsets = [b""], {}
        place = len(self._pdf.content)
        for number, text in sorted(self.objects.items()):
            offsets[number] = place
            parts.append(b"%d 0 obj\n%s\nendobj\n" % (number, text))
            place += len(parts[-1])
        offsets[self._next] = place
        rows = b"".join(b"\1" + offset.to_bytes(5, "big") + b"\0\0" for offset in offsets.values())
        index = b" ".join(b"%d 1" % number for number in offsets)
        first = _match(rb"/ID \[\s*(\([^()\\]*\)|<[0-9a-fA-F]*>)", self._pdf.trailer)
        second = md5(b"".join(parts), usedforsecurity=False).hexdigest().encode()
        head = b"/Size %d /Root %s 0 R /Info %s 0 R /ID [%s <%s>] /Prev %d /W [1 5 2] /Index [%s] /Length %d" % (
            self._next + 1, self._pdf.entry(b"Root"), self._pdf.entry(b"Info"), first, second,
            self._pdf.start, index, len(rows),
        )  # fmt: skip
        parts.append(b"%d 0 obj\n<</Type /XRef %s>>\nstream\n%s\nendstream\nendobj\n" % (self._next, head, rows))
        parts.append(b"startxref\n%d\n%%%%EOF\n" % place)
        return b"".join(parts)
