"""Whatever happens to a project file, reading it gives a design or one clear list of errors."""

import random
import re
from collections.abc import Callable
from pathlib import Path
from shutil import copy

import pytest

from calc.inputs import InputErrors, read_design

ROOT = Path(__file__).resolve().parents[2]
TRIGGER = r"(?:^\[\[section\.monitoring\.trigger\]\]\n(?:(?!\[).*\n)*)"
ALIKE = re.compile(f"({TRIGGER}{{2}}){TRIGGER}*", re.MULTILINE)
LONG, SHORT = (
    # Of the tables that make half of a file and are all alike, two in each section: a long text is read slowly.
    ALIKE.sub(r"\1", (ROOT / "projects" / name / "project.toml").read_text(encoding="utf-8"))
    for name in ("marsh-approach", "weak-sleeve")
)
# How many texts are made of each, and with how many changes: all errors of a file are told at once, so that a long one
# is read seldom and with many. Together they have some 3500 changes.
DRAWN = ((SHORT, 250, (1, 1, 1, 2, 5)), (LONG, 70, (1, 3, 5, 8, 12)))
LINE = re.compile(r"(?:project\.toml|ground-data\.csv):[1-9][0-9]*:[1-9][0-9]*: \S.*: must .+, got .+")
JARGON = re.compile(
    r"pydantic|Input should|valid (string|number|dictionary|tuple)|Traceback|https?:|type=|NoneType|<class",
    re.IGNORECASE,
)
SIGNS = "abzAZ019.,:;-+_=#'\"\\[]{}()\n\t \x00\x07é∞²١\u2028\ufeff😀"
VALUES = [
    '""',
    '"0,80 m"',
    '"1:2"',
    '"NaN m"',
    '"1e9 m"',
    "nan",
    "-inf",
    "true",
    "[]",
    "{}",
    "[[1]]",
    "[{}]",
    "0",
    "-1",
    "1e308",
    "2025-01-01",
    "2025-01-01T00:00:00Z",
    "12:00:00",
    '"12"',
    '"5 yarn"',
    '"-3 kPa"',
    '"' + "x" * 20_000 + '"',
    "9" * 400,
    "'''\n'''",
    '"\\u0000"',
    '"📏 m"',
    '"a.b"',
    "{ a = { b = [ { c = 1 } ] } }",
]


def change_sign(text: str, chance: random.Random) -> str:
    at = chance.randrange(len(text))
    return text[:at] + chance.choice(["", chance.choice(SIGNS)]) + text[at + chance.randrange(2) :]


def change_value(text: str, chance: random.Random) -> str:
    lines = text.split("\n")
    with_values = [index for index, line in enumerate(lines) if re.match(r"\s*[\w.]+ = ", line)]
    index = chance.choice(with_values)
    lines[index] = lines[index].split(" = ")[0] + " = " + chance.choice(VALUES)
    return "\n".join(lines)


def drop_line(text: str, chance: random.Random) -> str:
    lines = text.split("\n")
    del lines[chance.randrange(len(lines))]
    return "\n".join(lines)


def move_line(text: str, chance: random.Random) -> str:
    lines = text.split("\n")
    lines.insert(chance.randrange(len(lines)), lines[chance.randrange(len(lines))])
    return "\n".join(lines)


def change_header(text: str, chance: random.Random) -> str:
    headers = list(re.finditer(r"^\[+([\w.]+)\]+$", text, re.MULTILINE))
    header = chance.choice(headers)
    other = chance.choice(
        [
            f"[{header[1]}]",
            f"[[{header[1]}]]",
            f"[{header[1]}.x]",
            "[x]",
            f"[{header[1][:-1]}]",
            chance.choice(headers)[0],
        ]
    )
    return text[: header.start()] + other + text[header.end() :]


CHANGES: list[Callable[[str, random.Random], str]] = [
    change_sign,
    change_sign,
    change_value,
    drop_line,
    move_line,
    change_header,
]


@pytest.mark.slow
@pytest.mark.parametrize("part", range(4))
def test_any_change_of_an_example_is_read_or_refused_in_lines(tmp_path: Path, part: int) -> None:
    chance = random.Random(part)  # noqa: S311  # repeatable, not secret
    outcomes = {"read": 0, "refused": 0}
    copy(ROOT / "projects" / "weak-sleeve" / "ground-data.csv", tmp_path)
    drawn = [(text, chance.choice(changes)) for text, times, changes in DRAWN for _ in range(times)]
    for whole, changes in drawn:
        text = whole
        for _ in range(changes):
            text = chance.choice(CHANGES)(text, chance)
        (tmp_path / "project.toml").write_text(text, encoding="utf-8")
        try:
            read_design(tmp_path)
            outcomes["read"] += 1
        except InputErrors as errors:
            outcomes["refused"] += 1
            for line in str(errors).replace(f"{tmp_path}/", "").split("\n"):
                assert LINE.fullmatch(line), line
                assert not JARGON.search(line), line

    assert min(outcomes.values()) > 30
