"""The head of the chain and the checksum of the column plan as the cover of a package prints them, read from the page.

Every step is bounded.
"""

import re
from collections.abc import Iterator

from calc.archive.record.manifest import FIRST
from calc.archive.refusals import DamagedArchive
from calc.archive.signing.update import Pdf, Unreadable, first_page, object_number, readable, unpack

LARGEST_COVER = 20_000_000
# Lines may break anywhere: the words are looked for without spaces.
_HEAD = re.compile(
    r"Archive(?:firstrecordofitsarchive|headofthechainbeforethisissue:record[0-9]{1,7},SHA-256([0-9a-f]{64}))"
    r"(?:;checksumofthecolumnplan([0-9a-f]{16}))?"
)
_SHOWN = re.compile(rb"/(\w{1,100}) -?[\d.]{1,20} Tf\b|(?<!<)<([0-9A-Fa-f]{4,100000})>(?!>)")
_FONT = re.compile(rb"/(\w{1,100}) (\d{1,9}) 0 R")
_SIGN = re.compile(rb"^<([0-9A-Fa-f]{4})> <((?:[0-9A-Fa-f]{4}){1,20})>$", re.MULTILINE)


def printed_head(package: bytes) -> str:
    """The hash of the record before the issue, as the cover shows it; `DamagedArchive` where it shows none, or two."""
    return printed_on_cover(package)[0]


def printed_on_cover(package: bytes) -> tuple[str, str]:
    """The hash of the record before the issue, and the checksum of the column plan behind it or "" without one."""
    try:
        with readable():
            text = "".join("".join(_text(Pdf(package))).split())
    except Unreadable as error:
        message = f"its cover cannot be read: {error}"
        raise DamagedArchive(message) from error
    heads = [(match[1] or FIRST, match[2] or "") for match in _HEAD.finditer(text)]
    if len(heads) == 1:
        return heads[0]
    message = "its cover shows no head of the chain" if not heads else "its cover shows more than one head of the chain"
    raise DamagedArchive(message)


def _text(pdf: Pdf) -> Iterator[str]:
    """The text of the first page in the order in which it is drawn."""
    page = pdf.dictionary(first_page(pdf))
    fonts = pdf.dictionary(object_number(b"Font", pdf.dictionary(object_number(b"Resources", page))))
    signs = {name: _signs(pdf, int(number)) for name, number in _FONT.findall(fonts)}
    shown: dict[bytes, str] = {}
    for font, codes in _SHOWN.findall(unpack(*pdf.stream(object_number(b"Contents", page)), LARGEST_COVER)):
        if font:
            shown = signs.get(font, {})
        else:
            low = codes.lower()
            yield from (shown.get(low[begin : begin + 4], "") for begin in range(0, len(low), 4))


def _signs(pdf: Pdf, font: int) -> dict[bytes, str]:
    """What each code of a font stands for."""
    head, packed = pdf.stream(object_number(b"ToUnicode", pdf.dictionary(font)))
    table = unpack(head, packed, LARGEST_COVER)
    return {code.lower(): bytes.fromhex(sign.decode()).decode("utf-16-be") for code, sign in _SIGN.findall(table)}
