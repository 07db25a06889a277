"""The column plan as the last part of a package: the same pages, in outline and contents; named where there is none."""

import json
import re
import sys
from collections.abc import Callable
from dataclasses import dataclass, replace
from io import BytesIO
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pikepdf
import pypdfium2
import pytest
from click.testing import CliRunner

from calc.archive.record import issue_rules
from calc.archive.record.status import APPROVAL, CONSTRUCTION, Status
from calc.archive.refusals import FailingIssue, MissingExtra, OpenVerdicts
from calc.chain import Run
from calc.cli import main
from calc.engine.sheet import Sheet
from calc.inputs.tables.construction import Construction, Quantities
from calc.package import package_pdf
from calc.site.plan.in_package import PlanPart, plan_part
from calc.site.plan.write_plan import make_plan, plan_pages
from tests.packages.scenario import alone
from tests.site.planned import PLAN, planned, planned_text
from tests.site.test_layout_laws import EXCLUSION
from tests.site.test_plan_pages import FAR, POINTS

SHORT = ('chainage = "0+000 to 0+100"', 'chainage = "0+000 to 0+024"')
FILE = PLAN.replace(PLAN[PLAN.index("[plan.line]"):PLAN.index("[[plan.area]]")],
                    '[plan.line]\nstart = "0+000"\nfile = "line.csv"\n\n')  # fmt: skip
CLOSE = ('clear_distance = "1.2 m"', 'clear_distance = "1.9 m"')


@dataclass(frozen=True)
class Bound:
    """A package with its plan, and the plan as a file of its own."""

    part: PlanPart
    package: bytes
    alone: bytes

    @property
    def behind(self) -> int:
        """The page of the drawing list, from 0."""
        return len(pypdfium2.PdfDocument(self.package)) - len(pypdfium2.PdfDocument(self.alone)) - 1


def run_of(folder: Path, *changes: tuple[str, str], plan: str = PLAN) -> Run:
    """A run whose only chapter is empty: its pages are few."""
    design = planned(folder, *changes, plan=plan)
    return Run(design, (alone(design.sections[0], Sheet(section="A", key="columns", title="Columns").finish()),))


@pytest.fixture(scope="module")
def bound(tmp_path_factory: pytest.TempPathFactory) -> Bound:
    run = run_of(tmp_path_factory.mktemp("bound"), SHORT)
    part = plan_part(run.design)
    assert part is not None
    assert part.made is not None
    package = package_pdf(run, b"{}", appendices=[part.appendix()])
    return Bound(part, package, plan_pages(run.design, part.made).pdf())


def texts(pdf: bytes) -> list[str]:
    return [" ".join(page.get_textpage().get_text_range().split()) for page in pypdfium2.PdfDocument(pdf)]


def test_the_pages_are_those_of_the_plan_with_numbers_of_the_package(bound: Bound) -> None:
    pages, own = texts(bound.package), texts(bound.alone)
    count = len(pages)

    for k, (page, text) in enumerate(zip(pages[bound.behind + 1 :], own, strict=True), start=bound.behind + 2):
        said = text.rpartition(" page ")[0] if " page " in text else text
        assert page == f"{said} page {k} of {count}"


def test_drawings_are_a3_and_tagged_and_stand_in_the_outline_and_the_contents(bound: Bound) -> None:
    with pikepdf.open(BytesIO(bound.package)) as pdf:
        sizes = [tuple(round(float(one) / 72 * 25.4) for one in page.mediabox[2:]) for page in pdf.pages]
        with pdf.open_outline() as outline:
            last = outline.root[-1]
            drawn = [one.title for one in last.children]
            pages = {name: pdf.pages.index(pikepdf.Page(place[0])) for name, place in _places(pdf)}
        alts = {str(one.get("/Alt")) for one in pdf.objects if isinstance(one, pikepdf.Dictionary)
                and one.get("/S") == "/Figure"}  # fmt: skip

    assert sizes[bound.behind] == (210, 297)
    assert set(sizes[bound.behind + 1 :]) == {(420, 297)}
    assert last.title == "Column plan: drawing list"
    assert drawn == ["Key plan", "Sheet 1: area A, 0+000 to 0+024", "Column plan: what can be checked"]
    assert pages["column-plan"] == bound.behind
    assert (pages["drawing-0"], pages["drawing-1"]) == (bound.behind + 1, bound.behind + 2)
    assert {"Key plan and list of the sheets of the column plan", "Sheet 1 of the column plan"} <= alts
    contents = next(page for page in texts(bound.package) if "Contents" in page)
    assert f"Column plan: drawing list . {bound.behind + 1}" in contents.replace(" . .", " .").replace(". . ", "")


def _places(pdf: pikepdf.Pdf) -> list[tuple[str, Any]]:
    names: Any = pdf.Root.Names.Dests.Names
    return [(str(names[k]), names[k + 1]) for k in range(0, len(names), 2)]


