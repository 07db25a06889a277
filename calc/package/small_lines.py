"""A step of a sheet as a line of a table, for documents that stand beside the package."""

from typing import Any

from markupsafe import Markup

from calc.engine.figure import symbol_text
from calc.engine.sheet import Step, printed_numbers
from calc.engine.sheet.printing import printed_expression
from calc.engine.symbols import symbol
from calc.engine.typeset import set_amount, set_numbers, write_numbers
from calc.package.equations import formula_picture
from calc.package.shown import in_powers

DRAWN, WIDEST = 0.8, 330.0  # of equations: scale, and width in CSS pixels


def small_line(step: Step, value: str, source: str | Markup, *, numbers: bool = True) -> dict[str, Any]:
    """What a template prints of a step; without ``numbers`` the equation stands alone."""
    line: dict[str, Any] = {
        "title": step.title, "symbol": symbol_text(step.symbol), "unit": symbol(step.symbol).unit_text,
        "value": set_amount(in_powers(write_numbers(value))), "source": source, "picture": None, "numbers": "",
    }  # fmt: skip
    if step.formula is not None:
        line["picture"] = formula_picture(step.formula, step.names, printed_expression(step)).at_scale(DRAWN)
        line["style"] = line["picture"].style(WIDEST)
        if numbers:
            line["numbers"] = Markup(printed_numbers(step, {}, write=set_numbers))  # noqa: S704 - set_numbers escapes
    return line
