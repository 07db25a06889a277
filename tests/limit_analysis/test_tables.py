"""The tables of the documentation are those of the stored bounds and of the program as it is."""

from tests.architecture.checkout import ROOT
from tests.limit_analysis.tables import circle_line, extrusion_line, grids_line
from tests.references.reader import rows


def test_documentation_holds_every_row_of_every_table() -> None:
    text = (ROOT / "docs" / "limit-analysis.md").read_text(encoding="utf-8").splitlines()
    made = [*map(extrusion_line, rows("limit_extrusion")), *map(circle_line, rows("limit_circles"))]
    made += map(grids_line, rows("limit_grids"))

    assert [line for line in made if line not in text] == []
    assert len(text) > len(made)
