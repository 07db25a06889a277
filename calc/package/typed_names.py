"""Names of fields: whose they are, the table and the item they stand in, and their words on a page."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from html import unescape
from re import fullmatch, sub
from string import ascii_lowercase

from markupsafe import Markup

from calc.engine.figure import symbol_text
from calc.engine.symbols import NOMENCLATURE
from calc.inputs.reading.locate import Path
from calc.package.canvas import advance
from calc.package.shown import with_units_whole
from calc.package.typed_texts import in_one_run
from calc.package.widths import balanced_widths

# Tables by subject, in the order in which they print.
SUBJECTS = (
    ("Basis", ("basis", "factor_sets")),
    ("Sections, ground, water", ("", "water", "uplift", "layer", "bearing_layer", "layer_below")),
    ("Embankment, loads, stages", ("embankment", "widening", "platform", "traffic", "first_lift", "stage")),
    ("Columns", ("columns", "field", "plug")),
    ("Sleeve", ("sleeve",)),
    ("Horizontal reinforcement", ("reinforcement", "load_transfer")),
    ("Consolidation and slip surfaces", ("consolidation", "slip")),
    ("Filters", ("filters",)),
    ("Construction", ("construction",)),
    ("Monitoring", ("monitoring",)),
    ("Results of tests", ("ground_model",)),
    ("Neighbours", ("neighbours",)),
    ("Earthquake", ("earthquake",)),
    ("Alignment", ("alignment",)),
    ("Column plan", ("plan",)),
    ("Installation records", ("installed",)),
    ("Readings of the monitoring", ("observed",)),
    ("Sensitivity and reliability", ("vary",)),
    ("Search for the design, catalogue", ("size", "catalogue")),
)
# What prints in full on other pages, with the name of their place.
ELSEWHERE: tuple[tuple[Path, str, str], ...] = (
    (("project", "revision"), "revisions", "revisions"),
    (("project",), "project", "cover"),
    (("people",), "people", "cover"),
    (("assumption",), "assumptions", "assumptions"),
    (("outside",), "exclusions and interfaces", "outside"),
    (("basis", "standard"), "standards", "standards"),
    (("basis", "drawing"), "drawings", "standards"),
)
WHOLE = 13  # signs of a cell in which no line breaks
GREEK = {"alpha": "α", "gamma": "γ", "delta": "δ", "theta": "θ", "nu": "ν", "sigma": "σ", "phi": "φ", "psi": "ψ"}
BENEATH = {"bearing_layer": "layer"}  # tables that stand beside the items of a list
WORDS = {
    "accept": "acceptance criterion", "beyond_left": "beyond left edge", "beyond_right": "beyond right edge",
    "c_h_high": "upper cₕ, factor", "c_h_low": "lower cₕ, factor", "c_u_gain": "gain of cᵤ",
    "c_u_gain_source": "source of the gain of cᵤ", "c_u_growth": "increase of cᵤ with depth", "decides": "decision by",
    "degree_min": "degree of consolidation required", "fold_back": "wrap-back", "fold_back_cover": "wrap-back cover",
    "full_arching_difference": "settlement difference for full arching", "hand_over": "hand-over",
    "head_loss_max": "largest head loss", "hold_top": "strength restrained at the top, share",
    "m_shansep": "exponent of OCR", "makeup_fill": "compensation fill", "min_depth": "minimum depth",
    "n_stability": "stress ratio for stability", "place": "location", "plane_reduction": "plane model reduction",
    "plant": "construction traffic load", "secondary_reduction": "factor on secondary compression",
    "sublayer_max": "largest sublayer", "thrust_in_ground": "thrust in the ground, share", "what": "test",
    "zero": "zero reading", "sigma_p": "σ′ₚ",
    "c_u_profile": "cᵤ over depth", "sigma_p_profile": "σ′ₚ over depth", "OCR_profile": "OCR over depth",
}  # fmt: skip
# Where the last part of a path means another thing in its table.
PHRASES: dict[Path, str] = {("neighbours", "plant"): "columns installed by", ("neighbours", "neighbour"): "neighbours"}
WHOLE_PAGE, HALF = 175.0, 84.5  # width of a page and of half of it (templates/package.css), mm
TEXT, GAP = 7.5 * 25.4 / 72, 1.6  # size of a text and the room beside it, mm
QUANTITY = r"(−?\d[\d.]*(?:·10[⁻⁰¹²³⁴-⁹]+)?)( [^\s<]+|°)"  # number and unit as a cell has them
LAST = 1_000_000  # the place of such a table in the list


@dataclass(frozen=True, slots=True)
class Cell:
    """A text with the fields of the project file that it shows."""

    text: Markup
    fields: tuple[Path, ...] = ()

    @property
    def whole(self) -> bool:
        """Whether no line breaks in it."""
        return len(self.text) <= WHOLE

    @property
    def width(self) -> float:
        """Its width on one line, mm."""
        return GAP + advance(self.text.striptags(), TEXT)

    @property
    def least(self) -> float:
        """The width of what no line breaks in, mm."""
        words = [self.text.striptags()] if self.whole else with_units_whole(self.text.striptags()).split(" ")
        return GAP + max(advance(word, TEXT) for word in words)

    def with_mark(self) -> "Cell":
        """The same with the mark of a value that is not usual."""
        return replace(self, text=Markup("{}<sup>!</sup>").format(self.text))


@dataclass(frozen=True, slots=True)
class TypedTable:
    """A table of typed values; `wide` ones take the whole width of a page, those `beside` have items in columns."""

    title: str
    head: tuple[Markup, ...]
    rows: tuple[tuple[Cell, ...], ...]
    wide: bool
    beside: bool = False

    @property
    def least(self) -> float:
        """The width in which no word is broken, mm."""
        return sum(self._words())

    @property
    def shares(self) -> tuple[str, ...]:
        """The widths of columns, %, where long texts of one would else stand in a narrow column; else none."""
        if not (self.wide and self.head) or self.beside:
            return ()
        words, rows = self._words(), [[cell.width for cell in row] for row in self.rows]
        if sum(map(max, zip(*rows, strict=True))) < WHOLE_PAGE or sum(words) > WHOLE_PAGE:
            return ()
        widths = balanced_widths(rows, words, WHOLE_PAGE)
        return tuple(f"{100 * width / sum(widths):.2f}" for width in widths)

    @property
    def longest(self) -> float:
        """The width in which every row takes one line, mm."""
        return sum(max(cell.width for cell in cells) for cells in self._columns())

    def _columns(self) -> list[tuple[Cell, ...]]:
        return list(zip(*(map(Cell, self.head), *self.rows), strict=True))

    def _words(self) -> list[float]:
        """The least width of each column: sections and lines do not break."""
        columns = self._columns()
        ends = {0, len(columns) - 1}
        return [max(cell.width if k in ends else cell.least for cell in cells) for k, cells in enumerate(columns)]

    def with_mark(self, unusual: set[Path]) -> "TypedTable":
        """The same with a mark at the values of some fields."""
        rows = [[cell.with_mark() if unusual.intersection(cell.fields) else cell for cell in row] for row in self.rows]
        return replace(self, rows=tuple(map(tuple, rows)))


@dataclass(frozen=True, slots=True)
class Subject:
    """The tables of a subject, and the longer texts below them by their letters."""

    title: str
    tables: tuple[TypedTable, ...]
    notes: tuple[tuple[str, str], ...]

    @property
    def said(self) -> Markup:
        """The longer texts in one run."""
        return in_one_run(self.notes)


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """What prints in full on another page."""

    name: str
    anchor: str
    lines: str
    fields: tuple[Path, ...]


def as_wide_as_needed(table: TypedTable) -> TypedTable:
    """The table over the whole width of a page where one with a head does not find room in half of it."""
    return replace(table, wide=bool(table.head) and table.longest > HALF)


def with_units(
    head: tuple[Markup, ...], rows: Sequence[tuple[Cell, ...]]
) -> tuple[tuple[Markup, ...], tuple[tuple[Cell, ...], ...]]:
    """The unit of a column in its head where all of its values have the same one."""
    columns = list(zip(*rows, strict=True))
    heads = list(head)
    for k, cells in enumerate(columns):
        matches = [fullmatch(QUANTITY, str(cell.text)) for cell in cells if cell.fields]
        units = {match[2] for match in matches if match}
        if len(units) == 1 and all(matches) and 0 < k < len(heads) - 1:
            unit = units.pop()
            heads[k] = Markup("{}, {}").format(heads[k], Markup(unit.strip()))  # noqa: S704 - of an escaped text
            columns[k] = tuple(
                Cell(Markup(str(cell.text).removesuffix(unit)), cell.fields)  # noqa: S704 - the same
                for cell in cells
            )
    return tuple(heads), tuple(zip(*columns, strict=True))


def plain_text(html: str) -> str:
    """The words of a page without its tags; those of two cells or paragraphs are apart."""
    apart = sub(r"<(?:t[dhr]|p|h\d|div|li)\b", r" \g<0>", sub(r'(?:src|alt)="[^"]*"', "", html))
    return " ".join(unescape(sub(r"<[^>]*>", "", apart)).split())


def halves(path: Path) -> tuple[Path, Path]:
    """Whose a field is, all sections' or one's, and its path below."""
    return (path[:2], path[2:]) if path[:1] == ("section",) else ((), path)


def table_of(path: Path) -> str:
    """The table of a field; "" for one that stands in a section itself."""
    below = halves(path)[1]
    return str(below[0]) if len(below) > 1 else ""


def item_of(below: Path) -> tuple[Path, int, Path]:
    """The list of tables that a field stands in, the place of its item there and its path in it; () for no list."""
    if below[0] in BENEATH and len(below) > 1:
        return (BENEATH[str(below[0])],), LAST, below[1:]
    place = next((k for k, part in enumerate(below) if isinstance(part, int)), len(below))
    if place >= len(below) - 1:
        return (), 0, below
    return below[:place], int(below[place]), below[place + 1 :]


def label_of(name: Path) -> Markup:
    """A field in words, or as the symbol of its name."""
    if phrase := PHRASES.get(name[-2:]):
        return Markup("{}").format(phrase)
    return Markup(" ").join(word_of(part) for part in name[-2:] if part != "section" and not isinstance(part, int))


def word_of(name: str | int) -> Markup:
    """A part of a path in words, or as the symbol that it names."""
    text = str(name)
    if text in WORDS:
        return Markup("{}").format(WORDS[text])
    if text in NOMENCLATURE:
        return symbol_text(text)
    letter = fullmatch(r"(alpha|gamma|delta|theta|nu|phi|psi|[A-Za-z])(?:_(.+))?", text)
    if letter is None:
        return Markup("{}").format(text.replace("_", " "))
    base = Markup("<i>{}</i>").format(GREEK.get(letter[1], letter[1]))
    index = GREEK.get(letter[2] or "", (letter[2] or "").replace("_", " "))
    return base + Markup("<sub>{}</sub>").format(index) if index else base


def letters(index: int) -> str:
    """Letters in the order a, b, z, aa, ab."""
    before, letter = divmod(index, len(ascii_lowercase))
    return (letters(before - 1) if before else "") + ascii_lowercase[letter]


def printable(text: str) -> str:
    """A text without signs that would steer the layout."""
    return "".join(sign if sign.isprintable() or sign in "\n\t" else "\N{REPLACEMENT CHARACTER}" for sign in text)
