"""Slips of the pen in a line of a TOML file, found by the look of the line: what stands there and what must."""

import re
from collections.abc import Callable
from typing import NamedTuple

KEY = re.compile(r"([A-Za-z0-9_-]+(?:\.[A-Za-z0-9_-]+)*)[ \t]*=(?!=)[ \t]*")
_TEXT = re.compile(r'"(?:[^"\\]|\\.)*"|\'[^\']*\'')
_EXPONENT = r"(?:[eE][+-]?[0-9]+)?"
_NUMBER = r"[+-]?[0-9]+(?:\.[0-9]+)?" + _EXPONENT
_WHOLE = rf"(?:\"[^\"]*\"|'[^']*'|true|false|{_NUMBER})"
_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f]")
_DAY = r"be a day of the calendar written year-month-day such as 2025-04-30"


class Slip(NamedTuple):
    """Where a slip stands in its line, what must stand there, and what does."""

    column: int
    must: str
    got: str


def without_texts(row: str) -> str:
    """A line with every text in quotes blanked and its comment left out; no sign changes its place."""
    blanked = _TEXT.sub(lambda match: match[0][0] + "x" * (len(match[0]) - 2) + match[0][0], row)
    at = blanked.find("#")
    return blanked if at < 0 else blanked[:at]


def slip_of_value(row: str, column: int, *, in_list: bool = False) -> Slip | None:
    """What is wrong with a line near a column where the library stopped; nothing if it looks right."""
    if control := _CONTROL.search(row):
        return _slip_of_sign(control)
    bare = without_texts(row)
    if in_list:
        return _slip_in_list(row, bare, column, 0)
    keys = [key for key in KEY.finditer(bare) if key.start() < column - 1]
    before = bare[: keys[-1].start()].strip() if keys else ""
    if not keys or (before and before[-1] not in "{,"):
        return _slip_of_key(row, bare)
    key = keys[-1]
    if bare.count("{") > bare.count("}"):
        return Slip(bare.find("{") + 1, "have its braces { … } on one line", row[bare.find("{") :])
    if bare[key.end() : key.end() + 1] == "[":
        return _slip_in_list(row, bare, column, key.end() + 1)
    return _slip(row, _part(bare, key.end(), braces="{" in bare[: key.start()]), key[1])


def _slip_of_sign(control: re.Match[str]) -> Slip:
    if control[0] == "\r":
        return Slip(control.start() + 1, "have lines ended by LF or CR LF (choose so in the editor)", "a CR alone")
    must = "hold no control characters (delete the sign, type it anew)"
    return Slip(control.start() + 1, must, f"the sign U+{ord(control[0]):04X}")


def _part(bare: str, start: int, *, braces: bool) -> tuple[int, int]:
    """From where to where a value reaches; within braces up to the next comma that is no decimal comma."""
    if not braces:
        return start, len(bare)
    decimal = re.match(r"[+-]?[0-9]+,[0-9]+", bare[start:])
    first = start + decimal.end() if decimal else start
    return start, min((at for at in (bare.find(sign, first) for sign in ",}") if at >= 0), default=len(bare))


def _slip_in_list(row: str, bare: str, column: int, start: int) -> Slip | None:
    """What is wrong with the entry of a list at a column."""
    if bare[start:].count('"') % 2:
        must = 'have a quote (") at both ends of every entry, and a comma between them'
        return Slip(start + 1, must, row[max(start - 1, 0) :])
    before = max(bare.rfind(sign, start, column) for sign in "[,")
    start = max(start, before + 1)
    ends = [at for at in (bare.find(sign, max(start, column - 1)) for sign in ",]") if at >= 0]
    return _slip(row, (start, min(ends, default=len(bare))), "")


