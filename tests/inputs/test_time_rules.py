"""Rules of the filling programme in time and of the table [consolidation], each broken by itself."""

from pathlib import Path
from re import sub

import pytest

from calc.inputs import InputErrors, read_design
from calc.inputs.reading.scalars import QuantityOrWord

TEXT = (Path(__file__).parents[2] / "projects" / "marsh-approach" / "project.toml").read_text(encoding="utf-8")
TABLE = (
    '[consolidation]\ndrainage = "top" # the sand below is not counted on\nhand_over = "540 d" # traffic from then on\n'
    "c_h_low = 0.5\nc_h_high = 2.0\n"
)
FIRST = 'start = "0 d"\nduration = "21 d"\nn_stability = 1.5'
REDUCTION = (
    "\n[consolidation.secondary_reduction]\nvalue = 0.6\n"
    'source = "Trial embankment on columns, three years of readings, report 2025-014-G-007 (invented)"\n'
)

RULES = [
    ('hand_over = "540 d"', 'hand_over = "100 d"',
     'consolidation.hand_over: must not be before the end of filling (196 d), got "100 d"'),
    ('fill_height = "1.8 m"', 'fill_height = "5.0 m"',
     'stage[3].fill_height: must be less than 5 m, where the slopes of a surcharge meet, got "5.0 m"'),
    ('fill_height = "1.8 m"', 'fill_height = "0.8 m"',
     'stage[3].fill_height: must not be less than in the stage before it or the embankment (0.9 m), got "0.8 m"'),
    ('hand_over = "540 d"', 'hand_over = "soon"',
     'consolidation.hand_over: must be a number, a space and a unit that converts to d, got "soon"'),
    ('drainage = "top"', 'drainage = "side"', 'consolidation.drainage: must be one of "top", "both", got "side"'),
    ("c_h_low = 0.5", "c_h_low = 0", "consolidation.c_h_low: must be greater than 0 and at most 1, got 0"),
    ("c_h_high = 2.0", "c_h_high = 0.9", "consolidation.c_h_high: must be at least 1 and at most 100, got 0.9"),
    ("value = 0.6", "value = 1.5",
     "consolidation.secondary_reduction.value: must be greater than 0 and at most 1, got 1.5"),
    ('c_u_gain = "consolidation"', 'c_u_gain = "computed"',
     ("stage[3].c_u_gain: must be a number, a space and a unit that converts to kPa, "
      'or "consolidation", got "computed"')),
    (TABLE + REDUCTION, "",
     'stage[3].c_u_gain: must be a pressure in a section without a table consolidation, got "consolidation"'),
    (FIRST, f"{FIRST}\ndegree_min = 0.5",
     "stage[1].degree_min: must be left out in the first stage, before which nothing is placed, got 0.5"),
    ("degree_min = 0.75", "degree_min = 75", "stage[3].degree_min: must be at least 0 and at most 1, got 75"),
    ("smear = { ratio = 2.0, k_ratio = 3.0 }", "smear = { ratio = 2.4, k_ratio = 3.0 }",
     "layer[1].smear.ratio: must be less than the diameter of the unit cell over that of the column (2.30), got 2.4"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "expected"), RULES)
def test_rule_of_time_is_named(tmp_path: Path, old: str, new: str, expected: str) -> None:
    assert old in TEXT
    (tmp_path / "project.toml").write_text(TEXT.replace(old, new, 1), encoding="utf-8")

    with pytest.raises(InputErrors) as caught:
        read_design(tmp_path)

    assert expected in str(caught.value)


def test_a_programme_in_which_nothing_consolidates_is_refused(tmp_path: Path) -> None:
    text = sub(r"(?m)^consolidates = false #.*\n", "", TEXT).replace(
        'duration = "', 'consolidates = false\nduration = "'
    )
    (tmp_path / "project.toml").write_text(text, encoding="utf-8")

    with pytest.raises(InputErrors, match="consolidates: must be true in one stage at least"):
        read_design(tmp_path)


def test_quantity_or_word_says_both_forms_in_the_schema() -> None:
    scalar = QuantityOrWord(unit="kPa", ge=0, le=10, word="consolidation")

    assert scalar.read("consolidation") == "consolidation"
    assert scalar.read("4 kPa") == 4.0
    assert scalar.json()["anyOf"][1] == {"const": "consolidation"}
