from pathlib import Path
from re import MULTILINE, findall, search, sub

import pytest
from markupsafe import escape

from calc import __version__
from calc.chain import CHAPTERS, run_checks
from calc.inputs import read_design
from calc.package.limits import collect_limits
from calc.package.pages import Pages
from tests.packages.conftest import Made

WEAK = Path(__file__).parents[2] / "projects" / "weak-sleeve"


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


def test_pages_of_a_chapter_name_the_chapter(package: Made) -> None:
    titles = {f"{index} {sheet.title}" for index, sheet in enumerate(package.run.sections[0].sheets, start=1)}
    printed = [page for page in package.pages if search(r"^□ \d+\.\d+", page, flags=MULTILINE)]

    assert len(printed) > 5
    assert all(titles & set(page.splitlines()) for page in printed)


def summed_up(package: Made) -> str:
    """The summary and what follows it up to the page on which the assumptions begin: all verifications among it."""
    first = next(k for k, page in enumerate(package.pages) if "What was verified" in page)
    last = next(k for k, page in enumerate(package.pages) if "Answer of the designer" in page)
    return " ".join(package.pages[first : last + 1])


def test_summary_names_every_verdict_and_what_is_not_verified(package: Made) -> None:
    verdicts = package.run.verdicts()
    shown = squeezed(summed_up(package))

    assert verdicts
    for _, _, verdict in verdicts:
        assert squeezed(verdict.title) in shown
        if verdict.utilisation is not None:
            assert f"{verdict.utilisation:.3f}" in shown
    assert any("Local codes, laws and the authority" in page for page in package.pages)


def test_page_references_of_the_summary_lead_to_the_verdicts(package: Made) -> None:
    row = " ".join(summed_up(package).split()).partition("Ring strain")[2]
    row = row.partition("pass")[0].partition("What")[0]
    numbers = [int(one) for one in findall(r"(?<![\d.])\d+(?![\d.])", row) if int(one) <= len(package.pages)]

    assert numbers
    assert "Ring strain" in package.pages[numbers[-1] - 1]


def test_unanswered_matters_are_flagged(package: Made) -> None:
    pages = " ".join(page for page in package.pages if "Answer of the designer" in page)

    assert pages.count("not answered: the calculation is incomplete until it is") == 3
    assert [one.state for _, _, one in package.run.verdicts() if one.key == "outside"] == ["not verified"]
    assert package.run.outcome != "pass"


def test_chapters_which_are_not_built_stand_in_the_contents_as_not_verified(package: Made) -> None:
    (part,) = package.run.sections
    contents = squeezed(next(page for page in package.pages if "Contents" in page))
    unbuilt = {chapter.key for chapter in CHAPTERS if chapter.check is None}
    empty = [(index, sheet) for index, sheet in enumerate(part.sheets, start=1) if sheet.key in unbuilt]

    for index, sheet in empty:
        assert squeezed(f"{index}{sheet.title} – not verified") in contents


def test_inputs_stand_verbatim_with_line_numbers(package: Made) -> None:
    pages = "".join(page for page in package.pages if "Inputs as typed" in page or " = " in page)
    lines = package.run.design.text.decode().splitlines()

    for number, line in enumerate(lines, start=1):
        if line.strip():
            assert squeezed(f"{number}{line}") in squeezed(pages)


def test_every_limitation_is_printed_once_in_the_list_of_limits(package: Made) -> None:
    first = next(k for k, page in enumerate(package.pages) if page.startswith("Limits of this calculation"))
    page = squeezed("".join(package.pages[first : first + 2]))  # the list may need a second page
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
        for step in sheet.page.lines
        if step.source and step.source.evidence == "not inspected"
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
        for step in sheet.page.lines
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


def test_nothing_is_claimed_before_it_is_signed(package: Made) -> None:
    whole = squeezed("".join(package.pages))

    for claim in ("checked it independently", "approved it for", "made the calculation", "checked Bø Okoye"):
        assert squeezed(claim) not in whole
    assert squeezed("checks it independently") in squeezed(package.pages[0])


def test_what_is_not_required_and_what_is_only_stated_are_no_verdicts_by_numbers(package: Made) -> None:
    from calc.package.pages import Pages

    pages = Pages(package.run)
    html = pages.html(lambda _: None)
    stamps = {view.title: view.stamp for view in pages.verdicts}
    rated = {view.title for view in pages.verdicts if view.utilisation != "–"}
    heading = "All verifications</h2>" if "All verifications</h2>" in html else "What was verified"
    table = html.partition(heading)[2].partition("</table>")[0]

    assert {"pass", "accepted by statement", "not required"} <= set(stamps.values())
    for title in stamps:
        assert (title in table) == (title in rated)


