"""Rules of the table [neighbours], each broken by itself in an example that is right."""

from pathlib import Path

import pytest

from calc.inputs import InputErrors, read_design

TEXT = (Path(__file__).parents[2] / "projects" / "dyke-reach" / "project.toml").read_text(encoding="utf-8")
START = TEXT.index("[neighbours]")
SOURCE = 'limits_source = "Agreement with the water authority, 2027-03 (invented)"\n'
ANALYSIS = next(one for one in TEXT.splitlines(keepends=True) if one.startswith("analysis = "))
PILES = TEXT[TEXT.index("[neighbours.neighbour.piles]") : TEXT.index("[neighbours.heave_share]")]

RULES = [
    (SOURCE, "", "neighbours.neighbour[1].limits_source: must be given where a limit is given, got nothing"),
    (PILES, "", 'neighbours.neighbour[1].piles: must be given where kind is "piles", got nothing'),
    ("high = 1.0", "high = 0.2", "neighbours.heave_share.high: must not be less than low (0.3), got 0.2"),
    ('head = "held"\n', "", "neighbours.neighbour[1].piles.head: must be given where moment_max is given, got nothing"),
    (ANALYSIS, "", "neighbours.neighbour[1].analysis: must be given where acceptance is given, got nothing"),
    ('side = "right"', 'side = "north"', 'neighbours.neighbour[1].side: must be one of "left", "right", got "north"'),
    ('vibration_max = "10 mm/s"', 'vibration_max = "10 mm"', "neighbours.neighbour[1].vibration_max: must be"),
    ("flow_factor = 7.0", "flow_factor = 6.0", "neighbours.pile_methods.flow_factor: must be at least 7"),
]


@pytest.mark.parametrize(("old", "new", "expected"), RULES)
def test_each_rule_is_told_with_its_field(tmp_path: Path, old: str, new: str, expected: str) -> None:
    assert TEXT.count(old, START) == 1
    (tmp_path / "project.toml").write_text(TEXT[:START] + TEXT[START:].replace(old, new), encoding="utf-8")

    with pytest.raises(InputErrors) as caught:
        read_design(tmp_path)

    assert [expected in str(error) for error in caught.value.errors] == [True], str(caught.value)


@pytest.mark.parametrize("key", ["neighbours", "lateral_pressure"])
def test_what_is_screened_is_not_denied_outside(tmp_path: Path, key: str) -> None:
    lines = [f'{key} = "not relevant because none"' if line.startswith(f"{key} = ") else line
             for line in TEXT.splitlines()]  # fmt: skip
    (tmp_path / "project.toml").write_text("\n".join(lines), encoding="utf-8")

    with pytest.raises(InputErrors, match=rf'outside\.{key}: must begin with "see " or be left out') as caught:
        read_design(tmp_path)

    assert len(caught.value.errors) == 1


def test_a_neighbour_stands_clear_of_the_columns(tmp_path: Path) -> None:
    """Columns 50 m beyond the crest edge reach 30.8 m beyond the toe, which lies at 3·6.4 m; 1.5 m is their spacing."""
    text = TEXT.replace('beyond_right = "16.0 m"', 'beyond_right = "50 m"')
    (tmp_path / "project.toml").write_text(text, encoding="utf-8")

    with pytest.raises(InputErrors, match=r"distance: must be at least 32\.3 m, for 1\.5 m from the axis"):
        read_design(tmp_path)


def test_a_name_is_used_once(tmp_path: Path) -> None:
    again = TEXT[TEXT.index("[[neighbours.neighbour]]") : TEXT.index("[neighbours.heave_share]")]
    at = TEXT.index("[neighbours.heave_share]")
    (tmp_path / "project.toml").write_text(TEXT[:at] + again + TEXT[at:], encoding="utf-8")

    with pytest.raises(InputErrors, match=r"neighbours\.neighbour\[2\]\.name: must be used once only"):
        read_design(tmp_path)
