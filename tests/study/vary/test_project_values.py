"""Values of the project against what [vary] says of them: within, outside of a range, far out of a distribution."""

from dataclasses import replace
from pathlib import Path
from shutil import copyfile

import pytest
from scipy import stats

from calc.inputs import read_design
from calc.inputs.tables.vary import VariedInput
from calc.study.vary.marginals import marginal
from calc.study.vary.project_values import design_outside, values_outside
from tests.study.vary.known_states import varied

EXAMPLE = Path(__file__).parents[3] / "projects" / "weak-sleeve"
NORMAL = varied(path="sleeve.strength", distribution="normal", mean="225 kN/m", cov=0.07)
RANGED = varied(path="traffic.q", least="0 kPa", most="10 kPa")
BOTH = varied(path="a", distribution="normal", mean=0, sd=1, least=-1, most=1)


@pytest.mark.parametrize(
    ("one", "value", "words"),
    [
        (NORMAL, 200.0, []),
        (NORMAL, 225 * (1 + 0.07 * stats.norm.ppf(0.9991)), ["its distribution"]),
        (NORMAL, 225 * (1 + 0.07 * stats.norm.ppf(0.9989)), []),
        (NORMAL, 225 * (1 + 0.07 * stats.norm.ppf(0.0009)), ["its distribution"]),
        (RANGED, 10.0, []),
        (RANGED, 10.1, ["its range"]),
        (RANGED, -0.1, ["its range"]),
        (BOTH, 2.0, ["its range"]),
        (BOTH, 4.0, ["its distribution"]),
    ],
)
def test_a_value_beyond_the_range_or_the_fractiles_is_cautioned_once(
    one: VariedInput, value: float, words: list[str]
) -> None:
    """Of a normal distribution the fractiles are those of the standard normal one."""
    known = {one.path: marginal(one)} if one.distribution else {}

    said = list(values_outside([one], {one.path: value}, known))

    assert [word in text for word, text in zip(words, said, strict=True)] == [True] * len(words)
    assert all(one.path in text for text in said)


def test_a_caution_has_the_value_and_the_bounds_with_their_units() -> None:
    [said] = values_outside([NORMAL], {NORMAL.path: 400.0}, {NORMAL.path: marginal(NORMAL)})

    assert said.startswith(
        "sleeve.strength = 400 kN/m in the project lies outside of its distribution in [vary], 176.3 kN/m to "
        "273.7 kN/m between the 0.1 % and 99.9 % fractiles (project rule)"
    )


def test_a_design_is_held_against_its_own_table(tmp_path: Path) -> None:
    """The sections that are varied alone; what has no table, and data that the study refuses, say nothing."""
    text = (EXAMPLE / "project.toml").read_text(encoding="utf-8")
    copyfile(EXAMPLE / "ground-data.csv", tmp_path / "ground-data.csv")

    def said(*changes: tuple[str, str]) -> list[str]:
        made = text
        for old, new in changes:
            assert old in made, old
            made = made.replace(old, new)
        (tmp_path / "project.toml").write_text(made, encoding="utf-8")
        design = read_design(tmp_path)
        return design_outside(design, design.sections[0])

    mean = ('mean = "225 kN/m"', 'mean = "300 kN/m"')
    data = ('distribution = "normal"\nmean = "225 kN/m"\ncov = 0.07',
            'distribution = "data"\nfile = "missing.csv"\ncolumn = "T"\nunit = "kN/m"')  # fmt: skip

    assert said() == []
    assert [line.partition(" = ")[0] for line in said(mean)] == ["sleeve.strength"]
    assert said(data) == []
    design = read_design(EXAMPLE)
    assert design.vary is not None
    assert design_outside(replace(design, vary=None), design.sections[0]) == []
    other = design.vary.model_copy(update={"sections": ("Z",)})
    assert design_outside(replace(design, vary=other), design.sections[0]) == []
