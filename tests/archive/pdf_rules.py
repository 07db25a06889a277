"""Own rules for a file as an archive reads it, after somebody has signed it.

The reference validator of PDF/A is not available here. These are rules that ISO 19005-3 is quoted for in public
sources: identification, output intent, fonts, associated files, annotations and fields, no scripts, no encryption. They
are no substitute for a validation. The syntax is checked by qpdf, which pikepdf is
made on.
"""

from collections.abc import Iterator
from io import BytesIO
from typing import Any
from xml.etree import ElementTree as ET

import pikepdf

PDFA = "{http://www.aiim.org/pdfa/ns/id/}"
HIDDEN = {"Invisible": 1, "Hidden": 2, "NoView": 32, "ToggleNoView": 256}
PRINT = 4
ACTIONS = {"/JavaScript", "/Launch", "/Sound", "/Movie", "/ResetForm", "/ImportData", "/Hide", "/SetOCGState",
           "/Rendition", "/Trans", "/GoTo3DView"}  # fmt: skip


def broken_rules(content: bytes) -> list[str]:
    """What is wrong with a file that says it is PDF/A-3b."""
    with pikepdf.open(BytesIO(content)) as pdf:
        return [*pdf.check_pdf_syntax(), *_document(pdf), *_objects(pdf), *_annotations(pdf), *_form(pdf)]


def _document(pdf: pikepdf.Pdf) -> Iterator[str]:
    named = [one.attrib for one in ET.fromstring(pdf.Root.Metadata.read_bytes()).iter()]  # noqa: S314 - our own
    if [(one[f"{PDFA}part"], one[f"{PDFA}conformance"]) for one in named if f"{PDFA}part" in one] != [("3", "B")]:
        yield "identification"
    if pdf.pdf_version != "1.7" or "/Version" in pdf.Root or pdf.is_encrypted:
        yield "version or encryption"
    if len(pdf.trailer.ID) != 2:
        yield "identifier"
    if [str(intent.S) for intent in pdf.Root.OutputIntents] != ["/GTS_PDFA1"]:
        yield "output intent"
    if not all("/AFRelationship" in one and "/Subtype" in one.EF.F for one in pdf.Root.AF):
        yield "associated files"
    if "/AA" in pdf.Root or "/OpenAction" in pdf.Root or "/JavaScript" in pdf.Root.Names:
        yield "actions of the document"


def _objects(pdf: pikepdf.Pdf) -> Iterator[str]:
    for one in pdf.objects:
        if not isinstance(one, pikepdf.Dictionary | pikepdf.Stream):
            continue
        kind = str(one.get("/Type", ""))
        if kind == "/FontDescriptor" and "/FontFile2" not in one and "/FontFile3" not in one:
            yield "a font is not embedded"
        if kind == "/Font" and not {"/FontDescriptor", "/DescendantFonts"} & set(one.keys()):
            yield f"a font without its file: {one.get('/BaseFont')}"
        if one.get("/Subtype") == "/Type0" and "/ToUnicode" not in one:
            yield "a font without characters"
        if str(one.get("/S", "")) in ACTIONS:
            yield "an action"
        if isinstance(one, pikepdf.Stream) and str(one.get("/Filter", "")) in {"/LZWDecode", "/Crypt"}:
            yield "a filter"


def _annotations(pdf: pikepdf.Pdf) -> Iterator[str]:
    for page in pdf.pages:
        for one in page.get("/Annots", []):
            kind, flags = str(one.Subtype), int(one.get("/F", 0))
            if kind == "/Link":
                continue
            if flags & sum(HIDDEN.values()) or not flags & PRINT:
                yield f"{kind} does not print or can be hidden"
            if list(one.get("/AP", {}).keys()) != ["/N"] or not isinstance(one.AP.N, pikepdf.Stream):
                yield f"{kind} has no plain appearance"
            if {"/A", "/AA", "/C", "/IC", "/CA"} & set(one.keys()):
                yield f"{kind} has actions or colours"


def _form(pdf: pikepdf.Pdf) -> Iterator[str]:
    form: Any = pdf.Root.get("/AcroForm")
    if form is None:
        return
    if form.get("/NeedAppearances", False) or "/XFA" in form:
        yield "form"
    for field in form.Fields:
        if field.FT != "/Sig" or "/AA" in field:
            yield "field"
        if "/V" in field and field.V.ByteRange[0] != 0:
            yield "a signature does not begin with the file"
