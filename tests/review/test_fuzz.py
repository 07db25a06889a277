"""Whatever happens to a review file, it is taken in or refused in words, and what is refused writes nothing."""

import json
import random
import re
from pathlib import Path
from typing import Any

import pytest

from calc.review.blind_check import brief_hash
from calc.review.brief import form
from calc.review.own_values import questions_of, take_own_values
from calc.review.records import LONGEST_TEXT
from calc.review.refused import ReviewError
from calc.review.take import take
from tests.review.scenario import HOSTILE, Case, contents

FILES = 5000
VALUES: list[Any] = [
    None, True, -1, 0, 1, 2**80, 1.5, 1e308, "", "x", "0" * 64, "query", "agreed", "none", "2025-05-20", "9999-99-99",
    HOSTILE, "x" * (LONGEST_TEXT + 1), [], {}, [[]], [{}], {"a": {"b": [1]}}, "\ud800", "\x00", "../../x",
]  # fmt: skip
SIGNS = b'{}[]",:\\0123456789eE+-.ntfu \n\x00\x1f\x7f\x80\xc3\xff'


def changed_value(record: Any, chance: random.Random) -> None:
    """Change a value, drop a key or add one, somewhere in a record."""
    place = record
    while isinstance(place, dict | list) and place:
        keys = list(place) if isinstance(place, dict) else list(range(len(place)))
        key = chance.choice(keys)
        below = place[key]
        if isinstance(below, dict | list) and below and chance.random() < 0.75:
            place = below
            continue
        match chance.randrange(4):
            case 0:
                del place[key]
            case 1 if isinstance(place, dict):
                place[chance.choice(["more", "", "__class__", "\x1b"])] = chance.choice(VALUES)
            case _:
                place[key] = chance.choice(VALUES)
        return


def changed_bytes(content: bytes, chance: random.Random) -> bytes:
    """Change, insert or cut signs."""
    at = chance.randrange(len(content))
    match chance.randrange(4):
        case 0:
            return content[:at]
        case 1:
            return content[:at] + bytes([chance.choice(SIGNS)]) + content[at:]
        case 2:
            return content[:at] + content[at + chance.randrange(1, 9) :]
    return content[:at] + bytes([chance.choice(SIGNS)]) + content[at + 1 :]


def refused(plain: Case, project: Path, content: bytes) -> str:
    """Why a file is refused; nothing where it is taken in."""
    try:
        take(project, plain.run.design, plain.known, content, "back.json")
    except ReviewError as error:
        return str(error)
    return ""


@pytest.mark.slow
def test_five_thousand_changed_files_are_taken_or_refused(plain: Case, tmp_path: Path) -> None:
    chance = random.Random(7)  # noqa: S311 - repeatable, not secret
    project = tmp_path / "project"
    project.mkdir()
    entries = [plain.entry(0), plain.entry(1, "query", "Why?"), plain.entry(2, "", "Hm.", own="1.5")]
    counted = {"taken": 0, "refused": 0}
    for _ in range(FILES):
        record = json.loads(plain.file(*entries))
        if chance.random() < 0.6:
            for _ in range(chance.choice([1, 1, 2])):
                changed_value(record, chance)
            content = json.dumps(record).encode()
        else:
            content = changed_bytes(plain.file(*entries), chance)
        refusal = refused(plain, project, content)
        counted["refused" if refusal else "taken"] += 1
        assert all(line.startswith("back.json: ") and line.isprintable() for line in refusal.splitlines())
        assert (project / "review").exists() == (not refusal)
        for path in contents(project):
            (project / path).unlink()
        if not refusal:
            (project / "review").rmdir()

    assert min(counted.values()) > 5
    assert sum(counted.values()) == FILES


@pytest.mark.slow
def test_a_thousand_changed_forms_are_taken_or_refused(plain: Case, tmp_path: Path) -> None:
    chance = random.Random(11)  # noqa: S311 - repeatable, not secret
    questions = {key: one.asked for key, one in questions_of(plain.run).items()}
    text = form(plain.run, questions, brief_hash(plain.run.design, questions))
    text = text.replace('date = ""', "date = 2025-06-01").replace('method = ""', 'method = "By hand."')
    text = text.replace('effect = ""', 'effect = "89.4 kN/m"').replace('tolerance = ""', "tolerance = 5.0")
    text = re.sub(r'(key = "T/(?!sleeve/ring_tension).*\n)effect = "89.4 kN/m"', r'\1effect = ""', text)
    counted = {"taken": 0, "refused": 0}
    for _ in range(1000):
        content = rewritten(text, chance).encode()
        for _ in range(chance.choice([0, 1, 1, 2, 5])):
            content = changed_bytes(content, chance) if chance.random() < 0.7 else changed_value_of(content, chance)
        try:
            take_own_values(tmp_path, plain.run, content, "form.toml")
            counted["taken"] += 1
        except ReviewError as error:
            counted["refused"] += 1
            reasons = str(error)
        else:
            reasons = ""
        assert all(line.startswith("form.toml: ") and line.isprintable() for line in reasons.splitlines())

    assert min(counted.values()) > 100


def rewritten(text: str, chance: random.Random) -> str:
    """The same form as another checker might fill it in: other values, blanks, comments, blank lines."""
    lines = text.split("\n")
    for _ in range(chance.choice([1, 2, 4])):
        index = chance.choice([index for index, line in enumerate(lines) if " = " in line])
        key, value = lines[index].split(" = ", 1)
        new = {
            "method": ['"By a chart."', '"By another program, written for this check."'],
            "tolerance": ["4.0", "5", "10.0"],
            "effect": ['"89.5 kN/m"', '"90000 N/m"', '"89.4  kN/m"'] if "kN/m" in value else ['""'],
            "date": ["2025-06-02", "2025-12-31"],
        }.get(key, [value])
        match chance.randrange(4):
            case 0:
                lines[index] = f"{key}  =  {value}"
            case 1:
                lines.insert(index, chance.choice(["", "# checked twice", "   "]))
            case _:
                lines[index] = f"{key} = {chance.choice(new)}"
    return "\n".join(lines)


def changed_value_of(content: bytes, chance: random.Random) -> bytes:
    """Put another value on one line."""
    lines = content.decode("utf-8", "replace").split("\n")
    index = chance.choice([index for index, line in enumerate(lines) if " = " in line] or [0])
    values = [
        '""',
        "1",
        "nan",
        "-inf",
        "1e308",
        "[]",
        "{}",
        '"1e9 m"',
        '"x"',
        "2025-01-01T00:00:00Z",
        "true",
        "'\\x07'",
    ]
    lines[index] = lines[index].split(" = ")[0] + " = " + chance.choice(values)
    return "\n".join(lines).encode()
