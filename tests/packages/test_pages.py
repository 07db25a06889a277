from re import MULTILINE, findall, search

import pytest

from calc import __version__
from tests.packages.conftest import Made


def squeezed(text: str) -> str:
    """A text without any white space, because a line may break where it likes."""
    return "".join(text.split())


def test_every_page_names_project_document_revision_status_program_and_inputs(package: Made) -> None:
    wanted = [
        "Marsh approach road",
        "2025-014-GEO-C-001",
        "revision A · S3 – for review and comment",
        f"sandsleeve {__version__} · inputs {package.run.design.sha256[:12]}",
        "originator Aurélie Fenwick · checker Bø Okoye",
    ]
    missing = {
        (number, text)
        for number, page in enumerate(package.pages, start=1)
        for text in wanted
        if squeezed(text) not in squeezed(page)
    }
    assert missing == set()


def test_every_page_counts_itself(package: Made) -> None:
    total = len(package.pages)
    for number, page in enumerate(package.pages, start=1):
        assert f"page {number} of {total}" in page


def test_pages_of_a_section_name_the_section(package: Made) -> None:
    printed = [page for page in package.pages if search(r"^A\.\d+\.\d+ ", page, flags=MULTILINE)]

    assert len(printed) > 5
    assert all("A · North approach" in page for page in printed)


def test_summary_names_every_verdict_and_what_is_not_verified(package: Made) -> None:
    (summary,) = [page for page in package.pages if "What was verified" in page]
    verdicts = package.run.verdicts()
    shown = squeezed(summary)

    assert verdicts
    for _, _, verdict in verdicts:
        assert squeezed(verdict.title) in shown
        if verdict.utilisation is not None:
            assert f"{verdict.utilisation:.3f}" in shown
    assert "Local codes, laws and the authority" in summary


def test_page_references_of_the_summary_lead_to_the_verdicts(package: Made) -> None:
    (summary,) = [page for page in package.pages if "What was verified" in page]
    row = " ".join(summary.split()).partition("Ring strain")[2]
    row = row.partition("pass")[0].partition("What")[0]
    numbers = [int(one) for one in findall(r"(?<![\d.])\d+(?![\d.])", row) if int(one) <= len(package.pages)]

    assert numbers
    assert "Ring strain" in package.pages[numbers[-1] - 1]


def test_unanswered_matters_are_flagged(package: Made) -> None:
    (page,) = [page for page in package.pages if "Answer of the designer" in page]

    assert page.count("not answered: the calculation is incomplete until it is") == 3
    assert package.run.outcome == "incomplete"


def test_chapters_which_are_not_built_stand_in_the_contents_as_not_verified(package: Made) -> None:
    (part,) = package.run.sections
    contents = squeezed(next(page for page in package.pages if "Contents" in page))
    empty = [(index, sheet) for index, sheet in enumerate(part.sheets, start=1) if not sheet.steps]

    for index, sheet in empty:
        assert squeezed(f"A.{index}{sheet.title} – not verified") in contents


def test_inputs_stand_verbatim_with_line_numbers(package: Made) -> None:
    pages = "".join(page for page in package.pages if "Inputs as typed" in page or " = " in page)
    lines = package.run.design.text.decode().splitlines()

    for number, line in enumerate(lines, start=1):
        if line.strip():
            assert squeezed(f"{number}{line}") in squeezed(pages)


def test_every_limitation_is_printed_once_in_the_list_of_limits(package: Made) -> None:
    page = squeezed(next(page for page in package.pages if page.startswith("Limits of this calculation")))
    limits = {limit for part in package.run.sections for sheet in part.sheets for limit in sheet.limitations}

    assert limits
    for limit in limits:
        assert page.count(squeezed(limit.text)) == 1


def test_lines_from_memory_stand_in_the_register(package: Made) -> None:
    register = squeezed("".join(package.pages).partition("A mark in the reference column")[2])
    recalled = {
        step.source.citation
        for part in package.run.sections
        for sheet in part.sheets
        for step in sheet.steps
        if step.source and step.source.evidence == "memory"
    }
    assert recalled
    for citation in recalled:
        assert squeezed(citation) in register


def test_given_values_by_a_rule_of_the_project_stand_in_the_register(package: Made) -> None:
    register = squeezed("".join(package.pages).partition("A mark in the reference column")[2])
    rules = {
        origin.text
        for part in package.run.sections
        for sheet in part.sheets
        for step in sheet.steps
        if step.kind == "given" and (origin := step.origin(part.cases[sheet.key, step.scope]))
        if origin.kind == "project rule"
    }
    assert rules
    for text in rules:
        assert squeezed(f"project rule: {text}") in register


@pytest.mark.parametrize("role", ["Originator", "Checker", "Approver"])
def test_cover_and_final_sheet_are_to_be_signed(package: Made, role: str) -> None:
    assert role in package.pages[0]
    assert role in package.pages[-1]
    assert "signature and date" in package.pages[-1]
    assert "licensed engineer" in package.pages[-1]
