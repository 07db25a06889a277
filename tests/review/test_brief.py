"""The blind check: a brief without results, own values that come back, a sheet that compares."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest
import tomlkit
from click.testing import CliRunner, Result

from calc.cli import main
from calc.engine.symbols import NOMENCLATURE
from calc.package import package_pdf
from calc.package.results import results, results_text
from calc.review.blind_check import unit_asked, verifications
from calc.review.brief import Brief, brief
from calc.review.brief import form as written_form
from calc.review.own_values import comparison, read_form, take_own_values
from calc.review.refused import OtherRun, RefusedFile, ReviewError
from calc.review.standing_printed import checked_run, review_text
from tests.packages.reading import page_texts
from tests.review.scenario import HOSTILE, Case, case_of, contents, write_project
from tests.review.test_package_marks import first_chapters

Change = Callable[[tomlkit.TOMLDocument], None]
TENSION = "T/sleeve/ring_tension_iso"


@pytest.fixture(scope="module")
def made(plain: Case) -> Brief:
    return brief(plain.run)


def filled(made: Brief, change: Change | None = None, **values: dict[str, str | float]) -> bytes:
    """The form with own values for some of its results."""
    form = tomlkit.parse(made.form)
    form["checker"]["date"] = "2025-06-01"
    form["checker"]["method"] = "Hand calculation."
    for one in form["result"]:
        one.update(values.get(one["key"].rpartition("/")[2], {}))
    if change:
        change(form)
    return tomlkit.dumps(form).encode()


TENSION_VALUES: dict[str, str | float] = {"effect": "89.4 kN/m", "resistance": "70000 N/m", "tolerance": 1.0}


def take(case: Case, content: bytes) -> None:
    take_own_values(case.folder, case.run, content, "form.toml")


def test_brief_and_form_hold_no_result(plain: Case, made: Brief) -> None:
    text = re.sub(r"\s+", " ", " ".join(page_texts(made.pdf)) + made.form)
    inputs = " ".join(found.text for found in plain.run.design.provenance.values())
    steps = [
        step for section in results(plain.run)["sections"] for check in section["checks"] for step in check["steps"]
    ]
    shown = {
        number
        for step in steps if step["kind"] != "given"
        for number in re.findall(r"\d+\.\d{2,}", step["shown"][step["symbol"]])
    }  # fmt: skip
    told = {number for number in shown if number in text and number not in inputs}
    cases = (verdict.case for _, verdict in verifications(plain.run))
    governing = {case["layer"] for case in cases if "layer" in case}

    assert len(shown) > 150
    assert told == set()
    assert not any(label in text for label in governing)
    assert not re.search(r"\b(fails?|passe?s|utilisation)\b", text)
    assert plain.run.design.project.purpose not in text


def test_brief_holds_inputs_ground_loads_and_questions(plain: Case, made: Brief) -> None:
    text = re.sub(r"\s", "", "".join(page_texts(made.pdf)))

    for words in (
        "13.8 kN/m^3", "Ground: layers", "Loads: traffic", "section.T.embankment.height", "2025-031-G-001",
        "The project file names no drawing.", "Ring tension of the sleeve, format of ISO/TS 20432",
        "the worst over every factor set, every stage, every stiffness, every point, every layer",
        "design value of the ring tension, in kN/m",
    ):  # fmt: skip
        assert words.replace(" ", "") in text, words


def test_form_names_what_is_asked(plain: Case, made: Brief) -> None:
    form = tomlkit.parse(made.form)

    assert [one["key"] for one in form["result"]] == [one.key for one, _ in verifications(plain.run)]
    assert {one[name] for one in form["result"] for name in ("effect", "resistance", "case", "tolerance")} == {""}
    assert form["tolerance"] == ""


def test_own_values_are_compared(case: Case, made: Brief) -> None:
    """89.4 kN/m against 89.479 and 70 kN/m against 68.714: +0.09 % and −1.84 %, calculated by hand."""
    take(case, filled(made, ring_tension_iso=TENSION_VALUES, settlement_total={"effect": "0.4 m", "tolerance": 10.0}))
    sheet = comparison(case.folder, case.run)

    assert sheet is not None
    rows = {(row.asked.split(": ")[1].split(";")[0][:12], row.own): row for row in sheet.rows if row.own}
    found = [(row.own, row.printed, row.deviation, row.tolerance, row.judgement) for row in rows.values()]
    assert found == [
        ("0.4 m", "432.5 mm", "+8.12 %", "10 %", "within"),
        ("89.4 kN/m", "89.48 kN/m", "+0.09 %", "1 %", "within"),
        ("70000 N/m", "68.71 kN/m", "−1.84 %", "1 %", "outside"),
    ]
    assert sheet.summary.startswith("3 own values: 2 within their tolerance, 1 outside; ")
    assert sorted(contents(case.folder)) == ["project.toml", "review/independent/A.json"]


def test_general_tolerance_counts_where_none_is_given(case: Case, made: Brief) -> None:
    values = TENSION_VALUES | {"tolerance": ""}
    take(case, filled(made, lambda form: form.update({"tolerance": 5}), ring_tension_iso=values))
    sheet = comparison(case.folder, case.run)

    assert sheet is not None
    assert {row.judgement for row in sheet.rows if row.own} == {"within"}


def test_tolerance_is_no_default(case: Case, made: Brief) -> None:
    with pytest.raises(RefusedFile, match=r"result\[2\]\.tolerance: must be given in per cent"):
        take(case, filled(made, ring_tension_iso=TENSION_VALUES | {"tolerance": ""}))


REFUSED: list[tuple[str, object, str]] = [
    ("effect", "94.0", "result[2].effect: must be a number, a space and a unit that converts to kN/m"),
    (
        "effect",
        "94.0 kPa",
        'result[2].effect: must be a number, a space and a unit that converts to kN/m, got "94.0 kPa"',
    ),
    ("effect", 94.0, "result[2].effect: must be a valid string, got 94.0"),
    ("tolerance", -1.0, "result[2].tolerance"),
    ("case", "x" * 301, "result[2].case: must have at most 300 characters"),
    ("key", "T/none", "result[2].key: must be one that is asked for, got 'T/none'"),
    ("key", "T/unit_cell/settlement_total", "result: must hold each key once at most"),
    ("surprise", 1, "result[2].surprise: must not be there"),
]


@pytest.mark.parametrize(("name", "value", "words"), REFUSED)
def test_wrong_own_value_is_refused_in_words(case: Case, made: Brief, name: str, value: object, words: str) -> None:
    def change(form: tomlkit.TOMLDocument) -> None:
        form["result"][2][name] = value

    with pytest.raises(RefusedFile, match=re.escape(words)):
        take(case, filled(made, change, ring_tension_iso=TENSION_VALUES))
    assert sorted(contents(case.folder)) == ["project.toml"]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda form: form.update({"format": 2}), "format: must be 1"),
        (
            lambda form: form["checker"].update({"name": "Femi Marsh"}),
            "checker.name: must be the checker of",
        ),
        (lambda form: form["checker"].update({"method": ""}), "checker.method: must be a text that says something"),
        (lambda form: form["checker"].update({"date": "soon"}), "checker.date"),
        (lambda form: form["result"].clear(), "result: must hold one own value at least"),
    ],
)
def test_wrong_form_is_refused_in_words(case: Case, made: Brief, change: Change, words: str) -> None:
    with pytest.raises(RefusedFile, match=re.escape(words)):
        take(case, filled(made, change, ring_tension_iso=TENSION_VALUES))
    assert sorted(contents(case.folder)) == ["project.toml"]


@pytest.mark.parametrize("content", [b"\xff", b"= 1", b"a = nan", b"a = " + b"[" * 5000, b"", b"x = 1\n" * 900_000])
def test_what_is_no_form_is_refused(content: bytes) -> None:
    with pytest.raises(RefusedFile, match=r"^form\.toml: "):
        read_form(content, "form.toml")


def test_form_of_other_inputs_is_refused_and_old_values_are_not_compared(case: Case, made: Brief) -> None:
    form = filled(made, ring_tension_iso=TENSION_VALUES)
    take(case, form)
    change = ('settlement_total = "0.60 m"', 'settlement_total = "0.70 m"')
    after = case_of(write_project(case.folder, "A", "B", change=change))
    sheet = comparison(after.folder, after.run)

    assert sheet is not None
    assert sheet.rows == ()
    assert "inputs of revision A, which are no longer those of this calculation" in sheet.outdated
    with pytest.raises(OtherRun, match=r"form\.toml: belongs to another brief"):
        take(after, form)


def test_own_values_hold_for_a_revision_with_the_same_inputs(case: Case, made: Brief) -> None:
    take(case, filled(made, ring_tension_iso=TENSION_VALUES))
    after = case_of(write_project(case.folder, "A", "B"))
    sheet = comparison(after.folder, after.run)

    assert sheet is not None
    assert len([row for row in sheet.rows if row.own]) == 2
    assert sheet.by == "Edda Quill, 2025-06-01, on the brief of revision A"


def test_own_values_are_not_exchanged_for_others_once_they_are_compared(case: Case, made: Brief) -> None:
    form = filled(made, ring_tension_iso=TENSION_VALUES)
    take(case, form)
    take(case, form)
    with pytest.raises(ReviewError, match="other own values for this brief are taken in already, by Edda Quill"):
        take(case, filled(made, ring_tension_iso=TENSION_VALUES | {"effect": "1 kN/m"}))
    sheet = comparison(case.folder, case.run)

    assert sheet is not None
    assert "1 kN/m" not in [row.own for row in sheet.rows]


def test_deviation_from_zero_is_no_percentage(case: Case, made: Brief) -> None:
    take(case, filled(made, ring_tension_iso=TENSION_VALUES | {"effect": "0 kN/m"}))
    sheet = comparison(case.folder, case.run)

    assert sheet is not None
    assert next((row.deviation, row.judgement) for row in sheet.rows if row.own) == ("from zero", "outside")


@pytest.mark.parametrize(("number", "words"), [("0.045", ""), ("4.5 %", "must be a plain number without a unit")])
def test_plain_numbers_have_no_unit(case: Case, made: Brief, number: str, words: str) -> None:
    form = filled(made, ring_strain={"effect": number, "tolerance": 5.0})
    if words:
        with pytest.raises(RefusedFile, match=words):
            take(case, form)
    else:
        take(case, form)
        assert comparison(case.folder, case.run) is not None


@pytest.mark.slow
def test_package_prints_the_comparison_as_text(case: Case, made: Brief) -> None:
    def hostile(form: tomlkit.TOMLDocument) -> None:
        form["checker"]["method"] = HOSTILE

    take(case, filled(made, hostile, ring_tension_iso=TENSION_VALUES | {"case": "stage <b>4</b>"}))
    sheet = checked_run(case.folder, case.run)
    short = first_chapters(case)
    pdf = package_pdf(short.run, results_text(short.run).encode(), checked=sheet)
    text = re.sub(r"\s+", " ", "\n".join(page_texts(pdf)))

    assert "Independent check" in text
    assert "Method: </script><script>alert(1)</script> {{ 7 * 7 }}" in text
    assert "stage <b>4</b>" in text
    assert "−1.84 %" in text
    assert "outside" in text
    assert b"own_values" in review_text(case.folder, case.run.design)


def command(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


def test_command_writes_brief_and_form_and_takes_the_form(case: Case, tmp_path: Path, made: Brief) -> None:
    written = command("brief", case.folder, "--out", tmp_path / "there")
    form = tmp_path / "form.toml"
    form.write_bytes(filled(made, ring_tension_iso=TENSION_VALUES))
    both = command("brief", case.folder, "--take", form, "--out", tmp_path)
    taken = command("brief", case.folder, "--take", form)
    form.write_text("x")
    wrong = command("brief", case.folder, "--take", form)

    assert [written.exit_code, both.exit_code, taken.exit_code, wrong.exit_code] == [0, 2, 0, 3]
    assert sorted(contents(tmp_path / "there")) == ["brief.pdf", "own-values.toml"]
    assert (tmp_path / "there" / "own-values.toml").read_text() == made.form
    assert taken.stdout.startswith("2 own values: 1 within their tolerance, 1 outside; ")
    assert wrong.stderr.startswith(f"Error: {form}: must be a TOML file: ")


def test_titles_of_a_project_stay_one_line_in_the_form(tmp_path: Path) -> None:
    case = case_of(write_project(tmp_path, change=('document = "2025-031-GEO-C-002"', r'document = "x\"\\ [a]\n= 1"')))
    questions = {one.key: one for one, _ in verifications(case.run)}
    form = tomlkit.parse(written_form(case.run, questions, "0" * 64))

    assert form["document"] == 'x"\\ [a]\n= 1'
    assert "a" not in form


def test_plain_number_is_asked_for_where_a_project_file_has_no_unit() -> None:
    units = {shown: unit_asked(name) for name, one in NOMENCLATURE.items() for shown in [one.shown]}

    assert (units["kN/m"], units["mm"], units["day"], units["deg"]) == ("kN/m", "mm", "d", "deg")
    assert (units["-"], units["%"], units["mPa*s"]) == ("", "", "")
