"""A package is set in pieces and joined: nothing that one document would have is lost, and the bytes stay the same."""

import tempfile
from collections.abc import Callable, Sequence
from datetime import date
from io import BytesIO
from pathlib import Path
from typing import Any

import pikepdf
import pypdfium2
import pytest
from weasyprint.text.fonts import FontConfiguration

from calc.kept import user_folder
from calc.package import kept_pieces, pieces
from calc.package.attached import ALONE, Attached, Document, Means, PackageError
from calc.package.kept_pieces import KeptPieces
from calc.package.pieces import set_pieces
from calc.package.render import lay_out
from calc.procedures.workers import Workers
from tests.archive.pdf_rules import broken_rules

DATED = date(2025, 2, 1)
PAGE = """<!DOCTYPE html><html lang="en"><head><title>t</title><link rel="stylesheet" href="package.css">
<link rel="stylesheet" href="piece.css"></head><body>{}</body></html>"""
NEXT = '<div class="part"></div>'
TABLE = "<table><thead><tr><th>Head</th></tr></thead><tr><td>{}</td></tr></table>"
OPENING = (
    '<h1 id="cover">Cover</h1>' + NEXT + NEXT + '<p class="contents"><a href="#cover">Cover</a><a href="#two">Two</a>'
    '<a href="#three">Three</a></p><p>See page <a class="page" href="#three"></a>.</p>'
)
FIRST = '<h1 id="one">Calculation</h1><h2 id="two">Two</h2>' + TABLE.format('<a href="#three">on three</a>') + NEXT * 2
SECOND = '<h2 id="three">Three</h2>' + TABLE.format('<a href="#two">on two</a>')
LAST = '<h1 id="end">End</h1><p><a href="#cover">to the cover</a></p>'


def documents(opening: str = OPENING, last: str = LAST) -> list[Document]:
    """An opening of three pages, two pieces of a calculation with three pages and one, and an end."""
    texts = ((opening, False), (FIRST, False), (SECOND, True), (last, False))
    return [Document(PAGE.format(text), continues) for text, continues in texts]


def joined(given: Sequence[Document] | None = None, means: Means = ALONE) -> bytes:
    attached = [Attached("a.txt", b"abc", "text/plain", "Data", "A text")]
    return set_pieces(given or documents(), attached, DATED, means, lambda _text: None)


@pytest.fixture(scope="module")
def whole() -> bytes:
    return joined()


def texts(content: bytes) -> list[str]:
    return [page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(content)]


def test_pages_have_their_number_in_the_whole(whole: bytes) -> None:
    found = texts(whole)

    assert len(found) == 8
    assert all(f"page {number} of 8" in text for number, text in enumerate(found, start=1))


def test_number_of_a_page_that_lies_across_stands_at_its_right_edge() -> None:
    across = '<h1 id="end">End</h1><div class="part matrix"><p>across</p></div>'
    pdf = pypdfium2.PdfDocument(joined(documents(last=across)))
    ends = []
    for page in (pdf[0], pdf[len(pdf) - 1]):
        text = page.get_textpage()
        at, count = text.search("page ").get_next()
        ends.append((page.get_width() - text.get_charbox(at)[0], count, page.get_width() > page.get_height()))

    assert [end[2] for end in ends] == [False, True]
    assert ends[0][0] == pytest.approx(ends[1][0], abs=6.0)


def test_opening_says_on_which_pages_other_pieces_stand(whole: bytes) -> None:
    contents = texts(whole)[2].replace(" ", "")

    assert "See page 7." in texts(whole)[2]
    assert [contents.split(name)[1].strip(".\r\n")[0] for name in ("Cover", "Two", "Three")] == ["1", "4", "7"]


def test_number_of_pages_of_the_opening_is_found() -> None:
    found = texts(joined(documents(opening=OPENING + NEXT * 2)))

    assert len(found) == 10
    assert "See page 9." in found[2]


def test_links_lead_to_other_pieces(whole: bytes) -> None:
    with pikepdf.open(BytesIO(whole)) as pdf:
        names: Any = pdf.Root.Names.Dests.Names
        listed = [str(name) for name in names[::2]]
        order = {page.objgen: number for number, page in enumerate(pdf.pages, start=1)}
        pages = {str(names[at]): order[names[at + 1][0].objgen] for at in range(0, len(names), 2)}
        links = {str(one.Dest) for page in pdf.pages for one in page.obj.get("/Annots", ())}

        assert listed == sorted(listed)
        assert pages == {"cover": 1, "one": 4, "two": 4, "three": 7, "end": 8}
        assert links == {"cover", "two", "three"}
        assert b"goto:" not in whole


def test_link_that_leads_nowhere_is_refused() -> None:
    with pytest.raises(PackageError, match="no page has the place five"):
        joined(documents(opening=OPENING + '<a href="#five">five</a>'))
    with pytest.raises(PackageError, match="no page has the place six, to which a link leads"):
        joined(documents(last=LAST + '<a href="#six">six</a>'))


def test_place_that_two_pieces_have_is_refused() -> None:
    with pytest.raises(PackageError, match="two pieces have the place two"):
        joined(documents(last=LAST + '<p id="two">again</p>'))


def test_opening_that_does_not_settle_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    lengths = iter((1, 2, 1, 2))

    def restless(html: str, *_given: object, piece: bool) -> bytes:
        opening = "Cover" in html
        return lay_out(PAGE.format("<h1>Cover</h1>" + NEXT * (next(lengths) + 3)) if opening else html, piece=piece)

    monkeypatch.setattr(pieces, "lay_out", restless)
    with pytest.raises(PackageError, match="the opening has"):
        joined(documents(opening="<h1>Cover</h1>", last="<h1>End</h1>"))


