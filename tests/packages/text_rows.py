"""Reads the printed lines of a package from the text that its pages are set from: the same rows, and no page is set."""

from collections.abc import Iterator, Sequence
from html.parser import HTMLParser
from re import compile as pattern
from re import sub

from calc.package.attached import Document
from tests.packages.reading import PrintedRow, typed

_NUMBER = pattern(r"([□▣↳]) (\d+\.\d+)")
CELLS = {"no", "v", "u", "s", "b", "o"}
WITHOUT_END = {"img", "col", "br", "link", "meta", "hr"}


def text_rows(documents: Sequence[Document], sections: Sequence[str]) -> list[PrintedRow]:
    """Every numbered row of the documents of a package whose sections stand in one block, in printed order."""
    return [row for document in documents for row in _rows(document.html, sections)]


def said(row: PrintedRow) -> tuple[object, ...]:
    """What the reader of the text and the reader of the pages both give of a row."""
    numbers = {key: text.replace(" ", "") for key, text in row.numbers.items()}
    return row.number, row.values, numbers, row.again


def _rows(html: str, sections: Sequence[str]) -> Iterator[PrintedRow]:
    reader = _Cells()
    # Pictures are most of the text and hold no line.
    reader.feed(sub(r'src="data:[^"]*"', "", html))
    reader.close()
    rows: list[tuple[list[str], list[tuple[str, str, list[str]]]]] = []
    columns = list(sections)
    for cell in reader.cells:
        if cell[0] == "chapter":
            columns = list(sections)
        elif cell[0] == "heads":
            columns = [key for key in sections if key in cell[1].split()]
        elif cell[0] == "no":
            rows.append((columns, [cell]))
        elif rows:
            rows[-1][1].append(cell)
    for columns, row in rows:
        found = _NUMBER.match(row[0][1])
        if found is None:
            continue
        values = [text for kind, text, _ in row if kind == "v"]
        if len(values) != len(columns):
            message = f"line {found[2]} has {len(values)} values for {len(columns)} sections"
            raise ValueError(message)
        numbers = _by_section([text for _, _, texts in row for text in texts], sections)
        yield PrintedRow(
            found[2],
            " ".join(text for kind, text, _ in row if kind in {"b", "s"}),
            {key: typed(text) for key, text in zip(columns, values, strict=True)},
            " ".join(text for kind, text, _ in row if kind == "u"),
            numbers,
            found[1] == "↳",
        )


def _by_section(texts: Sequence[str], sections: Sequence[str]) -> dict[str, str]:
    """The numbers of an equation, those of the worked section first, then those that name theirs."""
    found: dict[str, str] = {}
    for text in texts:
        key, _, rest = text.partition(" = ")
        own = (key, rest) if key in sections else ("", text)
        found[own[0]] = typed(own[1]).removeprefix("=").strip()
    return found


class _Cells(HTMLParser):
    """The cells of tables of lines: their kind, what stands in them, and the numbers of their equations."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.cells: list[tuple[str, str, list[str]]] = []
        self._open: list[tuple[str, str]] = []
        self._lines = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in WITHOUT_END:
            return
        kinds = (dict(attrs).get("class") or "").split()
        if tag == "table":
            self._lines = kinds[:1] in (["lines"], ["short"])
        part = ""
        if tag == "h2" or "heads" in kinds or (self._lines and tag == "thead"):
            part = "chapter" if tag == "h2" else "cell"
            self.cells.append((part if tag == "h2" else "heads", "", []))
        elif self._lines and tag == "td" and kinds and kinds[0] in CELLS:
            part = "cell"
            self.cells.append((kinds[0], "", []))
        elif self._lines and "numbers" in kinds:
            part = "numbers"
            self.cells[-1][2].append("")
        elif tag == "sup" and self._within("numbers"):
            part = "raised"
            self._add("^(")
        self._open.append((tag, part))

    def handle_endtag(self, tag: str) -> None:
        while self._open:
            last, part = self._open.pop()
            if part == "raised":
                self._add(")")
            if last == tag:
                break

    def handle_data(self, data: str) -> None:
        if self._within("cell"):
            self._add(f" {data} " if self.cells[-1][0] == "heads" else data)

    def _within(self, part: str) -> bool:
        return any(own == part for _, own in self._open)

    def _add(self, text: str) -> None:
        kind, before, numbers = self.cells[-1]
        if self._within("numbers"):
            numbers[-1] += text
        else:
            self.cells[-1] = (kind, before + text, numbers)
