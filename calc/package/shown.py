"""Words, symbols and numbers as pages show them."""

from collections.abc import Collection, Sequence
from decimal import Decimal
from re import fullmatch, match, sub

from markupsafe import Markup, escape

from calc.engine.sheet import ACCEPTED, NOT_APPLICABLE, NOT_REQUIRED, number_text
from calc.engine.symbols import symbol
from calc.engine.typeset import set_amount
from calc.inputs.tables.project import Project

STATUS_WORDS = {
    "S0": "work in progress",
    "S1": "for coordination",
    "S2": "for information",
    "S3": "for review and comment",
    "S4": "for review and authorization",
    "S5": "for review and acceptance",
    "CR": "as constructed, for record",
}
OUTCOME_WORDS = {
    "pass": "Everything required is verified and passes.",
    "fail": "At least one verification fails.",
    "incomplete": "Nothing evaluated fails, but something required is not verified.",
}
CHECK_CATEGORIES = ("self-check", "other member of the team", "person not involved", "other organisation")
STATE_SIGNS = {
    "pass": "✓", "fail": "✗", "not verified": "–", ACCEPTED: "✓", NOT_REQUIRED: "–", NOT_APPLICABLE: "–",
}  # fmt: skip
_AMOUNT = r"[+−-]?[\d.,]+(?:e-?\d+|·10[⁻⁰¹²³⁴-⁹]+)?(?:\s?[%°])?(?:\s[◦◐◇])?|–|-"
_UNITS = r"(?:[kM]?N(?:m|/m[²³]?)?|kNm/m|[kM]Pa|kPa/m|[cmµ]?m(?:/[ds])?|m[²³]|t|kg|g|°|%|d|s|h|a|days?|years?)"
LEAST_RATIO = 0.0005  # which would print as nothing
ROOM = 9  # signs of a number in a column


def status_words(status: str) -> str:
    """A status as typed, with the words of its code where it is one that is read from a published table."""
    code = status.strip()
    if code in STATUS_WORDS:
        return f"{code} – {STATUS_WORDS[code]}"
    kind = match(r"([AB])\d+$", code)
    if kind:
        return f"{code} – {'authorized and accepted' if kind[1] == 'A' else 'partly authorized, with comments'}"
    return status


def status_of(project: Project) -> tuple[str, str]:
    """The newest revision of a project by its label, and its status in words."""
    newest = project.revisions[-1]
    return newest.label, status_words(newest.status)


def category_words(category: int | None) -> str:
    """A check category with its words."""
    return "not given" if category is None else f"{category} – {CHECK_CATEGORIES[category]}"


def cut(text: str, length: int) -> str:
    """The text for a place of limited size; an ellipsis says that there is more of it elsewhere."""
    line = " ".join(text.split())
    return line if len(line) <= length else line[: length - 1].rstrip() + "…"


def with_units_whole(text: str) -> str:
    """The text with a space between a number and its unit at which no line breaks."""
    return sub(rf"(?<=\d) (?={_UNITS}(?![\w/]))", "\u00a0", text)


def whole(text: str) -> Markup:
    """A text in which no line breaks between a number and its unit, at the stroke of a unit or in “J = 0”."""
    # With the number: the renderer breaks text too early in front of an element before which no line may break.
    pattern = rf"((?:[^\s(]+ = )?[^\s(]*\d) ({_UNITS})(?![\w/])"
    set_whole = '<span class="nowrap">\\1\u00a0\\2</span>'
    set_text = sub(pattern, set_whole, str(escape(text)))
    return Markup(sub(r" = (?=[−-]?\d)", "\u00a0=\u00a0", set_text))  # noqa: S704 - escaped


def with_result_whole(numbers: Markup | str) -> Markup:
    """Numbers of an equation in which no line breaks within the result behind them."""
    pattern = r"(= [^ =]+ [^ =]+)$"
    return Markup(sub(pattern, r'<span class="nowrap">\1</span>', str(escape(numbers))))  # noqa: S704 - escaped


def is_amount(text: str) -> bool:
    """Whether a cell of a table holds a number and is set flush right."""
    return fullmatch(_AMOUNT, text.strip()) is not None


def in_powers(text: str) -> str:
    """A number with more zeros than a column has room for, as a power of ten with the same digits."""
    if len(text) <= ROOM or not fullmatch(r"-?0\.0000\d+", text):
        return text
    return set_amount(f"{Decimal(text):e}".replace("e-0", "e-"))


def short_citation(citation: str) -> str:
    """Author and year of a citation, or the number and year of a standard, for the margin."""
    short = match(r"(.{1,60}?\(\d{4}[^()]{0,24}\))", citation)
    if short:
        return short[1]
    # The first comma outside brackets.
    first = match(r"(?:\([^()]*\)|[^,(])+", citation)
    return (first[0] if first else citation).partition(": ")[0].strip()


def amount(value: float) -> str:
    """A ratio as it is compared with its limit: three decimals, so that 1.000 and 1.001 stay apart; none is hidden."""
    return "<0.001" if 0 < value < LEAST_RATIO else f"{value:.3f}"


def with_unit(value: float | None, name: str) -> str:
    """A coherent value in the unit and decimals of its symbol, with the unit."""
    if value is None:
        return "–"
    quantity = symbol(name)
    number = value * quantity.factor
    return f"{set_amount(number_text(number, quantity.decimals))} {quantity.unit_text}".strip()


def against(effect: tuple[float | None, str], resistance: tuple[float | None, str], between: str) -> str:
    """Two values by their symbols beside each other, a unit that both have once; "" where one has no symbol."""
    if not (effect[1] and resistance[1]):
        return ""
    first, second = with_unit(*effect), with_unit(*resistance)
    number, _, unit = first.partition(" ")
    return f"{number if second.endswith(f' {unit}') else first}{between}{second}"


def without_fields(text: str) -> str:
    """A text of the program without the fields that would answer it: for who writes the project file, not on pages."""
    return sub(r" \((?:fields?|table) [a-z_]+(?:\.\w+)*(?:, \w+(?:\.\w+)*)*\)", "", text)


def css_state(state: str) -> str:
    """The class of a state; what is not applicable looks like what is not required."""
    return (NOT_REQUIRED if state == NOT_APPLICABLE else state).replace(" ", "-")


def sections_keys(named: Sequence[str], every: Collection[str]) -> str:
    """The sections that something concerns, for a narrow column."""
    return "all" if len(every) > 1 and set(named) == set(every) else ", ".join(dict.fromkeys(named))
