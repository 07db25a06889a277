"""The verdict table as text."""

import json

import pytest

from calc.engine.sheet import Limitation, Verdict
from calc.terminal import as_json, printable, verdict_record, verdict_table
from tests.cli.conftest import run_of

TENSION = Verdict(
    "ring", "Ring tension of the sleeve, format with a rather long name for narrow terminals", "fail",
    effect=94.0868, resistance=68.714, unit="kN/m", utilisation=1.36925, factor_set="EN 1997-1 DA2",
    case={"factor_set": "EN 1997-1 DA2", "stage": "4 Final", "layer": "soft clay 0.00–0.40 m"}, step="A/sleeve/-/F_Rd",
)  # fmt: skip
STRAIN = Verdict("strain", "Ring strain", "pass", effect=0.0454, resistance=0.06, unit="-", utilisation=0.7567)
OPEN = Verdict("settlement", "Settlement difference", "not verified", note="No limit is asked for. " * 6)
RUN = run_of(TENSION, STRAIN, OPEN)


@pytest.mark.parametrize("width", [20, 80, 93, 100, 300])
def test_lines_fit_the_terminal_and_never_exceed_100_columns(width: int) -> None:
    lines = verdict_table(RUN, width).splitlines()

    assert max(map(len, lines)) <= min(100, max(80, width))
    assert lines == [line.rstrip() for line in lines]


@pytest.mark.parametrize("mark", ["✗ fail", "✓ pass", "– not verified"])
def test_state_reads_without_colour(mark: str) -> None:
    table = verdict_table(RUN, 100)

    assert mark in table
    assert "\x1b" not in table


def test_row_has_numbers_unit_utilisation_and_case() -> None:
    table = verdict_table(RUN, 100)

    assert "94.09       68.71 kN/m         1.369" in table
    assert "stage “Final”, layer soft clay 0.00–0.40 m" in table
    assert "DA2; EN 1997-1 DA2" not in table, "the factor set stands once"


def test_row_has_the_unit_that_the_pages_show_and_no_row_of_zeros() -> None:
    """Permeability is kept in m/day and openings in m; nobody reads 0.0000 m/day and 0.0003 m."""
    seepage = Verdict("seepage", "Seepage", "pass", effect=1.67e-5, resistance=4.32e-5, unit="m/day", utilisation=0.386,
                      effect_symbol="v_pl", resistance_symbol="v_max")  # fmt: skip
    opening = Verdict("opening", "Opening", "pass", effect=0.00027, resistance=0.0049, unit="m", utilisation=0.056,
                      effect_symbol="O_eps", resistance_symbol="O_max")  # fmt: skip
    table = verdict_table(run_of(seepage, opening), 100)

    assert "1.933e-10   5.000e-10 m/s          0.386" in table
    assert "0.2700       4.900 mm           0.056" in table


@pytest.mark.parametrize("width", [80, 100])
def test_nothing_is_cut_off(width: int) -> None:
    words = verdict_table(RUN, width).split()

    for text in (TENSION.title, OPEN.note):
        assert [word for word in text.split() if word not in words] == []


def test_summary_counts_and_names_what_governs() -> None:
    *_, summary = verdict_table(RUN, 100).split("\n\n")

    assert " ".join(summary.split()) == (
        "Outcome: fail. Verdicts: 1 pass, 1 fail, 1 not verified. "
        f"Governing: {TENSION.title}, section A, utilisation 1.369."
    )


def test_record_is_the_run_unrounded() -> None:
    record = json.loads(as_json(verdict_record(RUN)))
    [check] = record["sections"][0]["checks"]

    assert record["outcome"] == "fail"
    assert record["governing"]["key"] == "ring"
    assert [verdict["utilisation"] for verdict in check["verdicts"]] == [1.36925, 0.7567, None]
    assert check["verdicts"][0]["case"] == dict(TENSION.case)


def test_record_has_the_limitations_of_each_chapter_with_the_verdicts_that_they_turn() -> None:
    run = run_of(TENSION, STRAIN)
    run.sections[0].sheets[0].limitations.append(Limitation("range", "Outside.", "project rule", ("strain",)))
    [check] = verdict_record(run)["sections"][0]["checks"]

    assert check["limitations"] == [
        {"key": "range", "text": "Outside.", "source": "project rule", "turns": ["strain"]},
    ]


def test_reason_that_open_verdicts_share_stands_once() -> None:
    alike = [Verdict(key, f"Question {key}", "not verified", note="No strength is given.") for key in "abc"]
    table = verdict_table(run_of(STRAIN, *alike, OPEN), 100)

    assert table.count("No strength is given.") == 1
    assert table.index("Question c") < table.index("No strength is given.") < table.index(OPEN.title)


def test_number_that_is_not_finite_is_refused() -> None:
    run = run_of(Verdict("x", "X", "fail", effect=float("inf"), utilisation=1.1))

    with pytest.raises(ValueError, match="JSON compliant"):
        as_json(verdict_record(run))


def test_text_of_a_project_cannot_steer_the_terminal() -> None:
    table = verdict_table(run_of(STRAIN, title="\x1b[2Jgone\r\x07"), 80)

    assert "\x1b" not in table
    assert "\r" not in table
    assert printable("Böschung – 1:2 ✓") == "Böschung – 1:2 ✓"


def test_what_is_not_required_is_told_from_what_is_not_verified() -> None:
    open_one = Verdict("a", "A", "not verified", note="No limit is given.", required=False)
    told = Verdict(
        "b", "B", "not verified", note="Utilisation 2.408, above 1 in 2 Lift 1.", required=False, informs=True
    )
    run = run_of(open_one, told, OPEN)
    table = verdict_table(run, 80)
    [check] = verdict_record(run)["sections"][0]["checks"]

    assert "– not required    A" in table
    assert "– not required    B" in table
    assert "0 pass, 0 fail, 1 not verified, 2 not required." in " ".join(table.split())
    assert [one["stamp"] for one in check["verdicts"]] == ["not required", "not required", "not verified"]
    assert {one["state"] for one in check["verdicts"]} == {"not verified"}
