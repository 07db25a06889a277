from pathlib import Path
from re import MULTILINE, findall, search, sub
from shutil import copy
from types import SimpleNamespace
from typing import cast

import pytest
from markupsafe import escape

from calc import __version__
from calc.chain import run_checks
from calc.engine.sheet import STAMPS, Origin, Sheet
from calc.inputs import Section, read_design
from calc.numbering import own_key
from calc.package.front import standing
from calc.package.limitations import collect_limits
from calc.package.line_places import Places
from calc.package.pages import Pages, environment
from calc.package.rows import LONGEST_AGAIN
from calc.package.verdicts import verdict_groups, verdict_view, without_number
from tests.packages.conftest import Made
from tests.packages.reading import body_texts, html_of
from tests.packages.scenario import alone

WEAK = Path(__file__).parents[2] / "projects" / "weak-sleeve"


@pytest.fixture(scope="module")
def written(package: Made) -> tuple[Pages, str]:
    """What the pages of the plain scenario are set from; nothing in it is changed."""
    pages = Pages(package.run)
    return pages, html_of(pages)


def squeezed(text: str) -> str:
    """A text without any white space, because a line may break where it likes."""
    return "".join(text.split())


def without_either_side(title: str) -> str:
    """As the table of utilisations names a verification."""
    return title.replace(", either side", "")


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
    printed = [page for page in package.pages if search(r"^□ \d+\.\d+ ", page, flags=MULTILINE)]
    titles = [f"{index} {sheet.title}" for index, sheet in enumerate(package.run.sections[0].sheets, start=1)]

    assert len(printed) > 5
    assert all(any(title in page for title in titles) for page in printed)


def summed_up(package: Made) -> str:
    """The summary and what follows it up to the page on which the calculation begins."""
    first = next(k for k, page in enumerate(package.pages) if "Summary" in page.split("\n")[:6])
    last = next(k for k, page in enumerate(package.pages) if "Answer of the designer" in page)
    return " ".join(package.pages[first : last + 1])


def test_pages_before_the_chapters_name_every_verdict(package: Made) -> None:
    verdicts = package.run.verdicts()
    shown = squeezed(summed_up(package))

    assert verdicts
    for _, _, verdict in verdicts:
        assert any(squeezed(title) in shown for title in (verdict.title, without_either_side(verdict.title)))
        if verdict.utilisation is not None:
            assert f"{verdict.utilisation:.3f}" in shown
    assert any("Local codes, laws and the authority" in page for page in package.pages)


def test_page_references_of_the_summary_lead_to_the_verdicts(written: tuple[Pages, str]) -> None:
    _, html = written
    summary = html.partition('id="summary"')[2].partition('class="part')[0]
    anchors = set(findall(r'class="page" href="#(s\d+c\d+v\d+)"', summary))

    assert len(anchors) > 4
    for anchor in anchors:
        assert html.count(f'id="{anchor}"') == 1


def test_unanswered_matters_are_flagged(package: Made) -> None:
    pages = " ".join(page for page in package.pages if "Answer of the designer" in page)

    assert pages.count("not answered: the calculation is incomplete until it is") == 4
    assert [one.state for _, _, one in package.run.verdicts() if one.key == "outside"] == ["not verified"]
    assert package.run.outcome != "pass"


def test_chapters_which_calculate_nothing_stand_in_the_contents_with_their_state(package: Made) -> None:
    """One that the project answers by a statement was called not verified."""
    (part,) = package.run.sections
    contents = squeezed(next(page for page in package.pages if "Contents" in page))
    bare = [
        (index, sheet)
        for index, sheet in enumerate(part.sheets, start=1)
        if not (sheet.steps or sheet.page.tables or sheet.page.figures)
        and any(verdict.applies for verdict in sheet.verdicts)
    ]

    assert bare
    for index, sheet in bare:
        state = standing({verdict.stamp for verdict in sheet.verdicts})
        assert squeezed(f"{index}{sheet.title} – {state}") in contents


@pytest.mark.parametrize(
    ("stamps", "said"),
    [
        ({"accepted by statement"}, "accepted by statement"),
        ({"not required", "not applicable"}, "not required"),
        ({"accepted by statement", "not verified"}, "not verified"),
        ({"not verified", "fail"}, "fail"),
        (set(), ""),
    ],
)
def test_the_contents_say_the_least_of_a_chapter(stamps: set[str], said: str) -> None:
    assert standing(stamps) == said


def test_every_limitation_is_printed_once_in_the_list_of_limits(package: Made) -> None:
    begin = "Each is given once, with its sections where it does not apply to all; (A) after a number"
    page = squeezed("".join(body_texts(package.files.pdf))).partition(squeezed(begin))[2]
    limits = {limit for part in package.run.sections for sheet in part.sheets for limit in sheet.limitations}

    assert limits
    for limit in limits:
        assert page.count(squeezed(limit.text)) == 1


