"""The summary keeps to one page whatever a project holds, and the pages after it hold everything."""

from dataclasses import replace
from itertools import product
from pathlib import Path
from re import search

import numpy as np
import pytest

from calc.chain import CHAPTERS, Run, SectionRun
from calc.chapters.shared.positions import leave_to_others
from calc.engine.sheet import Sheet, Verdict
from calc.inputs import Section, read_design
from calc.numbering import listed_quantities
from calc.package import package_pdf
from calc.package.front import decisions, to_confirm
from calc.package.pages import Pages
from calc.package.questions import BESIDE, FACTS, QUESTIONS, Compared, Line, Required
from calc.package.summary import fitting, summary
from calc.package.supports import ASSUMPTIONS, Support
from tests.first_section import valley_edge
from tests.packages.conftest import Made
from tests.packages.reading import html_of, page_texts
from tests.packages.scenario import alone, write_project

VERDICTS = [Path(__file__).parents[2] / "docs" / "verdicts.md"]
LONG = "a verification with a name that is rather longer than what the table of a page likes to hold on one line"
REASON = "The reason for which it is left open takes several lines; it names what is missing and who has it. " * 2
CASE = {"stage": "3 Flood before the completion of the fill", "layer": "organic-clay 8.11–9.00 m", "position": "centre"}


def crowded(section: Section) -> SectionRun:
    """A section with much of everything that the summary may name."""
    sheet = Sheet(section=section.key, key="crowd", title="Crowded chapter")
    sheet.axis("factor_set", ("set 1", "set 2"))
    for k in range(12):
        size = {"unit": "kN/m²", "effect": 745.0 + k, "resistance": 700.0, "effect_symbol": "sigma_v0s"}
        sheet.verdicts.append(
            Verdict(f"fail{k}", f"Number {k} of {LONG}", "fail", utilisation=1.01 + k / 1000, case=CASE,
                    factor_set="EN 1997-1 DA1-2", resistance_symbol="sigma_v0s", **size)  # type: ignore[arg-type]
        )  # fmt: skip
        sheet.not_verified(f"open{k}", f"Open question {k} of {LONG}", f"{k}: {REASON}")
        sheet.not_verified(f"left{k}", f"Not asked {k} of {LONG}", f"{k}: {REASON}", required=False)
        sheet.settled(f"said{k}", f"Stated {k} of {LONG}", REASON)
        sheet.limitation(f"limit{k}", f"Limitation {k}: {REASON}")
        for stage in range(18):
            proof = f"proof {k}.{stage}: {REASON}"
            sheet.relies_on(f"Kind {k} of what the result rests on", f"stage {stage}: {k}", proof)
    others = [Sheet(section=section.key, key=f"more{k}", title=f"Another crowded chapter {k}") for k in range(12)]
    for k, other in enumerate(others):
        other.limitation(f"other{k}", f"Other limitation {k}: {REASON}")
    return alone(section, sheet, *others)


