"""The table [vary]: each mistake in one line."""

import random
import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from calc.formulas.reliability import lognormal_spread
from calc.inputs import Design, InputErrors, read_design
from calc.inputs.reading.starter import starter_project
from calc.inputs.tables.vary import VariedInput
from calc.inputs.tables.vary_rules import correlation_matrix, layer_field, log_moments, spread_of
from tests.inputs.test_mutations import JARGON, LINE, VALUES, change_sign, drop_line, move_line

Refused = Callable[..., list[str]]

AT = "[[section]]\n"
STRENGTH = {"path": '"layer.peat.c_u"', "distribution": '"lognormal"', "mean": '"15 kPa"', "cov": "0.2",
            "source": '"vane tests"'}  # fmt: skip
STATE = '\n[[vary.limit_state]]\nverdict = "sleeve/ring_tension"\n'


def table(*inputs: dict[str, str], head: str = "", more: str = "", state: str = STATE) -> tuple[str, str]:
    """The starter with a table [vary] before its sections."""
    lines = ["[vary]", head]
    for one in inputs:
        lines += ["", "[[vary.input]]", *(f"{key} = {value}" for key, value in one.items())]
    return AT, "\n".join(lines) + "\n" + more + state + "\n" + AT


def strength(**changes: str | None) -> dict[str, str]:
    """The input of the tests with changes; None takes a key out."""
    return {key: value for key, value in (STRENGTH | changes).items() if value is not None}


def bounded(kind: str, **changes: str | None) -> dict[str, str]:
    given = {"distribution": f'"{kind}"', "mean": None, "cov": None, "least": '"10 kPa"', "most": '"0.02 MPa"'}
    return strength(**(given | changes))


GRID = {"path": '"columns.spacing"', "least": '"1.7 m"', "most": '"1.9 m"', "source": '"tolerance"'}
THICKNESS = {"path": '"layer.peat.thickness"', "least": '"2.4 m"', "most": '"2.6 m"', "source": '"borings"'}
STIFF = strength(path='"layer.peat.E_oed_ref"', mean='"750 kPa"')
SUBLAYERS = {"vertical": '"sublayers"', "correlation_length": '"0.8 m"'}
BY_SUBLAYER, STIFF_BY_SUBLAYER = strength(**SUBLAYERS), STIFF | SUBLAYERS
CORRELATION = '\n[[vary.correlation]]\nbetween = ["layer.peat.c_u", "layer.peat.E_oed_ref"]\nrank = {}\nsource = "x"\n'


def test_a_table_is_read_in_the_units_inside(read: Callable[..., Design]) -> None:
    pert = bounded("pert", path='"layer.peat.E_oed_ref"', mode='"15000 N/m^2"', most='"1 MPa"')
    vary = read(table(GRID, strength(), pert, more=CORRELATION.format(0.5))).vary

    assert vary is not None
    assert (vary.seed, vary.points, vary.replicates) == (1, 4096, 16)
    mode = vary.inputs[2].mode
    assert mode is not None
    assert mode.value == pytest.approx(15.0)
    assert [one.path for one in vary.with_distributions] == ["layer.peat.c_u", "layer.peat.E_oed_ref"]
    matrix = correlation_matrix(vary)
    assert matrix[0, 1] == matrix[1, 0] == pytest.approx(2 * np.sin(np.pi / 12))
    assert spread_of(vary.inputs[1]) == pytest.approx(3.0)


def test_without_the_table_nothing_is_varied(read: Callable[..., Design]) -> None:
    assert read().vary is None


def test_moments_of_a_logarithm_give_back_those_of_the_variable() -> None:
    centre, spread = log_moments(15.0, 3.0)

    assert np.exp(centre + spread**2 / 2) == pytest.approx(15.0)
    assert np.sqrt(np.expm1(spread**2)) * 15.0 == pytest.approx(3.0)
    assert spread == pytest.approx(float(lognormal_spread(3.0 / 15.0)), rel=1e-12)  # the recorded formula


