"""Axes of a grid, what its choices write, and project files whose tables of the grid are changed at random."""

import random
import re
from pathlib import Path

from calc.inputs import InputErrors, read_design
from calc.study.size_grid import SizeError, size_grid
from tests.study.grids import grid_text, write_grid

VALUES = ['""', '"1:2"', "nan", "true", "[]", "{}", "[{}]", "0", "-1", '"5 yarn"', '"0.7 m"', '["1.9 m", "1.9 m"]',
          '["light"]', '["carbon", "cost"]', '"-3 m"']  # fmt: skip


def test_a_combination_is_numbered_and_writes_its_values(tmp_path: Path) -> None:
    grid = size_grid(read_design(write_grid(tmp_path / "p")))
    last = len(grid) - 1
    section = read_design(tmp_path / "p", grid.text(last).encode()).sections[0]

    assert grid.shape == (2, 1, 2, 2, 3)
    assert [choice.name for choice in grid.choices(last)] == ["triangular", "excavation", "strong", "0.80 m", "2.1 m"]
    assert (section.columns.pattern, section.columns.spacing) == ("triangular", 2.1)
    assert section.sleeve.oversize == 0.003
    assert [one.J for one in section.sleeve.stiffness] == [3600.0, 2800.0]


def test_excavation_without_a_coefficient_takes_that_of_the_project_away(tmp_path: Path) -> None:
    with_own = ('installation = "excavation" #', 'K_star = 1.1\ninstallation = "excavation" #')
    second = (
        '[[size.installation]]\nmethod = "excavation"\n',
        '[[size.installation]]\nmethod = "excavation"\nK_star = 0.9\n',
    )
    plain = size_grid(read_design(write_grid(tmp_path / "p", with_own)))
    given = size_grid(read_design(write_grid(tmp_path / "q", with_own, second)))

    assert read_design(tmp_path / "p", plain.text(0).encode()).sections[0].columns.K_star is None
    assert read_design(tmp_path / "q", given.text(0).encode()).sections[0].columns.K_star == 0.9
    assert given.choices(0)[1].name == "excavation, K* 0.9"


def test_any_change_of_the_tables_of_a_grid_is_read_or_refused_in_lines(tmp_path: Path) -> None:
    draw = random.Random(7)  # noqa: S311 - drawn to be the same every time
    text = grid_text()
    begin = text.index("[size]")
    head, lines = text[:begin], text[begin:].splitlines()
    folder = write_grid(tmp_path / "p")
    refused, without = list[str](), list[str]()
    for _ in range(120):
        changed = list(lines)
        for _ in range(draw.choice([1, 1, 2, 4])):
            place = draw.randrange(len(changed))
            if draw.random() < 0.3:
                changed[place] = ""
            else:
                changed[place] = re.sub(r"= .*", lambda _: f"= {draw.choice(VALUES)}", changed[place], count=1)
        data = (head + "\n".join(changed) + "\n").encode()
        try:
            grid = size_grid(read_design(folder, data))
            read_design(folder, grid.text(len(grid) - 1).encode())
        except InputErrors as errors:
            refused.append(str(errors).splitlines()[0])
        except SizeError as error:
            without.append(str(error))

    assert 60 < len(refused) < 120
    assert [line for line in refused if not re.search(r": must .+, got .+", line)] == []
    assert all("[size]" in message for message in without)