def _slip(row: str, part: tuple[int, int], key: str) -> Slip | None:
    start = part[0] + len(row[part[0] : part[1]]) - len(row[part[0] : part[1]].lstrip())
    value = row[start : part[1]].rstrip()
    set_to = f"{key} = " if key else ""
    for form, must in _VALUES:
        if match := re.match(form, value):
            at = "got" if match.groupdict().get("got") else 0
            return Slip(start + match.start(at) + 1, must(match, set_to), (match[at] if at else value) or "nothing")
    return None


def _slip_of_key(row: str, bare: str) -> Slip | None:
    at = len(row) - len(row.lstrip()) + 1
    if match := re.match(r"\s*[A-Za-z0-9_.-]+\s*(:)", bare):
        return Slip(match.start(1) + 1, "have = between key and value", ":")
    if "=" in bare:
        key = re.split(r"[{,]", bare[: bare.find("=")])[-1].strip()
        must = "have a key of letters a-z and A-Z, digits, _ and - (no space, no other sign) before ="
        return Slip(bare.find(key) + 1, must, key or "nothing")
    return Slip(at, "be a line of the form key = value, a header such as [table], or a # comment", row.strip())


def _always(must: str) -> Callable[[re.Match[str], str], str]:
    return lambda _match, _key: must


def _must_quote(match: re.Match[str], key: str) -> str:
    text = match["text"].strip().strip('"')
    return f'stand in quotes: {key}"{text}"'


def _must_space(match: re.Match[str], key: str) -> str:
    number, unit = match["number"].replace(",", "."), match["unit"].replace("°", "deg")
    return f'stand in quotes, number, one space, unit: {key}"{number} {unit}"'


# By the first form that fits: the form of the value, and what it must be.
_VALUES: tuple[tuple[str, Callable[[re.Match[str], str], str]], ...] = (
    (r"$", _always("have a value behind =")),
    (r"[^\"]*(?P<got>[“”„‟«»])|\"[^\"]*[“”„‟«»]$|[‘’‚]", _always('have straight quotes (") around a text')),
    (r"\u2212", _always("have the minus of the keyboard (-), not the sign U+2212")),
    (r"(?i:yes|on|true)$", _always("be true, in small letters without quotes")),
    (r"(?i:no|off|false)$", _always("be false, in small letters without quotes")),
    (r"[0-9]{4}-[0-9]{1,2}-[0-9]{1,2}$|[0-9]{1,2}[./][0-9]{1,2}[./][0-9]{2,4}$", _always(_DAY)),
    (r"[+-]?[0-9]+,[0-9]+(?:[eE][+-]?[0-9]+)?$", _always("have a point as its decimal mark")),
    (r"[+-]?(\.[0-9]+|[0-9]+\.)$", _always("have a digit on both sides of the decimal point")),
    (rf"{_NUMBER}\s*%", _always("be a plain number without a unit (30 % is 0.3)")),
    (r"(?P<text>[^\"'\[{]+\")$", lambda match, key: f'begin with a quote: {key}"{match["text"].strip()}'),
    (rf"(?P<number>{_NUMBER[:-len(_EXPONENT)]}(?:,[0-9]+)?{_EXPONENT})\s*(?P<unit>[A-Za-z°µ][^\s=\"]*)$", _must_space),
    (r"\"(?:[^\"\\]|\\.)*\\[^btnfr\"\\]", _always("have \\\\ for a backslash, or single quotes around the text")),
    (r"\"[^\"]*$|'[^']*$", lambda match, _key: f"end with a quote ({match[0][0]})"),
    (rf"{_WHOLE}\s*(?P<got>[\w-]+\s*=.*)", _always("be followed by a new line, within braces by a comma")),
    (r"(?:\"[^\"]*\"|'[^']*')\s*(?P<got>[\"'].*)", _always("be followed by a comma, in a list")),
    (rf"{_WHOLE}(?:\s+|(?=[^\w.:/-])|(?<=[\"']))(?P<got>\S.*)", _always("end here (a comment begins with #)")),
    (r"(?P<text>[^\"'\[\]{}=,]+)$", _must_quote),
    (r"[^\W\d]", _always("stand in quotes")),
)  # fmt: skip
