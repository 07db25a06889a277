"""Characters that the fonts of the package can print; the whole project file is printed in its appendix."""

import re
from functools import cache

from calc.inputs.reading.scalars import UNPRINTABLE
from calc.resources import template_folder

# Ranges that the shipped fonts cover without a gap: enough for nearly every file, so that no font has to be opened.
COVERED = (
    (0x20, 0x7E), (0xA0, 0x24F), (0x384, 0x38A), (0x38E, 0x3A1), (0x3A3, 0x3FF), (0x400, 0x4FF), (0x2010, 0x2027),
    (0x2030, 0x205E), (0x2074, 0x208E), (0x2190, 0x21FF), (0x2200, 0x22FF),
)  # fmt: skip
_RARE = re.compile(f"[^\t\n\r{''.join(f'{re.escape(chr(low))}-{re.escape(chr(high))}' for low, high in COVERED)}]")


def first_without_glyph(text: str) -> int | None:
    """Where the first character stands that the fonts lack."""
    return next((match.start() for match in _RARE.finditer(text) if ord(match[0]) not in _of_font()), None)


def unprintable(text: str) -> str | None:
    """The first character of a text that no page can print, as "U+007F"; None where there is none."""
    match = UNPRINTABLE.search(text)
    at = match.start() if match else first_without_glyph(text)
    return None if at is None else f"U+{ord(text[at]):04X}"


@cache
def _of_font() -> frozenset[int]:
    """Every character of the widest of the fonts."""
    from fontTools.ttLib import TTFont  # noqa: PLC0415 - opened for rare characters only

    with TTFont(template_folder() / "fonts" / "DejaVuSans.ttf") as font:
        return frozenset(font.getBestCmap())
