"""Grids over zones of the columns and over berms: what a combination writes, what it is charged, and how it runs."""

from math import sqrt
from pathlib import Path

import numpy as np
import pytest

from calc.chain import Run, SectionRun
from calc.chapters.shared.sleeve_radius import sleeve_radius
from calc.inputs import read_design
from calc.study.chapters import chapters
from calc.study.objectives import charge_sheet, charges, columns_of
from calc.study.size_grid import Grid, size_grid
from tests.study.parts import BERMS, ZONE, write_parts
from tests.willow import FOLDER


def columns_by_hand(grid: Grid, number: int) -> Run:
    """The chapters up to the columns of a combination, with its zones."""
    design = read_design(grid.design.source.parent, grid.text(number).encode())
    [section] = design.sections
    parts = [SectionRun(part, tuple(chapters(design, part, until="columns").values()))
             for part in (section, *section.by_zones())]  # fmt: skip
    return Run(design, tuple(parts))


def test_radius_of_the_sleeve_is_the_one_typed_or_follows_the_diameter() -> None:
    weak = read_design(FOLDER.parent / "weak-sleeve").sections[0].sleeve
    wide = read_design(FOLDER).sections[0].sleeve.model_copy(update={"oversize": 0.01})
    diameters = np.array([0.7, 0.8])

    assert sleeve_radius(weak, diameters).tolist() == [0.403, 0.403]
    assert sleeve_radius(wide, diameters) == pytest.approx([0.36, 0.41], rel=1e-12)


def test_a_zone_is_charged_by_its_share_of_the_field(tmp_path: Path) -> None:
    """Zones of 8.3 m on both sides of a field of 22.6 m."""
    grid = size_grid(read_design(write_parts(tmp_path / "p", ZONE)))
    run = columns_by_hand(grid, 1)
    columns = columns_of(run)
    found = charges(grid, "cost", columns, np.arange(2))
    length, area = float(columns[""]["L_c"].array), 0.4**2 * np.pi
    column = 60 + length * (22 + area * 31 + 2 * np.pi * 0.4 * 9)
    cells = [sqrt(3) / 2 * spacing**2 for spacing in (2.2, 1.75, 2.0)]
    by_hand = [column * (6.0 / cells[0] + 16.6 / cell) / 22.6 for cell in cells[1:]]
    (zone,) = run.design.sections[0].columns.zone

    assert grid.shape == (1, 1, 1, 2, 1, 1)
    assert zone.spacing == 2.0
    assert set(columns) == {"", "slope"}
    assert found == pytest.approx(by_hand, rel=1e-9)
    assert float(charge_sheet(grid, "cost", columns, 1).scopes["grid slope"]["K_A"].array) == pytest.approx(
        found[1], rel=1e-12
    )


def test_a_zone_that_is_not_varied_is_charged_all_the_same(tmp_path: Path) -> None:
    varied = size_grid(read_design(write_parts(tmp_path / "p", ZONE)))
    typed = size_grid(read_design(write_parts(tmp_path / "q")))
    columns = columns_of(columns_by_hand(typed, 0))

    assert charges(typed, "cost", columns, np.arange(1)) == pytest.approx(
        charges(varied, "cost", columns, np.arange(1)), rel=1e-12
    )


def test_berms_are_charged_by_their_fill_and_none_is_one_choice(tmp_path: Path) -> None:
    """4 m or 5 m wide and 1.5 m high on a platform of 0.6 m, outer slope 1:3; both sides alike."""
    folder = write_parts(tmp_path / "p", BERMS, zones=False, berms=True)
    grid = size_grid(read_design(folder))
    columns = columns_of(columns_by_hand(grid, 2))
    none, narrow, wide = charges(grid, "cost", columns, np.arange(3))
    berms = read_design(folder, grid.text(2).encode()).sections[0].embankment.berms
    run = grid.section.embankment.slope_left
    fill = [2 * (width * 2.1 + (3 - run) * 2.1**2 / 2) for width in (4.0, 5.0)]
    sheet = charge_sheet(grid, "cost", columns, 2)
    typed = {step.symbol: origin.path for step in sheet.steps for origin in step.origins if origin.kind == "file"}

    assert {"b_gr": "field.beyond_right", "t_P": "platform.thickness", "n_L": "embankment.slope_right",
            "n_Bl": "embankment.berm_right.slope"}.items() <= typed.items()  # fmt: skip
    assert [choice.name for choice in grid.axes[3].choices] == ["none", "4 m × 1.5 m", "5 m × 1.5 m"]
    assert read_design(folder, grid.text(0).encode()).sections[0].embankment.berms == {}
    assert {side: (berm.width, berm.height) for side, berm in berms.items()} == {
        "left": (5.0, 1.5), "right": (5.0, 1.5),
    }  # fmt: skip
    assert [narrow - none, wide - none] == pytest.approx([18 * one / 22.6 for one in fill], rel=1e-9)
    assert float(sheet.scopes["berm both 1"]["K_A"].array) == pytest.approx(wide, rel=1e-12)
