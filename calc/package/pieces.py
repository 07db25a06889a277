"""A package is set in pieces: documents that are functions of their text alone, and are joined to one file.

So a piece can be set by a process beside this one, or be taken from an earlier package whose text was the same.
"""

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from re import Match, findall, sub

from calc.package.attached import Attached, Document, Means, PackageError
from calc.package.joined import GO_TO, Places, join, places_of
from calc.package.render import kept_pages, lay_out, open_pdf
from calc.run_progress import Progress, Tell

OPENING_PAGES = 2  # at first: cover with revisions and contents, summary
MOST_TRIES = 4
# Attributes stand behind a space: a search for one passes over pictures, most of the text, in one go.
TO_PLACE, ITS_ID, TO_PIECE = r'(\s)href="#([^"]+)"', r'\sid="([^"]+)"', rf'\shref="{GO_TO}([^"]+)"'
ASKS_PAGE = f'class="page" href="{GO_TO}'  # of a link that prints on which page of another piece its place stands


def set_pieces(
    documents: Sequence[Document],
    attached: Sequence[Attached],
    dated: date,
    means: Means,
    tell: Tell,
    *,
    whole: bool = True,
) -> bytes:
    """The package of some documents, joined; what says on which pages others stand, as the first does, is set last.

    Where they are not the `whole` package, what they say of lines that are left out is no link. Raises `PackageError`
    where a document cannot be set as it must be, or a link leads nowhere.
    """
    texts = [with_links(document.html, frozenset() if whole else _missing(documents)) for document in documents]
    late = [place for place, text in enumerate(texts[1:]) if ASKS_PAGE in text]
    # Set with any numbers at first, as they take room of their own only in a column.
    first = [with_numbers(text, dict.fromkeys(findall(TO_PIECE, text), 0)) if place in late else text
             for place, text in enumerate(texts[1:])]  # fmt: skip
    rest = _all_set(first, means, tell)
    tell(Progress("setting the opening and joining the pieces", 1.0, opens=True))
    # A piece is opened for a look only: open it takes ten times the room of its bytes.
    pages, places = OPENING_PAGES, [places_of(open_pdf(piece)) for piece in rest]
    for _ in range(MOST_TRIES):
        numbers = _numbers(places, pages)
        opening, *again = _opening_set(
            with_numbers(texts[0], numbers), [with_numbers(texts[1 + place], numbers) for place in late],
            attached, dated, means,
        )  # fmt: skip
        before = [pages, *(places[place].pages for place in late)]
        for place, piece in zip(late, again, strict=True):
            rest[place], places[place] = piece, places_of(open_pdf(piece))
        pages = len(open_pdf(opening).pages)
        if before == [pages, *(places[place].pages for place in late)]:
            opened = (open_pdf(piece) for piece in (opening, *rest))
            return join(opened, [document.continues for document in documents], kept=means.kept)
    message = f"the opening has {pages} pages with one set of page numbers and others with the next"
    raise PackageError(message)


def with_links(document: str, missing: frozenset[str]) -> str:
    """A document whose links to places that are not in it name them for the joining; those to missing ones are none."""
    ids = _ids(document)

    def new_target(match: Match[str]) -> str:
        space, name = match.groups()
        if name in missing:
            return f'{space}data-page="–"'
        return match[0] if name in ids else f'{space}href="{GO_TO}{name}"'

    return sub(TO_PLACE, new_target, document)


def _ids(document: str) -> set[str]:
    return set(findall(ITS_ID, document))


def _missing(documents: Sequence[Document]) -> frozenset[str]:
    """Places that links name and no document has."""
    there = set[str]().union(*(_ids(document.html) for document in documents))
    named = {name for document in documents for _, name in findall(TO_PLACE, document.html)}
    return frozenset(named - there)


def with_numbers(document: str, numbers: Mapping[str, int]) -> str:
    """A document whose links to other pieces know their page; the style sheet prints it where a link asks for it."""

    def with_page(match: Match[str]) -> str:
        if match[1] not in numbers:
            message = f"no page has the place {match[1]}"
            raise PackageError(message)
        return f'{match[0]} data-page="{numbers[match[1]]}"'

    return sub(TO_PIECE, with_page, document)


def _numbers(rest: Sequence[Places], before: int) -> dict[str, int]:
    """The page of each place, with so many pages before."""
    numbers: dict[str, int] = {}
    for piece in rest:
        numbers |= {name: before + page + 1 for name, page in piece.page_of.items()}
        before += piece.pages
    return numbers


def _all_set(texts: Sequence[str], means: Means, tell: Tell) -> list[bytes]:
    """Every piece; the largest first, so that no process is left with one at the end."""
    begun = 0

    def begin(missing: int) -> None:
        nonlocal begun
        begun += 1
        tell(Progress(f"setting the pages, piece {begun} of {missing}", 1.0, opens=True))

    return _set(texts, set_alone, means, begin)


def _opening_set(
    opening: str, others: Sequence[str], attached: Sequence[Attached], dated: date, means: Means
) -> list[bytes]:
    """The opening, to which files are attached, and other pieces."""

    def set_one(text: str) -> bytes:
        return lay_out(text, attached, dated, piece=True) if text == opening else set_alone(text)

    return _set([opening, *others], set_one, means, lambda _: None, kept_from=1)


def _set(
    texts: Sequence[str],
    work: Callable[[str], bytes],
    means: Means,
    begin: Callable[[int], None],
    *,
    kept_from: int = 0,
) -> list[bytes]:
    """Pieces taken from what is kept or set by `work`, beside this process where that can be.

    Those before `kept_from` depend on more than their text and are not kept. `begin` is told how many are set.
    """
    kept = means.kept
    pieces = {text: piece for text in texts[kept_from:] if kept and (piece := kept.read(text))}
    missing = sorted((text for text in dict.fromkeys(texts) if text not in pieces), key=len, reverse=True)
    made = means.beside(work, missing, lambda: begin(len(missing))) if means.beside and missing else {}
    for place, text in enumerate(missing):
        if place not in made:
            begin(len(missing))
            made[place] = work(text)
        pieces[text] = made[place]
        if kept and text not in texts[:kept_from]:
            kept.keep(text, made[place])
    return [pieces[text] for text in texts]


def set_alone(text: str) -> bytes:
    """One piece, as a function of its text alone."""
    return kept_pages(text, None)
