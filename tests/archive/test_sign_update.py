"""Stamps that are written behind the end of a package."""

import random
import re
from io import BytesIO

import pikepdf
import pytest

from calc.archive.signing.update import Pdf, Unreadable, Update, place_of, with_stamp
from tests.archive.scenario import small_package
from tests.archive.test_hostile import mutated


def test_stamp_goes_beside_annotations_that_are_there() -> None:
    package = small_package(b"a = 1", b"{}")
    stamp = small_package(b"", b"")
    twice = with_stamp(with_stamp(package, "originator", stamp, "x"), "checker", stamp, "y")

    with pikepdf.open(BytesIO(twice)) as pdf:
        assert [str(annot.Contents) for annot in pdf.pages[0].Annots] == ["y", "x"]
        assert pdf.check_pdf_syntax() == []


def test_mutated_packages_are_stamped_or_refused() -> None:
    package, stamp = small_package(b"a = 1", b"{}"), small_package(b"", b"")
    chance = random.Random(3)  # noqa: S311 - mutations, no secret
    refused = 0
    for _ in range(1500):
        changed = mutated(package, chance)
        try:
            assert with_stamp(changed, "checker", stamp, "x").startswith(changed)
        except Unreadable as error:
            refused += 1
            assert len(str(error)) < 300  # noqa: PT017 - either is right, a traceback is not

    assert refused > 100


def test_file_of_another_form_is_refused() -> None:
    package = re.sub(rb"startxref\n\d+", b"startxref\n7", small_package(b"a = 1", b"{}"))

    with pytest.raises(Unreadable, match="no object at 7"):
        Pdf(package)


def test_place_that_the_cover_does_not_have_is_named() -> None:
    with pytest.raises(Unreadable, match="has no place for the director"):
        place_of(Pdf(small_package(b"a = 1", b"{}")), "director")


def test_object_that_is_not_there_is_named() -> None:
    with pytest.raises(Unreadable, match="no object 99999"):
        Pdf(small_package(b"a = 1", b"{}")).dictionary(99_999)


def test_file_with_endless_updates_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("calc.archive.signing.update.MOST_SECTIONS", 1)
    stamp = small_package(b"", b"")
    once = with_stamp(small_package(b"a = 1", b"{}"), "originator", stamp, "x")

    with pytest.raises(Unreadable, match="more than 1 updates"):
        with_stamp(once, "checker", stamp, "x")


def test_objects_that_name_each_other_are_copied_once() -> None:
    class Source:
        def stream(self, number: int) -> tuple[bytes, bytes]:
            return {1: (b"<</A 2 0 R /B 2 0 R>>", b""), 2: (b"<</Up 1 0 R>>", b"data")}[number]

    update = Update(Pdf(small_package(b"a = 1", b"{}")))
    first = update._copy(Source(), 1, {})  # type: ignore[arg-type]  # all that is asked of a file

    assert update.objects == {
        first: b"<</A %d 0 R /B %d 0 R>>" % (first + 1, first + 1),
        first + 1: b"<</Up %d 0 R>>\nstream\ndata\nendstream" % first,
    }
