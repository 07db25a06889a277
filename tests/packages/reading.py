"""Reads the printed lines of a package back from its PDF, as a person with the paper would: by place on the page."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise, takewhile
from pathlib import Path
from re import compile as pattern
from re import sub

import pypdfium2

from calc.package.pages import Pages

MM = 72.0 / 25.4
# Where the lines stand (templates/package.css), mm from the left edge of the page.
LEFT, HALF, THIRD, BODY = 20.0, 87.5, 175.0 / 3, 32.5
LAST_FULL, LAST_SHORT, LAST_BESIDE, LAST_THIRD = 182.6, 80.5, 95.3, 52.8  # right edges of the last column of values
STARTS = 0.0, HALF, THIRD, 2 * THIRD  # of rows beside each other
HEADS = 7.1  # the size of the names of columns, pt
CHAPTER = 11.5  # the size of the headings of chapters, pt
FULL_WIDTH, SHORT_WIDTH = 14.2, 12.6  # of one column of values, mm
MANY = 4  # columns, with which a short row takes the whole width, its values below those of the lines
SHORT = 7.3  # the size of symbols in short rows, pt
NUMBERS, RAISED = 7.2, 5.7  # sizes of the numbers put into an equation and of exponents there, of nothing else, pt
NEAR = 0.6
SAME_LINE = 1.6  # mm between the feet of signs on one line
HEAD, FOOT, PAPER = 17.0, 13.5, 297.0  # height of a page and what the running lines of a page take, mm

_LOWERED = str.maketrans("⁻⁰¹²³⁴⁵⁶⁷⁸⁹", "-0123456789")
_AMOUNT = pattern(r"-?\d[\d.]*(?:e-?\d+)?|–|\(.*\)|[a-z ]{3,}")
_NUMBER = pattern(r"([□▣↳]) (\d+\.\d+)")


@dataclass(frozen=True)
class PrintedRow:
    """One numbered row: its values by section, its unit, and the numbers put into its equation by section.

    The numbers of the worked section stand under an empty key. `again` rows stand at the head of a scope with the value
    of a line at the case of the scope.
    """

    number: str
    body: str
    values: dict[str, str]
    unit: str
    numbers: dict[str, str]
    again: bool


def printed_rows(pdf: Path | bytes, sections: Sequence[str]) -> list[PrintedRow]:
    """Every numbered row of a package whose sections stand in one block, in printed order."""
    found: list[PrintedRow] = []
    columns = list(sections)
    for runs in _runs_of(_content(pdf)):
        rows, columns = _rows(runs, sections, columns)
        found += rows
    return found


def typed(text: str) -> str:
    """Numbers and products of a page as they are typed into a calculator: `2.0·10⁻⁸ · 3` as `2.0e-8 * 3`."""
    text = sub(r"(/ |\^)\((\d[\d.]*e-?\d+)\)", r"\1\2", _plain(text))
    return sub(r"\((\d[\d.]*e-?\d+)\)\^", r"\1^", text).replace(" · ", " * ")


def page_texts(pdf: Path | bytes) -> list[str]:
    """The text of each page."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        # The reader gives a hyphen at the end of a line as this sign.
        return [page.get_textpage().get_text_range().replace("\r", "").replace("\ufffe", "-") for page in document]
    finally:
        document.close()


def body_texts(pdf: Path | bytes) -> list[str]:
    """The text of each page without its running lines."""
    return _body_texts(_content(pdf))


@lru_cache(maxsize=2)
def _body_texts(pdf: bytes) -> list[str]:
    document = pypdfium2.PdfDocument(pdf)
    try:
        return [
            page.get_textpage().get_text_bounded(bottom=FOOT * MM, top=page.get_height() - HEAD * MM).replace("\r", "")
            for page in document
        ]
    finally:
        document.close()


@dataclass(frozen=True)
class _Run:
    """One run of text in the order of the page's content, mm."""

    text: str
    left: float
    right: float
    size: float
    bottom: float

    @property
    def of_numbers(self) -> bool:
        return abs(self.size - NUMBERS) < 0.03 or self.raised

    @property
    def raised(self) -> bool:
        return abs(self.size - RAISED) < 0.03


def _content(pdf: Path | bytes) -> bytes:
    return pdf.read_bytes() if isinstance(pdf, Path) else pdf


@lru_cache(maxsize=4)
def _runs_of(pdf: bytes) -> tuple[tuple[_Run, ...], ...]:
    """The runs of each page; kept, because reading takes seconds and several tests ask of one package."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        return tuple(tuple(_runs(page)) for page in document)
    finally:
        document.close()


def _runs(page: pypdfium2.PdfPage) -> Iterator[_Run]:
    texts = page.get_textpage()
    for item in page.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_TEXT], textpage=texts):
        left, bottom, right, _ = item.get_bounds()
        yield _Run(_plain(item.extract()), left / MM, right / MM, _size(item), bottom / MM)


def _plain(text: str) -> str:
    """A run without hard spaces, its powers of ten and signs as typed."""
    text = text.replace("\u00a0", " ").replace("−", "-").strip()
    return sub(r"·10([⁻⁰¹²³⁴-⁹]+)", lambda found: "e" + found[1].translate(_LOWERED), text)


def _size(item: pypdfium2.PdfTextObj) -> float:
    """The size of a text on the page, pt."""
    return float(item.get_font_size() * item.get_matrix().a)


def text_span(pdf: Path | bytes) -> tuple[float, float]:
    """The leftmost and the rightmost edge of any text on an upright page, mm."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        upright = [page.get_width() < page.get_height() for page in document]
    finally:
        document.close()
    pages = zip(_runs_of(_content(pdf)), upright, strict=True)
    runs = [run for page, stands in pages if stands for run in page]
    return min(run.left for run in runs), max(run.right for run in runs)