def test_outline_is_that_of_one_document(whole: bytes) -> None:
    with pikepdf.open(BytesIO(whole)) as pdf, pdf.open_outline() as outline:
        assert [(one.title, [below.title for below in one.children]) for one in outline.root] == [
            ("Cover", []), ("Calculation", ["Two", "Three"]), ("End", []),
        ]  # fmt: skip


def test_structure_holds_every_page_and_link_once(whole: bytes) -> None:
    """ISO 32000-1, 14.7.4.4: the parent tree finds the elements of a page or link by its key."""
    with pikepdf.open(BytesIO(whole)) as pdf:
        nums: Any = pdf.Root.StructTreeRoot.ParentTree.Nums
        keys = [int(nums[at]) for at in range(0, len(nums), 2)]
        found = {int(nums[at]): nums[at + 1] for at in range(0, len(nums), 2)}
        links = [(page, one) for page in pdf.pages for one in page.obj.get("/Annots", ())]

        assert keys == sorted(set(keys))
        assert (
            sorted([int(page.StructParents) for page in pdf.pages] + [int(one.StructParent) for _, one in links])
            == keys
        )
        for page, one in links:
            element = found[int(one.StructParent)]
            assert str(element.S) == "/Link"
            assert element.Pg.objgen == page.objgen
        [document] = pdf.Root.StructTreeRoot.K
        assert [str(one.get("/S")) for one in document.K if one.get("/S") == "/Part"] == ["/Part"] * 3
        heads = [str(one.ID) for one in pdf.objects if isinstance(one, pikepdf.Dictionary) and one.get("/S") == "/TH"]
        assert len(set(heads)) == len(heads) == 2
        cells = [one for one in pdf.objects if isinstance(one, pikepdf.Dictionary) and one.get("/S") == "/TD"]
        assert sorted(str(cell.A.Headers[0]) for cell in cells) == sorted(heads)


def test_joined_file_keeps_the_rules_of_an_archive(whole: bytes) -> None:
    assert broken_rules(whole) == []
    with pikepdf.open(BytesIO(whole)) as pdf:
        assert pdf.attachments["a.txt"].get_file().read_bytes() == b"abc"


def test_objects_lie_in_small_streams() -> None:
    many = "".join(f'<p>Text <a href="#cover">{number}</a></p>' for number in range(200))
    with pikepdf.open(BytesIO(joined(documents(last=LAST + many)))) as pdf:
        counts = [
            int(one.N) for one in pdf.objects if isinstance(one, pikepdf.Stream) and "/N" in one and "/First" in one
        ]

    assert len(counts) > 3
    assert max(counts) <= 100


def test_pieces_set_by_others_or_kept_give_the_same_bytes(whole: bytes, tmp_path: Path) -> None:
    workers = Workers(2)
    kept = KeptPieces(tmp_path / "pieces")
    try:
        assert joined(means=Means(workers.work_out_apart, kept)) == whole
    finally:
        workers.end()
    files = sorted((tmp_path / "pieces").iterdir())
    assert len(files) == 4  # the numbers of the pages are one more

    asked: list[str] = []

    def nothing(_work: Callable[[str], bytes], on: Sequence[str], _begin: Callable[[], None]) -> dict[int, bytes]:
        asked.extend(on)
        return {}

    assert joined(means=Means(nothing, kept)) == whole
    assert {'id="cover"' in text for text in asked} == {True}  # the opening alone, to which files are attached
    files[0].write_bytes(files[0].read_bytes()[:-1])
    assert joined(means=Means(None, kept)) == whole  # what is not whole is set again
    assert sorted((tmp_path / "pieces").iterdir()) == files
    kept.tidy()
    KeptPieces(tmp_path / "pieces", 0).tidy()
    assert list((tmp_path / "pieces").iterdir()) == []


def test_files_of_fonts_are_gone_with_the_pages(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Also in a process that ends without a walk of the collector."""
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    made: list[Path] = []
    add = FontConfiguration.add_font_face

    def adds(fonts: FontConfiguration, *given: object) -> None:
        add(fonts, *given)
        made.extend(tmp_path.iterdir())

    monkeypatch.setattr(FontConfiguration, "add_font_face", adds)
    lay_out(PAGE.format("<p>Text</p>"), piece=True)

    assert made
    assert list(tmp_path.iterdir()) == []


def test_piece_of_another_program_is_not_taken(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    kept = KeptPieces(tmp_path)
    kept.keep("text", b"piece")
    assert kept.read("text") == b"piece"
    assert kept.read("other text") is None
    monkeypatch.setattr(kept_pieces, "program_fingerprint", lambda: "another")
    kept_pieces._maker.cache_clear()
    assert kept.read("text") is None
    kept_pieces._maker.cache_clear()


def test_pieces_have_a_folder_of_their_own(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))

    assert user_folder("pieces") == tmp_path / "sandsleeve" / "pieces"


def test_what_a_process_beside_could_not_set_is_set_here(whole: bytes) -> None:
    assert joined(means=Means(lambda *_given: {})) == whole


def test_extract_has_no_links_to_what_it_leaves_out() -> None:
    opening, first, _, last = documents()
    content = set_pieces([opening, first, last], [], DATED, ALONE, lambda _text: None, whole=False)

    assert "See page –." in texts(content)[2]
    with pikepdf.open(BytesIO(content)) as pdf:
        assert {str(one.Dest) for page in pdf.pages for one in page.obj.get("/Annots", ())} == {"cover", "two"}
