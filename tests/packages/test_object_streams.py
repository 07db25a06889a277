"""The objects of a package lie in small streams; the file says what the renderer wrote."""

import re
from datetime import date
from io import BytesIO
from typing import Any

import pikepdf
import pytest

from calc.package import render
from calc.package.object_streams import MOST_OBJECTS, in_small_streams
from tests.archive.scenario import FACE

MANY = "".join(f'<h2 id="h{number}">Heading {number}</h2><p>Text <a href="#h0">first</a></p>' for number in range(80))


@pytest.fixture(scope="module")
def whole() -> bytes:
    """A file as the renderer writes it, with more objects than one small stream holds."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(render, "in_small_streams", lambda content: content)
        return page(MANY)


def page(body: str) -> bytes:
    html = f'<!DOCTYPE html><html lang="en"><title>t</title>{FACE}{body}</html>'
    return render.render_pdf(html, [render.Attached("a.txt", b"abc", "text/plain", "Data", "A text")], date(2025, 2, 1))


def counts(content: bytes) -> list[int]:
    return [int(one) for one in re.findall(rb"/Type /ObjStm/N (\d+)", content)]


def plain(found: Any) -> tuple[str, bytes]:
    """What an object says: its entries, and the content of a stream."""
    if isinstance(found, pikepdf.Stream):
        return repr(sorted((key, str(value)) for key, value in found.items())), found.read_raw_bytes()
    return found.unparse().decode("latin-1"), b""


def test_every_object_says_what_the_renderer_wrote(whole: bytes) -> None:
    cut = in_small_streams(whole)

    assert counts(whole)[0] > 3 * MOST_OBJECTS
    assert max(counts(cut)) == MOST_OBJECTS
    assert sum(counts(cut)) == sum(counts(whole))
    with pikepdf.open(BytesIO(whole)) as before, pikepdf.open(BytesIO(cut)) as after:
        assert after.check_pdf_syntax() == []
        packed = {one.objgen[0] for one in before.objects if isinstance(one, pikepdf.Stream) and one.get("/Type") in
                  {pikepdf.Name.ObjStm, pikepdf.Name.XRef}}  # fmt: skip
        numbers = [number for number in range(1, len(before.objects) + 1) if number not in packed]
        for number in numbers:
            assert plain(after.get_object(number, 0)) == plain(before.get_object(number, 0)), number
        assert [str(one) for one in after.trailer["/ID"]] == [str(one) for one in before.trailer["/ID"]]
        assert after.attachments["a.txt"].get_file().read_bytes() == b"abc"


def test_file_of_few_objects_stays_as_it_is() -> None:
    few = page("<p>One</p>")

    assert in_small_streams(few) == few


def test_pages_are_written_in_small_streams(whole: bytes) -> None:
    assert page(MANY) == in_small_streams(whole)
