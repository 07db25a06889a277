"""Reads the printed lines of a package back from its PDF, as a person with the paper would: by place on the page."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise, takewhile
from pathlib import Path
from re import compile as pattern
from re import sub

import pypdfium2

MM = 72.0 / 25.4
# Where the columns of a calculation step begin (templates/package.css), mm from the left edge of the page.
NUMBER, BODY = (19.5, 22.0), (33.0, 36.0)
NUMBERS = 7.5  # the size of the numbers put into an equation, which nothing else on a line has, pt

_LOWERED = str.maketrans("⁻⁰¹²³⁴⁵⁶⁷⁸⁹", "-0123456789")
_NUMBER = pattern(r"[A-Za-z0-9_-]+\.\d+\.\d+")
_RESULT = pattern(r"= (?P<value>-?\d[\d.]*(?:e-?\d+)?)(?:\s?(?P<unit>°|1/\S+|[^\s\d=]+))?")


@dataclass(frozen=True)
class PrintedLine:
    """One numbered line which has numbers: its number, title, symbol, line with numbers, result and unit.

    `shown` is the result as printed, in both units where there are two.
    """

    number: str
    title: str
    symbol: str
    numbers: str
    result: str
    unit: str
    shown: str


def printed_lines(pdf: Path | bytes) -> list[PrintedLine]:
    """Every line with an equation, in printed order."""
    return [line for runs in _runs_of(_content(pdf)) for line in _lines(runs)]


def printed_values(pdf: Path | bytes) -> list[tuple[str, str, str, str]]:
    """Number, numbers, result, unit of every line with an equation."""
    return [(line.number, line.numbers, line.result, line.unit) for line in printed_lines(pdf)]


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


@dataclass(frozen=True)
class _Run:
    """One run of text in the order of the page's content, mm."""

    text: str
    left: float
    right: float
    size: float

    @property
    def of_numbers(self) -> bool:
        return abs(self.size - NUMBERS) < 0.03

    def begins(self, column: tuple[float, float]) -> bool:
        return column[0] <= self.left <= column[1]


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
        left, _, right, _ = item.get_bounds()
        yield _Run(_plain(item.extract()), left / MM, right / MM, _size(item))


def _plain(text: str) -> str:
    """A run without hard spaces, its powers of ten as typed."""
    text = text.replace("\u00a0", " ").strip()
    return sub(r"·10([⁻⁰¹²³⁴-⁹]+)", lambda found: "e" + found[1].translate(_LOWERED), text)


def _size(item: pypdfium2.PdfTextObj) -> float:
    """The size of a text on the page, pt."""
    return float(item.get_font_size() * item.get_matrix().a)


def text_span(pdf: Path | bytes) -> tuple[float, float]:
    """The leftmost and the rightmost edge of any text, mm."""
    runs = [run for page in _runs_of(_content(pdf)) for run in page]
    return min(run.left for run in runs), max(run.right for run in runs)


def _lines(page: tuple[_Run, ...]) -> Iterator[PrintedLine]:
    runs = [run for run in page if run.text]
    starts = [k for k, run in enumerate(runs) if run.begins(NUMBER) and _NUMBER.fullmatch(run.text)]
    for start, end in pairwise([*starts, len(runs)]):
        line = _line(runs[start:end])
        if line is not None:
            yield line


def _line(runs: list[_Run]) -> PrintedLine | None:
    """The runs from one number to the next; None where no line with numbers is among them."""
    first = next((k for k, run in enumerate(runs) if run.of_numbers and run.text.startswith("= ")), None)
    if first is None:
        return None
    numbers = [run.text for run in takewhile(lambda run: run.of_numbers, runs[first:])]
    after = first + len(numbers)
    last = next((k for k in range(after, len(runs)) if _RESULT.fullmatch(runs[k].text)), None)
    if last is None:
        message = f"no result after the numbers of {runs[0].text}: {[run.text for run in runs]}"
        raise ValueError(message)
    result = _RESULT.fullmatch(runs[last].text)
    assert result is not None
    title = " ".join(run.text for run in runs[1:first] if run.begins(BODY))
    own = typed(" ".join(numbers)).removeprefix("= ")
    shown = [runs[last].text.removeprefix("= ")]
    # The same result in the unit of the trade stands below it.
    shown += [run.text.removeprefix("= ") for run in runs[last + 1 : last + 2] if _RESULT.fullmatch(run.text)]
    return PrintedLine(
        runs[0].text, title, _before(runs, last), own, result["value"], result["unit"] or "", " = ".join(shown)
    )


def _before(runs: list[_Run], last: int) -> str:
    """The symbol: the runs which join on to the result without a gap."""
    text, left = "", runs[last].left
    for run in reversed(runs[:last]):
        if not 0.0 <= left - run.right + 0.4 <= 1.6:
            break
        text, left = run.text + text, run.left
    return text
