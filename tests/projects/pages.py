"""Sets the packages of the examples and reads their lines back from the pages.

`python -m tests.projects.pages [PROJECT …]`, minutes: before a release, and after a change of the layout. The tests set
one package whole and two chapters of each example, and read all lines in the text that the pages are set from.
"""

import sys
from collections.abc import Collection, Sequence
from re import findall, search, split

from calc.chain import Run
from calc.package.attached import ALONE, Document
from calc.package.pages import FIRST_HEAD, Pages
from calc.package.pieces import OPENING_PAGES, set_pieces, with_links, with_numbers
from calc.package.render import lay_out
from tests.packages.columns import rows_of
from tests.packages.reading import page_texts
from tests.packages.text_rows import said, text_rows
from tests.projects.store import EXAMPLES, run_of


def documents_of(run: Run) -> list[Document]:
    """The text that pages are set from."""
    return Pages(run).pieces(lambda _text: None)


def opening_pages(documents: Sequence[Document]) -> list[str]:
    """The text of each page of the opening; all that it refers to is said to stand on page 100."""
    numbers = {name: 100 for document in documents[1:] for name in findall(r'\bid="([^"]+)"', document.html)}
    return page_texts(lay_out(with_numbers(with_links(documents[0].html, frozenset()), numbers), piece=True))


def wrong_pages(run: Run, documents: Sequence[Document]) -> list[str]:
    """Lines that a reader of the pages finds otherwise than they stand in the text, and what the opening lacks."""
    dated = run.design.project.revisions[-1].date
    pdf = set_pieces(documents, (), dated, ALONE, lambda _progress: None)
    wrong = [] if FIRST_HEAD in page_texts(pdf)[OPENING_PAGES] else [f"{FIRST_HEAD!r} does not follow the opening"]
    return wrong + wrong_lines(run, documents, pdf)


def wrong_chapters(run: Run, documents: Sequence[Document], chapters: Collection[str]) -> list[str]:
    """The same of some chapters alone, by their numbers: nothing before, between and behind them is set."""
    wrong, held = [], []
    for document in documents[1:]:
        head, *found = split(r'(?=<div class="chapter[" ])', document.html)
        chosen = [one for one in found if search(r'id="c(\d+)"', one)[1] in chapters]  # type: ignore[index]  # each has
        if chosen:
            alone = Document("".join([head.partition("<body")[0], "<body>", *chosen]))
            missing = frozenset(findall(r'\bhref="#([^"]+)"', alone.html))
            wrong += wrong_lines(run, [alone], lay_out(with_links(alone.html, missing), piece=True))
            held.append(alone)
    lines = text_rows(held, [part.section.key for part in run.sections])
    return wrong if lines else [*wrong, "these chapters have no lines"]


def wrong_lines(run: Run, documents: Sequence[Document], pdf: bytes) -> list[str]:
    """Lines that do not stand on the pages as in the text."""
    wanted, found = text_rows(documents, [part.section.key for part in run.sections]), rows_of(run, pdf)
    wrong = [f"{row.number}: {said(row)} in the text, {said(other)} on its page"
             for row, other in zip(wanted, found, strict=False) if said(row) != said(other)]  # fmt: skip
    lost = [f"{len(wanted)} rows in the text, {len(found)} on the pages"] * (len(wanted) != len(found))
    return wrong + lost


if __name__ == "__main__":
    wanted = set(sys.argv[1:])
    for project in EXAMPLES:
        if not wanted or project.name in wanted:
            run = run_of(project)
            wrong = wrong_pages(run, documents_of(run))
            print(project.name, "\n".join(wrong) or "as in the text")  # noqa: T201
