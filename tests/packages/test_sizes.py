import pikepdf
import pytest

from tests.packages.conftest import made
from tests.packages.reading import printed_lines, text_span
from tests.packages.scenario import many_layers

TITLE = "Approach embankment between the old sluice at Höfn’s weir and the Łódź–Ærø viaduct, λ-shaped junction " * 2


@pytest.mark.slow
def test_many_layers_and_sections_with_long_titles_keep_their_pages_whole(
    tmp_path_factory: pytest.TempPathFactory,
) -> None:
    """Three sections of 25 layers; twelve take a minute and repeat the same pages."""
    more = {"sections": 3, "layers": many_layers(25), "title": TITLE, "section_title": TITLE}
    large = made(tmp_path_factory, "large", **more)

    lines = printed_lines(large.files.pdf)
    for part in large.run.sections:
        assert any(line.number.startswith(f"{part.section.key}.") for line in lines)
    with pikepdf.open(large.files.pdf) as pdf, pdf.open_outline() as outline:
        assert sum(item.title.startswith(("A ", "B ", "C ")) for item in outline.root) == 3
    left, right = text_span(large.files.pdf)
    assert left > 19.0
    assert right < 196.0
    total = len(large.pages)
    for number, page in enumerate(large.pages, start=1):
        assert f"page {number} of {total}" in page
