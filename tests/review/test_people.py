"""Who may check follows the check category."""

import re
from pathlib import Path

import pytest

from calc.inputs import InputErrors, read_design
from calc.package.shown import category_words
from tests.review.scenario import write_project

CHECKER = 'checker = { name = "Edda Quill" }'
ORIGINATOR = 'originator = { name = "Dilan Achterberg" }'
CLASS = 'consequence_class = "CC2"'


def project(folder: Path, category: int | None, checker: str = CHECKER, originator: str = ORIGINATOR) -> Path:
    text = (write_project(folder) / "project.toml").read_text(encoding="utf-8")
    given = "" if category is None else f"check_category = {category}\n"
    text = text.replace(CLASS, given + CLASS).replace(CHECKER, checker).replace(ORIGINATOR, originator)
    (folder / "project.toml").write_text(text, encoding="utf-8")
    return folder


@pytest.mark.parametrize(
    ("people", "words"),
    [
        ('checker = { name = "dilan  achterberg" }', "people.checker.name: must be another person than the originator"),
        ('checker = { name = "Femi Marsh" }', "people.approver.name: must be another person than the checker"),
    ],
)
@pytest.mark.parametrize("category", [None, 0, 1, 2])
def test_originator_checker_and_approver_are_three_people(
    tmp_path: Path, category: int | None, people: str, words: str
) -> None:
    with pytest.raises(InputErrors, match=words):
        read_design(project(tmp_path, category, people))


@pytest.mark.parametrize("category", [0, 1, 2])
def test_category_is_taken_over(tmp_path: Path, category: int) -> None:
    assert read_design(project(tmp_path, category)).basis.check_category == category


@pytest.mark.parametrize("category", [-1, 4])
def test_there_are_four_categories(tmp_path: Path, category: int) -> None:
    with pytest.raises(InputErrors, match=r"basis\.check_category: must be at least 0 and at most 3"):
        read_design(project(tmp_path, category))


@pytest.mark.parametrize("category", [2, 3])
def test_checker_who_has_made_a_revision_is_involved(tmp_path: Path, category: int) -> None:
    folder = project(tmp_path, category)
    text = (folder / "project.toml").read_text(encoding="utf-8")
    changed = text.replace('author = "Dilan Achterberg"', 'author = "Edda  quill"')
    (folder / "project.toml").write_text(changed, encoding="utf-8")

    with pytest.raises(InputErrors, match=f"not the author of a revision .check category {category}."):
        read_design(folder)


OFFICE = 'originator = { name = "Dilan Achterberg", organisation = "Design office" }'


@pytest.mark.parametrize(
    ("checker", "originator", "words"),
    [
        (CHECKER, OFFICE, ["people.checker.organisation: must be given for check category 3, got nothing"]),
        (CHECKER, ORIGINATOR, ["people.checker.organisation: must", "people.originator.organisation: must"]),
        ('checker = { name = "Edda Quill", organisation = "design  office" }', OFFICE, ["be another organisation"]),
    ],
)
def test_category_3_asks_for_another_organisation(
    tmp_path: Path, checker: str, originator: str, words: list[str]
) -> None:
    with pytest.raises(InputErrors) as refused:
        read_design(project(tmp_path, 3, checker, originator))

    assert all(re.search(word, str(refused.value)) for word in words)


def test_category_3_is_satisfied_by_two_organisations(tmp_path: Path) -> None:
    checker = 'checker = { name = "Edda Quill", organisation = "Other office" }'

    assert read_design(project(tmp_path, 3, checker, OFFICE)).basis.check_category == 3


def test_words_stand_beside_the_number() -> None:
    assert [category_words(one) for one in (None, 0, 1, 2, 3)] == [
        "not given", "0 – self-check", "1 – other member of the team", "2 – person not involved",
        "3 – other organisation",
    ]  # fmt: skip
