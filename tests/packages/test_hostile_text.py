"""User text is data: whatever is in it, it appears as text and does nothing else."""

import pikepdf
import pytest

from tests.packages.columns import rows_of
from tests.packages.conftest import Made, made_of_few
from tests.packages.reading import text_span
from tests.packages.test_pages import squeezed

HOSTILE = (
    '<script>alert(1)</script> <img src="http://example.invalid/x.png"> {{ 7 * 7 }} {% include "/etc/passwd" %} '
    "</style></table> &lt; ../../../etc/passwd C:\\temp\\x %s $(id) `id` ünïcödé Δσ_v ž ŁÓDŹ"
)
LONG = "Averylongwordwithoutanybreak" * 340 + "…end"


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> Made:
    return made_of_few(
        tmp_path_factory,
        "hostile",
        title=HOSTILE,
        purpose=f"{HOSTILE} {LONG}",
        note=HOSTILE,
        client=HOSTILE,
        status=HOSTILE,
        section_title=HOSTILE,
    )


def test_markup_and_template_text_appear_as_typed(hostile: Made) -> None:
    cover = squeezed(hostile.pages[0])

    assert squeezed(HOSTILE) in cover
    pages = f"page1of{len(hostile.pages)}"
    assert "49" not in cover.replace("2025", "").replace(pages, "").partition("Programandinputs")[0]
    assert "root:" not in "".join(hostile.pages)


def test_hostile_text_loads_nothing_and_runs_nothing(hostile: Made) -> None:
    with pikepdf.open(hostile.files.pdf) as pdf:
        actions = [item for item in pdf.objects if isinstance(item, pikepdf.Dictionary) and item.get("/S") == "/URI"]
        images = [item for item in pdf.objects if isinstance(item, pikepdf.Stream) and item.get("/Subtype") == "/Image"]
        names = set(pdf.attachments)
    assert actions == []
    assert images == []
    assert names == {"project.toml", "results.json"}


def test_files_keep_their_names_whatever_the_title(hostile: Made) -> None:
    assert sorted(path.name for path in hostile.files.pdf.parent.iterdir()) == ["package.pdf", "results.json"]


def test_hostile_titles_leave_the_lines_alone(hostile: Made, few_chapters: Made) -> None:
    theirs, ours = (
        [(row.number, row.values, row.numbers) for row in rows_of(one.run, one.files.pdf)]
        for one in (hostile, few_chapters)
    )
    assert theirs == ours


def test_nearly_ten_thousand_characters_without_a_break_stay_on_the_pages(hostile: Made) -> None:
    whole = squeezed("".join(hostile.pages))

    assert whole.count("withoutanybreak") >= 335  # a few are parted by the ends of pages
    assert "…end" in whole
    left, right = text_span(hostile.files.pdf)
    assert left > 19.0
    assert right < 196.0
