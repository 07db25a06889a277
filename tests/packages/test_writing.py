from datetime import date
from io import BytesIO
from pathlib import Path

import numpy as np
import pikepdf
import pypdfium2
import pytest
from numpy.typing import NDArray

from calc.engine.figure import symbol_text
from calc.formulas.unit_cell import settlement_gap
from calc.package import PackageError, write_package
from calc.package import render as rendering
from calc.package.equations import data_uri
from calc.package.render import render_pdf
from calc.package.shown import whole
from calc.package.symbol_list import symbol_list
from calc.package.writer import is_near
from tests.engine.chapters import FILE, chapter
from tests.packages.conftest import Made

PAGE = '<!DOCTYPE html><html lang="en"><title>t</title>{}</html>'
DATED = date(2025, 4, 30)


@pytest.mark.parametrize(
    ("body", "report"),
    [
        ('<img src="http://example.invalid/x.png" alt="x">', "disallowed|may not load|Failed to load"),
        ('<img src="file:///etc/hostname" alt="x">', "may not load"),
        ('<img src="../pyproject.toml" alt="x">', "may not load"),
        ('<img src="fonts/../../pyproject.toml" alt="x">', "may not load"),
        ('<p style="flavour: salty">x</p>', "unknown property"),
        (
            '<img src="data:image/svg+xml,<svg xmlns=%22http://www.w3.org/2000/svg%22 width=%225%22 height=%225%22/>">',
            "alt",
        ),
    ],
)
def test_whatever_the_renderer_reports_stops_the_package(body: str, report: str) -> None:
    with pytest.raises(PackageError, match=report):
        render_pdf(PAGE.format(body), [], DATED)


def test_nothing_is_left_behind_when_the_pages_cannot_be_made(
    package: Made, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object, **__: object) -> bytes:
        message = "the pages could not be made"
        raise PackageError(message)

    monkeypatch.setattr("calc.package.pieces.set_pieces", broken)
    with pytest.raises(PackageError):
        write_package(package.run, tmp_path / "out")

    assert not (tmp_path / "out").exists()


def test_an_earlier_package_stays_when_writing_fails(
    package: Made, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "package.pdf").write_bytes(b"earlier")

    def full(*_: object) -> None:
        message = "no space left on device"
        raise OSError(message)

    monkeypatch.setattr("calc.package.package_pdf", lambda *_, **__: b"new")
    monkeypatch.setattr("calc.package.os.replace", full)
    with pytest.raises(OSError, match="no space"):
        write_package(package.run, tmp_path)

    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == {"package.pdf": b"earlier"}


def test_long_work_tells_what_it_does(package: Made, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    told: list[str] = []
    monkeypatch.setattr("calc.package.pieces.set_pieces", lambda *_, **__: b"%PDF")
    write_package(package.run, tmp_path, told.append)

    assert told == [
        *(f"writing chapter {k}, {sheet.title}" for k, sheet in enumerate(package.run.sections[0].sheets, start=1)),
        "setting the pages",
    ]


def test_only_data_addresses_and_own_files_are_opened() -> None:
    fetcher = rendering.OwnFilesOnly(Path(__file__).parents[2] / "templates")

    assert fetcher.fetch("data:text/plain,x").read() == b"x"
    for address in ("http://127.0.0.1/", "ftp://127.0.0.1/", "file:///etc/passwd", "attached:0"):
        with pytest.raises(ValueError, match=r"disallowed|may not load"):
            fetcher.fetch(address)


def test_a_picture_that_repeats_is_in_the_file_once_and_looks_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    svg = '<svg xmlns="http://www.w3.org/2000/svg" width="40" height="20"><path d="M1 1L39 19L1 19Z"/></svg>'
    page = PAGE.format(f"<p>{f'<img alt=x src=!{data_uri(svg)}!> ' * 3}</p>".replace("!", '"'))
    shared = render_pdf(page, [], DATED)
    monkeypatch.setattr(rendering, "_share_pictures", lambda *_: None)
    drawn = render_pdf(page, [], DATED)

    assert [forms(one) for one in (shared, drawn)] == [1, 0]
    assert (shown(shared) == shown(drawn)).all()


def forms(content: bytes) -> int:
    """How many pictures a file holds which pages refer to."""
    with pikepdf.open(BytesIO(content)) as pdf:
        streams = [one for one in pdf.objects if isinstance(one, pikepdf.Stream)]
        return sum(stream.get("/Subtype") == "/Form" for stream in streams)


def shown(content: bytes) -> NDArray[np.uint8]:
    """The first page as pixels."""
    page: NDArray[np.uint8] = pypdfium2.PdfDocument(content)[0].render(scale=2).to_numpy()
    return page


def test_a_value_that_an_equation_has_under_another_symbol_is_named_below_it() -> None:
    """Else a reader would take the number of the line that has the symbol."""
    sheet = chapter()
    sheet.given("s_s", 0.1, origin=FILE)
    sheet.given("s_c", 0.2, origin=FILE)
    sheet(settlement_gap, s_s=sheet["s_c"])
    step = sheet.steps[-1]

    assert [is_near(step, step.inputs[name]) for name in ("s_s", "s_c")] == [False, True]


def test_every_symbol_over_a_table_stands_in_the_list_of_symbols(few_chapters: Made) -> None:
    """Those of the places across stand in a table alone, on no line."""
    tables = [table for part in few_chapters.run.sections for sheet in part.sheets for table in sheet.page.tables]
    heads = {symbol_text(column.symbol) for table in tables for column in table.head if column.symbol}
    listed = {view.text: view for view in symbol_list(few_chapters.run)}

    assert heads <= set(listed)
    assert listed[symbol_text("x_tl")].meaning == "place of the toe of the left slope"


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("U8, J = 0", "U8, J\u00a0=\u00a00"),
        (
            "8 kN/m² (y = −4 m)",
            '<span class="nowrap">8\u00a0kN/m²</span> (<span class="nowrap">y\u00a0=\u00a0−4\u00a0m</span>)',
        ),
        ("a = b", "a = b"),
    ],
)
def test_no_line_breaks_between_a_sign_of_equality_and_its_number_or_this_and_its_unit(text: str, shown: str) -> None:
    assert whole(text) == shown