def _rows(page: tuple[_Run, ...], sections: Sequence[str], before: list[str]) -> tuple[list[PrintedRow], list[str]]:
    """The rows of a page, and the sections that have columns at its end; `before` are those at its beginning."""
    runs = [run for run in page if run.text and FOOT <= run.bottom <= PAPER - HEAD]
    starts = [k for k, run in enumerate(runs) if _is_number(run)]
    heads = _heads(runs, sections)

    def columns(level: float) -> list[str]:
        return min([(height, keys) for height, keys in heads if height > level], default=(PAPER, before))[1]

    rows = [_row(runs[start:end], sections, columns(runs[start].bottom))
            for start, end in pairwise([*starts, len(runs)])]  # fmt: skip
    return rows, columns(0.0)


def _heads(runs: list[_Run], sections: Sequence[str]) -> list[tuple[float, list[str]]]:
    """The names of columns with their height on the page; at the heading of a chapter those of all sections."""
    levels: dict[float, set[str]] = {}
    for run in runs:
        if abs(run.size - CHAPTER) < 0.03:
            levels[run.bottom] = set(sections)
        elif abs(run.size - HEADS) < 0.03 and run.text in sections:
            level = next((known for known in levels if abs(known - run.bottom) < SAME_LINE), run.bottom)
            levels.setdefault(level, set()).add(run.text)
    return [(level, [key for key in sections if key in keys]) for level, keys in levels.items()]


def _is_number(run: _Run) -> bool:
    return min(abs(run.left - LEFT - place) for place in STARTS) < NEAR and _NUMBER.fullmatch(run.text) is not None


def _row(runs: list[_Run], sections: Sequence[str], columns: Sequence[str]) -> PrintedRow:
    """The runs from one number to the next."""
    found = _NUMBER.fullmatch(runs[0].text)
    assert found is not None
    # A heading, a caption or a paragraph begins where numbers do.
    runs = [runs[0], *takewhile(lambda run: run.left > BODY - 2.0, runs[1:])]
    moved = min(STARTS, key=lambda place: abs(runs[0].left - LEFT - place))
    short = moved > NEAR or (len(runs) > 1 and abs(runs[1].size - SHORT) < 0.03)
    ends = [run.right - moved for run in runs[1:] if _is_value(run)]
    in_thirds = any(abs(end - LAST_THIRD) < 2 * NEAR for end in ends) and len(columns) == 1
    last_short = LAST_THIRD if in_thirds else LAST_SHORT if len(columns) == 1 else LAST_BESIDE
    last = last_short + moved if short else LAST_FULL
    width = SHORT_WIDTH if short else FULL_WIDTH
    if short and len(columns) == MANY:
        last, width = LAST_FULL, FULL_WIDTH
    edges = {key: last - width * k for k, key in enumerate(reversed(columns))}
    first = min(edges.values()) - width - NEAR if short else BODY + 20.0
    values: dict[str, str] = {}
    for run in runs[1:]:
        for key, edge in edges.items():
            beside = short or abs(run.bottom - runs[0].bottom) < SAME_LINE  # below pass equations and notes
            if beside and -NEAR < run.right - edge < 2 * NEAR and run.left > first and _is_value(run):
                values.setdefault(key, typed(run.text))  # behind the row may stand a figure
    level = [run for run in runs[1:] if short or abs(run.bottom - runs[0].bottom) < SAME_LINE]
    units = [run.text for run in level if 0.0 < run.left - last < 3.0 and not _is_value(run)]
    body = " ".join(run.text for run in runs[1:] if run.left < min(edges.values()) - width and not run.of_numbers)
    return PrintedRow(found[2], body, values, " ".join(units), _numbers(runs, sections), found[1] == "↳")


def _is_value(run: _Run) -> bool:
    return not run.of_numbers and _AMOUNT.fullmatch(typed(run.text)) is not None


def _numbers(runs: list[_Run], sections: Sequence[str]) -> dict[str, str]:
    """The numbers of an equation, those of the worked section first, then those that name theirs."""
    texts: dict[str, list[str]] = {}
    current = ""
    for before, run in pairwise(runs):
        # A drawing behind the row may have signs of the size of exponents.
        if not run.of_numbers or (run.raised and not before.of_numbers):
            continue
        key, _, rest = run.text.partition(" = ")
        if run.left < BODY + NEAR and key in sections:
            current, text = key, rest
        else:
            text = f"^({run.text})" if run.raised else run.text
        texts.setdefault(current, []).append(text)
    return {key: typed(" ".join(own)).removeprefix("=").strip() for key, own in texts.items()}


def html_of(pages: Pages) -> str:
    """The text of all pieces of a package."""
    return "".join(piece.html for piece in pages.pieces(lambda _text: None))