@pytest.fixture(scope="module")
def crowd(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    """The pages of a project of seven sections with long titles, all of them crowded."""
    title = "Section with a long title over the old channel and the meadows beyond it"
    folder = write_project(tmp_path_factory.mktemp("crowd"), sections=7, section_title=title)
    design = read_design(folder)
    run = Run(design, tuple(crowded(section) for section in design.sections))
    return page_texts(package_pdf(run, b"{}"))


def running(page: str, title: str) -> bool:
    """Whether a page belongs to a part by its running head."""
    return title in page.split("\n")


def test_summary_keeps_to_one_page_however_much_there_is(crowd: list[str]) -> None:
    (page,) = [page for page in crowd if running(page, "Summary")]
    shown = " ".join(page.split())

    for text in ("84 of 84 verifications by numbers fail", "1 more sections on page", "12 fail, 12 not verified",
                 "Main limitations", "Local codes, laws and the authority"):  # fmt: skip
        assert text in shown
    assert "…" not in shown


def test_pages_after_the_summary_hold_what_it_leaves_out(crowd: list[str]) -> None:
    text = " ".join(" ".join(crowd).split())

    for k in range(12):
        assert f"{1.01 + k / 1000:.3f}" in text
        assert f"proof {k}.5: The reason" in text
        assert f"{k}: The reason for which it is left open" in text
        assert f"Section A, B, C, D, E, F, G: Number {k} of a verification" in text


def test_summary_of_the_plain_scenario_is_one_page(package: Made) -> None:
    assert len([page for page in package.pages if running(page, "Summary")]) == 1


def test_summary_gives_state_questions_design_and_what_it_rests_on(package: Made) -> None:
    (page,) = [page for page in package.pages if running(page, "Summary")]
    shown = " ".join(page.split())

    for text in ("crest 7.20", "Global stability", "Strength of the sleeve, required of provided", "of 400.0 kN/m",
                 "Grid, diameter of columns triangular 2.00 m, 0.80 m", "Main limitations",
                 "on sources not inspected", "Answer the open exclusions and interfaces"):  # fmt: skip
        assert text in shown


def test_answer_of_a_section_is_its_worst_verification(package: Made) -> None:
    made = Pages(package.run)
    html_of(made)
    (shown,) = [
        row for row in summary(package.run, made.writers, made.verdicts, [], []).questions if row.title == "Sleeve"
    ]
    own = {one.key: one for _, sheet, one in package.run.verdicts() if sheet.key == "sleeve" and one.utilisation}
    worst = max(own.values(), key=lambda one: (one.state == "fail", (one.utilisation or 0) / one.limit))

    assert shown.answers[0].text == f"{worst.utilisation:.3f}"
    assert worst.title.startswith(shown.governing)


def test_positions_claim_no_more_than_was_looked_for(tmp_path: Path) -> None:
    """Slip surfaces are searched in the section alone; a toe has no design and no settlement of its own."""
    (tmp_path / "project.toml").write_text(valley_edge(), encoding="utf-8")
    design = read_design(tmp_path)
    parts = []
    for section in design.sections:
        sheet = Sheet(section=section.key, key="stability", title="Global stability")
        sheet.settled("stress_ratio", "Stress ratio", REASON)
        sheet.not_verified("global_stability", "Global stability", REASON, required=section.position is None)
        parts.append(alone(section, sheet))
        leave_to_others(sheet, section)
    made = Pages(Run(design, tuple(parts)))
    html_of(made)

    shown = summary(made.run, made.writers, made.verdicts, [], [])

    (row,) = [row for row in shown.questions if row.title == "Global stability"]
    assert [answer.text for answer in row.answers] == ["not verified", "not applicable", "not applicable"]
    assert (shown.sections, shown.designed) == (("V", "V.re", "V.rt"), ("V", "V.re"))
    assert {len(texts) for _, texts in shown.design} == {2}
    toe = Pages(Run(design, tuple(parts[2:])))
    html_of(toe)
    assert summary(toe.run, toe.writers, toe.verdicts, [], []).designed == ("V.rt",)


def test_settlement_beside_its_limit_is_that_of_the_method_nearest_to_it(tmp_path: Path) -> None:
    """The pair of the design is that of the largest utilisation above it: 450 of 600 is 0.75, 432 of 600 is not."""
    section = read_design(write_project(tmp_path)).sections[0]
    sheet = Sheet(section=section.key, key="unit_cell", title="Unit cell")
    for key, effect in (("settlement_total", 0.432), ("settlement_elastic_plastic", 0.450)):
        sheet.verdicts.append(
            Verdict(key, "Primary settlement", "pass", effect=effect, resistance=0.6, utilisation=effect / 0.6,
                    unit="mm", effect_symbol="s", resistance_symbol="s_lim")
        )  # fmt: skip
    made = Pages(Run(read_design(tmp_path), (alone(section, sheet),)))
    html_of(made)

    shown = dict(summary(made.run, made.writers, made.verdicts, [], []).design)

    assert shown["Primary settlement, of its limit"] == ("450.0 of 600.0 mm",)


def test_names_in_the_questions_are_those_of_chapters_lines_and_verdicts() -> None:
    chapters = {chapter.key for chapter in CHAPTERS}
    stored = "".join(file.read_text(encoding="utf-8") for file in VERDICTS)
    lines = {f"{chapter}/{name}" for chapter in chapters for name in listed_quantities(chapter)}

    assert {key for _, keys in QUESTIONS for key in keys} == chapters
    assert all(f"`{key}`" in stored for key in BESIDE)
    for fact in FACTS:
        match fact:
            case Compared():
                assert all(f"`{key}`" in stored for key in fact.verdicts)
            case Line():
                assert set(fact.lines) <= lines
            case Required():
                symbols = {name.rpartition("/")[2] for name in listed_quantities(fact.chapter)}
                assert {fact.required, fact.provided} <= symbols


@pytest.mark.parametrize(
    ("texts", "room", "kept"), [(["ab", "cd", "ef"], 4, 2), (["abcdef", "g"], 3, 1), ([], 3, 0), (["ab"], 9, 1)]
)
def test_what_has_room_is_kept_whole(texts: list[str], room: int, kept: int) -> None:
    assert fitting(texts, room) == texts[:kept]


def test_what_fits_is_counted_in_whole_lines() -> None:
    assert fitting(["a" * 11, "b", "c"], 30, 10) == ["a" * 11, "b"]


def test_assumptions_decisions_and_proofs_are_named_and_those_left_out_counted(package: Made, crowd: list[str]) -> None:
    (page,) = [page for page in package.pages if running(page, "Summary")]
    (full,) = [page for page in crowd if running(page, "Summary")]
    supports = [Support("Kind 1", "text", "proof", "all"), Support("Kind 2", "text", "", "all"),
                Support("Kind 1", "more", "", "A"), Support(ASSUMPTIONS, "text", "owner", "all")]  # fmt: skip
    assumed = [f"{assumption.owner} to confirm: {assumption.text}" for assumption in package.run.design.assumptions]

    assert list(to_confirm(package.run, supports)) == [*assumed, "Proof: Kind 1.", "Decision: Kind 2."]
    assert "to confirm:" in page
    assert "Proof: " in page
    assert search(r"and \d+ more, see page \d+", " ".join(full.split()))


def test_more_than_a_few_open_verifications_are_named_and_the_rest_counted(package: Made) -> None:
    made = Pages(package.run)
    html_of(made)
    one = next(view for view in made.verdicts if view.utilisation == "–")
    views = [replace(one, state="not verified", required=True, title=f"question {k}") for k in range(5)]

    *_, text = decisions(package.run, views)
    *_, few = decisions(package.run, views[:3])

    assert text.endswith("what is not verified: question 0; question 1; question 2; 2 more.")
    assert few.endswith("what is not verified: question 0; question 1; question 2.")


def test_proofs_of_what_the_result_rests_on_stand_on_their_page(package: Made) -> None:
    shown = " ".join(
        " ".join(page for page in package.pages if running(page, "Decisions, proofs, open matters")).split()
    )

    assert "vane tests, invented; no hold point is given for this stage" in shown
    assert "readings of pore pressure and settlement; no hold point" in shown
    assert "trial pit before installation begins" in shown
    assert "decision of the designer" in shown


def test_run_that_rests_on_nothing_says_nothing_of_it(tmp_path: Path) -> None:
    design = replace(read_design(write_project(tmp_path)), assumptions=())
    shown = []
    for texts in ((), ("stage 1",)):
        sheets = [Sheet(section=section.key, key="none", title="None") for section in design.sections]
        for sheet, text in product(sheets, texts):
            sheet.relies_on("A decision", text, "a proof")
        parts = tuple(alone(section, sheet) for section, sheet in zip(design.sections, sheets, strict=True))
        shown.append("Decisions and proofs that the results rely on" in html_of(Pages(Run(design, parts))))

    assert shown == [False, True]


def test_a_value_that_a_line_does_not_have_says_why(tmp_path: Path) -> None:
    """No date of hand-over where the ground below the toes counts too."""
    design = read_design(write_project(tmp_path))
    sheet = Sheet(section=design.sections[0].key, key="consolidation", title="Consolidation")
    scope = sheet.scope("residual", "Residual settlement")
    scope.reading("t_res", float("nan"), title="Date", mask=np.array(True), reason="the ground below counts too")
    made = Pages(Run(design, (alone(design.sections[0], sheet),)))
    html_of(made)

    shown = dict(summary(made.run, made.writers, made.verdicts, [], []).design)

    assert [text for title, text in shown.items() if "earliest hand-over" in title] == [
        ("the ground below counts too",)
    ]