@pytest.mark.parametrize(
    ("inputs", "message"),
    [
        ([strength(), strength()], "vary.input[2].path: must be used once only"),
        ([strength(path='"layer.peat.x"')], "path: must name a number that section A gives"),
        ([strength(path='"columns.pattern"')], "path: must name a number that section A gives"),
        ([strength(path='"layer.peat.K_0"', mean="0.5")], "path: must name a number that section A gives"),
        ([strength(path='"traffic.load"')], "path: must name a number that section A gives"),
        (
            [strength(distribution=None, mean=None, cov=None, most='"20 kPa"')],
            "least: must be given without d",
        ),
        ([strength(mean=None)], 'mean: must be given with distribution = "lognormal", got nothing'),
        ([strength(sd='"3 kPa"')], "cov: must be given, or sd, but not both"),
        ([strength(cov=None)], "cov: must be given, or sd, but not both"),
        ([strength(cov=None, sd='"0 kPa"')], "sd: must be greater than 0"),
        ([strength(mode='"14 kPa"')], 'mode: must be left out with distribution = "lognormal"'),
        ([strength(least='"10 kPa"')], "most: must be given where the other end of the range is, got nothing"),
        ([strength(most='"10 kPa"')], "least: must be given where the other end of the range is, got nothing"),
        ([strength(mean='"0 kPa"')], "mean: must be greater than 0"),
        ([strength(mean='"15 kN"')], "mean: must have a unit that converts to kPa"),
        ([strength(mean="15")], "mean: must have a unit that converts to kPa"),
        ([strength(mean='"design"')], "mean: must be a number, a space and the unit of the input"),
        ([strength(distribution='"normal"')], "distribution: must give values that the input takes (greater than 0"),
        ([strength(cov="3", mean='"2000 kPa"')], "distribution: must give values that the input takes"),
        ([bounded("uniform", most='"10 kPa"')], "most: must be greater than least"),
        ([bounded("uniform", least='"-1 kPa"')], "least: must be a value that the input takes: greater than 0 kPa"),
        ([bounded("pert", mode='"9 kPa"')], "mode: must lie between least and most"),
        ([bounded("triangular")], 'mode: must be given with distribution = "triangular", got nothing'),
        ([bounded("data", file='"../c.csv"', column='"c"')], "file: must be the name of a file beside project.toml"),
        (
            [bounded("data", file='"c.csv"', unit='"kPa"')],
            'column: must be given with distribution = "data"',
        ),
        ([bounded("data", file='"c.csv"', column='"c"')], "unit: must be given: the input converts to kPa"),
        ([bounded("data", file='"c.csv"', column='"c"', unit='"m"')], "unit: must be a unit that converts to kPa"),
        ([strength(correlation_length='"1 m"')], "averaging_length: must be given with correlation_length"),
        ([strength(averaging_length='"1 m"')], "correlation_length: must be given with averaging_length"),
        ([strength(averaging_length='"1 m"', correlation_length='"0 m"')], "correlation_length: must be a length"),
        ([strength(averaging_length='"1 kPa"', correlation_length='"1 m"')], "averaging_length: must be a length"),
        ([strength(averaging_length='"1 mm"', correlation_length='"1 m"')], "averaging_length: must be at least 0.01"),
        ([bounded("uniform", correlation_length='"1 m"')], "correlation_length: must be left out: an average"),
        ([strength(vertical='"sublayers"')], 'correlation_length: must be given with vertical = "sublayers", got noth'),
        ([strength(vertical='"both"')], 'vertical: must be one of "layer", "sublayers"'),
        ([strength(**SUBLAYERS, averaging_length='"1 mm"')], "averaging_length: must be at least 0.01"),
        ([strength(**(SUBLAYERS | {"correlation_length": '"0 m"'}))], "correlation_length: must be a length greater"),
        ([bounded("uniform", **SUBLAYERS, averaging_length='"1 m"')], "averaging_length: must be left out: an average"),
        (
            [GRID | SUBLAYERS | {"distribution": '"uniform"'}],
            'path: must be layer.KEY.FIELD with vertical = "sublayers", a number of a soft layer, and none of th',
        ),
        ([BY_SUBLAYER, THICKNESS], "vary.input[2].path: must not be varied where layer peat has values by sublayer"),
    ],
)
def test_a_wrong_input_is_refused(inputs: list[dict[str, str]], message: str, refused: Refused) -> None:
    lines = refused(table(*inputs))

    assert any(message in line for line in lines), lines
    assert len(lines) == 1 or "mean" in message, lines


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"head": "points = 1000"}, "vary.points: must be a power of two"),
        ({"head": 'sections = ["Z"]'}, "vary.sections[1]: must name a section (A)"),
        ({"head": 'sections = ["A", "A"]'}, "vary.sections[2]: must be used once only"),
        ({"more": CORRELATION.format(0.5) * 2}, "vary.correlation[2].between: must be a pair that is given once only"),
        ({"more": CORRELATION.format(0.9999999)}, "vary.correlation: must make a positive definite matrix"),
        ({"more": CORRELATION.format(1.0)}, "vary.correlation[1].rank: must be greater than -1 and less than 1"),
        ({"more": CORRELATION.format(0.5).replace("c_u", "phi")}, "must name two inputs with distributions ("),
        ({"state": STATE + "target = 3.8\n"}, "vary.limit_state[1].source: must be given with target, got nothing"),
        ({"state": STATE + 'reliability_class = "RC2"\n'}, "target: must be given with reliability_class, got nothing"),
        ({"state": STATE + STATE}, "vary.limit_state[2].verdict: must be used once only"),
    ],
)
def test_a_wrong_table_is_refused(change: dict[str, str], message: str, refused: Refused) -> None:
    [line] = refused(table(strength(), STIFF, **change))

    assert message in line


