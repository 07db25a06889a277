"""What belongs to a chapter: its room with steps, page and prose, its tests, its part of the list of verdicts."""

import ast
import tomllib
from pathlib import Path

import pytest

from calc.chain import CHAPTERS
from calc.engine.sheet.printing import AXIS_WORDS
from calc.engine.sheet.values import AXIS_ORDER
from calc.package.questions import QUESTIONS
from tests.architecture.checkout import ROOT

SHARED = "shared"


def missing(key: str, root: Path = ROOT) -> list[str]:
    """What a chapter still lacks, each with the file and what to write there."""
    room = f"calc/chapters/{key}"
    return [
        *(
            f"chapter {key} has no {name}() in {room}/{file}: write {what}"
            for file, name, what in (
                ("steps.py", key, "its steps as (design, section, done) -> Sheet"),
                ("page.py", "page", "its page as (of, design, section, done) -> None"),
            )
            if name not in functions(root / room / file)
        ),
        *([] if prose(root / room / "words.toml") else [f"chapter {key} has no prose: write it in {room}/words.toml"]),
        *(
            f"chapter {key} is not in {file}: {what}"
            for file, what in (
                (f"tests/chapters/test_{key}.py", "write tests of what stands and of what must fail"),
                ("docs/verdicts.md", "run: python -m tests.projects.store"),
                ("pyproject.toml", "enter its room in both contracts of [tool.importlinter]"),
            )
            if not names(root / file, key)
        ),
    ]


def functions(path: Path) -> set[str]:
    tree = ast.parse(path.read_text(encoding="utf-8") if path.is_file() else "")
    return {node.name for node in tree.body if isinstance(node, ast.FunctionDef)}


def prose(path: Path) -> list[str]:
    found: list[str] = tomllib.loads(path.read_text(encoding="utf-8") if path.is_file() else "").get("prose", [])
    return found


def names(path: Path, key: str) -> bool:
    """Whether a file names a chapter as such: as a key, a heading or a room."""
    text = path.read_text(encoding="utf-8") if path.is_file() else ""
    return any(one in text for one in (f'"{key}"', f"(`{key}`)", f'"calc.chapters.{key}"'))


@pytest.mark.parametrize("key", [chapter.key for chapter in CHAPTERS])
def test_a_chapter_is_complete(key: str) -> None:
    lacking = missing(key)

    assert not lacking, "\n".join(lacking)


def test_every_room_is_a_chapter_of_the_chain() -> None:
    rooms = {path.parent.name for path in (ROOT / "calc" / "chapters").glob("*/words.toml")} - {SHARED}

    assert rooms == {chapter.key for chapter in CHAPTERS}, "enter the room in CHAPTERS of calc/chain.py"


def test_every_chapter_answers_a_question_of_the_summary() -> None:
    asked = {key for _, chapters in QUESTIONS for key in chapters}

    assert asked == {chapter.key for chapter in CHAPTERS}, "enter the chapter in QUESTIONS of calc/package/questions.py"


def test_chapters_that_compare_sections_are_the_last() -> None:
    last = [chapter.across for chapter in CHAPTERS]

    assert last == sorted(last), "move the chapter before those with `across` in CHAPTERS of calc/chain.py"


def test_every_axis_has_its_word() -> None:
    assert set(AXIS_WORDS) == set(AXIS_ORDER), "enter the axis in AXIS_WORDS of calc/engine/sheet/printing.py"


def test_a_chapter_of_steps_alone_is_told_what_it_lacks(tmp_path: Path) -> None:
    room = tmp_path / "calc" / "chapters" / "frost"
    room.mkdir(parents=True)
    (room / "steps.py").write_text("def frost(design, section, done): ...\n", encoding="utf-8")
    (room / "words.toml").write_text("prose = []\n", encoding="utf-8")

    assert [line.partition(":")[0] for line in missing("frost", tmp_path)] == [
        "chapter frost has no page() in calc/chapters/frost/page.py",
        "chapter frost has no prose",
        "chapter frost is not in tests/chapters/test_frost.py",
        "chapter frost is not in docs/verdicts.md",
        "chapter frost is not in pyproject.toml",
    ]
