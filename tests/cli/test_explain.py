"""Fields, tables, verdicts and symbols explain themselves; an unknown name is wrong usage."""

from collections.abc import Callable

import pytest
from click.testing import Result

from calc.engine.symbols import NOMENCLATURE
from calc.inputs.reading.field_list import fields_by_path, tables_by_path
from calc.terminal.descent import descent, descent_text
from calc.terminal.explanation import SILENT, explanation

Command = Callable[..., Result]


def told(name: str) -> str:
    """An explanation on one line."""
    return " ".join(explanation(name, 100).split())


def test_a_field_says_what_it_is_and_what_descends_from_it(command: Command) -> None:
    text = " ".join(command("explain", "layer.E_oed_ref").stdout.split())

    assert "layer.E_oed_ref: field of the project file Oedometer modulus at the reference stress." in text
    assert "Unit or form: kPa, greater than 0 and at most 100000000." in text
    assert "Usual: 100 kPa to 20 MPa (common practice, no source)" in text
    assert 'Mandatory: there is no default. Example: E_oed_ref = "600 kPa"' in text
    assert "Acts in: Ground as E_ref" in text
    assert "settlement_total" in text


def test_a_default_is_told() -> None:
    assert 'May be left out; default: sublayer_max = "1 m".' in told("sublayer_max")


def test_a_verdict_says_what_it_compares_and_descends_from() -> None:
    text = told("settlement_total")

    assert "settlement_total: verdict of Unit cell" in text
    assert "Compares: s ≤ s_lim." in text
    assert "Limit: basis.limits.settlement_total." in text
    assert "columns: spacing, diameter" in text


def test_a_symbol_says_its_meaning_formulas_and_fields() -> None:
    text = told("ψ_2")

    assert "ψ_2: symbol Quasi-permanent share of the traffic load." in text
    assert "Read from: basis.psi_2." in text
    assert told("psi_2").endswith(text)
    assert "EBGEO (2010)" in told("F_R,d")


def test_a_table_lists_its_fields() -> None:
    text = told("slip")

    assert text.startswith("[slip]: table of the project file")
    assert "min_depth: Least depth" in text
    assert "[slip.crack]: " in text
    assert "[sleeve.factors.A1]: table of the project file Creep." in told("A1")


def test_a_name_of_many_fields_lists_their_paths() -> None:
    assert "sleeve.factors.A1.value: Value; at least 1." in told("value")


@pytest.mark.parametrize(
    ("name", "text"),
    [("columns.spaceing", "near: columns.spacing"), ("ring_tensoin", "ring_tension"), ("zzzz", "zzzz.")],
)
def test_an_unknown_name_is_wrong_usage_with_near_ones(command: Command, name: str, text: str) -> None:
    result = command("explain", name)

    assert result.exit_code == 2
    assert text in " ".join(result.stderr.split())
    assert result.stdout == ""


def test_everything_that_has_a_name_is_explained() -> None:
    names = [*fields_by_path(), *tables_by_path(), *(key for _, key in descent().verdicts), *NOMENCLATURE]

    assert [name for name in names if not explanation(name, 100)] == []


def test_what_descends_is_what_mechanics_says() -> None:
    """The tension of the sleeve hangs on load, grid, fill and soil, not on the embankment's strength or on limits."""
    cell = descent().verdicts["sleeve", "ring_tension"].fields
    settlement = descent().verdicts["unit_cell", "settlement_total"].fields

    assert {
        "embankment.gamma",
        "traffic.q",
        "columns.spacing",
        "columns.fill.phi",
        "layer.phi",
        "sleeve.stiffness.J",
    } <= cell
    assert not {"embankment.phi", "basis.limits.ring_strain", "layer.c_u", "layer.c_h"} & cell
    assert {"layer.E_oed_ref", "basis.limits.settlement_total"} <= settlement
    assert {path for path, by in descent().reads.items() if ("unit_cell", "s_lim") in by} == {
        "basis.limits.settlement_total"
    }


def test_every_field_of_the_record_is_one_of_the_file() -> None:
    assert set(descent().reads) <= set(fields_by_path())


def test_a_text_has_no_number_in_the_record() -> None:
    assert SILENT in told("project.title")


def test_the_data_are_written_as_they_are_read() -> None:
    from calc.terminal.descent import FILE

    assert descent_text(descent()) == FILE.read_text(encoding="utf-8")
