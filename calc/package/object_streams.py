"""Objects of a PDF in streams of a hundred: the renderer packs all of them, twenty thousand and more, into one.

Readers that look an object up walk through the head of its stream each time: with one stream a validator of signatures
that compares the states of a signed file needs hours for it. ISO 32000-1, 7.5.7 and 7.5.8, from memory of the standard.
"""

import re
import zlib
from collections.abc import Iterator, Sequence

MOST_OBJECTS = 100
Row = tuple[int, int, int]


def in_small_streams(pdf: bytes) -> bytes:
    """The file of the renderer with its one stream of objects cut into small ones; nothing else is another."""
    start = int(re.search(rb"startxref\s+(\d+)\s+%%EOF\s*\Z", pdf)[1])  # type: ignore[index]  # the renderer wrote it
    number, head, content = _stream(pdf, start)
    widths = [int(one) for one in _entry(b"W", head)[1:-1].split()]
    rows = list(_rows(content, widths))
    packed = sorted((index, which) for which, (kind, _, index) in enumerate(rows) if kind == 2)
    if len(packed) <= MOST_OBJECTS:
        return pdf
    [holder] = {rows[which][1] for _, which in packed}
    _, held, texts = _stream(pdf, rows[holder][1])
    first = int(_entry(b"First", held))
    begins = [first + int(one) for one in texts[:first].split()[1::2]]
    ends = [*begins[1:], len(texts)]
    made, place = [pdf[: rows[holder][1]]], rows[holder][1]
    for begin in range(0, len(packed), MOST_OBJECTS):
        part = packed[begin : begin + MOST_OBJECTS]
        own = holder if not begin else len(rows)
        if begin:
            rows.append((1, place, 0))
        for index, (_, which) in enumerate(part):
            rows[which] = (2, own, index)
        made.append(_object_stream(own, [(which, texts[begins[old] : ends[old]].strip()) for old, which in part]))
        place += len(made[-1])
    rows[number] = (1, place, 0)
    made += [_cross_references(number, head, rows, place), b"startxref\n%d\n%%%%EOF\n" % place]
    return b"".join(made)


def _stream(pdf: bytes, offset: int) -> tuple[int, bytes, bytes]:
    """Number, dictionary and unpacked content of the stream that begins at an offset."""
    found = re.compile(rb"(\d+) 0 obj\s(.*?)\bstream\r?\n", re.DOTALL).match(pdf, offset)
    assert found is not None  # noqa: S101 - for the type checker: the renderer wrote it
    content = pdf[found.end() : found.end() + int(_entry(b"Length", found[2]))]
    return int(found[1]), found[2].strip(), zlib.decompress(content)


def _entry(name: bytes, head: bytes) -> bytes:
    found = re.search(rb"/" + name + rb" ?(\[[\d ]*\]|\d+)", head)
    assert found is not None  # noqa: S101 - the same
    return found[1]


def _rows(content: bytes, widths: Sequence[int]) -> Iterator[Row]:
    one, two, three = widths
    for begin in range(0, len(content), sum(widths)):
        row = content[begin : begin + sum(widths)]
        parts = row[:one], row[one : one + two], row[one + two : one + two + three]
        kind, second, third = (int.from_bytes(part, "big") for part in parts)
        yield kind, second, third


def _object_stream(number: int, objects: Sequence[tuple[int, bytes]]) -> bytes:
    places, place = [], 0
    for which, text in objects:
        places.append(b"%d %d" % (which, place))
        place += len(text) + 1
    head = b" ".join(places)
    packed = zlib.compress(b"\n".join([head, *(text for _, text in objects)]))
    entries = b"/Type /ObjStm/N %d/First %d/Filter /FlateDecode/Length %d" % (len(objects), len(head) + 1, len(packed))
    return b"%d 0 obj\n<<%s>>\nstream\n%s\nendstream\nendobj\n" % (number, entries, packed)


def _cross_references(number: int, head: bytes, rows: Sequence[Row], place: int) -> bytes:
    """The cross-reference stream, which lies at `place` and is the last object of the file."""
    width = (max(place, len(rows)).bit_length() + 7) // 8
    packed = zlib.compress(
        b"".join(bytes([kind]) + two.to_bytes(width, "big") + three.to_bytes(2, "big") for kind, two, three in rows)
    )
    for name, value in (
        (b"W", b"[1 %d 2]" % width), (b"Index", b"[0 %d]" % len(rows)), (b"Size", b"%d" % len(rows)),
        (b"Length", b"%d" % len(packed)),
    ):  # fmt: skip
        head = re.sub(rb"/" + name + rb" ?(?:\[[\d ]*\]|\d+)", b"/" + name + b" " + value, head)
    return b"%d 0 obj\n%s\nstream\n%s\nendstream\nendobj\n" % (number, head, packed)
