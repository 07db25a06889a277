import pikepdf
import pytest

from tests.packages.columns import rows_of
from tests.packages.conftest import made_short
from tests.packages.reading import text_span
from tests.packages.scenario import many_layers

TITLE = "Approach embankment between the old sluice at Höfn’s weir and the Łódź–Ærø viaduct, λ-shaped junction " * 2


@pytest.mark.slow
def test_many_layers_and_sections_with_long_titles_keep_their_pages_whole(
    tmp_path_factory: pytest.TempPathFactory,
) -> None:
    """Two sections of 25 layers, the chapters with tables of layers; a third section and more repeat the same pages."""
    more = {"sections": 2, "layers": many_layers(25), "title": TITLE, "section_title": TITLE}
    large = made_short(tmp_path_factory, "large", **more)

    rows = rows_of(large.run, large.files.pdf)
    assert {section for row in rows for section in row.values} == {part.section.key for part in large.run.sections}
    with pikepdf.open(large.files.pdf) as pdf, pdf.open_outline() as outline:
        (calculation,) = (item for item in outline.root if item.title == "Calculation")
        assert len(calculation.children) == len(large.run.sections[0].sheets)
    left, right = text_span(large.files.pdf)
    assert left > 19.0
    assert right < 196.0
    total = len(large.pages)
    for number, page in enumerate(large.pages, start=1):
        assert f"page {number} of {total}" in page