def test_values_by_sublayer_are_read(read: Callable[..., Design]) -> None:
    averaged = STIFF_BY_SUBLAYER | {"averaging_length": '"0.8 m"'}
    vary = read(table(GRID, BY_SUBLAYER, averaged, bounded("pert", path='"layer.peat.phi"', least='"18 deg"',
                      mode='"22 deg"', most='"26 deg"', **SUBLAYERS))).vary  # fmt: skip

    assert vary is not None
    assert [one.path for one in vary.by_sublayer] == ["layer.peat.c_u", "layer.peat.E_oed_ref", "layer.peat.phi"]
    assert [layer_field(one.path) for one in vary.inputs[:2]] == [("", ""), ("peat", "c_u")]


def test_what_has_a_range_alone_has_no_values_by_sublayer(refused: Refused) -> None:
    ranged = {"path": '"layer.peat.c_u"', "least": '"9 kPa"', "most": '"20 kPa"', "source": '"x"'} | SUBLAYERS

    lines = refused(table(ranged))

    assert any('distribution: must be given with vertical = "sublayers", got nothing' in line for line in lines)
    assert all("vary.input[1]" in line for line in lines)


def test_growth_and_strength_by_sublayer_do_not_vary_together(refused: Refused) -> None:
    growth = {"path": '"layer.peat.c_u_growth"', "least": '"0.5 kPa/m"', "most": '"1 kPa/m"', "source": '"x"'}
    given = ('c_u = "15 kPa"\nE_oed', 'c_u = "15 kPa"\nc_u_growth = "0.8 kPa/m"\nE_oed')

    [line] = refused(table(BY_SUBLAYER, growth), given)
    assert "vary.input[2].path: must not be varied where layer peat has values by sublayer" in line
    [line] = refused(table(growth | SUBLAYERS | {"distribution": '"uniform"'}), given)
    assert "path: must be layer.KEY.FIELD" in line


