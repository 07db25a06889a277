"""The PDF as an archive reads it.

The reference validator of PDF/A is not available here. These tests hold the file to own rules taken from what
ISO 19005-3 asks for, as quoted in public sources: identification, output intent, fonts, associated files, no scripts,
no encryption. They are no substitute for a validation.
"""

from collections.abc import Iterator
from typing import Any
from xml.etree import ElementTree as ET

import pikepdf
import pytest

from calc.engine.sheet import Expression
from calc.engine.typeset import equation
from tests.packages.conftest import Made

PDFA = "{http://www.aiim.org/pdfa/ns/id/}"
FONT_FAMILY = "Sheet"


@pytest.fixture(scope="module")
def pdf(package: Made) -> Iterator[pikepdf.Pdf]:
    with pikepdf.open(package.files.pdf) as opened:
        yield opened


def objects(pdf: pikepdf.Pdf, **wanted: str) -> list[Any]:
    """Every dictionary of the file with these names."""
    names = {f"/{key}": f"/{value}" for key, value in wanted.items()}
    dictionaries = [item for item in pdf.objects if isinstance(item, pikepdf.Dictionary | pikepdf.Stream)]
    return [item for item in dictionaries if all(item.get(key) == value for key, value in names.items())]


def test_it_names_itself_pdf_a_3b(pdf: pikepdf.Pdf) -> None:
    xmp = ET.fromstring(pdf.Root.Metadata.read_bytes())  # noqa: S314 - written by ourselves
    named = [element for element in xmp.iter() if f"{PDFA}part" in element.attrib]

    assert [(one.attrib[f"{PDFA}part"], one.attrib[f"{PDFA}conformance"]) for one in named] == [("3", "B")]
    assert pdf.pdf_version == "1.7"


def test_it_has_an_identifier_and_an_output_intent_with_a_profile(pdf: pikepdf.Pdf) -> None:
    assert len(pdf.trailer.ID) == 2
    (intent,) = pdf.Root.OutputIntents
    assert intent.S == "/GTS_PDFA1"
    assert len(intent.DestOutputProfile.read_bytes()) > 1000


def test_every_font_is_embedded_and_maps_to_unicode(pdf: pikepdf.Pdf) -> None:
    fonts = [font for font in objects(pdf, Type="Font") if font.get("/Subtype") == "/Type0"]
    descriptors = objects(pdf, Type="FontDescriptor")

    assert fonts
    assert all("/ToUnicode" in font for font in fonts)
    assert all("/FontFile2" in descriptor or "/FontFile3" in descriptor for descriptor in descriptors)


def test_only_the_fonts_of_the_project_are_in_it(pdf: pikepdf.Pdf) -> None:
    """The style sheet gives the shipped faces a family name of its own, so that a face of the system shows up."""
    names = {str(font.BaseFont).rpartition("+")[2] for font in objects(pdf, Type="Font")}

    assert names
    assert {name for name in names if not name.startswith(FONT_FAMILY)} == set()


def test_both_attachments_are_associated_with_relationship_and_mime_type(pdf: pikepdf.Pdf) -> None:
    found = {str(file.UF): (str(file.AFRelationship), str(file.EF.F.Subtype)) for file in pdf.Root.AF}

    assert found == {
        "project.toml": ("/Source", "/application/toml"),
        "results.json": ("/Data", "/application/json"),
    }
    assert len(pdf.Root.AF) == 2


def test_attachments_are_the_very_files(pdf: pikepdf.Pdf, package: Made) -> None:
    attached = {name: pdf.attachments[name].get_file().read_bytes() for name in pdf.attachments}

    assert attached == {
        "project.toml": package.run.design.text,
        "results.json": package.files.results.read_bytes(),
    }
    assert package.run.design.text == (package.files.pdf.parent.parent / "project.toml").read_bytes()


def test_nothing_in_it_runs_and_it_is_not_encrypted(pdf: pikepdf.Pdf) -> None:
    assert not pdf.is_encrypted
    assert "/OpenAction" not in pdf.Root
    assert "/AA" not in pdf.Root
    assert objects(pdf, S="JavaScript") == []
    assert objects(pdf, S="Launch") == []
    assert objects(pdf, S="URI") == []


def test_every_figure_and_equation_has_an_alternative_text(pdf: pikepdf.Pdf, package: Made) -> None:
    figures = objects(pdf, S="Figure")
    texts = [str(figure.get("/Alt", "")) for figure in figures]
    steps = [step for part in package.run.sections for sheet in part.sheets for step in sheet.page.lines]
    # An equation stands once in a chapter: other scopes refer to it.
    equations = {
        (step.key.split("/")[1], equation(step.formula.symbol, step.formula.tree, step.names))
        for step in steps
        if step.formula
    }
    sheets = [sheet for part in package.run.sections for sheet in part.sheets if sheet.steps]
    tables = [table for sheet in sheets for table in sheet.page.tables if table.key not in sheet.page.recorded]
    in_tables = [cell for table in tables for row in table.rows for cell in row if isinstance(cell, Expression)]
    drawings = [figure for sheet in sheets for figure in sheet.page.figures]

    assert len(equations) + len(in_tables) + len(drawings) <= len(figures)
    assert len(figures) < len([step for step in steps if step.formula]) + len(in_tables) + len(drawings)
    assert all(texts)
    assert {figure.alt for figure in drawings} <= set(texts)
    assert pdf.Root.MarkInfo.Marked


def test_every_date_in_it_is_that_of_the_newest_revision(pdf: pikepdf.Pdf) -> None:
    files = [file.EF.F.Params for file in pdf.Root.AF]
    dates = [pdf.docinfo.CreationDate, pdf.docinfo.ModDate]
    dates += [params[name] for params in files for name in ("/CreationDate", "/ModDate")]

    assert {str(date)[2:10] for date in dates} == {"20250430"}


def test_bookmarks_name_every_section_and_chapter(pdf: pikepdf.Pdf, package: Made) -> None:
    with pdf.open_outline() as outline:
        titles = {item.title: [child.title for child in item.children] for item in outline.root}

    (part,) = package.run.sections
    chapters = [f"{index} {sheet.title}" for index, sheet in enumerate(part.sheets, start=1)]
    assert titles["Calculation"] == chapters
    others = {
        "Cover",
        "Summary",
        "Contents",
        "Assumptions",
        "References and register of sources",
        "Inputs",
        "Final sheet",
    }
    assert others <= set(titles)