def test_the_drawing_list_names_plan_and_sheets_and_the_final_sheet_says_what_follows(bound: Bound) -> None:
    pages, made = texts(bound.package), bound.part.made
    assert made is not None
    page, listed = pages[bound.behind], made.listed

    assert f"{len(listed.columns)} columns" in page
    assert f"checksum {listed.checksum}" in page
    assert f"1 of 1 area A, section A, chainage 0+000 to 0+024 {len(listed.columns)} 1:" in page
    assert "PASS" in page
    assert "behind it follows only: Column plan: drawing list" in pages[bound.behind - 1]
    assert "nothing follows it" not in " ".join(pages)


def test_the_drawing_list_says_on_which_page_of_the_package_each_sheet_stands(bound: Bound) -> None:
    """As the numbers at the foot of these pages have it, which are given when the pieces are joined."""
    pages = texts(bound.package)
    listed = pages[bound.behind]
    with pikepdf.open(BytesIO(bound.package)) as pdf:
        at = {name: pdf.pages.index(pikepdf.Page(place[0])) + 1 for name, place in _places(pdf)}
    rows = [
        ("Key plan all sheets on their places, the drawing list [0-9]+", "drawing-0"),
        ("1 of 1 area A, section A, chainage 0\\+000 to 0\\+024 [0-9]+ 1:[0-9]+", "drawing-1"),
        ("Lines questions and answers, limitations, the lines by which the plan can be checked", "plan-lines"),
    ]

    for row, place in rows:
        found = re.search(f"{row} ([0-9]+)", listed)
        assert found, row
        assert int(found[1]) == at[place]
        assert pages[at[place] - 1].endswith(f"page {at[place]} of {len(pages)}")
    assert at["plan-lines"] == at["drawing-1"] + 1


def test_sheets_have_the_status_of_the_revision_beside_the_outcome(bound: Bound) -> None:
    revision = bound.part.design.project.revisions[-1]
    said = f"Outcome of the plan: pass. Status of revision {revision.label}: {revision.status}"

    assert said in texts(bound.alone)[0]
    assert said in texts(bound.alone)[1]


def test_open_and_failing_questions_are_named_with_their_numbers(tmp_path: Path) -> None:
    part = plan_part(planned(tmp_path, SHORT, CLOSE, FAR, plan=PLAN + POINTS))
    assert part is not None
    appendix = part.appendix()

    assert part.outcome == "fail"
    assert appendix.title == "Column plan: drawing list – fail"
    assert "Distance between two columns: <i>d</i><sub>clr</sub> = 1.900 m > <i>d</i><sub>min</sub> = " in appendix.body
    assert 'class="nowrap strong">not verified' in appendix.body
    assert "how far the calculation of the section covers it is not given" in appendix.body


def test_points_that_are_all_too_far_are_named(tmp_path: Path) -> None:
    limits = 'working_level = "0.50 m"\ndesign_longer = "20 m"\ndesign_shorter = "20 m"'
    far = ('source = "test"\n', 'source = "test"\ninvestigation_far = "0.001 m"\n')
    part = plan_part(planned(tmp_path, far, ('working_level = "0.50 m"', limits), plan=PLAN + POINTS))
    assert part is not None

    assert part.outcome == "incomplete"
    assert part.reason == "Every column lies farther from all investigation points than the project has it."
    assert part.reason in part.appendix().body


def test_a_plan_that_cannot_be_laid_out_is_named_wherever_the_folder_is(tmp_path: Path) -> None:
    parts = [plan_part(planned(tmp_path / name, plan=FILE)) for name in ("one", "two")]
    bodies = [part.appendix() for part in parts if part]

    assert bodies[0] == bodies[1]
    assert bodies[0].title == "Column plan: drawing list – not laid out"
    assert bodies[0].documents == ()
    assert "<li>line.csv:1:1: file: must be a file that can be read, got none</li>" in bodies[0].body
    assert [part.outcome for part in parts if part] == ["incomplete", "incomplete"]
    assert parts[0] is not None
    assert parts[0].reason == parts[0].words
    assert parts[0].words.startswith("The column plan cannot be laid out: line.csv:")


@pytest.fixture
def packaged(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., tuple[Any, list[Any]]]:
    """The command on a project, without chapters and pages; what it was to write stands in the list."""

    def run(*options: str, text: str = "") -> tuple[Any, list[Any]]:
        asked: list[Any] = []
        (tmp_path / "project.toml").write_text(text or planned_text(SHORT), encoding="utf-8")
        file = tmp_path / "package.pdf"

        def write(_run: Run, _out: Path, *more: Any) -> SimpleNamespace:
            *others, attached = more
            assert attached == []
            asked.append(others)
            return SimpleNamespace(pdf=file, results=file)

        def extract(*more: Any, **_more: Any) -> Path:
            asked.append(more)
            return file

        monkeypatch.setattr("calc.chain.run_checks", lambda design, *_more: replace(run_of(tmp_path / "run", SHORT),
                                                                                    design=design))  # fmt: skip
        monkeypatch.setattr("calc.package.write_package", write)
        monkeypatch.setattr("calc.package.write_extract", extract)
        return CliRunner().invoke(main, ["package", str(tmp_path), *options]), asked

    return run


