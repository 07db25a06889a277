"""Columns that do not conform and that the design as built takes as designed: they are told."""

from dataclasses import replace
from pathlib import Path

import pytest

from calc.site.installed.as_built import as_built
from calc.site.installed.design_again import design_again
from calc.site.installed.judging import judge
from tests.site.test_installed_judgement import Field, compared, field

__all__ = ["field"]

WRONG = {
    "fill": {"volume": 2.0},
    "other type": {"sleeve": "Another 100 kN/m"},
    "vertical": {"slant_x": 8.0, "slant_y": 8.0},
}


@pytest.mark.parametrize(("told", "fault"), WRONG.items())
def test_design_as_built_is_open_for_what_it_takes_as_designed(
    field: Field, tmp_path: Path, told: str, fault: dict[str, float | str]
) -> None:
    rows = [replace(row, **fault) if place in {3, 5} else row for place, row in enumerate(field[2])]  # type: ignore[arg-type]
    one = compared(field, tmp_path, rows)

    [sound] = design_again(field[0], one, as_built(field[0], one), (), lambda _: None, slip=False)
    [again] = design_again(field[0], one, as_built(field[0], one), judge(one), lambda _: None, slip=False)

    [sentence] = set(again.unsettled) - set(sound.unsettled)
    assert told in sentence
    assert all(one.ids[place] in sentence for place in (3, 5))
    assert "2 columns" in sentence
    assert again.open