def test_references_list_every_publication_that_a_line_names(package: Made) -> None:
    from calc.package.references import names_publication

    whole = squeezed("".join(package.pages)).partition(squeezed("Source of equations and values"))[2]
    references = whole.partition(squeezed("Sets of partial factors"))[0]
    sources = {step.source for part in package.run.sections for sheet in part.sheets for step in sheet.page.lines}
    named = [one for one in sources if one and (one.evidence != "derived" or names_publication(one.citation))]

    assert any(one.evidence == "derived" for one in named)
    for one in named:
        assert squeezed(one.citation) in references


@pytest.mark.parametrize(
    ("citation", "named"),
    [
        ("elastic cell after Balaam & Booker (1981), sleeve added", True),
        ("horizontal equilibrium, derived here; form of UFC 3-220-08FA, eq. 4-5", True),
        ("project rule: the effect is factored, EN 1997-1:2004, 2.4.7.3.2", True),
        ("condition that U8 gives a widening with no load on the soil", False),
        ("plane geometry of the grid", False),
    ],
)
def test_a_publication_is_known_by_its_year_or_number(citation: str, named: bool) -> None:
    from calc.package.references import names_publication

    assert names_publication(citation) is named


def test_limitation_stands_beside_a_failing_verdict_without_saying_that_it_would_turn_it() -> None:
    """The sleeve of this example does not hold the ring tension, and even less that by the second method."""
    run = run_checks(read_design(WEAK))
    [(limit, view)] = [(limit, view) for limit, view in collect_limits(run).items() if limit.key == "second-method"]
    text = Pages(run).html(lambda _: None)

    assert limit.turns == ("ring_tension_iso",)
    assert not view.turns
    assert "would turn this" not in text
    assert f"{view.number}</a> limits this, too" in text
    assert text.count(str(escape(limit.text))) == 1


def test_limitation_that_would_turn_a_verdict_stands_beside_it_and_first_in_the_list(tmp_path: Path) -> None:
    """The same with a sleeve that holds, and one combination of design approach 1 alone."""
    text = (WEAK / "project.toml").read_text(encoding="utf-8").replace('"200 kN/m"', '"264 kN/m"', 1)
    text = sub(r"(?m)^factor_sets = .*$", 'factor_sets = ["EN 1997-1 DA1-1"]', text)
    (tmp_path / "project.toml").write_text(text, encoding="utf-8")
    run = run_checks(read_design(tmp_path))
    [(limit, view)] = [(limit, view) for limit, view in collect_limits(run).items() if limit.key == "design-approach-1"]
    printed = Pages(run).html(lambda _: None)

    assert {one.key for _, _, one in run.verdicts() if one.utilisation is not None and one.factor_set} == set(
        limit.turns
    )
    assert "ring_tension_iso" in limit.turns
    assert view.number == "L1"
    rows = findall(r"<tr id=\"s1c\d+v\d+\".*?</tr>", printed)
    assert sum(">L1</a>" in row and "would turn this" in row for row in rows) == len(limit.turns)
    assert printed.count(str(escape(limit.text))) == 1


def test_sources_that_nobody_inspected_stand_in_one_paragraph(package: Made) -> None:
    pages = squeezed("".join(package.pages))
    asked = pages.partition("Whattheclientmustconfirm")[2].partition("Assumptions")[0]

    assert "Raithel(1999)" in asked
    assert "Raithel&Raithel" not in asked
    assert "EN1997-1:2004,2.4.6.2" not in asked


def test_sets_of_partial_factors_stand_with_source_and_what_was_recalled(package: Made) -> None:
    from calc.package.references import factor_views

    views = factor_views(package.run)
    pages = squeezed("".join(package.pages).partition("Sets of partial factors")[2])
    register = squeezed("".join(package.pages).partition("A mark in the reference column")[2])

    assert {key for view in views for key in view.keys.split(", ")} == {"EN 1997-1 DA1-1", "EN 1997-1 DA1-2"}
    for view in views:
        assert squeezed(view.source) in pages
        assert view.evidence == "inspected"
        assert squeezed(view.recalled) in register