def test_the_command_gives_the_plan_to_the_package_and_tells_of_it(
    packaged: Callable[..., tuple[Any, list[Any]]],
) -> None:
    result, [asked] = packaged()
    data, _ = packaged("--json")
    extract, [held] = packaged("--section", "A")
    none, [without] = packaged(text=planned_text(SHORT, plan=""))

    assert [one.title for one in asked[-1]] == ["Column plan: drawing list"]
    assert "Column plan P1: " in result.stdout
    assert "Outcome of the plan: pass." in result.stdout
    assert json.loads(data.stdout)["plan"]["outcome"] == "pass"
    assert "Column plan" not in extract.stdout
    assert not any(isinstance(one, list) and one and hasattr(one[0], "documents") for one in held)
    assert list(without[-1]) == []
    assert none.exit_code == result.exit_code == extract.exit_code == data.exit_code


def test_packages_that_are_missing_end_the_commands_before_anything_is_computed(
    packaged: Callable[..., tuple[Any, list[Any]]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "calc.site.plan.in_package", None)
    result, asked = packaged()

    assert (result.exit_code, asked) == (5, [])
    assert "pip install 'sandsleeve[site]'" in result.stderr
    with pytest.raises(MissingExtra, match="a package with a column plan"):
        issue_rules.plan_to_issue(planned(tmp_path / "other"), Status(APPROVAL))
    assert issue_rules.plan_to_issue(planned(tmp_path / "none", plan=""), Status(APPROVAL)) is None


@pytest.mark.parametrize(("changes", "plan", "status", "refusal"), [
    ((), PLAN, CONSTRUCTION, None),
    ((CLOSE,), PLAN, CONSTRUCTION, FailingIssue),
    ((CLOSE,), PLAN, APPROVAL, None),
    ((FAR,), PLAN + POINTS, APPROVAL, OpenVerdicts),
    ((CLOSE, FAR), PLAN + POINTS, APPROVAL, OpenVerdicts),
    ((FAR,), PLAN + POINTS, "for checking", None),
    ((), FILE, CONSTRUCTION, OpenVerdicts),
    ((), FILE, "for checking", None),
])  # fmt: skip
def test_no_plan_that_fails_is_for_construction_and_none_that_is_open_for_approval(
    tmp_path: Path, changes: tuple[tuple[str, str], ...], plan: str, status: str, refusal: type[Exception] | None
) -> None:
    run = run_of(tmp_path, SHORT, *changes, plan=plan)
    if refusal is None:
        issue_rules.plan_to_issue(run.design, Status(status))
        return
    with pytest.raises(refusal, match="column plan"):
        issue_rules.refuse_run(run, Status(status))


def test_the_sheets_are_set_in_pieces_that_hold_each_once(tmp_path: Path) -> None:
    design = planned(tmp_path)
    assert design.plan is not None
    pages = plan_pages(design, make_plan(design, design.plan))
    pieces = pages.pieces()
    shown = [piece.html.count('<div class="drawing"') for piece in pieces]

    assert sum(shown) == len(pages.pictures())
    assert shown[-1] == 0
    assert [piece.continues for piece in pieces] == [*shown[:-1], 1]
    assert all(('<div class="lines">' in piece.html) == (k == len(pieces) - 1) for k, piece in enumerate(pieces))


def test_other_number_of_columns_in_the_package_is_explained_where_it_is_counted(tmp_path: Path) -> None:
    part = plan_part(planned(tmp_path))
    assert part is not None
    construction = Construction.model_construct(quantities=Quantities.model_construct())
    counted = tuple(section.model_copy(update={"construction": construction}) for section in part.design.sections)
    other = replace(part, design=replace(part.design, sections=counted))

    assert [any("whole rows" in note for note in of._notes()) for of in (part, other)] == [False, True]


def test_columns_left_out_by_statement_stand_beside_the_outcome(tmp_path: Path) -> None:
    """A statement is no verdict: a plan that passes leaves ground to it, and says so where it says that it passes."""
    part = plan_part(planned(tmp_path, plan=PLAN + EXCLUSION))

    assert part is not None
    assert part.made is not None
    count = part.made.stated
    assert count > 0
    assert f"Columns left out by statement: {count};" in part.words
    told = CliRunner().invoke(main, ["plan", str(tmp_path), "--out", str(tmp_path / "plan")]).output
    assert f", with {count} columns left out by statement." in told.splitlines()[0]
