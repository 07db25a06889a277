"""The example rail bank stands; with columns to the crest edge, or a light sleeve under a heavy class, it fails."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from calc.chain import CHAPTERS, run_chapters
from calc.engine.sheet import Sheet
from calc.inputs import read_design

PROJECT = Path(__file__).parents[2] / "projects" / "rail-loop" / "project.toml"


def to_the_crest_edge(text: str) -> str:
    return re.sub(r'(beyond_(?:left|right)) = "10.0 m"', r'\1 = "0.01 m"', text)


def heavy_on_a_light_sleeve(text: str) -> str:
    """The heaviest load class of EN 1991-2:2003, 6.3.2 (3), from memory, and half the strength."""
    return text.replace("class_factor = 1.1", "class_factor = 1.46").replace('"300 kN/m"', '"150 kN/m"')


@pytest.mark.parametrize(
    ("change", "failing"),
    [(to_the_crest_edge, {"column_rows"}), (heavy_on_a_light_sleeve, {"ring_tension"})],
    ids=["crest edge", "light sleeve"],
)
def test_rail_bank_fails_for_want_of_columns_and_of_sleeve(
    tmp_path: Path, change: Callable[[str], str], failing: set[str]
) -> None:
    """The stored run of the example as it is, with which the tests of the examples compare it, fails nothing."""
    (tmp_path / "project.toml").write_text(change(PROJECT.read_text(encoding="utf-8")), encoding="utf-8")
    design, done = read_design(tmp_path), dict[str, Sheet]()
    last = [chapter.key for chapter in CHAPTERS].index("bearing")
    run_chapters(design, design.sections[0], CHAPTERS[: 1 + last], done)

    failed = {verdict.key for sheet in done.values() for verdict in sheet.verdicts if verdict.state == "fail"}
    assert failing <= failed