def test_values_as_typed_stand_in_the_tables_of_inputs(package: Made) -> None:
    text = " ".join("".join(package.pages).partition("Every field of project.toml as typed")[2].split())

    for shown in ("crest width 12.0 m", "oversize 5 mm", "key crust peat clay sand", "spacing 2.0 m"):
        assert shown in text


def test_lines_from_memory_stand_in_the_register(package: Made) -> None:
    register = squeezed("".join(body_texts(package.files.pdf)).partition("Source status: no mark")[2])
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


def test_a_rule_of_the_project_stands_in_words_on_its_line_and_in_the_register_where_it_names_a_publication(
    package: Made,
) -> None:
    from calc.package.references import names_publication

    lines, _, register = map(squeezed, "".join(body_texts(package.files.pdf)).partition("Source status: no mark"))
    rules = {
        origin.text
        for part in package.run.sections
        for sheet in part.sheets
        for step in sheet.page.lines
        if step.kind == "given" and (origin := step.origin(part.cases[sheet.key, step.scope]))
        if origin.kind == "project rule"
    }
    assert rules
    for text in filter(None, rules):
        assert squeezed(text) in lines
        assert (squeezed(f"project rule: {text}") in register) == names_publication(text)


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


def test_only_what_has_a_utilisation_stands_in_the_table_of_utilisations(written: tuple[Pages, str]) -> None:
    pages, html = written
    rated = {view.title for view in pages.verdicts if view.utilisation != "–"}
    table = html.partition('<table class="matrix">')[2].partition("</table>")[0]

    assert {"pass", "not required"} <= {view.stamp for view in pages.verdicts} <= set(STAMPS)
    for view in pages.verdicts:
        assert (f">{escape(without_either_side(view.title))}" in table) == (view.title in rated)


def test_what_bears_no_utilisation_stands_with_its_state_once() -> None:
    sheet = Sheet(section="A", key="none", title="None")
    sheet.accepted("a", "Accepted", "said so")
    sheet.not_applicable("b", "Cannot be", "no water")
    sheet.not_verified("c", "Left out", "not asked", required=False)
    sheet.not_verified("d", "Open", "lacks a value")
    places = Places({}, {}, {})
    section = cast("Section", SimpleNamespace(key="A", stages=()))
    views = [verdict_view(alone(section, sheet), 1, "x", verdict, places) for verdict in sheet.verdicts]

    assert [(one.stamp, one.title, one.note) for one in without_number(views)] == [
        ("not verified", "Open", "lacks a value"),
        ("accepted by statement", "Accepted", ""),
        ("not required", "Left out", "not asked"),
        ("not applicable", "Cannot be", "no water"),
    ]


@pytest.mark.parametrize(("second", "said"), [("by decree", "by decree"), ("by habit", "")])
def test_a_note_that_all_sections_have_beside_their_numbers_stands_once(second: str, said: str) -> None:
    views = []
    for key, note in (("A", "by decree"), ("B", second)):
        sheet = Sheet(section=key, key="none", title="None")
        effect, allowed = (sheet.given(name, 1.0, origin=Origin("project rule")) for name in ("s", "s_lim"))
        made = sheet.verdict("a", "Settlement", effect=effect, resistance=allowed, note=note)
        section = cast("Section", SimpleNamespace(key=key, stages=()))
        views.append(verdict_view(alone(section, sheet), 1, "x", made, Places({}, {}, {})))
    [group] = verdict_groups(views)
    printed = str(environment().get_template("macros.html").module.verdicts([group]))  # type: ignore[attr-defined]

    assert group.note == said
    assert printed.count("by decree") == 1
    assert printed.count("by habit") == (0 if said else 1)


@pytest.mark.parametrize(("second", "rows"), [("AB", 1), ("A", 2)])
def test_questions_stand_together_only_where_the_same_sections_answer_them_alike(second: str, rows: int) -> None:
    views = []
    for key in "AB":
        sheet = Sheet(section=key, key="none", title="None")
        sheet.accepted("a", "Durability", "by report")
        if key in second:
            sheet.accepted("b", "Seams", "by report")
        section = cast("Section", SimpleNamespace(key=key, stages=()))
        views += [
            verdict_view(alone(section, sheet), 1, "x", verdict, Places({}, {}, {})) for verdict in sheet.verdicts
        ]

    assert len(verdict_groups(views)) == rows


