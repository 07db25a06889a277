"""A mapping proposed from the head and the cells of a file, to be read and pasted into the project file."""

import datetime as dt
import re
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from calc.engine.words import words_of
from calc.inputs.reading import units
from calc.inputs.tables.installed import COLUMN_FIELDS, RATIO, READING_FIELDS, TEXT, TIME, YES_NO, unit_factor
from calc.inputs.tables.written_rows import DATE_FORMS, ISO
from calc.site.rows.cell_values import NUMBERS, TIME_OF_DAY, bare, last_day_of_rows, written_moment
from calc.site.rows.date_column import DateColumn
from calc.site.rows.row_files import RowFile, open_rows, refusal

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
BY_UNIT = {"volume": "placed", "sleeve_length": "sleeve|casing|geotextile"}
"""Words by which it is only beside a unit of the field: a sleeve in metres is a length, and without a unit a type."""
ASK = "?"
THOUSANDS = re.compile(r"[+-]?[1-9][0-9]{0,2}[.,][0-9]{3}")
ASSUMED = {"min": "min", "m": "m", "m^3": "m^3", RATIO: "%"}


def proposal(file: Path, latest: dt.date | None = None) -> str:
    """The tables that fit a file best; what was not recognised stands in comments.

    Those of readings in depth stand behind the table `[installed]` of the records. Forms of dates and numbers are those
    of the cells. What cells do not tell is a question mark, which the reader of the project file refuses until it is
    answered. ``latest`` is the last day of a record, else ``last_day_of_rows``.
    """
    opened = open_rows(file, [])
    heads = {place: head for place, head in enumerate(opened.heads) if head}
    if not heads:
        raise refusal(file, "have the names of its columns in its first line", "none")
    few = len(heads) <= 2 * len(READING_FIELDS)
    deep = few and any("depth" in _words(head) for head in heads.values())
    table, kinds = ("reading", READING_FIELDS) if deep else ("column", COLUMN_FIELDS)
    rows, left, used = list[tuple[str, ...]](), list[str](), dict[str, int]()
    for place, head in heads.items():
        own = [
            field
            for field in kinds
            if field not in used and _fits(field, head) and not _contradicts(field, kinds[field], head)
        ]
        # "Incl. x" has a word of the inclination, and is as a whole that of one axis.
        name = next((field for field in own if _whole(head) in WORDS[field].split("|")), own[0] if own else None)
        if name is None:
            left.append(head)
            continue
        used[name] = place
        rows.append((f'field = "{name}"', f"head = {_quoted_text(head)}", *_unit(kinds[name], head)))
    cells = _cells_of(opened, list(used.values()))
    last = latest or last_day_of_rows()
    date_form, about_dates = date_form_of([cells[used[name]] for name in used if kinds[name] == TIME], last)
    decimal, about_numbers = decimal_of(
        [cell for name in used if kinds[name] not in {TEXT, TIME, YES_NO} for cell in cells[used[name]]]
    )
    if deep:
        lines = [f"# {say('head')}", f"# {say('behind')}", f"# {say('decimal', decimal=decimal, why=about_numbers)}"]
        lines += [line for row in rows for line in (f"[[installed.{table}]]", *row)]
    else:
        lines = ["[installed]", f"# {say('head')}", f'date_form = "{date_form}"  # {about_dates}',
                 f'decimal = "{decimal}"  # {about_numbers}', f'time_zone = "{ASK}"  # {say("zone")}',
                 f"{table} = [", *(f"    {{ {', '.join(row)} }}," for row in rows), "]"]  # fmt: skip
    lines += [f"# {say('left', head=_quoted_text(head))}" for head in left]
    lines += [f"# {say('missing', name=name)}" for name in kinds if name not in used and (deep or name == "id")]
    return "\n".join(lines)


def _cells_of(opened: RowFile, places: Sequence[int]) -> dict[int, list[Any]]:
    """The cells of some columns that are not empty."""
    by_place = {place: list[Any]() for place in places}
    for portion in opened.portions:
        for _, cells in portion.each():
            for place in places:
                cell = bare(cells[place])
                if cell is not None:
                    by_place[place].append(cell)
    return by_place


def date_form_of(columns: Sequence[Sequence[Any]], latest: dt.date) -> tuple[str, str]:
    """The one form that all dates of some columns have, or the mark of a question, with what is to be said of it."""
    texts = [[cell for cell in cells if isinstance(cell, str) and not TIME_OF_DAY.fullmatch(cell)] for cells in columns]
    if not any(texts):
        typed = any(isinstance(cell, dt.date) for cells in columns for cell in cells)
        return (ISO, say("dates-typed")) if typed else (ASK, say("no-dates"))
    forms = [form for form in DATE_FORMS if all(_written_so(cells, form, latest) for cells in texts)]
    if len(forms) == 1:
        return forms[0], say("seen")
    return ASK, say("several-forms", forms=" or ".join(forms)) if forms else say("no-form")


def _written_so(texts: Sequence[str], form: str, latest: dt.date) -> bool:
    """Whether all texts are days of a form, and nothing speaks for day and month in each other's place."""
    column = DateColumn("", "", "", form, latest, daily=True)
    try:
        for line, text in enumerate(texts):
            if written_moment(text, form) is None:
                return False
            column.add(line, text)
        column.refuse()
    except ValueError:
        return False
    return True


def decimal_of(cells: Sequence[Any]) -> tuple[str, str]:
    """The one mark that numbers have, or the mark of a question, with what is to be said of it."""
    texts = [cell.replace("\u2212", "-") for cell in cells if isinstance(cell, str)]
    if not texts:
        return (".", say("numbers-typed")) if cells else (ASK, say("no-numbers"))
    marks = [mark for mark, form in NUMBERS.items() if all(form.fullmatch(text) for text in texts)]
    marked = [text for text in texts if "." in text or "," in text]
    if len(marks) != 1:
        return ASK, say("whole-numbers") if marks else say("no-mark")
    if all(THOUSANDS.fullmatch(text) for text in marked):
        return ASK, say("thousands", got=_quoted_text(marked[0]))
    return marks[0], say("seen")


def _words(head: str) -> set[str]:
    return {word for word in re.split(r"[^a-z_]+", _bare(head)) if word} | {_whole(head)}


def _bare(head: str) -> str:
    return re.sub(r"[\[(].*?[\])]", " ", head).lower()


def _whole(head: str) -> str:
    return re.sub(r"[^a-z]+", "_", _bare(head)).strip("_")


def _fits(name: str, head: str) -> bool:
    """Whether a head has a word of the field, or one beside its unit."""
    known = f"{WORDS[name]}|{BY_UNIT[name]}" if name in BY_UNIT and _unit_in(head) else WORDS[name]
    return bool(set(known.split("|")) & _words(head))


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
    match = re.search(r"\[([^\]]+)\]", head) or re.search(r"\(([^\s)]{1,6})\)", head)
    return match[1].strip().replace("³", "^3").replace("m3", "m^3").replace("°", "deg") if match else ""


def _unit(kind: str, head: str) -> tuple[str, ...]:
    """The unit that the head has in brackets where it fits, else one to be confirmed; none of what is no number."""
    if kind in {TEXT, TIME, YES_NO}:
        return ()
    text = _unit_in(head)
    text = text if _converts(lambda unit: unit_factor(kind, unit), text) else ASSUMED[kind]
    return (f'unit = "{text}"',)


def _quoted_text(text: str) -> str:
    plain = "".join(sign if sign.isprintable() else " " for sign in text)[:120]
    return '"' + plain.replace("\\", "\\\\").replace('"', '\\"') + '"'
