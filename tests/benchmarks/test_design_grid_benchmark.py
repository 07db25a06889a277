"""The benchmark of the search searches grids of the sizes that it names, each over the same ranges."""

from pathlib import Path

import pytest

from calc.inputs import read_design
from calc.study.size_grid import SPACING, size_grid
from tests.benchmarks.design_grid import GRIDS, large_grid


@pytest.mark.parametrize("count", [*GRIDS][:2])
def test_a_grid_has_the_combinations_that_are_named(count: str, tmp_path: Path) -> None:
    grid = size_grid(read_design(large_grid(tmp_path / "grid", *GRIDS[count])))

    assert len(grid) == int(count)
    spacings = grid.axis(SPACING)[1].numbers("columns.spacing")
    assert spacings.min() == 1.5
    assert 2.3 <= spacings.max() < 2.4