def test_references_list_every_publication_with_the_lines_that_use_it(
    package: Made, written: tuple[Pages, str]
) -> None:
    from calc.package.references import names_publication

    pages, _ = written
    listed = {(one.citation, one.evidence): one for one in pages.references.listing()}
    steps = [step for part in package.run.sections for sheet in part.sheets for step in sheet.page.lines if step.source]

    assert steps
    for step in steps:
        assert step.source is not None
        one = listed[step.source.citation, step.source.evidence]
        assert package.run.numbers[own_key(step.key)] in one.uses
        assert bool(one.lines) == names_publication(one.citation)
    # Without the running lines of pages: a citation may go on at the head of the next one. The reader of the file
    # gives a hyphen at which a line ends as a control character.
    text = squeezed("".join(body_texts(package.files.pdf)).partition("Source status: no mark")[2]).replace("\x02", "-")
    for one in listed.values():
        assert squeezed(f"[{one.number}] {one.citation}") in text


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


def test_limitation_stands_beside_a_failing_verdict_without_saying_that_it_can_fail() -> None:
    """The sleeve of this example does not hold the ring tension, and even less that by the second method."""
    run = run_checks(read_design(WEAK))
    [(limit, view)] = [(limit, view) for limit, view in collect_limits(run).items() if limit.key == "second-method"]
    text = html_of(Pages(run))

    assert limit.turns == ("ring_tension_iso",)
    assert not view.turns
    assert f'can fail, <span class="nowrap">see\u00a0<a class="no" href="#{view.anchor}">' not in text
    assert f'; <span class="nowrap">see also\u00a0<a class="no" href="#{view.anchor}">{view.number}</a>' in text


def test_limitation_that_would_turn_a_verdict_stands_beside_it_and_first_in_the_list(tmp_path: Path) -> None:
    """The same with a sleeve that holds, and one combination of design approach 1 alone."""
    text = (WEAK / "project.toml").read_text(encoding="utf-8").replace('"200 kN/m"', '"264 kN/m"', 1)
    text = sub(r"(?m)^factor_sets = .*$", 'factor_sets = ["EN 1997-1 DA1-1"]', text)
    (tmp_path / "project.toml").write_text(text, encoding="utf-8")
    copy(WEAK / "ground-data.csv", tmp_path)
    run = run_checks(read_design(tmp_path))
    [(limit, view)] = [(limit, view) for limit, view in collect_limits(run).items() if limit.key == "design-approach-1"]
    printed = html_of(Pages(run))

    assert {one.key for _, _, one in run.verdicts() if one.utilisation is not None and one.factor_set} == set(
        limit.turns
    )
    assert "ring_tension_iso" in limit.turns
    assert view.number == "L1"
    assert printed.count('can fail, <span class="nowrap">see') >= len(limit.turns)
    assert f"<b>{view.number}</b> {escape(limit.text)}" in printed


def test_sources_that_nobody_inspected_stand_in_one_paragraph(package: Made) -> None:
    pages = squeezed("".join(package.pages))
    asked = pages.partition("Sourcesnotinspected")[2].partition("Assumptions")[0]

    assert "Raithel(1999)" in asked
    assert "Raithel&Raithel" not in asked
    assert "EN1997-1:2004,2.4.6.2" not in asked


def test_sets_of_partial_factors_stand_with_source_and_what_was_recalled(package: Made) -> None:
    from calc.package.references import factor_views

    views = factor_views(package.run)
    pages = squeezed("".join(package.pages).partition("Sets of partial factors")[2])

    assert {key for view in views for key in view.keys.split(", ")} == {"EN 1997-1 DA1-1", "EN 1997-1 DA1-2"}
    for view in views:
        assert squeezed(view.source) in pages
        assert view.evidence == "inspected"
        assert squeezed(view.recalled) in pages


def test_lines_and_verifications_name_no_field_by_its_path(package: Made) -> None:
    """The inputs, which name fields, stand at the end."""
    body = "\n".join(page for page in package.pages if "Inputs" not in page.split("\n")[:4])

    assert findall(r"\b[a-z_]+\[\d+\][.\w]*|\((?:field|table) [a-z_.]+\)|\bbasis\.[a-z_]+", body) == []
    assert "default" in body


def test_a_scope_names_a_source_of_many_words_once(written: tuple[Pages, str]) -> None:
    scopes = written[1].partition('id="calculation"')[2].partition('id="limits"')[0].split("<h3")
    cited = [findall(r'<span class="r">[◦◐◇]?<a href="#ref(\d+)">([^<]+)</a>', scope) for scope in scopes]
    # Two sources may have one name.
    long = [[number for number, name in own if len(name) > LONGEST_AGAIN] for own in cited]

    assert sum(map(len, long)) > 5
    assert all(len(set(numbers)) == len(numbers) for numbers in long)
    assert any(name == f"[{number}]" for own in cited for number, name in own)
