"""A mapping proposed from the head of a file, to be read and pasted into the project file."""

import re
from collections.abc import Callable
from pathlib import Path

from calc.engine.words import words_of
from calc.inputs.reading import units
from calc.inputs.tables.installed import COLUMN_FIELDS, RATIO, READING_FIELDS, TEXT, TIME, YES_NO, unit_factor
from calc.site.rows.row_files import open_rows, refusal

say = words_of(__name__)

WORDS = {
    "id": "id|no|number|column|columns|point|element|name",
    "rig": "rig|machine|unit|plant",
    "date": "date|day",
    "start": "start|begin|started|from",
    "end": "end|finish|finished|to",
    "interruption": "interruption|interruptions|stop|stops|delay|pause",
    "easting": "e|east|easting|x",
    "northing": "n|north|northing|y",
    "inclination": "inclination|incl|slope|verticality|tilt",
    "inclination_x": "inclination_x|incl_x|tilt_x|ix",
    "inclination_y": "inclination_y|incl_y|tilt_y|iy",
    "toe_level": "toe|bottom|base",
    "criterion": "criterion|refusal|refused",
    "length": "length|l",
    "diameter": "diameter|dia|d",
    "volume": "volume|vol|v|fill|concrete|sand|gravel",
    "sleeve": "sleeve|casing|geotextile|type",
    "sleeve_length": "sleeve_length|sleeve_l|length_of_sleeve|casing_length",
    "serial": "serial|roll|batch|lot",
    "depth": "depth|z",
}
"""Words by which a head is recognised, lower case, common practice, no source."""
ASSUMED = {"min": "min", "m": "m", "m^3": "m^3", RATIO: "%"}


def proposal(file: Path) -> str:
    """The table that fits the head of a file best; what was not recognised stands in comments."""
    heads = [head for head in open_rows(file, []).heads if head]
    if not heads:
        raise refusal(file, "have the names of its columns in its first line", "none")
    deep = any("depth" in _words(head) for head in heads) and len(heads) <= 2 * len(READING_FIELDS)
    table, kinds = ("reading", READING_FIELDS) if deep else ("column", COLUMN_FIELDS)
    rows, left, used = list[str](), list[str](), set[str]()
    for head in heads:
        own = [one for one in kinds if one not in used and _fits(one, head) and not _contradicts(one, kinds[one], head)]
        # "Incl. x" has a word of the inclination, and is as a whole that of one axis.
        name = next((one for one in own if _whole(head) in WORDS[one].split("|")), own[0] if own else None)
        if name is None:
            left.append(head)
            continue
        used.add(name)
        rows.append(f'    {{ field = "{name}", head = {_quoted(head)}{_unit(kinds[name], head)} }},')
    lines = ["[installed]", f"# {say('head')}", 'date_form = "day.month.year"', 'decimal = ","', 'time_zone = "+00:00"',
             f"{table} = [", *rows, "]"]  # fmt: skip
    lines += [f"# {say('left', head=_quoted(head))}" for head in left]
    lines += [f"# {say('missing', name=name)}" for name in kinds if name not in used and (deep or name == "id")]
    return "\n".join(lines)


def _words(head: str) -> set[str]:
    return {word for word in re.split(r"[^a-z_]+", _bare(head)) if word} | {_whole(head)}


def _bare(head: str) -> str:
    return re.sub(r"[\[(].*?[\])]", " ", head).lower()


def _whole(head: str) -> str:
    return re.sub(r"[^a-z]+", "_", _bare(head)).strip("_")


def _fits(name: str, head: str) -> bool:
    return bool(set(WORDS[name].split("|")) & _words(head))


def _contradicts(name: str, kind: str, head: str) -> bool:
    """Whether a head says something else than the field: a unit that does not fit, or a depth in place of a level."""
    if name == "toe_level" and "depth" in _words(head):
        return True
    unit = _unit_in(head)
    if not unit:
        return False
    if kind in {TEXT, TIME, YES_NO}:
        return _converts(units.factor_inside, unit)
    return not _converts(lambda text: unit_factor(kind, text), unit)


def _converts(factor: Callable[[str], object], unit: str) -> bool:
    try:
        factor(unit)
    except (units.QuantityError, AttributeError, ValueError):
        return False
    return True


def _unit_in(head: str) -> str:
    """What a head has in square brackets, or one short word in round ones; a longer one is a remark."""
    found = re.search(r"\[([^\]]+)\]", head) or re.search(r"\(([^\s)]{1,6})\)", head)
    return found[1].strip().replace("³", "^3").replace("m3", "m^3").replace("°", "deg") if found else ""


def _unit(kind: str, head: str) -> str:
    """The unit that the head has in brackets where it fits, else one to be confirmed."""
    if kind in {TEXT, TIME, YES_NO}:
        return ""
    text = _unit_in(head)
    text = text if _converts(lambda one: unit_factor(kind, one), text) else ASSUMED[kind]
    return f', unit = "{text}"'


def _quoted(text: str) -> str:
    plain = "".join(sign if sign.isprintable() else " " for sign in text)[:120]
    return '"' + plain.replace("\\", "\\\\").replace('"', '\\"') + '"'
