"""Sets the packages of the examples and reads their lines back from the pages.

`python -m tests.projects.pages [PROJECT …]`, minutes: before a release, and after a change of the layout. The tests set
one package whole and some chapters of another, and read the lines of the rest in the text that the pages are set from.
"""

import sys
from collections.abc import Sequence
from re import findall

from calc.chain import Run
from calc.package.attached import ALONE, Document
from calc.package.pages import FIRST_HEAD, Pages
from calc.package.pieces import OPENING_PAGES, set_pieces, with_links, with_numbers
from calc.package.render import rendered
from tests.packages.columns import rows_of
from tests.packages.reading import page_texts
from tests.packages.text_rows import said, text_rows
from tests.projects.store import EXAMPLES, run_of


def documents_of(run: Run, chapters: Sequence[str] = ()) -> list[Document]:
    """The text that pages are set from, of some chapters or all."""
    return Pages(run, only=chapters).pieces(lambda _text: None)


def opening_pages(documents: Sequence[Document]) -> list[str]:
    """The text of each page of the opening; all that it refers to is said to stand on page 100."""
    numbers = {name: 100 for one in documents[1:] for name in findall(r'\bid="([^"]+)"', one.html)}
    return page_texts(rendered(with_numbers(with_links(documents[0].html, frozenset()), numbers), piece=True))


def wrong_pages(run: Run, chapters: Sequence[str] = ()) -> list[str]:
    """Lines that a reader of the pages finds otherwise than they stand in the text, and what the opening lacks."""
    documents = documents_of(run, chapters)
    dated = run.design.project.revisions[-1].date
    pdf = set_pieces(documents, (), dated, ALONE, lambda _progress: None, whole=not chapters)
    texts = page_texts(pdf)
    wanted, found = text_rows(documents, [part.section.key for part in run.sections]), rows_of(run, pdf)
    wrong = [f"{one.number}: {said(one)} in the text, {said(other)} on its page"
             for one, other in zip(wanted, found, strict=False) if said(one) != said(other)]  # fmt: skip
    if len(wanted) != len(found):
        wrong.append(f"{len(wanted)} rows in the text, {len(found)} on the pages")
    if not chapters and FIRST_HEAD not in texts[OPENING_PAGES]:
        wrong.append(f"{FIRST_HEAD!r} is not on page {OPENING_PAGES + 1}")
    return wrong


if __name__ == "__main__":
    wanted = set(sys.argv[1:])
    for project in EXAMPLES:
        if not wanted or project.name in wanted:
            wrong = wrong_pages(run_of(project))
            print(project.name, "\n".join(wrong) or "as in the text")  # noqa: T201