@pytest.mark.parametrize(
    ("inputs", "joins"),
    [
        ([BY_SUBLAYER, STIFF_BY_SUBLAYER], True),
        ([BY_SUBLAYER, STIFF], False),
        ([BY_SUBLAYER, STIFF_BY_SUBLAYER | {"correlation_length": '"1 m"'}], False),
        ([BY_SUBLAYER, STIFF_BY_SUBLAYER | {"averaging_length": '"1 m"'}], False),
    ],
)
def test_inputs_by_sublayer_are_correlated_at_the_same_depths_alone(
    inputs: list[dict[str, str]], joins: bool, read: Callable[..., Design], refused: Refused
) -> None:  # fmt: skip
    change = table(*inputs, more=CORRELATION.format(0.5))
    if joins:
        assert read(change).vary is not None
        return
    [line] = refused(change)
    assert "vary.correlation[1].between: must join inputs of one layer with the same correlation_length" in line


def test_two_of_three_correlations_do_not_fit_the_third(refused: Refused) -> None:
    third = strength(path='"layer.peat.phi"', mean='"22 deg"', cov="0.1")
    pairs = [("c_u", "E_oed_ref", 0.9), ("c_u", "phi", 0.9), ("E_oed_ref", "phi", -0.5)]
    more = "".join(
        f'\n[[vary.correlation]]\nbetween = ["layer.peat.{one}", "layer.peat.{two}"]\nrank = {rank}\nsource = "x"\n'
        for one, two, rank in pairs
    )

    [line] = refused(table(strength(), STIFF, third, more=more))

    assert "positive definite matrix" in line
    assert re.search(r"got a smallest eigenvalue of -0\.\d+", line)


def test_a_plain_number_takes_no_unit(refused: Refused) -> None:
    nu = {"path": '"layer.peat.nu"', "least": "0.3", "most": '"0.4 m"', "source": '"x"'}
    data = bounded("data", path='"layer.peat.m"', least=None, most=None, file='"m.csv"', column='"m"', unit='"m"')

    first, second = refused(table(nu, data))

    assert "most: must be a plain number, as the input is" in first
    assert "unit: must be left out: the input has none" in second


@pytest.mark.slow
def test_any_change_of_the_table_is_read_or_refused_in_lines(tmp_path: Path) -> None:
    """Changes of [vary] only: 300 texts by seed."""
    chance = random.Random(15)  # noqa: S311 - repeatable, not secret
    old, new = table(GRID, strength(correlation_length='"1 m"', averaging_length='"2 m"', vertical='"sublayers"'),
                     STIFF | {"vertical": '"sublayers"', "correlation_length": '"1 m"', "averaging_length": '"2 m"'},
                     bounded("pert", path='"layer.peat.phi"', least='"18 deg"', mode='"22 deg"', most='"26 deg"'),
                     head="seed = 3\npoints = 1024\nreplicates = 8", more=CORRELATION.format(0.5),
                     state=STATE + 'target = 3.8\nreliability_class = "RC2"\nsource = "basis"\n')  # fmt: skip
    whole, seen = starter_project("Test"), {"read": 0, "refused": 0}
    for _ in range(300):
        text = new.removesuffix(AT)
        for _ in range(chance.choice((1, 1, 2, 4))):
            text = chance.choice([change_sign, drop_line, move_line, _change_value])(text, chance)
        (tmp_path / "project.toml").write_text(whole.replace(old, f"{text}\n{old}", 1), encoding="utf-8")
        try:
            read_design(tmp_path)
            seen["read"] += 1
        except InputErrors as errors:
            seen["refused"] += 1
            for line in str(errors).replace(f"{tmp_path}/", "").split("\n"):
                assert LINE.fullmatch(line), line
                assert not JARGON.search(line), line

    assert min(seen.values()) > 20


def _change_value(text: str, chance: random.Random) -> str:
    found = list(re.finditer(r"= (.+)$", text, re.MULTILINE))
    at = chance.choice(found)
    return text[: at.start(1)] + chance.choice([*VALUES, '"15 deg"', "0.5", '"5 m"', '["a", "b"]']) + text[at.end(1) :]


def test_an_input_knows_its_spread() -> None:
    one = VariedInput.model_validate({"path": "x", "distribution": "normal", "mean": -2, "cov": 0.5, "source": "x"})

    assert spread_of(one) == 1.0
