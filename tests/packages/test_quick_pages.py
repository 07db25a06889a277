"""What is done with less work than the renderer does it gives the same bytes, and is refused where it does not fit."""

import zlib
from contextlib import nullcontext
from datetime import date
from io import BytesIO
from pathlib import Path

import pikepdf
import pytest
import weasyprint

from calc.package import page_styles, quick_writing, render
from calc.package.render import PackageError, render_pdf

HTML = """<!DOCTYPE html><html lang="en"><head><title>Small</title><style>
@page { @bottom-left { content: "page " counter(page) } } .wide { break-before: page } .wide::after { content: "end" }
</style></head><body><h1 id="a">One</h1><ul><li>first<li><a href="#b">second</a></ul><ol><li>third</ol>
<table><tr><td style="width: 30%">1.25</td><td>x<sub>2</sub><wbr><br>y</td></tr></table><q>said</q>
<p class="wide" id="b">Two</p></body></html>"""


def written() -> bytes:
    return render_pdf(HTML, (), date(2026, 1, 1))


def test_bytes_are_those_of_the_library(monkeypatch: pytest.MonkeyPatch) -> None:
    quick = written()
    monkeypatch.setattr(render, "PackageHTML", weasyprint.HTML)
    assert written() == quick
    monkeypatch.setattr(quick_writing, "_listed_once", lambda made: made)
    monkeypatch.setattr(quick_writing, "_converted_by_kind", lambda converted: converted)
    assert written() == quick


def test_content_is_packed_less_and_is_that_of_the_library(monkeypatch: pytest.MonkeyPatch) -> None:
    quick = unpacked(written())
    packer = zlib.compressobj
    monkeypatch.setattr(quick_writing, "_packer", lambda level: packer(level=level))

    assert unpacked(written()) == quick


def unpacked(pdf: bytes) -> list[bytes]:
    with pikepdf.open(BytesIO(pdf)) as document:
        streams = [one for one in document.objects if isinstance(one, pikepdf.Stream)]
        # The others say where objects lie in the file.
        return [stream.read_bytes() for stream in streams if stream.get("/Type") not in {"/ObjStm", "/XRef"}]


@pytest.mark.parametrize("item", [b"x", "/Name", 0, -12, 2**40, 1.0, -0.5, 1e-9, 123456.789012, True, None])
def test_every_kind_of_data_is_converted_as_by_the_library(item: object) -> None:
    library = weasyprint.pdf.pydyf
    with quick_writing.quick_writing():
        quick = library._to_bytes(item)
        text = library.Array([item, library.Dictionary({"K": item})]).data
    assert quick == library._to_bytes(item)
    assert text == library.Array([item, library.Dictionary({"K": item})]).data


def test_library_is_left_as_it_was(monkeypatch: pytest.MonkeyPatch) -> None:
    library = weasyprint.pdf.pydyf
    before = library._to_bytes, library.PDF.page_references, library.zlib
    message = "broken off"
    with quick_writing.quick_writing():
        assert library._to_bytes is not before[0]
    with pytest.raises(KeyError, match=message), quick_writing.quick_writing():
        raise KeyError(message)
    assert (library._to_bytes, library.PDF.page_references, library.zlib) == before
    monkeypatch.delattr(library, "_to_bytes")
    with pytest.raises(AttributeError, match="_to_bytes"):
        written()


def test_another_style_sheet_of_the_renderer_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    given = Path.read_text
    page_styles.page_styles.cache_clear()
    monkeypatch.setattr(
        Path, "read_text", lambda self, **how: given(self, **how).replace("::note-call {", "::note-mark {")
    )
    with pytest.raises(RuntimeError, match=r"style sheet of WeasyPrint \d+"):
        page_styles.page_styles()
    monkeypatch.undo()
    page_styles.page_styles.cache_clear()
    assert page_styles.page_styles() is page_styles.page_styles()


@pytest.mark.parametrize("sheets", [("package", "piece"), ("plan", "plan-piece"), ("package",)], ids="+".join)
def test_style_sheets_read_once_give_the_bytes_of_those_read_anew(
    monkeypatch: pytest.MonkeyPatch, sheets: tuple[str, ...]
) -> None:
    links = "".join(f'<link rel="stylesheet" href="{name}.css">' for name in sheets)
    linked = HTML.replace("<style>", f"{links}<style>")
    monkeypatch.setattr(page_styles, "_READ", {})
    first, again = (render_pdf(linked, (), date(2026, 1, 1)) for _ in range(2))
    assert len(page_styles._READ) == len(sheets)
    monkeypatch.setattr(render, "styles_read_once", nullcontext)

    assert first == again == render_pdf(linked, (), date(2026, 1, 1)) != written()


def test_style_sheet_with_a_mistake_is_refused_every_time(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    (tmp_path / "package.css").write_text("p { colour: red }", encoding="utf-8")
    monkeypatch.setattr(render, "template_folder", lambda: tmp_path)
    linked = HTML.replace("<style>", '<link rel="stylesheet" href="package.css"><style>')
    before = weasyprint.css.CSS
    for _ in range(2):
        with pytest.raises(PackageError, match="colour"):
            render_pdf(linked, (), date(2026, 1, 1))
    assert weasyprint.css.CSS is before
