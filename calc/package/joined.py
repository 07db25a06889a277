"""Pieces of a package as one file: their pages with numbers, places, links, outline and structure.

ISO 32000-1, 7.7.3.3 (pages), 7.9.6 (name trees), 12.3 (destinations, outlines), 14.7 (structure), 14.8.2.2.2
(artifacts), from memory of the standard.
"""

from collections.abc import Iterable, Iterator, Sequence
from re import sub
from typing import Any, NamedTuple

from pikepdf import Array, Dictionary, Name, Pdf, Stream, String

from calc.package.attached import Kept, PackageError
from calc.package.render import kept_pages, number_name, open_pdf, pack_pdf

A4_LONG = 842.0  # points; what is wider is a drawing sheet (A3)
GO_TO = "goto:"  # before the name of a place in another piece, in the place of an address
NUMBERS = """<!DOCTYPE html><html lang="en"><head><title>Page numbers</title><link rel="stylesheet" href="package.css">
<style>@page {{ border-color: transparent }} div {{ break-before: page }}</style></head><body>{}</body></html>"""


class Places(NamedTuple):
    """How many pages a piece has, and on which, from 0, each of its named places stands."""

    pages: int
    page_of: dict[str, int]


def places_of(piece: Pdf) -> Places:
    """The pages of a piece with their named places."""
    order = _order(piece)
    return Places(len(order), {name: order[place[0].objgen] for name, place in _places(piece)})


def join(pieces: Iterable[Pdf], continued: Sequence[int], *, numbered: bool = True, kept: Kept | None = None) -> bytes:
    """One file of all pieces; what is said of the whole file, as metadata and attachments, is that of the first.

    The first headings of a piece, as many as are `continued`, stand below the last one before it. Pages are numbered
    through unless `numbered` is False: pieces then have numbers of their own. Raises `PackageError` where a link leads
    to a place that no piece has.
    """
    opened = iter(pieces)
    joined = _Joined(next(opened))
    for piece, below in zip(opened, continued[1:], strict=True):
        joined.add(piece, below=below)
    return joined.to_bytes(numbered=numbered, kept=kept)


class _Joined:
    """A file to whose end pieces are added."""

    def __init__(self, whole: Pdf) -> None:
        self._whole = whole
        self._places = dict(_places(whole))
        self._parents = whole.Root.StructTreeRoot.ParentTree.Nums
        self._document = whole.Root.StructTreeRoot.K[0]
        self._keys = _most_key(self._parents) + 1
        self._in_piece = list(range(len(whole.pages)))

    def add(self, piece: Pdf, *, below: int) -> None:
        """Add the pages of a piece and what is said of them; raises `PackageError` where a place is there already."""
        begins, order = len(self._whole.pages), _order(piece)
        with self._whole.open_outline() as outline:
            headings = len(outline.root)
        self._whole.add_pages_from(piece, layers="ignore")
        if below:
            with self._whole.open_outline() as outline:
                outline.root[headings - 1].children.extend(outline.root[headings : headings + below])
                del outline.root[headings : headings + below]
        self._in_piece += range(len(order))
        pages = {of: self._whole.pages[begins + index].obj for of, index in order.items()}
        for name, place in _places(piece):
            if name in self._places:
                message = f"two pieces have the place {name}"
                raise PackageError(message)
            self._places[name] = Array([pages[place[0].objgen], *list(place)[1:]])
        # The pages are known here by now, so that what the structure says of them is said of those of the whole.
        structure = self._whole.copy_foreign(piece.Root.StructTreeRoot)
        structure.K[0].S, structure.K[0].P = Name.Part, self._document
        self._document.K.append(structure.K[0])
        nums = structure.ParentTree.Nums
        for index in range(0, len(nums), 2):
            self._parents.append(int(nums[index]) + self._keys)
            self._parents.append(nums[index + 1])
        for page in pages.values():
            page.StructParents = int(page.StructParents) + self._keys
            for link in _links(page):
                link.StructParent = int(link.StructParent) + self._keys
        self._keys += _most_key(nums) + 1

    def to_bytes(self, *, numbered: bool, kept: Kept | None) -> bytes:
        """The file with its links, places, outline and page numbers."""
        for page in self._whole.pages:
            for link in _links(page.obj):
                self._resolve(link)
        names = [part for name in sorted(self._places) for part in (String(name), self._places[name])]
        tree = self._whole.Root.get("/Names", Dictionary())
        tree.Dests = Dictionary(Names=Array(names))
        self._whole.Root.Names = tree
        if numbered:
            _number(self._whole, self._in_piece, kept)
        return pack_pdf(self._whole)

    def _resolve(self, link: Any) -> None:
        """Lead a link to the place that it names."""
        address = str(link.A.URI) if "/A" in link else ""
        if address.startswith(GO_TO):
            name = address.removeprefix(GO_TO)
            if name not in self._places:
                message = f"no page has the place {name}, to which a link leads"
                raise PackageError(message)
            del link.A
            link.Dest = link.Contents = String(name)


def _order(piece: Pdf) -> dict[Any, int]:
    """The place of each page by what names it in its own piece."""
    return {page.objgen: index for index, page in enumerate(piece.pages)}


def _places(piece: Pdf) -> Iterator[tuple[str, Any]]:
    names: Any = piece.Root.get("/Names")
    listed = names.Dests.Names if names is not None and "/Dests" in names else ()
    for index in range(0, len(listed), 2):
        yield str(listed[index]), listed[index + 1]


def _links(page: Any) -> Iterator[Any]:
    """The annotations of a page, which are links."""
    yield from page.get("/Annots", ())


def _most_key(nums: Any) -> int:
    return max((int(nums[index]) for index in range(0, len(nums), 2)), default=-1)


def _number(whole: Pdf, places: Sequence[int], kept: Kept | None) -> None:
    """Give each page what stands at its foot, as “page 7 of 80”; `places` are those of the pages in their pieces."""
    furniture = "".join(f'<div class="furniture {_way(page)}"></div>' for page in whole.pages)
    numbers = open_pdf(kept_pages(NUMBERS.format(furniture), kept, piece=False))
    resources = whole.copy_foreign(numbers.pages[0].Resources)
    for page, place, number in zip(whole.pages, places, numbers.pages, strict=True):
        # No structure holds it: an artifact.
        form = Stream(whole, sub(rb"/\w+ <</MCID \d+>> BDC", b"/Artifact BMC", number.Contents.read_bytes()))
        form.Type, form.Subtype = Name.XObject, Name.Form
        form.BBox, form.Resources = Array(list(number.MediaBox)), resources
        # The page draws it (calc/package/render.py); pages of a piece share their resources, so that each has its name.
        page.Resources.XObject[f"/{number_name(place)}"] = form


def _way(page: Any) -> str:
    """The class of a page by its size: A4 upright or across, A3."""
    wide, high = float(page.mediabox[2]), float(page.mediabox[3])
    return "drawn" if wide > A4_LONG else "across" if wide > high else "upright"
